//! Whole numbers out of the relaxation: a dive with limited discrepancy.
//!
//! Take the whole parts of the relaxation, else its largest fraction; solve what remains again; repeat. Where the bound
//! shows that a branch cannot beat the incumbent, go back and take another choice; a path may differ from the
//! first choice a limited number of times (Harvey and Ginsberg 1995; Sadykov, Vanderbeck, Pessoa, Tahiri and
//! Uchoa 2019).

use super::columns::{Generator, Limits};
use super::greedy::{self, Packing};
use super::problem::{Pattern, Problem, Range};

/// Pricing rounds of one node.
const ROUNDS: usize = 400;
/// How many choices a node offers at the most.
const WIDTH: usize = 8;

/// What is left to be made, from what, and what was fixed so far.
#[derive(Clone)]
pub(super) struct Rest {
    pub demand: Vec<u64>,
    pub ranges: Vec<Range>,
    pub cost: u64,
}

impl Rest {
    /// Takes a pattern as often as wanted and possible; returns how often that is.
    pub fn take(&mut self, problem: &Problem, pattern: &Pattern, wanted: u64) -> u64 {
        let possible = pattern.counts.iter().map(|&(i, c)| self.demand[i] / c).min().unwrap_or(0);
        let n = wanted.min(possible).min(self.ranges[pattern.bar].most.unwrap_or(u64::MAX));
        for &(i, c) in &pattern.counts {
            self.demand[i] -= c * n;
        }
        self.ranges[pattern.bar] = self.ranges[pattern.bar].after(n);
        self.cost += problem.bars[pattern.bar].cost * n;
        n
    }
}

/// A dive with its incumbent.
pub(super) struct Dive<'a, 'p> {
    pub problem: &'p Problem,
    pub generator: &'a mut Generator<'p>,
    /// Cost and packing of the incumbent.
    pub best: Option<(u64, Packing)>,
    /// Nothing can cost less.
    pub floor: u64,
    /// All costs are multiples of this.
    pub step: u64,
    pub nodes: usize,
    pub node_limit: usize,
    /// The best packing that leaves something over, looked for where not everything can be made.
    pub partial: Option<Packing>,
}

impl Dive<'_, '_> {
    /// Dives from the top. `swaps` choices other than the first may be made on a path.
    pub fn run(&mut self, demand: &[u64], ranges: &[Range], swaps: usize) {
        let rest = Rest { demand: demand.to_vec(), ranges: ranges.to_vec(), cost: 0 };
        self.below(&rest, &mut Vec::new(), swaps);
    }

    /// Whether nothing is left to gain or to spend.
    fn done(&mut self) -> bool {
        let work = self.generator.work();
        self.best.as_ref().is_some_and(|b| b.0 <= self.floor)
            || self.nodes >= self.node_limit
            || self.generator.meter.over(work).is_some()
    }

    /// A branch is of use only if it can cost at least one step less than the incumbent.
    fn useless_from(&self, fixed: u64) -> f64 {
        self.best.as_ref().map_or(f64::INFINITY, |b| b.0 as f64 - self.step as f64 - fixed as f64)
    }

    fn below(&mut self, rest: &Rest, fixed: &mut Vec<(usize, u64)>, swaps: usize) {
        if self.done() {
            return;
        }
        self.nodes += 1;
        if rest.demand.iter().all(|&d| d == 0) {
            self.record(fixed, Packing::default(), rest.cost);
            return;
        }
        let mark = self.generator.enter(&rest.demand);
        self.children(rest, fixed, swaps);
        self.generator.leave(mark);
    }

    fn children(&mut self, rest: &Rest, fixed: &mut Vec<(usize, u64)>, swaps: usize) {
        let useless = self.useless_from(rest.cost);
        let enough = if self.best.is_some() { useless } else { 0.0 };
        let limits = Limits { rounds: ROUNDS, useless, step: 0.0, enough };
        let relaxed = self.generator.run(&rest.demand, &rest.ranges, limits);
        if self.partial.is_some() {
            self.offer(rest, fixed);
        } else if relaxed.missing > 1e-4 {
            return;
        }
        if relaxed.prices.bound > useless + 1e-6 {
            return;
        }
        // The cheap way down: greedy on what is left.
        let filled = greedy::fill_down(self.problem, &rest.demand, &rest.ranges);
        if filled.left.iter().all(|&d| d == 0) {
            let total = rest.cost + filled.cost(self.problem);
            self.record(fixed, filled, total);
        }
        let mut whole: Vec<(usize, u64)> = relaxed
            .solution
            .iter()
            .map(|&(p, x)| (p, (x + 1e-5).floor() as u64))
            .filter(|w| w.1 > 0)
            .collect();
        if !whole.is_empty() {
            self.fix(rest, &whole, fixed, swaps);
            // Whole parts are a choice as well: now and then keep only the half that wastes least.
            if swaps > 0 && whole.len() > 1 && !self.done() {
                whole.sort_by_key(|&(p, _)| (self.waste(p), p));
                whole.truncate(whole.len() / 2);
                self.fix(rest, &whole, fixed, swaps - 1);
            }
            return;
        }
        let mut choices: Vec<(usize, f64)> =
            relaxed.solution.iter().copied().filter(|c| c.1 > 1e-5).collect();
        choices.sort_by(|a, b| {
            b.1.total_cmp(&a.1).then_with(|| self.waste(a.0).cmp(&self.waste(b.0))).then(a.0.cmp(&b.0))
        });
        for (k, &(index, _)) in choices.iter().take(WIDTH.min(swaps + 1)).enumerate() {
            if self.done() {
                break;
            }
            self.fix(rest, &[(index, 1)], fixed, swaps - k);
        }
    }

    /// Length that a pattern leaves over.
    fn waste(&self, pattern: usize) -> u64 {
        let pattern = &self.generator.patterns[pattern];
        self.problem.bars[pattern.bar].capacity.saturating_sub(self.problem.used(pattern))
    }

    /// Takes patterns as often as wanted and possible, and dives on with what is left.
    fn fix(&mut self, rest: &Rest, wanted: &[(usize, u64)], fixed: &mut Vec<(usize, u64)>, swaps: usize) {
        let mut rest = rest.clone();
        let mark = fixed.len();
        for &(index, n) in wanted {
            let n = rest.take(self.problem, &self.generator.patterns[index], n);
            if n > 0 {
                fixed.push((index, n));
            }
        }
        if fixed.len() > mark {
            self.below(&rest, fixed, swaps);
        }
        fixed.truncate(mark);
    }

    /// Keeps what is fixed, with the rest filled greedily, where it leaves less over than anything before.
    fn offer(&mut self, rest: &Rest, fixed: &[(usize, u64)]) {
        let Some(before) = &self.partial else { return };
        let filled = greedy::fill_up(self.problem, &rest.demand, &rest.ranges, greedy::MOST_CELLS);
        let mut used: Vec<_> = fixed.iter().map(|&(p, n)| (self.generator.patterns[p].clone(), n)).collect();
        used.extend(filled.used);
        let packing = Packing { used, left: filled.left };
        if packing.worth(self.problem) < before.worth(self.problem) {
            self.partial = Some(packing);
        }
    }

    fn record(&mut self, fixed: &[(usize, u64)], rest: Packing, cost: u64) {
        if self.best.as_ref().is_none_or(|b| cost < b.0) {
            let mut used: Vec<_> =
                fixed.iter().map(|&(p, n)| (self.generator.patterns[p].clone(), n)).collect();
            used.extend(rest.used);
            self.best = Some((cost, Packing { used, left: vec![0; self.problem.items.len()] }));
            if cost <= self.floor {
                self.generator.meter.won();
            }
        }
    }
}
