//! Can these pieces be cut from one sheet? Exact, for a few.
//!
//! For each subset of what is stacked and each [way to begin](Levels), all rectangles from which guillotine cuts can free it,
//! none of them containing another. A cut parts a set in two, so the rectangles of a set come from those of its halves,
//! side by side or one above the other. That costs three to the power of the pieces, hence [`DEEP`].
//!
//! Pieces are put on and taken off one by one, as a search does; only subsets with the new piece are looked at, small
//! ones first, so that two or three pieces that do not go together are found out at once. Of pieces that are alike and
//! follow each other, a subset has the first ones.

use super::levels::{Level, Levels};
use crate::sheet::cutting::Cutting;

/// So many pieces are told apart at every step of a search.
pub(super) const DEEP: usize = 7;
/// And so many where it matters, at the most.
pub(super) const WHOLE: usize = 16;

/// Rectangles, along and across.
type Sizes = Vec<[u32; 2]>;

/// What is stacked, with the envelopes of all its subsets.
#[derive(Clone, Debug)]
pub(super) struct Envelopes {
    size: [u32; 2],
    levels: Levels,
    count: usize,
    /// For each subset, as bits, and in it for each level; those with bits beyond the count are stale.
    of: Vec<Sizes>,
    /// Pieces that are like the one before, as bits.
    twins: usize,
    /// Rectangles put together out of two.
    pub work: u64,
}

impl Envelopes {
    /// Nothing stacked, on a sheet of this size.
    pub fn new(size: [u32; 2], levels: Levels) -> Self {
        Self { size, levels, count: 0, of: Vec::new(), twins: 0, work: 0 }
    }

    /// How many are stacked.
    pub fn count(&self) -> usize {
        self.count
    }

    /// The rectangles of a subset that begins so.
    fn at(&self, set: usize, level: usize) -> &Sizes {
        &self.of[set * self.levels.all.len() + level]
    }

    /// Puts a piece on, which may lie in any of these ways; does not where it cannot be cut with the others, or where more
    /// pieces cannot be told apart.
    pub fn push(&mut self, lays: &[[u32; 2]]) -> bool {
        if self.count >= WHOLE {
            return false;
        }
        let new = 1_usize << self.count;
        let levels = self.levels.all.len();
        self.of.resize(self.of.len().max(2 * new * levels), Vec::new());
        self.twins &= new - 1;
        for others in 0..new {
            let set = new | others;
            if !self.first(set) {
                continue;
            }
            let mut none = true;
            for level in 0..levels {
                let mut list = std::mem::take(&mut self.of[set * levels + level]);
                list.clear();
                match self.levels.all[level] {
                    Level::Pieces { axis, exact } => self.row(&mut list, (axis, exact), lays, others, level),
                    Level::Slices { axis, begin, made } => {
                        self.slices(&mut list, axis, (begin, made), set, level);
                    }
                    Level::Free => self.halves(&mut list, lays, set),
                }
                none &= level < self.levels.first || list.is_empty();
                self.of[set * levels + level] = list;
            }
            if others == 0 && self.count > 0 && self.at(new, 0) == self.at(new >> 1, 0) {
                self.twins |= new;
            }
            if none {
                return false;
            }
        }
        self.count += 1;
        true
    }

    /// One piece more in a row of pieces.
    fn row(
        &mut self,
        list: &mut Sizes,
        (axis, exact): (usize, bool),
        lays: &[[u32; 2]],
        others: usize,
        level: usize,
    ) {
        if others == 0 {
            return lays.iter().for_each(|&lay| self.keep(list, lay, exact.then_some(1 - axis)));
        }
        self.work += (lays.len() * self.at(others, level).len()) as u64;
        for &lay in lays {
            for &row in self.at(others, level) {
                if !exact || row[1 - axis] == lay[1 - axis] {
                    self.put(list, axis, [row, lay], exact.then_some(1 - axis));
                }
            }
        }
    }

    /// A slice with the first piece of a set and any of the others, before slices of the rest.
    fn slices(
        &mut self,
        list: &mut Sizes,
        axis: usize,
        (begin, made): (usize, bool),
        set: usize,
        level: usize,
    ) {
        let slices = self.at(set, begin).iter().filter(|slice| !made || slice[axis] < self.size[axis]);
        slices.for_each(|&slice| self.keep(list, slice, None));
        let mut work = 0;
        self.divide(set, |near, far| {
            let halves = (self.at(near, begin), self.at(far, level));
            work += (halves.0.len() * halves.1.len()) as u64;
            for &a in halves.0 {
                halves.1.iter().for_each(|&b| self.put(list, axis, [a, b], None));
            }
        });
        self.work += work;
    }

    /// A set parted in two in any way and either direction; a piece alone.
    fn halves(&mut self, list: &mut Sizes, lays: &[[u32; 2]], set: usize) {
        if set.is_power_of_two() {
            return lays.iter().for_each(|&lay| self.keep(list, lay, None));
        }
        let mut work = 0;
        self.divide(set, |near, far| {
            let halves = (self.at(near, 0), self.at(far, 0));
            work += 2 * (halves.0.len() * halves.1.len()) as u64;
            for &a in halves.0 {
                for &b in halves.1 {
                    self.put(list, 0, [a, b], None);
                    self.put(list, 1, [a, b], None);
                }
            }
        });
        self.work += work;
    }

    /// All ways to part a set in two, the first piece in the first part.
    fn divide(&self, set: usize, mut tell: impl FnMut(usize, usize)) {
        let lowest = 1_usize << set.trailing_zeros();
        let rest = set ^ lowest;
        let mut with = rest;
        while with > 0 {
            with = (with - 1) & rest;
            let near = lowest | with;
            if self.first(near) {
                tell(near, self.alike(set ^ near));
            }
        }
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
        let levels = self.levels.first..self.levels.all.len();
        let (level, &size) = levels
            .filter_map(|level| Some((level, self.of.get(all * self.levels.all.len() + level)?.first()?)))
            .next()?;
        self.cut(all, level, size, leaf)
    }

    /// How a set that begins so is cut from one of its rectangles.
    fn cut(
        &self,
        set: usize,
        level: usize,
        size: [u32; 2],
        leaf: &dyn Fn(usize, [u32; 2]) -> Cutting,
    ) -> Option<Cutting> {
        if set.is_power_of_two() {
            return Some(leaf(set.trailing_zeros() as usize, size));
        }
        let (axes, begin, exact) = match self.levels.all[level] {
            Level::Free => (0..2, level, false),
            Level::Pieces { axis, exact } => (axis..axis + 1, level, exact),
            Level::Slices { axis, begin, made } => {
                let thin = !made || size[axis] < self.size[axis];
                if thin && self.at(self.alike(set), begin).contains(&size) {
                    return self.cut(set, begin, size, leaf);
                }
                (axis..axis + 1, begin, false)
            }
        };
        let mut half = set;
        loop {
            half = (half - 1) & set;
            if half == 0 {
                return None;
            }
            for &a in self.at(self.alike(half), begin) {
                for &b in self.at(self.alike(set ^ half), level) {
                    let joins = |&axis: &usize| {
                        join(axis, a, b) == size
                            && self.parts(axis, size)
                            && !(exact && a[1 - axis] != b[1 - axis])
                    };
                    if let Some(axis) = axes.clone().find(joins) {
                        let children =
                            vec![self.cut(half, begin, a, leaf)?, self.cut(set ^ half, level, b, leaf)?];
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

    /// Whether the saws can part a rectangle along an axis, which takes a cut as long as it is across.
    fn parts(&self, axis: usize, size: [u32; 2]) -> bool {
        size[1 - axis] <= self.levels.longest[axis]
    }

    /// Keeps what two rectangles make one after the other.
    fn put(&self, list: &mut Sizes, axis: usize, [a, b]: [[u32; 2]; 2], exact: Option<usize>) {
        let joined = join(axis, a, b);
        if self.parts(axis, joined) {
            self.keep(list, joined, exact);
        }
    }

    /// Keeps a rectangle that fits on the sheet, unless it contains another, of the same size along an axis where that has
    /// to be exact.
    fn keep(&self, list: &mut Sizes, size: [u32; 2], exact: Option<usize>) {
        let within = |a: &[u32; 2], b: &[u32; 2]| {
            a[0] <= b[0] && a[1] <= b[1] && exact.is_none_or(|axis| a[axis] == b[axis])
        };
        let fits = size[0] <= self.size[0] && size[1] <= self.size[1];
        if fits && !list.iter().any(|other| within(other, &size)) {
            list.retain(|other| !within(&size, other));
            list.push(size);
        }
    }
}

/// Two rectangles one after the other along an axis.
fn join(axis: usize, a: [u32; 2], b: [u32; 2]) -> [u32; 2] {
    let mut joined = [0; 2];
    joined[axis] = a[axis] + b[axis];
    joined[1 - axis] = a[1 - axis].max(b[1 - axis]);
    joined
}
