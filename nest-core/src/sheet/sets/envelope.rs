//! Can these pieces be cut from one sheet? Exact, for a few.
//!
//! For each subset of what is stacked, all rectangles from which guillotine cuts of any number of stages can free it, none
//! of them containing another. A cut parts a set in two, so the rectangles of a set come from those of its halves,
//! side by side or one above the other. That costs three to the power of the pieces, hence [`DEEP`].
//!
//! Pieces are put on and taken off one by one, as a search does; only subsets with the new piece are looked at, small
//! ones first, so that two or three pieces that do not go together are found out at once.

use crate::sheet::cutting::Cutting;

/// So many pieces are told apart.
pub(super) const DEEP: usize = 7;

/// What is stacked, with the envelopes of all its subsets.
#[derive(Clone, Debug)]
pub(super) struct Envelopes {
    size: [u32; 2],
    count: usize,
    /// For each subset, as bits; those with bits beyond the count are stale.
    of: Vec<Vec<[u32; 2]>>,
    /// Pairs of rectangles put together.
    pub work: u64,
}

impl Envelopes {
    /// Nothing stacked, on a sheet of this size.
    pub fn new(size: [u32; 2]) -> Self {
        Self { size, count: 0, of: vec![Vec::new(); 1 << DEEP], work: 0 }
    }

    pub fn full(&self) -> bool {
        self.count == DEEP
    }

    /// Puts a piece on, which may lie in any of these ways; does not where it cannot be cut with the others.
    pub fn push(&mut self, lays: &[[u32; 2]]) -> bool {
        let new = 1_usize << self.count;
        for others in 0..new {
            let mut list = std::mem::take(&mut self.of[new | others]);
            list.clear();
            if others == 0 {
                lays.iter().for_each(|&lay| self.keep(&mut list, lay));
            }
            // Who is cut off with the new piece: any but all of the others.
            let mut with = others;
            while with > 0 {
                with = (with - 1) & others;
                let halves = (&self.of[new | with], &self.of[others & !with]);
                self.work += (halves.0.len() * halves.1.len()) as u64;
                for a in halves.0 {
                    for b in halves.1 {
                        self.keep(&mut list, [a[0] + b[0], a[1].max(b[1])]);
                        self.keep(&mut list, [a[0].max(b[0]), a[1] + b[1]]);
                    }
                }
            }
            let none = list.is_empty();
            self.of[new | others] = list;
            if none {
                return false;
            }
        }
        self.count += 1;
        true
    }

    /// How all that is stacked is cut from the sheet, where it can be; `leaf` makes a piece of its number and its lay.
    pub fn cutting(&self, leaf: &dyn Fn(usize, [u32; 2]) -> Cutting) -> Option<Cutting> {
        let all = (1 << self.count) - 1;
        self.cut(all, *self.of[all].first()?, leaf)
    }

    /// How a set is cut from one of its rectangles.
    fn cut(&self, set: usize, size: [u32; 2], leaf: &dyn Fn(usize, [u32; 2]) -> Cutting) -> Option<Cutting> {
        if set.is_power_of_two() {
            return Some(leaf(set.trailing_zeros() as usize, size));
        }
        let mut half = set;
        loop {
            half = (half - 1) & set;
            if half == 0 {
                return None;
            }
            for &a in &self.of[half] {
                for &b in &self.of[set ^ half] {
                    let rows = [[a[0] + b[0], a[1].max(b[1])], [a[0].max(b[0]), a[1] + b[1]]];
                    if let Some(axis) = rows.iter().position(|&row| row == size) {
                        let children = vec![self.cut(half, a, leaf)?, self.cut(set ^ half, b, leaf)?];
                        return Some(Cutting::Row { axis, children });
                    }
                }
            }
        }
    }

    /// Takes the last piece off.
    pub fn pop(&mut self) {
        self.count = self.count.saturating_sub(1);
    }

    /// Keeps a rectangle that fits on the sheet, unless it contains another.
    fn keep(&self, list: &mut Vec<[u32; 2]>, size: [u32; 2]) {
        let within = |a: &[u32; 2], b: &[u32; 2]| a[0] <= b[0] && a[1] <= b[1];
        if within(&size, &self.size) && !list.iter().any(|other| within(other, &size)) {
            list.retain(|other| !within(&size, other));
            list.push(size);
        }
    }
}
