//! A shop file that is no TOML: what is wrong with it, and what it says all the same.
//!
//! The parser goes on behind a fault, but most of what it finds there are echoes. So the line of the first fault is left
//! out, with the lines before it that its value began in and, where it is a header, the rest of its section, and the file
//! is parsed anew.

use std::borrow::Cow;

use toml::de::DeTable;

use super::source::Source;
use super::toml::is_shop;
use crate::diagnose::{Desk, Spot};

/// A shop file as far as it can be read.
pub struct Read<'t> {
    /// Its text; what is left out is blank, so that all else stays in its place.
    pub text: Cow<'t, str>,
    /// Lines with a fault.
    pub broken: Vec<usize>,
    /// Whether the text is sound.
    pub sound: bool,
}

/// Faults whose lines are left out, how many lines each, and the longest file in which any are.
const MOST_FAULTS: usize = 20;
const MOST_LINES: usize = 20;
const MOST_BYTES: usize = 100_000;

/// Reads a shop file. Its faults go on the desk.
pub fn read<'t>(source: usize, file: &'t Source, desk: &mut Desk) -> Read<'t> {
    // To TOML a carriage return alone ends no line, to the lists it does. Places stay where they are.
    let mut read = Read { text: with_line_feeds(&file.text), broken: Vec::new(), sound: false };
    let mut is_of_shop = false;
    loop {
        let (table, errors) = DeTable::parse_recoverable(&read.text);
        is_of_shop |= is_shop(table.get_ref());
        let at = |error: &toml::de::Error| error.span().map_or(0, |span| span.start);
        let Some(error) = errors.into_iter().min_by_key(at) else {
            read.sound = true;
            return read;
        };
        let (number, line) = file.line(at(&error));
        let written = file.text.get(line.clone()).unwrap_or("");
        // A value may go on for some lines.
        let sound = |start: &usize| {
            let before = read.text.get(..*start).unwrap_or("");
            DeTable::parse_recoverable(before).1.is_empty()
        };
        let starts =
            std::iter::successors(Some(line.start), |start| Some(file.line(start.checked_sub(1)?).1.start));
        let short = read.text.len() < MOST_BYTES;
        let start = starts.take(MOST_LINES).find(|start| short && sound(start));
        // What has no name of its own may go on from a line that was left out.
        let own = written.contains('=') || is_header(written) || start != Some(line.start);
        if read.broken.is_empty() || own {
            tell(source, &error, written, is_of_shop, desk);
        }
        read.broken.push(number);
        let Some(start) = start.filter(|_| is_of_shop && read.broken.len() < MOST_FAULTS) else {
            return read;
        };
        let end = if is_header(written) { section_end(&read.text, line.end) } else { line.end };
        let blank = |c: char| if c == '\n' { "\n".to_owned() } else { " ".repeat(c.len_utf8()) };
        let lines: String = read.text.get(start..end).unwrap_or("").chars().map(blank).collect();
        read.text.to_mut().replace_range(start..end, &lines);
    }
}

fn is_header(line: &str) -> bool {
    line.trim_start().starts_with('[')
}

/// Where the next section begins.
fn section_end(text: &str, mut at: usize) -> usize {
    for line in text.get(at..).unwrap_or("").split_inclusive('\n') {
        if is_header(line) {
            break;
        }
        at += line.len();
    }
    at
}

/// The text with a line feed for each carriage return that stands alone.
fn with_line_feeds(text: &str) -> Cow<'_, str> {
    let mut pieces = text.split('\r').peekable();
    if pieces.clone().skip(1).all(|piece| piece.starts_with('\n')) {
        return Cow::Borrowed(text);
    }
    let mut lines = String::with_capacity(text.len());
    while let Some(piece) = pieces.next() {
        lines.push_str(piece);
        if let Some(next) = pieces.peek() {
            lines.push(if next.starts_with('\n') { '\r' } else { '\n' });
        }
    }
    Cow::Owned(lines)
}

/// Tells what the parser found in a line.
fn tell(source: usize, error: &toml::de::Error, line: &str, is_shop: bool, desk: &mut Desk) {
    let message = error.message().lines().next().unwrap_or("syntax error").to_owned();
    let report = desk.error(Spot { source, span: error.span().unwrap_or(0..0) }, message.clone());
    if let Some(value) = unquoted_value(line) {
        // Those that word processors write are none to this file.
        let opened = value.trim_start_matches(['“', '”', '„', '‘', '’']);
        let bare =
            if opened == value { value } else { opened.trim_end_matches(['“', '”', '‘', '’']) };
        report.hint(format!("write \"{}\" in quotes: lengths and words are quoted", bare.replace('"', "")));
    } else if !is_shop {
        report.hint("a shop file has lines such as `units = \"in\"`: is it the right file?");
    } else if let Some(hint) = advice(&message, line.trim()) {
        report.hint(hint);
    }
}

/// What to do about what the parser found on a line.
fn advice(message: &str, line: &str) -> Option<&'static str> {
    let quotes = "what opens with a quote ends with one on the same line: `units = \"in\"`";
    let brackets = "a section stands in brackets: `[boards]`";
    // Without its second header, settings of a section would go to the one before.
    let twice = match line.starts_with('[') {
        true => "this section stands in the file twice: put all of its settings under one",
        false => "this stands in the file twice: delete one",
    };
    let advice = [
        ("duplicate key", twice),
        ("missing comma", "values are separated by commas: `trim = [\"1/4\", \"1/2\"]`"),
        ("invalid basic string", quotes),
        ("invalid literal string", quotes),
        ("unclosed table", brackets),
        (
            "key with no value",
            if line.ends_with(']') { brackets } else { "a setting has a value: `kerf = \"1/8\"`" },
        ),
    ];
    advice.iter().find(|(start, _)| message.starts_with(start)).map(|(_, hint)| *hint)
}

/// The value of a line such as `kerf = 1/8`, where quotes were left out.
fn unquoted_value(line: &str) -> Option<&str> {
    let (_, value) = line.split_once('=')?;
    let value = value.split('#').next()?.trim();
    let number = value.parse::<f64>().is_ok();
    let plain = !number && !value.is_empty() && !value.starts_with(['"', '\'', '[', '{']);
    plain.then_some(value)
}
