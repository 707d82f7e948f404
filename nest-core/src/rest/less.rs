//! Does the question of a plan that carries another on ask for what the lists do, less what was done before?
//!
//! Looked at from the other end than it was made: nothing is taken off the lists here. What the question has less than they
//! have must be as much as the account says, of each piece and of each stock, and of a strip of matched grain all or nothing.
//! Which of several rows that are alike gave it is left open.

use std::collections::{BTreeMap, BTreeSet};

use super::made::{Strip, holds, of_any_size, same, strip};
use super::taken::{EDGES, SAME, key};
use super::{Before, Made};
use crate::model::{Batch, Part, Stock};

/// What a question has more or less of than is left of the lists. Counts are those of all rows that are alike.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unlike {
    /// What it is.
    pub of: Of,
    /// How many the lists ask for, or have.
    pub listed: u64,
    /// How many were made, or were gone, before, as the account says.
    pub before: u64,
    /// How many the question asks for, or counts on.
    pub asked: u64,
}

/// What there is more or less of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Of {
    /// Indices of the parts.
    Part(Vec<usize>),
    /// Index of the first of the pieces in [`Before::made`], of which the question has no part.
    Made(usize),
    /// Indices of the parts of a strip of matched grain, of which some pieces are made and others are not.
    Strip(Vec<usize>),
    /// Indices of the rows of stock.
    Stock(Vec<usize>),
}

impl Before {
    /// Of which parts a question asks for more or fewer than is left of the lists. Rows are those of the same place:
    /// whether they agree in all else is not asked here.
    ///
    /// Blanks that were cut for another size are known to be so where each holds any part that lacks some; that all find
    /// their places at once is not looked for, nor, beyond a thousand kinds, more than that their numbers agree.
    ///
    /// Runtime: linear in both, times a logarithm, beside those blanks.
    pub fn unlike_parts(&self, lists: &[Part], question: &[Part]) -> Vec<Unlike> {
        let (mut kinds, mut strips) = (BTreeMap::<Part, Count>::new(), BTreeMap::<Strip, Count>::new());
        // A job may be called otherwise in the lists: the question's rows say what the parts are.
        for (row, (asked, listed)) in question.iter().zip(lists).enumerate() {
            let strip = strip(asked).map(|strip| strips.entry(strip).or_default());
            let counts = strip.into_iter().chain([kinds.entry(same(asked)).or_default()]);
            counts.for_each(|count| count.add(row, listed.qty, asked.qty));
        }
        for (index, Made { part, .. }) in self.made.iter().enumerate() {
            let strip = strip(part).map(|strip| strips.entry(strip).or_default());
            let counts = strip.into_iter().chain([kinds.entry(same(part)).or_default()]);
            counts.for_each(|count| count.note(index, part.qty));
        }
        // One piece alone is no strip.
        strips.retain(|_, count| count.listed.max(count.before) > 1);
        let mut families: BTreeMap<Part, Vec<(&Part, &Count)>> = BTreeMap::new();
        for (part, count) in kinds.iter().filter(|(_, count)| count.is_off()) {
            families.entry(of_any_size(part)).or_default().push((part, count));
        }
        let (mut found, mut told) = (Vec::new(), BTreeSet::new());
        for (any, family) in &families {
            // In a strip of which a piece has another size, the grain does not run on.
            match strip(any).filter(|strip| strips.contains_key(strip)) {
                Some(strip) => {
                    found.extend(family.iter().filter_map(|(_, count)| count.unlike(Of::Part)));
                    told.insert(strip);
                }
                None => {
                    found.extend(unexplained(family).into_iter().filter_map(|count| count.unlike(Of::Part)))
                }
            }
        }
        let torn = strips.iter().filter(|(strip, count)| count.is_torn() && !told.contains(*strip));
        found.extend(torn.filter_map(|(_, count)| count.unlike(Of::Strip)));
        sorted(found)
    }

    /// Of which stock a question counts on more or less than is left of the lists, where those say how much there is. Rows are
    /// those of the same place: whether they agree in all else is not asked here.
    ///
    /// Runtime: linear in both, times a logarithm.
    pub fn unlike_stock(&self, lists: &Batch, question: &Batch) -> Vec<Unlike> {
        let mut exact: BTreeMap<Stock, Count> = BTreeMap::new();
        let rows = lists.stock_as_named().zip(&question.stock).enumerate();
        for (row, (stock, asked)) in rows {
            let Some((listed, asked)) = stock.qty.zip(asked.qty) else { continue };
            exact.entry(key(&stock, SAME)).or_default().add(row, listed, asked);
        }
        // What is gone of no such row is gone of one with other edges; of a list without such stock nothing is.
        let mut astray: BTreeMap<Stock, u64> = BTreeMap::new();
        for stock in &self.gone {
            let qty = u64::from(stock.qty.unwrap_or(0));
            match exact.get_mut(&key(stock, SAME)) {
                Some(count) => count.before += qty,
                None => *astray.entry(key(stock, EDGES)).or_default() += qty,
            }
        }
        let mut with_any_edges: BTreeMap<Stock, Vec<&Count>> = BTreeMap::new();
        for (stock, count) in &mut exact {
            count.before = count.before.min(count.listed);
            with_any_edges.entry(key(stock, EDGES)).or_default().push(count);
        }
        let mut found = Vec::new();
        for (stock, counts) in &with_any_edges {
            let astray = astray.get(stock).copied().unwrap_or(0);
            let is_off = |count: &&&Count| match astray {
                0 => count.is_off(),
                _ => count.more || count.taken() < count.before,
            };
            let before = found.len();
            found.extend(counts.iter().filter(is_off).filter_map(|count| count.unlike(Of::Stock)));
            // Where one row is off, so is the sum.
            let all = Count::sum(counts, astray);
            found.extend(all.unlike(Of::Stock).filter(|_| found.len() == before && all.is_off()));
        }
        sorted(found)
    }
}

/// How many kinds of blanks, and of parts that they may have become, are looked at.
const MOST_KINDS: usize = 1000;

/// Of parts that differ in their sizes alone, and of which not as many are left out as were made: those that no blank
/// explains which was cut for another size.
fn unexplained<'a>(family: &[(&'a Part, &'a Count)]) -> Vec<&'a Count> {
    let side = |is_over: bool| -> Vec<(&'a Part, &'a Count, u64)> {
        let side = family.iter().filter(|(_, count)| (count.before > count.taken()) == is_over);
        side.map(|(part, count)| (*part, *count, count.before.abs_diff(count.taken()))).collect()
    };
    let (over, under) = (side(true), side(false));
    let sum = |side: &[(&Part, &Count, u64)], may: &dyn Fn(&Part) -> bool| {
        side.iter()
            .filter(|(part, ..)| may(part))
            .map(|(.., off)| off)
            .fold(0, |sum: u64, off| sum.saturating_add(*off))
    };
    let all = |_: &Part| true;
    if sum(&over, &all) != sum(&under, &all) {
        return family.iter().map(|(_, count)| *count).collect();
    }
    let few = over.len().max(under.len()) <= MOST_KINDS;
    let lacks = |(blank, count, off): &&(&Part, &Count, u64)| {
        count.more || few && sum(&under, &|part| holds(blank, part)) < *off
    };
    let alone = |(part, count, off): &&(&Part, &Count, u64)| {
        count.more || few && sum(&over, &|blank| holds(blank, part)) < *off
    };
    over.iter().filter(lacks).chain(under.iter().filter(alone)).map(|(_, count, _)| *count).collect()
}

/// In the order of the lists.
fn sorted(mut unlike: Vec<Unlike>) -> Vec<Unlike> {
    unlike.sort_by_key(|unlike| match &unlike.of {
        Of::Part(rows) | Of::Strip(rows) | Of::Stock(rows) => (false, rows.first().copied()),
        Of::Made(index) => (true, Some(*index)),
    });
    unlike
}

/// How many there are of what is alike.
#[derive(Clone, Debug, Default)]
struct Count {
    rows: Vec<usize>,
    /// Index of the first pieces that are made.
    made: Option<usize>,
    listed: u64,
    before: u64,
    asked: u64,
    /// Whether the question has more in any row: rows that are alike may still differ in what they cost, or be optional.
    more: bool,
}

impl Count {
    fn add(&mut self, row: usize, listed: u32, asked: u32) {
        self.rows.push(row);
        self.more |= asked > listed;
        self.listed += u64::from(listed);
        self.asked += u64::from(asked);
    }

    fn note(&mut self, made: usize, before: u32) {
        self.made.get_or_insert(made);
        self.before += u64::from(before);
    }

    /// Of several, of which so many more are gone as far as there are any.
    fn sum(counts: &[&Self], gone: u64) -> Self {
        let mut all = Self { before: gone, ..Self::default() };
        for count in counts {
            all.rows.extend(&count.rows);
            all.more |= count.more;
            all.listed += count.listed;
            all.before += count.before;
            all.asked += count.asked;
        }
        all.rows.sort_unstable();
        all.before = all.before.min(all.listed);
        all
    }

    /// How much the question has less than the lists.
    fn taken(&self) -> u64 {
        self.listed.saturating_sub(self.asked)
    }

    /// Whether the question has more than the lists, or another amount less than was done of it.
    fn is_off(&self) -> bool {
        self.more || self.taken() != self.before
    }

    /// Whether the question has some of it, but not all.
    fn is_torn(&self) -> bool {
        self.asked > 0 && self.taken() > 0
    }

    /// Of the rows, or, where the question has none, of the pieces that are made.
    fn unlike(&self, of: impl Fn(Vec<usize>) -> Of) -> Option<Unlike> {
        let Self { listed, before, asked, .. } = *self;
        let of = if self.rows.is_empty() { Of::Made(self.made?) } else { of(self.rows.clone()) };
        Some(Unlike { of, listed, before, asked })
    }
}
