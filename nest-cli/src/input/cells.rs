//! One row of a list, read cell by cell. What is wrong with a cell goes on the desk with its place, its column is noted as
//! unread, and the row goes on, so that all its problems are found at once.

use std::ops::Range;
use std::rc::Rc;

use nest_core::model::{MOST_PIECES_A_ROW, Trim, nearest};
use nest_core::units::{Length, LengthErrorKind, NoticeKind, parse_length, parse_length_or_zero};

use super::columns::{Columns, Known};
use super::csv::Cell;
use super::hints::{self, is_no_value, no_length, not_worked_out, shortened};
use super::list::Reading;
use super::source::Source;
use crate::diagnose::{Desk, Report, Spot};
use crate::warn::Warning;

/// One row.
pub struct Row<'a> {
    pub(super) source: usize,
    pub(super) text: &'a Rc<Source>,
    pub(super) cells: &'a [Cell],
    pub(super) columns: &'a Columns,
    /// Cells are separated by semicolons, as where numbers have decimal commas.
    pub(super) commas: bool,
    /// Columns that nobody can read here. What stands for them in the row does not matter.
    pub(super) unread: Vec<&'static str>,
    pub(super) reading: &'a mut Reading,
    pub(super) desk: &'a mut Desk,
}

/// The columns that mean nothing to the plan, as one: what the rules call them.
pub const EXTRA: &str = "extra";

impl<'a> Row<'a> {
    fn cell(&self, column: &str) -> Option<&'a Cell> {
        self.columns
            .place(column)
            .and_then(|place| self.cells.get(place))
            .filter(|cell| !cell.text.is_empty() && !self.unread.contains(&column))
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
        let extra = self.columns.extra.iter().filter(|_| !self.unread.contains(&EXTRA));
        extra.filter_map(says).collect()
    }

    /// Notes a problem with a cell, which cannot be read then.
    fn fault(&mut self, column: &'static str, at: Option<Spot>, message: impl Into<String>) -> &mut Report {
        self.unread.push(column);
        self.desk.error(at, message).column(column)
    }

    /// Notes a problem with a cell, or with the row where the list has no such column.
    fn refuse(&mut self, column: &'static str, message: impl Into<String>, hint: impl Into<String>) {
        let cell = self.columns.place(column).and_then(|place| self.cells.get(place)).or(self.cells.first());
        let spot = cell.map(|cell| self.spot(cell));
        self.fault(column, spot, message).hint(hint);
    }

    /// Tells once of a row that says nothing in several of the columns that need something, as sums and headings do.
    pub fn miss(&mut self, known: &[Known]) {
        let silent = |name: &&'static str| self.cell(name).is_none() && !self.unread.contains(name);
        let needed = known.iter().filter(|column| column.required).map(|column| column.name);
        let silent: Vec<&'static str> = needed.filter(silent).collect();
        let quoted: Vec<String> = silent.iter().map(|name| format!("`{name}`")).collect();
        // One alone is told with what belongs there.
        let [first @ .., last] = quoted.as_slice() else { return };
        if first.is_empty() {
            return;
        }
        let said = self.cells.iter().find(|cell| !cell.text.is_empty()).map(|cell| self.spot(cell));
        self.desk
            .error(said, format!("{} and {last} are empty", first.join(", ")))
            .hint("every row needs them: delete this one if it is a sum or a heading");
        self.unread.extend(silent);
        // Of a sum nothing else is wanted.
        self.unread.extend(["qty", "width"]);
    }

    /// What a cell says that must say something.
    pub fn required(&mut self, column: &'static str, hint: &str) -> String {
        if self.cell(column).is_none() && !self.unread.contains(&column) {
            self.refuse(column, format!("`{column}` is empty"), hint);
        }
        self.text(column).to_owned()
    }

    /// A length that must be there.
    pub fn required_length(&mut self, column: &'static str) -> Length {
        self.required(column, "every row needs one");
        self.length(column).unwrap_or_default()
    }

    /// A length of more than nothing, if the cell says anything.
    pub fn length(&mut self, column: &'static str) -> Option<Length> {
        let cell = self.cell(column)?;
        self.length_in(column, cell, 0..cell.text.len(), false)
    }

    /// A length that may be nothing.
    pub fn allowance(&mut self, column: &'static str) -> Length {
        let Some(cell) = self.cell(column) else { return Length::ZERO };
        self.length_in(column, cell, 0..cell.text.len(), true).unwrap_or_default()
    }

    /// Several lengths, separated by `;` or `|`.
    pub fn lengths(&mut self, column: &'static str) -> Vec<Length> {
        let Some(cell) = self.cell(column) else { return Vec::new() };
        values(&cell.text)
            .filter(|piece| !is_blank(&cell.text, piece))
            .filter_map(|piece| self.length_in(column, cell, piece, false))
            .collect()
    }

    /// Edge trim: one length that may be nothing for all edges, or one for each.
    pub fn trim(&mut self, column: &'static str) -> Option<Trim> {
        let cell = self.cell(column)?;
        let each = "one for all edges; else near and far end of a board, as in `5; 10`, and of a sheet near and far edge too";
        let found = values(&cell.text).count();
        if !Trim::COUNTS.contains(&found) {
            self.refuse(column, format!("expected one value, two or four, but found {found}"), each);
            return None;
        }
        if values(&cell.text).any(|piece| is_blank(&cell.text, &piece)) {
            let message = format!("one of the {found} values is empty");
            self.refuse(column, message, "0 leaves an edge as it is");
            return None;
        }
        // Where numbers have decimal commas, cells are separated by semicolons.
        if !self.commas && found == 1 && cell.text.contains(',') {
            let message = "the comma is a decimal comma, or stands between two values";
            self.refuse(column, message, "write `2.5` for the one, `2; 5` for the other");
            return None;
        }
        let lengths: Vec<Length> =
            values(&cell.text).filter_map(|piece| self.length_in(column, cell, piece, true)).collect();
        Trim::of(&lengths).filter(|_| lengths.len() == found)
    }

    fn length_in(
        &mut self,
        column: &'static str,
        cell: &Cell,
        part: Range<usize>,
        zero: bool,
    ) -> Option<Length> {
        let text = cell.text.get(part.clone())?;
        if is_no_value(text) {
            let start = part.start + text.len() - text.trim_start().len();
            let spot = self.spot_in(cell, start..start + text.trim().len());
            let message = format!("expected a length, but found `{}`", text.trim());
            self.fault(column, Some(spot), message).hint(no_length(column));
            return None;
        }
        let unit = self.columns.unit(column).or(self.reading.unit);
        let parsed = if zero { parse_length_or_zero(text, unit) } else { parse_length(text, unit) };
        let shift = |span: Range<usize>| part.start + span.start..part.start + span.end;
        match parsed {
            Ok(parsed) => {
                if let Some(notice) = parsed.notice {
                    if self.commas && notice.kind() == NoticeKind::PointOrThousands {
                        self.refuse_point(column, cell, shift(notice.span()));
                        return None;
                    }
                    let spot = self.spot_in(cell, shift(notice.span()));
                    self.reading.doubt(spot, notice, self.desk);
                }
                Some(parsed.length)
            }
            Err(error) if error.kind() == LengthErrorKind::NoUnit && self.reading.no_unit => {
                // Reported already, for the first such number.
                self.unread.push(column);
                self.desk.count_silently();
                None
            }
            Err(error) => {
                let spot = self.spot_in(cell, shift(error.span()));
                self.reading.no_unit |= error.kind() == LengthErrorKind::NoUnit;
                let report = self.fault(column, Some(spot), error.to_string());
                if error.kind() == LengthErrorKind::NoUnit {
                    report.hint("say what numbers without a unit are: --units in, --units mm, or `units = \"in\"` in the shop file");
                } else if let Some(hint) = not_worked_out(&cell.text).map(str::to_owned).or(error.hint()) {
                    report.hint(hint);
                }
                None
            }
        }
    }

    /// A point that is a decimal point or a thousands mark, in a list of decimal commas.
    fn refuse_point(&mut self, column: &'static str, cell: &Cell, part: Range<usize>) {
        let found = cell.text.get(part.clone()).unwrap_or_default();
        let thousand = found.replace('.', "");
        // Three digits behind a comma would be as doubtful.
        let point = found.trim_end_matches('0').replace('.', ",");
        let zero = if point.len() == found.len() { "0" } else { "" };
        let spot = self.spot_in(cell, part);
        self.fault(
            column,
            Some(spot),
            format!("the point in `{found}` is a decimal point or a thousands mark"),
        )
        .hint(format!("write `{thousand}` or `{point}{zero}`"));
    }

    /// A whole number up to the most pieces of a row. Where anything else than one piece is meant by an empty cell, `empty`
    /// says it.
    pub fn quantity(&mut self, column: &'static str, empty: Option<&str>) -> Option<u32> {
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
                hints::quantity(&cell.text, empty),
            ),
        }
        None
    }

    /// How many edges: 0, 1 or 2.
    pub fn edges(&mut self, column: &'static str) -> u8 {
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
    pub fn yes(&mut self, column: &'static str) -> bool {
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
    pub fn word<V: Copy>(&mut self, column: &'static str, expected: &str, words: &[(&str, V)]) -> Option<V> {
        let cell = self.cell(column)?;
        let folded = cell.text.to_lowercase();
        let found = words.iter().find(|(word, _)| *word == folded);
        if found.is_none() {
            let hint = match nearest(&folded, words.iter().map(|(word, _)| *word)) {
                Some(near) => format!("did you mean `{near}`?"),
                None if words.iter().any(|(word, _)| *word == "yes") => "an empty cell says no".to_owned(),
                None if column == "match_way" => {
                    "`along`: one after the other along the grain, as where it is empty; \
                                                  `across`: side by side"
                        .to_owned()
                }
                None if column == "per" => {
                    "a price for one board or sheet is `each`, as where it is empty".to_owned()
                }
                None => match words.iter().find(|(word, _)| matches!(*word, "any" | "none")) {
                    Some((word, _)) => format!("write `{word}` if it does not matter"),
                    None => "leave it empty if you do not care".to_owned(),
                },
            };
            self.refuse(column, format!("expected {expected}, but found `{}`", shortened(&cell.text)), hint);
        }
        found.map(|(_, value)| *value)
    }

    /// Anything else that is read from text and explains itself when it cannot be.
    pub fn parsed<V, E: std::fmt::Display>(
        &mut self,
        column: &'static str,
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
                let report = self.fault(column, Some(spot), error.to_string());
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

/// Where the values of a cell that holds several stand, separated by `;` or `|`.
fn values(text: &str) -> impl Iterator<Item = Range<usize>> {
    let mut start = 0;
    text.split([';', '|']).map(move |piece| {
        let from = start;
        start += piece.len() + 1;
        from..from + piece.len()
    })
}

fn is_blank(text: &str, part: &Range<usize>) -> bool {
    text.get(part.clone()).is_none_or(|piece| piece.trim().is_empty())
}
