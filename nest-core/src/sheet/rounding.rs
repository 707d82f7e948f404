//! From the relaxation to whole sheets: take what is whole of it, solve again for what is left, and so on; the last few
//! sheets are looked for by ruin and recreate.

use super::columns::{ANY, Column, Generator};
use super::filling::need;
use super::greedy;
use super::packed::Packed;
use super::problem::Problem;
use super::ruin::Chain;
use super::tree::Sheet;
use super::worth::Worth;
use crate::search::{Dice, parallel};

/// How dives go on, and how long.
#[derive(Clone, Copy, Debug)]
pub(super) struct Dives {
    /// How large the rests are that a dive leaves to ruin and recreate, one attempt for each, in areas of the largest sheet.
    rests: &'static [u64],
    /// Whether every further dive may do twice as much on them.
    grows: bool,
    /// What a gap there counts beside a cell of column generation.
    gap: u64,
    /// Of column generation for the relaxation: cells of its tables, and the like.
    pub cells: u64,
    /// Of all dives together, column generation included.
    work: u64,
}

impl Dives {
    /// Where the same layouts recur: which of them go together is clear, and rests are settled at once or not at all.
    pub fn of_many_alike(cells: u64, work: u64) -> Self {
        Self { rests: &[1, 3, 7, 12, 20], grows: true, gap: 1, cells, work }
    }

    /// Where hardly two parts are alike: one dive of many fixes what goes together, and then the rest takes no time.
    pub fn of_few_alike(cells: u64, work: u64) -> Self {
        Self { rests: &[2, 4], grows: false, gap: 4, cells, work }
    }
}

/// Rounds of column generation for what is left.
const ROUNDS: usize = 4;
/// What each attempt of the first dive may do on its rest: gaps, and so many more for each piece.
const FIRST: u64 = 500_000;
const PIECE: u64 = 5000;
/// Further dives see a fraction as so much of it, in parts of this, that the order of layouts changes.
const BLUR: u32 = 1000;

/// A plan out of the relaxation for all that is asked for. Dives go on until all of them together have done their work. Of
/// the first, column generation may take as much as for the relaxation; with hundreds of items, a dive to its end would
/// take minutes.
pub(super) fn round(
    generator: &mut Generator<'_>,
    worth: &Worth,
    solution: &[(usize, f64)],
    floor: i128,
    seed: u64,
    dives: Dives,
    stop: &(impl Fn() -> bool + Sync),
) -> (Packed, u64) {
    let problem = generator.problem;
    let pieces = problem.pieces();
    let mut best = Packed::new(problem, Vec::new(), problem.demand());
    let mut dice = None;
    let (mut finishing, before) = (0, generator.spent());
    let mut each = FIRST + PIECE * pieces;
    while finishing * dives.gap + generator.spent() - before < dives.work {
        each = each.min(dives.work - finishing);
        let end = generator.spent() + dives.work.max(dives.cells);
        let over = |spent: u64| spent > end || stop();
        let states = fix(generator, problem, solution.to_vec(), dives.rests, dice.as_mut(), over);
        let seed = seed.wrapping_add(finishing);
        let attempts: Vec<(usize, State)> = states.into_iter().enumerate().collect();
        let columns = &generator.columns;
        let found = parallel::each(attempts, |(number, state)| {
            finish(problem, worth, columns, state, floor, (seed, number), each, stop)
        });
        for (found, work) in found {
            finishing += work;
            if found.key() < best.key() {
                best = found;
            }
        }
        if best.done(floor) || stop() {
            break;
        }
        if dives.grows {
            each *= 2;
        }
        dice = dice.or_else(|| Some(Dice::new(seed, 0xd17e)));
    }
    (best, finishing)
}

/// What is fixed, and what remains.
#[derive(Clone)]
struct State {
    /// Layouts with their copies.
    fixed: Vec<(usize, u32)>,
    left: Vec<u32>,
    supply: Vec<Option<u32>>,
}

/// Fixes layouts until what remains is small; remembers the state at each size of the rest.
fn fix(
    generator: &mut Generator<'_>,
    problem: &Problem,
    mut solution: Vec<(usize, f64)>,
    rests: &[u64],
    mut dice: Option<&mut Dice>,
    over: impl Fn(u64) -> bool,
) -> Vec<State> {
    let supply = problem.kinds.iter().map(|kind| kind.supply).collect();
    let mut state = State { fixed: Vec::new(), left: problem.demand(), supply };
    let mut states = Vec::new();
    let mut sizes: Vec<u64> = rests.to_vec();
    loop {
        let rest = need(problem, &state.left) / u128::from(problem.largest().max(1));
        let before = sizes.len();
        sizes.retain(|&size| u128::from(size) < rest);
        if sizes.len() < before {
            states.push(state.clone());
        }
        if sizes.is_empty()
            || over(generator.spent())
            || !step(&mut state, &generator.columns, &solution, dice.as_deref_mut())
        {
            break;
        }
        solution = generator.run(&state.left, &state.supply, ROUNDS, ANY, &over);
    }
    if states.is_empty() || !sizes.is_empty() {
        states.push(state);
    }
    states
}

/// Takes over whatever is whole of a solution, else the largest fraction of one layout. Returns whether it did.
fn step(state: &mut State, columns: &[Column], solution: &[(usize, f64)], dice: Option<&mut Dice>) -> bool {
    let mut fixed = false;
    for &(index, value) in solution {
        fixed |= take(state, columns, index, (value + 1e-6).floor() as u32);
    }
    if fixed {
        return true;
    }
    let mut order: Vec<(usize, f64)> = solution.to_vec();
    if let Some(dice) = dice {
        order.iter_mut().for_each(|(_, value)| *value *= f64::from(1 + dice.below(BLUR)));
    }
    order.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    order.into_iter().any(|(index, _)| take(state, columns, index, 1))
}

/// Fixes a layout so many times, as far as everything on it is asked for.
fn take(state: &mut State, columns: &[Column], index: usize, copies: u32) -> bool {
    let Column { sheet, counts } = &columns[index];
    let most = counts.iter().map(|&(item, count)| state.left[item] / count).min().unwrap_or(0);
    let copies = copies.min(most).min(state.supply[sheet.kind()].unwrap_or(u32::MAX));
    if copies == 0 {
        return false;
    }
    for &(item, count) in counts {
        state.left[item] -= count * copies;
    }
    if let Some(supply) = &mut state.supply[sheet.kind()] {
        *supply -= copies;
    }
    match state.fixed.iter_mut().find(|(fixed, _)| *fixed == index) {
        Some((_, n)) => *n += copies,
        None => state.fixed.push((index, copies)),
    }
    true
}

/// Looks for the sheets of the rest.
#[expect(clippy::too_many_arguments, reason = "one attempt of several that differ in the state alone")]
fn finish(
    problem: &Problem,
    worth: &Worth,
    columns: &[Column],
    state: State,
    floor: i128,
    (seed, number): (u64, usize),
    work: u64,
    stop: &impl Fn() -> bool,
) -> (Packed, u64) {
    let fixed: Vec<(Sheet, u32)> =
        state.fixed.iter().map(|&(index, copies)| (columns[index].sheet.clone(), copies)).collect();
    let spent = Packed::new(problem, fixed.clone(), state.left.clone()).cost;
    let mut rest = problem.clone();
    for (item, &left) in rest.items.iter_mut().zip(&state.left) {
        item.demand = left;
    }
    for (kind, supply) in rest.kinds.iter_mut().zip(&state.supply) {
        kind.supply = *supply;
    }
    let filling = greedy::fill(&rest, worth, 4, stop);
    let mut chain = Chain::new(filling, seed, number as u64);
    chain.run(work, floor - spent, stop);
    let mut sheets = fixed;
    let found = chain.best.packed(&rest);
    sheets.extend(found.sheets);
    (Packed::new(problem, sheets, found.left), chain.filling.work)
}
