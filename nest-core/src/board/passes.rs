//! Dives one after the other, each from another corner of the relaxation, several side by side.
//!
//! The first choice alone often is enough. After it passes run in chunks from the same state; the best result of a
//! chunk wins, the earliest among equals, so that neither the number of threads nor their timing shows.

use super::columns::Generator;
use super::dive::Dive;
use super::greedy::Packing;
use super::problem::Problem;
use crate::search::parallel;
use std::sync::atomic::AtomicUsize;

/// Passes that run side by side.
const CHUNK: usize = 4;
/// Nodes after which a pass gives way to the next, at first.
const NODES: usize = 1_500;
/// Work after which it does, unless the root took more: where nodes are dear, a pass that will not end well must not
/// keep the others waiting.
const WORK: u64 = 800_000_000;

pub(super) struct Passes<'p> {
    pub problem: &'p Problem,
    /// All costs are multiples of this.
    pub step: u64,
    /// Nothing can cost less.
    pub floor: u64,
    pub best: Option<(u64, Packing)>,
    /// Number of the next pass.
    pub next: usize,
    /// Work that the root took.
    pub root: u64,
    /// The relaxation solved at the root, with all patterns.
    pub generator: Generator<'p>,
}

impl<'p> Passes<'p> {
    /// Whether the best plan meets the floor.
    pub fn met(&self) -> bool {
        self.best.as_ref().is_some_and(|b| b.0 <= self.floor)
    }

    /// Whether the search must end.
    pub fn over(&self) -> bool {
        self.generator.meter.over(self.generator.work()).is_some()
    }

    /// Runs passes up to number `until`; `better` hears of each better cost.
    pub fn run(&mut self, until: usize, better: impl Fn(u64)) {
        while self.next < until && !self.met() && !self.over() {
            let count = if self.next == 0 { 1 } else { CHUNK.min(until - self.next) };
            let numbers: Vec<usize> = (self.next..self.next + count).collect();
            let first = AtomicUsize::new(usize::MAX);
            let before = self.generator.work();
            let results = parallel::within(&numbers, |&number| self.pass(number, &first));
            let known = self.generator.patterns.len();
            let mut work = before;
            for (best, patterns, done) in results {
                // What later passes found and did depends on when they were told to stop: it does not count.
                if self.met() {
                    break;
                }
                work += done - before;
                for pattern in patterns.into_iter().skip(known) {
                    self.generator.add(pattern);
                }
                if let Some((cost, packing)) = best
                    && self.best.as_ref().is_none_or(|b| cost < b.0)
                {
                    self.best = Some((cost, packing));
                    better(cost);
                }
            }
            self.generator.charge(work);
            self.next += count;
        }
    }

    /// First choices alone, then one and more other choices.
    fn pass<'a>(&'a self, number: usize, first: &'a AtomicUsize) -> PassResult {
        let swaps = number % (3 + number / 12);
        let mut generator: Generator<'a> = self.generator.clone();
        let grown = 1 + number as u64 / 12;
        let limit = generator.work() + self.root.max(WORK) * grown;
        generator.meter = generator.meter.racing(first, number).at_most(limit);
        generator.seed = number as u64;
        let demand = self.problem.demand();
        let mut dive = Dive {
            problem: self.problem,
            generator: &mut generator,
            best: self.best.as_ref().map(|b| (b.0, Packing::default())),
            floor: self.floor,
            step: self.step,
            nodes: 0,
            node_limit: NODES * (1 + number / 12),
            partial: None,
        };
        dive.run(&demand, &self.problem.ranges(), swaps);
        let best = dive.best;
        let done = generator.work();
        (best, generator.patterns, done)
    }
}

/// The packing that leaves least over, where not everything can be made: a few dives that take the relaxation's
/// patterns as far as the bars reach.
pub(super) fn most(
    problem: &Problem,
    generator: &Generator<'_>,
    first: Packing,
    passes: usize,
) -> (Packing, u64) {
    let mut generator = generator.clone();
    let mut best = first;
    let demand = problem.demand();
    for number in 0..passes {
        generator.seed = number as u64;
        let mut dive = Dive {
            problem,
            generator: &mut generator,
            best: None,
            floor: 0,
            step: 1,
            nodes: 0,
            node_limit: NODES / 4,
            partial: Some(best),
        };
        dive.run(&demand, &problem.ranges(), number % 3);
        best = dive.partial.unwrap_or_default();
    }
    (best, generator.work())
}

/// The best cost with its packing, all patterns, all work.
type PassResult = (Option<(u64, Packing)>, Vec<super::problem::Pattern>, u64);
