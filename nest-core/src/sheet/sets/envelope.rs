//! Can these pieces be cut from one sheet? Exact, for a few.
//!
//! For each subset of what is stacked, all rectangles from which guillotine cuts of any number of stages can free it, none
//! of them containing another. A cut parts a set in two, so the rectangles of a set come from those of its halves,
//! side by side or one above the other. That costs three to the power of the pieces, hence [`DEEP`].
//!
//! Pieces are put on and taken off one by one, as a search does; only subsets with the new piece are looked at, small
//! ones first, so that two or three pieces that do not go together are found out at once. Of pieces that are alike and
//! follow each other, a subset has the first ones.

use crate::sheet::cutting::Cutting;

/// So many pieces are told apart at every step of a search.
pub(super) const DEEP: usize = 7;
/// And so many where it matters.
pub(super) const WHOLE: usize = 12;

/// What is stacked, with the envelopes of all its subsets.
#[derive(Clone, Debug)]
pub(super) struct Envelopes {
    size: [u32; 2],
    count: usize,
    /// For each subset, as bits; those with bits beyond the count are stale.
    of: Vec<Vec<[u32; 2]>>,
    /// Pieces that are like the one before, as bits.
    twins: usize,
    /// Pairs of rectangles put together.
    pub work: u64,
}

impl Envelopes {
    /// Nothing stacked, on a sheet of this size.
    pub fn new(size: [u32; 2]) -> Self {
        Self { size, count: 0, of: Vec::new(), twins: 0, work: 0 }
    }

    /// How many are stacked.
    pub fn count(&self) -> usize {
        self.count
    }

    /// Puts a piece on, which may lie in any of these ways; does not where it cannot be cut with the others, or where more
    /// pieces cannot be told apart.
    pub fn push(&mut self, lays: &[[u32; 2]]) -> bool {
        if self.count >= WHOLE {
            return false;
        }
        let new = 1_usize << self.count;
        self.of.resize(self.of.len().max(2 * new), Vec::new());
        self.twins &= new - 1;
        for others in 0..new {
            let set = new | others;
            if !self.first(set) {
                continue;
            }
            let mut list = std::mem::take(&mut self.of[set]);
            list.clear();
            if others == 0 {
                lays.iter().for_each(|&lay| self.keep(&mut list, lay));
                if self.count > 0 && list == self.of[new >> 1] {
                    self.twins |= new;
                }
            }
            // Who is cut off with the first of them: any but all of the others.
            let lowest = 1_usize << set.trailing_zeros();
            let rest = set ^ lowest;
            let mut with = rest;
            while with > 0 {
                with = (with - 1) & rest;
                let near = lowest | with;
                if !self.first(near) {
                    continue;
                }
                let halves = (&self.of[near], &self.of[self.alike(set ^ near)]);
                self.work += (halves.0.len() * halves.1.len()) as u64;
                for a in halves.0 {
                    for b in halves.1 {
                        self.keep(&mut list, [a[0] + b[0], a[1].max(b[1])]);
                        self.keep(&mut list, [a[0].max(b[0]), a[1] + b[1]]);
                    }
                }
            }
            let none = list.is_empty();
            self.of[set] = list;
            if none {
                return false;
            }
        }
        self.count += 1;
        true
    }

    /// Whether a subset has of pieces that are alike the first ones.
    fn first(&self, set: usize) -> bool {
        (set & self.twins) >> 1 & !set == 0
    }

    /// The subset of pieces like those that has the first ones.
    fn alike(&self, mut set: usize) -> usize {
        loop {
            let lone = set & self.twins & !(set << 1);
            if lone == 0 {
                return set;
            }
            set ^= lone | lone >> 1;
        }
    }

    /// How all that is stacked is cut from the sheet, where it can be; `leaf` makes a piece of its number and its lay.
    pub fn cutting(&self, leaf: &dyn Fn(usize, [u32; 2]) -> Cutting) -> Option<Cutting> {
        let all = (1 << self.count) - 1;
        self.cut(all, *self.of.get(all)?.first()?, leaf)
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
            for &a in &self.of[self.alike(half)] {
                for &b in &self.of[self.alike(set ^ half)] {
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
