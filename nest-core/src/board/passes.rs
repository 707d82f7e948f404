//! Dives one after the other, each from another corner of the relaxation, several side by side.
//!
//! The first choice alone often is enough. After it passes run in chunks from the same state; the best result of a
//! chunk wins, the earliest among equals, so that neither the number of threads nor their timing shows.

use super::closed::{Closed, End, Top};
use super::columns::{Generator, Limits, Prices};
use super::dive::Dive;
use super::greedy::Packing;
use super::meter::Meter;
use super::pool;
use super::problem::{Pattern, Problem};
use crate::search::parallel;
use std::sync::atomic::AtomicUsize;

/// Passes that run side by side.
const CHUNK: usize = 4;
/// Corners of the prices that strike patterns off.
const CORNERS: u64 = 4;
/// Nodes of a first look into the pool.
const GLANCE: usize = 250;
/// Nodes after which a pass gives way to the next, at first.
const NODES: usize = 1_500;
/// Work after which it does, unless the root took more: where nodes are dear, a pass that will not end well must not
/// keep the others waiting.
const WORK: u64 = 800_000_000;

/// All patterns that a packing may use which is better than the best, or else at the floor, where they are few.
#[derive(Default)]
pub(super) struct Pool<'p> {
    /// Several corners of the prices: each rules out more.
    prices: Vec<Prices>,
    closed: Option<Closed<'p>>,
    /// The best cost and the floor for which it was made.
    of: Option<(u64, u64)>,
}

pub(super) struct Passes<'p> {
    pub problem: &'p Problem,
    /// All costs are multiples of this.
    pub step: u64,
    /// Nothing can cost less: proven, or as a search through all patterns has shown.
    pub floor: u64,
    pub best: Option<(u64, Packing)>,
    /// Number of the next pass.
    pub next: usize,
    /// Work that the root took.
    pub root: u64,
    /// The relaxation solved at the root, with all patterns.
    pub generator: Generator<'p>,
    pub pool: Pool<'p>,
    /// The first pass before which a pool may be made.
    pub dives: usize,
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
            if self.next >= self.dives {
                self.list();
            }
            let count = if self.next == 0 { 1 } else { CHUNK.min(until - self.next) };
            let numbers: Vec<usize> = (self.next..self.next + count).collect();
            let first = AtomicUsize::new(usize::MAX);
            let before = self.generator.work();
            let results = parallel::within(&numbers, |&number| self.pass(number, &first));
            let known = self.generator.patterns.len();
            let mut work = before;
            for result in results {
                work += result.work - before;
                if let (Some(pool), Some(top)) = (&mut self.pool.closed, result.top) {
                    pool.top = top;
                }
                for pattern in result.patterns.into_iter().skip(known) {
                    self.generator.add(pattern);
                }
                if let Some((cost, packing)) = result.best
                    && self.best.as_ref().is_none_or(|b| cost < b.0)
                {
                    self.best = Some((cost, packing));
                    better(cost);
                }
                if let Some(target) = result.exhausted {
                    self.floor = self.floor.max(target + self.step);
                }
                // What later passes found and did depends on when they were told to stop: it does not count.
                if result.ended || self.met() {
                    break;
                }
            }
            self.generator.charge(work);
            self.next += count;
        }
    }

    /// Lists the patterns that a better packing may use. The relaxation is solved to its end for it: the closer its
    /// bound, the fewer they are.
    fn list(&mut self) {
        let Some((best, packing)) = &self.best else { return };
        let (best, bars) = (*best, packing.used.iter().map(|u| u.1).sum());
        if self.pool.of.replace((best, self.floor)) == Some((best, self.floor))
            || !pool::is_listable(self.problem, bars)
        {
            return;
        }
        if self.pool.prices.is_empty() {
            let (demand, ranges) = (self.problem.demand(), self.problem.ranges());
            let limits = Limits { rounds: usize::MAX, useless: f64::INFINITY, step: 0.0, enough: 0.0 };
            for seed in 0..CORNERS {
                self.generator.seed = seed;
                self.pool.prices.push(self.generator.run(&demand, &ranges, limits).prices);
            }
            self.generator.seed = 0;
        }
        let mut work = 0;
        let mut closed = |target| {
            let (patterns, done) = pool::list(self.problem, &self.pool.prices, target);
            work += done;
            let closed = Closed::new(self.problem, patterns?, target, self.generator.meter)?;
            work += closed.work;
            Some(closed)
        };
        let better = best.saturating_sub(self.step);
        self.pool.closed = closed(better).or_else(|| closed(self.floor).filter(|_| self.floor < better));
        self.generator.charge(self.generator.work() + work);
    }

    /// Every other pass looks in the pool, where there is one, the rest dive.
    fn pass<'a>(&'a self, number: usize, first: &'a AtomicUsize) -> PassResult {
        match &self.pool.closed {
            Some(pool) if number % 2 == 1 => self.search(pool, number, first),
            _ => self.dive(number, first),
        }
    }

    /// The first search of a chunk goes on with trying all patterns both ways, unless a quick look finds something.
    fn search<'a>(&'a self, pool: &Closed<'a>, number: usize, first: &'a AtomicUsize) -> PassResult {
        let mut closed = pool.clone();
        let before = self.generator.work();
        closed.work = before;
        closed.meter = self.meter(number, first);
        closed.seed = number as u64 / 2;
        let nodes = NODES * (1 + number / 12);
        let mut end = End::Open;
        if number % CHUNK == 1 && !closed.top.is_tried() {
            end = closed.search(GLANCE);
            if matches!(end, End::Open) {
                end = closed.try_all();
            }
        }
        if matches!(end, End::Open) {
            end = closed.search(nodes);
        }
        if !matches!(end, End::Open) {
            closed.meter.won();
        }
        let ended = !matches!(end, End::Open);
        let exhausted = matches!(end, End::Nothing).then(|| closed.target());
        let best = if let End::Found(cost, packing) = end { Some((cost, packing)) } else { None };
        let top = (number % CHUNK == 1).then_some(closed.top);
        PassResult { best, patterns: Vec::new(), work: closed.work, exhausted, ended, top }
    }

    /// The budget of a pass.
    fn meter<'a>(&'a self, number: usize, first: &'a AtomicUsize) -> Meter<'a> {
        let limit = self.generator.work() + self.root.max(WORK) * (1 + number as u64 / 12);
        self.generator.meter.racing(first, number).at_most(limit)
    }

    fn dive<'a>(&'a self, number: usize, first: &'a AtomicUsize) -> PassResult {
        let swaps = number % (3 + number / 12);
        let mut generator: Generator<'a> = self.generator.clone();
        generator.meter = self.meter(number, first);
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
        let work = generator.work();
        PassResult { best, patterns: generator.patterns, work, exhausted: None, ended: false, top: None }
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

/// What a pass leaves.
struct PassResult {
    /// The best cost with its packing.
    best: Option<(u64, Packing)>,
    /// All patterns.
    patterns: Vec<Pattern>,
    /// All work, that before the pass included.
    work: u64,
    /// What no packing can cost.
    exhausted: Option<u64>,
    /// It came to an end, for which later passes were told to stop.
    ended: bool,
    /// Where the next search in the pool begins.
    top: Option<Top>,
}
