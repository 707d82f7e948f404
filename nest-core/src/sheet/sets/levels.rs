//! How a set may be cut, one table of rectangles for each way to begin.
//!
//! With few stages, what has `n` of them beginning along an axis is slices that follow each other along it, each of which
//! has the stages that remain and begins along the other axis. The last of them is a row of pieces, as thick as each
//! of them unless one cut more may free a piece. Where the first cuts are given, the sheet is cut so or has all its
//! pieces in one row, each as thick as the sheet.

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
}

impl Levels {
    pub fn new(rules: &Rules) -> Self {
        let mut all: Vec<Level> = Vec::new();
        match (rules.staged(), rules.first.map(usize::from)) {
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
        let first = match rules.first {
            // The sheet as one row needs no cuts before.
            Some(axis) => {
                let sliced = all.pop();
                all.push(Level::Pieces { axis: 1 - usize::from(axis), exact: true });
                all.extend(sliced);
                all.len() - 2
            }
            None => all.len() - all.len().min(2),
        };
        Self { all, first }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stages_take_turns_down_to_rows_of_pieces() {
        let rules = |stages, first| {
            let cut = [[0, u32::MAX]; 2];
            Rules { stages, trimming: true, first, cut, reach: None, spare: 0 }
        };
        let pieces = |axis| Level::Pieces { axis, exact: false };
        let slices = |axis, begin, made| Level::Slices { axis, begin, made };
        let row = |axis| Level::Pieces { axis, exact: true };
        let two = vec![pieces(0), pieces(1), slices(0, 1, false), slices(1, 0, false)];
        assert_eq!(Levels::new(&rules(2, None)), Levels { all: two, first: 2 });
        let three = vec![pieces(1), slices(0, 0, false), row(0), slices(1, 1, true)];
        assert_eq!(Levels::new(&rules(3, Some(1))), Levels { all: three, first: 2 });
        assert_eq!(Levels::new(&rules(4, None)), Levels { all: vec![Level::Free], first: 0 });
        let free = vec![Level::Free, row(1), slices(0, 0, true)];
        assert_eq!(Levels::new(&rules(4, Some(0))), Levels { all: free, first: 1 });
    }
}
