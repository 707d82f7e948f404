//! A floor from sets of pieces: what one sheet holds, with no item more often than it is asked for.
//!
//! Column generation over sets instead of layouts. Where few pieces go on a sheet and hardly two are alike, tables that
//! allow any number of copies prove little, and so does a single pair of dual-feasible functions; the relaxation over
//! sets is within a percent or two of the best plan as a rule, and the layouts that a search has seen are nearly all
//! the columns that it needs. Prices are smoothed as in [`columns`](super::columns).
//!
//! After Pisinger and Sigurd 2007, with the feasibility of few pieces enumerated instead of searched for: of seven to nine at
//! every step, of up to sixteen ([deeper](room::Depth)) where the relaxation uses sets that cannot be cut.

mod berths;
mod branch;
mod dive;
mod envelope;
mod lack;
mod levels;
mod room;
mod rule;
mod share;
mod stair;
#[cfg(test)]
mod tests;
mod uses;

use std::collections::{BTreeMap, BTreeSet};

use super::cutting::Cutting;
use super::duals::Duals;
use super::floor::{self, Proof};
use super::problem::Problem;
use super::supply::Supply;
use crate::lp::{Master, Outcome, smoothed};
use crate::plan::Reason;
use crate::units::gcd;
use room::{Depth, Hunt, Room};
pub(super) use rule::Lore;
use share::Shares;

/// Prices are whole multiples of the dearest sheet's cost over this.
const SCALE: f64 = (1_u64 << 36) as f64;
/// Cost of doing without an item, in costs of the dearest sheet.
const MISSING: f64 = 1e4;
/// More pieces than this on all sheets are not looked at one by one.
pub(super) const MOST_PIECES: u64 = 400;
/// No piece counts more than this, so that the sum of all is a number.
const MOST_PRICE: i64 = i64::MAX / (2 * MOST_PIECES as i64);
/// Rounds.
const ROUNDS: usize = 500;
/// Sets that one hunt gives.
const SETS: usize = 12;
/// Work of the first hunts; where they find nothing in it, later ones have so many times as much.
const FIRST: u64 = 3000;
const MORE: u64 = 8;
/// Work of the master that costs as much as a node.
const PIVOTS_A_NODE: u64 = 64;
/// The share of all work that one hunt may take.
const SHARE: u64 = 8;
/// What a set may be worth above the cost of its sheet, in thousandths, where all that is worth more is too much work.
const SLACK: [i64; 4] = [0, 10, 30, 100];

/// Items with how often, by item, on a kind of sheet.
pub(super) type Column = (usize, Vec<(usize, u32)>);

/// What sets prove.
#[derive(Debug, Default)]
pub(super) struct Outlook {
    pub proof: Option<Proof>,
    /// Kinds of sheet and how to cut them, as the relaxation uses them.
    pub cuttings: Vec<(usize, Cutting)>,
    /// Sets for all that is asked for, that cost less than what was known.
    pub plan: Option<Vec<Column>>,
    /// What is known of numbers of sheets.
    pub lore: Lore,
    pub work: u64,
}

/// Solves the relaxation over sets, starting from the columns of known layouts. Ends where it cannot prove more than is
/// known, or proves the `cost` of a plan. With a seed to `dive`, looks for a cheaper plan too, for so much work again.
pub(super) fn relax(
    duals: &Duals<'_>,
    columns: impl Iterator<Item = Column>,
    known: &[Proof],
    cost: i128,
    work: u64,
    dive: Option<u64>,
    stop: &dyn Fn() -> bool,
) -> Outlook {
    let Some(mut relaxation) = Relaxation::new(duals, columns, work, stop) else {
        return Outlook::default();
    };
    let best = known.iter().map(Proof::rank).max().unwrap_or_default();
    let (_, floor) = best;
    relaxation.run(floor, cost);
    let mut outlook = Outlook { cuttings: relaxation.cuttings(), ..Outlook::default() };
    (outlook.plan, outlook.lore) = relaxation.raise(known, cost, dive);
    let proven = relaxation.best.as_ref().map_or(floor, |best| best.floor.max(floor));
    if proven < cost && dive.is_some() {
        relaxation.most_work = relaxation.spent() + work;
        outlook.plan = outlook.plan.or_else(|| dive.and_then(|seed| relaxation.dive(cost, seed)));
        let sets = outlook.plan.iter().flatten();
        let cut = sets.filter_map(|(kind, set)| Some((*kind, relaxation.rooms[*kind].cutting(set).0?)));
        outlook.cuttings.extend(cut);
    }
    outlook.proof = relaxation.best.take().filter(|proof| proof.rank() > best);
    outlook.work = relaxation.spent();
    outlook
}

/// What is required, item by item.
fn required_of(problem: &Problem) -> Vec<u32> {
    problem.items.iter().map(|item| if item.optional { 0 } else { item.demand }).collect()
}

struct Relaxation<'a> {
    problem: &'a Problem,
    duals: &'a Duals<'a>,
    rooms: Vec<Room>,
    reasons: Vec<Reason>,
    master: Master,
    supply: Supply,
    /// How many sheets there are, kind by kind.
    stock: Vec<Option<u32>>,
    /// How many of an item come from a kind of sheet, where that is limited.
    shares: Shares,
    columns: Vec<Column>,
    /// Which column each is.
    known: BTreeMap<Column, usize>,
    /// Columns that cannot be cut.
    barred: BTreeSet<usize>,
    dearest: f64,
    /// What a sheet of each kind costs in the master.
    costs: Vec<f64>,
    best: Option<Proof>,
    /// How deep hunts are.
    depth: Depth,
    work: u64,
    most_work: u64,
    stop: &'a dyn Fn() -> bool,
}

impl<'a> Relaxation<'a> {
    /// `None` where there are too many pieces, or a kind of sheet has no functions.
    fn new(
        duals: &'a Duals<'a>,
        columns: impl Iterator<Item = Column>,
        most_work: u64,
        stop: &'a dyn Fn() -> bool,
    ) -> Option<Self> {
        let problem = duals.problem();
        let required = || problem.items.iter().enumerate().filter(|(_, item)| !item.optional);
        if problem.required_pieces() > MOST_PIECES {
            return None;
        }
        let dearest = problem.kinds.iter().map(|kind| kind.cost).max().unwrap_or(1).max(1) as f64;
        let (mut rooms, mut reasons) = (Vec::new(), Vec::new());
        for kind in 0..problem.kinds.len() {
            let (pair, reason) = duals.best(kind)?;
            rooms.push(Room::new(problem, kind, &pair));
            reasons.push(reason);
        }
        let mut rhs: Vec<f64> = required_of(problem).into_iter().map(f64::from).collect();
        let mut missing = vec![MISSING; rhs.len()];
        let stock = problem.supply();
        let supply = Supply::new(&stock, &mut rhs, &mut missing, 2.0 * MISSING);
        let mut relaxation = Self {
            problem,
            duals,
            rooms,
            reasons,
            master: Master::new(rhs, missing),
            supply,
            stock,
            shares: Shares::default(),
            columns: Vec::new(),
            known: BTreeMap::new(),
            barred: BTreeSet::new(),
            dearest,
            costs: problem.kinds.iter().map(|kind| kind.cost as f64 / dearest).collect(),
            best: None,
            depth: Depth::Few,
            work: 0,
            most_work,
            stop,
        };
        for kind in 0..problem.kinds.len() {
            for (item, _) in required().filter(|(item, _)| !problem.lays(kind, *item).is_empty()) {
                relaxation.add((kind, vec![(item, 1)]));
            }
        }
        columns.for_each(|column| {
            relaxation.add(column);
        });
        Some(relaxation)
    }

    fn demand(&self) -> Vec<u32> {
        required_of(self.problem)
    }

    /// Adds a column unless it is known.
    fn add(&mut self, (kind, counts): Column) -> bool {
        let required = counts.into_iter().filter(|&(item, _)| !self.problem.items[item].optional);
        let column = (kind, required.collect::<Vec<_>>());
        if column.1.is_empty() || self.known.contains_key(&column) {
            return false;
        }
        let mut entries: Vec<(u32, f64)> =
            column.1.iter().map(|&(item, count)| (item as u32, f64::from(count))).collect();
        entries.extend(self.supply.entry(kind));
        entries.extend(self.shares.entries(&column));
        self.master.add(self.costs[kind], entries);
        self.known.insert(column.clone(), self.columns.len());
        self.columns.push(column);
        true
    }

    /// How to cut the sets that the master uses, of those that can be.
    fn cuttings(&self) -> Vec<(usize, Cutting)> {
        let used = self.master.solution().0.into_iter().map(|(column, _)| &self.columns[column]);
        let few = used.filter(|(kind, set)| room::pieces(set) <= self.rooms[*kind].deep());
        few.filter_map(|(kind, set)| Some((*kind, self.rooms[*kind].cutting(set).0?))).collect()
    }

    fn over(&self) -> bool {
        self.spent() > self.most_work || (self.stop)()
    }

    fn run(&mut self, floor: i128, cost: i128) {
        let step = self.problem.kinds.iter().fold(0, |step, kind| gcd(step, kind.cost)).max(1);
        let mut centre: Option<Vec<f64>> = None;
        let mut limit = FIRST;
        let left = self.demand();
        for _ in 0..ROUNDS {
            if self.master.solve_until(20_000, self.stop) == Outcome::Limit || self.over() {
                return;
            }
            // No prices prove more than this but for rounding up.
            let most = (self.master.objective() * self.dearest / step as f64).ceil() * step as f64;
            if (most as i128) <= floor {
                return;
            }
            let out: Vec<f64> = self.master.prices().to_vec();
            let mut alpha = if centre.is_some() { 0.5 } else { 0.0 };
            loop {
                let aim = smoothed(&out, centre.as_deref(), alpha).map(|price| price.max(0.0));
                let aim: Vec<f64> = aim.collect();
                let (added, values) = self.price(&aim, &left, limit);
                let proven = self.best.as_ref().map_or((false, 0), Proof::rank);
                if let Some(values) = values {
                    if self.prove(&aim, &values) >= proven {
                        centre = Some(aim);
                    }
                    if self.best.as_ref().is_some_and(|proof| proof.floor >= cost) {
                        return;
                    }
                    if added == 0 && alpha == 0.0 {
                        return;
                    }
                } else if added == 0 && alpha == 0.0 {
                    if limit.saturating_mul(MORE) > self.most_work / SHARE {
                        self.slacken(&aim, limit);
                        return;
                    }
                    limit *= MORE;
                    continue;
                }
                if added > 0 || self.over() {
                    break;
                }
                alpha = if alpha > 0.3 { 0.25 } else { 0.0 };
            }
        }
    }

    /// Prices in whole numbers, small enough to be added up wherever the master loses its way.
    fn whole(&self, aim: &[f64]) -> Vec<i64> {
        let items = self.problem.items.iter().zip(aim);
        let whole = |price: f64| ((price * SCALE).floor() as i64).min(MOST_PRICE);
        items.map(|(item, &price)| if item.optional { 0 } else { whole(price) }).collect()
    }

    /// The same on a kind of sheet, with what its limits add.
    fn whole_on(&self, kind: usize, aim: &[f64]) -> Vec<i64> {
        let there = |item: usize| (aim[item] + self.shares.price(kind, item, aim)).max(0.0);
        self.whole(&(0..self.problem.items.len()).map(there).collect::<Vec<_>>())
    }

    /// What a kind of sheet costs at these prices, with its supply.
    fn cost(&self, kind: usize, aim: &[f64]) -> i64 {
        let cost = self.costs[kind] + self.supply.price(kind, aim);
        ((cost * SCALE * (1.0 + 1e-7)) as i64).min(MOST_PRICE)
    }

    /// Hunts on all kinds of sheets. Returns how many columns are new, and the most that each kind collects where that is
    /// known of all.
    fn price(&mut self, aim: &[f64], left: &[u32], limit: u64) -> (usize, Option<Vec<i64>>) {
        let (mut added, mut values) = (0, Some(Vec::new()));
        for kind in 0..self.rooms.len() {
            let hunt = Hunt { above: self.cost(kind, aim), work: limit, sets: SETS, depth: self.depth };
            if self.over() {
                return (added, None);
            }
            let (prices, left) = (self.whole_on(kind, aim), self.shares.left(kind, left));
            let caught = self.rooms[kind].hunt(&prices, &left, hunt, self.stop);
            self.work += caught.work;
            for set in caught.sets {
                let mut counts: BTreeMap<usize, u32> = BTreeMap::new();
                for item in set {
                    *counts.entry(item).or_default() += 1;
                }
                added += usize::from(self.add((kind, counts.into_iter().collect())));
            }
            values = values.zip(caught.most).map(|(mut values, most)| {
                values.push(most);
                values
            });
        }
        (added, values)
    }

    /// What prices prove where each kind of sheet collects a little more than it costs, or what dual-feasible functions say.
    fn slacken(&mut self, aim: &[f64], limit: u64) {
        let prices = self.whole(aim);
        let priced: Vec<(usize, i64)> = prices.iter().copied().enumerate().filter(|&(_, p)| p > 0).collect();
        let left = self.demand();
        let mut values = Vec::new();
        for kind in 0..self.rooms.len() {
            let cost = self.cost(kind, aim);
            let found = SLACK.iter().find_map(|slack| {
                if self.over() {
                    return None;
                }
                let above = cost + cost / 1000 * slack;
                let hunt = Hunt { above, work: limit, sets: usize::MAX, depth: self.depth };
                let caught = self.rooms[kind].hunt(&prices, &left, hunt, self.stop);
                self.work += caught.work;
                caught.most.map(|most| (most, self.reasons[kind]))
            });
            let Some(value) = found.or_else(|| self.duals.value(kind, &priced)) else { return };
            values.push(value);
        }
        self.claim(&prices, values);
    }

    fn prove(&mut self, aim: &[f64], values: &[i64]) -> (bool, i128) {
        let prices = self.whole(aim);
        let values = values.iter().copied().zip(self.reasons.iter().copied()).collect();
        self.claim(&prices, values)
    }

    /// The floor that prices and values prove; remembers the best.
    fn claim(&mut self, prices: &[i64], values: Vec<(i64, Reason)>) -> (bool, i128) {
        let priced = prices.iter().copied().enumerate().filter(|&(_, price)| price > 0).collect();
        let proof = floor::claim(self.problem, priced, values);
        let rank = proof.rank();
        if self.best.as_ref().is_none_or(|best| rank > best.rank()) {
            self.best = Some(proof);
        }
        rank
    }
}
