//! The search over a closed list of patterns: no other may be used, so the relaxation needs no pricing.
//!
//! A pattern is taken once more, or never again, until nothing is left to choose. Where that does not end soon, every
//! pattern is tried both ways: one that cannot be taken even once is struck off, one that cannot be done without is
//! taken. What one rules out often rules out the next, until little or nothing is left.
//!
//! It ends with a packing, or with the certainty that there is none: up to rounding, so it is no certificate.
//! Source: Savelsbergh 1994 for trying both ways (probing).

use super::dive::Rest;
use super::greedy::Packing;
use super::meter::Meter;
use super::problem::{Pattern, Problem};
use super::whole;
use crate::lp::{Master, Outcome};

/// Pivots of one relaxation.
const PIVOTS: usize = 5_000;
/// Cost of doing without an item, in costs of the dearest bar.
const MISSING: f64 = 1e4;
/// Numbers that all relaxations on one path may keep: a path that is longer is given up.
const MOST_NUMBERS: usize = 1 << 24;
/// What counts as a whole number.
const WHOLE: f64 = 1e-5;
/// How far fractions may differ and still be taken for equal by some seed.
const SHIFT: f64 = 0.3;

/// What is left to be made, and the relaxation over the patterns that may still be used.
#[derive(Clone)]
struct Node {
    rest: Rest,
    master: Master,
}

/// Where every search begins, and how far trying has come there.
#[derive(Clone)]
pub(super) struct Top {
    node: Node,
    /// Patterns taken for good.
    fixed: Vec<usize>,
    /// Patterns that some relaxation took, and those that some did without: they need no trial.
    taken: Vec<bool>,
    spared: Vec<bool>,
    /// Something was ruled out since all trials began anew.
    changed: bool,
    /// Trials rule out nothing more.
    tried: bool,
}

/// How a search ended.
#[derive(Clone, Debug)]
pub(super) enum End {
    /// With a packing and its cost.
    Found(u64, Packing),
    /// There is none.
    Nothing,
    /// A limit struck.
    Open,
}

#[derive(Clone)]
pub(super) struct Closed<'p> {
    problem: &'p Problem,
    patterns: Vec<Pattern>,
    /// What a packing may cost.
    target: u64,
    /// Cost of the dearest bar, which is 1 in the relaxation.
    scale: f64,
    pub top: Top,
    pub meter: Meter<'p>,
    pub work: u64,
    /// Moves choices of nearly equal fractions, so that another search looks elsewhere first.
    pub seed: u64,
    nodes: usize,
    /// Patterns that may be taken on a path.
    deepest: usize,
}

impl<'p> Closed<'p> {
    /// `None` where the relaxation is too much even once.
    pub fn new(problem: &'p Problem, patterns: Vec<Pattern>, target: u64, meter: Meter<'p>) -> Option<Self> {
        let scale = problem.bars.iter().map(|b| b.cost).max().unwrap_or(1).max(1) as f64;
        let rest = Rest { demand: problem.demand(), ranges: problem.ranges(), cost: 0 };
        let rhs = sides(&rest);
        let mut master = Master::new(rhs.clone(), vec![MISSING; rhs.len()]);
        for pattern in &patterns {
            let mut entries: Vec<(u32, f64)> =
                pattern.counts.iter().map(|&(i, n)| (i as u32, n as f64)).collect();
            // Limited supply is a row of its own: not more than so many.
            let limited = |b: &usize| rest.ranges[*b].most.is_some();
            if limited(&pattern.bar) {
                let row = rest.demand.len() + (0..pattern.bar).filter(limited).count();
                entries.push((row as u32, -1.0));
            }
            master.add(problem.bars[pattern.bar].cost as f64 / scale, entries);
        }
        if master.solve(4 * PIVOTS) == Outcome::Limit {
            return None;
        }
        let work = master.work();
        let deepest = MOST_NUMBERS / (rhs.len() * rhs.len() + patterns.len() * 16).max(1);
        let none = vec![false; patterns.len()];
        let top = Top {
            node: Node { rest, master },
            fixed: Vec::new(),
            taken: none.clone(),
            spared: none,
            changed: false,
            tried: false,
        };
        Some(Self { problem, patterns, target, scale, top, meter, work, seed: 0, nodes: 0, deepest })
    }

    /// What a packing may cost.
    pub fn target(&self) -> u64 {
        self.target
    }

    /// Takes and strikes off for so many nodes.
    pub fn search(&mut self, nodes: usize) -> End {
        self.nodes = nodes;
        let (mut node, mut fixed) = (self.top.node.clone(), self.top.fixed.clone());
        self.below(&mut node, &mut fixed)
    }

    /// Tries every pattern both ways until nothing changes.
    pub fn try_all(&mut self) -> End {
        // Nodes are no limit here.
        self.nodes = usize::MAX;
        let mut top = self.top.clone();
        let end = self.try_in(&mut top);
        self.top = top;
        end
    }

    fn over(&self) -> bool {
        self.nodes == 0 || self.meter.over(self.work).is_some()
    }

    /// Solves the relaxation again. Returns whether what is left may still be made within the target.
    fn fits(&mut self, node: &mut Node) -> bool {
        self.nodes -= 1;
        let room = (self.target as f64 * (1.0 + 1e-6) - node.rest.cost as f64) / self.scale;
        let before = node.master.work();
        let outcome = node.master.tighten(PIVOTS, room);
        self.work += node.master.work() - before + self.patterns.len() as u64;
        outcome == Outcome::Limit || node.master.objective() <= room
    }

    /// Takes a pattern once; strikes off those for which too little is left to be made. Returns whether it could be.
    fn take(&mut self, node: &mut Node, index: usize) -> bool {
        let taken = node.rest.take(self.problem, &self.patterns[index], 1) == 1;
        node.master.set_rhs(&sides(&node.rest));
        for (column, pattern) in self.patterns.iter().enumerate() {
            let spent = node.rest.ranges[pattern.bar].is_spent();
            if spent || pattern.counts.iter().any(|&(i, n)| n > node.rest.demand[i]) {
                node.master.set_active(column, false);
            }
        }
        self.work += self.patterns.len() as u64 * 4;
        taken
    }

    fn below(&mut self, node: &mut Node, fixed: &mut Vec<usize>) -> End {
        loop {
            if self.over() {
                return End::Open;
            }
            if !self.fits(node) {
                return End::Nothing;
            }
            let (solution, _) = node.master.solution();
            let part = |x: f64| x - (x + WHOLE).floor();
            let rank = |c: &(usize, f64)| part(c.1) + shift(self.seed, c.0);
            let choice = (solution.iter().filter(|c| part(c.1) > WHOLE))
                .max_by(|x, y| rank(x).total_cmp(&rank(y)).then(y.0.cmp(&x.0)));
            let Some(&(index, _)) = choice else { return self.packing(fixed, &solution) };
            let mut with = node.clone();
            // What cannot be taken is trouble with numbers.
            if !self.take(&mut with, index) || fixed.len() >= self.top.fixed.len() + self.deepest {
                return End::Open;
            }
            fixed.push(index);
            let end = self.below(&mut with, fixed);
            fixed.pop();
            if !matches!(end, End::Nothing) {
                return end;
            }
            node.master.set_active(index, false);
        }
    }

    fn try_in(&mut self, top: &mut Top) -> End {
        loop {
            if !self.fits(&mut top.node) {
                return End::Nothing;
            }
            let node = top.node.clone();
            top.note(&node);
            for index in 0..self.patterns.len() {
                if self.over() {
                    return End::Open;
                }
                if !self.try_one(top, index) {
                    return End::Nothing;
                }
            }
            if !top.changed {
                top.tried = true;
                return End::Open;
            }
            top.changed = false;
            top.taken.fill(false);
            top.spared.fill(false);
        }
    }

    /// Tries a pattern both ways. Returns whether a packing may still exist.
    fn try_one(&mut self, top: &mut Top, index: usize) -> bool {
        if !top.taken[index] && top.node.master.is_active(index) {
            let mut with = top.node.clone();
            if self.take(&mut with, index) && self.fits(&mut with) {
                top.note(&with);
                top.taken[index] = true;
            } else {
                top.node.master.set_active(index, false);
                top.changed = true;
                if !self.fits(&mut top.node) {
                    return false;
                }
            }
        }
        if !top.spared[index] && top.node.master.is_active(index) {
            let mut without = top.node.clone();
            without.master.set_active(index, false);
            if self.fits(&mut without) {
                top.note(&without);
            } else {
                top.changed = true;
                top.fixed.push(index);
                return self.take(&mut top.node, index) && self.fits(&mut top.node);
            }
        }
        true
    }

    /// The packing of what is taken and a solution in whole numbers.
    fn packing(&self, fixed: &[usize], solution: &[(usize, f64)]) -> End {
        let last = solution.iter().map(|&(p, x)| (p, (x + WHOLE) as u64));
        let used = fixed.iter().map(|&p| (p, 1)).chain(last);
        let packing = whole::trim(self.problem, used.map(|(p, n)| (self.patterns[p].clone(), n)));
        let cost = packing.cost(self.problem);
        if packing.left.iter().all(|&d| d == 0) && cost <= self.target {
            End::Found(cost, packing)
        } else {
            End::Open
        }
    }
}

impl Top {
    pub fn is_tried(&self) -> bool {
        self.tried
    }

    /// Keeps in mind which patterns a relaxation takes, and which it does without.
    fn note(&mut self, node: &Node) {
        let mut used = vec![false; self.taken.len()];
        for (index, x) in node.master.solution().0 {
            used[index] = true;
            self.taken[index] |= x > 1.0 - WHOLE;
        }
        for (spared, used) in self.spared.iter_mut().zip(used) {
            *spared |= !used;
        }
    }
}

/// Right-hand sides: the demand, and what is left of limited supply.
fn sides(rest: &Rest) -> Vec<f64> {
    let demand = rest.demand.iter().map(|&d| d as f64);
    demand.chain(rest.ranges.iter().filter_map(|r| r.most).map(|most| -(most as f64))).collect()
}

/// Something between 0 and [`SHIFT`] for each seed and pattern.
fn shift(seed: u64, pattern: usize) -> f64 {
    if seed == 0 {
        return 0.0;
    }
    let mut x =
        seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ (pattern as u64).wrapping_mul(0xD134_2543_DE82_EF95);
    x ^= x >> 29;
    x = x.wrapping_mul(0xBF58_476D_1CE4_E5B9);
    x ^= x >> 32;
    (x >> 11) as f64 / (1_u64 << 53) as f64 * SHIFT
}
