//! From which rectangles a set of pieces can be cut: the judge's own reckoning.
//!
//! For every way to begin the rectangles of a set follow from those of smaller sets. Any number of stages: the first cut
//! leaves some pieces on either side. A given number: slices that follow each other along an axis, each with one stage
//! fewer that begins along the other axis, down to a row of pieces. All pieces of that are as thick as the row, unless
//! one cut more may free a piece. Where the first cuts are given, they divide the sheet, or all pieces are one row and as
//! thick as it is.
//!
//! The pieces of a strip of matched grain are cut apart by the cuts of one run. With a given number of stages the strip is
//! part of a row along which it runs, or its pieces are slices: either way it is as thick as the row, or the sliced
//! rectangle, is.

use super::asked::Lie;
use super::bound::Work;
use super::guillotine::Rule;

/// So many rectangles are kept until those that contain others are taken out.
const MOST_FOUND: usize = 4096;

/// A rectangle, kerf included.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Shape {
    size: [i64; 2],
    /// Whether it has to be as thick as what it is put into, across the axis along which it was put together.
    full: bool,
}

pub(super) type Shapes = Vec<Shape>;

/// One way to begin.
#[derive(Clone, Copy, Debug)]
enum Way {
    /// A cut in either direction, with any number of stages behind it.
    Any,
    /// Slices along an axis, each of which begins in the way with that number; none may be as thick as the sheet where there
    /// has to be a cut.
    Slices { axis: usize, each: usize, cut: bool },
    /// Pieces along an axis, of any thickness unless it is `exact`.
    Row { axis: usize, exact: bool },
}

/// All ways to begin, those of fewer stages first.
#[derive(Clone, Debug)]
pub(super) struct Ways {
    of: Vec<Way>,
    /// How many of them, from the end, the sheet itself may begin with.
    whole: usize,
    /// The shortest and the longest cut that divides either axis.
    cuts: [[i64; 2]; 2],
}

/// A set whose smaller ones are known.
#[derive(Clone, Debug)]
pub(super) struct Set<'a> {
    /// How one of its pieces may lie.
    pub lies: &'a [Lie<i64>],
    /// The set without it.
    pub others: usize,
    /// All sets with it and their rest, but for an empty rest.
    pub divisions: &'a [Division],
    /// What a pair of rectangles costs.
    pub dear: u64,
}

/// A set with a given piece, and the rest.
#[derive(Clone, Copy, Debug)]
pub(super) struct Division {
    pub near: usize,
    pub far: usize,
    /// Whether the two are listed the other way round too.
    pub again: bool,
}

impl Ways {
    /// The ways of a rule, where cuts that divide either axis have at least and at most such lengths. The least are heeded
    /// with any number of stages.
    pub fn new(rule: Rule, cuts: [[i64; 2]; 2]) -> Self {
        let exact = !rule.trimming;
        let Some(first) = rule.first else {
            let Some(stages) = rule.stages else { return Self { of: vec![Way::Any], whole: 1, cuts } };
            let mut of = vec![Way::Row { axis: 0, exact }, Way::Row { axis: 1, exact }];
            for each in (1..stages).map(|fewer| 2 * usize::from(fewer - 1)) {
                of.push(Way::Slices { axis: 0, each: each + 1, cut: false });
                of.push(Way::Slices { axis: 1, each, cut: false });
            }
            return Self { of, whole: 2, cuts };
        };
        let second = 1 - first;
        let mut of = match rule.stages {
            None => vec![Way::Any],
            Some(stages) => {
                // The stages from the second on take turns, and the last is the first way.
                let axis = |stage: u8| if stage.is_multiple_of(2) { second } else { first };
                let row = Way::Row { axis: axis(stages), exact };
                let slices = (2..stages).rev().zip(0..);
                let slices = slices.map(|(stage, each)| Way::Slices { axis: axis(stage), each, cut: false });
                std::iter::once(row).chain(slices).collect()
            }
        };
        let each = of.len() - 1;
        of.push(Way::Row { axis: second, exact: true });
        of.push(Way::Slices { axis: first, each, cut: true });
        Self { of, whole: 2, cuts }
    }

    /// Whether a set with these rectangles can be cut from the sheet.
    pub fn any(&self, shapes: &[Shapes]) -> bool {
        shapes.iter().rev().take(self.whole).any(|shapes| !shapes.is_empty())
    }

    /// The rectangles of a set on a sheet of some size, way by way, from those of smaller sets; `None` where that is too
    /// much work.
    pub fn shapes(
        &self,
        set: &Set<'_>,
        known: &[Vec<Shapes>],
        size: [i64; 2],
        work: &mut Work,
    ) -> Option<Vec<Shapes>> {
        let alone = set.others == 0;
        let shortest = self.cuts.map(|[least, _]| least);
        let mut all: Vec<Shapes> = Vec::new();
        for (number, way) in self.of.iter().enumerate() {
            let mut found: Shapes = Vec::new();
            let mut pair = |near: &[Shape], far: &[Shape], axes: &[usize]| {
                if !work.pairs(set.dear * (near.len() * far.len()) as u64) {
                    return None;
                }
                for &a in near {
                    for &axis in axes {
                        let joined = far.iter().filter_map(|&b| joined(a, b, axis, shortest));
                        // The cut between two is as long as both are across.
                        let cut = |shape: &Shape| shape.size[1 - axis] <= self.cuts[axis][1];
                        let fits = |shape: &Shape| shape.size[0] <= size[0] && shape.size[1] <= size[1];
                        found.extend(joined.filter(|shape| fits(shape) && cut(shape)));
                    }
                }
                if found.len() > MOST_FOUND {
                    least(&mut found, size, axes[0], shortest);
                }
                Some(())
            };
            let axis = match *way {
                Way::Any => {
                    for division in set.divisions.iter().filter(|division| !division.again) {
                        pair(&known[division.near][number], &known[division.far][number], &[0, 1])?;
                    }
                    if alone {
                        found.extend(set.lies.iter().map(|lie| Shape { size: lie.size, full: false }));
                    }
                    0
                }
                Way::Slices { axis, each, cut } => {
                    let whole = |slice: &Shape| Shape { full: false, ..*slice };
                    for division in set.divisions {
                        let slices: Shapes = known[division.near][each].iter().map(whole).collect();
                        pair(&slices, &known[division.far][number], &[axis])?;
                    }
                    // The pieces of a strip as slices, before all that is cut besides. Its own cuts make them, so that it may
                    // be as long as the sheet.
                    let run = set.lies.iter().filter(|lie| lie.run == Some(axis));
                    let run: Shapes = run.map(|lie| Shape { size: lie.size, full: true }).collect();
                    if !alone {
                        pair(&run, &known[set.others][number], &[axis])?;
                    } else {
                        found.extend(run);
                    }
                    let slices = all[each].iter().filter(|slice| !cut || slice.size[axis] < size[axis]);
                    found.extend(slices.map(whole));
                    axis
                }
                Way::Row { axis, exact } => {
                    let may = set.lies.iter().filter(|lie| lie.run.is_none_or(|run| run == axis));
                    let piece = |lie: &Lie<i64>| Shape { size: lie.size, full: exact || lie.run.is_some() };
                    let pieces: Shapes = may.map(piece).collect();
                    if alone {
                        found.extend(pieces);
                    } else {
                        pair(&pieces, &known[set.others][number], &[axis])?;
                    }
                    axis
                }
            };
            if let Way::Any = way {
                // What is too short to be divided along an axis is as large as the sheet there.
                let may = |axis: usize| size[1 - axis] >= shortest[axis];
                found.retain(|shape| (0..2).all(|axis| may(axis) || shape.size[axis] == size[axis]));
            }
            // Slices of the sheet itself go all through it.
            if number + self.whole >= self.of.len() && matches!(way, Way::Slices { .. }) {
                found.retain(|shape| !shape.full || shape.size[1 - axis] == size[1 - axis]);
            }
            least(&mut found, size, axis, shortest);
            all.push(found);
        }
        Some(all)
    }
}

/// Two rectangles one after the other along an axis, unless one would be thicker than another that is full. Both are as
/// thick as the cut between them has to be long; beside the thinner one is waste, and it as long as the cut that takes that
/// off has to be.
fn joined(a: Shape, b: Shape, axis: usize, shortest: [i64; 2]) -> Option<Shape> {
    let across = 1 - axis;
    let thick = a.size[across].max(b.size[across]).max(shortest[axis]);
    let mut size = [thick; 2];
    size[axis] = 0;
    for shape in [a, b] {
        let thinner = shape.size[across] < thick;
        if thinner && shape.full {
            return None;
        }
        size[axis] += if thinner { shape.size[axis].max(shortest[across]) } else { shape.size[axis] };
    }
    Some(Shape { size, full: a.full || b.full })
}

/// Leaves of rectangles put together along an axis those that fit on a sheet and do for nothing for which another does not:
/// those that contain no other that does where they do, of the full ones no other that is as thick; the narrow and long
/// first.
fn least(found: &mut Shapes, size: [i64; 2], axis: usize, shortest: [i64; 2]) {
    found.retain(|shape| shape.size[0] <= size[0] && shape.size[1] <= size[1]);
    found.sort_unstable();
    let mut lowest = i64::MAX;
    let mut open: Shapes = Vec::new();
    // A smaller one needs cuts that take off what it is smaller by.
    let does = |small: &Shape, other: &Shape| {
        let [x, y] = [0, 1].map(|axis| {
            small.size[axis] == other.size[axis]
                || small.size[1 - axis].max(shortest[axis]) <= other.size[1 - axis]
        });
        small.size[0] <= other.size[0] && small.size[1] <= other.size[1] && x && y
    };
    let any_length = shortest == [0; 2];
    for shape in found.iter().filter(|shape| !shape.full) {
        if shape.size[1] < lowest || !any_length && !open.iter().any(|other| does(other, shape)) {
            lowest = lowest.min(shape.size[1]);
            open.push(*shape);
        }
    }
    if open.len() == found.len() {
        return;
    }
    // Among those of one thickness the shortest.
    let mut full: Shapes = found.iter().copied().filter(|shape| shape.full).collect();
    full.sort_unstable_by_key(|shape| (shape.size[1 - axis], shape.size[axis]));
    full.dedup_by_key(|shape| shape.size[1 - axis]);
    full.retain(|shape| !open.iter().any(|other| does(other, shape)));
    *found = open;
    found.extend(full);
}
