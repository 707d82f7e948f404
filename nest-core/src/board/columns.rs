//! Column generation: the linear relaxation over all patterns, for any demand and supply left.
//!
//! One generator serves a whole search. The root solves the full demand; a dive fixes patterns, calls again with what
//! is left, and starts warm from the basis and the patterns seen so far. Prices are smoothed towards those
//! of the best bound (Wentges 1997; Pessoa, Sadykov, Uchoa and Vanderbeck 2018), which saves a third of the rounds.

use super::blanks;
use super::knapsack::{Offer, Table};
use super::level::{Level, MISSING};
use super::meter::Meter;
use super::problem::{Pattern, Problem, Range};
use super::states;
use crate::lp::{Outcome, smoothed};
use std::collections::BTreeMap;

/// Prices are whole multiples of the dearest bar's cost over this.
pub(super) const SCALE: f64 = (1_u64 << 36) as f64;
/// No bar collects more than this, which floats hold exactly: while something is missing, a short item may have the price of
/// a long one, and thousands of it go on a bar.
const MOST: u64 = 1 << 52;
/// Longest table that is filled densely.
const TABLE_CELLS: u64 = 6_000_000;
const STATE_LIMIT: usize = 4_000_000;

/// Whole prices and what they prove.
#[derive(Clone, Debug, Default)]
pub(super) struct Prices {
    /// Price of each item.
    pub item: Vec<i64>,
    /// The most that each bar collects.
    pub value: Vec<i64>,
    /// The bound they give with fractions of bars, in cost.
    pub bound: f64,
}

/// The relaxation for one demand.
#[derive(Clone, Debug)]
pub(super) struct Relaxed {
    /// Best bound seen, in cost.
    pub prices: Prices,
    /// Patterns of the solution (index into the generator's list) with their values.
    pub solution: Vec<(usize, f64)>,
    /// How many bars of each kind it uses.
    pub bars: Vec<f64>,
    /// What stays unmet in it.
    pub missing: f64,
}

/// When a run may end before the relaxation is solved.
#[derive(Clone, Copy, Debug)]
pub(super) struct Limits {
    /// Pricing rounds.
    pub rounds: usize,
    /// Stop as soon as the bound shows a cost above this: such a branch is of no use.
    pub useless: f64,
    /// Stop as soon as bound and value round up to the same multiple of this.
    pub step: f64,
    /// Stop as soon as the value is this good: more rounds would not change what is done next.
    pub enough: f64,
}

/// Column generation with all it has seen.
#[derive(Clone)]
pub(super) struct Generator<'p> {
    problem: &'p Problem,
    /// All patterns seen.
    pub patterns: Vec<Pattern>,
    known: BTreeMap<Pattern, usize>,
    levels: Vec<Level>,
    /// Bars that take the same items share one table.
    classes: Vec<Vec<usize>>,
    table: Table,
    scale: f64,
    /// Of all bars.
    longest: u64,
    work: u64,
    pub meter: Meter<'p>,
    /// Picks the corner of the optimal face that solves end in.
    pub seed: u64,
}

impl<'p> Generator<'p> {
    pub fn new(problem: &'p Problem, meter: Meter<'p>) -> Self {
        let dearest = problem.bars.iter().map(|b| b.cost).max().unwrap_or(1).max(1);
        let mut classes: Vec<Vec<usize>> = Vec::new();
        for (b, bar) in problem.bars.iter().enumerate() {
            match classes.iter_mut().find(|c| problem.bars[c[0]].takes == bar.takes) {
                Some(class) => class.push(b),
                None => classes.push(vec![b]),
            }
        }
        Self {
            problem,
            patterns: Vec::new(),
            known: BTreeMap::new(),
            levels: Vec::new(),
            classes,
            table: Table::default(),
            scale: dearest as f64,
            longest: problem.bars.iter().map(|b| b.capacity).max().unwrap_or(0),
            work: 0,
            meter,
            seed: 0,
        }
    }

    /// Units of work so far.
    pub fn work(&self) -> u64 {
        self.work + self.levels.iter().map(|l| l.master.work()).sum::<u64>()
    }

    /// Counts the work done by others on this one's behalf: `total` is what has been done in all.
    pub fn charge(&mut self, total: u64) {
        self.work += total.saturating_sub(self.work());
    }

    /// Adds a pattern unless it is known; returns its index.
    pub fn add(&mut self, pattern: Pattern) -> (usize, bool) {
        if let Some(&index) = self.known.get(&pattern) {
            return (index, false);
        }
        let index = self.patterns.len();
        self.known.insert(pattern.clone(), index);
        self.patterns.push(pattern);
        (index, true)
    }

    /// Makes sure that the top level is no larger than what is asked for needs. Returns the number of levels to
    /// go back to when this demand is done with.
    pub fn enter(&mut self, demand: &[u64]) -> usize {
        let mark = self.levels.len();
        let wanted = demand.iter().filter(|&&d| d > 0).count();
        let shrink = self.levels.last().is_none_or(|l| wanted * 5 < l.items.len() * 4);
        if shrink {
            let level = self.level(demand);
            self.levels.push(level);
        }
        mark
    }

    /// Goes back to so many levels.
    pub fn leave(&mut self, mark: usize) {
        while self.levels.len() > mark.max(1) {
            if let Some(level) = self.levels.pop() {
                self.work += level.master.work();
            }
        }
    }

    /// A level for so much, with the patterns and the basis of the one above.
    fn level(&self, demand: &[u64]) -> Level {
        let mut level = Level::new(self.problem, demand);
        if let Some(above) = self.levels.last() {
            for &p in &above.columns {
                self.put(&mut level, p);
            }
            level.start_from(above);
        }
        level
    }

    fn put(&self, level: &mut Level, index: usize) -> bool {
        let pattern = &self.patterns[index];
        level.put(index, pattern, self.cost(pattern))
    }

    /// Cost of a pattern's bar, of which the dearest costs 1.
    fn cost(&self, pattern: &Pattern) -> f64 {
        self.problem.bars[pattern.bar].cost as f64 / self.scale
    }

    /// Solves the relaxation for what is left.
    pub fn run(&mut self, demand: &[u64], ranges: &[Range], limits: Limits) -> Relaxed {
        let items = self.problem.items.len();
        let Some(mut level) = self.levels.pop() else {
            return Relaxed {
                prices: Prices::default(),
                solution: Vec::new(),
                bars: Vec::new(),
                missing: 0.0,
            };
        };
        for index in level.next..self.patterns.len() {
            self.put(&mut level, index);
        }
        level.next = self.patterns.len();
        for (column, &p) in level.columns.iter().enumerate() {
            let pattern = &self.patterns[p];
            let proper =
                pattern.counts.iter().all(|&(i, n)| n <= demand[i]) && !ranges[pattern.bar].is_spent();
            level.master.set_active(column, proper);
        }
        level.master.seed = self.seed;
        level.master.set_rhs(&level.rhs(demand, ranges));
        let mut best = Prices { item: vec![0; items], value: vec![0; self.problem.bars.len()], bound: 0.0 };
        // Prices in proportion to length are a good place to begin: they prove the bound of the total length.
        let mut centre: Vec<f64> = self.by_length(&level);
        let mut have_centre = true;
        let mut smoothing = 0.7;
        let mut value;
        let mut rounds = 0;
        loop {
            let (meter, before) = (self.meter, self.work() + level.master.work());
            let outcome = level.master.solve_until(20_000, || meter.over(before).is_some());
            value = level.master.objective();
            if outcome == Outcome::Limit {
                break;
            }
            let out: Vec<f64> = level.master.prices().to_vec();
            let mut alpha = if have_centre { smoothing } else { 0.0 };
            let mut added;
            loop {
                let aim: Vec<f64> =
                    smoothed(&out, Some(&centre), alpha).map(|price| price.max(0.0)).collect();
                let Some((prices, fresh)) = self.price(&mut level, &aim, demand, ranges) else {
                    added = 0;
                    break;
                };
                added = fresh;
                if prices.bound > best.bound + 1e-12 || !have_centre {
                    if prices.bound > best.bound || best.bound == 0.0 {
                        best = prices;
                    }
                    centre = aim;
                    have_centre = true;
                }
                if added > 0 || alpha == 0.0 {
                    break;
                }
                alpha = if alpha > 0.35 { alpha * 0.5 } else { 0.0 };
            }
            rounds += 1;
            if added == 0 {
                break;
            }
            if best.bound > limits.useless + 1e-7 * self.scale.max(1.0) {
                break;
            }
            let up = |x: f64| ((x / limits.step) - 1e-6).ceil();
            if limits.step > 0.0 && value < MISSING && up(value * self.scale) <= up(best.bound) {
                break;
            }
            if value * self.scale <= limits.enough + 1e-7 * self.scale {
                break;
            }
            let done = self.work() + level.master.work();
            if rounds >= limits.rounds || self.meter.over(done).is_some() {
                break;
            }
            smoothing =
                if alpha < smoothing { (smoothing * 0.9_f64).max(0.3) } else { (smoothing + 0.05).min(0.9) };
        }
        let (columns, missing) = level.master.solution();
        let solution: Vec<(usize, f64)> = columns.into_iter().map(|(c, x)| (level.columns[c], x)).collect();
        let mut bars = vec![0.0; self.problem.bars.len()];
        for &(p, x) in &solution {
            bars[self.patterns[p].bar] += x;
        }
        self.levels.push(level);
        Relaxed { prices: best, solution, bars, missing }
    }

    fn by_length(&self, level: &Level) -> Vec<f64> {
        let rate = self
            .problem
            .bars
            .iter()
            .map(|b| b.cost as f64 / self.scale / b.capacity.max(1) as f64)
            .fold(f64::INFINITY, f64::min);
        let mut centre: Vec<f64> =
            level.items.iter().map(|&i| self.problem.items[i].length as f64 * rate).collect();
        centre.resize(level.master.rows(), 0.0);
        centre
    }

    /// Prices all bars at `aim`; adds patterns that improve the master. Returns whole prices with their bound; `None` where
    /// it was told to stop, which it asks before every bar on a long table: a rack may have a thousand.
    fn price(
        &mut self,
        level: &mut Level,
        aim: &[f64],
        demand: &[u64],
        ranges: &[Range],
    ) -> Option<(Prices, usize)> {
        let problem = self.problem;
        let most = |item: usize| MOST / (self.longest / problem.items[item].length.max(1) + 1);
        let whole = level.row_of.iter().enumerate().map(|(item, row)| {
            row.map_or(0, |row| ((aim[row as usize] * SCALE).floor() as i64).min(most(item) as i64))
        });
        let whole: Vec<i64> = whole.collect();
        let mut values = vec![0_i64; problem.bars.len()];
        let mut found: Vec<Pattern> = Vec::new();
        for class in 0..self.classes.len() {
            let bars = self.classes[class].clone();
            let Some(longest) = bars.iter().map(|&b| problem.bars[b].capacity).max() else { continue };
            let takes = &problem.bars[bars[0]].takes;
            let offers: Vec<Offer> = problem
                .items
                .iter()
                .enumerate()
                .filter(|&(i, item)| takes[i] && demand[i] > 0 && whole[i] > 0 && item.length <= longest)
                .map(|(i, item)| Offer {
                    item: i,
                    length: item.length,
                    price: whole[i],
                    copies: demand[i].min(longest / item.length.max(1)),
                })
                .collect();
            let cells = Table::cells_needed(&offers, longest);
            if cells <= TABLE_CELLS {
                self.work += self.table.fill(&offers, longest);
                for &b in &bars {
                    let capacity = problem.bars[b].capacity;
                    values[b] = self.table.value(capacity);
                    if !ranges[b].is_spent() {
                        self.harvest(b, capacity, &mut found);
                        let (fillings, cells) = blanks::fillings(problem, b, &offers, TABLE_CELLS);
                        self.work += cells;
                        found.extend(fillings.into_iter().map(|counts| Pattern { bar: b, counts }));
                    }
                }
            } else {
                for &b in &bars {
                    let bar = &problem.bars[b];
                    if self.meter.over(self.work() + level.master.work()).is_some() {
                        return None;
                    }
                    if ranges[b].is_spent() {
                        // Not to be had: any bound does.
                        values[b] = offers
                            .iter()
                            .fold(0, |sum, o| sum.saturating_add(o.price.saturating_mul(o.copies as i64)));
                        continue;
                    }
                    let [most, least] = level.range_rows[b].map(|row| row.map_or(0.0, |r| aim[r as usize]));
                    let threshold = ((bar.cost as f64 / self.scale + most - least).max(0.0) * SCALE) as i64;
                    let seen = states::search(&offers, bar.capacity, threshold, 12, STATE_LIMIT);
                    self.work += seen.work;
                    values[b] = seen.bound.max(threshold);
                    for (_, counts) in seen.patterns {
                        found.push(Pattern { bar: b, counts });
                    }
                }
            }
        }
        let mut added = 0;
        for mut pattern in found {
            problem.mend(pattern.bar, &mut pattern.counts);
            if pattern.counts.is_empty() {
                continue;
            }
            let Some(list) = level.entries(&pattern) else { continue };
            if level.master.reduced_cost(self.cost(&pattern), &list) < -1e-7 {
                let (index, _) = self.add(pattern);
                added += usize::from(self.put(level, index));
            }
        }
        level.next = self.patterns.len();
        let bound = self.fractional(&whole, &values, demand, ranges);
        Some((Prices { item: whole, value: values, bound }, added))
    }

    /// Reads the best few patterns of a bar off the table.
    fn harvest(&self, bar: usize, capacity: u64, found: &mut Vec<Pattern>) {
        let mut c = capacity;
        let mut last = i64::MAX;
        let mut taken = 0;
        let least = (self.problem.bars[bar].cost as f64 / self.scale * SCALE * 0.999) as i64;
        loop {
            let value = self.table.value(c);
            if value < least && taken > 0 || value == 0 {
                break;
            }
            if value != last {
                last = value;
                let mut counts = self.table.pattern(c);
                counts.sort_unstable();
                let used: u64 = counts.iter().map(|&(i, n)| self.problem.items[i].length * n).sum();
                found.push(Pattern { bar, counts });
                taken += 1;
                if taken >= 6 || used == 0 {
                    break;
                }
                c = used - 1;
            } else if c == 0 {
                break;
            } else {
                c -= 1;
            }
        }
    }

    /// The least cost of fractions of bars whose values cover the prices of the demand.
    fn fractional(&self, whole: &[i64], values: &[i64], demand: &[u64], ranges: &[Range]) -> f64 {
        let mut left: f64 = whole.iter().zip(demand).map(|(&p, &d)| p as f64 * d as f64).sum();
        let mut order: Vec<usize> =
            (0..values.len()).filter(|&b| values[b] > 0 && !ranges[b].is_spent()).collect();
        let rate = |b: usize| self.problem.bars[b].cost as f64 / values[b] as f64;
        order.sort_by(|&a, &b| rate(a).total_cmp(&rate(b)).then(a.cmp(&b)));
        let mut cost = 0.0;
        for (b, range) in ranges.iter().enumerate().filter(|(_, r)| r.least > 0) {
            cost += range.least as f64 * self.problem.bars[b].cost as f64;
            left -= range.least as f64 * values[b] as f64;
        }
        for b in order {
            if left <= 0.0 {
                break;
            }
            let most = ranges[b].most.map_or(f64::INFINITY, |n| n.saturating_sub(ranges[b].least) as f64);
            let use_ = (left / values[b] as f64).min(most);
            cost += use_ * self.problem.bars[b].cost as f64;
            left -= use_ * values[b] as f64;
        }
        cost
    }
}
