//! From patterns to layouts: which parts an item of a pattern is, and the tree of cuts that frees them.

use super::greedy::Packing;
use super::optional;
use super::problem::Pattern;
use super::question::{Question, lies};
use crate::model::CheckedBatch;
use crate::plan::{Kind, Layout, Node, Way, leftover};
use crate::units::Length;
use std::collections::{BTreeMap, VecDeque};

/// One piece of a layout before it has a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Piece {
    /// Its width where it is ripped; blanks of one width lie together.
    strip: Option<Length>,
    /// Longest first.
    length: std::cmp::Reverse<Length>,
    part: usize,
    turned: bool,
}

/// A layout before it is drawn: bar, parts, copies.
pub(super) type Draft = (usize, Vec<usize>, u64);

/// Layouts for a packing; identical bars are one layout with a count. Parts are handed out in the order of
/// the batch, so that few bars differ.
pub(super) fn lay_out(batch: &CheckedBatch, question: &Question, packing: &Packing) -> Vec<Layout> {
    let mut hand: Vec<VecDeque<(usize, u64)>> =
        question.parts.iter().map(|p| p.iter().copied().collect()).collect();
    let mut layouts: Vec<Draft> = Vec::new();
    let mut known: BTreeMap<(usize, Vec<usize>), usize> = BTreeMap::new();
    // Bars beyond the stock hold what is not made.
    for (pattern, copies) in packing.used.iter().filter(|(pattern, _)| pattern.bar < question.stock.len()) {
        let mut left = *copies;
        while left > 0 {
            let (parts, repeat) = draw(&mut hand, pattern, left);
            left -= repeat;
            match known.get(&(pattern.bar, parts.clone())) {
                Some(&l) => layouts[l].2 += repeat,
                None => {
                    known.insert((pattern.bar, parts.clone()), layouts.len());
                    layouts.push((pattern.bar, parts, repeat));
                }
            }
        }
    }
    optional::tuck_in(batch, question, &mut layouts);
    layouts
        .into_iter()
        .map(|(bar, parts, copies)| {
            layout(batch, question.stock[bar], &parts, u32::try_from(copies).unwrap_or(u32::MAX))
        })
        .collect()
}

/// The length that parts take of a board, each with a kerf: strips of one width that are too short to be ripped alone
/// share a blank, which is not shorter than what may be ripped.
pub(super) fn taken(batch: &CheckedBatch, stock: usize, parts: impl Iterator<Item = usize>) -> Length {
    let board = &batch.stock()[stock];
    let shortest = if board.board { batch.batch().shop.boards.shortest_rip } else { Length::ZERO };
    let mut widths: BTreeMap<Option<Length>, (Length, bool)> = BTreeMap::new();
    for part in parts {
        let Some(placing) = batch.parts()[part].from.iter().find(|f| f.stock == stock) else { continue };
        let (long, width, _) = lies(batch, part, placing);
        let strip = width.filter(|&w| w < board.usable()[1]);
        let (sum, short) = widths.entry(strip).or_default();
        *sum = *sum + long + board.kerf;
        *short |= strip.is_some() && long < shortest;
    }
    let blank = |(sum, short): (Length, bool)| if short { sum.max(shortest + board.kerf) } else { sum };
    widths.into_values().map(blank).fold(Length::ZERO, |all, one| all + one)
}

/// Parts for one bar, and how many bars in a row can have the same.
fn draw(hand: &mut [VecDeque<(usize, u64)>], pattern: &Pattern, most: u64) -> (Vec<usize>, u64) {
    let mut repeat = most;
    for &(item, count) in &pattern.counts {
        if let Some(&(_, qty)) = hand[item].front() {
            repeat = repeat.min(if qty >= count { qty / count } else { 1 });
        }
    }
    let repeat = repeat.max(1);
    let mut parts = Vec::new();
    for &(item, count) in &pattern.counts {
        let mut wanted = count;
        while wanted > 0 {
            let Some((part, qty)) = hand[item].front_mut() else { break };
            let n = wanted.min(*qty);
            parts.extend(std::iter::repeat_n(*part, n as usize));
            *qty -= n * if n == count { repeat } else { 1 };
            if *qty == 0 {
                hand[item].pop_front();
            }
            wanted -= n;
        }
    }
    parts.sort_unstable();
    (parts, repeat)
}

/// The layout of one board: blanks and pieces one after the other from the reference end, longest first, pieces of
/// one width together, what is left at the far end.
pub(super) fn layout(batch: &CheckedBatch, stock: usize, parts: &[usize], copies: u32) -> Layout {
    let board = &batch.stock()[stock];
    let shop = &batch.batch().shop;
    let kerf = board.kerf;
    let [along, across] = board.usable();
    let mut pieces: Vec<Piece> = parts
        .iter()
        .filter_map(|&part| {
            let placing = batch.parts()[part].from.iter().find(|f| f.stock == stock)?;
            let (length, width, turned) = lies(batch, part, placing);
            let strip = width.filter(|&w| across.is_positive() && w < across);
            Some(Piece { strip, length: std::cmp::Reverse(length), part, turned })
        })
        .collect();
    pieces.sort_unstable();
    let shortest = if board.board { shop.boards.shortest_rip } else { Length::ZERO };
    let mut children = Vec::new();
    let mut open = Vec::new();
    let mut rest = along;
    let mut at = 0;
    while at < pieces.len() {
        let strip = pieces[at].strip;
        let until = pieces[at..].iter().take_while(|p| p.strip == strip).count() + at;
        let run = &pieces[at..until];
        at = until;
        let Some(width) = strip else {
            for piece in run {
                take(&mut rest, piece.length.0, kerf);
                children.push(whole(piece, across));
            }
            continue;
        };
        // Long pieces are crosscut and then ripped one by one; short ones share a blank with as many others of
        // their width as the blank needs, shortest first.
        let short = run.iter().filter(|p| p.length.0 < shortest).count();
        let mut blank: Vec<Piece> = run[run.len() - short..].to_vec();
        let mut long = run[..run.len() - short].to_vec();
        if short > 0 {
            while sum(&blank, kerf) < shortest {
                let Some(next) = long.pop() else { break };
                blank.insert(0, next);
            }
        }
        for piece in &long {
            take(&mut rest, piece.length.0, kerf);
            children.push(ripped([piece.length.0, across], width, kerf, batch, stock, whole(piece, width)));
        }
        if !blank.is_empty() {
            open.push((width, blank));
        }
    }
    // Blanks come last: the one that lacks most takes what the board has left.
    open.sort_by_key(|(width, blank)| (std::cmp::Reverse(sum(blank, kerf)), *width));
    for (width, blank) in open {
        let length = sum(&blank, kerf).max(shortest.min(rest));
        let row = Node { size: [length, width], kind: row(&blank, [length, width], batch, stock) };
        children.push(ripped([length, across], width, kerf, batch, stock, row));
        take(&mut rest, length, kerf);
    }
    if rest.is_positive() {
        children.push(leftover(shop, board, [rest, across]));
    }
    let root = Node { size: [along, across], kind: Kind::Cut { way: Way::Crosscut, children } };
    Layout::new(stock, copies, root, board)
}

/// What remains after a piece and the cut behind it.
fn take(rest: &mut Length, length: Length, kerf: Length) {
    *rest = (*rest - length - kerf).max(Length::ZERO);
}

fn sum(pieces: &[Piece], kerf: Length) -> Length {
    let mut total = Length::ZERO;
    for (n, piece) in pieces.iter().enumerate() {
        total += piece.length.0;
        if n > 0 {
            total += kerf;
        }
    }
    total
}

fn whole(piece: &Piece, across: Length) -> Node {
    Node { size: [piece.length.0, across], kind: Kind::Piece { part: piece.part, turned: piece.turned } }
}

/// A blank ripped to a width: the strip, and what is left beside it.
fn ripped(
    size: [Length; 2],
    width: Length,
    kerf: Length,
    batch: &CheckedBatch,
    stock: usize,
    strip: Node,
) -> Node {
    let mut children = vec![strip];
    let beside = size[1] - width - kerf;
    if beside.is_positive() {
        children.push(leftover(&batch.batch().shop, &batch.stock()[stock], [size[0], beside]));
    }
    Node { size, kind: Kind::Cut { way: Way::Rip, children } }
}

/// Pieces crosscut from a ripped blank.
fn row(pieces: &[Piece], size: [Length; 2], batch: &CheckedBatch, stock: usize) -> Kind {
    let board = &batch.stock()[stock];
    if let [only] = pieces
        && only.length.0 == size[0]
    {
        return Kind::Piece { part: only.part, turned: only.turned };
    }
    let mut rest = size[0];
    let mut children = Vec::new();
    for piece in pieces {
        take(&mut rest, piece.length.0, board.kerf);
        children.push(whole(piece, size[1]));
    }
    if rest.is_positive() {
        children.push(leftover(&batch.batch().shop, board, [rest, size[1]]));
    }
    Kind::Cut { way: Way::Crosscut, children }
}
