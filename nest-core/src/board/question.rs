//! From a group of boards to whole numbers: items, bars, and which parts an item stands for.

use super::problem::{Bar, Item, Problem, Range, Strips};
use crate::model::{CheckedBatch, Group, Placing};
use crate::units::{Length, gcd};
use std::collections::BTreeMap;

/// A problem with the way back to the batch.
pub(super) struct Question {
    pub problem: Problem,
    /// For each item, the parts it stands for and how many of each.
    pub parts: Vec<Vec<(usize, u64)>>,
    /// For each bar, the stock it stands for.
    pub stock: Vec<usize>,
    /// Optional parts with their quantities: placed only where they cost nothing.
    pub optional: Vec<(usize, u64)>,
}

/// How a part lies on a board: its size along and across, `None` for as wide as the board.
pub(super) fn lies(batch: &CheckedBatch, part: usize, placing: &Placing) -> (Length, Option<Length>, bool) {
    let cut = &batch.parts()[part];
    if placing.straight {
        (cut.length, cut.width, false)
    } else {
        (cut.width.unwrap_or(cut.length), Some(cut.length), true)
    }
}

/// The group as whole numbers. Kerfs of a group may differ where boards and sheets stand side by side in it;
/// the widest is then taken everywhere, which is safe.
pub(super) fn pose(batch: &CheckedBatch, group: &Group) -> Question {
    let kerf = group.stock.iter().map(|&s| batch.stock()[s].kerf).max().unwrap_or_default();
    let shortest = batch.batch().shop.boards.shortest_rip;
    // What makes two parts the same item: length, the stock they may come from, and how they are ripped.
    type Key = (std::cmp::Reverse<i64>, Vec<bool>, Option<Length>);
    let mut items: BTreeMap<Key, Vec<(usize, u64)>> = BTreeMap::new();
    let mut optional = Vec::new();
    for &p in &group.parts {
        let qty = u64::from(batch.batch().parts[p].qty);
        if qty == 0 {
            continue;
        }
        if batch.batch().parts[p].optional {
            optional.push((p, qty));
            continue;
        }
        let from = &batch.parts()[p].from;
        let Some(first) = from.first() else { continue };
        let (length, width, _) = lies(batch, p, first);
        let takes: Vec<bool> = group.stock.iter().map(|s| from.iter().any(|f| f.stock == *s)).collect();
        let narrow = width.filter(|&w| {
            group.stock.iter().zip(&takes).any(|(&s, &t)| {
                let usable = batch.stock()[s].usable()[1];
                t && batch.stock()[s].board && usable.is_positive() && w < usable
            })
        });
        let short = narrow.filter(|_| length < shortest);
        let strip = if short.is_some() || narrow.is_some() { narrow } else { None };
        items.entry((std::cmp::Reverse((length + kerf).ticks()), takes, strip)).or_default().push((p, qty));
    }
    let mut grid = 0;
    for (length, _, _) in items.keys() {
        grid = gcd(grid, length.0.unsigned_abs());
    }
    let grid = grid.max(1);
    let mut problem = Problem::default();
    let mut strips =
        Strips { shortest: (shortest + kerf).ticks().unsigned_abs().div_ceil(grid), ..Strips::default() };
    let mut widths: Vec<Length> = Vec::new();
    let mut parts = Vec::new();
    for ((length, _, strip), of) in &items {
        let demand = of.iter().map(|&(_, n)| n).sum();
        problem.items.push(Item { length: length.0.unsigned_abs() / grid, demand });
        strips.class.push(strip.map(|w| match widths.iter().position(|&x| x == w) {
            Some(class) => class,
            None => {
                widths.push(w);
                widths.len() - 1
            }
        }));
        strips.short.push(strip.is_some() && Length::from_ticks(length.0) - kerf < shortest);
        parts.push(of.clone());
    }
    strips.any = strips.short.iter().any(|&s| s);
    problem.strips = strips;
    let costs = whole_costs(batch, group);
    for (b, &s) in group.stock.iter().enumerate() {
        let stock = &batch.stock()[s];
        let capacity = (stock.usable()[0] + kerf).ticks().max(0).unsigned_abs() / grid;
        problem.bars.push(Bar {
            capacity,
            cost: costs[b],
            range: Range { least: 0, most: stock.qty.map(u64::from) },
            takes: items.keys().map(|(_, takes, _)| takes[b]).collect(),
        });
    }
    Question { problem, parts, stock: group.stock.clone(), optional }
}

/// Costs divided by their common divisor. Where even then a sum over all pieces could overflow, the last bits are
/// given up: the search then sees costs that are a trifle off, the plan and its proof never do.
fn whole_costs(batch: &CheckedBatch, group: &Group) -> Vec<u64> {
    let costs: Vec<u128> = group.stock.iter().map(|&s| batch.stock()[s].cost.unsigned_abs()).collect();
    let mut divisor = costs.iter().fold(0_u128, |g, &c| gcd128(g, c)).max(1);
    let pieces: u128 = group.parts.iter().map(|&p| u128::from(batch.batch().parts[p].qty)).sum();
    while costs.iter().any(|c| (c / divisor).saturating_mul(pieces + 1) > 1 << 62) {
        divisor *= 2;
    }
    costs.iter().map(|c| u64::try_from(c.div_ceil(divisor)).unwrap_or(u64::MAX)).collect()
}

fn gcd128(a: u128, b: u128) -> u128 {
    if b == 0 { a } else { gcd128(b, a % b) }
}
