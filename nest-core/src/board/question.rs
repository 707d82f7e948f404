//! From a group of boards to whole numbers: items, bars, and which parts an item stands for.

use super::problem::{Bar, Item, Problem, Range};
use crate::model::{CheckedBatch, Group, Placing, UsableStock};
use crate::units::{Length, gcd};
use std::collections::BTreeMap;

/// A problem with the way back to the batch.
pub(super) struct Question {
    pub problem: Problem,
    /// For each item, the parts it stands for and how many of each.
    pub parts: Vec<Vec<(usize, u64)>>,
    /// For each bar, the stock it stands for.
    pub stock: Vec<usize>,
    /// Optional parts: placed only where they cost nothing.
    pub optional: Vec<usize>,
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

/// The group as whole numbers, the required parts alone or `all` of them. One kerf holds for all its stock: a group in which kerfs differ is a problem of areas.
pub(super) fn pose(batch: &CheckedBatch, group: &Group, all: bool) -> Question {
    let kerf = group.stock.first().map_or(Length::ZERO, |&s| batch.stock()[s].kerf);
    // What makes two parts the same item: length, the stock they may come from, the width to which any of it is ripped,
    // and whether they are optional.
    type Key = (std::cmp::Reverse<i64>, Vec<bool>, Option<Length>, bool);
    let mut items: BTreeMap<Key, Vec<(usize, u64)>> = BTreeMap::new();
    let mut optional = Vec::new();
    for &p in &group.parts {
        let qty = u64::from(batch.batch().parts[p].qty);
        if qty == 0 {
            continue;
        }
        let spare = batch.batch().parts[p].optional;
        if spare {
            optional.push(p);
            if !all {
                continue;
            }
        }
        let from = &batch.parts()[p].from;
        let Some(first) = from.first() else { continue };
        let (length, width, _) = lies(batch, p, first);
        let takes: Vec<bool> = group.stock.iter().map(|s| from.iter().any(|f| f.stock == *s)).collect();
        let stock = group.stock.iter().zip(&takes).filter(|&(_, &takes)| takes);
        let strip = width.filter(|&w| stock.into_iter().any(|(&s, _)| is_ripped(&batch.stock()[s], w)));
        items
            .entry((std::cmp::Reverse((length + kerf).ticks()), takes, strip, spare))
            .or_default()
            .push((p, qty));
    }
    let mut grid = 0;
    let mut widths: Vec<Length> = Vec::new();
    for (length, _, strip, _) in items.keys() {
        grid = gcd(grid, length.0.unsigned_abs());
        widths.extend(strip);
    }
    let grid = grid.max(1);
    widths.sort_unstable();
    widths.dedup();
    let shortest = (batch.batch().shop.boards.shortest_rip + kerf).ticks().unsigned_abs();
    let mut problem = Problem { grid, shortest, ..Problem::default() };
    let mut parts = Vec::new();
    for ((length, ..), of) in &items {
        let demand = of.iter().map(|&(_, n)| n).sum();
        problem.items.push(Item { length: length.0.unsigned_abs() / grid, demand });
        parts.push(of.clone());
    }
    let costs = whole_costs(batch, group);
    for (b, &s) in group.stock.iter().enumerate() {
        let stock = &batch.stock()[s];
        let room = (stock.usable()[0] + kerf).ticks().max(0).unsigned_abs();
        let width = |strip: &Length| widths.binary_search(strip).ok().filter(|_| is_ripped(stock, *strip));
        let mut ripped: Vec<Option<usize>> = items
            .keys()
            .map(|(_, takes, strip, _)| strip.as_ref().filter(|_| takes[b]).and_then(width))
            .collect();
        if !ripped.iter().enumerate().any(|(item, width)| width.is_some() && problem.is_short(item)) {
            ripped.clear();
        }
        problem.bars.push(Bar {
            capacity: room / grid,
            room,
            cost: costs[b],
            range: Range { least: 0, most: stock.qty.map(u64::from) },
            takes: items.keys().map(|(_, takes, ..)| takes[b]).collect(),
            ripped,
        });
    }
    Question { problem, parts, stock: group.stock.clone(), optional }
}

/// Whether a part of a width is ripped from a board, and not as wide as that. Sheets are ripped whatever their length.
fn is_ripped(stock: &UsableStock, width: Length) -> bool {
    let whole = stock.usable()[1];
    stock.board && whole.is_positive() && width < whole
}

/// Costs divided by their common divisor. Where even then a sum over all pieces could overflow, the last bits are
/// given up: the search then sees costs that are a trifle off, the plan and its proof never do.
fn whole_costs(batch: &CheckedBatch, group: &Group) -> Vec<u64> {
    let costs: Vec<u128> = group.stock.iter().map(|&s| batch.stock()[s].cost.unsigned_abs()).collect();
    let mut divisor = costs.iter().fold(0_u128, |g, &c| gcd(g, c)).max(1);
    let pieces: u128 = group.parts.iter().map(|&p| u128::from(batch.batch().parts[p].qty)).sum();
    while costs.iter().any(|c| (c / divisor).saturating_mul(pieces + 1) > 1 << 62) {
        divisor *= 2;
    }
    costs.iter().map(|c| u64::try_from(c.div_ceil(divisor)).unwrap_or(u64::MAX)).collect()
}
