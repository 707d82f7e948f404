//! Where does each cell of a list stand, and what does it say?
//!
//! The records and the unquoting are csv-core's (RFC 4180). What it does not tell is worked out here: the bytes of
//! each cell, from how many bytes each field took. The line feed of CR LF and blank lines land at the head of the
//! next field, so they are taken off there. Invariant: the extents of all cells and the blank rest tile the text.
//!
//! The separator is whatever of `,` `;` and tab the header holds most of, unless a line `sep=;` says it. Lines before the
//! header that begin with `#` are comments; below the header a `#` is text, since a part may be called `#1`.

use std::ops::Range;

use csv_core::{ReadFieldResult, Reader, ReaderBuilder};

/// One cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cell {
    /// What it says, without quotes around it or spaces at its ends.
    pub text: String,
    /// Its bytes, without separator, line end and spaces at its ends; quotes included.
    pub span: Range<usize>,
    /// Its bytes and those of the separator or line end behind it, and of blank lines before it.
    pub extent: Range<usize>,
    /// What is wrong with its quotes.
    pub fault: Option<QuoteFault>,
}

/// What may be wrong with quotes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum QuoteFault {
    /// A quote opens and the text ends.
    Unclosed,
    /// Text stands behind the closing quote.
    TextBehind,
}

/// Most columns of a list, one less than are kept of a record: spreadsheets that write all of theirs write 16384.
pub const MOST_COLUMNS: usize = 20_000;

/// What may stand between cells.
const SEPARATORS: [u8; 3] = [b',', b';', b'\t'];

/// How a list is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Dialect {
    /// `,` `;` or tab.
    pub separator: u8,
    /// Where the header begins.
    pub start: usize,
    /// The bytes of what a line before it says that cells are separated by, where no list is separated so.
    pub wrong: Option<[usize; 2]>,
}

impl Dialect {
    /// Looks for the header and its separator.
    pub fn of(text: &str) -> Self {
        let (mut start, mut said, mut wrong) = (0, None, None);
        for line in text.split_inclusive(['\n', '\r']) {
            let content = line.trim();
            // Spreadsheets of some countries write this line for each other.
            if let Some(named) = content.strip_prefix("sep=") {
                // A tab went with the blanks around the line.
                let named = if line.contains("sep=\t") { "\t" } else { named };
                said = SEPARATORS.into_iter().find(|separator| named.as_bytes() == [*separator]);
                let end = start + line.trim_end().len();
                wrong = if said.is_none() { Some([end - named.len(), end]) } else { None };
            } else if !content.is_empty() && !is_comment(content) {
                return Self { separator: said.unwrap_or_else(|| separator(content)), start, wrong };
            }
            start += line.len();
        }
        Self { separator: said.unwrap_or(b','), start, wrong }
    }
}

/// A line that begins with `#`, unless it is a header whose first column is called so.
fn is_comment(line: &str) -> bool {
    let column = |cell: &str| ["material", "length"].contains(&cell.trim().to_lowercase().as_str());
    line.starts_with('#') && !line.split([',', ';', '\t']).any(column)
}

fn separator(header: &str) -> u8 {
    let mut quoted = false;
    let mut counts = SEPARATORS.map(|separator| (separator, 0));
    for byte in header.bytes() {
        quoted ^= byte == b'"';
        if let Some((_, count)) = counts.iter_mut().find(|(separator, _)| *separator == byte && !quoted) {
            *count += 1;
        }
    }
    // The first of those with most.
    counts.iter().rev().max_by_key(|(_, count)| *count).map_or(b',', |(separator, _)| *separator)
}

/// The records of a text, one after the other.
pub struct Records<'t> {
    text: &'t str,
    reader: Reader,
    separator: u8,
    at: usize,
    end: usize,
    output: Vec<u8>,
    finished: bool,
}

impl<'t> Records<'t> {
    /// Reads the bytes of `range` as records.
    pub fn new(text: &'t str, range: Range<usize>, separator: u8) -> Self {
        let reader = ReaderBuilder::new().delimiter(separator).build();
        let end = range.end.min(text.len());
        Self { text, reader, separator, at: range.start.min(end), end, output: vec![0; 256], finished: false }
    }

    /// Where the next record begins, blank lines included.
    pub fn position(&self) -> usize {
        self.at
    }

    /// One field: its extent, its unquoted bytes, and whether it ends the record.
    fn field(&mut self) -> Option<(Range<usize>, String, bool)> {
        let start = self.at;
        let mut written = 0;
        loop {
            let input = self.text.as_bytes().get(self.at..self.end).unwrap_or_default();
            let (result, read, wrote) = self.reader.read_field(input, &mut self.output[written..]);
            self.at += read;
            written += wrote;
            match result {
                // At the end an empty input says so to the reader, which then hands over the last field.
                ReadFieldResult::InputEmpty => {}
                ReadFieldResult::OutputFull => self.output.resize(self.output.len() * 2, 0),
                ReadFieldResult::Field { record_end } => {
                    let text = String::from_utf8_lossy(&self.output[..written]).into_owned();
                    return Some((start..self.at, text, record_end));
                }
                ReadFieldResult::End => return None,
            }
        }
    }

    fn cell(&self, extent: Range<usize>, unquoted: String, first: bool) -> Cell {
        let bytes = self.text.as_bytes();
        let (mut start, mut end) = (extent.start, extent.end);
        while first && start < end && matches!(bytes[start], b'\r' | b'\n') {
            start += 1;
        }
        let quoted = bytes.get(start) == Some(&b'"') && start < end;
        let close = if quoted { closing_quote(bytes, start, end) } else { None };
        // Behind a closing quote, or in a cell without quotes, the last byte may be the separator or the line end.
        let ends = |byte: u8| byte == self.separator || byte == b'\r' || byte == b'\n';
        if end > start && ends(bytes[end - 1]) && (!quoted || close.is_some_and(|close| close < end - 1)) {
            end -= 1;
        }
        let raw = self.text.get(start..end).unwrap_or("");
        let span_start = start + (raw.len() - raw.trim_start().len());
        let span = span_start..span_start + raw.trim().len();
        let fault = match (quoted, close) {
            (false, _) => None,
            (true, None) => Some(QuoteFault::Unclosed),
            (true, Some(close)) if close + 1 < span.end => Some(QuoteFault::TextBehind),
            (true, Some(_)) => None,
        };
        let text = if quoted { unquoted.trim().to_owned() } else { spaced_quotes(unquoted.trim()) };
        Cell { text: unescape(text), span, extent, fault }
    }
}

impl Iterator for Records<'_> {
    type Item = Vec<Cell>;

    fn next(&mut self) -> Option<Vec<Cell>> {
        if self.finished {
            return None;
        }
        let mut cells = Vec::new();
        loop {
            let Some((extent, text, record_end)) = self.field() else {
                self.finished = true;
                return if cells.is_empty() { None } else { Some(cells) };
            };
            // A line of separators alone would take a hundred times its size.
            if cells.len() <= MOST_COLUMNS {
                cells.push(self.cell(extent, text, cells.is_empty()));
            }
            if record_end {
                return Some(cells);
            }
        }
    }
}

/// The quote that closes the one at `open`.
fn closing_quote(bytes: &[u8], open: usize, end: usize) -> Option<usize> {
    let mut at = open + 1;
    while at < end {
        match (bytes[at], bytes.get(at + 1)) {
            (b'"', Some(b'"')) if at + 1 < end => at += 2,
            (b'"', _) => return Some(at),
            _ => at += 1,
        }
    }
    None
}

/// Quotes with a space before them are text to RFC 4180, but not to whoever typed a space after each comma.
fn spaced_quotes(text: &str) -> String {
    match text.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')) {
        Some(inside) => inside.replace("\"\"", "\""),
        None => text.to_owned(),
    }
}

/// Takes off the one `'` that stands before text which a spreadsheet would take for a formula.
fn unescape(text: String) -> String {
    match text.strip_prefix('\'') {
        Some(rest) if rest.trim_start_matches('\'').starts_with(is_formula_start) => rest.to_owned(),
        _ => text,
    }
}

/// What makes a spreadsheet take a cell for a formula (OWASP, "CSV Injection").
pub fn is_formula_start(c: char) -> bool {
    matches!(c, '=' | '+' | '-' | '@' | '\t' | '\r' | '\0' | '＝' | '＋' | '－' | '＠')
}

impl Cell {
    /// The bytes of the file that a part of the cell's text was read from.
    pub fn locate(&self, source: &str, part: Range<usize>) -> Range<usize> {
        let raw = source.get(self.span.clone()).unwrap_or("");
        // Walks through both texts: a doubled quote in the file is one in the text.
        let quoted = raw.starts_with('"');
        let mut from = usize::from(quoted);
        if raw.get(from..).is_some_and(|raw| raw.starts_with('\'')) && !self.text.starts_with('\'') {
            from += 1;
        }
        if quoted {
            from += raw.get(from..).map_or(0, |raw| raw.len() - raw.trim_start().len());
        }
        let mut places = Vec::with_capacity(self.text.len() + 1);
        for c in self.text.chars() {
            places.extend(std::iter::repeat_n(from, c.len_utf8()));
            let doubled = quoted && c == '"' && raw.get(from..).is_some_and(|raw| raw.starts_with("\"\""));
            from += if doubled { 2 } else { c.len_utf8() };
        }
        places.push(from);
        let place = |at: usize| places.get(at).map_or(raw.len(), |&at| at.min(raw.len()));
        self.span.start + place(part.start)..self.span.start + place(part.end)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn records(text: &str) -> Vec<Vec<Cell>> {
        let dialect = Dialect::of(text);
        Records::new(text, dialect.start..text.len(), dialect.separator).collect()
    }

    fn texts(text: &str) -> Vec<Vec<String>> {
        records(text).into_iter().map(|record| record.into_iter().map(|cell| cell.text).collect()).collect()
    }

    fn spans(text: &str) -> Vec<&str> {
        records(text).into_iter().flatten().map(|cell| &text[cell.span]).collect()
    }

    #[test]
    fn cells_know_their_bytes() {
        let text = "part,length\r\n\r\n side , \"84\"\"\"\r\n\"a,\nb\",9\nlast,";
        assert_eq!(spans(text), ["part", "length", "side", "\"84\"\"\"", "\"a,\nb\"", "9", "last", ""]);
        assert_eq!(texts(text)[1..], [["side", "84\""], ["a,\nb", "9"], ["last", ""]]);
        assert_eq!(spans("a\n7' 1/4\"\n5\""), ["a", "7' 1/4\"", "5\""]);
    }

    #[test]
    fn the_separator_is_what_the_header_holds_most_of() {
        for (text, separator) in [
            ("a,b;c,d", b','),
            ("a;b;c,d", b';'),
            ("a\tb\tc", b'\t'),
            ("alone", b','),
            ("\"a;b;c\",d", b','),
            ("\n\n# note; with; these\na,b", b','),
        ] {
            assert_eq!(Dialect::of(text).separator, separator, "{text}");
        }
        assert_eq!(texts("sep=;\na;b\n1,5;2"), [["a", "b"], ["1,5", "2"]]);
        assert_eq!(texts("sep=\t\r\na\tb,c,d\n1\t2"), [["a", "b,c,d"], ["1", "2"]]);
        for odd in ["é", "|", ";;", ""] {
            let text = format!(" sep={odd} \na;b");
            let [from, to] = Dialect::of(&text).wrong.unwrap();
            assert_eq!((&text[from..to], texts(&text)), (odd, vec![vec!["a".to_owned(), "b".to_owned()]]));
        }
    }

    #[test]
    fn comments_stand_before_the_header_alone() {
        assert_eq!(
            texts("# a list, of parts\n#\n\npart,length\n#1 shelf,9"),
            [["part", "length"], ["#1 shelf", "9"]]
        );
        assert_eq!(texts("#,material,length\n1,pine,9")[0], ["#", "material", "length"]);
    }

    #[test]
    fn faulty_quotes_are_noticed() {
        let fault = |text: &str| records(text).into_iter().flatten().find_map(|cell| cell.fault);
        assert_eq!(fault("a,b\n\"23 1/4\"\",5"), Some(QuoteFault::Unclosed));
        assert_eq!(fault("a,b\n\"23 1/4\" in,5"), Some(QuoteFault::TextBehind));
        assert_eq!(fault("a,b\n\"23 1/4\"\" \" ,5\n\"\",\"\"\"\""), None);
        assert_eq!(fault("a\n\""), Some(QuoteFault::Unclosed));
    }

    #[test]
    fn one_mark_before_a_formula_is_taken_off() {
        assert_eq!(texts("a,b\n'=1+1,'tis\n''=x,''")[1..], [["=1+1", "'tis"], ["'=x", "''"]]);
    }

    #[test]
    fn a_part_of_a_text_is_found_in_the_file() {
        let text = "a,b\n\"5' 14\"\" or so\",'=x";
        let record = &records(text)[1];
        let found = |cell: usize, part: &str| {
            let at = record[cell].text.find(part).unwrap();
            &text[record[cell].locate(text, at..at + part.len())]
        };
        assert_eq!(found(0, "14"), "14");
        assert_eq!(found(0, "or so"), "or so");
        assert_eq!(found(0, "4\" or"), "4\"\" or");
        assert_eq!(found(1, "x"), "x");
        assert_eq!(record[1].locate(text, 9..90), text.len()..text.len(), "beyond the text is its end");
    }

    proptest! {
        #[test]
        fn extents_tile_the_text(text in "([a-zö ,;'\"#=\t\r\n]|\r\n|\"\"){0,60}") {
            let dialect = Dialect::of(&text);
            let mut at = dialect.start;
            for cell in records(&text).into_iter().flatten() {
                prop_assert_eq!(cell.extent.start, at);
                at = cell.extent.end;
                prop_assert!(cell.extent.start <= cell.span.start && cell.span.end <= cell.extent.end);
                prop_assert!(text.get(cell.span.clone()).is_some(), "not at characters: {:?}", cell.span);
                let whole = cell.locate(&text, 0..cell.text.len());
                prop_assert!(cell.span.start <= whole.start && whole.end <= cell.span.end);
            }
            prop_assert!(text[at..].trim_matches(['\r', '\n']).is_empty(), "{:?}", &text[at..]);
        }

        #[test]
        fn what_a_writer_quotes_is_read_back(cells in prop::collection::vec("[a-z\", ;\r\n]{0,8}", 1..5)) {
            let mut writer = ::csv::Writer::from_writer(Vec::new());
            let header: Vec<String> = (0..cells.len()).map(|index| format!("c{index}")).collect();
            writer.write_record(&header).unwrap();
            writer.write_record(&cells).unwrap();
            let text = String::from_utf8(writer.into_inner().unwrap()).unwrap();
            let trimmed: Vec<String> = cells.iter().map(|cell| cell.trim().to_owned()).collect();
            let read = texts(&text);
            prop_assert_eq!(&read[1], &trimmed);
        }
    }
}
