//! In which order a search goes, and what each step of it may cost.

use super::MANY;
use super::problem::Problem;
use crate::search::Effort;

/// Column generation where hardly two parts are alike is mostly for the floor it proves: with so much less work. Of panels of
/// closets two or three are alike and few go on a sheet: there its floor often is the plan's cost, and the rest need not go.
const UNLIKE: u64 = 16;
/// More items than this are too many rows for column generation: the basis of its master is dense, and one solution of
/// twenty thousand rows takes hours.
const MOST_ROWS: usize = 1000;
/// With more items than this a dive is so slow that chains find more in the same time.
const MOST_DIVING: usize = 120;
/// What sets may spend before the long search: nodes for each kind of sheet.
const GLANCE: u64 = 500_000;
/// How much longer the first round looks where there are several kinds of sheets: which numbers of each are enough is a
/// question beside how to fill them. With one kind, dives find in less time what longer searches do.
const MIXED: u64 = 3;
/// What takes this long anyway takes no longer for that.
const LONG: u64 = 60_000_000;
/// What dives may do, in gaps of a round: in the first some go before the long search, and some after it in every one.
const DIVES: u64 = 40;
/// What the search for a plan without waste may spend, for each piece: joins looked at.
const JOINS: u64 = 1_000_000;

/// What filling sheets all but whole may do, in gaps of a round: where it has a place it finds more than the chains, so that
/// in a deep search it goes first.
const CROWDED: u64 = 4;
const DEEP: u64 = 128;

/// What every further round of a deep search may do, in works of the round before, and where that ends.
const GROWTH: u64 = 8;
const MOST_GAPS: u64 = 5_000_000_000;
const MOST_SETS: u64 = 20_000_000;

/// Work that an effort allows for one group.
#[derive(Clone, Copy, Debug)]
pub(super) struct Budget {
    /// Of one chain in the first round: gaps looked at.
    pub gaps: u64,
    /// Of column generation in each round: cells of its tables, and the like.
    pub cells: u64,
    /// Of the relaxation over sets in the first round: nodes of its hunts.
    pub sets: u64,
    /// Of polishing: gaps looked at.
    pub polish: u64,
    /// Whether there are more rounds.
    pub deep: bool,
}

impl Budget {
    /// The first round of a deep search is a normal one, so that it hardly ever ends dearer.
    pub fn of(effort: Effort, pieces: u64) -> Self {
        let pieces = pieces.min(MANY);
        match effort {
            Effort::None => Self { gaps: 0, cells: 0, sets: 0, polish: 0, deep: false },
            Effort::Quick => Self {
                gaps: 1_000_000 + 20_000 * pieces,
                cells: 200_000_000,
                sets: 200_000,
                polish: 200_000 + 2000 * pieces,
                deep: false,
            },
            Effort::Normal | Effort::Deep => {
                let deep = effort == Effort::Deep;
                Self {
                    gaps: 5_000_000 + 100_000 * pieces,
                    cells: 2_000_000_000,
                    sets: 2_000_000,
                    polish: (1_000_000 + 10_000 * pieces) * if deep { 10 } else { 1 },
                    deep,
                }
            }
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
    /// Dives in the relaxation over all layouts that chains came through: cells for its prices, and work.
    Dive(u64, u64),
    /// The same, where much is open between floor and plan.
    Open(u64, u64),
    /// A floor from sets: nodes.
    Sets(u64),
    /// A plan without waste: joins.
    Join(u64),
    /// Sheets of many pieces, filled all but whole: blocks and gaps.
    Crowded(u64),
    /// More out of too few sheets: cuttings put together.
    Refill(u64),
}

/// The steps to take; none where nothing may be spent.
pub(super) fn steps(problem: &Problem, budget: Budget, pieces: u64, recurs: bool) -> Vec<Step> {
    let small = pieces <= MANY;
    let kinds = problem.kinds.len() as u64;
    let Budget { mut gaps, cells, mut sets, .. } = budget;
    let mut first = true;
    let mut steps = Vec::new();
    if gaps == 0 {
        return steps;
    }
    let few = problem.items.len() <= MOST_ROWS;
    // A short look before the rest.
    let short = (2_000_000 + 10_000 * pieces).min(gaps / 3);
    if small {
        steps.extend([
            Step::Ruin(short),
            Step::Refill(cells / 4),
            Step::Join((JOINS * pieces).min(3 * gaps)),
        ]);
    }
    loop {
        if recurs && few {
            steps.push(Step::Relax(cells, gaps));
        }
        if small {
            if first {
                steps.push(Step::Sets((GLANCE * kinds).min(sets)));
            }
            if !recurs && few && kinds == 1 {
                steps.push(Step::Relax(cells / UNLIKE, gaps / UNLIKE));
            } else if !recurs && few {
                steps.push(Step::Open(cells / UNLIKE, gaps / UNLIKE));
            }
            if !recurs {
                let long = if budget.deep && first { DEEP } else { CROWDED };
                steps.push(Step::Crowded(long * gaps));
            }
            let long = if first && kinds > 1 { (MIXED * gaps).min(LONG).max(gaps) } else { gaps };
            let dive = (!recurs && cells > 0 && problem.items.len() <= MOST_DIVING)
                .then_some(Step::Dive(cells / UNLIKE, DIVES * gaps));
            steps.extend(dive.filter(|_| first));
            steps.push(Step::Ruin(long));
            steps.extend(dive);
            steps.extend([Step::Sets(sets), Step::Refill(cells / 4)]);
        }
        if !budget.deep || gaps >= MOST_GAPS || steps.is_empty() {
            return steps;
        }
        first = false;
        gaps = (gaps * GROWTH).min(MOST_GAPS);
        sets = (sets * GROWTH).min(MOST_SETS);
    }
}
