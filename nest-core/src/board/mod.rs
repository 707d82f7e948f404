//! Boards: parts cut to length from bars, at the least cost, with a proof of how good that is.
//!
//! Each step can be cut off and the one before it still answers: greedy, the linear relaxation with its floor, dives,
//! polish.

mod columns;
mod cover;
mod dive;
mod greedy;
mod knapsack;
mod layouts;
mod problem;
mod proof;
mod question;
mod states;

use crate::model::CheckedBatch;
use crate::plan::{Certificate, Layout};
use crate::search::{Control, Effort, Event, Stop};
use crate::units::gcd;
use columns::{Generator, Limits, Prices};
use dive::Dive;
use greedy::Packing;
use problem::Problem;

/// What a driver answers for one group.
#[derive(Clone, Debug, Default)]
pub(crate) struct Answer {
    /// Layouts of the group.
    pub layouts: Vec<Layout>,
    /// Parts not made, ascending, none with 0.
    pub unplaced: Vec<(usize, u32)>,
    /// Proofs of floors, the best first as far as the driver can tell.
    pub certificates: Vec<Certificate>,
    /// Why the search ended.
    pub stop: Option<Stop>,
    /// Units of work done.
    pub work: u64,
}

/// Work that an effort allows for one group, in units of about a nanosecond.
fn budget(effort: Effort) -> u64 {
    match effort {
        Effort::None => 0,
        Effort::Quick => 400_000_000,
        Effort::Normal => 4_000_000_000,
        Effort::Deep => 400_000_000_000,
    }
}

/// Dives that are tried at the most, each from another corner of the relaxation.
fn passes(effort: Effort) -> u64 {
    match effort {
        Effort::None => 0,
        Effort::Quick => 2,
        Effort::Normal => 40,
        Effort::Deep => 2_000,
    }
}

/// Solves one group of boards.
pub(crate) fn solve(batch: &CheckedBatch, group: usize, control: &Control<'_>) -> Answer {
    let question = question::pose(batch, &batch.groups()[group]);
    let problem = &question.problem;
    let mut search =
        Search { problem, control, group, unit: unit_cost(batch, group, problem), work: 0, stop: None };
    let (packing, proofs) = search.run();
    let layouts = layouts::lay_out(batch, &question, &packing);
    let mut unplaced: Vec<(usize, u32)> = Vec::new();
    let mut made = vec![0_u64; batch.parts().len()];
    for layout in &layouts {
        for piece in &layout.pieces {
            made[piece.part] += u64::from(layout.copies);
        }
    }
    for &part in &batch.groups()[group].parts {
        let left = u64::from(batch.batch().parts[part].qty).saturating_sub(made[part]);
        if left > 0 {
            unplaced.push((part, u32::try_from(left).unwrap_or(u32::MAX)));
        }
    }
    let certificates = proofs.iter().map(|p| proof::certificate(&question, p)).collect();
    Answer { layouts, unplaced, certificates, stop: search.stop, work: search.work }
}

/// What one unit of the problem's cost is in the batch's measure, for reports while the search runs.
fn unit_cost(batch: &CheckedBatch, group: usize, problem: &Problem) -> i128 {
    let stock = &batch.groups()[group].stock;
    let dearest = (0..stock.len()).max_by_key(|&b| problem.bars[b].cost);
    dearest.map_or(1, |b| batch.stock()[stock[b]].cost / i128::from(problem.bars[b].cost.max(1)))
}

struct Search<'a> {
    problem: &'a Problem,
    control: &'a Control<'a>,
    group: usize,
    unit: i128,
    work: u64,
    stop: Option<Stop>,
}

impl Search<'_> {
    fn cost(&self, cost: u64) {
        self.control.tell(Event::Cost(self.group, i128::from(cost) * self.unit));
    }

    /// Returns the best packing and prices that prove floors, best first.
    fn run(&mut self) -> (Packing, Vec<Prices>) {
        let problem = self.problem;
        let demand = problem.demand();
        let supply = problem.supply();
        let step = problem.bars.iter().fold(0, |g, b| gcd(g, b.cost)).max(1);
        let first = greedy::fill_down(problem, &demand, &supply);
        let complete = first.left.iter().all(|&d| d == 0);
        let lengths = proof::by_length(problem);
        let mut floor = proof::floor(problem, &lengths, step);
        let mut proofs = vec![lengths];
        let best = complete.then(|| (first.cost(problem), first.clone()));
        if let Some((cost, _)) = &best {
            self.cost(*cost);
        }
        let met = |best: &Option<(u64, Packing)>, floor: Option<u64>| match (best, floor) {
            (Some((cost, _)), Some(floor)) => *cost <= floor,
            _ => false,
        };
        if self.control.effort() == Effort::None || problem.items.is_empty() || met(&best, floor) {
            self.stop = Some(if met(&best, floor) || problem.items.is_empty() {
                Stop::Finished
            } else {
                Stop::Budget
            });
            return (best.map_or(first, |b| b.1), proofs);
        }
        let budget = budget(self.control.effort());
        let control = self.control;
        let mut why = None;
        let mut halt = |work: u64| {
            why = why.or_else(|| control.must_stop()).or((work > budget).then_some(Stop::Budget));
            why.is_some()
        };
        let mut generator = Generator::new(problem, &mut halt);
        for (pattern, _) in &first.used {
            generator.add(pattern.clone());
        }
        generator.enter(&demand);
        let limits = Limits { rounds: usize::MAX, useless: f64::INFINITY, step: step as f64, enough: 0.0 };
        let root = generator.run(&demand, &supply, limits);
        let proven = proof::floor(problem, &root.prices, step);
        if proven.is_none() || proven > floor {
            floor = proven;
            proofs.insert(0, root.prices);
        } else {
            proofs.push(root.prices);
        }
        if let Some(floor) = floor {
            self.control.tell(Event::Floor(self.group, i128::from(floor) * self.unit));
        }
        let mut dive = Dive {
            problem,
            generator: &mut generator,
            best,
            floor: floor.unwrap_or(0),
            step,
            nodes: 0,
            node_limit: usize::MAX,
        };
        if floor.is_some() && root.missing < 1e-4 {
            for pass in 0..passes(self.control.effort()) {
                let before = dive.best.as_ref().map(|b| b.0);
                dive.generator.seed = pass;
                dive.below(&demand, &supply, &mut Vec::new(), 0, 2);
                let after = dive.best.as_ref().map(|b| b.0);
                if let Some(cost) = after.filter(|_| after != before) {
                    self.control.tell(Event::Cost(self.group, i128::from(cost) * self.unit));
                }
                if dive.done() {
                    break;
                }
            }
        }
        let best = dive.best;
        self.work = generator.work();
        drop(generator);
        self.stop = Some(if met(&best, floor) { Stop::Finished } else { why.unwrap_or(Stop::Finished) });
        (best.map_or(first, |b| b.1), proofs)
    }
}
