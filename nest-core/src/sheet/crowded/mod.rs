//! Sheets that hold many pieces, filled all but whole.
//!
//! Where dozens of pieces share a sheet, nearly all of it can be used, and what plans cost is a question of which sheets
//! have the area: the cheapest with some room to spare, which is less after a success and more after a failure. Given the
//! sheets, [rows] waste next to nothing of pieces about as large as each other; where a few take nearly all of the
//! area, they are placed before the others, [tier by tier](tiers), again and again from the best that was tried before.

mod goal;
mod rows;
#[cfg(test)]
mod tests;
mod tiers;
mod tried;

use super::filling::need;
use super::packed::Packed;
use super::problem::Problem;
use super::worth::Worth;
use crate::search::Dice;
use tried::Tried;

/// Searches side by side, whatever the number of threads.
pub(super) const CHAINS: u64 = 4;
/// Fewer pieces, and fewer on a sheet, leave too few ways to fill it.
const LEAST_PIECES: u64 = 50;
const LEAST_ON_SHEET: u64 = 12;
/// Room to spare at first, as a part of the area of all pieces.
const ROOM: u128 = 64;
/// The smaller half of pieces that differ much is no more than such a part of their area.
const SMALL: u128 = 8;

/// Given sheets, filled.
pub(super) struct Filled {
    pub packed: Packed,
    /// Area of what was tried to be placed, and was not.
    pub lacks: u128,
}

/// A plan that costs less than another one, if one is found with so much work; and the work done: blocks and gaps looked at.
pub(super) fn crowded(
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
    let many = pieces >= LEAST_PIECES.max(LEAST_ON_SHEET * sheets);
    let uneven = uneven(problem);
    if !many || !(uneven || rows::nest(problem)) || best.missing > 0 || best.cost <= floor {
        return (None, 0);
    }
    let need = need(problem, &problem.demand());
    let most: Vec<u32> = (0..problem.kinds.len()).map(|kind| most(problem, kind)).collect();
    let mut room = need / ROOM;
    let mut cost = best.cost;
    // What the cheapest sheets that were filled have to spare.
    let mut enough = None;
    let mut tried = Tried::default();
    let (mut found, mut spent, mut tries) = (None, 0, 0);
    while spent < work && !stop() && cost > floor {
        let Some(goal) = goal::cheapest(problem, &most, need.saturating_add(room), cost) else {
            if room == 0 {
                break;
            }
            room /= 2;
            continue;
        };
        let dice = |chain| Dice::new(seed, 0x2035 + tries * CHAINS + chain);
        let (filled, work) = if uneven {
            tiers::fill(problem, worth, &goal, tried.best(&goal), &dice, work - spent, stop)
        } else {
            rows::fill(problem, worth, &goal, &dice, stop)
        };
        let Some(filled) = filled else { break };
        tries += 1;
        spent += work;
        let kinds = goal.iter().zip(&problem.kinds);
        let area = kinds.map(|(&count, kind)| u128::from(count) * u128::from(kind.area()));
        let spare = area.sum::<u128>().saturating_sub(need);
        room = match enough {
            _ if filled.lacks == 0 => room / 2,
            Some(enough) if enough > room => room.midpoint(enough),
            _ => room.saturating_add(filled.lacks / 2),
        };
        tried.note(goal, &filled.packed);
        if filled.packed.missing == 0 && filled.packed.cost < cost {
            enough = Some(spare);
            cost = filled.packed.cost;
            found = Some(filled.packed);
        }
    }
    (found, spent)
}

/// How many of a kind of sheet there are, but for those that no piece could lie on.
fn most(problem: &Problem, kind: usize) -> u32 {
    let here = |&item: &usize| !problem.items[item].optional && !problem.lays(kind, item).is_empty();
    let pieces = (0..problem.items.len()).filter(here).map(|item| problem.items[item].demand);
    pieces.fold(0, u32::saturating_add).min(problem.kinds[kind].supply.unwrap_or(u32::MAX))
}

/// Whether a few pieces take nearly all of the area.
fn uneven(problem: &Problem) -> bool {
    let half = problem.required_pieces() / 2;
    let (mut before, mut small) = (0, 0);
    // Items are numbered by area, the largest first.
    for item in problem.items.iter().rev().filter(|item| !item.optional) {
        let count = u64::from(item.demand).min(half - before);
        before += count;
        small += u128::from(item.area) * u128::from(count);
    }
    small <= need(problem, &problem.demand()) / SMALL
}
