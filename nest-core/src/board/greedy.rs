//! The plan that always answers: first fit and best fit decreasing, and filling bar after bar.

use super::blanks;
use super::knapsack::{Counts, Offer, Table};
use super::problem::{Pattern, Problem, Range};

/// Largest table.
pub(super) const MOST_CELLS: u64 = 20_000_000;

/// A whole answer in patterns: (pattern, copies), and what is left over of the demand.
#[derive(Clone, Debug, Default)]
pub(super) struct Packing {
    pub used: Vec<(Pattern, u64)>,
    pub left: Vec<u64>,
}

impl Packing {
    pub fn cost(&self, problem: &Problem) -> u64 {
        self.used.iter().map(|(p, n)| problem.bars[p.bar].cost * n).sum()
    }

    /// What comes first: the length that is not made, the pieces not made, the cost.
    pub fn worth(&self, problem: &Problem) -> (u64, u64, u64) {
        let missing = self.left.iter().zip(&problem.items).map(|(&n, i)| n * i.length).sum();
        (missing, self.left.iter().sum(), self.cost(problem))
    }
}

/// Fills bars one after the other, longest item first into the room that is left; for each bar the kind whose
/// filling costs least a unit of length. Copies a filling as often as demand and supply allow.
pub(super) fn fill_down(problem: &Problem, demand: &[u64], ranges: &[Range]) -> Packing {
    let mut left = demand.to_vec();
    let mut ranges = ranges.to_vec();
    let mut used: Vec<(Pattern, u64)> = Vec::new();
    while left.iter().any(|&d| d > 0) {
        let mut best: Option<(f64, Pattern, u64)> = None;
        for (b, bar) in problem.bars.iter().enumerate() {
            if ranges[b].is_spent() {
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
            if let Some(n) = ranges[b].most {
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
        ranges[pattern.bar] = ranges[pattern.bar].after(copies);
        used.push((pattern, copies));
    }
    Packing { used, left }
}

/// Fills bar after bar as full as can be: for each kind the fullest filling there is, and of the kinds the one whose
/// filling costs least a unit of length. Better than [`fill_down`] where little is left over, and slower: a table
/// of reachable lengths for each different filling. Stops early, with what it has, when `cells` are used up.
pub(super) fn fill_up(problem: &Problem, demand: &[u64], ranges: &[Range], mut cells: u64) -> Packing {
    let mut left = demand.to_vec();
    let mut ranges = ranges.to_vec();
    let mut used: Vec<(Pattern, u64)> = Vec::new();
    let mut table = Table::default();
    while left.iter().any(|&d| d > 0) {
        let mut best: Option<(f64, Pattern, u64)> = None;
        for (b, bar) in problem.bars.iter().enumerate().filter(|&(b, _)| !ranges[b].is_spent()) {
            let offers: Vec<Offer> = (0..left.len())
                .filter(|&i| left[i] > 0 && bar.takes[i] && problem.items[i].length <= bar.capacity)
                .map(|i| {
                    let length = problem.items[i].length;
                    Offer {
                        item: i,
                        length,
                        price: length as i64,
                        copies: left[i].min(bar.capacity / length.max(1)),
                    }
                })
                .collect();
            let needed = Table::cells_needed(&offers, bar.capacity);
            if needed > cells.min(MOST_CELLS) {
                return Packing { used, left };
            }
            cells -= needed;
            table.fill(&offers, bar.capacity);
            let mut counts = table.pattern(bar.capacity);
            counts.sort_unstable();
            problem.mend(b, &mut counts);
            let filled =
                |counts: &Counts| counts.iter().map(|&(i, n)| problem.items[i].length * n).sum::<u64>();
            let (others, more) = blanks::fillings(problem, b, &offers, cells.min(MOST_CELLS));
            cells = cells.saturating_sub(more);
            let fullest = others.into_iter().chain([counts]).max_by_key(filled);
            let Some(counts) = fullest.filter(|counts| !counts.is_empty()) else { continue };
            let filled = filled(&counts);
            let rate = bar.cost as f64 / filled as f64;
            let copies = counts.iter().map(|&(i, n)| left[i] / n).min().unwrap_or(1);
            let copies = ranges[b].most.map_or(copies, |n| copies.min(n));
            if best.as_ref().is_none_or(|(r, _, _)| rate < *r) {
                best = Some((rate, Pattern { bar: b, counts }, copies));
            }
        }
        let Some((_, pattern, copies)) = best else { break };
        for &(i, n) in &pattern.counts {
            left[i] -= n * copies;
        }
        ranges[pattern.bar] = ranges[pattern.bar].after(copies);
        used.push((pattern, copies));
    }
    Packing { used, left }
}
