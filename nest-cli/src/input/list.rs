//! A list row by row: header, shape of the rows, and where each row stands, for problems that come up later.

use std::ops::Range;

use nest_core::model::MOST_ROWS;
use nest_core::units::{Notice, Unit};

use super::cells::Row;
use super::columns::{Columns, Known, is_header, needs};
use super::csv::{Cell, Dialect, MOST_COLUMNS, Records};
use super::misfits;
use super::shape::{Habit, Shape};
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

/// Lines that a title may have.
const MOST_TITLES: usize = 10;

/// What a list without rows is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Empty {
    /// A slip: it has nothing to say.
    Wrong,
    /// An answer: there is nothing.
    Right,
}

/// Where the header stands below the title of a list, that is told, and all is read from there on.
fn below_title(first: Dialect, source: usize, known: &[Known], desk: &mut Desk) -> Dialect {
    let text = desk.source(source);
    let below = |start: usize| {
        let dialect = Dialect::of(text.text.get(start..).unwrap_or(""));
        let start = start + dialect.start;
        let row = Records::new(&text.text, start..text.text.len(), dialect.separator).next()?;
        Some((Dialect { start, ..dialect }, row))
    };
    let next = |(dialect, _): &(Dialect, Vec<Cell>)| below(text.line(dialect.start).1.end + 1);
    let mut lines = std::iter::successors(below(first.start), next).take(MOST_TITLES);
    match lines.find(|(_, row)| is_header(row, known)) {
        Some((dialect, row)) if dialect.start > first.start => {
            let line = text.line(row[0].span.start).0;
            let span = text.line(first.start).1;
            desk.error(Spot { source, span }, format!("the columns are not named here, but in line {line}"))
                .hint("delete what stands above that line, or begin it with `#`");
            dialect
        }
        _ => first,
    }
}

/// Reads a list. `make` reads one row as far as it can.
///
/// Returns `None` where the list as a whole cannot be read.
pub fn read_list<T>(
    source: usize,
    what: &str,
    known: &'static [Known],
    empty: Empty,
    reading: &mut Reading,
    desk: &mut Desk,
    mut make: impl FnMut(&mut Row<'_>) -> T,
) -> Option<Listed<T>> {
    let text = desk.source(source);
    let dialect = Dialect::of(&text.text);
    if let Some([from, to]) = dialect.wrong {
        let said = text.text.get(from..to).unwrap_or_default();
        desk.error(
            Spot { source, span: from..to },
            format!("expected `,` or `;` or a tab behind `sep=`, but found `{said}`"),
        )
        .hint("save the list with one of these between its columns, and say which, or delete this line");
        return None;
    }
    let dialect = below_title(dialect, source, known, desk);
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
    let (mut rows, mut unread, mut places) = (Vec::new(), Vec::new(), Vec::new());
    let separator = dialect.separator;
    let mut shape =
        Shape { source, text: &text, separator, columns: &columns, surplus: 0, unit: reading.unit };
    if let Some(Habit { surplus, doubt }) = shape.habit(records.position()) {
        shape.surplus = surplus;
        if let Some(span) = doubt {
            let numbers = text.text.get(span.clone()).unwrap_or_default().to_owned();
            desk.warn(Spot { source, span }, Warning::TwoNumbers { numbers });
        }
    }
    let mut odd = Vec::new();
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
        if columns.are_units(&cells) {
            desk.error(whole(cells[0].span.start), "this row holds units, and no sizes")
                .hint("delete it, and say what bare numbers are in the header: `length (mm)`");
            continue;
        }
        if rows.len() == MOST_ROWS {
            desk.error(
                whole(cells[0].span.start),
                format!("expected at most {MOST_ROWS} rows of {what}, but there are more"),
            )
            .hint("split the list");
            misfits::report(odd, rows.len(), &shape, desk);
            return None;
        }
        places.push(start as u32..records.position() as u32);
        let faulty = shape.faulty(&cells, &mut odd, desk);
        let (cells, columns, commas) = (&cells, &columns, separator == b';');
        let lost = columns.unread.iter().copied().chain(faulty).collect();
        let mut row = Row { source, text: &text, cells, columns, commas, unread: lost, reading, desk };
        row.miss(known);
        let item = make(&mut row);
        unread.extend(row.unread.into_iter().map(|column| (rows.len(), column)));
        rows.push(item);
    }
    misfits::report(odd, rows.len(), &shape, desk);
    if rows.is_empty() && empty == Empty::Wrong {
        desk.error(whole(header[0].span.start), format!("the list of {what} has a header but no rows"))
            .hint("write one row for each of them below the header");
        return None;
    }
    let listing = Listing { source, separator, columns, rows: places };
    Some(Listed { rows, listing, unread })
}
