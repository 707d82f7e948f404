//! Sheets: parts with a length and a width, cut edge to edge.
//!
//! Each step can be cut off, and the one before still answers: a greedy filling, then chains of ruin and recreate that
//! look for plans of less and less cost until a proven floor is reached or the budget is used up.

mod filling;
mod floor;
mod greedy;
mod layout;
mod problem;
mod ruin;
mod strips;
#[cfg(test)]
mod tests;
mod tree;
mod worth;

use crate::model::CheckedBatch;
use crate::search::{Answer, Control, Effort, Event, Stop, parallel};
use problem::Problem;
use ruin::{Best, Chain};
use worth::Worth;

/// Chains that search side by side, whatever the number of threads.
const CHAINS: u64 = 4;
/// Chains compare notes that often.
const EPOCHS: u64 = 20;

/// Work of one chain: gaps looked at.
fn budget(effort: Effort) -> u64 {
    match effort {
        Effort::None => 0,
        Effort::Quick => 20_000_000,
        Effort::Normal => 200_000_000,
        Effort::Deep => 5_000_000_000,
    }
}

/// Solves one group of sheets.
pub(crate) fn solve(batch: &CheckedBatch, group: usize, control: &Control<'_>) -> Answer {
    search(batch, group, control, budget(control.effort()))
}

fn search(batch: &CheckedBatch, group: usize, control: &Control<'_>, budget: u64) -> Answer {
    let problem = Problem::new(batch, group);
    let worth = Worth::new(problem.largest());
    let proofs = floor::proofs(&Problem::apart(batch, group));
    let floor = proofs.first().map_or(0, |proof| proof.floor);
    control.tell(Event::Floor(group, floor));
    let greedy = greedy::fill(&problem, &worth);
    let mut work = greedy.work;
    let told = |best: &Best| {
        if best.missing == 0 {
            control.tell(Event::Cost(group, best.cost));
        }
    };
    let mut chains: Vec<Chain<'_>> =
        (0..CHAINS).map(|chain| Chain::new(greedy.clone(), control.seed(), chain)).collect();
    let mut best = chains[0].best.clone();
    told(&best);
    let mut stop = Stop::Budget;
    for _ in 0..EPOCHS {
        if budget == 0 || chains.iter().any(|chain| chain.done(floor)) {
            stop = Stop::Finished;
            break;
        }
        chains = parallel::each(chains, |mut chain| {
            chain.run(budget / EPOCHS, floor, || control.must_stop().is_some());
            chain
        });
        if let Some(first) = chains.iter().min_by_key(|chain| chain.best.key()) {
            let cheaper = first.best.key() < best.key();
            if cheaper {
                best = first.best.clone();
                told(&best);
            }
        }
        if let Some(why) = control.must_stop() {
            stop = why;
            break;
        }
        for chain in &mut chains {
            if (chain.best.missing, chain.best.cost) > best.key() {
                chain.adopt(&best);
            }
        }
    }
    work += chains.iter().map(|chain| chain.filling.work).sum::<u64>();
    let sheets: Vec<_> = best.sheets.iter().filter(|sheet| sheet.count > 0).map(|sheet| (sheet, 1)).collect();
    let (layouts, unplaced) = layout::layouts(batch, &problem, &sheets);
    Answer {
        layouts,
        unplaced,
        certificates: proofs.into_iter().map(|proof| proof.certificate).collect(),
        stop: Some(stop),
        work,
    }
}
