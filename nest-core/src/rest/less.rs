//! Does the question of a plan that carries another on ask for what the lists do, less what was done before?
//!
//! Looked at from the other end than it was made: nothing is taken off the lists here. What the question has less than they
//! have must be as much as the account says, of each piece and of each stock. Which of several rows that are alike gave it
//! is left open.

use std::collections::BTreeMap;

use super::Before;
use super::made::{holds, of_any_size, same};
use super::taken::{EDGES, SAME, key};
use crate::model::{Batch, Part, Stock};

/// What a question has more or less of than is left of the lists. Counts are those of all rows that are alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
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
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Of {
    /// Index of the first of the parts.
    Part(usize),
    /// Index of the first of the pieces in [`Before::made`], of which the question has no part.
    Made(usize),
    /// Index of the first of the rows of stock.
    Stock(usize),
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
        let mut kinds: BTreeMap<Part, Count> = BTreeMap::new();
        // A job may be called otherwise in the lists: the question's rows say what the parts are.
        for (row, (asked, listed)) in question.iter().zip(lists).enumerate() {
            kinds.entry(same(asked)).or_default().add(Of::Part(row), listed.qty, asked.qty);
        }
        for (index, made) in self.made.iter().enumerate() {
            kinds.entry(same(&made.part)).or_default().note(Of::Made(index), made.part.qty);
        }
        let mut families: BTreeMap<Part, Vec<(&Part, &Count)>> = BTreeMap::new();
        for (part, count) in kinds.iter().filter(|(_, count)| count.is_off()) {
            families.entry(of_any_size(part)).or_default().push((part, count));
        }
        let found = families.values().flat_map(|family| unexplained(family));
        sorted(found.collect())
    }

    /// Of which stock a question counts on more or less than is left of the lists, where those say how much there is. Rows are
    /// those of the same place: whether they agree in all else is not asked here.
    ///
    /// Runtime: linear in both, times a logarithm.
    pub fn unlike_stock(&self, lists: &Batch, question: &Batch) -> Vec<Unlike> {
        let (mut exact, mut loose) = (BTreeMap::<Stock, Count>::new(), BTreeMap::<Stock, Count>::new());
        let rows = lists.stock_as_named().zip(&question.stock).enumerate();
        for (row, (stock, asked)) in rows {
            let Some((listed, asked)) = stock.qty.zip(asked.qty) else { continue };
            for (level, counts) in [(SAME, &mut exact), (EDGES, &mut loose)] {
                counts.entry(key(&stock, level)).or_default().add(Of::Stock(row), listed, asked);
            }
        }
        // What is gone of no such row is gone of one with other edges; of a list without such stock nothing is.
        let mut gone: BTreeMap<Stock, u64> = BTreeMap::new();
        for stock in &self.gone {
            let qty = stock.qty.unwrap_or(0);
            match exact.get_mut(&key(stock, SAME)) {
                Some(count) => count.before += u64::from(qty),
                None => *gone.entry(key(stock, EDGES)).or_default() += u64::from(qty),
            }
        }
        for (stock, count) in &mut exact {
            count.before = count.before.min(count.listed);
            *gone.entry(key(stock, EDGES)).or_default() += count.before;
        }
        for (stock, count) in &mut loose {
            count.before = gone.get(stock).copied().unwrap_or(0).min(count.listed);
        }
        let of_one = exact.values().filter(|count| count.more || count.taken() < count.before);
        sorted(loose.values().filter(|count| count.is_off()).chain(of_one).collect())
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
fn sorted(counts: Vec<&Count>) -> Vec<Unlike> {
    let mut unlike: Vec<Unlike> = counts.into_iter().filter_map(Count::unlike).collect();
    let place = |unlike: &Unlike| match unlike.of {
        Of::Part(row) | Of::Stock(row) => (false, row),
        Of::Made(index) => (true, index),
    };
    unlike.sort_by_key(place);
    unlike.dedup_by_key(|unlike| place(unlike));
    unlike
}

/// How many there are of what is alike.
#[derive(Clone, Copy, Debug, Default)]
struct Count {
    first: Option<Of>,
    listed: u64,
    before: u64,
    asked: u64,
    /// Whether the question has more in any row: rows that are alike may still differ in what they cost, or be optional.
    more: bool,
}

impl Count {
    fn add(&mut self, of: Of, listed: u32, asked: u32) {
        self.first.get_or_insert(of);
        self.more |= asked > listed;
        self.listed += u64::from(listed);
        self.asked += u64::from(asked);
    }

    fn note(&mut self, of: Of, before: u32) {
        self.first.get_or_insert(of);
        self.before += u64::from(before);
    }

    /// How much the question has less than the lists.
    fn taken(&self) -> u64 {
        self.listed.saturating_sub(self.asked)
    }

    /// Whether the question has more than the lists, or another amount less than was done of it.
    fn is_off(&self) -> bool {
        self.more || self.taken() != self.before
    }

    fn unlike(&self) -> Option<Unlike> {
        let Self { first, listed, before, asked, .. } = *self;
        Some(Unlike { of: first?, listed, before, asked })
    }
}
