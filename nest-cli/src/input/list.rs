//! A list row by row: header, shape of the rows, and where each row stands, for problems that come up later.

use std::ops::Range;

use nest_core::model::{LONGEST_TEXT, MOST_ROWS};
use nest_core::units::{Notice, Unit};

use super::cells::Row;
use super::columns::{Columns, Known, needs};
use super::csv::{Cell, Dialect, MOST_COLUMNS, QuoteFault, Records};
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

/// The rows of a list, those with problems too, as far as they could be read.
#[derive(Debug)]
pub struct Listed<T> {
    /// One for each row.
    pub rows: Vec<T>,
    /// Where they stand.
    pub listing: Listing,
    /// Cells that could not be read: row and column.
    pub unread: Vec<(usize, &'static str)>,
}

impl Listing {
    /// How many rows were read.
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// What bare numbers of a column are, where its header says so.
    pub fn unit(&self, field: &str) -> Option<Unit> {
        self.columns.unit(field)
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
    pub no_unit: bool,
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

/// Reads a list. `make` reads one row as far as it can.
///
/// Returns `None` where the list as a whole cannot be read.
pub fn read_list<T: Default>(
    source: usize,
    what: &str,
    known: &'static [Known],
    reading: &mut Reading,
    desk: &mut Desk,
    mut make: impl FnMut(&mut Row<'_>) -> T,
) -> Option<Listed<T>> {
    let text = desk.source(source);
    let dialect = Dialect::of(&text.text);
    let mut records = Records::new(&text.text, dialect.start..text.text.len(), dialect.separator);
    let whole = |at: usize| Spot { source, span: at..at };
    let Some(header) = records.next() else {
        desk.error(whole(0), format!("the list of {what} is empty")).hint(needs(known));
        return None;
    };
    if header.len() > MOST_COLUMNS {
        let message = format!("expected at most {MOST_COLUMNS} columns, but there are more");
        desk.error(whole(header[0].span.start), message).hint("delete those that are empty");
        return None;
    }
    let columns = Columns::read(&header, known, what, source, desk);
    if columns.width == 1 {
        // Of another kind, or separated by something else: its rows say nothing more.
        return None;
    }
    let (mut rows, mut unread) = (Vec::new(), Vec::new());
    let mut listing = Listing { source, separator: dialect.separator, columns, rows: Vec::new() };
    loop {
        let start = records.position();
        let Some(cells) = records.next() else { break };
        if cells.iter().all(|cell| cell.text.is_empty() && cell.fault.is_none()) {
            continue;
        }
        let alike = |(cell, name): (&Cell, &Cell)| cell.text.eq_ignore_ascii_case(&name.text);
        if cells.len() == header.len() && cells.iter().zip(&header).all(alike) {
            desk.error(whole(cells[0].span.start), "the header stands here once more")
                .hint("lists that are put together keep one header: delete this line");
            continue;
        }
        if rows.len() == MOST_ROWS {
            desk.error(
                whole(cells[0].span.start),
                format!("expected at most {MOST_ROWS} rows of {what}, but there are more"),
            )
            .hint("split the list");
            return None;
        }
        listing.rows.push(start as u32..records.position() as u32);
        let columns = &listing.columns;
        let (item, lost) = match faulty_cells(&cells, &listing, &text, desk) {
            Some(faulty) => {
                let commas = dialect.separator == b';';
                let unread = columns.unread.iter().copied().chain(faulty).collect();
                let cells = &cells;
                let mut row = Row { source, text: &text, cells, columns, commas, unread, reading, desk };
                (make(&mut row), row.unread)
            }
            // Nobody knows what it says, so nobody may miss what it has to say.
            None => {
                let needed = known.iter().filter(|column| column.required).map(|column| column.name);
                (T::default(), needed.collect())
            }
        };
        unread.extend(lost.into_iter().map(|column| (rows.len(), column)));
        rows.push(item);
    }
    if rows.is_empty() {
        desk.error(whole(header[0].span.start), format!("the list of {what} has a header but no rows"))
            .hint("write one row for each of them below the header");
        return None;
    }
    Some(Listed { rows, listing, unread })
}

/// The columns of cells that are wrong whatever they say: text behind a quote, or without an end. `None` where nobody
/// knows which cell is which: a quote is not closed, or there are not as many cells as in the header.
fn faulty_cells(
    cells: &[Cell],
    listing: &Listing,
    text: &Source,
    desk: &mut Desk,
) -> Option<Vec<&'static str>> {
    let spot = |span: Range<usize>| Spot { source: listing.source, span };
    let inside = "inside quotes an inch mark is written twice: \"23 1/4\"\"\"";
    let mut faulty = Vec::new();
    for (place, cell) in cells.iter().enumerate() {
        match cell.fault {
            Some(QuoteFault::Unclosed) => {
                let open = cell.span.start..cell.span.start + 1;
                desk.error(spot(open), "the quote that opens here is never closed").hint(inside);
                return None;
            }
            Some(QuoteFault::TextBehind) => {
                desk.error(spot(cell.span.clone()), "there is text behind the closing quote of this cell")
                    .hint(inside);
                faulty.push(listing.columns.name(place));
            }
            None if cell.text.len() > LONGEST_TEXT * 4 => {
                let (_, line) = text.line(cell.span.start);
                let end = cell.span.end.min(line.end);
                desk.error(
                    spot(cell.span.start..end),
                    format!("expected at most {LONGEST_TEXT} characters in a cell"),
                );
                faulty.push(listing.columns.name(place));
            }
            None => {}
        }
    }
    let (found, expected) = (cells.len(), listing.columns.width);
    let surplus = cells.get(expected..).unwrap_or_default();
    let split = if surplus.is_empty() { None } else { split_number(cells, listing, text) };
    // Empty cells at the end are harmless, unless they are there because a number became two.
    let odd = found < expected || split.is_some() || surplus.iter().any(|cell| !cell.text.is_empty());
    if odd && faulty.is_empty() {
        let first = surplus.iter().find(|cell| !cell.text.is_empty()).or(cells.last());
        let span = split.clone().or(first.map(|cell| cell.span.clone())).unwrap_or(0..0);
        let separator = match listing.separator {
            b'\t' => "tab".to_owned(),
            byte => format!("`{}`", char::from(byte)),
        };
        let number = split.and_then(|span| text.text.get(span)).unwrap_or_default();
        let may_be = if number.is_empty() { String::new() } else { format!(": is `{number}` one number?") };
        let hint = match found < expected {
            true => format!("empty cells keep their {separator}"),
            false if number.is_empty() => format!("put a cell that holds a {separator} in quotes"),
            false => format!(
                "a decimal comma needs quotes, \"{number}\", or a point, {}; if those are two numbers, the row has a \
                 {separator} too many",
                number.replace(',', ".")
            ),
        };
        let plural = if found == 1 { "" } else { "s" };
        desk.error(
            spot(span),
            format!("expected {expected} cells as in the header, but found {found} cell{plural}{may_be}"),
        )
        .hint(hint);
    }
    (!odd).then_some(faulty)
}

/// Two neighbours that may be one number with a decimal comma, the first in a column of numbers: of several those with the
/// fewest decimals, `12,5` rather than `18,12`. Only where such numbers explain all cells too many, and numbers stand where
/// they belong once the two are one: else it is a comma in a note, or one too many at the end.
fn split_number(cells: &[Cell], listing: &Listing, text: &Source) -> Option<Range<usize>> {
    if listing.separator != b',' {
        return None;
    }
    let written = |cell: &Cell| text.text.get(cell.span.clone()).unwrap_or_default();
    let number = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
    let surplus = cells.len().saturating_sub(listing.columns.width);
    let belongs = |(place, cell): (usize, &Cell)| {
        let counts = listing.columns.is_number(place) || listing.columns.name(place) == "qty";
        !counts || cell.text.is_empty() || cell.text.starts_with(char::is_numeric)
    };
    let pairs = cells.windows(2).enumerate().filter_map(|(place, pair)| {
        let [whole, rest] = [written(&pair[0]), written(&pair[1])];
        let (decimals, behind) = rest.split_at_checked(number(rest)).unwrap_or_default();
        // A unit may follow, but no fraction.
        let likely = !behind.contains(|c: char| c.is_numeric() || c == '/')
            && match decimals.len() {
                1 | 2 => true,
                // Eighths of an inch; else thousands are more likely than thousandths.
                3 => ["125", "375", "625", "875"].contains(&decimals),
                _ => false,
            };
        let digits = !whole.is_empty() && number(whole) == whole.len();
        let touch = pair[0].span.end + 1 == pair[1].span.start;
        // Where several numbers were split, what stands behind is farther off.
        let behind = || (place + 1..).zip(cells.get(place + 2..).unwrap_or_default());
        let fits = || surplus > 1 || behind().all(belongs);
        let one = listing.columns.is_number(place) && digits && likely && touch && fits();
        one.then(|| (decimals.len(), pair[0].span.start..pair[1].span.end))
    });
    let pairs: Vec<(usize, Range<usize>)> = pairs.collect();
    let (mut apart, mut free) = (0, 0);
    for (_, span) in &pairs {
        if span.start >= free {
            (apart, free) = (apart + 1, span.end);
        }
    }
    let likeliest = pairs.into_iter().min_by_key(|(decimals, _)| *decimals).filter(|_| apart >= surplus);
    likeliest.map(|(_, span)| span)
}
