//! What prices require of the numbers of sheets, and the cheapest numbers that obey.

use crate::plan::Leaf;
use crate::sheet::floor::Proof;
use crate::sheet::problem::{Item, Problem};

/// Numbers of sheets looked at in one search.
const MOST_NODES: u64 = 300_000;

/// Numbers of sheets of each kind that are not enough, nor are fewer.
#[derive(Clone, Debug)]
pub(super) struct NoGood {
    pub uses: Vec<u32>,
    /// Why, case by case.
    pub leaves: Vec<Leaf>,
}

impl NoGood {
    /// Whether all numbers within limits are no more.
    pub fn covers(&self, limits: &Limits) -> bool {
        self.uses.iter().zip(limits).all(|(&count, &(_, most))| most.is_some_and(|most| most <= count))
    }

    /// Whether so many are no more.
    pub fn rules_out(&self, uses: &[u32]) -> bool {
        self.uses.iter().zip(uses).all(|(most, count)| count <= most)
    }
}

/// What is required of the numbers of sheets: that their values add up to the demand.
#[derive(Clone, Debug)]
pub(super) struct Rule {
    /// Prices and values, for a box of any limits.
    pub leaf: Leaf,
    /// The most that each kind of sheet collects.
    pub values: Vec<i64>,
    /// What all that is asked for is worth.
    pub demand: i128,
}

impl Rule {
    /// What a proof with a single leaf requires.
    pub fn of(problem: &Problem, proof: &Proof) -> Option<Self> {
        let [leaf] = proof.certificate.leaves.as_slice() else { return None };
        // In the order of the parts, as every claim has them.
        let price = |part: usize| {
            leaf.prices.binary_search_by_key(&part, |&(part, _)| part).map_or(0, |at| leaf.prices[at].1)
        };
        let parts = problem.items.iter().filter(|item| !item.optional).flat_map(Item::named);
        let demand = parts.map(|(part, qty)| i128::from(price(part)) * i128::from(qty)).sum();
        Some(Self {
            leaf: leaf.clone(),
            values: leaf.values.iter().map(|value| value.value).collect(),
            demand,
        })
    }

    /// What so many sheets of each kind lack.
    fn lacks(&self, uses: &[u32]) -> i128 {
        let collected =
            self.values.iter().zip(uses).map(|(&value, &count)| i128::from(value) * i128::from(count));
        self.demand - collected.sum::<i128>()
    }
}

/// What was found out about numbers of sheets.
#[derive(Clone, Debug, Default)]
pub(in crate::sheet) struct Lore {
    pub(super) rules: Vec<Rule>,
    pub(super) few: Vec<NoGood>,
    /// The cheapest that may be enough, where that stayed open.
    pub open: Option<Vec<u32>>,
}

impl Lore {
    /// Whether so many sheets may be enough, for all that is known.
    pub fn allows(&self, uses: &[u32]) -> bool {
        self.rules.iter().all(|rule| rule.lacks(uses) <= 0) && !self.few.iter().any(|few| few.rules_out(uses))
    }
}

/// What rules numbers of sheets out.
#[derive(Clone, Copy, Debug)]
pub(super) struct Grounds<'a> {
    pub rules: &'a [&'a Rule],
    pub few: &'a [NoGood],
}

/// Least and most number of sheets, kind by kind.
pub(super) type Limits = Vec<(u32, Option<u32>)>;

/// Numbers of sheets, kind by kind, and what they cost together.
pub(super) type Uses = (i128, Vec<u32>);

/// The cheapest numbers of sheets within limits that obey all rules and are not known to be too few, and their cost, where
/// that is below `below`; `None` where there are too many to look at. Returns also how many were looked at.
pub(super) fn cheapest(
    costs: Vec<i128>,
    grounds: &Grounds<'_>,
    limits: &Limits,
    below: i128,
) -> (Option<Option<Uses>>, u64) {
    let uses: Vec<u32> = limits.iter().map(|&(least, _)| least).collect();
    let cost = costs.iter().zip(&uses).map(|(cost, &count)| cost * i128::from(count)).sum();
    let left = grounds.rules.iter().map(|rule| rule.lacks(&uses)).collect();
    let mut search = Cheapest { costs, grounds, limits, best: None, below, uses, nodes: 0 };
    search.from(0, cost, left);
    ((search.nodes <= MOST_NODES).then_some(search.best), search.nodes)
}

/// Depth first over the kinds of sheets.
struct Cheapest<'a> {
    costs: Vec<i128>,
    grounds: &'a Grounds<'a>,
    limits: &'a Limits,
    best: Option<Uses>,
    below: i128,
    uses: Vec<u32>,
    nodes: u64,
}

impl Cheapest<'_> {
    /// `left` is what each rule still lacks.
    fn from(&mut self, kind: usize, cost: i128, left: Vec<i128>) {
        self.nodes += 1;
        if self.nodes > MOST_NODES || cost >= self.below {
            return;
        }
        let obeyed = left.iter().all(|&left| left <= 0);
        if obeyed && !self.grounds.few.iter().any(|nogood| nogood.rules_out(&self.uses)) {
            self.below = cost;
            self.best = Some((cost, self.uses.clone()));
            return;
        }
        // What the most that a unit of cost may still collect says of each rule.
        let hopeless = self.grounds.rules.iter().zip(&left).any(|(rule, &left)| {
            let mut open = left;
            let mut dear = 0_i128;
            let mut order: Vec<usize> = (kind..self.costs.len()).filter(|&k| rule.values[k] > 0).collect();
            order.sort_by(|&a, &b| {
                (self.costs[a] * i128::from(rule.values[b]))
                    .cmp(&(self.costs[b] * i128::from(rule.values[a])))
            });
            for k in order {
                if open <= 0 {
                    break;
                }
                let value = i128::from(rule.values[k]);
                let (least, most) = self.limits[k];
                let room = most.map_or(i128::MAX, |most| i128::from(most.saturating_sub(least)));
                if (open + value - 1) / value <= room {
                    // Too much for numbers is rounded down.
                    dear = dear.saturating_add(open.saturating_mul(self.costs[k]) / value);
                    open = 0;
                } else {
                    dear += room * self.costs[k];
                    open -= room * value;
                }
            }
            open > 0 || cost.saturating_add(dear) >= self.below
        });
        if hopeless || kind == self.costs.len() {
            return;
        }
        let (least, most) = self.limits[kind];
        // Enough of this kind alone for every rule that it adds to.
        let enough = self.grounds.rules.iter().zip(&left).map(|(rule, &left)| {
            let value = i128::from(rule.values[kind]);
            if value > 0 && left > 0 { (left + value - 1) / value } else { 0 }
        });
        let enough = u32::try_from(enough.max().unwrap_or(0)).unwrap_or(u32::MAX);
        // One more than too few is what it may take.
        let beyond = self
            .grounds
            .few
            .iter()
            .map(|nogood| nogood.uses[kind].saturating_add(1).saturating_sub(least))
            .max();
        let enough = enough.max(beyond.unwrap_or(0));
        let room = most.map_or(u32::MAX, |most| most.saturating_sub(least));
        let afford = (self.below - 1 - cost).checked_div(self.costs[kind]);
        let afford = afford.map_or(u32::MAX, |afford| u32::try_from(afford).unwrap_or(u32::MAX));
        for more in (0..=enough.min(room).min(afford)).rev() {
            if self.nodes > MOST_NODES {
                return;
            }
            let rest = self.grounds.rules.iter().zip(&left);
            let rest =
                rest.map(|(rule, &left)| left - i128::from(rule.values[kind]) * i128::from(more)).collect();
            self.uses[kind] = least.saturating_add(more);
            self.from(kind + 1, cost + self.costs[kind] * i128::from(more), rest);
        }
        self.uses[kind] = least;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::search::Dice;
    use crate::sheet::goals::Goals;
    use crate::sheet::problem::{Kind, Rules};

    /// All numbers of sheets, one after the other.
    fn plain(
        costs: &[i128],
        rules: &[Rule],
        nogoods: &[NoGood],
        limits: &Limits,
        below: i128,
    ) -> Option<i128> {
        let mut best = None;
        let most = |kind: usize| limits[kind].1.unwrap_or(12);
        for a in limits[0].0..=most(0) {
            for b in limits[1].0..=most(1) {
                for c in limits[2].0..=most(2) {
                    let uses = [a, b, c];
                    let cost = costs.iter().zip(uses).map(|(cost, n)| cost * i128::from(n)).sum::<i128>();
                    let few = nogoods.iter().any(|nogood| nogood.rules_out(&uses));
                    if cost < best.unwrap_or(below) && !few && rules.iter().all(|rule| rule.lacks(&uses) <= 0)
                    {
                        best = Some(cost);
                    }
                }
            }
        }
        best
    }

    #[test]
    fn the_cheapest_numbers_are_those_that_plain_counting_finds() {
        let (mut none, mut some) = (0, 0);
        for seed in 0..2000 {
            let mut dice = Dice::new(seed, 7);
            let costs: Vec<i128> = (0..3).map(|_| i128::from(dice.below(6))).collect();
            let rules: Vec<Rule> = (0..1 + dice.below(3))
                .map(|_| Rule {
                    leaf: Leaf::default(),
                    values: (0..3).map(|_| i64::from(dice.below(5))).collect(),
                    demand: i128::from(dice.below(12)),
                })
                .collect();
            let limits: Limits = (0..3)
                .map(|_| {
                    let least = dice.below(3);
                    (least, dice.once_in(2).then(|| least + dice.below(4)))
                })
                .collect();
            let nogoods: Vec<NoGood> = (0..dice.below(3))
                .map(|_| NoGood { uses: (0..3).map(|_| dice.below(4)).collect(), leaves: Vec::new() })
                .collect();
            let below = i128::from(10 + dice.below(30));
            let rules_of: Vec<&Rule> = rules.iter().collect();
            let grounds = Grounds { rules: &rules_of, few: &nogoods };
            let best = cheapest(costs.clone(), &grounds, &limits, below).0.unwrap();
            let found = best.as_ref().map(|(cost, _)| *cost);
            assert_eq!(found, plain(&costs, &rules, &nogoods, &limits, below), "seed {seed}");
            if let Some((cost, uses)) = best {
                assert_eq!(
                    cost,
                    costs.iter().zip(&uses).map(|(cost, &n)| cost * i128::from(n)).sum::<i128>()
                );
                assert!(rules.iter().all(|rule| rule.lacks(&uses) <= 0));
                some += 1;
            } else {
                none += 1;
            }
        }
        assert!(none > 200 && some > 200, "{none} {some}");
    }

    #[test]
    fn goals_are_such_as_may_be_enough() {
        let cut = [[0, 8]; 2];
        let rules = Rules { stages: 3, trimming: false, first: None, cut, reach: None, spare: u32::MAX };
        let kind =
            |stock, size, cost| Kind { stock, size, kerf: 0, cost, supply: None, least: [1; 2], rules };
        let mut problem = Problem::default();
        problem.kinds = vec![kind(0, [8, 4], 10), kind(1, [4, 4], 6), kind(2, [4, 2], 4)];
        let leaf = Leaf::default();
        let rules = vec![Rule { leaf, values: vec![3, 1, 0], demand: 7 }];
        let few = vec![NoGood { uses: vec![2, 1, 9], leaves: Vec::new() }];
        let draw = |lore: &Lore| {
            let mut goals = Goals::new(&problem, 5).unwrap();
            let draws = (0..200).filter_map(|_| goals.draw(&[3, 2, 1], 46, 0, lore));
            draws.collect::<Vec<_>>()
        };
        let known = Lore { rules, few, open: None };
        let allowed = |goals: &[Vec<u32>]| goals.iter().filter(|goal| known.allows(goal)).count();
        let (free, bound) = (draw(&Lore::default()), draw(&known));
        assert!(allowed(&free) < free.len() && allowed(&bound) == bound.len() && bound.len() > 50);
        let open = vec![2, 2, 0];
        let aimed = draw(&Lore { open: Some(open.clone()), ..known.clone() });
        let share = aimed.iter().filter(|goal| **goal == open).count();
        assert!((60..140).contains(&share), "{share}");
        // What costs no less than the best plan is no goal.
        let dear = draw(&Lore { open: Some(vec![5, 0, 0]), ..known.clone() });
        assert!(dear.iter().all(|goal| goal[0] < 5));
    }
}
