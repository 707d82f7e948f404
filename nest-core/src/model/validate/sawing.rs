//! Can the saws free a part from its stock at all, whatever else lies beside it?
//!
//! A piece is freed by cuts along both axes, and two cuts will do: a first one through the whole sheet along one axis,
//! then one through the strip that is left, as short as the piece lets it be. More cuts never shorten the first nor
//! the last, so a piece that two cuts cannot free is never freed. Strips of matched grain are chained by cuts of the
//! second kind, or take a third stage. What the fence does not reach from one side it reaches from the other once enough
//! of the sheet is ripped away, in at most [`MOST_RIPPED_OFF`] strips; where nothing but dust lies there, the edge is
//! squared off along a line.

use std::collections::BTreeMap;

use super::super::fold::fold;
use super::super::problem::{Findings, ProblemKind, part as place};
use super::super::{Batch, CutPart, FirstCut, MOST_RIPPED_OFF, Placing, Shop, Stages, UsableStock};
use super::remedy::Remedy;
use super::resolve;
use crate::units::Length;

/// What is to be freed.
#[derive(Clone, Copy, Debug)]
pub struct Blank {
    /// Size along the length of the stock, and across.
    pub size: [Length; 2],
    /// The axis along which the pieces of a strip share it.
    pub chain: Option<usize>,
    /// How far the fence has to reach to rip the pieces of a strip from each other.
    pub link: Length,
    /// The widest that comes off a rip: of a strip that rips part, its widest piece.
    pub widest: Length,
}

/// What the shop allows on one kind of stock.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    pub(super) first: FirstCut,
    pub(super) third_stage: bool,
    /// Longest cut that divides axis 0 (a crosscut), and axis 1 (a rip).
    pub(super) longest: [Option<Length>; 2],
    pub(super) reach: Option<Length>,
    shortest_rip: Length,
}

impl Limits {
    /// Those of a stock.
    pub fn of(shop: &Shop, stock: &UsableStock) -> Self {
        let sheets = &shop.sheets;
        if stock.board {
            return Self {
                first: FirstCut::Either,
                third_stage: true,
                longest: [None; 2],
                reach: None,
                shortest_rip: shop.boards.shortest_rip,
            };
        }
        Self {
            first: sheets.first_cut,
            third_stage: sheets.stages != Stages::Limited(2),
            longest: [sheets.longest_crosscut, sheets.longest_rip],
            reach: sheets.fence_reach,
            shortest_rip: Length::ZERO,
        }
    }

    /// Whether some cuts free the blank, which fits.
    pub fn free(&self, stock: &UsableStock, blank: Blank) -> bool {
        let (clean, size) = (stock.usable(), blank.size);
        // Boards without a width are never ripped.
        let cut = [0, 1].map(|axis| clean[axis].is_positive() && size[axis] < clean[axis]);
        let first = |axis: usize| match self.first {
            FirstCut::Either => true,
            FirstCut::Rip => axis == 1,
            FirstCut::Crosscut => axis == 0,
        };
        // A cut that divides an axis is as long as the other one.
        let able = |axis: usize, long: Length| {
            self.longest[axis].is_none_or(|most| long <= most) && (axis == 0 || long >= self.shortest_rip)
        };
        // Where cuts of one direction will do, it does not matter which was to come first.
        let alone = |axis: usize| able(axis, clean[1 - axis]);
        let through = |axis: usize| first(axis) && alone(axis);
        let within = |axis: usize| able(axis, size[1 - axis]);
        let beyond = |reach: Length| {
            let spare = i64::from(MOST_RIPPED_OFF).saturating_mul((reach + stock.kerf).ticks());
            blank.link > reach || blank.widest > reach && (clean[1] - size[1]).ticks() > spare
        };
        if self.reach.is_some_and(beyond) {
            return false;
        }
        match (cut, blank.chain) {
            (_, Some(chain)) => {
                let other = 1 - chain;
                let chained = if cut[other] { through(other) && within(chain) } else { alone(chain) };
                let third = self.third_stage && cut[chain] && through(chain) && within(other);
                chained || cut[other] && third && within(chain)
            }
            ([false, false], None) => true,
            ([true, false], None) => alone(0),
            ([false, true], None) => alone(1),
            ([true, true], None) => through(1) && within(0) || through(0) && within(1),
        }
    }
}

/// Takes away the ways to lie from which no cuts free a part, so that no floor counts on them. Reports parts that have no
/// other: those of one material that the same settings forbid as one problem, at the first.
pub fn look(batch: &Batch, parts: &mut [CutPart], stock: &[Option<UsableStock>], found: &mut Findings) {
    type Key = (String, Vec<&'static str>);
    let mut gathered: BTreeMap<Key, (Vec<usize>, Remedy)> = BTreeMap::new();
    // A larger sheet, or another saw, is not always one that frees more.
    let saws = found.sure_of_saws();
    let free = |(usable, blank): &(&UsableStock, Blank)| Limits::of(&batch.shop, usable).free(usable, *blank);
    for (row, part) in parts.iter_mut().enumerate() {
        let sure = part.from.iter().all(|placing| resolve::is_sure(placing.stock, found));
        let ways: Vec<_> = part.from.iter().flat_map(|placing| ways(part, placing, stock)).collect();
        if !saws || !sure || ways.is_empty() || ways.iter().all(free) {
            continue;
        }
        if ways.iter().any(free) {
            part.from = (part.from.iter())
                .filter_map(|placing| {
                    let frees = |turned| way(part, placing, stock, turned).as_ref().is_some_and(free);
                    let (straight, turned) = (frees(false), frees(true));
                    (straight || turned).then_some(Placing { stock: placing.stock, straight, turned })
                })
                .collect();
            continue;
        }
        let remedy = Remedy::of(&batch.shop, &ways);
        let key = (fold(&batch.parts[row].material), remedy.settings());
        match gathered.get_mut(&key) {
            Some((rows, all)) => {
                rows.push(row);
                all.suit(&remedy);
            }
            None => {
                gathered.insert(key, (vec![row], remedy));
            }
        }
    }
    for (rows, remedy) in gathered.into_values() {
        let first = rows[0];
        let what = frees(batch, parts, &rows);
        let material = &batch.parts[first].material;
        let message = format!("no cut that the saw can make frees {what} from any stock of {material}");
        found.add(place(first, "length"), ProblemKind::Saw, message).hint(remedy.text(&batch.shop));
    }
}

/// The ways in which a part may lie on a stock.
fn ways<'a>(
    part: &CutPart,
    placing: &Placing,
    stock: &'a [Option<UsableStock>],
) -> impl Iterator<Item = (&'a UsableStock, Blank)> + use<'a> {
    [false, true].map(|turned| way(part, placing, stock, turned)).into_iter().flatten()
}

/// One of them, if the part may lie so.
fn way<'a>(
    part: &CutPart,
    placing: &Placing,
    stock: &'a [Option<UsableStock>],
    turned: bool,
) -> Option<(&'a UsableStock, Blank)> {
    let may = if turned { placing.turned } else { placing.straight };
    let usable = stock.get(placing.stock).and_then(Option::as_ref).filter(|_| may)?;
    let mut size = [part.length, part.width.unwrap_or(usable.usable()[1])];
    if turned {
        size.reverse();
    }
    Some((usable, Blank { size, chain: None, link: Length::ZERO, widest: size[1] }))
}

/// One part by its size, several by names and sizes of the first and their count.
fn frees(batch: &Batch, parts: &[CutPart], rows: &[usize]) -> String {
    const NAMED: usize = 3;
    let show = |length| batch.shop.style.exact(length);
    let size = |row: usize| match parts[row].width {
        Some(width) => format!("{} x {}", show(parts[row].length), show(width)),
        None => show(parts[row].length),
    };
    if let [row] = rows {
        return size(*row);
    }
    let named: Vec<String> =
        rows.iter().take(NAMED).map(|&row| format!("{} ({})", batch.parts[row].name, size(row))).collect();
    let more = match rows.len().saturating_sub(NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    format!("{} parts: {}{more},", rows.len(), named.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// What may follow the cuts that are made: anything, or, where they began the wrong way, more of the same.
    #[derive(Clone, Copy, PartialEq)]
    enum Course {
        None,
        Free,
        Only(usize),
    }

    /// Whether some course of cuts at whole steps, kerf 0, leaves the piece alone: every cut tried.
    fn plain(limits: &Limits, on_saw: [i64; 2], piece: [i64; 2], course: Course) -> bool {
        if on_saw == piece {
            return true;
        }
        [0, 1].into_iter().any(|axis| {
            let first = match limits.first {
                FirstCut::Either => true,
                FirstCut::Rip => axis == 1,
                FirstCut::Crosscut => axis == 0,
            };
            let long = Length::from_ticks(on_saw[1 - axis]);
            let next = match course {
                Course::None if first => Course::Free,
                Course::None => Course::Only(axis),
                course => course,
            };
            let able = limits.longest[axis].is_none_or(|most| long <= most)
                && (axis == 0 || long >= limits.shortest_rip)
                && [Course::Free, Course::Only(axis)].contains(&next);
            able && (piece[axis]..on_saw[axis]).any(|left| {
                let off = on_saw[axis] - left;
                let reached = |reach: Length| axis == 0 || left.min(off) <= reach.ticks();
                let mut rest = on_saw;
                rest[axis] = left;
                limits.reach.is_none_or(reached) && plain(limits, rest, piece, next)
            })
        })
    }

    proptest! {
        #[test]
        fn trying_every_cut_frees_the_same(
            sheet in (1_i64..7, 1_i64..7),
            piece in (1_i64..7, 1_i64..7),
            first in prop_oneof![Just(FirstCut::Either), Just(FirstCut::Rip), Just(FirstCut::Crosscut)],
            longest in proptest::array::uniform2(proptest::option::of(1_i64..7)),
            reach in proptest::option::of(1_i64..7),
            shortest in proptest::option::weighted(0.3, 0_i64..7),
        ) {
            let sheet = [sheet.0, sheet.1];
            let piece = [piece.0.min(sheet[0]), piece.1.min(sheet[1])];
            let sheets = Limits {
                first,
                third_stage: false,
                longest: longest.map(|most| most.map(Length::from_ticks)),
                reach: reach.map(Length::from_ticks),
                shortest_rip: Length::ZERO,
            };
            let boards = |shortest| Limits {
                first: FirstCut::Either,
                longest: [None; 2],
                reach: None,
                shortest_rip: Length::from_ticks(shortest),
                ..sheets
            };
            let limits = shortest.map_or(sheets, boards);
            let stock = UsableStock {
                cost: 0,
                each: None,
                kerf: Length::ZERO,
                trim: [Length::ZERO; 4],
                reach: None,
                longest: [None; 2],
                qty: None,
                size: sheet.map(Length::from_ticks),
                board: false,
                on_hand: false,
                thickness: None,
            };
            let size = piece.map(Length::from_ticks);
            let blank = Blank { size, chain: None, link: Length::ZERO, widest: size[1] };
            prop_assert_eq!(limits.free(&stock, blank), plain(&limits, sheet, piece, Course::None));
        }
    }
}
