//! Boards as whole numbers: items of a length in bars of a capacity, nothing else.
//!
//! The kerf trick, derived once: `n` pieces `l_1..l_n` come out of a clean length `L` exactly when their sum and
//! `n - 1` kerfs `k` fit, because a further kerf is needed only where something remains and the last cut then takes
//! `min(k, remainder)`. Adding `k` on both sides, `sum (l_i + k) <= L + k`: an ordinary knapsack with items `l + k`
//! and capacity `L + k`. Everything behind this file works on those numbers, divided by their common divisor.

/// A length that is asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Item {
    /// Length, kerf included, in grid units.
    pub length: u64,
    /// How many are asked for.
    pub demand: u64,
}

/// A kind of bar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Bar {
    /// Clean length plus one kerf, in grid units.
    pub capacity: u64,
    /// Cost of one.
    pub cost: u64,
    /// How many there are; `None` for as many as wanted.
    pub supply: Option<u64>,
    /// For each item, whether it may come from this bar at all (its length apart).
    pub takes: Vec<bool>,
}

/// Which items in which bars at the least cost.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Problem {
    /// Longest first.
    pub items: Vec<Item>,
    /// In the order of the batch.
    pub bars: Vec<Bar>,
}

/// What is cut from one bar: (item, count) ascending by item, no count zero.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Pattern {
    /// Index of the bar.
    pub bar: usize,
    /// Items with their counts.
    pub counts: Vec<(usize, u64)>,
}

impl Problem {
    /// Whether the item can come from the bar.
    pub fn fits(&self, item: usize, bar: usize) -> bool {
        self.bars[bar].takes[item] && self.items[item].length <= self.bars[bar].capacity
    }

    /// Length that a pattern uses.
    pub fn used(&self, pattern: &Pattern) -> u64 {
        pattern.counts.iter().map(|&(i, n)| self.items[i].length * n).sum()
    }

    /// What is asked for, item by item.
    pub fn demand(&self) -> Vec<u64> {
        self.items.iter().map(|i| i.demand).collect()
    }

    /// What there is, bar by bar.
    pub fn supply(&self) -> Vec<Option<u64>> {
        self.bars.iter().map(|b| b.supply).collect()
    }
}
