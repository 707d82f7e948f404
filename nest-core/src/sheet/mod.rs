//! Sheets: parts with a length and a width, cut edge to edge.
//!
//! Each step can be cut off, and the one before still answers: a greedy filling; chains of ruin and recreate that look for
//! plans of less and less cost until a proven floor is reached; tables of one sheet where the stock runs out; blocks
//! without waste, where the parts may fill whole sheets; sheets filled all but whole, where many parts share one; column
//! generation, which proves a better floor and whose relaxation is rounded to whole sheets; dives in the relaxation over all
//! layouts that the chains came through, where hardly two parts are alike; sets of parts, for a tighter floor where few go
//! on a sheet; an integer program over the layouts that any of them saw; then the chains again.

mod blocks;
mod bounded;
mod coarse;
mod columns;
mod course;
mod crowded;
mod cutting;
mod duals;
mod filling;
mod floor;
mod free;
mod goals;
mod greedy;
mod grids;
mod haste;
mod joins;
mod journal;
mod knapsack;
mod layout;
mod offers;
mod packed;
mod points;
mod polish;
mod problem;
mod refill;
mod rounding;
mod ruin;
mod seen;
mod sets;
mod staged;
mod steps;
mod strips;
mod supply;
#[cfg(test)]
mod tests;
mod tree;
mod uniform;
mod whole;
mod worth;

use crate::model::CheckedBatch;
use crate::plan::Score;
use crate::search::{Answer, Control, Event, Stop};
use columns::Generator;
use course::Search;
use duals::Duals;
use filling::{Among, Filling};
use packed::Packed;
use problem::Problem;
use rounding::Dives;
use steps::{Budget, Step, steps};
use tree::Sheet;
use uniform::uniform;
use worth::Worth;

/// Orders of more pieces are filled layout by layout, and not ruined as a whole.
const MANY: u64 = 3000;
/// Column generation is for orders with so many pieces of a kind, on average.
const ALIKE: u64 = 3;
/// Items so few that a plan and a proof in haste take no time to speak of.
const FEW: usize = 1000;
/// Gaps looked at for optional parts of a long list.
const MOST_TUCKED: u64 = 50_000_000;
/// Polishing that takes no time to speak of: gaps looked at.
const LITTLE: u64 = 500_000;

/// Solves one group of sheets.
pub(crate) fn solve(batch: &CheckedBatch, group: usize, control: &Control<'_>) -> Answer {
    let pieces = batch.groups().get(group).map_or(0, |group| {
        group
            .parts
            .iter()
            .filter_map(|&part| batch.batch().parts.get(part))
            .map(|part| u64::from(part.qty))
            .sum()
    });
    search(batch, group, control, Budget::of(control.effort(), pieces))
}

fn search(batch: &CheckedBatch, group: usize, control: &Control<'_>, budget: Budget) -> Answer {
    let problem = &Problem::new(batch, group);
    let worth = Worth::new(problem.largest());
    let proofs = Vec::new();
    let lore = sets::Lore::default();
    let mut search = Search {
        group,
        problem,
        worth: &worth,
        control,
        proofs,
        lore,
        seen: Vec::new(),
        remembers: false,
        looks: 0,
        work: 0,
        stop: Stop::Finished,
    };
    let pieces = problem.pieces();
    let alike = pieces / (problem.items.len() as u64).max(1);
    let mut best = search.first(pieces > MANY, alike >= ALIKE);
    search.told(&best);
    let prove = search.stop == Stop::Finished || problem.items.len() <= FEW;
    let stop = || control.must_stop().is_some();
    let duals = prove.then(|| Duals::new(problem, &stop));
    search.proofs = duals.as_ref().map(|duals| duals.proofs(&stop)).unwrap_or_default();
    // Of a long list they fill gigabytes, and only sets use them again.
    let duals = duals.filter(|_| pieces <= sets::MOST_PIECES);
    control.tell(Event::Floor(group, search.floor()));
    let small = pieces <= MANY;
    // With hardly two parts alike, sets prove more as a rule.
    let recurs = alike >= ALIKE;
    let steps = steps(problem, budget, pieces, recurs);
    search.remembers = steps.iter().any(|step| matches!(step, Step::Dive(..)));
    let mut pool = (!steps.is_empty()).then(|| Generator::new(problem, &worth));
    for step in steps {
        let Some(pool) = pool.as_mut().filter(|_| !search.done(&best)) else { break };
        match step {
            Step::Ruin(work) => search.ruin(&mut best, pool, work),
            Step::Relax(cells, gaps) => search.relax(&mut best, pool, Dives::of_many_alike(cells, 3 * gaps)),
            // So much open is the fault of the floor.
            Step::Open(cells, gaps) if search.floor() < best.cost - best.cost / 10 => {
                search.relax(&mut best, pool, Dives::of_many_alike(cells, 3 * gaps));
            }
            Step::Open(..) => {}
            Step::Dive(cells, work) => search.dive(&mut best, pool, cells, work),
            Step::Join(work) => search.join(&mut best, work),
            Step::Crowded(work) => search.crowded(&mut best, work),
            Step::Refill(work) => search.refill(&mut best, work),
            Step::Sets(work) => search.sets(&mut best, pool, duals.as_ref(), work),
        }
    }
    if problem.items.iter().any(|item| item.optional) {
        // The sheets of a long list with many alike are too many to be looked at one by one.
        let each = small || alike < ALIKE;
        let with = if each { with_optional } else { with_optional_alike };
        best = with(problem, &worth, &best, &|| !small && stop());
    }
    if !best.done(search.floor()) && search.stop == Stop::Finished {
        // Asked to stop before the search began, in the midst of the first filling, it was cut short all the same.
        search.stop = control.must_stop().unwrap_or(Stop::Budget);
    }
    let alone = |sheet: &Sheet| Score::of(batch, group, &layout::layouts(batch, problem, &[(sheet, 1)]).0);
    let shaped = |packed: &Packed| layout::layouts(batch, problem, &uniform(&packed.sheets, alone));
    let (mut layouts, mut unplaced) = shaped(&best);
    if small && budget.polish > 0 && best.missing == 0 {
        // There is always time for a little.
        let late = control.must_stop().is_some();
        let work = if late { budget.polish.min(LITTLE) } else { budget.polish };
        let stop = || !late && control.must_stop().is_some();
        let (polished, work) = polish::polish(batch, problem, &best, control.seed(), work, &stop);
        search.work += work;
        let other = shaped(&polished);
        if Score::of(batch, group, &other.0) < Score::of(batch, group, &layouts) {
            (layouts, unplaced) = other;
        }
    }
    Answer {
        layouts,
        unplaced,
        certificates: search.proofs.into_iter().map(|proof| proof.certificate).collect(),
        stop: Some(search.stop),
        work: search.work,
    }
}

/// The same with optional parts wherever they fit for nothing; ruin and recreate looks after the others alone.
fn with_optional(problem: &Problem, worth: &Worth, best: &Packed, stop: &dyn Fn() -> bool) -> Packed {
    let mut filling = best.filling(problem, worth);
    for item in (0..problem.items.len()).filter(|&item| problem.items[item].optional) {
        while filling.left[item] > 0
            && !stop()
            && filling.place(item, Among::All, None, Some(best.cost), None, |_, _| {})
        {}
    }
    Packed::of(&filling)
}

/// The same of sheets that are cut alike: as many of them as may be hold the same optional parts.
fn with_optional_alike(problem: &Problem, worth: &Worth, best: &Packed, stop: &dyn Fn() -> bool) -> Packed {
    let mut left = best.left.clone();
    let mut filling = Filling::new(problem, worth, left.clone());
    let open = best.open(problem);
    let fresh = problem.kinds.iter().zip(open).enumerate().filter(|(_, (kind, _))| kind.cost == 0);
    let fresh =
        fresh.map(|(k, (kind, open))| (None, k, kind.supply.map_or(u32::MAX, |supply| supply - open)));
    let used = best.sheets.iter().map(|(sheet, copies)| (Some(sheet), sheet.kind(), *copies));
    let mut sheets = Vec::new();
    for (sheet, kind, copies) in used.chain(fresh) {
        let mut todo = copies;
        while todo > 0 {
            filling.adopt(sheet.map_or(&[], std::slice::from_ref), &left);
            tuck(problem, &mut filling, kind, stop);
            let Some(sheet) = filling.sheets.first() else { break };
            let made = left.iter().zip(&filling.left).map(|(before, after)| before - after);
            let made: Vec<(usize, u32)> = made.enumerate().filter(|&(_, made)| made > 0).collect();
            let alike = made.iter().map(|&(item, made)| left[item] / made).fold(todo, u32::min);
            made.iter().for_each(|&(item, made)| left[item] -= made * alike);
            sheets.push((sheet.clone(), alike));
            todo -= alike;
        }
    }
    Packed::new(problem, sheets, left)
}

/// Places optional parts on the sheet there is, else on a fresh one of a kind.
fn tuck(problem: &Problem, filling: &mut Filling<'_>, kind: usize, stop: &dyn Fn() -> bool) {
    for item in (0..problem.items.len()).filter(|&item| problem.items[item].optional) {
        while filling.left[item] > 0 && filling.work < MOST_TUCKED && !stop() {
            let among = if filling.sheets.is_empty() { Among::Fresh(kind) } else { Among::Open };
            if !filling.place(item, among, None, None, None, |_, _| {}) {
                break;
            }
        }
    }
}
