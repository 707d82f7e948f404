//! What is wrong with a question, where, and what to do about it.
//!
//! Validation reports every problem it can see, not the first. A problem names a row and a column of one of the
//! three tables, never a position in a text: whoever read the text knows where that row stands.

use std::collections::BTreeSet;
use std::fmt;

/// One thing that is wrong with a batch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Where; `None` for the batch as a whole (no parts at all).
    pub place: Option<TableCell>,
    /// Which rule is broken, for programs.
    pub kind: ProblemKind,
    /// What is wrong, lower case, without a full stop.
    pub message: String,
    /// What to do about it.
    pub hint: Option<String>,
}

/// A cell of one of the three tables.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct TableCell {
    /// The table.
    pub table: Table,
    /// Index of the part, the stock or the edge band; 0 for all else of the shop.
    pub row: usize,
    /// Name of the column, or of the setting with its section: `boards.kerf`.
    pub field: &'static str,
}

/// The three tables of a question.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Table {
    /// The parts.
    Parts,
    /// The stock.
    Stock,
    /// The shop.
    Shop,
}

/// Which rule is broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum ProblemKind {
    /// Nothing is asked for, or there is nothing to cut it from.
    Empty,
    /// A count or a size is beyond what is accepted.
    Limit,
    /// A cell that must be filled is empty.
    Missing,
    /// A size that is not more than nothing.
    NotPositive,
    /// Two cells contradict each other.
    Contradiction,
    /// No stock is made of the part's material.
    Material,
    /// No stock has the part's section.
    Section,
    /// No stock has the part's thickness.
    Thickness,
    /// More than one stock could be meant.
    Ambiguous,
    /// The part is longer than all stock it may come from.
    TooLong,
    /// The part is wider than all stock it may come from.
    TooWide,
    /// No cut that the shop allows frees the part, or the strip, from any stock it may come from.
    Saw,
    /// Stock has no price, or its price cannot be worked out.
    Price,
    /// The edge trim is thinner than the kerf, or nothing remains after it.
    Trim,
    /// The shop has no such edge band.
    Band,
}

/// Everything that is wrong with a batch, sorted by place; one problem a line when it is displayed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problems(Vec<Problem>);

impl Problems {
    /// The problems, at least one.
    pub fn as_slice(&self) -> &[Problem] {
        &self.0
    }

    /// The problems, at least one.
    pub fn into_vec(self) -> Vec<Problem> {
        self.0
    }
}

impl fmt::Display for Table {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Parts => "parts",
            Self::Stock => "stock",
            Self::Shop => "shop",
        })
    }
}

impl fmt::Display for TableCell {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.table {
            Table::Shop => write!(f, "shop, {}", self.field),
            table => write!(f, "{table} {}, {}", self.row, self.field),
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(place) = self.place {
            write!(f, "{place}: ")?;
        }
        f.write_str(&self.message)?;
        match &self.hint {
            Some(hint) => write!(f, " ({hint})"),
            None => Ok(()),
        }
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        lines(&self.0, f)
    }
}

/// One a line, as every list of what is wrong is displayed.
pub(crate) fn lines<T: fmt::Display>(all: &[T], f: &mut fmt::Formatter<'_>) -> fmt::Result {
    for (index, one) in all.iter().enumerate() {
        let separator = if index == 0 { "" } else { "\n" };
        write!(f, "{separator}{one}")?;
    }
    Ok(())
}

impl std::error::Error for Problem {}
impl std::error::Error for Problems {}

/// What could not be read of a batch: rules that need it are left out, all others are looked at.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Unread {
    cells: BTreeSet<TableCell>,
    lists: BTreeSet<Table>,
}

impl Unread {
    /// A cell. What stands in the batch in its place does not matter.
    pub fn cell(&mut self, place: TableCell) {
        self.cells.insert(place);
    }

    /// Some rows of a table, or all of it: what the batch has of it may not be all.
    pub fn rows(&mut self, table: Table) {
        self.lists.insert(table);
    }

    /// Whether all could be read.
    pub fn is_empty(&self) -> bool {
        self.cells.is_empty() && self.lists.is_empty()
    }
}

/// Collects problems while the rules are looked at one after the other, and knows which cells nobody can rely on any more:
/// those that could not be read, and those that have a problem. A rule asks whether it can rely on what it needs, so that
/// one slip is reported once and hides nothing that does not depend on it.
#[derive(Debug, Default)]
pub(super) struct Findings {
    problems: Vec<Problem>,
    doubts: Unread,
}

impl Findings {
    /// Nothing but doubts yet.
    pub fn without(unread: Unread) -> Self {
        Self { problems: Vec::new(), doubts: unread }
    }

    pub fn add(
        &mut self,
        place: impl Into<Option<TableCell>>,
        kind: ProblemKind,
        message: impl Into<String>,
    ) -> &mut Problem {
        let place = place.into();
        self.doubts.cells.extend(place);
        self.problems.push(Problem { place, kind, message: message.into(), hint: None });
        let last = self.problems.len() - 1;
        &mut self.problems[last]
    }

    /// Whether a rule can rely on a cell.
    pub fn sure(&self, place: TableCell) -> bool {
        !self.doubts.cells.contains(&place)
    }

    /// Whether a rule can rely on some cells of one row.
    pub fn sure_of(&self, row: TableCell, fields: &[&'static str]) -> bool {
        fields.iter().all(|field| self.sure(TableCell { field, ..row }))
    }

    /// Whether a rule can rely on all cells of a row.
    pub fn sure_row(&self, table: Table, row: usize) -> bool {
        let (from, to) = (TableCell { table, row, field: "" }, TableCell { table, row: row + 1, field: "" });
        self.doubts.cells.range(from..to).next().is_none()
    }

    /// Whether a rule can rely on a table to have all its rows.
    pub fn sure_rows(&self, table: Table) -> bool {
        !self.doubts.lists.contains(&table)
    }

    /// Whether a rule can rely on all settings of the shop that it needs. One without a section may belong anywhere.
    fn sure_of_shop(&self, needs: impl Fn(&TableCell) -> bool) -> bool {
        let doubts = self.doubts.cells.range(shop("")..).filter(|place| place.table == Table::Shop);
        self.sure_rows(Table::Shop) && !doubts.into_iter().any(|place| place.field.is_empty() || needs(place))
    }

    /// Whether a rule can rely on one setting of the shop: also on its section.
    pub fn sure_of_setting(&self, field: &str) -> bool {
        let section = field.split('.').next();
        self.sure_of_shop(|place| place.field == field || Some(place.field) == section)
    }

    /// Whether a rule can rely on all that the shop says of its saws.
    pub fn sure_of_saws(&self) -> bool {
        self.sure_of_shop(|place| ["boards", "sheets"].iter().any(|section| place.field.starts_with(section)))
    }

    /// Whether a rule can rely on all that the shop says of an edge band.
    pub fn sure_of_band(&self, row: usize) -> bool {
        self.sure_of_shop(|place| {
            place.field == "band" || place.row == row && place.field.starts_with("band.")
        })
    }

    pub fn len(&self) -> usize {
        self.problems.len()
    }

    pub fn is_empty(&self) -> bool {
        self.problems.is_empty()
    }

    /// Whether nothing is wrong, and all could be read.
    pub fn is_sound(&self) -> bool {
        self.is_empty() && self.doubts.is_empty()
    }

    /// Looking for the word that somebody meant takes time: it is done for the first hundred problems only.
    pub fn may_search(&self) -> bool {
        self.problems.len() < 100
    }

    /// By place; problems of one place stay in the order in which they were found.
    pub fn into_problems(mut self) -> Problems {
        self.problems.sort_by_key(|problem| problem.place);
        Problems(self.problems)
    }
}

impl Problem {
    pub(super) fn hint(&mut self, hint: impl Into<String>) {
        self.hint = Some(hint.into());
    }
}

pub(super) fn part(row: usize, field: &'static str) -> TableCell {
    TableCell { table: Table::Parts, row, field }
}

pub(super) fn stock(row: usize, field: &'static str) -> TableCell {
    TableCell { table: Table::Stock, row, field }
}

pub(super) fn shop(field: &'static str) -> TableCell {
    TableCell { table: Table::Shop, row: 0, field }
}
