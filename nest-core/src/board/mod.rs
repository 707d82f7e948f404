//! Boards: parts cut to length from bars, at the least cost, with a proof of how good that is.
//!
//! Each step can be cut off and the one before it still answers: greedy, the linear relaxation with its floor, dives,
//! polish.

mod blanks;
mod branch;
mod closed;
mod columns;
mod dive;
mod greedy;
mod knapsack;
mod layouts;
mod level;
mod meter;
mod optional;
mod passes;
mod polish;
mod pool;
mod problem;
mod proof;
mod question;
mod states;
#[cfg(test)]
mod twins;
mod whole;

use crate::model::CheckedBatch;
use crate::plan::{Layout, Score};
use crate::search::{Answer, Control, Effort, Event, Stop};
use crate::units::gcd;
use branch::{Case, Cases};
use columns::{Generator, Limits, Prices, Relaxed};
use greedy::Packing;
use meter::Meter;
use passes::{Passes, Pool};
use problem::{Problem, Range};
use question::Question;

/// Work that an effort allows for one group, in units of about a nanosecond.
fn budget(effort: Effort) -> u64 {
    match effort {
        Effort::None => 0,
        Effort::Quick => 400_000_000,
        Effort::Normal => 3_000_000_000,
        Effort::Deep => 400_000_000_000,
    }
}

/// Dives that are tried at the most, each from another corner of the relaxation.
fn most_passes(effort: Effort) -> usize {
    match effort {
        Effort::None => 0,
        Effort::Quick => 2,
        Effort::Normal => 40,
        Effort::Deep => 2_000,
    }
}

/// Passes before cases are looked at.
const FIRST_PASSES: usize = 5;
/// Passes that make the most of too little stock.
const PARTIAL_PASSES: usize = 12;
/// Kinds of items from which on column generation is left to deep searches: filling is close, the master slow.
const MANY_ITEMS: usize = 1_000;
/// With more than these there is none: the inverse of the master's basis has a number for every two.
const MOST_ITEMS: usize = 6_000;
/// Table cells that the first filling may use.
const FILL_CELLS: u64 = 300_000_000;

/// Boxes that are looked at to raise the floor.
fn most_cases(effort: Effort) -> usize {
    match effort {
        Effort::None => 0,
        Effort::Quick => 8,
        Effort::Normal => 60,
        Effort::Deep => 600,
    }
}

/// Nodes of the integer master.
fn master_nodes(effort: Effort) -> u64 {
    match effort {
        Effort::None => 0,
        Effort::Quick => 16,
        Effort::Normal => 128,
        Effort::Deep => 1_024,
    }
}

/// Boxes that cover every possibility, with the prices that prove a floor in each.
type Proof = Vec<(Vec<Range>, Prices)>;

/// Solves one group of boards.
pub(crate) fn solve(batch: &CheckedBatch, group: usize, control: &Control<'_>) -> Answer {
    let of = &batch.groups()[group];
    let question = question::pose(batch, of, false);
    let unit = Some(unit_cost(batch, group, &question.problem));
    let mut search = Search { problem: &question.problem, control, group, unit, work: 0, stop: None };
    let (packing, proofs) = search.run(None);
    let (mut work, mut stop) = (search.work, search.stop);
    let mut best = drawn(batch, group, &question, &packing, control.effort());
    let whole = control.effort() != Effort::None && packing.left.iter().all(|&d| d == 0);
    let more =
        (whole && best.0.optional > 0).then(|| optional::pose(batch, of, &question, &packing)).flatten();
    if let Some((all, packing)) = more {
        let control = &control.share(control.effort().min(Effort::Normal), 1, 1);
        let mut search = Search { problem: &all.problem, control, group, unit: None, work: 0, stop: None };
        let (packing, _) = search.run(Some(packing));
        let other = drawn(batch, group, &all, &packing, control.effort());
        if other.0 < best.0 {
            best = other;
        }
        work += search.work;
        // That more of them could be made somehow is no reason to go on.
        stop = stop.max(search.stop.filter(|&stop| stop >= Stop::Time));
    }
    let layouts = best.1;
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
    Answer { layouts, unplaced, certificates, stop, work }
}

/// The best layouts of a packing, or of the same bars or owned ones filled another way, and how good they are.
fn drawn(
    batch: &CheckedBatch,
    group: usize,
    question: &Question,
    packing: &Packing,
    effort: Effort,
) -> (Score, Vec<Layout>) {
    let whole = effort != Effort::None && packing.left.iter().all(|&d| d == 0);
    let real = question.stock.len();
    let others = if whole { polish::others(&question.problem, packing, real) } else { Vec::new() };
    let layouts =
        std::iter::once(packing).chain(&others).map(|packing| layouts::lay_out(batch, question, packing));
    let scored = layouts.map(|layouts| (Score::of(batch, group, &layouts), layouts));
    scored.min_by_key(|scored| scored.0).unwrap_or_default()
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
    /// What a unit of cost is for reports; none where nobody is to hear of it.
    unit: Option<i128>,
    work: u64,
    stop: Option<Stop>,
}

impl Search<'_> {
    fn tell_floor(&self, floor: Option<u64>) {
        if let Some((floor, unit)) = floor.zip(self.unit) {
            self.control.tell(Event::Floor(self.group, i128::from(floor) * unit));
        }
    }

    fn tell_cost(&self, cost: u64) {
        if let Some(unit) = self.unit {
            self.control.tell(Event::Cost(self.group, i128::from(cost) * unit));
        }
    }

    /// Returns the best packing, no worse than one that is known, and proofs of floors, best first.
    fn run(&mut self, known: Option<Packing>) -> (Packing, Vec<Proof>) {
        let problem = self.problem;
        let effort = self.control.effort();
        let demand = problem.demand();
        let ranges = problem.ranges();
        let step = problem.bars.iter().fold(0, |g, b| gcd(g, b.cost)).max(1);
        let fillings = [
            greedy::fill_down(problem, &demand, &ranges),
            greedy::fill_up(problem, &demand, &ranges, FILL_CELLS),
        ];
        let first = fillings.into_iter().chain(known).min_by_key(|f| f.worth(problem)).unwrap_or_default();
        let complete = first.left.iter().all(|&d| d == 0);
        let lengths = proof::by_length(problem);
        let mut floor = proof::floor(problem, &lengths, step);
        let mut proofs: Vec<Proof> = vec![vec![(ranges.clone(), lengths)]];
        let best = complete.then(|| (first.cost(problem), first.clone()));
        if let Some((cost, _)) = &best {
            self.tell_cost(*cost);
        }
        let met = |best: &Option<(u64, Packing)>, floor: Option<u64>| match (best, floor) {
            (Some((cost, _)), Some(floor)) => *cost <= floor,
            _ => false,
        };
        let many = problem.items.len() > if effort == Effort::Deep { MOST_ITEMS } else { MANY_ITEMS };
        if effort == Effort::None || many || problem.items.is_empty() || met(&best, floor) {
            let done = met(&best, floor) || problem.items.is_empty();
            self.stop = Some(if done { Stop::Finished } else { Stop::Budget });
            return (first, proofs);
        }
        let meter = Meter::new(self.control, budget(effort));
        let mut generator = Generator::new(problem, meter);
        for (pattern, _) in &first.used {
            generator.add(pattern.clone());
        }
        generator.enter(&demand);
        let limits = Limits { rounds: usize::MAX, useless: f64::INFINITY, step: step as f64, enough: 0.0 };
        let root = generator.run(&demand, &ranges, limits);
        let proven = proof::floor(problem, &root.prices, step);
        if proven.is_none() || proven > floor {
            floor = proven;
            proofs.insert(0, vec![(ranges.clone(), root.prices.clone())]);
        }
        self.tell_floor(floor);
        let several = problem.bars.len() > 1;
        let mut passes = Passes {
            problem,
            step,
            floor: floor.unwrap_or(0),
            best,
            next: 0,
            root: generator.work(),
            generator,
            pool: Pool::default(),
            dives: if several { FIRST_PASSES } else { 1 },
        };
        if floor.is_some() && root.missing < 1e-4 {
            let until = if several { FIRST_PASSES.min(most_passes(effort)) } else { most_passes(effort) };
            passes.run(until, |cost| self.tell_cost(cost));
            if !passes.met() && several && !passes.over() {
                let prices = root.prices.clone();
                if let Some((least, proof)) = self.cases(&mut passes, root, floor, meter) {
                    floor = least;
                    proofs.insert(0, proof);
                }
                self.recombine(&mut passes, &prices);
                passes.run(most_passes(effort), |cost| self.tell_cost(cost));
            }
        }
        let mut first = first;
        if passes.best.is_none() {
            let (packing, work) =
                passes::most(problem, &passes.generator, first, most_passes(effort).min(PARTIAL_PASSES));
            passes.generator.charge(work);
            first = packing;
        }
        self.work = passes.generator.work();
        let why = passes.generator.meter.over(self.work);
        let best = passes.best;
        self.stop = Some(if met(&best, floor) { Stop::Finished } else { why.unwrap_or(Stop::Finished) });
        (best.map_or(first, |b| b.1), proofs)
    }

    /// Looks at the number of bars of each kind case by case. Returns the floor of all cases and its proof, where that is
    /// higher.
    fn cases(
        &self,
        passes: &mut Passes<'_>,
        root: Relaxed,
        floor: Option<u64>,
        meter: Meter<'_>,
    ) -> Option<(Option<u64>, Proof)> {
        let problem = self.problem;
        let mut work = passes.generator.work();
        let cases = Cases { problem, step: passes.step, most: most_cases(self.control.effort()), nodes: 200 };
        let before = passes.best.as_ref().map(|b| b.0);
        let mut patterns = passes.generator.patterns.clone();
        let root = Case::new(problem, root, floor);
        let leaves = cases.look(root, &mut passes.best, &mut patterns, &mut work, meter);
        passes.generator.charge(work);
        for pattern in patterns {
            passes.generator.add(pattern);
        }
        let least = leaves.iter().filter_map(|l| l.floor).min();
        let higher = least > floor;
        if higher {
            passes.floor = passes.floor.max(least.unwrap_or(0));
            self.tell_floor(least);
        }
        if let Some((cost, _)) = passes.best.as_ref().filter(|b| Some(b.0) != before) {
            self.tell_cost(*cost);
        }
        higher.then(|| (least, leaves.into_iter().map(|l| (l.ranges, l.prices)).collect()))
    }

    /// Puts the patterns seen together anew.
    fn recombine(&self, passes: &mut Passes<'_>, prices: &Prices) {
        let Some(best) = passes.best.clone().filter(|_| !passes.met() && !passes.over()) else { return };
        let nodes = master_nodes(self.control.effort());
        let (found, work) = whole::recombine(self.problem, &passes.generator, prices, &best, nodes);
        passes.generator.charge(passes.generator.work() + work);
        if let Some((cost, packing)) = found {
            self.tell_cost(cost);
            passes.best = Some((cost, packing));
        }
    }
}
