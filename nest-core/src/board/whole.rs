//! The integer master over the patterns seen: a recombination that no dive need have come across.

use super::columns::{Generator, Prices, SCALE};
use super::greedy::Packing;
use super::problem::{Pattern, Problem};
use crate::lp::Covering;

/// More rows than this are too many for branch and bound.
const MOST_ROWS: usize = 120;
/// Columns a row.
const WIDTH: usize = 5;

/// Looks for a cheaper packing among the patterns whose reduced cost is least. Returns it with the work done.
pub(super) fn recombine(
    problem: &Problem,
    generator: &Generator<'_>,
    prices: &Prices,
    best: &(u64, Packing),
    nodes: u64,
) -> (Option<(u64, Packing)>, u64) {
    let rows = problem.items.len() + problem.bars.iter().filter(|b| b.range.most.is_some()).count();
    if rows > MOST_ROWS {
        return (None, 0);
    }
    let dearest = problem.bars.iter().map(|b| b.cost).max().unwrap_or(1).max(1) as f64;
    let reduced = |p: &Pattern| {
        let worth: i64 = p.counts.iter().map(|&(i, n)| prices.item[i] * n as i64).sum();
        problem.bars[p.bar].cost as f64 / dearest - worth as f64 / SCALE
    };
    let mut columns: Vec<&Pattern> = generator.patterns.iter().collect();
    columns.sort_by(|a, b| reduced(a).total_cmp(&reduced(b)).then_with(|| a.cmp(b)));
    columns.truncate(rows * WIDTH);
    for (pattern, _) in &best.1.used {
        if !columns.contains(&pattern) {
            columns.push(pattern);
        }
    }
    let start: Vec<u32> = columns
        .iter()
        .map(|c| best.1.used.iter().filter(|(p, _)| p == *c).map(|(_, n)| *n as u32).sum())
        .collect();
    let most = columns
        .iter()
        .zip(&start)
        .map(|(p, &s)| {
            let need = p.counts.iter().map(|&(i, n)| problem.items[i].demand.div_ceil(n)).max().unwrap_or(0);
            (need as u32).max(s)
        })
        .collect();
    let mut covering = Covering {
        costs: columns.iter().map(|p| problem.bars[p.bar].cost as f64 / dearest).collect(),
        most,
        rows: Vec::new(),
    };
    for (i, item) in problem.items.iter().enumerate() {
        let entries = columns
            .iter()
            .enumerate()
            .filter_map(|(c, p)| p.counts.iter().find(|&&(j, _)| j == i).map(|&(_, n)| (c, n as i64)))
            .collect();
        covering.rows.push((entries, item.demand as i64));
    }
    for (b, bar) in problem.bars.iter().enumerate() {
        if let Some(most) = bar.range.most {
            let entries =
                columns.iter().enumerate().filter(|(_, p)| p.bar == b).map(|(c, _)| (c, -1)).collect();
            covering.rows.push((entries, -(most as i64)));
        }
    }
    let (counts, used) = covering.improve(&start, nodes, || generator.meter.over(generator.work()).is_some());
    let work = used * (rows * columns.len()) as u64 * 10;
    let Some(counts) = counts else { return (None, work) };
    let packing = trim(
        problem,
        columns.iter().zip(&counts).filter(|(_, n)| **n > 0).map(|(p, &n)| ((*p).clone(), u64::from(n))),
    );
    let cost = packing.cost(problem);
    ((cost < best.0).then_some((cost, packing)), work)
}

/// Takes out what is made beyond the demand: patterns of a cover may make too much.
pub(super) fn trim(problem: &Problem, used: impl Iterator<Item = (Pattern, u64)>) -> Packing {
    let mut left = problem.demand();
    let mut packing = Packing { used: Vec::new(), left: Vec::new() };
    for (pattern, mut copies) in used {
        while copies > 0 {
            let fits = pattern.counts.iter().map(|&(i, n)| left[i] / n).min().unwrap_or(0).min(copies);
            let (counts, n) = if fits > 0 {
                (pattern.counts.clone(), fits)
            } else {
                (pattern.counts.iter().map(|&(i, n)| (i, n.min(left[i]))).filter(|c| c.1 > 0).collect(), 1)
            };
            copies -= n;
            if counts.is_empty() {
                continue;
            }
            for &(i, c) in &counts {
                left[i] -= c * n;
            }
            packing.used.push((Pattern { bar: pattern.bar, counts }, n));
        }
    }
    packing.left = left;
    packing
}
