//! One text with its name, and where its lines begin. Everything that reads a file comes through here.
//!
//! Limits stand before the bytes are read: a folder, a file beyond 64 MiB and a text in another encoding are refused
//! with what to do about it.

use std::cell::OnceCell;
use std::fs::File;
use std::io::{self, ErrorKind, Read};
use std::ops::Range;
use std::path::Path;

use crate::diagnose::{Failure, plain};

/// The largest file that is read.
pub const MOST_BYTES: u64 = 64 << 20;

/// A text with the name it goes by in messages.
#[derive(Debug)]
pub struct Source {
    /// The path as given, `standard input`, or a flag.
    pub name: String,
    /// The whole text, without a byte order mark.
    pub text: String,
    lines: OnceCell<Vec<usize>>,
}

impl Source {
    /// A text that is in memory already.
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Self {
        Self { name: name.into(), text: text.into(), lines: OnceCell::new() }
    }

    /// The number of the line a byte stands in, from 1, and the bytes of that line without its end.
    pub fn line(&self, at: usize) -> (usize, Range<usize>) {
        let starts = self.lines.get_or_init(|| line_starts(self.text.as_bytes()));
        let index = starts.partition_point(|&start| start <= at).saturating_sub(1);
        let start = starts.get(index).copied().unwrap_or(0);
        let end = starts.get(index + 1).copied().unwrap_or(self.text.len());
        let line = self.text.get(start..end).unwrap_or("");
        (index + 1, start..start + line.trim_end_matches(['\r', '\n']).len())
    }
}

/// Lines end with LF, CR LF, or CR alone.
fn line_starts(text: &[u8]) -> Vec<usize> {
    let mut starts = vec![0];
    for (index, &byte) in text.iter().enumerate() {
        if byte == b'\n' || (byte == b'\r' && text.get(index + 1) != Some(&b'\n')) {
            starts.push(index + 1);
        }
    }
    starts
}

/// Reads a text file whole; `-` is standard input. `what` is what was expected there: "parts".
///
/// # Errors
/// A sentence with the name of the file and what to do.
pub fn load(path: &Path, what: &str, stdin: &mut dyn Read) -> Result<Source, Failure> {
    let (name, bytes) = load_bytes(path, what, MOST_BYTES, stdin)?;
    let text = decode(bytes, &name)?;
    Ok(Source::new(name, text))
}

/// Reads at most so many bytes, and tells the name to use in messages.
///
/// # Errors
/// A sentence with the name of the file and what to do.
pub fn load_bytes(
    path: &Path,
    what: &str,
    most: u64,
    stdin: &mut dyn Read,
) -> Result<(String, Vec<u8>), Failure> {
    if path == Path::new("-") {
        let name = "standard input".to_owned();
        let bytes = bytes(stdin, &name, None, most)?;
        return Ok((name, bytes));
    }
    let name = path.display().to_string();
    let unreadable = |error: io::Error| unreadable(&name, what, &error);
    let file = File::open(path).map_err(unreadable)?;
    let known = file.metadata().map_err(unreadable)?;
    if known.is_dir() {
        return Err(Failure::new(format!("{name} is a folder, but a file of {what} was expected"))
            .hint("name the file inside it"));
    }
    let bytes = bytes(file, &name, Some(known.len()), most)?;
    Ok((name, bytes))
}

/// Somebody who gives `-` and types at a terminal is told what is awaited.
///
/// # Errors
/// Those of the writer.
pub fn announce(
    paths: &[std::path::PathBuf],
    what: &str,
    is_terminal: bool,
    to: &mut dyn io::Write,
) -> io::Result<()> {
    if is_terminal && paths.iter().any(|path| path == Path::new("-")) {
        writeln!(to, "reading {what} from standard input; end with Ctrl-D on a line of its own")?;
    }
    Ok(())
}

fn unreadable(name: &str, what: &str, error: &io::Error) -> Failure {
    match error.kind() {
        ErrorKind::NotFound => Failure::new(format!("there is no file {name} to read {what} from")),
        ErrorKind::PermissionDenied => Failure::new(format!("{name} may not be read by you")),
        ErrorKind::IsADirectory => {
            Failure::new(format!("{name} is a folder, but a file of {what} was expected"))
                .hint("name the file inside it")
        }
        _ => Failure::new(format!("{name} cannot be read: {}", plain(error))),
    }
}

fn bytes(from: impl Read, name: &str, known: Option<u64>, most: u64) -> Result<Vec<u8>, Failure> {
    let too_large = || {
        Failure::new(format!("{name} is larger than {} MiB", most >> 20))
            .hint("nothing that is written for this program is as large as that: is it the right file?")
    };
    if known.is_some_and(|length| length > most) {
        return Err(too_large());
    }
    let mut bytes = Vec::new();
    from.take(most + 1).read_to_end(&mut bytes).map_err(|error| unreadable(name, "text", &error))?;
    if bytes.len() as u64 > most { Err(too_large()) } else { Ok(bytes) }
}

/// UTF-8 with or without a byte order mark, and nothing else.
fn decode(mut bytes: Vec<u8>, name: &str) -> Result<String, Failure> {
    const SAVE: &str = "save it as UTF-8 (in a spreadsheet: \"CSV UTF-8\")";
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) || looks_like_utf_16(&bytes) {
        return Err(Failure::new(format!("{name} is UTF-16 text, but UTF-8 was expected")).hint(SAVE));
    }
    if bytes.starts_with(b"PK\x03\x04") {
        return Err(Failure::new(format!("{name} is a workbook or an archive, but plain text was expected"))
            .hint("export the list as CSV"));
    }
    if bytes.starts_with(&[0xEF, 0xBB, 0xBF]) {
        bytes.drain(..3);
    }
    String::from_utf8(bytes).map_err(|error| {
        let (at, bytes) = (error.utf8_error().valid_up_to(), error.as_bytes());
        let line = line_starts(bytes.get(..at).unwrap_or(bytes)).len();
        let byte = bytes.get(at).copied().unwrap_or(0);
        Failure::new(format!("{name} is not UTF-8 text: byte {} (line {line}) is {byte:#04x}", at + 1))
            .hint(SAVE)
    })
}

/// Every other byte of plain text in UTF-16 is zero.
fn looks_like_utf_16(bytes: &[u8]) -> bool {
    let start = bytes.get(..bytes.len().min(64)).unwrap_or(bytes);
    let zeros = |odd: usize| start.iter().skip(odd).step_by(2).all(|&byte| byte == 0);
    start.len() >= 4 && (zeros(0) || zeros(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(bytes: &[u8]) -> String {
        decode(bytes.to_vec(), "parts.csv").expect_err("was read").message
    }

    #[test]
    fn lines_end_in_three_ways() {
        let source = Source::new("x", "a\nbc\r\nd\re\n\nf");
        let line = |at| {
            let (number, range) = source.line(at);
            (number, &source.text[range])
        };
        let at = |c| source.text.find(c).unwrap();
        assert_eq!(line(0), (1, "a"));
        assert_eq!(line(at('c')), (2, "bc"));
        assert_eq!(line(at('d')), (3, "d"));
        assert_eq!(line(at('e')), (4, "e"));
        assert_eq!(line(at('f')), (6, "f"));
        assert_eq!(line(source.text.len()), (6, "f"));
        assert_eq!(Source::new("x", "").line(0), (1, 0..0));
        assert_eq!(Source::new("x", "a\n").line(2), (2, 2..2));
    }

    #[test]
    fn a_byte_order_mark_is_dropped() {
        assert_eq!(decode(b"\xEF\xBB\xBFpart".to_vec(), "x").unwrap(), "part");
    }

    #[test]
    fn other_encodings_are_named() {
        let utf_16: Vec<u8> = "part,length".encode_utf16().flat_map(u16::to_le_bytes).collect();
        assert_eq!(refused(&utf_16), "parts.csv is UTF-16 text, but UTF-8 was expected");
        assert_eq!(refused(b"\xFF\xFEp\0"), "parts.csv is UTF-16 text, but UTF-8 was expected");
        assert_eq!(
            refused(b"PK\x03\x04...."),
            "parts.csv is a workbook or an archive, but plain text was expected"
        );
        assert_eq!(refused(b"part\nh\xF6he"), "parts.csv is not UTF-8 text: byte 7 (line 2) is 0xf6");
    }

    #[test]
    fn what_is_too_large_is_refused_before_it_is_kept() {
        assert!(bytes(io::repeat(b'x'), "endless", None, 1 << 20).is_err());
        assert!(bytes(io::empty(), "huge", Some(200 << 20), MOST_BYTES).is_err());
    }
}
