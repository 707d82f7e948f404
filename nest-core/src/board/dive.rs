//! Whole numbers out of the relaxation: a dive with limited discrepancy.
//!
//! Take the whole parts of the relaxation, else its largest fraction; solve what remains again; repeat. Where the bound
//! shows that a branch cannot beat the incumbent, go back and take another choice; a path may differ from the
//! first choice a limited number of times (Harvey and Ginsberg 1995; Sadykov, Vanderbeck, Pessoa, Tahiri and
//! Uchoa 2019).

use super::columns::{Generator, Limits};
use super::greedy::{self, Packing};
use super::problem::{Problem, Range};

/// How many choices a node offers at the most.
const WIDTH: usize = 8;

/// A dive with its incumbent.
pub(crate) struct Dive<'a, 'p> {
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
}

impl Dive<'_, '_> {
    /// Whether nothing is left to gain or to spend.
    pub fn done(&mut self) -> bool {
        let work = self.generator.work();
        self.best.as_ref().is_some_and(|b| b.0 <= self.floor)
            || self.nodes >= self.node_limit
            || (self.generator.stop)(work)
    }

    fn useless_from(&self, fixed: u64) -> f64 {
        // A branch is of use only if it can cost at least one step less than the incumbent.
        self.best.as_ref().map_or(f64::INFINITY, |b| b.0 as f64 - self.step as f64 - fixed as f64)
    }

    /// Dives below what is fixed. `swaps` choices other than the first may still be made.
    pub fn below(
        &mut self,
        demand: &[u64],
        ranges: &[Range],
        fixed: &mut Vec<(usize, u64)>,
        cost: u64,
        swaps: usize,
    ) {
        if self.done() {
            return;
        }
        self.nodes += 1;
        if demand.iter().all(|&d| d == 0) {
            self.record(fixed, Packing::default(), cost);
            return;
        }
        let useless = self.useless_from(cost);
        let mark = self.generator.enter(demand);
        self.children(demand, ranges, fixed, cost, swaps, useless);
        self.generator.leave(mark);
    }

    fn children(
        &mut self,
        demand: &[u64],
        ranges: &[Range],
        fixed: &mut Vec<(usize, u64)>,
        cost: u64,
        swaps: usize,
        useless: f64,
    ) {
        let relaxed = self.generator.run(
            demand,
            ranges,
            Limits {
                rounds: 400,
                useless,
                step: 0.0,
                enough: if self.best.is_some() { useless } else { 0.0 },
            },
        );
        if relaxed.missing > 1e-4 || relaxed.prices.bound > useless + 1e-6 {
            return;
        }
        // The cheap way down: greedy on what is left.
        let rest = greedy::fill_down(self.problem, demand, ranges);
        if rest.left.iter().all(|&d| d == 0) {
            let total = cost + rest.cost(self.problem);
            self.record(fixed, rest, total);
        }
        let mut whole: Vec<(usize, u64)> = Vec::new();
        let mut left = demand.to_vec();
        let mut stock = ranges.to_vec();
        let mut spent = cost;
        let take = |g: &Generator,
                    index: usize,
                    n: u64,
                    left: &mut [u64],
                    stock: &mut [Range],
                    spent: &mut u64| {
            let pattern = &g.patterns[index];
            let mut n = pattern.counts.iter().map(|&(i, c)| left[i] / c).min().unwrap_or(0).min(n);
            if let Some(most) = stock[pattern.bar].most {
                n = n.min(most);
            }
            if n == 0 {
                return 0;
            }
            for &(i, c) in &pattern.counts {
                left[i] -= c * n;
            }
            stock[pattern.bar] = stock[pattern.bar].after(n);
            *spent += self.problem.bars[pattern.bar].cost * n;
            n
        };
        for &(index, x) in &relaxed.solution {
            let n = (x + 1e-5).floor() as u64;
            if n >= 1 {
                let n = take(self.generator, index, n, &mut left, &mut stock, &mut spent);
                if n > 0 {
                    whole.push((index, n));
                }
            }
        }
        if !whole.is_empty() {
            let mark = fixed.len();
            fixed.extend(whole);
            self.below(&left, &stock, fixed, spent, swaps);
            fixed.truncate(mark);
            return;
        }
        let mut choices: Vec<(usize, f64)> =
            relaxed.solution.iter().copied().filter(|c| c.1 > 1e-5).collect();
        choices.sort_by(|a, b| {
            b.1.total_cmp(&a.1)
                .then_with(|| {
                    self.problem
                        .used(&self.generator.patterns[b.0])
                        .cmp(&self.problem.used(&self.generator.patterns[a.0]))
                })
                .then(a.0.cmp(&b.0))
        });
        for (k, &(index, _)) in choices.iter().take(WIDTH).enumerate() {
            if k > swaps || self.done() {
                break;
            }
            let mut left = demand.to_vec();
            let mut stock = ranges.to_vec();
            let mut spent = cost;
            let n = take(self.generator, index, 1, &mut left, &mut stock, &mut spent);
            if n == 0 {
                continue;
            }
            fixed.push((index, n));
            self.below(&left, &stock, fixed, spent, swaps - k);
            fixed.pop();
        }
    }

    fn record(&mut self, fixed: &[(usize, u64)], rest: Packing, cost: u64) {
        if self.best.as_ref().is_none_or(|b| cost < b.0) {
            let mut used: Vec<_> =
                fixed.iter().map(|&(p, n)| (self.generator.patterns[p].clone(), n)).collect();
            used.extend(rest.used);
            self.best = Some((cost, Packing { used, left: vec![0; self.problem.items.len()] }));
        }
    }
}
