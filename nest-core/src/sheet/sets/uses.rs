//! Numbers of sheets that no plan can do with, ruled out one after the other.
//!
//! Prices with the most that each kind of sheet collects are a rule for the numbers of sheets of any plan. One set of prices
//! proves the least cost over its own rule alone; here the cheapest numbers that obey all rules so far are taken as
//! all the sheets there are, and where the relaxation cannot make everything from those, its prices are a rule that
//! they break. What is then the cheapest that obeys all rules is the floor. For the certificate the numbers are parted into
//! boxes in each of which one rule alone proves that floor.

use super::rule::{self, Limits, Rule, Uses};
use super::{FIRST, Hunt, MISSING, MORE, PIVOTS_A_NODE, Relaxation, SHARE};
use crate::lp::{Master, Outcome};
use crate::plan::{Certificate, Leaf, UseBound};
use crate::search::{Choice, cover_within};
use crate::sheet::floor::{self, Proof, gcd};
use crate::sheet::problem::Kind;
use crate::sheet::supply::Supply;

/// With more kinds of sheets there are too many numbers of them.
const MOST_KINDS: usize = 12;
/// Rules, and boxes of a certificate.
const MOST_RULES: usize = 60;
const MOST_BOXES: usize = 100;
/// Numbers of sheets looked at in one box for what a rule proves there.
const MOST_IN_A_BOX: usize = 2000;
/// So many numbers of sheets cost as much as a node of a hunt.
const NODES_A_NODE: u64 = 16;
/// Floors that are tried for a certificate.
const MOST_LEVELS: usize = 4;
/// Sums of dearer sheets leave the range of numbers.
const DEAREST: i128 = 1 << 62;
/// Rounds of pricing for one rule.
const ROUNDS: usize = 60;

impl Relaxation<'_> {
    /// Raises the proof above the floor that is known, as far as the cost of a plan, by rules out of which numbers of sheets
    /// are enough. May do as much work again as all before.
    pub(super) fn raise(&mut self, known: &[Proof], cost: i128) {
        let kinds = self.problem.kinds.len();
        let proofs = known.iter().chain(&self.best);
        let proven = proofs.clone().map(|proof| proof.floor).max().unwrap_or(0);
        let mut rules: Vec<Rule> = proofs.filter_map(|proof| Rule::of(self.problem, proof)).collect();
        let sums = self.problem.kinds.iter().all(|kind| kind.cost < DEAREST);
        if !(2..=MOST_KINDS).contains(&kinds) || !sums || proven >= cost {
            return;
        }
        self.most_work += self.work;
        let whole: Limits = self.problem.supply().into_iter().map(|supply| (0, supply)).collect();
        // Costs that were proven while the rules came in: not every one may fit into few boxes.
        let mut levels = Vec::new();
        while rules.len() < MOST_RULES && !self.over() {
            let all: Vec<&Rule> = rules.iter().collect();
            let Some(found) = self.cheapest(&all, &whole, cost) else { break };
            let Some((least, uses)) = found else {
                levels.push(cost);
                break;
            };
            levels.push(least);
            let Some(rule) = self.rule_out(&uses) else { break };
            rules.push(rule);
        }
        levels.retain(|&level| level > proven);
        levels.dedup();
        for _ in 0..MOST_LEVELS {
            let Some(level) = levels.pop() else { return };
            if let Some(leaves) = self.parted(&rules, &whole, level) {
                // Where nothing is enough, what all sheets cost that there are: as for a single rule.
                let all =
                    || self.problem.kinds.iter().map(|k| k.cost * i128::from(k.supply.unwrap_or(0))).sum();
                let floor = if level == i128::MAX { all() } else { level };
                self.best = Some(Proof { floor, certificate: Certificate { leaves } });
                return;
            }
            levels.truncate(levels.len().div_ceil(2));
        }
    }

    /// A rule that so many sheets break; `None` where none was found.
    fn rule_out(&mut self, uses: &[u32]) -> Option<Rule> {
        let mut only = self.with_only(uses);
        let rule = only.lacking(uses);
        self.work += only.work + only.master.work() / PIVOTS_A_NODE;
        for column in only.columns {
            self.add(column);
        }
        rule
    }

    /// The same question for so many sheets that cost nothing: as little of the area as can be is to be missing.
    fn with_only(&self, uses: &[u32]) -> Self {
        let mut rhs: Vec<f64> = self.demand().into_iter().map(f64::from).collect();
        let items = &self.problem.items;
        let largest = items.iter().map(|item| item.area).max().unwrap_or(1).max(1) as f64;
        let mut missing: Vec<f64> = items.iter().map(|item| item.area as f64 / largest).collect();
        let supply: Vec<Option<u32>> = uses.iter().map(|&count| Some(count)).collect();
        let supply = Supply::new(&supply, &mut rhs, &mut missing, MISSING);
        let mut only = Self {
            rooms: self.rooms.clone(),
            reasons: self.reasons.clone(),
            master: Master::new(rhs, missing),
            supply,
            columns: Vec::new(),
            known: Default::default(),
            costs: vec![0.0; uses.len()],
            best: None,
            work: 0,
            most_work: self.most_work.saturating_sub(self.work + self.master.work() / PIVOTS_A_NODE),
            ..*self
        };
        for column in self.columns.iter().filter(|(kind, _)| uses[*kind] > 0) {
            only.add(column.clone());
        }
        only
    }

    /// Prices at which all that is asked for is worth more than so many sheets collect.
    fn lacking(&mut self, uses: &[u32]) -> Option<Rule> {
        let left = self.demand();
        let mut centre: Option<Vec<f64>> = None;
        let mut limit = FIRST;
        let used = |kind: usize| uses[kind] > 0;
        for _ in 0..ROUNDS {
            if self.master.solve(20_000) == Outcome::Limit || self.over() || self.master.objective() < 1e-7 {
                return None;
            }
            let out: Vec<f64> = self.master.prices().iter().map(|price| price.max(0.0)).collect();
            let mut alpha = if centre.is_some() { 0.5 } else { 0.0 };
            loop {
                let aim: Vec<f64> = match &centre {
                    Some(centre) => {
                        out.iter().zip(centre).map(|(o, c)| alpha * c + (1.0 - alpha) * o).collect()
                    }
                    None => out.clone(),
                };
                let (added, values) = self.price_of(&aim, &left, limit, &used);
                if let Some(values) = &values {
                    if let Some(rule) = self.rule(&aim, values, uses, limit) {
                        return Some(rule);
                    }
                    if added == 0 && alpha == 0.0 {
                        return None;
                    }
                    centre = Some(aim);
                } else if added == 0 && alpha == 0.0 {
                    if limit.saturating_mul(MORE) > self.most_work / SHARE {
                        return None;
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
        None
    }

    /// The rule of such prices, where so many sheets break it: `values` are those of the kinds in use.
    fn rule(&mut self, aim: &[f64], values: &[Option<i64>], uses: &[u32], limit: u64) -> Option<Rule> {
        let prices = self.whole(aim);
        let priced: Vec<(usize, i64)> = prices.iter().copied().enumerate().filter(|&(_, p)| p > 0).collect();
        let items = &self.problem.items;
        let demand: i128 =
            priced.iter().map(|&(i, price)| i128::from(price) * i128::from(items[i].demand)).sum();
        let collected: i128 =
            values.iter().zip(uses).map(|(value, &n)| i128::from(value.unwrap_or(0)) * i128::from(n)).sum();
        if collected >= demand {
            return None;
        }
        let left = self.demand();
        let mut whole = Vec::new();
        for (kind, value) in values.iter().enumerate() {
            let (value, reason) = match value {
                Some(value) => (*value, self.reasons[kind]),
                None => {
                    let hunt = Hunt { above: 0, work: limit * MORE, sets: usize::MAX };
                    let caught = self.rooms[kind].hunt(&prices, &left, hunt, self.stop);
                    self.work += caught.work;
                    let most = caught.most.map(|most| (most, self.reasons[kind]));
                    most.or_else(|| self.duals.value(kind, &priced))?
                }
            };
            whole.push((value, reason));
        }
        Rule::of(self.problem, &floor::claim(self.problem, priced, whole))
    }

    /// [`rule::cheapest`] of the kinds there are.
    fn cheapest(&mut self, rules: &[&Rule], limits: &Limits, below: i128) -> Option<Option<Uses>> {
        let costs: Vec<i128> = self.problem.kinds.iter().map(|kind| kind.cost).collect();
        let (best, nodes) = rule::cheapest(costs, rules, limits, below);
        self.work += nodes / NODES_A_NODE;
        best
    }

    /// The numbers of sheets in boxes in each of which one rule proves so much; `None` where those would be too many.
    fn parted(&mut self, rules: &[Rule], whole: &Limits, level: i128) -> Option<Vec<Leaf>> {
        let (mut leaves, mut todo) = (Vec::new(), vec![whole.clone()]);
        while let Some(limits) = todo.pop() {
            if leaves.len() + todo.len() >= MOST_BOXES || self.over() {
                return None;
            }
            let (best, proven) = self.strongest(rules, &limits, level);
            let rule = &rules[best];
            if proven >= level {
                let kinds = self.problem.kinds.iter().zip(&limits);
                let bound = |(kind, &(least, most)): (&Kind, &(u32, Option<u32>))| {
                    let bound =
                        UseBound { stock: kind.stock, least: least.into(), most: most.map(u64::from) };
                    ((least, most) != (0, kind.supply)).then_some(bound)
                };
                leaves.push(Leaf { bounds: kinds.filter_map(bound).collect(), ..rule.leaf.clone() });
                continue;
            }
            // What obeys the best rule breaks another: parted there, each side has more to obey.
            let (_, uses) = self.cheapest(&[rule], &limits, level)??;
            let mut parted: Option<((i128, i128), [Limits; 2])> = None;
            for (kind, &count) in uses.iter().enumerate() {
                let (least, most) = limits[kind];
                for at in [count.checked_sub(1), Some(count)].into_iter().flatten() {
                    if at < least || most.is_some_and(|most| at >= most) || at == u32::MAX {
                        continue;
                    }
                    let mut halves = [limits.clone(), limits.clone()];
                    halves[0][kind] = (least, Some(at));
                    halves[1][kind] = (at + 1, most);
                    let [a, b] = [0, 1].map(|half| self.strongest(rules, &halves[half], level).1.min(level));
                    let worth = (a.min(b), a.max(b));
                    if parted.as_ref().is_none_or(|(best, _)| worth > *best) {
                        parted = Some((worth, halves));
                    }
                }
            }
            todo.extend(parted?.1);
        }
        Some(leaves)
    }

    /// The rule that proves the most within limits, and how much; the first that proves `enough` will do.
    fn strongest(&mut self, rules: &[Rule], limits: &Limits, enough: i128) -> (usize, i128) {
        let mut best = (0, -1);
        for (at, rule) in rules.iter().enumerate() {
            let proven = self.proven(rule, limits);
            if proven > best.1 {
                best = (at, proven);
            }
            if proven >= enough {
                break;
            }
        }
        best
    }

    /// The least cost of numbers within limits that obey a rule; more than any where none do.
    fn proven(&mut self, rule: &Rule, limits: &Limits) -> i128 {
        let step = self.problem.kinds.iter().fold(0, |step, kind| gcd(step, kind.cost)).max(1);
        let kinds = self.problem.kinds.iter().zip(&rule.values).zip(limits);
        let choices = kinds.map(|((kind, &value), &(least, most))| {
            let cost = u64::try_from(kind.cost).ok()?;
            Some(Choice { cost, value, least: least.into(), most: most.map(u64::from) })
        });
        let Some(choices) = choices.collect::<Option<Vec<_>>>() else { return 0 };
        let step = u64::try_from(step).unwrap_or(1);
        let (least, nodes) = cover_within(&choices, rule.demand, step, MOST_IN_A_BOX);
        self.work += 1 + nodes as u64 / NODES_A_NODE;
        least.map_or(i128::MAX, i128::from)
    }
}
