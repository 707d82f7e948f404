//! Rows that waste next to nothing, for many pieces of many sizes.
//!
//! Of hundreds of pieces very many share an edge by chance: a few that do make a block, and blocks of one thickness make a
//! row across the sheet. So most of a sheet can be filled without waste, and more of it with little. Rows are taken out
//! and others put in as long as that leaves less of the sheets; across what they leave go rows again, and what no row
//! holds is cut from the rest by ruin and recreate.
//!
//! Which sheets: the cheapest with some room to spare, which is less after a success and more after a failure.

mod fill;
mod goal;
mod loose;
mod row;
mod stack;
#[cfg(test)]
mod tests;

use super::filling::need;
use super::packed::Packed;
use super::problem::Problem;
use super::ruin::Chain;
use super::worth::Worth;
use crate::search::{Dice, parallel};
use fill::Filler;

/// Attempts side by side, whatever the number of threads.
const CHAINS: u64 = 4;
/// Work of one attempt for each piece, and what ruin and recreate may do at a time to complete it.
const ATTEMPT: u64 = 60_000;
const REPAIR: u64 = 20_000;
/// It goes on as long as each time one of so many parts less is left out.
const GAIN: u128 = 16;
/// Fewer pieces, and fewer on a sheet, share too few edges.
const LEAST_PIECES: u64 = 50;
const LEAST_ON_SHEET: u64 = 12;
/// With fewer stages there is nothing to nest.
const LEAST_STAGES: u8 = 8;
/// Room to spare at first, as a part of the area of all pieces.
const ROOM: u128 = 64;

/// A plan that costs less than another one, if one is found with so much work; and the work done: blocks and gaps looked at.
pub(super) fn rows(
    problem: &Problem,
    worth: &Worth,
    best: &Packed,
    floor: i128,
    seed: u64,
    work: u64,
    stop: &(impl Fn() -> bool + Sync),
) -> (Option<Packed>, u64) {
    let pieces = problem.required_pieces();
    let sheets: u64 = best.sheets.iter().map(|(_, copies)| u64::from(*copies)).sum();
    let nests = problem.kinds.iter().all(|kind| kind.rules.stages >= LEAST_STAGES);
    let many = pieces >= LEAST_PIECES.max(LEAST_ON_SHEET * sheets);
    if !many || !nests || best.missing > 0 || best.cost <= floor {
        return (None, 0);
    }
    let need = need(problem, &problem.demand());
    let most: Vec<u32> = (0..problem.kinds.len()).map(|kind| most(problem, kind)).collect();
    let mut room = need / ROOM;
    let mut cost = best.cost;
    let (mut found, mut spent, mut tries) = (None, 0, 0);
    while spent < work && !stop() && cost > floor {
        let Some(goal) = goal::cheapest(problem, &most, need.saturating_add(room), cost) else {
            if room == 0 {
                break;
            }
            room /= 2;
            continue;
        };
        let attempt = |chain| {
            attempt(problem, worth, &goal, Dice::new(seed, 0x2035 + tries * CHAINS + chain), pieces, stop)
        };
        let attempts = parallel::each((0..CHAINS).collect(), attempt);
        let attempts: Vec<(Packed, u64)> = attempts.into_iter().flatten().collect();
        if attempts.is_empty() {
            break;
        }
        tries += 1;
        let mut left = need;
        for (packed, work) in attempts {
            spent += work;
            left = left.min(packed.missing);
            if packed.missing == 0 && packed.cost < cost {
                cost = packed.cost;
                found = Some(packed);
            }
        }
        room = if left == 0 { room / 2 } else { room.saturating_add(left / 2) };
    }
    (found, spent)
}

/// How many of a kind of sheet there are, but for those that no piece could lie on.
fn most(problem: &Problem, kind: usize) -> u32 {
    let here = |&item: &usize| !problem.items[item].optional && !problem.lays(kind, item).is_empty();
    let pieces = (0..problem.items.len()).filter(here).map(|item| problem.items[item].demand);
    pieces.fold(0, u32::saturating_add).min(problem.kinds[kind].supply.unwrap_or(u32::MAX))
}

/// Given sheets filled, and mended; `None` where pieces cannot be joined.
fn attempt(
    problem: &Problem,
    worth: &Worth,
    goal: &[u32],
    mut dice: Dice,
    pieces: u64,
    stop: &impl Fn() -> bool,
) -> Option<(Packed, u64)> {
    let seed = dice.bits();
    let mut filler = Filler::new(problem, dice)?;
    let packed = filler.fill(goal, ATTEMPT * pieces, stop);
    if packed.missing == 0 {
        return Some((packed, filler.work));
    }
    let mut chain = Chain::new(packed.filling(problem, worth), seed.into(), 0);
    chain.aim_at(goal, &packed);
    let mut before = u128::MAX;
    while chain.best.missing > 0 && chain.best.missing < before - before / GAIN && !stop() {
        before = chain.best.missing;
        chain.run(REPAIR * pieces, 0, stop);
    }
    let sheets = chain.best.sheets.into_iter().filter(|sheet| sheet.count > 0).map(|sheet| (sheet, 1));
    let mended = Packed::new(problem, sheets.collect(), chain.best.left);
    Some((mended, filler.work + chain.filling.work))
}
