//! Other plans from the same bars: what comes after the cost in the score.
//!
//! Filling the bars of a plan again, one after the other and each as full as can be, gathers what is left over in the
//! last ones: few large offcuts instead of many small ones. The score decides whether that is better.

use super::greedy::{self, Packing};
use super::problem::{Problem, Range};

/// Table cells that one refilling may use.
const CELLS: u64 = 200_000_000;

/// Refillings of the bars of a packing: any kind first, dearest or longest first, shortest first.
pub(super) fn refill(problem: &Problem, packing: &Packing) -> Vec<Packing> {
    let mut bars = vec![0_u64; problem.bars.len()];
    for (pattern, n) in &packing.used {
        bars[pattern.bar] += n;
    }
    let mut kinds: Vec<usize> = (0..bars.len()).filter(|&b| bars[b] > 0).collect();
    kinds.sort_by_key(|&b| (problem.bars[b].capacity, b));
    let mut orders = vec![kinds.clone()];
    if kinds.len() > 1 {
        kinds.reverse();
        orders.push(kinds);
    }
    let mut found = Vec::new();
    for order in orders {
        let mut left = problem.demand();
        let mut used = Vec::new();
        for &kind in &order {
            let mut ranges = vec![Range { least: 0, most: Some(0) }; bars.len()];
            ranges[kind].most = Some(bars[kind]);
            let part = greedy::fill_up(problem, &left, &ranges, CELLS);
            left = part.left;
            used.extend(part.used);
        }
        if left.iter().all(|&d| d == 0) {
            found.push(Packing { used, left });
        }
    }
    found
}
