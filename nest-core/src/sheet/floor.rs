//! Floors on the cost of any plan, as certificates: what prices of parts prove, where each kind of sheet collects so much.
//!
//! Prices come from pairs of dual-feasible functions ([`duals`](super::duals)), or from the relaxation over layouts
//! ([`columns`](super::columns)) or sets ([`sets`](super::sets)).

use super::columns::Prices;
use super::problem::Problem;
use crate::plan::{Certificate, Leaf, Reason, StockValue};
use crate::search::{Choice, cover};
use crate::units::{Length, gcd};

/// A floor on the cost of any plan, and its proof.
#[derive(Clone, Debug)]
pub(crate) struct Proof {
    /// Where the stock is not enough, what all of it costs: that is for the check to say.
    pub floor: i128,
    /// That no plan makes everything, whatever it costs.
    pub impossible: bool,
    pub certificate: Certificate,
}

impl Proof {
    /// What is worth more, comes later: that the stock is not enough is worth more than any floor.
    pub fn rank(&self) -> (bool, i128) {
        (self.impossible, self.floor)
    }
}

/// So many proofs by cuts are kept.
const MOST_BY_CUTS: usize = 2;

/// The best first. Of proofs by cuts the best few stay: where one is too much work for the check, all of them may be, and
/// another proof must be left.
pub(super) fn sort(proofs: &mut Vec<Proof>) {
    proofs.sort_by_key(|proof| std::cmp::Reverse(proof.rank()));
    let mut cuts = 0;
    proofs.retain(|proof| {
        let leaves = &proof.certificate.leaves;
        let by_cuts = leaves.iter().any(|l| l.values.iter().any(|v| matches!(v.reason, Reason::Cuts { .. })));
        cuts += usize::from(by_cuts);
        !by_cuts || cuts <= MOST_BY_CUTS
    });
}

/// What the prices of column generation prove, with the best cuttings as values.
pub(super) fn by_cuts(problem: &Problem, prices: &Prices) -> Option<Proof> {
    if prices.value.is_empty() {
        return None;
    }
    let mut values = Vec::new();
    for ((kind, &value), &step) in problem.kinds.iter().zip(&prices.value).zip(&prices.step) {
        let grid = Length::from_ticks(i64::try_from(problem.grid.checked_mul(step.into())?).ok()?);
        values.push((value, Reason::Cuts { grid, stages: kind.rules.staged() }));
    }
    let priced = prices.item.iter().enumerate().map(|(item, &price)| (item, price));
    let priced = priced.filter(|&(item, price)| price > 0 && !problem.items[item].optional);
    Some(claim(problem, priced.collect(), values))
}

/// What prices of items prove, where each kind of sheet collects at most such a value.
pub(super) fn claim(problem: &Problem, prices: Vec<(usize, i64)>, values: Vec<(i64, Reason)>) -> Proof {
    let mut leaf = Leaf::default();
    let mut choices = Vec::new();
    for (kind, (value, reason)) in problem.kinds.iter().zip(values) {
        leaf.values.push(StockValue { stock: kind.stock, piece: None, value, reason });
        choices.push((kind.cost, value, kind.supply));
    }
    let mut demand: i128 = 0;
    for (item, price) in prices {
        let of = &problem.items[item];
        demand += i128::from(price) * i128::from(of.demand);
        leaf.prices.extend(of.named().map(|(part, _)| (part, price)));
    }
    leaf.prices.sort_unstable();
    let floor = least(&choices, demand);
    proof(problem, vec![leaf], floor)
}

/// Leaves as the proof of a floor, or where there is none that no plan makes everything. Strips of a grain match count as one
/// piece.
pub(super) fn proof(problem: &Problem, leaves: Vec<Leaf>, floor: Option<i128>) -> Proof {
    let all = || problem.kinds.iter().map(|kind| kind.cost * i128::from(kind.supply.unwrap_or(0))).sum();
    let matched = problem.items.iter().any(|item| item.strip.is_some());
    Proof {
        floor: floor.unwrap_or_else(all),
        impossible: floor.is_none(),
        certificate: Certificate { leaves, matched },
    }
}

/// The least cost of whole sheets whose values cover the demand; `None` where all there are do not cover it.
pub(super) fn least(choices: &[(i128, i64, Option<u32>)], demand: i128) -> Option<i128> {
    let unit = choices.iter().fold(0, |unit, choice| gcd(unit, choice.0));
    let whole = |&(cost, value, supply): &(i128, i64, Option<u32>)| {
        let cost = u64::try_from(cost).ok()?;
        Some(Choice { cost, value, least: 0, most: supply.map(u64::from) })
    };
    // Costs beyond all range prove nothing here.
    let Some(choices) = choices.iter().map(whole).collect::<Option<Vec<Choice>>>() else { return Some(0) };
    cover(&choices, demand, u64::try_from(unit).unwrap_or(1)).map(i128::from)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn beside_proofs_by_cuts_another_stays() {
        let proof = |floor: i128, reason| {
            let leaf = Leaf {
                values: vec![StockValue { stock: 0, piece: None, value: 1, reason }],
                ..Leaf::default()
            };
            Proof {
                floor,
                impossible: false,
                certificate: Certificate { leaves: vec![leaf], matched: false },
            }
        };
        let cuts = Reason::Cuts { grid: Length::from_ticks(1), stages: Some(2) };
        let mut proofs = vec![proof(3, Reason::Area)];
        for floor in [5, 9, 7, 8] {
            proofs.push(proof(floor, cuts));
            sort(&mut proofs);
        }
        let floors: Vec<i128> = proofs.iter().map(|proof| proof.floor).collect();
        assert_eq!(floors, [9, 8, 3]);
    }
}
