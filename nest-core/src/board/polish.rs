//! Other plans from the same bars, or from others that cost nothing either: what comes after the cost in the score.
//!
//! Filling the bars of a plan again, one after the other and each as full as can be, gathers what is left over in the
//! last ones: few large offcuts instead of many small ones. Of bars that are owned the shortest that will do leaves the
//! longer ones whole. The score decides whether that is better.

use super::greedy::{self, Packing};
use super::problem::{Pattern, Problem, Range};
use std::cmp::Reverse;

/// Table cells that one refilling may use.
const CELLS: u64 = 200_000_000;

/// All of that for a complete packing of which the first `real` bars are stock.
pub(super) fn others(problem: &Problem, packing: &Packing, real: usize) -> Vec<Packing> {
    let mut free: Vec<usize> = (0..real).filter(|&bar| problem.bars[bar].cost == 0).collect();
    // On the grid a longer one may have the same capacity.
    free.sort_by_key(|&bar| (problem.bars[bar].room, bar));
    let mut found = refill(problem, packing);
    if free.len() > 1 {
        found.extend(open_shortest(problem, packing, &free));
        let settled: Vec<Packing> = [packing]
            .into_iter()
            .chain(&found)
            .filter_map(|packing| settle(problem, packing, &free))
            .collect();
        found.extend(settled);
    }
    found
}

/// What is cut from bars that cost nothing, from the shortest of all such bars, each as full as can be. None where some
/// of it finds no place that way.
fn open_shortest(problem: &Problem, packing: &Packing, free: &[usize]) -> Option<Packing> {
    let (owned, mut used) = split(packing, free);
    let mut left = vec![0_u64; problem.items.len()];
    for (pattern, copies) in &owned {
        for &(item, n) in &pattern.counts {
            left[item] += n * copies;
        }
    }
    for &bar in free {
        if left.iter().all(|&n| n == 0) {
            break;
        }
        let mut ranges = vec![Range { least: 0, most: Some(0) }; problem.bars.len()];
        ranges[bar] = problem.bars[bar].range;
        let part = greedy::fill_up(problem, &left, &ranges, CELLS / free.len() as u64);
        left = part.left;
        used.extend(part.used);
    }
    left.iter().all(|&n| n == 0).then(|| Packing { used, left: packing.left.clone() })
}

/// The same patterns, each from the shortest bar that costs nothing and holds it, if it was from such a bar. None where
/// some find no bar that way.
///
/// The longest pattern chooses first. Where length alone tells what a bar holds, every pattern then finds one: whose own is
/// taken finds that of the one who took it, or a longer one.
fn settle(problem: &Problem, packing: &Packing, free: &[usize]) -> Option<Packing> {
    let (mut owned, mut used) = split(packing, free);
    owned.sort_by_key(|(pattern, _)| Reverse(problem.used(pattern)));
    let mut ranges = problem.ranges();
    for (Pattern { counts, .. }, copies) in owned {
        let mut rest = copies;
        for &bar in free {
            let here = ranges[bar].most.map_or(rest, |most| most.min(rest));
            let takes = || counts.iter().all(|&(item, _)| problem.bars[bar].takes[item]);
            if here > 0 && takes() && problem.sawable(bar, &counts) {
                used.push((Pattern { bar, counts: counts.clone() }, here));
                ranges[bar] = ranges[bar].after(here);
                rest -= here;
            }
        }
        if rest > 0 {
            return None;
        }
    }
    Some(Packing { used, left: packing.left.clone() })
}

/// Patterns with their copies.
type Used = Vec<(Pattern, u64)>;

/// What is cut from some bars, and what from others.
fn split(packing: &Packing, free: &[usize]) -> (Used, Used) {
    packing.used.iter().cloned().partition(|(pattern, _)| free.contains(&pattern.bar))
}

/// Refillings of the bars of a packing: any kind first, dearest or longest first, shortest first.
fn refill(problem: &Problem, packing: &Packing) -> Vec<Packing> {
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
