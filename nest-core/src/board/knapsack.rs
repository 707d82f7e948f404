//! Pricing on short tables: the bounded knapsack as a dense table over all lengths.
//!
//! Values are whole numbers below 2^53 kept in floats, in which they are exact and in which the processor takes
//! several maxima at once. One row a chunk of copies, all rows kept, so that patterns are read off for any length.
//! Cost: `chunks * capacity` cells.

/// One kind of item as pricing sees it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Offer {
    /// Index of the item in the problem.
    pub item: usize,
    /// Its length.
    pub length: u64,
    /// What one is worth, positive.
    pub price: i64,
    /// The most that one bar may hold.
    pub copies: u64,
}

/// Items with counts.
pub(super) type Counts = Vec<(usize, u64)>;

/// A filled table.
#[derive(Clone, Debug, Default)]
pub(super) struct Table {
    width: usize,
    chunks: Vec<(usize, u64, u64)>,
    /// What each chunk is worth.
    values: Vec<f64>,
    cells: Vec<f64>,
}

impl Table {
    /// Cells that a table would need.
    pub fn cells_needed(offers: &[Offer], capacity: u64) -> u64 {
        let chunks: u64 = offers.iter().map(|o| u64::from(64 - o.copies.leading_zeros())).sum();
        (chunks + 1).saturating_mul(capacity + 1)
    }

    /// Fills the table for all lengths up to `capacity`. Returns the cells filled.
    pub fn fill(&mut self, offers: &[Offer], capacity: u64) -> u64 {
        self.width = capacity as usize + 1;
        self.chunks.clear();
        self.values.clear();
        for offer in offers {
            let mut left = offer.copies;
            let mut size = 1;
            while left > 0 {
                let times = size.min(left);
                if offer.length * times <= capacity {
                    self.chunks.push((offer.item, times, offer.length * times));
                    self.values.push((offer.price * times as i64) as f64);
                }
                left -= times;
                size *= 2;
            }
        }
        let rows = self.chunks.len() + 1;
        self.cells.clear();
        self.cells.resize(rows * self.width, 0.0);
        for (k, &(_, _, length)) in self.chunks.iter().enumerate() {
            let (done, rest) = self.cells.split_at_mut((k + 1) * self.width);
            let from = &done[k * self.width..];
            let to = &mut rest[..self.width];
            let length = length as usize;
            let value = self.values[k];
            to[..length].copy_from_slice(&from[..length]);
            for ((t, &stay), &base) in to[length..].iter_mut().zip(&from[length..]).zip(from) {
                let take = base + value;
                *t = if take > stay { take } else { stay };
            }
        }
        (rows * self.width) as u64
    }

    /// The most that a bar of this capacity collects.
    pub fn value(&self, capacity: u64) -> i64 {
        self.cells[self.cells.len() - self.width + capacity as usize] as i64
    }

    /// A pattern that collects `value(capacity)`: items with counts, in the order of the offers.
    pub fn pattern(&self, capacity: u64) -> Counts {
        let mut c = capacity as usize;
        let mut counts: Counts = Vec::new();
        for k in (0..self.chunks.len()).rev() {
            let here = self.cells[(k + 1) * self.width + c];
            let below = self.cells[k * self.width + c];
            if here != below {
                let (item, times, length) = self.chunks[k];
                c -= length as usize;
                match counts.last_mut() {
                    Some((last, n)) if *last == item => *n += times,
                    _ => counts.push((item, times)),
                }
            }
        }
        counts
    }

    /// All patterns that collect at least `least` within `capacity`, unless there are more than `most`; and the cells
    /// looked at.
    pub fn patterns(&self, capacity: u64, least: i64, most: usize) -> (Option<Vec<Counts>>, u64) {
        let mut walk = Walk { table: self, taken: Vec::new(), found: Vec::new(), most, cells: 0 };
        walk.below(self.chunks.len(), capacity as usize, least as f64);
        let Walk { mut found, cells, .. } = walk;
        let all = found.len() <= most;
        // The same pattern can be put together of different chunks.
        found.sort_unstable();
        found.dedup();
        (all.then_some(found), cells)
    }
}

/// Goes through the choices of chunks, the last chunk first.
struct Walk<'t> {
    table: &'t Table,
    taken: Vec<usize>,
    found: Vec<Counts>,
    most: usize,
    cells: u64,
}

impl Walk<'_> {
    /// Completes what is taken with chunks before `end`; `missing` is what they must collect.
    fn below(&mut self, end: usize, room: usize, missing: f64) {
        if missing <= 0.0 {
            self.keep();
        }
        for k in (0..end).rev() {
            self.cells += 1;
            // The most that chunks up to this one collect.
            if self.table.cells[(k + 1) * self.table.width + room] < missing || self.found.len() > self.most {
                return;
            }
            let length = self.table.chunks[k].2 as usize;
            if length <= room {
                self.taken.push(k);
                self.below(k, room - length, missing - self.table.values[k]);
                self.taken.pop();
            }
        }
    }

    fn keep(&mut self) {
        let mut counts: Counts = Vec::new();
        for &k in self.taken.iter().rev() {
            let (item, times, _) = self.table.chunks[k];
            match counts.last_mut() {
                Some((last, n)) if *last == item => *n += times,
                _ => counts.push((item, times)),
            }
        }
        self.found.push(counts);
    }
}
