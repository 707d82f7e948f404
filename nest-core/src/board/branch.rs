//! Floors by cases: how many bars of each kind are used.
//!
//! With several kinds of bars the relaxation mixes them in fractions. Splitting on the number used of one kind, at
//! most `n` or at least `n + 1`, gives boxes with a relaxation, prices and a floor each; the least of them is a
//! floor, and their boxes are the leaves of the certificate. Each box also gets a dive: plans with another mix
//! of bars come out of it.

use super::columns::{Generator, Limits, Prices, Relaxed};
use super::dive::Dive;
use super::greedy::Packing;
use super::meter::Meter;
use super::problem::{Pattern, Problem, Range};
use super::proof;

/// A box with the prices that prove its floor.
#[derive(Clone, Debug)]
pub(super) struct Case {
    pub ranges: Vec<Range>,
    pub prices: Prices,
    /// `None` where the box holds no plan at all.
    pub floor: Option<u64>,
    /// How many of each kind the relaxation uses.
    bars: Vec<f64>,
}

impl Case {
    pub fn new(problem: &Problem, relaxed: Relaxed, floor: Option<u64>) -> Self {
        Self { ranges: problem.ranges(), prices: relaxed.prices, floor, bars: relaxed.bars }
    }

    /// The kind whose number is farthest from whole.
    fn split(&self) -> Option<(usize, u64)> {
        let off = |b: usize| (self.bars[b] - self.bars[b].round()).abs();
        let kind = (0..self.bars.len()).max_by(|&a, &b| off(a).total_cmp(&off(b)).then(b.cmp(&a)))?;
        (off(kind) > 1e-4).then(|| (kind, self.bars[kind].floor() as u64))
    }
}

pub(super) struct Cases<'a> {
    pub problem: &'a Problem,
    pub step: u64,
    /// Boxes that are looked at, at the most.
    pub most: usize,
    /// Nodes of the dive in each box.
    pub nodes: usize,
}

impl Cases<'_> {
    /// Splits until the least floor meets the best cost or the limit is reached. Returns boxes that cover
    /// everything `root` covers.
    pub fn look(
        &self,
        root: Case,
        best: &mut Option<(u64, Packing)>,
        patterns: &mut Vec<Pattern>,
        work: &mut u64,
        meter: Meter<'_>,
    ) -> Vec<Case> {
        let mut cases = vec![root];
        let mut looked = 0;
        while looked < self.most {
            let target = best.as_ref().map_or(u64::MAX, |b| b.0);
            let open = (0..cases.len())
                .filter(|&c| cases[c].floor.is_some_and(|f| f < target))
                .min_by_key(|&c| (cases[c].floor, c));
            let Some(open) = open else { break };
            let Some((kind, count)) = cases[open].split() else { break };
            let range = cases[open].ranges[kind];
            let mut below = cases[open].ranges.clone();
            below[kind] = Range { least: range.least.min(count), most: Some(count) };
            let mut above = cases[open].ranges.clone();
            above[kind] = Range { least: count + 1, most: range.most };
            let mut halves = Vec::new();
            for ranges in [below, above] {
                looked += 1;
                let Some(case) = self.solve(&ranges, best, patterns, work, meter) else { return cases };
                halves.push(case);
            }
            cases.swap_remove(open);
            cases.append(&mut halves);
        }
        cases
    }

    fn solve(
        &self,
        ranges: &[Range],
        best: &mut Option<(u64, Packing)>,
        patterns: &mut Vec<Pattern>,
        work: &mut u64,
        meter: Meter<'_>,
    ) -> Option<Case> {
        let mut problem = self.problem.clone();
        for (bar, range) in problem.bars.iter_mut().zip(ranges) {
            bar.range = *range;
        }
        let mut generator = Generator::new(&problem, meter.after(*work));
        for pattern in patterns.iter() {
            generator.add(pattern.clone());
        }
        let demand = problem.demand();
        generator.enter(&demand);
        let useless = best.as_ref().map_or(f64::INFINITY, |b| b.0 as f64 - self.step as f64);
        let limits = Limits { rounds: usize::MAX, useless, step: 0.0, enough: 0.0 };
        let relaxed = generator.run(&demand, ranges, limits);
        let floor = proof::floor(&problem, &relaxed.prices, self.step);
        let target = best.as_ref().map_or(u64::MAX, |b| b.0);
        if relaxed.missing < 1e-4 && floor.is_some_and(|f| f < target) {
            let mut dive = Dive {
                problem: &problem,
                generator: &mut generator,
                best: best.take(),
                floor: floor.unwrap_or(0),
                step: self.step,
                nodes: 0,
                node_limit: self.nodes,
                partial: None,
            };
            dive.run(&demand, ranges, 1);
            *best = dive.best;
        }
        let done = generator.work();
        let halted = generator.meter.over(done).is_some();
        *work += done;
        *patterns = std::mem::take(&mut generator.patterns);
        (!halted).then(|| Case::new(&problem, relaxed, floor))
    }
}
