//! Do so many sheets lack something? Sheets cost nothing here, and as little of the area as can be is to be missing.

use super::berths::Berths;
use super::room::{self, Depth};
use super::share::{Share, Shares, worth};
use super::{FIRST, MISSING, MORE, PIVOTS_A_NODE, Relaxation, SHARE};
use crate::lp::{Master, Outcome, smoothed};
use crate::sheet::supply::Supply;

/// Rounds of pricing.
const ROUNDS: usize = 60;
/// Less than this is nothing.
const NOTHING: f64 = 1e-7;

/// What the relaxation says.
pub(super) enum Lack {
    /// At these prices what is asked for is worth more than the sheets collect.
    Something(Prices),
    /// Nothing, in fractions.
    Nothing,
    Unknown,
}

/// Prices that show that something is lacking.
pub(super) struct Prices {
    pub items: Vec<i64>,
    /// What items with shares count there.
    pub shares: Vec<(Share, i64)>,
    /// The most that each berth collects.
    pub values: Vec<i64>,
    /// Work that one hunt took at the most.
    pub limit: u64,
}

impl<'a> Relaxation<'a> {
    /// The question whether these sheets are enough.
    pub(super) fn with_only(&self, berths: &'a Berths, shares: &[Share]) -> Self {
        let mut rhs: Vec<f64> = self.demand().into_iter().map(f64::from).collect();
        let items = &self.problem.items;
        let largest = items.iter().map(|item| item.area).max().unwrap_or(1).max(1) as f64;
        let mut missing: Vec<f64> = items.iter().map(|item| item.area as f64 / largest).collect();
        let stock: Vec<Option<u32>> = berths.uses.iter().map(|&count| Some(count)).collect();
        let supply = Supply::new(&stock, &mut rhs, &mut missing, MISSING);
        let shares = Shares::new(self.problem, shares, &mut rhs, &mut missing, MISSING);
        let mut only = Self {
            problem: &berths.problem,
            rooms: berths.of.iter().map(|&kind| self.rooms[kind].clone()).collect(),
            reasons: berths.of.iter().map(|&kind| self.reasons[kind]).collect(),
            master: Master::new(rhs, missing),
            supply,
            stock,
            shares,
            columns: Vec::new(),
            known: Default::default(),
            barred: Default::default(),
            costs: vec![0.0; berths.of.len()],
            best: None,
            depth: self.depth,
            work: 0,
            most_work: self.most_work.saturating_sub(self.spent()),
            ..*self
        };
        let cut = self.columns.iter().enumerate().filter(|(index, _)| !self.barred.contains(index));
        for (_, (kind, set)) in cut {
            for berth in (0..berths.of.len()).filter(|&berth| berths.of[berth] == *kind) {
                let column = (berth, set.clone());
                if only.shares.allow(&column) {
                    only.add(column);
                }
            }
        }
        only
    }

    /// Takes over what was found out about some sheets.
    pub(super) fn learn(&mut self, only: Relaxation<'_>, berths: &Berths) {
        self.work += only.spent();
        self.depth = self.depth.max(only.depth);
        for (index, (berth, set)) in only.columns.into_iter().enumerate() {
            let column = (berths.of[berth], set);
            self.add(column.clone());
            if only.barred.contains(&index)
                && let Some(&known) = self.known.get(&column)
            {
                self.master.set_active(known, false);
                self.barred.insert(known);
            }
        }
    }

    /// Work so far, in nodes.
    pub(super) fn spent(&self) -> u64 {
        self.work + self.master.work() / PIVOTS_A_NODE
    }

    /// Looks for prices at which all that is asked for is worth more than the sheets collect.
    pub(super) fn lack(&mut self) -> Lack {
        let left = self.demand();
        let mut centre: Option<Vec<f64>> = None;
        let mut limit = FIRST;
        for _ in 0..ROUNDS {
            if self.master.solve_until(20_000, self.stop) == Outcome::Limit || self.over() {
                return Lack::Unknown;
            }
            if self.master.objective() < NOTHING {
                if self.cast_out() {
                    continue;
                }
                return Lack::Nothing;
            }
            let out: Vec<f64> = self.master.prices().iter().map(|price| price.max(0.0)).collect();
            let mut alpha = if centre.is_some() { 0.5 } else { 0.0 };
            loop {
                let aim: Vec<f64> = smoothed(&out, centre.as_deref(), alpha).collect();
                let (added, values) = self.price(&aim, &left, limit);
                if let Some(values) = values {
                    if let Some(prices) = self.lacking(&aim, values, limit) {
                        return Lack::Something(prices);
                    }
                    if added == 0 && alpha == 0.0 {
                        return Lack::Unknown;
                    }
                    centre = Some(aim);
                } else if added == 0 && alpha == 0.0 {
                    if limit.saturating_mul(MORE) > self.most_work / SHARE {
                        return Lack::Unknown;
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
        Lack::Unknown
    }

    /// These prices, where something is lacking at them.
    fn lacking(&self, aim: &[f64], values: Vec<i64>, limit: u64) -> Option<Prices> {
        let items = self.whole(aim);
        let price = |share: &Share| self.whole_on(share.berth, aim)[share.item];
        let shares: Vec<(Share, i64)> = self.shares.list().map(|share| (*share, price(share))).collect();
        let sheets = values.iter().zip(self.stock.iter().flatten());
        let collected: i128 = sheets.map(|(&value, &count)| i128::from(value) * i128::from(count)).sum();
        let lacks = worth(self.problem, &items, &shares).is_none_or(|worth| worth > collected);
        lacks.then_some(Prices { items, shares, values, limit })
    }

    /// Does without those sets in use that cannot be cut when all their pieces are looked at; from then on, hunts are
    /// deeper. Whether there were any.
    fn cast_out(&mut self) -> bool {
        let mut some = false;
        for (column, _) in self.master.solution().0 {
            let (berth, set) = self.columns[column].clone();
            if self.cannot(berth, &set) {
                self.master.set_active(column, false);
                self.barred.insert(column);
                some = true;
            }
        }
        if some {
            // One that stays in the basis at zero would make prices of any size.
            let basic = self.master.basic_columns();
            self.master.restart();
            self.master.crash(&basic.into_iter().filter(|&c| self.master.is_active(c)).collect::<Vec<_>>());
            self.depth = self.depth.max(Depth::Many);
        }
        some
    }

    /// Whether a set cannot be cut, as hunts that are not so deep do not see.
    pub(super) fn cannot(&mut self, berth: usize, set: &[(usize, u32)]) -> bool {
        if room::pieces(set) <= self.rooms[berth].deep() {
            return false;
        }
        let (cannot, work) = self.rooms[berth].cannot(set, self.depth.max(Depth::Many));
        self.work += work;
        cannot
    }
}
