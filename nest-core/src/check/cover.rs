//! What is the cheapest whole number of stock that can collect what is asked?
//!
//! Least `sum c_s x_s` with `sum V_s x_s >= D` and every `x_s` whole within its limits. Solved by branch and bound,
//! best cost per value first, against the fractional answer rounded up to a multiple of the gcd of all costs: a
//! few nodes for nearly every question. Where it takes many, a table over all costs decides, if it is short enough.
//! If that fails as well, the fractional answer, which is a floor too, is returned instead.

use super::bound::{Floor, Work};
use super::knapsack::{self, Item};
use crate::units::gcd;

/// Nodes after which a table is tried.
const FEW_NODES: u64 = 50_000;

/// One stock in a cover.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Choice {
    /// Cost of one, not negative.
    pub cost: i128,
    /// What one can collect, not negative.
    pub value: i64,
    /// At least this many.
    pub least: u64,
    /// At most this many; `None` for no limit.
    pub most: Option<u64>,
}

/// The least cost that collects `demand`, or a floor of it; `None` where sums leave the range of an `i128`.
pub(super) fn cover(choices: &[Choice], demand: i128, work: &mut Work) -> Option<Floor> {
    let mut base: i128 = 0;
    let mut missing = demand;
    let mut paid = Vec::new();
    for choice in choices {
        if choice.most.is_some_and(|most| most < choice.least) {
            return Some(Floor::Impossible);
        }
        let least = i128::from(choice.least);
        base = base.checked_add(choice.cost.checked_mul(least)?)?;
        missing = missing.checked_sub(i128::from(choice.value).checked_mul(least)?)?;
        if choice.value > 0 {
            paid.push(Limited {
                cost: choice.cost,
                value: choice.value.into(),
                most: choice.most.map_or(i128::MAX, |most| i128::from(most - choice.least)),
            });
        }
    }
    // What costs nothing is used up first, and no stock more often than it takes to collect all alone.
    paid.retain(|choice| {
        let free = choice.cost == 0;
        if free && missing > 0 {
            let most = choice.needed(missing);
            missing -= most * choice.value;
        }
        !free
    });
    if missing <= 0 {
        return Some(Floor::Cost(base));
    }
    let unit = paid.iter().fold(0, |unit, choice| gcd(unit, choice.cost)).max(1);
    let mut dearest: i128 = 0;
    for choice in &mut paid {
        choice.most = choice.needed(missing);
        choice.cost /= unit;
        dearest = dearest.checked_add(choice.cost)?;
    }
    paid.retain(|choice| choice.most > 0);
    // No product and no sum below is larger than this one, so none of them needs a check.
    missing.checked_add(i64::MAX.into())?.checked_mul(dearest)?;
    paid.sort_by(|a, b| {
        let (left, right) = (a.cost * b.value, b.cost * a.value);
        left.cmp(&right).then(b.value.cmp(&a.value)).then(a.cost.cmp(&b.cost)).then(a.most.cmp(&b.most))
    });
    let Some(relaxed) = fraction(&paid, missing) else { return Some(Floor::Impossible) };
    let least = match search(&paid, missing, relaxed, FEW_NODES, work) {
        Found::Least(least) => least,
        Found::Some(cost) => match by_cost(&paid, missing, cost, work) {
            Some(least) => least,
            None => match search(&paid, missing, relaxed, u64::MAX, work) {
                Found::Least(least) => least,
                Found::Some(_) | Found::Nothing => relaxed,
            },
        },
        Found::Nothing => relaxed,
    };
    Some(Floor::Cost(base.checked_add(least.checked_mul(unit)?)?))
}

/// A choice with the forced number taken off.
#[derive(Clone, Copy, Debug)]
struct Limited {
    cost: i128,
    value: i128,
    most: i128,
}

impl Limited {
    /// How many are taken when they alone have to collect `missing`, which is positive.
    fn needed(&self, missing: i128) -> i128 {
        ceil(missing, self.value).min(self.most)
    }
}

/// The cost when stock may be cut in fractions, rounded up; `None` where all of it is too little.
fn fraction(sorted: &[Limited], mut missing: i128) -> Option<i128> {
    let mut cost = 0;
    for choice in sorted {
        if missing <= 0 {
            break;
        }
        let whole = (missing / choice.value).min(choice.most);
        cost += whole * choice.cost;
        missing -= whole * choice.value;
        if whole < choice.most && missing > 0 {
            return Some(cost + ceil(missing * choice.cost, choice.value));
        }
    }
    (missing <= 0).then_some(cost)
}

/// How a search ended.
enum Found {
    /// This is the least cost.
    Least(i128),
    /// This cost is possible; a cap on nodes struck.
    Some(i128),
    /// A cap on nodes struck before anything was found.
    Nothing,
}

/// Looks for the least cost, which is no less than `floor`.
fn search(sorted: &[Limited], missing: i128, floor: i128, mut nodes: u64, work: &mut Work) -> Found {
    /// Numbers taken so far of the first few choices, with what they cost and what is missing after them.
    struct Level {
        taken: i128,
        cost: i128,
        missing: i128,
    }
    let mut best: Option<i128> = None;
    let mut path: Vec<Level> = Vec::new();
    let mut next = Some((0_i128, missing));
    loop {
        // Go down: as many as possible of the next choice.
        if let Some((cost, missing)) = next.take() {
            if nodes == 0 || !work.node(sorted.len()) {
                return best.map_or(Found::Nothing, Found::Some);
            }
            nodes -= 1;
            let depth = path.len();
            let hopeless = match fraction(&sorted[depth..], missing) {
                None => true,
                Some(rest) => best.is_some_and(|best| cost + rest >= best),
            };
            if !hopeless {
                if missing <= 0 {
                    best = Some(cost);
                } else if let Some(choice) = sorted.get(depth) {
                    let taken = choice.needed(missing);
                    path.push(Level { taken, cost, missing });
                    next = Some((cost + taken * choice.cost, missing - taken * choice.value));
                    continue;
                }
            }
            if best == Some(floor) {
                return Found::Least(floor);
            }
        }
        // Go back: one less of the last choice. Fewer of it only makes the rest dearer, so once that is hopeless
        // the level is done.
        let depth = path.len().wrapping_sub(1);
        let (Some(level), Some(choice)) = (path.last_mut(), sorted.get(depth)) else {
            return best.map_or(Found::Nothing, Found::Least);
        };
        if level.taken == 0 {
            path.pop();
        } else {
            level.taken -= 1;
            let cost = level.cost + level.taken * choice.cost;
            let missing = level.missing - level.taken * choice.value;
            let rest = fraction(&sorted[depth + 1..], missing);
            match rest {
                Some(rest) if best.is_none_or(|best| cost + rest < best) => {
                    next = Some((cost, missing));
                }
                _ => {
                    path.pop();
                }
            }
        }
    }
}

/// The least cost, looked up in a table of the most that each cost up to `possible` can collect.
fn by_cost(sorted: &[Limited], missing: i128, possible: i128, work: &mut Work) -> Option<i128> {
    let possible = u64::try_from(possible).ok()?;
    let mut items = Vec::new();
    for choice in sorted {
        let (size, value) = (u64::try_from(choice.cost).ok()?, i64::try_from(choice.value).ok()?);
        items.push(Item { size, value, most: u64::try_from(choice.most).ok()? });
    }
    let best = knapsack::most(&items, possible, work)?;
    best.iter().position(|&most| i128::from(most) >= missing).map(|cost| cost as i128)
}

/// `a / b` rounded up, for positive numbers.
fn ceil(a: i128, b: i128) -> i128 {
    a / b + i128::from(a % b != 0)
}
