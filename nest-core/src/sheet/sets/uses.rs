//! Numbers of sheets that no plan can do with, ruled out one after the other.
//!
//! Prices with the most that each kind of sheet collects are a rule for the numbers of sheets of any plan. One set of prices
//! proves the least cost over its own rule alone; here the cheapest numbers that obey all rules so far are taken as
//! all the sheets there are, and where the relaxation cannot make everything from those, its prices are a rule that
//! they break; where [branching](super::branch) finds that they lack something all the same, they and fewer are too few. What
//! is then the cheapest that is left is the floor. For the certificate the numbers are parted into boxes in each of which
//! one rule alone proves that floor, or all are too few.

use super::branch::{MOST_SHEETS, Ruled};
use super::room::Depth;
use super::rule::{self, Grounds, Limits, Lore, Rule, Uses};
use super::{Column, Relaxation};
use crate::plan::{Leaf, UseBound};
use crate::search::{Choice, cover_within};
use crate::sheet::floor::{self, Proof};
use crate::sheet::problem::Kind;
use crate::units::gcd;

/// With more kinds of sheets there are too many numbers of them.
const MOST_KINDS: usize = 12;
/// Rules, and leaves of a certificate.
const MOST_RULES: usize = 60;
const MOST_LEAVES: usize = 400;
/// Numbers of sheets looked at in one box for what a rule proves there.
const MOST_IN_A_BOX: usize = 2000;
/// So many numbers of sheets cost as much as a node of a hunt.
const NODES_A_NODE: u64 = 16;
/// Floors that are tried for a certificate.
const MOST_LEVELS: usize = 4;
/// Sums of dearer sheets leave the range of numbers.
const DEAREST: i128 = 1 << 62;

impl Relaxation<'_> {
    /// Raises the proof above the floor that is known, as far as the cost of a plan, by rules out of which numbers of sheets
    /// are enough. May do as much work again as all before. With a seed to `dive`, returns a plan that costs less, where
    /// the cheapest numbers of sheets turn out to be enough.
    pub(super) fn raise(
        &mut self,
        known: &[Proof],
        cost: i128,
        dive: Option<u64>,
    ) -> (Option<Vec<Column>>, Lore) {
        let kinds = self.problem.kinds.len();
        let proofs = known.iter().chain(&self.best);
        let proven = proofs.clone().map(|proof| proof.floor).max().unwrap_or(0);
        let rules = proofs.filter_map(|proof| Rule::of(self.problem, proof)).collect();
        let mut lore = Lore { rules, ..Lore::default() };
        let sums = self.problem.kinds.iter().all(|kind| kind.cost < DEAREST);
        if !(1..=MOST_KINDS).contains(&kinds) || !sums || proven >= cost {
            return (None, lore);
        }
        self.most_work += self.work;
        let whole: Limits = self.problem.supply().into_iter().map(|supply| (0, supply)).collect();
        // Costs that were proven while the rules came in: not every one may fit into few boxes.
        let (mut levels, mut plan) = (Vec::new(), None);
        while lore.rules.len() + lore.few.len() < MOST_RULES && !self.over() {
            let all: Vec<&Rule> = lore.rules.iter().collect();
            let grounds = Grounds { rules: &all, few: &lore.few };
            let Some(found) = self.cheapest(&grounds, &whole, cost) else { break };
            let Some((least, uses)) = found else {
                levels.push(cost);
                break;
            };
            levels.push(least);
            // Of one kind the relaxation has said all that it can, but for what comes of a few sheets one by one.
            if kinds == 1 && uses[0] > MOST_SHEETS {
                break;
            }
            let ruled = self.rule_out(&uses, cost, dive);
            if self.depth < Depth::Most && !self.over() && !self.settled(&ruled) {
                self.depth = Depth::Most;
                continue;
            }
            match ruled {
                Ruled::Broken(rule) => lore.rules.push(rule),
                Ruled::Few(nogood) => lore.few.push(nogood),
                Ruled::Enough(found) => {
                    plan = Some(found);
                    lore.open = Some(uses);
                    break;
                }
                Ruled::Open => {
                    lore.open = Some(uses);
                    break;
                }
            }
        }
        levels.retain(|&level| level > proven);
        levels.dedup();
        for _ in 0..MOST_LEVELS {
            let Some(level) = levels.pop() else { break };
            if let Some(leaves) = self.parted(&lore, &whole, level) {
                let floor = Some(level).filter(|&level| level < i128::MAX);
                self.best = Some(floor::proof(self.problem, leaves, floor));
                break;
            }
            levels.truncate(levels.len().div_ceil(2));
        }
        (plan, lore)
    }

    /// Whether a deeper look at the same numbers of sheets would say no more.
    fn settled(&self, ruled: &Ruled) -> bool {
        match ruled {
            Ruled::Broken(_) | Ruled::Few(_) => true,
            Ruled::Enough(plan) => plan.iter().all(|(kind, set)| self.rooms[*kind].cutting(set).0.is_some()),
            Ruled::Open => false,
        }
    }

    /// [`rule::cheapest`] of the kinds there are.
    fn cheapest(&mut self, grounds: &Grounds<'_>, limits: &Limits, below: i128) -> Option<Option<Uses>> {
        let costs: Vec<i128> = self.problem.kinds.iter().map(|kind| kind.cost).collect();
        let (best, nodes) = rule::cheapest(costs, grounds, limits, below);
        self.work += nodes / NODES_A_NODE;
        best
    }

    /// The numbers of sheets in boxes in each of which one rule proves so much, or all are too few; `None` where those would
    /// be too many.
    fn parted(&mut self, lore: &Lore, whole: &Limits, level: i128) -> Option<Vec<Leaf>> {
        let Lore { rules, few, .. } = lore;
        let (mut leaves, mut todo) = (Vec::new(), vec![whole.clone()]);
        while let Some(limits) = todo.pop() {
            if leaves.len() + todo.len() >= MOST_LEAVES || self.over() {
                return None;
            }
            if let Some(nogood) = few.iter().find(|nogood| nogood.covers(&limits)) {
                let bounds = self.bounds(&limits);
                leaves
                    .extend(nogood.leaves.iter().map(|leaf| Leaf { bounds: bounds.clone(), ..leaf.clone() }));
                continue;
            }
            let (best, proven) = self.strongest(rules, &limits, level);
            let rule = &rules[best];
            if proven >= level {
                leaves.push(Leaf { bounds: self.bounds(&limits), ..rule.leaf.clone() });
                continue;
            }
            // What obeys the best rule breaks another, or is too few: parted there, each side has more to obey.
            let (_, uses) = self.cheapest(&Grounds { rules: &[rule], few: &[] }, &limits, level)??;
            let few_of = few.iter().filter(|nogood| nogood.rules_out(&uses));
            let mut parted: Option<((i128, i128), [Limits; 2])> = None;
            for (kind, &count) in uses.iter().enumerate() {
                let (least, most) = limits[kind];
                let beyond = few_of.clone().map(|nogood| nogood.uses[kind]);
                for at in [count.checked_sub(1), Some(count)].into_iter().flatten().chain(beyond) {
                    if at < least || most.is_some_and(|most| at >= most) || at == u32::MAX {
                        continue;
                    }
                    let mut halves = [limits.clone(), limits.clone()];
                    halves[0][kind] = (least, Some(at));
                    halves[1][kind] = (at + 1, most);
                    let mut proven = |limits: &Limits| {
                        if few.iter().any(|nogood| nogood.covers(limits)) {
                            return level;
                        }
                        self.strongest(rules, limits, level).1.min(level)
                    };
                    let [a, b] = [0, 1].map(|half| proven(&halves[half]));
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

    /// Limits as a certificate names them.
    fn bounds(&self, limits: &Limits) -> Vec<UseBound> {
        let kinds = self.problem.kinds.iter().zip(limits);
        let bound = |(kind, &(least, most)): (&Kind, &(u32, Option<u32>))| {
            let bound = UseBound { stock: kind.stock, least: least.into(), most: most.map(u64::from) };
            ((least, most) != (0, kind.supply)).then_some(bound)
        };
        kinds.filter_map(bound).collect()
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
