//! In which order a search goes, and what each step of it may cost.

use super::MANY;
use super::problem::Problem;
use crate::search::Effort;

/// Column generation where hardly two parts are alike is mostly for the floor it proves: with so much less work.
const UNLIKE: u64 = 16;
/// What sets may spend before the long search: nodes for each kind of sheet.
const GLANCE: u64 = 500_000;
/// What the search for a plan without waste may spend, for each piece: joins looked at.
const JOINS: u64 = 1_000_000;

/// Work that an effort allows for one group.
#[derive(Clone, Copy, Debug)]
pub(super) struct Budget {
    /// Of one chain: gaps looked at.
    pub gaps: u64,
    /// Of column generation: cells of its tables, and the like.
    pub cells: u64,
    /// Of the relaxation over sets: nodes of its hunts.
    pub sets: u64,
    /// Of polishing: gaps looked at.
    pub polish: u64,
}

impl Budget {
    pub fn of(effort: Effort, pieces: u64) -> Self {
        let pieces = pieces.min(MANY);
        match effort {
            Effort::None => Self { gaps: 0, cells: 0, sets: 0, polish: 0 },
            Effort::Quick => Self {
                gaps: 1_000_000 + 20_000 * pieces,
                cells: 200_000_000,
                sets: 200_000,
                polish: 200_000 + 2000 * pieces,
            },
            Effort::Normal => Self {
                gaps: 5_000_000 + 100_000 * pieces,
                cells: 2_000_000_000,
                sets: 2_000_000,
                polish: 1_000_000 + 10_000 * pieces,
            },
            Effort::Deep => Self {
                gaps: 5_000_000_000,
                cells: 2_500_000_000,
                sets: 20_000_000,
                polish: 10_000_000 + 100_000 * pieces,
            },
        }
    }
}

/// A step of a search, with the work it may do.
#[derive(Clone, Copy, Debug)]
pub(super) enum Step {
    /// Chains of ruin and recreate: gaps.
    Ruin(u64),
    /// Column generation: cells of its tables, and gaps of its rounding.
    Relax(u64, u64),
    /// The same, where much is open between floor and plan.
    Open(u64, u64),
    /// A floor from sets: nodes.
    Sets(u64),
    /// A plan without waste: joins.
    Join(u64),
    /// More out of too few sheets: cuttings put together.
    Refill(u64),
}

/// The steps to take; none where nothing may be spent.
pub(super) fn steps(problem: &Problem, budget: Budget, pieces: u64, recurs: bool) -> Vec<Step> {
    let small = pieces <= MANY;
    let mut steps = Vec::new();
    if budget.gaps == 0 {
        return steps;
    }
    if small {
        // A short look before the rest, however much there is to spend.
        steps.push(Step::Ruin((2_000_000 + 10_000 * pieces).min(budget.gaps / 3)));
        steps.push(Step::Refill(budget.cells / 4));
        steps.push(Step::Join((JOINS * pieces).min(3 * budget.gaps)));
    }
    if recurs {
        steps.push(Step::Relax(budget.cells, budget.gaps));
    }
    if small {
        steps.push(Step::Sets((GLANCE * problem.kinds.len() as u64).min(budget.sets)));
        if !recurs && problem.kinds.len() > 1 {
            steps.push(Step::Open(budget.cells / UNLIKE, budget.gaps / UNLIKE));
        }
        let middle = (60_000_000 + 600_000 * pieces) / (problem.kinds.len() as u64).max(1);
        let middle = middle.min(budget.gaps);
        steps.extend([
            Step::Ruin(middle),
            Step::Sets(budget.sets),
            Step::Refill(budget.cells / 4),
            Step::Ruin(budget.gaps - middle),
        ]);
    }
    steps
}
