//! One row of a list, read cell by cell. What is wrong with a cell goes on the desk with its place, and the row goes
//! on, so that all its problems are found at once.

use std::ops::Range;
use std::rc::Rc;

use nest_core::model::{LONGEST_TEXT, MOST_PIECES_A_ROW, MOST_ROWS, nearest};
use nest_core::units::{Length, LengthErrorKind, Notice, Unit, parse_length, parse_length_or_zero};

use super::columns::{Columns, Known, needs};
use super::csv::{Cell, Dialect, QuoteFault, Records};
use super::source::Source;
use crate::diagnose::{Desk, Spot};
use crate::warn::Warning;

/// Where the rows of a list stand, so that a later problem of a row finds its cell.
#[derive(Debug)]
pub struct Listing {
    source: usize,
    separator: u8,
    columns: Columns,
    rows: Vec<Range<u32>>,
}

impl Listing {
    /// How many rows were read.
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// The cell of a row, or the row itself where the list has no such column.
    pub fn spot(&self, row: usize, field: &str, desk: &Desk) -> Option<Spot> {
        let range = self.rows.get(row)?;
        let source = desk.source(self.source);
        let range = range.start as usize..range.end as usize;
        let cells = Records::new(&source.text, range, self.separator).next()?;
        let cell = self.columns.place(field).and_then(|place| cells.get(place)).or(cells.first())?;
        Some(Spot { source: self.source, span: cell.span.clone() })
    }
}

/// What is the same for all lists of a run.
#[derive(Debug, Default)]
pub struct Reading {
    /// What bare numbers mean.
    pub unit: Option<Unit>,
    /// Whether the first number without a unit was reported; one report serves for all.
    no_unit: bool,
    /// Doubtful lengths that were reported.
    doubts: usize,
    /// The first currency that was written beside a price.
    pub currency: Option<String>,
}

/// Doubtful lengths that are shown; the rest is counted.
const MOST_DOUBTS: usize = 10;

impl Reading {
    /// Starts with what bare numbers mean. Where `units_failed`, a report says so already.
    pub fn new(unit: Option<Unit>, units_failed: bool) -> Self {
        Self { unit, no_unit: units_failed, ..Self::default() }
    }

    /// Notes a length that may not be what was meant.
    pub fn doubt(&mut self, spot: Spot, notice: Notice, desk: &mut Desk) {
        self.doubts += 1;
        if self.doubts <= MOST_DOUBTS {
            desk.warn(spot, Warning::Length(notice));
        }
    }

    /// Counts the doubts that were not shown.
    pub fn finish(&self, desk: &mut Desk) {
        if self.doubts > MOST_DOUBTS {
            desk.warn(None, Warning::MoreLengths(self.doubts - MOST_DOUBTS));
        }
    }
}

/// Reads a list. `make` returns `None` for a row with a problem.
///
/// Returns the rows without a problem and where they stand; `None` where the list as a whole cannot be read.
pub fn read_list<T>(
    source: usize,
    what: &str,
    known: &'static [Known],
    reading: &mut Reading,
    desk: &mut Desk,
    mut make: impl FnMut(&mut Row<'_>) -> T,
) -> Option<(Vec<T>, Listing)> {
    let text = desk.source(source);
    let dialect = Dialect::of(&text.text);
    let mut records = Records::new(&text.text, dialect.start..text.text.len(), dialect.separator);
    let whole = |at: usize| Spot { source, span: at..at };
    let Some(header) = records.next() else {
        desk.error(whole(0), format!("the list of {what} is empty")).hint(needs(known));
        return None;
    };
    let columns = Columns::read(&header, known, what, source, desk)?;
    let mut made = Vec::new();
    let mut listing = Listing { source, separator: dialect.separator, columns, rows: Vec::new() };
    let mut seen = 0_usize;
    loop {
        let start = records.position();
        let Some(cells) = records.next() else { break };
        if cells.iter().all(|cell| cell.text.is_empty() && cell.fault.is_none()) {
            continue;
        }
        seen += 1;
        if seen > MOST_ROWS {
            desk.error(
                whole(cells[0].span.start),
                format!("expected at most {MOST_ROWS} rows of {what}, but there are more"),
            )
            .hint("split the list");
            return None;
        }
        let range = start as u32..records.position() as u32;
        let before = desk.errors();
        if !shape_is_sound(&cells, &listing, &text, desk) {
            continue;
        }
        let mut row = Row { source, text: &text, cells: &cells, columns: &listing.columns, reading, desk };
        let item = make(&mut row);
        if desk.errors() == before {
            made.push(item);
            listing.rows.push(range);
        }
    }
    if seen == 0 {
        desk.error(whole(header[0].span.start), format!("the list of {what} has a header but no rows"))
            .hint("write one row for each of them below the header");
        return None;
    }
    Some((made, listing))
}

/// Quotes closed, as many cells as the header, none endless.
fn shape_is_sound(cells: &[Cell], listing: &Listing, text: &Source, desk: &mut Desk) -> bool {
    let spot = |span: Range<usize>| Spot { source: listing.source, span };
    for cell in cells {
        let Some(fault) = cell.fault else { continue };
        let inside = "inside quotes an inch mark is written twice: \"23 1/4\"\"\"";
        match fault {
            QuoteFault::Unclosed => {
                let open = cell.span.start..cell.span.start + 1;
                desk.error(spot(open), "the quote that opens here is never closed").hint(inside);
            }
            QuoteFault::TextBehind => {
                desk.error(spot(cell.span.clone()), "there is text behind the closing quote of this cell")
                    .hint(inside);
            }
        }
        return false;
    }
    let (found, expected) = (cells.len(), listing.columns.width);
    let surplus = cells.get(expected..).unwrap_or_default();
    if found < expected || surplus.iter().any(|cell| !cell.text.is_empty()) {
        let first = surplus.iter().find(|cell| !cell.text.is_empty()).or(cells.last());
        let span = first.map_or(0..0, |cell| cell.span.clone());
        let separator = match listing.separator {
            b'\t' => "tab".to_owned(),
            byte => format!("`{}`", char::from(byte)),
        };
        let hint = match found < expected {
            true => format!("empty cells keep their {separator}"),
            false => format!("put a cell that holds a {separator} in quotes"),
        };
        let plural = if found == 1 { "" } else { "s" };
        desk.error(
            spot(span),
            format!("expected {expected} cells as in the header, but found {found} cell{plural}"),
        )
        .hint(hint);
        return false;
    }
    let endless = cells.iter().find(|cell| cell.text.len() > LONGEST_TEXT * 4);
    if let Some(cell) = endless {
        let (_, line) = text.line(cell.span.start);
        let end = cell.span.end.min(line.end);
        desk.error(
            spot(cell.span.start..end),
            format!("expected at most {LONGEST_TEXT} characters in a cell"),
        );
    }
    endless.is_none()
}

/// One row.
pub struct Row<'a> {
    source: usize,
    text: &'a Rc<Source>,
    cells: &'a [Cell],
    columns: &'a Columns,
    reading: &'a mut Reading,
    desk: &'a mut Desk,
}

impl<'a> Row<'a> {
    fn cell(&self, column: &str) -> Option<&'a Cell> {
        self.columns
            .place(column)
            .and_then(|place| self.cells.get(place))
            .filter(|cell| !cell.text.is_empty())
    }

    fn spot(&self, cell: &Cell) -> Spot {
        Spot { source: self.source, span: cell.span.clone() }
    }

    fn spot_in(&self, cell: &Cell, part: Range<usize>) -> Spot {
        Spot { source: self.source, span: cell.locate(&self.text.text, part) }
    }

    /// What a cell says; nothing where it is empty or the list has no such column.
    pub fn text(&self, column: &str) -> &'a str {
        self.cell(column).map_or("", |cell| cell.text.as_str())
    }

    /// What a cell says, if anything.
    pub fn some_text(&self, column: &str) -> Option<String> {
        self.cell(column).map(|cell| cell.text.clone())
    }

    /// Further columns that say something: header and text.
    pub fn extra(&self) -> Vec<(String, String)> {
        let says = |(place, header): &(usize, String)| {
            let cell = self.cells.get(*place).filter(|cell| !cell.text.is_empty())?;
            let header = if header.is_empty() { format!("column {}", place + 1) } else { header.clone() };
            Some((header, cell.text.clone()))
        };
        self.columns.extra.iter().filter_map(says).collect()
    }

    /// Notes a problem with a cell, or with the row where the cell is empty.
    pub fn refuse(&mut self, column: &str, message: impl Into<String>, hint: impl Into<String>) {
        let cell = self.columns.place(column).and_then(|place| self.cells.get(place)).or(self.cells.first());
        let spot = cell.map(|cell| self.spot(cell));
        self.desk.error(spot, message).hint(hint);
    }

    /// A length that must be there.
    pub fn required_length(&mut self, column: &str) -> Length {
        if self.cell(column).is_none() {
            self.refuse(column, format!("`{column}` is empty"), "every row needs one");
        }
        self.length(column).unwrap_or_default()
    }

    /// A length of more than nothing, if the cell says anything.
    pub fn length(&mut self, column: &str) -> Option<Length> {
        let cell = self.cell(column)?;
        self.length_in(cell, 0..cell.text.len(), false)
    }

    /// A length that may be nothing.
    pub fn allowance(&mut self, column: &str) -> Length {
        let Some(cell) = self.cell(column) else { return Length::ZERO };
        self.length_in(cell, 0..cell.text.len(), true).unwrap_or_default()
    }

    /// Several lengths, separated by `;` or `|`.
    pub fn lengths(&mut self, column: &str) -> Vec<Length> {
        let Some(cell) = self.cell(column) else { return Vec::new() };
        let mut start = 0;
        let mut lengths = Vec::new();
        for piece in cell.text.split([';', '|']) {
            if !piece.trim().is_empty() {
                lengths.extend(self.length_in(cell, start..start + piece.len(), false));
            }
            start += piece.len() + 1;
        }
        lengths
    }

    fn length_in(&mut self, cell: &Cell, part: Range<usize>, zero: bool) -> Option<Length> {
        let text = cell.text.get(part.clone())?;
        let unit = self.reading.unit;
        let parsed = if zero { parse_length_or_zero(text, unit) } else { parse_length(text, unit) };
        let shift = |span: Range<usize>| part.start + span.start..part.start + span.end;
        match parsed {
            Ok(parsed) => {
                if let Some(notice) = parsed.notice {
                    let spot = self.spot_in(cell, shift(notice.span()));
                    self.reading.doubt(spot, notice, self.desk);
                }
                Some(parsed.length)
            }
            Err(error) if error.kind() == LengthErrorKind::NoUnit && self.reading.no_unit => {
                // Reported already, for the first such number.
                self.desk.count_silently();
                None
            }
            Err(error) => {
                let spot = self.spot_in(cell, shift(error.span()));
                let report = self.desk.error(spot, error.to_string());
                if error.kind() == LengthErrorKind::NoUnit {
                    self.reading.no_unit = true;
                    report.hint("say what numbers without a unit are: --units in, --units mm, or `units = \"in\"` in the shop file");
                } else if let Some(hint) = error.hint() {
                    report.hint(hint);
                }
                None
            }
        }
    }

    /// A whole number up to the most pieces of a row.
    pub fn quantity(&mut self, column: &str) -> Option<u32> {
        let cell = self.cell(column)?;
        // Spreadsheets write 2 as 2.0 or 2,00.
        let digits = match cell.text.split_once(['.', ',']) {
            Some((whole, zeros))
                if !zeros.is_empty() && zeros.bytes().all(|byte| byte == b'0') && zeros.len() < 3 =>
            {
                whole
            }
            _ => cell.text.as_str(),
        };
        let plain = !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit());
        let number: Option<u32> = digits.parse().ok().filter(|number| *number <= MOST_PIECES_A_ROW);
        match (plain, number) {
            (true, Some(number)) => return Some(number),
            (true, None) => self.refuse(
                column,
                format!(
                    "expected a quantity of at most {MOST_PIECES_A_ROW}, but found `{}`",
                    shortened(&cell.text)
                ),
                "check for a slip of the keys",
            ),
            (false, _) => self.refuse(
                column,
                format!("expected a whole number, but found `{}`", shortened(&cell.text)),
                "a quantity counts pieces: 1, 2, 3",
            ),
        }
        None
    }

    /// How many edges: 0, 1 or 2.
    pub fn edges(&mut self, column: &str) -> u8 {
        match self.text(column) {
            "" | "0" => 0,
            "1" => 1,
            "2" => 2,
            other => {
                let message = format!("expected 0, 1 or 2 edges, but found `{}`", shortened(other));
                self.refuse(column, message, "a part has two edges along its length and two along its width");
                0
            }
        }
    }

    /// `yes` or `no`; empty is no.
    pub fn yes(&mut self, column: &str) -> bool {
        let words = [
            ("yes", true),
            ("no", false),
            ("y", true),
            ("n", false),
            ("true", true),
            ("false", false),
            ("1", true),
            ("0", false),
        ];
        self.word(column, "yes or no", &words).unwrap_or(false)
    }

    /// One of some words, in any case.
    pub fn word<V: Copy>(&mut self, column: &str, expected: &str, words: &[(&str, V)]) -> Option<V> {
        let cell = self.cell(column)?;
        let folded = cell.text.to_lowercase();
        let found = words.iter().find(|(word, _)| *word == folded);
        if found.is_none() {
            let hint = match nearest(&folded, words.iter().map(|(word, _)| *word)) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "leave it empty if you do not care".to_owned(),
            };
            self.refuse(column, format!("expected {expected}, but found `{}`", shortened(&cell.text)), hint);
        }
        found.map(|(_, value)| *value)
    }

    /// Anything else that is read from text and explains itself when it cannot be.
    pub fn parsed<V, E: std::fmt::Display>(
        &mut self,
        column: &str,
        parse: impl FnOnce(&str) -> Result<V, E>,
        hint: impl FnOnce(&E) -> Option<String>,
        span: impl FnOnce(&E) -> Option<Range<usize>>,
    ) -> Option<V> {
        let cell = self.cell(column)?;
        match parse(&cell.text) {
            Ok(value) => Some(value),
            Err(error) => {
                let spot = match span(&error) {
                    Some(part) => self.spot_in(cell, part),
                    None => self.spot(cell),
                };
                let report = self.desk.error(spot, error.to_string());
                if let Some(hint) = hint(&error) {
                    report.hint(hint);
                }
                None
            }
        }
    }

    /// Compares the currency beside a price with that of the others.
    pub fn currency(&mut self, column: &str, found: &str) {
        let expected = self.reading.currency.get_or_insert_with(|| found.to_owned()).clone();
        if let (true, Some(cell)) = (expected != found, self.cell(column)) {
            let spot = self.spot(cell);
            self.desk.warn(spot, Warning::Currency { expected, found: found.to_owned() });
        }
    }
}

/// A text cut down to what a message can hold.
fn shortened(text: &str) -> String {
    match text.char_indices().nth(60) {
        Some((end, _)) => format!("{}...", text.get(..end).unwrap_or_default()),
        None => text.to_owned(),
    }
}
