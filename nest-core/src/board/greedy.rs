//! The plan that always answers: first fit and best fit decreasing, and filling bar after bar.

use super::problem::{Pattern, Problem};

/// A whole answer in patterns: (pattern, copies), and what is left over of the demand.
#[derive(Clone, Debug, Default)]
pub(crate) struct Packing {
    pub used: Vec<(Pattern, u64)>,
    pub left: Vec<u64>,
}

impl Packing {
    pub fn cost(&self, problem: &Problem) -> u64 {
        self.used.iter().map(|(p, n)| problem.bars[p.bar].cost * n).sum()
    }
}

/// Fills bars one after the other, longest item first into the room that is left; for each bar the kind whose
/// filling costs least a unit of length. Copies a filling as often as demand and supply allow.
pub(crate) fn fill_down(problem: &Problem, demand: &[u64], supply: &[Option<u64>]) -> Packing {
    let mut left = demand.to_vec();
    let mut supply = supply.to_vec();
    let mut used: Vec<(Pattern, u64)> = Vec::new();
    while left.iter().any(|&d| d > 0) {
        let mut best: Option<(f64, Pattern, u64)> = None;
        for (b, bar) in problem.bars.iter().enumerate() {
            if supply[b] == Some(0) {
                continue;
            }
            let mut room = bar.capacity;
            let mut counts = Vec::new();
            for (i, item) in problem.items.iter().enumerate() {
                if left[i] > 0 && bar.takes[i] && item.length <= room {
                    let n = left[i].min(room / item.length.max(1));
                    counts.push((i, n));
                    room -= n * item.length;
                }
            }
            problem.mend(b, &mut counts);
            if counts.is_empty() {
                continue;
            }
            let room = bar.capacity - counts.iter().map(|&(i, n)| problem.items[i].length * n).sum::<u64>();
            let rate = bar.cost as f64 / (bar.capacity - room) as f64;
            let mut copies = counts.iter().map(|&(i, n)| left[i] / n).min().unwrap_or(1);
            if let Some(n) = supply[b] {
                copies = copies.min(n);
            }
            if best.as_ref().is_none_or(|(r, _, _)| rate < *r) {
                best = Some((rate, Pattern { bar: b, counts }, copies));
            }
        }
        let Some((_, pattern, copies)) = best else { break };
        for &(i, n) in &pattern.counts {
            left[i] -= n * copies;
        }
        if let Some(n) = &mut supply[pattern.bar] {
            *n -= copies;
        }
        used.push((pattern, copies));
    }
    Packing { used, left }
}
