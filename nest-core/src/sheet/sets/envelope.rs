//! Can these pieces be cut from one sheet? Exact, for a few.
//!
//! For each subset of what is stacked and each [way to begin](Levels), all rectangles from which guillotine cuts can free it,
//! but for those in whose place a smaller one does. A cut parts a set in two, so the rectangles of a set come from those of
//! its halves, side by side or one above the other. That costs three to the power of the pieces, so it is done for few.
//! Boards have cuts that may be too short: what takes one off is cut as part of a longer blank.
//!
//! Pieces are put on and taken off one by one, as a search does; only subsets with the new piece are looked at, small
//! ones first, so that two or three pieces that do not go together are found out at once. Of pieces that are alike and
//! follow each other, a subset has the first ones.
//!
//! A strip of matched grain is a piece that is cut on: its own cuts, along its chain, are of the row or of the slices that
//! it is among, and go through all of those, which are as thick as the strip then, and no thicker.
//!
//! Where there is neither, and no row whose pieces have to be as thick as it is, of two rectangles as long the thinner does, so
//! that those of a set are steps of a stair: two stairs join into one in as many looks as they have steps together
//! (Stockmeyer 1983).

use super::levels::{Level, Levels};
use super::stair::{self, Size, Step};
use crate::sheet::cutting::Cutting;

/// So many pieces are told apart at every step of a search: no more than the check tells of any set, whatever its pieces.
const DEEP: usize = 9;
/// And so many where cuts may be too short, which takes every pair of rectangles.
const DEEP_OF_BLANKS: usize = 7;
/// And so many where it matters, at the most.
pub(super) const WHOLE: usize = 16;

/// How many pieces are told apart at every step of a search.
pub(super) fn deep(levels: &Levels) -> usize {
    if blanks(levels) { DEEP_OF_BLANKS } else { DEEP }
}

/// Whether any cut may be too short, so that something is cut as part of a longer blank.
fn blanks(levels: &Levels) -> bool {
    levels.cut.iter().any(|&[least, _]| least > 0)
}

/// How a piece may lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Lie {
    /// Along and across.
    pub size: [u32; 2],
    /// Of a strip, the axis along which its pieces follow each other.
    pub chain: Option<usize>,
}

impl Lie {
    pub fn area(&self) -> u64 {
        u64::from(self.size[0]) * u64::from(self.size[1])
    }
}

/// A rectangle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Shape {
    /// Along and across.
    size: [u32; 2],
    /// Whether it may not be thicker, across what follows each other in it.
    exact: bool,
}

type Shapes = Vec<Shape>;

impl Step for Shape {
    fn new(size: Size) -> Self {
        Self { size, exact: false }
    }

    fn size(&self) -> Size {
        self.size
    }
}

/// What is stacked, with the envelopes of all its subsets.
#[derive(Clone, Debug)]
pub(super) struct Envelopes {
    size: [u32; 2],
    levels: Levels,
    /// Whether any cut may be too short, so that something is cut as part of a longer blank.
    blanks: bool,
    count: usize,
    /// How each piece may lie; those beyond the count are stale.
    lies: Vec<Vec<Lie>>,
    /// For each subset, as bits, and in it for each level; those with bits beyond the count are stale.
    of: Vec<Shapes>,
    /// Pieces that are like the one before, as bits.
    twins: usize,
    /// Strips, which are more than their size, as bits.
    strips: usize,
    /// Rectangles put together out of two.
    pub work: u64,
}

impl Envelopes {
    /// Nothing stacked, on a sheet of this size.
    pub fn new(size: [u32; 2], levels: Levels) -> Self {
        Self {
            size,
            blanks: blanks(&levels),
            levels,
            count: 0,
            lies: Vec::new(),
            of: Vec::new(),
            twins: 0,
            strips: 0,
            work: 0,
        }
    }

    /// How many are stacked.
    pub fn count(&self) -> usize {
        self.count
    }

    /// The rectangles of a subset that begins so.
    fn at(&self, set: usize, level: usize) -> &Shapes {
        &self.of[set * self.levels.all.len() + level]
    }

    /// Puts a piece on, which may lie in any of these ways; does not where it cannot be cut with the others, or where more
    /// pieces cannot be told apart.
    pub fn push(&mut self, lies: &[Lie]) -> bool {
        if self.count >= WHOLE {
            return false;
        }
        if self.lies.len() == self.count {
            self.lies.push(Vec::new());
        }
        self.lies[self.count].clear();
        self.lies[self.count].extend_from_slice(lies);
        let new = 1_usize << self.count;
        let levels = self.levels.all.len();
        self.of.resize(self.of.len().max(2 * new * levels), Vec::new());
        self.twins &= new - 1;
        self.strips &= new - 1;
        if lies.iter().any(|lie| lie.chain.is_some()) {
            self.strips |= new;
        }
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
                    Level::Pieces { axis, exact } => self.row(&mut list, (axis, exact), others, level),
                    Level::Slices { axis, begin, made } => {
                        self.slices(&mut list, axis, (begin, made), set, level);
                    }
                    Level::Free => self.halves(&mut list, set),
                }
                none &= level < self.levels.first || list.is_empty();
                self.of[set * levels + level] = list;
            }
            let like_last = |level| self.at(new, level) == self.at(new >> 1, level);
            if others == 0 && self.count > 0 && (0..levels).all(like_last) {
                self.twins |= new;
            }
            if none {
                return false;
            }
        }
        self.count += 1;
        true
    }

    /// The last piece as part of a row along an axis, where it may be one.
    fn in_row(&self, axis: usize, exact: bool) -> impl Iterator<Item = Shape> {
        let may = self.lies[self.count].iter().filter(move |lie| lie.chain.is_none_or(|chain| chain == axis));
        may.map(move |lie| Shape { size: lie.size, exact: exact || lie.chain.is_some() })
    }

    /// One piece more in a row of pieces.
    fn row(&mut self, list: &mut Shapes, (axis, exact): (usize, bool), others: usize, level: usize) {
        let mut work = 0;
        let stairs = self.stairs(others | 1 << self.count, level);
        for piece in self.in_row(axis, exact) {
            if others == 0 {
                self.keep(list, Some(axis), piece, level);
                continue;
            }
            if stairs {
                work += self.join_stairs(list, axis, [self.at(others, level), &[piece]]);
                continue;
            }
            work += self.at(others, level).len() as u64;
            for &row in self.at(others, level) {
                self.put(list, axis, [row, piece], level);
            }
        }
        self.work += work;
    }

    /// What a set may be as slices of which each begins as another level has it: one of those, or a strip whose own cuts make
    /// the slices.
    fn slice(&self, set: usize, begin: usize, axis: usize) -> impl Iterator<Item = Shape> {
        let slices = self.at(set, begin).iter().map(|slice| Shape { exact: false, ..*slice });
        let alone = set.is_power_of_two().then(|| &self.lies[set.trailing_zeros() as usize]);
        let strips = alone.into_iter().flatten().filter(move |lie| lie.chain == Some(axis));
        slices.chain(strips.map(|lie| Shape { size: lie.size, exact: true }))
    }

    /// A slice with the first piece of a set and any of the others, before slices of the rest.
    fn slices(
        &mut self,
        list: &mut Shapes,
        axis: usize,
        (begin, made): (usize, bool),
        set: usize,
        level: usize,
    ) {
        let made = |slice: &Shape| !made || slice.exact || slice.size[axis] < self.size[axis];
        self.slice(set, begin, axis).filter(made).for_each(|slice| self.keep(list, Some(axis), slice, level));
        let mut work = 0;
        let stairs = self.stairs(set, level);
        self.divide(set, |near, far| {
            let rest = self.at(far, level);
            if stairs {
                work += self.join_stairs(list, axis, [self.at(near, begin), rest]);
                return;
            }
            self.slice(near, begin, axis).for_each(|a| {
                work += rest.len() as u64;
                rest.iter().for_each(|&b| self.put(list, axis, [a, b], level));
            });
        });
        self.work += work;
    }

    /// A set parted in two in any way and either direction; a piece alone.
    fn halves(&mut self, list: &mut Shapes, set: usize) {
        if set.is_power_of_two() {
            let alone = self.lies[set.trailing_zeros() as usize].iter();
            return alone.for_each(|lie| self.keep(list, None, Shape { size: lie.size, exact: false }, 0));
        }
        let mut work = 0;
        let stairs = self.stairs(set, 0);
        self.divide(set, |near, far| {
            let halves = (self.at(near, 0), self.at(far, 0));
            if stairs {
                work += self.join_stairs(list, 0, [halves.0, halves.1]);
                work += self.join_stairs(list, 1, [halves.0, halves.1]);
                return;
            }
            work += 2 * (halves.0.len() * halves.1.len()) as u64;
            for &a in halves.0 {
                for &b in halves.1 {
                    self.put(list, 0, [a, b], 0);
                    self.put(list, 1, [a, b], 0);
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
        let (level, &shape) = levels
            .filter_map(|level| Some((level, self.of.get(all * self.levels.all.len() + level)?.first()?)))
            .next()?;
        self.cut(all, level, shape, leaf)
    }

    /// How a set that begins so is cut from one of its rectangles.
    fn cut(
        &self,
        set: usize,
        level: usize,
        shape: Shape,
        leaf: &dyn Fn(usize, [u32; 2]) -> Cutting,
    ) -> Option<Cutting> {
        if set.is_power_of_two() {
            return Some(leaf(set.trailing_zeros() as usize, shape.size));
        }
        let (axes, begin) = match self.levels.all[level] {
            Level::Free => (0..2, level),
            Level::Pieces { axis, .. } => (axis..axis + 1, level),
            Level::Slices { axis, begin, made } => {
                let thin = !made || shape.size[axis] < self.size[axis];
                let mut slices = self.at(self.alike(set), begin).iter();
                if let Some(&slice) = slices.find(|slice| thin && slice.size == shape.size) {
                    return self.cut(set, begin, slice, leaf);
                }
                (axis..axis + 1, begin)
            }
        };
        let sliced = begin != level;
        let mut half = set;
        loop {
            half = (half - 1) & set;
            if half == 0 {
                return None;
            }
            let near = self.alike(half);
            let whole = self.at(near, begin).iter().copied().filter(|_| !sliced);
            let slices =
                axes.clone().take(usize::from(sliced)).flat_map(|axis| self.slice(near, begin, axis));
            for a in whole.chain(slices) {
                for &b in self.at(self.alike(set ^ half), level) {
                    let joins =
                        |&axis: &usize| self.join(axis, a, b) == Some(shape) && self.parts(axis, shape.size);
                    if let Some(axis) = axes.clone().find(joins) {
                        // A slice is cut on as its own level has it.
                        let inner = self.at(near, begin).iter().find(|inner| inner.size == a.size);
                        let first = self.cut(half, begin, inner.copied().unwrap_or(a), leaf)?;
                        return Some(Cutting::Row {
                            axis,
                            children: vec![first, self.cut(set ^ half, level, b, leaf)?],
                        });
                    }
                }
            }
        }
    }

    /// Takes the last piece off.
    pub fn pop(&mut self) {
        self.count = self.count.saturating_sub(1);
    }

    /// The least length of a cut that divides an axis.
    fn shortest(&self, axis: usize) -> u32 {
        self.levels.cut[axis][0]
    }

    /// Whether the saws can part a rectangle along an axis, which takes a cut as long as it is across.
    fn parts(&self, axis: usize, size: [u32; 2]) -> bool {
        size[1 - axis] <= self.levels.cut[axis][1]
    }

    /// Whether the rectangles of a set that begins so are a stair, in order, as those of its parts are.
    fn stairs(&self, set: usize, level: usize) -> bool {
        !self.blanks && set & self.strips == 0 && self.levels.uneven(level)
    }

    /// Keeps what two stairs make one after the other; tells the work.
    #[inline]
    fn join_stairs(&self, list: &mut Shapes, axis: usize, stairs: [&[Shape]; 2]) -> u64 {
        let mut most = self.size;
        most[1 - axis] = most[1 - axis].min(self.levels.cut[axis][1]);
        stair::join(list, axis, stairs, most)
    }

    /// Keeps what two rectangles make one after the other.
    #[inline]
    fn put(&self, list: &mut Shapes, axis: usize, [a, b]: [Shape; 2], level: usize) {
        if let Some(joined) = self.join(axis, a, b).filter(|joined| self.parts(axis, joined.size)) {
            self.keep(list, Some(axis), joined, level);
        }
    }

    /// Keeps a rectangle that fits on the sheet, unless it does for nothing that another does not do for as well. What is
    /// exact, of slices of the sheet itself, is as thick as that.
    fn keep(&self, list: &mut Shapes, axis: Option<usize>, shape: Shape, level: usize) {
        if shape.size[0] > self.size[0] || shape.size[1] > self.size[1] {
            return;
        }
        let across = axis.map_or(0, |axis| 1 - axis);
        let sliced = || level >= self.levels.first && matches!(self.levels.all[level], Level::Slices { .. });
        if shape.exact && shape.size[across] < self.size[across] && sliced() {
            return;
        }
        // It takes cuts to make it smaller.
        let cut = |a: [u32; 2], b: [u32; 2]| {
            let along = |axis: usize| a[axis] == b[axis] || self.shortest(axis) <= b[1 - axis];
            !self.blanks || along(0) && along(1)
        };
        let within = |a: &Shape, b: &Shape| {
            let small = a.size[0] <= b.size[0] && a.size[1] <= b.size[1];
            small && (!a.exact || b.exact && a.size[across] == b.size[across]) && cut(a.size, b.size)
        };
        if cut(shape.size, self.size) && !list.iter().any(|other| within(other, &shape)) {
            list.retain(|other| !within(&shape, other));
            list.insert(list.partition_point(|other| other.size < shape.size), shape);
        }
    }

    /// Two rectangles one after the other along an axis, where neither is too thick for the other: as thick as the cut between
    /// them has to be long, and the thinner one as long as the cut that takes off what is beside it.
    #[inline]
    fn join(&self, axis: usize, a: Shape, b: Shape) -> Option<Shape> {
        let across = 1 - axis;
        let mut size = [a.size[across].max(b.size[across]); 2];
        size[axis] = a.size[axis] + b.size[axis];
        if self.blanks {
            size[across] = size[across].max(self.shortest(axis));
            let long = |shape: Shape| {
                let least = if shape.size[across] < size[across] { self.shortest(across) } else { 0 };
                shape.size[axis].max(least)
            };
            size[axis] = long(a) + long(b);
        }
        let thin = |shape: Shape| shape.exact && shape.size[across] < size[across];
        (!thin(a) && !thin(b)).then_some(Shape { size, exact: a.exact || b.exact })
    }
}
