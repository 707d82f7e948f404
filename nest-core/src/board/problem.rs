//! Boards as whole numbers: items of a length in bars of a capacity, nothing else.
//!
//! The kerf trick, derived once: `n` pieces `l_1..l_n` come out of a clean length `L` exactly when their sum and
//! `n - 1` kerfs `k` fit, because a further kerf is needed only where something remains and the last cut then takes
//! `min(k, remainder)`. Adding `k` on both sides, `sum (l_i + k) <= L + k`: an ordinary knapsack with items `l + k`
//! and capacity `L + k`. Everything behind this file works on those numbers, divided by their common divisor.

/// A length that is asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Item {
    /// Length, kerf included, in grid units.
    pub length: u64,
    /// How many are asked for.
    pub demand: u64,
}

/// A kind of bar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Bar {
    /// Clean length plus one kerf, in grid units, rounded down: the lengths of items are whole.
    pub capacity: u64,
    /// The same in ticks: what a blank lacks is not rounded.
    pub room: u64,
    /// Cost of one.
    pub cost: u64,
    /// How many are used at the least and at the most.
    pub range: Range,
    /// For each item, whether it may come from this bar at all (its length apart).
    pub takes: Vec<bool>,
    /// For each item, its width as a small number if it is narrower than this bar and so ripped from it. Empty where
    /// none of them is too short for that.
    pub ripped: Vec<Option<usize>>,
}

/// How many bars of a kind are used: the supply, or a part of it that a proof looks at by itself.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Range {
    pub least: u64,
    /// `None` for as many as wanted.
    pub most: Option<u64>,
}

impl Range {
    /// Whether none may be used any more.
    pub fn is_spent(self) -> bool {
        self.most == Some(0)
    }

    /// What is left of it after `n` were used.
    pub fn after(self, n: u64) -> Self {
        Self { least: self.least.saturating_sub(n), most: self.most.map(|m| m.saturating_sub(n)) }
    }
}

/// Which items in which bars at the least cost.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Problem {
    /// Longest first.
    pub items: Vec<Item>,
    /// In the order of the batch.
    pub bars: Vec<Bar>,
    /// Ticks in a grid unit.
    pub grid: u64,
    /// Shortest blank that may be ripped, kerf included, in ticks: it has no part in the grid, which it would make
    /// finer than the lengths need.
    pub shortest: u64,
}

/// What is cut from one bar: (item, count) ascending by item, no count zero.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Pattern {
    /// Index of the bar.
    pub bar: usize,
    /// Items with their counts.
    pub counts: Vec<(usize, u64)>,
}

impl Problem {
    /// Length that a pattern uses.
    pub fn used(&self, pattern: &Pattern) -> u64 {
        pattern.counts.iter().map(|&(i, n)| self.items[i].length * n).sum()
    }

    /// Whether an item cannot be ripped by itself.
    pub fn is_short(&self, item: usize) -> bool {
        self.items[item].length * self.grid < self.shortest
    }

    /// For each width with a short item, what its blank lacks to be ripped, in ticks. Items narrower than their bar that
    /// are too short are ripped as part of a longer blank, made of items of the same width and of what the bar has left.
    fn lacking(&self, bar: usize, counts: &[(usize, u64)]) -> Vec<(usize, u64)> {
        let ripped = &self.bars[bar].ripped;
        let mut blanks: Vec<(usize, u64, bool)> = Vec::new();
        if ripped.is_empty() {
            return Vec::new();
        }
        for &(item, n) in counts {
            let Some(width) = ripped[item] else { continue };
            let (length, short) = (self.items[item].length * n * self.grid, self.is_short(item));
            match blanks.iter_mut().find(|blank| blank.0 == width) {
                Some(blank) => *blank = (width, blank.1 + length, blank.2 || short),
                None => blanks.push((width, length, short)),
            }
        }
        blanks.retain(|blank| blank.2);
        blanks.into_iter().map(|(width, blank, _)| (width, self.shortest.saturating_sub(blank))).collect()
    }

    /// Whether every strip of a pattern can be ripped: what blanks lack must be left over.
    pub fn sawable(&self, bar: usize, counts: &[(usize, u64)]) -> bool {
        let used: u64 = counts.iter().map(|&(i, n)| self.items[i].length * n).sum();
        let lacking: u64 = self.lacking(bar, counts).iter().map(|l| l.1).sum();
        used * self.grid + lacking <= self.bars[bar].room
    }

    /// Takes short strips out of a pattern until it can be sawn.
    pub fn mend(&self, bar: usize, counts: &mut Vec<(usize, u64)>) {
        while !self.sawable(bar, counts) {
            let worst = self.lacking(bar, counts).into_iter().max_by_key(|&(width, n)| (n, width));
            let Some((width, _)) = worst else { return };
            let ripped = &self.bars[bar].ripped;
            let victim = counts.iter().position(|&(i, _)| ripped[i] == Some(width) && self.is_short(i));
            let Some(at) = victim else { return };
            if counts[at].1 > 1 {
                counts[at].1 -= 1;
            } else {
                counts.remove(at);
            }
        }
    }

    /// What is asked for, item by item.
    pub fn demand(&self) -> Vec<u64> {
        self.items.iter().map(|i| i.demand).collect()
    }

    /// What may be used, bar by bar.
    pub fn ranges(&self) -> Vec<Range> {
        self.bars.iter().map(|b| b.range).collect()
    }
}
