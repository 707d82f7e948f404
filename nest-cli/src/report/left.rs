//! What is left: offcuts worth keeping, parts that could not be made, and what stock would complete the plan.

use super::Source;
use super::factory;
use super::names;
use super::rack::{self, RackRow, said};
use super::words::{Words, count};
use crate::clean::clean;
use nest_core::model::{FirstCut, Stock, UsableStock};
use nest_core::rest::Origin;
use nest_core::units::Length;
use std::cmp::Reverse;
use std::collections::BTreeMap;

/// Offcuts of one stock and size.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// Index of the stock they come from.
    pub stock: usize,
    /// Name of that stock, without what became of it before.
    pub from: String,
    /// How many.
    pub qty: u64,
    /// Exact size along and across; zero across where they are as wide as their board.
    pub size: [Length; 2],
    /// The same as text.
    pub size_text: String,
    /// Factory edges that are still on: `factory right end`.
    pub edges: Option<&'static str>,
    /// How large it comes off the saw with them.
    pub with_edges: Option<String>,
    /// Its exact width; `None` where it does not matter.
    pub width: Option<Length>,
    /// Numbers of the layouts that leave it.
    pub layouts: Vec<String>,
    /// How it is written down as stock.
    pub rack: RackRow,
}

/// A part that is not made as often as was asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Missing {
    /// Row of the part in the list, from 1.
    pub number: usize,
    /// Its name.
    pub name: String,
    /// Its job; empty for none.
    pub job: String,
    /// Its finished size, as it was asked for.
    pub size: String,
    /// How many are missing.
    pub qty: u32,
    /// How many were asked for.
    pub asked: u32,
}

/// Whether some come off the saw with a factory edge.
pub fn edges_on(kept: &[Kept]) -> bool {
    kept.iter().any(|offcut| offcut.edges.is_some())
}

pub(super) fn kept(source: &Source<'_>, words: &Words) -> Vec<Kept> {
    let batch = source.batch;
    // By stock and size, usable and as sawn, the largest first: how many, and the numbers of their layouts.
    type Key = (usize, Reverse<[[Length; 2]; 2]>);
    let mut found: BTreeMap<Key, (u64, Vec<String>)> = BTreeMap::new();
    for (number, layout) in (1..).zip(&source.solution.plan.layouts) {
        let stock = &batch.stock()[layout.stock];
        for place in layout.offcuts(stock) {
            let sizes = [place.node.size, place.with_edges()];
            let (qty, layouts) = found.entry((layout.stock, Reverse(sizes))).or_default();
            *qty += u64::from(layout.copies);
            let number = format!("{number}");
            if layouts.last() != Some(&number) {
                layouts.push(number);
            }
        }
    }
    let entry = |((index, Reverse([usable, sawn])), (qty, layouts)): (Key, (u64, Vec<String>))| {
        // What its stock was cut from before, and what edges that had, would be read as said of this.
        let asked = &batch.batch().stock[index];
        let base = Origin::of(batch, index).map_or(asked.name.as_str(), |origin| origin.base());
        let from = names::of_stock(&Stock { name: base.to_owned(), ..asked.clone() });
        let stock = &batch.stock()[index];
        let width = Some(usable[1]).filter(|w| w.is_positive());
        let edges = factory::edges(usable, sawn);
        let with_edges = factory::with_edges(said(stock, usable), said(stock, sawn), words);
        let size = if usable[1] == stock.size[1] { [usable[0], Length::ZERO] } else { usable };
        let rack = rack::of_offcut(source, index, [usable, sawn], words);
        let size_text = words.size(said(stock, usable));
        Kept { stock: index, from, qty, size, size_text, edges, with_edges, width, layouts, rack }
    };
    found.into_iter().map(entry).collect()
}

/// Parts that are not made: those that had to be, or those that are `optional`.
pub(super) fn missing(source: &Source<'_>, words: &Words, optional: bool) -> Vec<Missing> {
    let batch = source.batch;
    let wanted = |&&(index, _): &&(usize, u32)| batch.batch().parts[index].optional == optional;
    let entry = |&(index, qty): &(usize, u32)| {
        let part = &batch.batch().parts[index];
        Missing {
            number: index + 1,
            name: clean(&part.name),
            job: clean(&part.job),
            size: super::labels::finished(part, words),
            qty,
            asked: part.qty,
        }
    };
    source.solution.plan.unplaced.iter().filter(wanted).map(entry).collect()
}

/// For each material with parts left over: what is known about it, and how much more of which stock would do.
pub(super) fn completing(source: &Source<'_>, words: &Words) -> Vec<String> {
    let batch = source.batch;
    let mut sentences = Vec::new();
    for (index, group) in batch.groups().iter().enumerate() {
        let left: Vec<(usize, u32)> = (source.solution.plan.unplaced.iter().copied())
            .filter(|&(part, _)| {
                batch.parts()[part].group == Some(index) && !batch.batch().parts[part].optional
            })
            .collect();
        if left.is_empty() {
            continue;
        }
        let sheets = group.stock.iter().any(|&stock| !batch.stock()[stock].board);
        let known = match (source.solution.groups.get(index), batch.batch().shop.sheets.fence_reach) {
            (Some(outcome), _) if outcome.impossible => {
                "proven: the stock there is cannot yield all of it".to_owned()
            }
            (_, Some(reach)) if sheets => format!(
                "no way was found to make all of it from the stock there is, with a fence that reaches {}",
                words.kerf(reach)
            ),
            _ => "no way was found to make all of it from the stock there is".to_owned(),
        };
        // Of what is owned nobody can get more.
        let best = (group.stock.iter().copied())
            .filter(|&stock| !batch.stock()[stock].on_hand)
            .filter_map(|stock| Some((needed(source, &left, stock)?, stock)))
            .min_by_key(|&(qty, stock)| {
                let entry = &batch.stock()[stock];
                let all = |each: i128| each.saturating_mul(qty.into());
                (all(entry.cost), all(extent(entry)), stock)
            });
        let more = best.map_or(String::new(), |(qty, stock)| {
            let (entry, asked) = (&batch.stock()[stock], &batch.batch().stock[stock]);
            let more = count(u128::from(qty), "more piece");
            format!(
                "; {more} of {} ({}) would complete it",
                names::of_stock(asked),
                words.stock(entry, asked)
            )
        });
        sentences.push(format!("{}: {known}{more}", names::of_group(batch.batch(), group)));
    }
    sentences
}

fn extent(stock: &UsableStock) -> i128 {
    i128::from(stock.size[0].ticks()) * i128::from(stock.size[1].ticks().max(1))
}

/// How many pieces of one stock hold all of these, filled one after the other, the longest first: enough for
/// certain, since it is a way to cut them. `None` where one of them may not come from it, where the saw does not make
/// these crosscuts, or where parts are to be cut as one strip.
fn needed(source: &Source<'_>, left: &[(usize, u32)], stock: usize) -> Option<u64> {
    let batch = source.batch;
    let entry = &batch.stock()[stock];
    let sheets = &batch.batch().shop.sheets;
    let crosscut = sheets.first_cut != FirstCut::Rip
        && sheets.longest_crosscut.is_none_or(|longest| entry.size[1] <= longest);
    let matched = |part| batch.strips().iter().any(|strip| strip.parts.contains(&part));
    if !entry.board && !crosscut || left.iter().any(|&(part, _)| matched(part)) {
        return None;
    }
    let usable = entry.usable()[0].ticks() + entry.kerf.ticks();
    let mut pieces = Vec::new();
    for &(part, qty) in left {
        let cut = &batch.parts()[part];
        let whole_width = cut.width.is_none_or(|w| w == entry.size[1]);
        if !whole_width || cut.from.iter().all(|p| p.stock != stock || !p.straight) {
            return None;
        }
        pieces.push((cut.length.ticks() + entry.kerf.ticks(), u64::from(qty)));
    }
    pieces.sort_unstable_by_key(|&(length, _)| Reverse(length));
    // Next fit over runs of equal pieces: the time depends on the number of sizes, not of pieces.
    let (mut boards, mut room) = (0_u64, 0_i64);
    for (length, mut qty) in pieces {
        let here = u64::try_from(room / length).ok()?.min(qty);
        room -= length * i64::try_from(here).ok()?;
        qty -= here;
        if qty > 0 {
            let each = u64::try_from(usable / length).ok().filter(|&n| n > 0)?;
            let more = qty.div_ceil(each);
            boards += more;
            let last = qty - (more - 1) * each;
            room = usable - length * i64::try_from(last).ok()?;
        }
    }
    Some(boards)
}
