//! The level packing model of Lodi, Martello and Vigo (2004) for two stages with trimming, by a general MIP solver.
//!
//! Pieces are numbered by falling width. A piece opens a level, or lies on the level of one before it; a level opens a
//! sheet, or lies on the sheet of a level before it. Levels and sheets are bounded by what goes on them; the fewest
//! sheets are wanted. The solver starts from the plan of the first fit, so that it always has one.

use super::levels::Levels;
use super::problem::{Problem, Sheets};
use good_lp::solvers::{Solution as _, SolutionStatus, WithTimeLimit as _};
use good_lp::{Expression, ProblemVariables, SolverModel as _, Variable, constraint, variable};
use std::time::{Duration, Instant};

/// What the solver has when it is done, or its time is over.
pub struct Answer {
    pub sheets: Sheets,
    /// Whether it says that no plan in two stages takes fewer.
    pub proven: bool,
}

/// Where a pair is a choice, its variable.
type Pairs = Vec<Vec<Option<Variable>>>;

/// Solves the model; the time to write it down counts.
pub fn solve(problem: &Problem, limit: Duration) -> Answer {
    #[expect(clippy::disallowed_methods, reason = "the solver has the time that we have")]
    let begin = Instant::now();
    let mut start = Levels::first_fit(problem);
    let count = start.order.len();
    let sizes: Vec<[i32; 2]> = start.order.iter().map(|&piece| problem.pieces[piece]).collect();

    let mut variables = ProblemVariables::new();
    // `on[0]`: the second is on the level of the first, or opens its own where they are the same; `on[1]`: the same of
    // levels and sheets.
    let on: [Pairs; 2] = [0, 1].map(|axis| {
        let mut choice = |first: usize, second: usize| {
            let fits = first == second || sizes[first][axis] + sizes[second][axis] <= problem.sheet[axis];
            let chosen =
                if axis == 0 { Some(start.level[second]) } else { start.sheet[second] } == Some(first);
            fits.then(|| variables.add(variable().binary().initial(if chosen { 1 } else { 0 })))
        };
        (0..count)
            .map(|first| {
                (0..count).map(|second| if first > second { None } else { choice(first, second) }).collect()
            })
            .collect()
    });
    let opened = |axis: usize, k: usize| -> Expression { on[axis][k][k].into_iter().sum() };

    let fewest: Expression = (0..count).map(|k| opened(1, k)).sum();
    let mut model = variables.minimise(fewest).using(good_lp::solvers::highs::highs);
    for k in 0..count {
        let level: Expression = (0..=k).filter_map(|first| on[0][first][k]).sum();
        model.add_constraint(constraint!(level == 1));
        let sheet: Expression = (0..=k).filter_map(|first| on[1][first][k]).sum();
        model.add_constraint(constraint!(sheet == opened(0, k)));
        for axis in 0..2 {
            let room = f64::from(problem.sheet[axis] - sizes[k][axis]);
            let used: Expression = (k + 1..count)
                .filter_map(|second| Some(f64::from(sizes[second][axis]) * on[axis][k][second]?))
                .sum();
            model.add_constraint(constraint!(used <= room * opened(axis, k)));
        }
    }
    let left = limit.saturating_sub(begin.elapsed()).as_secs_f64();
    let Ok(solution) = model.with_time_limit(left).solve() else {
        return Answer { sheets: start.sheets(problem), proven: false };
    };
    let chosen = |axis: usize, second: usize| {
        (0..=second).find(|&first| on[axis][first][second].is_some_and(|v| solution.value(v) > 0.5))
    };
    start.level = (0..count).map(|k| chosen(0, k).unwrap_or(k)).collect();
    start.sheet = (0..count).map(|k| chosen(1, k)).collect();
    // The gap that it may leave is far below one sheet.
    let proven = matches!(solution.status(), SolutionStatus::Optimal | SolutionStatus::GapLimit);
    Answer { sheets: start.sheets(problem), proven }
}
