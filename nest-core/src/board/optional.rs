//! Parts that are made only where they cost nothing: out of what layouts leave over, or of boards that are free.
//!
//! The question is asked twice. First for the required parts alone, so that nothing optional stands in the way of their
//! cost and its proof; then for all, where to do without a part is a bar of its own that takes nothing else. All of
//! these together cost less than the least that two plans for the required parts can differ by, so the cheapest plan
//! is one of the least cost that makes the most.

use super::greedy::Packing;
use super::layouts::{Draft, taken};
use super::problem::{Bar, Pattern, Range};
use super::question::{self, Question};
use crate::model::{CheckedBatch, Group};

/// With more kinds of optional parts than this, what is left over is all they get.
const MOST_KINDS: usize = 1_000;

/// The question for all parts, and the packing of the required ones as an answer to it; `None` where that is too
/// large.
pub(super) fn pose(
    batch: &CheckedBatch,
    group: &Group,
    required: &Question,
    packing: &Packing,
) -> Option<(Question, Packing)> {
    let mut all = question::pose(batch, group, true);
    let is_optional = |parts: &[(usize, u64)]| parts.iter().any(|&(p, _)| batch.batch().parts[p].optional);
    let optional: Vec<usize> = (0..all.parts.len()).filter(|&item| is_optional(&all.parts[item])).collect();
    if optional.len() > MOST_KINDS {
        return None;
    }
    let without: u64 = optional.iter().map(|&item| all.problem.items[item].demand).sum();
    let pieces: u64 = all.problem.items.iter().map(|item| item.demand).sum();
    for bar in &mut all.problem.bars {
        bar.cost = bar.cost.checked_mul(without + 1)?;
        bar.cost.checked_mul(2 * (pieces + 1))?;
    }
    let items = all.problem.items.len();
    let place = |parts: &Vec<(usize, u64)>| all.parts.iter().position(|other| other == parts);
    let item_of: Vec<usize> = required.parts.iter().map(place).collect::<Option<_>>()?;
    let mut known = Packing { used: Vec::new(), left: vec![0; items] };
    for (pattern, copies) in &packing.used {
        let mut counts: Vec<(usize, u64)> =
            pattern.counts.iter().map(|&(item, n)| (item_of[item], n)).collect();
        counts.sort_unstable();
        known.used.push((Pattern { bar: pattern.bar, counts }, *copies));
    }
    for &item in &optional {
        let length = all.problem.items[item].length;
        known.used.push((
            Pattern { bar: all.problem.bars.len(), counts: vec![(item, 1)] },
            all.problem.items[item].demand,
        ));
        all.problem.bars.push(Bar {
            capacity: length,
            room: length * all.problem.grid,
            cost: 1,
            range: Range { least: 0, most: None },
            takes: (0..items).map(|other| other == item).collect(),
            ripped: Vec::new(),
        });
    }
    Some((all, known))
}

/// Puts what is left of the optional parts, the shortest first, where it costs nothing.
pub(super) fn tuck_in(batch: &CheckedBatch, question: &Question, layouts: &mut Vec<Draft>) {
    let mut parts: Vec<usize> = question.optional.clone();
    parts.sort_by_key(|&part| (batch.parts()[part].length, part));
    for part in parts {
        let on = |(_, parts, copies): &Draft| parts.iter().filter(|&&p| p == part).count() as u64 * copies;
        let made: u64 = layouts.iter().map(on).sum();
        let mut qty = u64::from(batch.batch().parts[part].qty).saturating_sub(made);
        beside(batch, question, layouts, part, &mut qty);
        apart(batch, question, layouts, part, &mut qty);
    }
}

/// Into what layouts leave over.
fn beside(batch: &CheckedBatch, question: &Question, layouts: &mut Vec<Draft>, part: usize, qty: &mut u64) {
    let mut l = 0;
    while l < layouts.len() && *qty > 0 {
        let (bar, mut with, copies) = layouts[l].clone();
        with.push(part);
        with.sort_unstable();
        if !fits(batch, question.stock[bar], part, &with) {
            l += 1;
            continue;
        }
        let n = copies.min(*qty);
        *qty -= n;
        if n == copies {
            layouts[l].1 = with;
        } else {
            layouts[l].2 -= n;
            layouts.push((bar, with, n));
        }
    }
}

/// On boards of their own that cost nothing.
fn apart(batch: &CheckedBatch, question: &Question, layouts: &mut Vec<Draft>, part: usize, qty: &mut u64) {
    for (bar, &stock) in
        question.stock.iter().enumerate().filter(|(bar, _)| question.problem.bars[*bar].cost == 0)
    {
        let used: u64 = layouts.iter().filter(|draft| draft.0 == bar).map(|draft| draft.2).sum();
        let mut left = question.problem.bars[bar].range.after(used).most.unwrap_or(u64::MAX);
        while *qty > 0 && left > 0 && fits(batch, stock, part, &[part]) {
            let board = &batch.stock()[stock];
            let each =
                (board.usable()[0] + board.kerf).ticks() / (batch.parts()[part].length + board.kerf).ticks();
            let each = u64::try_from(each).unwrap_or(1).clamp(1, *qty);
            let copies = left.min(*qty / each);
            layouts.push((bar, vec![part; each as usize], copies));
            *qty -= each * copies;
            left -= copies;
        }
    }
}

/// Whether these parts come out of one board, the last of them a part that may.
fn fits(batch: &CheckedBatch, stock: usize, part: usize, parts: &[usize]) -> bool {
    let board = &batch.stock()[stock];
    batch.parts()[part].from.iter().any(|from| from.stock == stock)
        && taken(batch, stock, parts.iter().copied()) <= board.usable()[0] + board.kerf
}
