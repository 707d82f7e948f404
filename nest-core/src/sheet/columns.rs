//! Column generation: the linear relaxation over all layouts of one sheet, each as often as wanted.
//!
//! Pricing allows more copies of an item on a sheet than are asked for, which only widens the relaxation: its prices still
//! prove a floor. What it finds is mended before it becomes a column: copies beyond the demand are left out, and what
//! is free is filled with items that are asked for. Prices are smoothed towards those of the best bound (Wentges
//! 1997). Where a table takes long, the first rounds use [few points](super::grids), and each gives many layouts.

use std::collections::BTreeMap;

use super::filling::{Among, Filling};
use super::grids::Grids;
use super::offers::{self, Offer, Priced};
use super::problem::Problem;
use super::staged::Staged;
use super::supply::Supply;
use super::tree::Sheet;
use super::worth::Worth;
use super::{coarse, floor};
use crate::lp::{Master, Outcome, smoothed};

/// Prices are whole multiples of the dearest sheet's cost over this.
const SCALE: f64 = (1_u64 << 36) as f64;
/// Cost of doing without the largest item, in costs of the dearest sheet; smaller ones in proportion.
const MISSING: f64 = 1e4;
/// No sheet collects more than this, even on a coarse grid, where twice as many fit each way: while something is missing, a
/// speck may have the price of a panel, and a sheet of them would collect more than numbers hold.
const MOST: u64 = i64::MAX as u64 / 16;
/// Most work of one table of any number of stages.
const MOST_WORK: u64 = 50_000_000;
/// Layouts that one table of stages gives.
const MANY: usize = 16;
/// Rounds after which the relaxation must have gained so much of its value, or pricing goes on over more points.
const PATIENCE: usize = 4;
const LEAST_GAIN: f64 = 5e-4;

/// Where no floor and no cost are known.
pub(super) const ANY: (i128, i128) = (0, i128::MAX);

/// A layout with what it holds.
#[derive(Clone, Debug)]
pub(super) struct Column {
    pub sheet: Sheet,
    /// Item and how often, by item.
    pub counts: Vec<(usize, u32)>,
}

impl Column {
    pub fn new(sheet: Sheet) -> Self {
        let mut counts: BTreeMap<usize, u32> = BTreeMap::new();
        for item in sheet.items() {
            *counts.entry(item).or_default() += 1;
        }
        Self { sheet, counts: counts.into_iter().collect() }
    }
}

/// Whole prices and what they prove.
#[derive(Clone, Debug, Default)]
pub(super) struct Prices {
    pub item: Vec<i64>,
    /// The most that a sheet of each kind collects.
    pub value: Vec<i64>,
    /// On which grid that is known, in steps of the problem's.
    pub step: Vec<u32>,
    /// The cost they prove; 0 where nothing is proven.
    pub bound: i128,
}

/// How pricing goes on a kind of sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    /// Two or three stages, which is all that is allowed.
    Staged(u8),
    /// Three stages while they find something, then any number.
    Any,
}

/// Column generation with all it has seen.
pub(super) struct Generator<'p> {
    pub problem: &'p Problem,
    pub columns: Vec<Column>,
    known: BTreeMap<(usize, Vec<(usize, u32)>), usize>,
    master: Master,
    supply: Supply,
    grids: Grids,
    ways: Vec<Way>,
    /// The finest grid for each kind of sheet, for all that is asked for and for a rest.
    finest: BTreeMap<(usize, bool), Option<u32>>,
    mender: Filling<'p>,
    dearest: f64,
    pub best: Prices,
    pub work: u64,
}

impl<'p> Generator<'p> {
    pub fn new(problem: &'p Problem, worth: &'p Worth) -> Self {
        let dearest = problem.kinds.iter().map(|kind| kind.cost).max().unwrap_or(1).max(1) as f64;
        let largest = problem.items.iter().map(|item| item.area).max().unwrap_or(1).max(1) as f64;
        let mut rhs: Vec<f64> = Vec::new();
        let mut missing: Vec<f64> = Vec::new();
        for item in &problem.items {
            rhs.push(if item.optional { 0.0 } else { f64::from(item.demand) });
            missing.push(MISSING * (0.01 + item.area as f64 / largest));
        }
        let supply = Supply::new(&problem.supply(), &mut rhs, &mut missing, 2.0 * MISSING);
        let way = |stages: u8| if stages <= 3 { Way::Staged(stages) } else { Way::Any };
        Self {
            problem,
            columns: Vec::new(),
            known: BTreeMap::new(),
            master: Master::new(rhs, missing),
            supply,
            grids: Grids::new(problem),
            ways: problem.kinds.iter().map(|kind| way(kind.rules.stages)).collect(),
            finest: BTreeMap::new(),
            mender: Filling::new(problem, worth, problem.demand()),
            dearest,
            best: Prices::default(),
            work: 0,
        }
    }

    /// Adds a layout unless one like it is known. Returns whether it is new.
    pub fn add(&mut self, column: Column) -> bool {
        let key = (column.sheet.kind(), column.counts.clone());
        if column.counts.is_empty() || self.known.contains_key(&key) {
            return false;
        }
        let cost = self.cost(&column);
        let entries = self.entries(&column);
        self.master.add(cost, entries);
        self.known.insert(key, self.columns.len());
        self.columns.push(column);
        true
    }

    /// Where a layout that makes the same on the same kind of sheet stands.
    pub fn position(&self, column: &Column) -> Option<usize> {
        self.holding(column.sheet.kind(), &column.counts)
    }

    /// Where a layout that makes so many of each item on a kind of sheet stands.
    pub fn holding(&self, kind: usize, counts: &[(usize, u32)]) -> Option<usize> {
        self.known.get(&(kind, counts.to_vec())).copied()
    }

    /// All layouts, those first that the prices of the relaxation over them like best.
    pub fn by_reduced_cost(&mut self, stop: &impl Fn() -> bool) -> Vec<usize> {
        let supply: Vec<Option<u32>> = self.problem.kinds.iter().map(|kind| kind.supply).collect();
        self.run(&self.problem.demand(), &supply, 0, ANY, |_| stop());
        let reduced = |column: &Column| self.master.reduced_cost(self.cost(column), &self.entries(column));
        let reduced: Vec<f64> = self.columns.iter().map(reduced).collect();
        let mut order: Vec<usize> = (0..reduced.len()).collect();
        order.sort_by(|&a, &b| reduced[a].total_cmp(&reduced[b]).then(a.cmp(&b)));
        order
    }

    fn cost(&self, column: &Column) -> f64 {
        self.problem.kinds[column.sheet.kind()].cost as f64 / self.dearest
    }

    fn entries(&self, column: &Column) -> Vec<(u32, f64)> {
        let items = column.counts.iter().filter(|(item, _)| !self.problem.items[*item].optional);
        let mut entries: Vec<(u32, f64)> = items
            .map(|&(item, count)| (item as u32, f64::from(count.min(self.problem.items[item].demand))))
            .collect();
        entries.extend(self.supply.entry(column.sheet.kind()));
        entries
    }

    /// Solves the relaxation for what is left of demand and supply, for so many rounds. Ends where the value falls below the
    /// floor that is `known`, or the bound reaches the cost that is. Returns the layouts of the solution with their values.
    pub fn run(
        &mut self,
        left: &[u32],
        supply: &[Option<u32>],
        rounds: usize,
        known: (i128, i128),
        mut stop: impl FnMut(u64) -> bool,
    ) -> Vec<(usize, f64)> {
        let problem = self.problem;
        let mut rhs: Vec<f64> = (problem.items.iter().zip(left))
            .map(|(item, &left)| if item.optional { 0.0 } else { f64::from(left) })
            .collect();
        rhs.extend(supply.iter().flatten().map(|&supply| -f64::from(supply)));
        for (index, column) in self.columns.iter().enumerate() {
            let spent = supply[column.sheet.kind()] == Some(0);
            let proper = column.counts.iter().all(|&(item, count)| count <= left[item]);
            self.master.set_active(index, proper && !spent);
        }
        self.master.set_rhs(&rhs);
        let whole = problem.items.iter().zip(left).all(|(item, &left)| item.optional || item.demand == left);
        let mut centre: Option<Vec<f64>> = None;
        // What the prices of the centre prove, were the best sheets found the best there are.
        let mut promised = 0;
        let mut smoothing = 0.6;
        let mut values = Vec::new();
        self.grids.roughest();
        for _ in 0..rounds {
            // What it may spend is asked between rounds; a master of a thousand rows takes seconds.
            let before = self.spent();
            let outcome = self.master.solve_until(20_000, || stop(before));
            if outcome == Outcome::Limit {
                break;
            }
            values.push(self.master.objective());
            let out: Vec<f64> = self.master.prices().to_vec();
            let mut alpha = if centre.is_some() { smoothing } else { 0.0 };
            let added = loop {
                let aim = smoothed(&out, centre.as_deref(), alpha).map(|price| price.max(0.0));
                let aim: Vec<f64> = aim.collect();
                let (added, estimate) = self.price(&aim, left, supply, alpha == 0.0);
                if whole && estimate > promised {
                    (promised, centre) = (estimate, Some(aim));
                }
                if added > 0 || alpha == 0.0 || stop(self.work + self.master.work()) {
                    break added;
                }
                alpha = if alpha > 0.3 { alpha * 0.5 } else { 0.0 };
            };
            smoothing =
                if alpha < smoothing { (smoothing * 0.9_f64).max(0.3) } else { (smoothing + 0.05).min(0.85) };
            let past = values.len().checked_sub(PATIENCE + 1).map(|at| values[at]);
            let flat = past.zip(values.last()).is_some_and(|(past, now)| past - now < LEAST_GAIN * now);
            if (added == 0 || flat) && self.grids.refine() {
                values.clear();
                promised = 0;
            } else if added == 0 {
                break;
            }
            let (floor, cost) = known;
            let below = self.master.objective() * self.dearest < floor as f64;
            if below || self.best.bound >= cost || stop(self.work + self.master.work()) {
                break;
            }
        }
        let before = self.spent();
        self.master.solve_until(20_000, || stop(before));
        self.master.solution().0
    }

    /// Prices all kinds of sheets; remembers what the prices prove, and adds layouts that improve the master. Returns how
    /// many, and what the prices would prove if no sheet were worth more than those found.
    fn price(&mut self, aim: &[f64], left: &[u32], supply: &[Option<u32>], last: bool) -> (usize, i128) {
        let problem = self.problem;
        let item: Vec<i64> = (problem.items.iter().zip(aim).zip(left))
            .map(|((item, price), &left)| {
                let most = MOST / (problem.largest() / item.area.max(1) + 1);
                if item.optional || left == 0 { 0 } else { ((price * SCALE).floor() as i64).min(most as i64) }
            })
            .collect();
        let mut value = vec![0_i64; problem.kinds.len()];
        let mut step = vec![1; problem.kinds.len()];
        // Prices of a rest leave out kinds of sheets that are used up: they prove nothing about the whole.
        let whole = problem.kinds.iter().zip(supply).all(|(kind, supply)| kind.supply == *supply);
        // With two stages tables know how many of each item are left, and prove nothing about more.
        let complete =
            problem.items.iter().zip(left).all(|(item, &left)| item.optional || item.demand == left);
        let holds = |kind: usize| whole && (complete || problem.kinds[kind].rules.stages > 2);
        let (mut added, mut proven) = (0, whole);
        for k in 0..problem.kinds.len() {
            let offers = offers::offers(problem, k, &item, left);
            if offers.is_empty() || !whole && supply[k] == Some(0) {
                continue;
            }
            let least = problem.kinds[k].cost as f64 / self.dearest + self.supply.price(k, aim);
            let (staged, bound) = self.staged(k, &offers);
            let mut found = staged;
            let exact = self.grids.of(k).iter().all(|points| points.exact);
            let mut bound = bound.filter(|_| exact);
            let good = |priced: &Priced| priced.value as f64 / SCALE > least + 1e-7;
            // A table for any number of stages, or one that proves something, only where the others find nothing.
            let wanted = match self.ways[k] {
                Way::Staged(_) => bound.is_none() && holds(k) && last && self.grids.finest(),
                Way::Any => self.grids.finest() && (last || !found.iter().any(good)),
            };
            let finest = if wanted { self.finest(k, whole) } else { None };
            if let Some(coarse) =
                finest.and_then(|finest| coarse::best(problem, &problem.kinds[k], &offers, finest))
            {
                self.work += coarse.work;
                (bound, step[k]) = (Some(coarse.value), coarse.step);
                found.extend(coarse.priced);
            }
            proven &= bound.is_some() && holds(k);
            value[k] = bound.or(found.iter().map(|priced| priced.value).max()).unwrap_or(0);
            for priced in found {
                let mut rest = left.to_vec();
                let cutting = priced.cutting.within(&mut rest);
                if let Some(sheet) = cutting.and_then(|cutting| Sheet::of(problem, k, &cutting)) {
                    let column = Column::new(self.fill(sheet, &rest, &item));
                    let gain = self.master.reduced_cost(self.cost(&column), &self.entries(&column));
                    if gain < -1e-7 && self.add(column) {
                        added += 1;
                    }
                }
            }
        }
        let bound = self.bound(&item, &value);
        if proven && bound > self.best.bound {
            self.best = Prices { item, value, step, bound };
        }
        (added, bound)
    }

    /// The finest grid for a table of any number of stages, looked for once.
    fn finest(&mut self, kind: usize, whole: bool) -> Option<u32> {
        let problem = self.problem;
        *self.finest.entry((kind, whole)).or_insert_with(|| {
            // What is rounded off step by step cannot wait for large tables.
            let most = if whole { MOST_WORK } else { MOST_WORK / 5 };
            let all = offers::offers(problem, kind, &vec![1; problem.items.len()], &problem.demand());
            coarse::finest(&problem.kinds[kind], &all, most)
        })
    }

    /// The best with two or three stages along each first axis that is allowed, and their value where that is all that
    /// the rules allow.
    fn staged(&mut self, kind: usize, offers: &[Offer]) -> (Vec<Priced>, Option<i64>) {
        let rules = self.problem.kinds[kind].rules;
        let [x, y] = self.grids.of(kind);
        let (stages, all) = match self.ways[kind] {
            Way::Staged(stages) => (stages, true),
            Way::Any => (3, false),
        };
        let (mut found, mut most) = (Vec::new(), 0);
        for axis in [0, 1] {
            if rules.first.is_some_and(|first| usize::from(first) != axis) {
                continue;
            }
            let staged = Staged::new(offers, axis, [x, y], rules.trimming || !all);
            let best = staged.best(stages, MANY);
            most = most.max(best.value);
            found.extend(best.priced);
            self.work += staged.work();
        }
        (found, all.then_some(most))
    }

    /// What prices prove for all that is asked for.
    fn bound(&self, prices: &[i64], values: &[i64]) -> i128 {
        let kinds = &self.problem.kinds;
        let choices: Vec<_> =
            kinds.iter().zip(values).map(|(kind, &value)| (kind.cost, value, kind.supply)).collect();
        let demand = self
            .problem
            .items
            .iter()
            .zip(prices)
            .fold(0_i128, |sum, (item, &price)| sum + i128::from(item.demand) * i128::from(price));
        floor::least(&choices, demand).unwrap_or(i128::MAX)
    }

    /// Fills what is free with what is asked for beside it, the dearest first.
    fn fill(&mut self, sheet: Sheet, rest: &[u32], prices: &[i64]) -> Sheet {
        let mender = &mut self.mender;
        let before = mender.work;
        mender.adopt(std::slice::from_ref(&sheet), rest);
        let mut order: Vec<usize> =
            (0..prices.len()).filter(|&i| prices[i] > 0 && mender.left[i] > 0).collect();
        order.sort_by_key(|&i| (std::cmp::Reverse(prices[i]), i));
        for item in order {
            while mender.left[item] > 0 && mender.place(item, Among::Open, None, None, None, |_, _| {}) {}
        }
        self.work += (mender.work - before) * 8;
        let kind = &self.problem.kinds[mender.sheets[0].kind()];
        if mender.sheets[0].sawable(kind) { mender.sheets[0].clone() } else { sheet }
    }

    /// Work done so far.
    pub fn spent(&self) -> u64 {
        self.work + self.master.work()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::{Floor, floor_of};
    use crate::model::{Batch, PartGrain, Stages};
    use crate::sheet::tests::{part, sheet, shop};

    #[test]
    fn a_sheet_of_dear_specks_has_a_price() {
        for stages in [Stages::Limited(2), Stages::Limited(3), Stages::Any] {
            let batch = Batch {
                parts: vec![
                    part("speck", [4, 2], 5, PartGrain::Any),
                    part("panel", [263, 401], 3, PartGrain::Length),
                ],
                stock: vec![sheet("s", [500, 1000], 10)],
                shop: shop(0, stages),
            };
            let problem = Problem::new(&batch.check().unwrap(), 0);
            let worth = Worth::new(problem.largest());
            let mut generator = Generator::new(&problem, &worth);
            while generator.grids.refine() {}
            let (added, bound) = generator.price(&[MISSING; 2], &problem.demand(), &[None], true);
            assert!(added > 0 && bound > 0, "{stages:?}: {added} {bound}");
        }
    }

    #[test]
    fn tables_that_know_what_is_left_prove_nothing_about_more() {
        for (stages, rest_proves) in [(Stages::Limited(2), false), (Stages::Limited(3), true)] {
            let batch = Batch {
                parts: (0..6).map(|i| part("p", [250, 101 + i], 9, PartGrain::Length)).collect(),
                stock: vec![sheet("s", [1000, 560], 10)],
                shop: shop(0, stages),
            };
            let problem = Problem::new(&batch.check().unwrap(), 0);
            let worth = Worth::new(problem.largest());
            let proven = |left: &[u32]| {
                let mut generator = Generator::new(&problem, &worth);
                while generator.grids.refine() {}
                generator.price(&[0.2; 6], left, &[None], true);
                generator.best.bound
            };
            assert!(proven(&problem.demand()) > 0);
            assert_eq!(proven(&[1; 6]) > 0, rest_proves, "{stages:?}");
        }
    }

    #[test]
    fn a_strip_has_a_price_that_the_judge_accepts() {
        let mut parts = vec![part("front", [300, 400], 8, PartGrain::Length)];
        parts.push(part("shelf", [500, 400], 8, PartGrain::Length));
        parts[0].match_word = Some("row".into());
        let batch =
            Batch { parts, stock: vec![sheet("s", [2500, 1250], 10)], shop: shop(0, Stages::Limited(3)) };
        let batch = batch.check().unwrap();
        let problem = Problem::new(&batch, 0);
        let worth = Worth::new(problem.largest());
        let strip = problem.items.iter().position(|item| item.strip.is_some()).unwrap();
        let mut generator = Generator::new(&problem, &worth);
        while generator.grids.refine() {}
        generator.price(&vec![0.1; problem.items.len()], &problem.demand(), &[None], true);
        let proof = floor::by_cuts(&problem, &generator.best).unwrap();
        assert!(proof.floor > 0 && generator.best.item[strip] > 0);
        assert_eq!(floor_of(&batch, 0, &proof.certificate), Ok(Floor::Cost(proof.floor)));
    }
}
