//! What a certificate puts a price on: every part for itself or, where it says so, each strip of matched grain as one piece.
//!
//! The pieces of a strip follow each other in one run of parallel cuts, equal across it, with one kerf between two and
//! nothing else: whatever layout makes them holds one rectangle as large as the strip, which is freed by cuts of that run
//! and those before. With the cuts inside it left out, the layout keeps to all rules of the saw that floors know; how far
//! the fence reaches is none of those.

use std::collections::{BTreeMap, BTreeSet};

use crate::model::{CheckedBatch, Strip};
use crate::units::Length;

/// How a piece may lie on a stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Lie<T> {
    /// Size along the stock, and across it.
    pub size: [T; 2],
    /// Of a strip, the axis along which its pieces follow each other.
    pub run: Option<usize>,
}

/// Parts, or strips under the index of their first part.
#[derive(Debug)]
pub(super) struct Asked<'a> {
    pub batch: &'a CheckedBatch,
    /// Strips that count as one piece, by their first part.
    strips: BTreeMap<usize, &'a Strip>,
    /// Their other parts.
    within: BTreeSet<usize>,
}

impl<'a> Asked<'a> {
    pub fn new(batch: &'a CheckedBatch, matched: bool) -> Self {
        let strips = || batch.strips().iter().filter(|_| matched);
        let first = |strip: &'a Strip| Some((*strip.parts.first()?, strip));
        Self {
            batch,
            strips: strips().filter_map(first).collect(),
            within: strips().flat_map(|strip| strip.parts.iter().skip(1).copied()).collect(),
        }
    }

    /// Whether a part counts with the first one of its strip.
    pub fn within(&self, part: usize) -> bool {
        self.within.contains(&part)
    }

    /// How many there are of a part: one, where it stands for its strip, and none, where another does.
    pub fn quantity(&self, part: usize) -> u32 {
        if self.within(part) {
            return 0;
        }
        if self.strips.contains_key(&part) {
            return 1;
        }
        self.batch.batch().parts.get(part).map_or(0, |part| part.qty)
    }

    /// How many there are of some parts.
    pub fn total(&self, parts: &[usize]) -> u64 {
        parts.iter().map(|&part| u64::from(self.quantity(part))).sum()
    }

    /// All ways in which a part may lie on a stock, straight first, none twice.
    pub fn lies(&self, part: usize, s: usize) -> Vec<Lie<Length>> {
        let Some(strip) = self.strips.get(&part) else { return self.alone(part, s).unwrap_or_default() };
        let here = strip.from.iter().filter(|placing| placing.stock == s);
        here.map(|placing| Lie { size: placing.size, run: Some(strip.way.axis(placing.turned)) }).collect()
    }

    fn alone(&self, part: usize, s: usize) -> Option<Vec<Lie<Length>>> {
        let (stock, cut) = (self.batch.stock().get(s)?, self.batch.parts().get(part)?);
        let placing = cut.from.get(cut.from.binary_search_by_key(&s, |placing| placing.stock).ok()?)?;
        let [length, width] = [cut.length, cut.width.unwrap_or(stock.usable()[1])];
        let straight = placing.straight.then_some([length, width]);
        let turned = (placing.turned && !(placing.straight && length == width)).then_some([width, length]);
        Some(straight.into_iter().chain(turned).map(|size| Lie { size, run: None }).collect())
    }
}
