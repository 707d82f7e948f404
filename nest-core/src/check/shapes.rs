//! From which rectangles a set of pieces can be cut: the judge's own reckoning.
//!
//! For every way to begin the rectangles of a set follow from those of smaller sets. Any number of stages: the first cut
//! leaves some pieces on either side. A given number: slices that follow each other along an axis, each with one stage
//! fewer that begins along the other axis, down to a row of pieces. All pieces of that are as thick as the row, unless
//! one cut more may free a piece. Where the first cuts are given, they divide the sheet, or all pieces are one row and as
//! thick as it is.

use super::bound::Work;
use super::guillotine::Rule;

/// So many rectangles are kept until those that contain others are taken out.
const MOST_FOUND: usize = 4096;

/// Rectangles, kerf included.
pub(super) type Sizes = Vec<[i64; 2]>;

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
    /// The longest cut that divides either axis.
    longest: [i64; 2],
}

/// A set whose smaller ones are known.
#[derive(Clone, Debug)]
pub(super) struct Set<'a> {
    /// How one of its pieces may lie.
    pub lies: &'a [[i64; 2]],
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
    /// The ways of a rule, where cuts that divide either axis may be so long.
    pub fn new(rule: Rule, longest: [i64; 2]) -> Self {
        let exact = !rule.trimming;
        let Some(first) = rule.first else {
            let Some(stages) = rule.stages else { return Self { of: vec![Way::Any], whole: 1, longest } };
            let mut of = vec![Way::Row { axis: 0, exact }, Way::Row { axis: 1, exact }];
            for each in (1..stages).map(|fewer| 2 * usize::from(fewer - 1)) {
                of.push(Way::Slices { axis: 0, each: each + 1, cut: false });
                of.push(Way::Slices { axis: 1, each, cut: false });
            }
            return Self { of, whole: 2, longest };
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
        Self { of, whole: 2, longest }
    }

    /// Whether a set with these rectangles can be cut from the sheet.
    pub fn any(&self, shapes: &[Sizes]) -> bool {
        shapes.iter().rev().take(self.whole).any(|sizes| !sizes.is_empty())
    }

    /// The rectangles of a set on a sheet of some size, way by way, from those of smaller sets; `None` where that is too
    /// much work.
    pub fn shapes(
        &self,
        set: &Set<'_>,
        known: &[Vec<Sizes>],
        size: [i64; 2],
        work: &mut Work,
    ) -> Option<Vec<Sizes>> {
        let mut all: Vec<Sizes> = Vec::new();
        for (number, way) in self.of.iter().enumerate() {
            let mut found: Sizes = Vec::new();
            let mut pair = |near: &[[i64; 2]], far: &[[i64; 2]], axes: &[usize], exact: bool| {
                if !work.pairs(set.dear * (near.len() * far.len()) as u64) {
                    return None;
                }
                for &a in near {
                    for &axis in axes {
                        let fit = far.iter().filter(|b| !exact || a[1 - axis] == b[1 - axis]);
                        let joined = fit.map(|&b| joined(a, b, axis));
                        // The cut between two is as long as both are across.
                        let cut = |shape: &[i64; 2]| shape[1 - axis] <= self.longest[axis];
                        let fits = |shape: &[i64; 2]| shape[0] <= size[0] && shape[1] <= size[1];
                        found.extend(joined.filter(|shape| fits(shape) && cut(shape)));
                    }
                }
                if found.len() > MOST_FOUND {
                    least(&mut found, size, None);
                }
                Some(())
            };
            let alone = set.others == 0;
            match *way {
                Way::Any => {
                    for division in set.divisions.iter().filter(|division| !division.again) {
                        pair(&known[division.near][number], &known[division.far][number], &[0, 1], false)?;
                    }
                }
                Way::Slices { axis, each, cut } => {
                    for division in set.divisions {
                        pair(&known[division.near][each], &known[division.far][number], &[axis], false)?;
                    }
                    found.extend(all[each].iter().filter(|slice| !cut || slice[axis] < size[axis]));
                }
                Way::Row { axis, exact } if !alone => {
                    pair(set.lies, &known[set.others][number], &[axis], exact)?;
                }
                Way::Row { .. } => {}
            }
            if alone && !matches!(way, Way::Slices { .. }) {
                found.extend_from_slice(set.lies);
            }
            let exact = if let Way::Row { axis, exact: true } = *way { Some(1 - axis) } else { None };
            least(&mut found, size, exact);
            all.push(found);
        }
        Some(all)
    }
}

/// Two rectangles one after the other along an axis.
fn joined(a: [i64; 2], b: [i64; 2], axis: usize) -> [i64; 2] {
    if axis == 0 { [a[0] + b[0], a[1].max(b[1])] } else { [a[0].max(b[0]), a[1] + b[1]] }
}

/// Leaves of rectangles those that fit on a sheet and contain no other (no other of the same size along the axis that is
/// `exact`), the narrow and long first.
fn least(found: &mut Sizes, size: [i64; 2], exact: Option<usize>) {
    found.retain(|shape| shape[0] <= size[0] && shape[1] <= size[1]);
    if let Some(axis) = exact {
        found.sort_unstable_by_key(|shape| (shape[axis], shape[1 - axis]));
        return found.dedup_by_key(|shape| shape[axis]);
    }
    found.sort_unstable();
    let mut lowest = i64::MAX;
    found.retain(|&[_, high]| {
        let lower = high < lowest;
        lowest = lowest.min(high);
        lower
    });
}
