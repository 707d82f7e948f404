//! How a set may be cut, one table of rectangles for each way to begin.
//!
//! With few stages, what has `n` of them beginning along an axis is slices that follow each other along it, each of which
//! has the stages that remain and begins along the other axis. The last of them is a row of pieces, as thick as each
//! of them unless one cut more may free a piece. Where the first cuts are given, or the saws cannot cut all of the sheet
//! the other way, it is cut so or has all its pieces in one row, each as thick as the sheet.

use crate::sheet::problem::Rules;

/// One way to begin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Level {
    /// Cuts in any direction, any number of times.
    Free,
    /// Slices that follow each other along an axis, each of which begins as another level has it; on the sheet itself one
    /// slice that is as thick may not do, where the cuts that make it have to be.
    Slices { axis: usize, begin: usize, made: bool },
    /// Pieces that follow each other along an axis, all of one thickness where that has to be `exact`.
    Pieces { axis: usize, exact: bool },
}

/// All ways that the rules of the saw know, what another one needs before it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Levels {
    pub all: Vec<Level>,
    /// From here on they are ways to begin on the sheet itself.
    pub first: usize,
    /// The shortest and the longest cut that divides either axis.
    pub cut: [[u32; 2]; 2],
}

impl Levels {
    /// Those of a sheet of this size.
    pub fn new(rules: &Rules, size: [u32; 2]) -> Self {
        let mut all: Vec<Level> = Vec::new();
        let first_cut = rules.first_on(size);
        match (rules.staged(), first_cut) {
            (None, first) => {
                all.push(Level::Free);
                all.extend(first.map(|axis| Level::Slices { axis, begin: 0, made: true }));
            }
            (Some(stages), Some(first)) => {
                for before in (0..usize::from(stages)).rev() {
                    let axis = (first + before) % 2;
                    all.push(match all.len().checked_sub(1) {
                        Some(begin) => Level::Slices { axis, begin, made: before == 0 },
                        None => Level::Pieces { axis, exact: !rules.trimming },
                    });
                }
            }
            (Some(stages), None) => {
                all.extend([0, 1].map(|axis| Level::Pieces { axis, exact: !rules.trimming }));
                for _ in 1..stages {
                    let begin = all.len() - 2;
                    let slices = |axis| Level::Slices { axis, begin: begin + 1 - axis, made: false };
                    all.extend([0, 1].map(slices));
                }
            }
        }
        let first = match first_cut {
            // The sheet as one row needs no cuts before.
            Some(axis) => {
                let sliced = all.pop();
                all.push(Level::Pieces { axis: 1 - axis, exact: true });
                all.extend(sliced);
                all.len() - 2
            }
            None => all.len() - all.len().min(2),
        };
        Self { all, first, cut: rules.cut }
    }

    /// Whether pieces may be of any thickness up to that of the row that they are in.
    pub fn uneven(&self, level: usize) -> bool {
        match self.all[level] {
            Level::Free => true,
            Level::Slices { begin, .. } => self.uneven(begin),
            Level::Pieces { exact, .. } => !exact,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stages_take_turns_down_to_rows_of_pieces() {
        let rules = |stages, first| {
            let cut = [[0, 600], [0, u32::MAX]];
            Rules { stages, trimming: true, first, cut, reach: None, spare: 0 }
        };
        let levels = |stages, first| Levels::new(&rules(stages, first), [900, 600]);
        let of = |all, first| Levels { all, first, cut: [[0, 600], [0, u32::MAX]] };
        let pieces = |axis| Level::Pieces { axis, exact: false };
        let slices = |axis, begin, made| Level::Slices { axis, begin, made };
        let row = |axis| Level::Pieces { axis, exact: true };
        let two = vec![pieces(0), pieces(1), slices(0, 1, false), slices(1, 0, false)];
        assert_eq!(levels(2, None), of(two, 2));
        let three = vec![pieces(1), slices(0, 0, false), row(0), slices(1, 1, true)];
        assert_eq!(levels(3, Some(1)), of(three, 2));
        assert_eq!(levels(4, None), of(vec![Level::Free], 0));
        let free = vec![Level::Free, row(1), slices(0, 0, true)];
        assert_eq!(levels(4, Some(0)), of(free, 1));
        // Too wide to be crosscut, it is ripped first.
        let wide = |stages| Levels::new(&rules(stages, None), [900, 601]);
        assert_eq!([wide(3), wide(9)], [levels(3, Some(1)), levels(9, Some(1))]);
    }
}
