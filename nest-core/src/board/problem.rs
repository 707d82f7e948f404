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
    /// Clean length plus one kerf, in grid units.
    pub capacity: u64,
    /// Cost of one.
    pub cost: u64,
    /// How many are used at the least and at the most.
    pub range: Range,
    /// For each item, whether it may come from this bar at all (its length apart).
    pub takes: Vec<bool>,
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
    /// Which items are ripped, and what that asks of a pattern.
    pub strips: Strips,
}

/// Items narrower than their board. A strip that is too short to be ripped alone is ripped as part of a longer
/// blank, made of items of the same width, and of what the board has left.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Strips {
    /// For each item, its width as a small number; `None` for items as wide as the board.
    pub class: Vec<Option<usize>>,
    /// For each item, whether it is too short to be ripped alone.
    pub short: Vec<bool>,
    /// Whether any is.
    pub any: bool,
    /// Shortest blank that may be ripped, kerf included, in grid units.
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

    /// For each width with a short item, what its blank lacks to be ripped.
    pub fn lacking(&self, counts: &[(usize, u64)]) -> Vec<(usize, u64)> {
        let strips = &self.strips;
        let mut lacking: Vec<(usize, u64)> = Vec::new();
        if !strips.any {
            return lacking;
        }
        for &(item, _) in counts.iter().filter(|&&(i, _)| strips.short[i]) {
            let Some(class) = strips.class[item] else { continue };
            if lacking.iter().any(|&(c, _)| c == class) {
                continue;
            }
            let blank: u64 = counts
                .iter()
                .filter(|&&(i, _)| strips.class[i] == Some(class))
                .map(|&(i, n)| self.items[i].length * n)
                .sum();
            lacking.push((class, strips.shortest.saturating_sub(blank)));
        }
        lacking
    }

    /// Whether every strip of a pattern can be ripped: what blanks lack must be left over.
    pub fn sawable(&self, bar: usize, counts: &[(usize, u64)]) -> bool {
        if !self.strips.any {
            return true;
        }
        let used: u64 = counts.iter().map(|&(i, n)| self.items[i].length * n).sum();
        let lacking: u64 = self.lacking(counts).iter().map(|l| l.1).sum();
        used.saturating_add(lacking) <= self.bars[bar].capacity
    }

    /// Takes short strips out of a pattern until it can be sawn.
    pub fn mend(&self, bar: usize, counts: &mut Vec<(usize, u64)>) {
        while !self.sawable(bar, counts) {
            let worst = self.lacking(counts).into_iter().max_by_key(|&(c, n)| (n, c));
            let Some((class, _)) = worst else { return };
            let victim =
                counts.iter().position(|&(i, _)| self.strips.short[i] && self.strips.class[i] == Some(class));
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
