//! Can pieces be cut from a rectangle from edge to edge? Slow and plain, to compare with what is fast: every cut at every
//! place, every division of the pieces.

use std::collections::BTreeMap;

pub(crate) use super::asked::Lie;

/// Cuts of any length.
pub(crate) const ANY: [i64; 2] = [0, i64::MAX];

/// How a rectangle may be cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Manner {
    /// How often the direction may change, the first included.
    pub stages: Option<u8>,
    /// Whether one cut more may free a piece.
    pub trimming: bool,
    /// The axis that the first cuts divide, where it is given.
    pub first: Option<usize>,
    /// The shortest and the longest cut that divides either axis.
    pub lengths: [[i64; 2]; 2],
}

impl Manner {
    /// Whether any cut is too long or too short for the saws.
    pub fn limited(&self) -> bool {
        self.lengths != [ANY; 2]
    }

    fn cuts(&self, axis: usize, size: [i64; 2]) -> bool {
        (self.lengths[axis][0]..=self.lengths[axis][1]).contains(&size[1 - axis])
    }
}

/// Any number of stages, two and three, with and without a direction for the first cuts.
pub(crate) fn manners() -> Vec<Manner> {
    let stages = [(None, false), (Some(2), false), (Some(2), true), (Some(3), false), (Some(3), true)];
    let manner = |(stages, trimming), first| Manner { stages, trimming, first, lengths: [ANY; 2] };
    stages.into_iter().flat_map(|of| [None, Some(0), Some(1)].map(|first| manner(of, first))).collect()
}

/// A set of pieces, as bits, and a rectangle.
type Free = (usize, [i64; 2]);
/// The same with the axis that its first cuts divide, and the stages left.
type Sliced = (usize, [i64; 2], usize, u8);

/// Pieces, each with the ways it may lie; of a strip, the pieces fill a rectangle that only cuts of one stage may part.
pub(crate) struct Pieces {
    lies: Vec<Vec<Lie<i64>>>,
    manner: Manner,
    free: BTreeMap<Free, bool>,
    sliced: BTreeMap<Sliced, bool>,
}

impl Pieces {
    pub fn new(lies: Vec<Vec<Lie<i64>>>, manner: Manner) -> Self {
        Self { lies, manner, free: BTreeMap::new(), sliced: BTreeMap::new() }
    }

    /// Whether all of them can be cut from a sheet.
    pub fn all_from(&mut self, size: [i64; 2]) -> bool {
        self.cut_from((1 << self.lies.len()) - 1, size)
    }

    /// Whether a set of them, as bits, can be cut from a sheet.
    pub fn cut_from(&mut self, set: usize, size: [i64; 2]) -> bool {
        // Where cuts would be too long for the saws one way, the first cuts go the other.
        let able = [0, 1].map(|axis| size[1 - axis] <= self.manner.lengths[axis][1]);
        let first = self.manner.first.or((able[0] != able[1]).then_some(usize::from(able[1])));
        match (first, self.manner.stages) {
            (None, None) => self.free(set, size),
            (None, Some(stages)) => (0..2).any(|axis| self.sliced((set, size, axis, stages))),
            // The first cuts make something, or there are none of them, and the sheet is a row.
            (Some(axis), stages) => self.row(set, size, 1 - axis) || self.parted(set, size, axis, stages),
        }
    }

    fn area(&self, set: usize) -> i64 {
        self.of(set)
            .map(|piece| self.lies[piece].iter().map(|lie| lie.size[0] * lie.size[1]).min().unwrap_or(0))
            .sum()
    }

    fn of(&self, set: usize) -> impl Iterator<Item = usize> {
        (0..self.lies.len()).filter(move |piece| set >> piece & 1 == 1)
    }

    /// With any number of stages.
    fn free(&mut self, set: usize, size: [i64; 2]) -> bool {
        if set == 0 || self.area(set) > size[0] * size[1] {
            return set == 0;
        }
        if set.is_power_of_two() {
            // Waste beside a piece comes off by cuts of any length, or, where some are too short, by those that the saws make.
            let short = self.manner.lengths.iter().any(|[least, _]| *least > 0);
            let mut lies = self.lies[set.trailing_zeros() as usize].iter();
            if lies.any(|lie| lie.size == size || !short && lie.size[0] <= size[0] && lie.size[1] <= size[1])
            {
                return true;
            }
            if !short {
                return false;
            }
        }
        if let Some(&known) = self.free.get(&(set, size)) {
            return known;
        }
        let mut found = false;
        let manner = self.manner;
        let able = (0..2).filter(|&axis| manner.cuts(axis, size));
        for (axis, at) in able.flat_map(|axis| (1..size[axis]).map(move |at| (axis, at))) {
            let [near, far] = parts(size, axis, at);
            let mut half = set;
            while !found && half > 0 {
                half = (half - 1) & set;
                // Waste need only come off first where that makes cuts shorter.
                let some = half > 0 || manner.limited();
                found = some && self.free(half, near) && self.free(set ^ half, far);
            }
        }
        self.free.insert((set, size), found);
        found
    }

    /// Whether every piece is as thick as a rectangle along which they follow each other.
    fn row(&self, set: usize, size: [i64; 2], axis: usize) -> bool {
        let mut first = self.of(set).flat_map(|piece| self.lies[piece].iter().map(move |lie| (piece, lie)));
        set == 0
            || first.any(|(piece, lie)| {
                let mut rest = size;
                rest[axis] -= lie.size[axis];
                let free = rest[axis] == 0 || self.manner.cuts(axis, size);
                lie.size[1 - axis] == size[1 - axis]
                    && lie.run.is_none_or(|run| run == axis)
                    && free
                    && rest[axis] >= 0
                    && self.row(set ^ 1 << piece, rest, axis)
            })
    }

    /// With a cut that divides the axis.
    fn parted(&mut self, set: usize, size: [i64; 2], axis: usize, stages: Option<u8>) -> bool {
        let run = self.run(set, size, axis).into_iter().any(|(set, rest)| match stages {
            Some(stages) => self.sliced((set, rest, axis, stages)),
            None => self.free(set, rest),
        });
        run || self.manner.cuts(axis, size)
            && (1..size[axis]).any(|at| {
                let [near, far] = parts(size, axis, at);
                (0..=set).filter(|part| part & set == *part).any(|part| match stages {
                    Some(stages) => {
                        self.sliced((part, near, 1 - axis, stages - 1))
                            && self.sliced((set ^ part, far, axis, stages))
                    }
                    None => self.free(part, near) && self.free(set ^ part, far),
                })
            })
    }

    /// What is left of a set and a rectangle once cuts that divide the axis parted one of its strips, as thick as all of it.
    fn run(&self, set: usize, size: [i64; 2], axis: usize) -> Vec<Free> {
        let cut = self.manner.cuts(axis, size);
        let lies = self.of(set).flat_map(|piece| self.lies[piece].iter().map(move |lie| (piece, lie)));
        let runs = lies.filter(|(_, lie)| {
            let whole = lie.size[axis] == size[axis] || cut && lie.size[axis] < size[axis];
            lie.run == Some(axis) && lie.size[1 - axis] == size[1 - axis] && whole
        });
        runs.map(|(piece, lie)| (set ^ 1 << piece, parts(size, axis, lie.size[axis])[1])).collect()
    }

    /// In so many stages, the first slice of every thickness.
    fn sliced(&mut self, asked: Sliced) -> bool {
        let (set, size, axis, left) = asked;
        if set == 0 || self.area(set) > size[0] * size[1] {
            return set == 0;
        }
        if left == 0 {
            // A piece as it is, or with one cut that frees it.
            let free = |lie: &Lie<i64>| {
                let trims = self.manner.trimming && lie.size[axis] < size[axis];
                let one = lie.run.is_none();
                one && lie.size[1 - axis] == size[1 - axis] && (lie.size[axis] == size[axis] || trims)
            };
            return set.is_power_of_two() && self.lies[set.trailing_zeros() as usize].iter().any(free);
        }
        if let Some(&known) = self.sliced.get(&asked) {
            return known;
        }
        let run = self.run(set, size, axis);
        let mut found = run.into_iter().any(|(set, rest)| self.sliced((set, rest, axis, left)));
        let whole = if self.manner.cuts(axis, size) { 1 } else { size[axis] };
        for thick in whole..=size[axis] {
            let [slice, rest] = parts(size, axis, thick);
            let mut part = set;
            while !found && part > 0 {
                found = self.sliced((part, slice, 1 - axis, left - 1))
                    && self.sliced((set ^ part, rest, axis, left));
                part = (part - 1) & set;
            }
        }
        self.sliced.insert(asked, found);
        found
    }
}

/// A rectangle in two along an axis.
fn parts(size: [i64; 2], axis: usize, at: i64) -> [[i64; 2]; 2] {
    let mut parts = [size; 2];
    (parts[0][axis], parts[1][axis]) = (at, size[axis] - at);
    parts
}
