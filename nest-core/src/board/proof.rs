//! Prices that prove a floor, and the certificate they make.

use super::columns::Prices;
use super::problem::{Problem, Range};
use super::question::Question;
use crate::plan::{Certificate, Leaf, Reason, StockValue, UseBound};
use crate::search::{Choice, cover};

/// Longest table of reachable lengths, and most cells of it for all items: nobody may wait for it.
const REACH_CELLS: u64 = 2_000_000;
const MOST_CELLS: u64 = 400_000_000;

/// The floor that prices prove; `None` where they prove that the bars are not enough.
pub(super) fn floor(problem: &Problem, prices: &Prices, step: u64) -> Option<u64> {
    let wanted: i128 =
        prices.item.iter().zip(&problem.items).map(|(&p, i)| i128::from(p) * i128::from(i.demand)).sum();
    let choices: Vec<Choice> = problem
        .bars
        .iter()
        .zip(&prices.value)
        .map(|(b, &value)| Choice { cost: b.cost, value, least: b.range.least, most: b.range.most })
        .collect();
    cover(&choices, wanted, step)
}

/// Every item at the price of its length: the cheapest set of bars that holds the total length, each bar counted
/// with the longest length that can be reached in it at all.
pub(super) fn by_length(problem: &Problem) -> Prices {
    let longest = problem.bars.iter().map(|b| b.capacity).max().unwrap_or(0);
    let mut value = Vec::new();
    if longest < REACH_CELLS && longest * problem.items.len() as u64 <= MOST_CELLS {
        let mut reach = vec![false; longest as usize + 1];
        reach[0] = true;
        let mut fresh = vec![0_u64; longest as usize + 1];
        for item in &problem.items {
            // How many of this item the cheapest way to a length takes.
            fresh.fill(0);
            let l = item.length as usize;
            for c in l..=longest as usize {
                if !reach[c] && reach[c - l] && fresh[c - l] < item.demand {
                    reach[c] = true;
                    fresh[c] = fresh[c - l] + 1;
                }
            }
        }
        for bar in &problem.bars {
            let top = (0..=bar.capacity as usize).rev().find(|&c| reach[c]).unwrap_or(0);
            value.push(top as i64);
        }
    } else {
        value = problem.bars.iter().map(|b| i64::try_from(b.capacity).unwrap_or(i64::MAX)).collect();
    }
    let item = problem.items.iter().map(|i| i64::try_from(i.length).unwrap_or(0)).collect();
    Prices { item, value, bound: 0.0 }
}

/// A certificate with a leaf for each case.
pub(super) fn certificate(question: &Question, cases: &[(Vec<Range>, Prices)]) -> Certificate {
    let leaves = cases.iter().map(|(ranges, prices)| leaf(question, ranges, prices)).collect();
    Certificate { leaves, matched: false }
}

fn leaf(question: &Question, ranges: &[Range], prices: &Prices) -> Leaf {
    let mut list: Vec<(usize, i64)> = question
        .parts
        .iter()
        .zip(&prices.item)
        .flat_map(|(parts, &price)| parts.iter().map(move |&(p, _)| (p, price)))
        .collect();
    list.sort_unstable();
    let bars = question.stock.iter().zip(&question.problem.bars);
    let bounds = bars
        .zip(ranges)
        .filter(|((_, bar), range)| bar.range != **range)
        .map(|((&stock, _), range)| UseBound { stock, least: range.least, most: range.most })
        .collect();
    let values = question
        .stock
        .iter()
        .zip(&prices.value)
        .map(|(&stock, &value)| StockValue { stock, piece: None, value, reason: Reason::Lengths })
        .collect();
    Leaf { bounds, prices: list, values, ..Leaf::default() }
}
