//! Are so many sheets enough? Where the relaxation makes everything from them in fractions, by branching on how many of an
//! item come from which sheets.
//!
//! An item of which the relaxation takes a fraction from some sheets is limited there, to fewer in one case and to more in the
//! other. Where prices show what every case lacks, the sheets are too few. First all sheets of a kind are taken together;
//! where that is no more help, every sheet by itself.

use super::berths::Berths;
use super::lack::{Lack, Prices};
use super::rule::{NoGood, Rule};
use super::share::{Share, worth};
use super::{Column, Hunt, MORE, Relaxation};
use crate::plan::Reason;
use crate::sheet::floor;

/// Cases of one branching.
const MOST_CASES: usize = 200;
/// More sheets are not looked at one by one.
pub(super) const MOST_SHEETS: u32 = 8;
/// What is no further from a whole number is one.
const NEAR: f64 = 1e-6;

/// What became of numbers of sheets.
pub(super) enum Ruled {
    /// They break this rule.
    Broken(Rule),
    /// They are too few.
    Few(NoGood),
    /// They are enough.
    Enough(Vec<Column>),
    Open,
}

impl Relaxation<'_> {
    /// What rules so many sheets out, or how they make a plan that costs less than `below`: the sets of the relaxation, or
    /// with a seed those of a dive.
    pub(super) fn rule_out(&mut self, uses: &[u32], below: i128, dive: Option<u64>) -> Ruled {
        let kinds = Berths::kinds(self.problem, uses);
        let mut only = self.with_only(&kinds, &[]);
        let lack = only.lack();
        let plan = match lack {
            Lack::Nothing => only.whole_sheets().or_else(|| dive.and_then(|seed| only.dive(below, seed))),
            _ => None,
        };
        let plan = plan.filter(|plan| plan.iter().all(|(berth, set)| !only.cannot(*berth, set)));
        self.learn(only, &kinds);
        if let Some(plan) = plan {
            return Ruled::Enough(plan.into_iter().map(|(berth, set)| (kinds.of[berth], set)).collect());
        }
        match lack {
            Lack::Something(prices) => self.rule(prices, &kinds).map_or(Ruled::Open, Ruled::Broken),
            Lack::Unknown => Ruled::Open,
            Lack::Nothing => match self.branch(uses, &kinds) {
                Ruled::Open if uses.iter().sum::<u32>() <= MOST_SHEETS => {
                    self.branch(uses, &Berths::each(self.problem, uses))
                }
                ruled => ruled,
            },
        }
    }

    /// The rule of such prices: with the most that each kind collects, in use or not.
    fn rule(&mut self, prices: Prices, kinds: &Berths) -> Option<Rule> {
        let priced: Vec<(usize, i64)> =
            prices.items.iter().copied().enumerate().filter(|&(_, price)| price > 0).collect();
        let mut values = Vec::new();
        for kind in 0..self.rooms.len() {
            let known = kinds.of.iter().position(|&of| of == kind).map(|at| prices.values[at]);
            let (value, reason) = match known {
                Some(value) => (value, self.reasons[kind]),
                None => {
                    let hunt =
                        Hunt { above: 0, work: prices.limit * MORE, sets: usize::MAX, depth: self.depth };
                    let caught = self.rooms[kind].hunt(&prices.items, &self.demand(), hunt, self.stop);
                    self.work += caught.work;
                    let most = caught.most.map(|most| (most, self.reasons[kind]));
                    most.or_else(|| self.duals.value(kind, &priced))?
                }
            };
            values.push((value, reason));
        }
        Rule::of(self.problem, &floor::claim(self.problem, priced, values))
    }

    /// Looks at the cases of so many sheets until each lacks something.
    fn branch(&mut self, uses: &[u32], berths: &Berths) -> Ruled {
        let reasons: Vec<Reason> = berths.of.iter().map(|&kind| self.reasons[kind]).collect();
        let mut leaves = Vec::new();
        let mut todo: Vec<Vec<Share>> = vec![Vec::new()];
        while let Some(shares) = todo.pop() {
            if leaves.len() + todo.len() >= MOST_CASES || self.over() {
                return Ruled::Open;
            }
            let none = vec![0; self.problem.items.len()];
            let free: Vec<(Share, i64)> = shares.iter().map(|&share| (share, 0)).collect();
            if worth(&berths.problem, &none, &free).is_none() {
                let values: Vec<(i64, Reason)> = reasons.iter().map(|&reason| (0, reason)).collect();
                leaves.push(berths.leaf(&none, &free, &values));
                continue;
            }
            let mut only = self.with_only(berths, &shares);
            let lack = only.lack();
            let (mut plan, mut halves) = (None, None);
            if let Lack::Nothing = lack {
                plan = only.whole_sheets();
                halves = only.halves();
            }
            self.learn(only, berths);
            if let Some(plan) = plan {
                return Ruled::Enough(plan.into_iter().map(|(at, set)| (berths.of[at], set)).collect());
            }
            match (lack, halves) {
                (Lack::Something(prices), _) => {
                    let values: Vec<(i64, Reason)> =
                        prices.values.iter().copied().zip(reasons.iter().copied()).collect();
                    leaves.push(berths.leaf(&prices.items, &prices.shares, &values));
                }
                (Lack::Nothing, Some(halves)) => todo.extend(halves),
                _ => return Ruled::Open,
            }
        }
        Ruled::Few(NoGood { uses: uses.to_vec(), leaves })
    }

    /// The sets of the relaxation, where it uses whole sheets alone, without what is more than is asked for.
    fn whole_sheets(&self) -> Option<Vec<Column>> {
        let mut left = self.demand();
        let mut sheets = Vec::new();
        for (column, value) in self.master.solution().0 {
            if (value - value.round()).abs() > NEAR {
                return None;
            }
            let (berth, set) = &self.columns[column];
            for _ in 0..value.round() as u32 {
                let mut held = Vec::new();
                for &(item, count) in set {
                    let count = count.min(left[item]);
                    left[item] -= count;
                    held.extend((count > 0).then_some((item, count)));
                }
                sheets.push((*berth, held));
            }
        }
        left.iter().all(|&left| left == 0).then_some(sheets)
    }

    /// Fewer, or more, of an item from some sheets than the relaxation takes; `None` where it shows no such item.
    fn halves(&self) -> Option<[Vec<Share>; 2]> {
        let items = self.problem.items.len();
        let mut taken = vec![0.0; items * self.rooms.len()];
        let mut most = vec![0; items * self.rooms.len()];
        for (column, value) in self.master.solution().0 {
            let (berth, set) = &self.columns[column];
            for &(item, count) in set {
                let at = berth * items + item;
                taken[at] += value * f64::from(count);
                most[at] = count.max(most[at]);
            }
        }
        let open = taken.iter().zip(most).enumerate().filter_map(|(at, (&taken, most))| {
            let (berth, item) = (at / items, at % items);
            let area = self.problem.items[item].area as f64;
            let short = (taken - taken.floor()).min(taken.ceil() - taken);
            // Whole numbers on a single sheet may still be some of one set and some of another, with more of the item.
            let mixed = short <= NEAR && self.stock[berth] == Some(1) && f64::from(most) > taken + NEAR;
            let at = if mixed { taken.round() } else { taken.floor() };
            (short > NEAR || mixed).then_some(((short > NEAR, short * area, area), berth, item, at as u32))
        });
        let better = |a: &((bool, f64, f64), usize, usize, u32),
                      b: &((bool, f64, f64), usize, usize, u32)| {
            let order = a.0.0.cmp(&b.0.0).then(a.0.1.total_cmp(&b.0.1)).then(a.0.2.total_cmp(&b.0.2));
            order.then((b.1, b.2).cmp(&(a.1, a.2)))
        };
        let (_, berth, item, at) = open.max_by(better)?;
        let all: Vec<Share> = self.shares.list().copied().collect();
        let here = |share: &Share| (share.berth, share.item) == (berth, item);
        let whole = Share { berth, item, least: 0, most: self.problem.items[item].demand };
        let share = all.iter().copied().find(here).unwrap_or(whole);
        let half = |share: Share| all.iter().copied().filter(|other| !here(other)).chain([share]).collect();
        (at < share.most).then(|| {
            [half(Share { most: at, ..share }), half(Share { least: share.least.max(at + 1), ..share })]
        })
    }
}
