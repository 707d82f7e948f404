//! What is left of the plan itself: the layouts that nobody cut, for the rows of the question that is left.
//!
//! It is a plan to start from, so that whoever carries on seldom pays for what the old plan had without. Rows of parts and
//! of stock that are alike share what the layouts have of them, as `made` and `taken` share what is made and gone; a piece
//! that nobody wants any more is left over. Nobody judges it here, and what the shop's rules or the fence make of a larger
//! leftover is not looked at: who uses it checks it.

use std::collections::BTreeMap;

use super::hand::Hand;
use super::made::same;
use super::taken::Listed;
use crate::model::{Batch, CheckedBatch, Part, Shop, Stock, UsableStock};
use crate::plan::{Kind, Layout, Node, leftover};
use crate::units::Length;

/// Pieces of all layouts together, beyond which no more are moved: where rows are many and each of few pieces, one layout
/// of many boards becomes many layouts.
const MOST_PIECES: usize = 1_000_000;

/// Rows of the new question for those of the old one.
pub(super) struct Rows<'a> {
    shop: &'a Shop,
    stock: BoardRows<'a>,
    parts: PartRows,
    /// How many pieces may still be moved.
    room: usize,
}

impl<'a> Rows<'a> {
    /// `at` tells the row of each old stock that is carried; so many rows of the job are listed.
    pub fn new(batch: &CheckedBatch, at: &'a [Option<usize>], job: &'a Batch, listed: usize) -> Self {
        Self {
            shop: &job.shop,
            stock: BoardRows {
                at,
                named: batch.batch().stock_as_named().collect(),
                listed: Listed::of(job.stock.iter().take(listed).enumerate()),
                left: job.stock.iter().map(|stock| stock.qty.unwrap_or(u32::MAX)).collect(),
            },
            parts: PartRows::new(&batch.batch().parts, &job.parts),
            room: MOST_PIECES,
        }
    }

    /// So many copies of a layout in the new question, as far as there is stock for them and any of their pieces is
    /// wanted.
    pub fn moved(&mut self, layout: &Layout, old: &UsableStock, copies: u32) -> Vec<Layout> {
        let mut moved = Vec::new();
        let mut todo = copies;
        while todo > 0 {
            let Some(room) = self.room.checked_sub(layout.pieces.len()) else { break };
            let Some(row) = self.stock.first(layout.stock) else { break };
            self.room = room;
            let mut root = layout.root.clone();
            let copies = self.parts.name(&mut root, todo.min(self.stock.left[row]));
            settle(&mut root, old.kerf, &|size| leftover(self.shop, old, size));
            if root.kind.is_leftover() {
                break;
            }
            self.stock.left[row] -= copies;
            todo -= copies;
            moved.push(Layout::new(row, copies, root, old));
        }
        moved
    }
}

/// Stock, and how much of each row is left.
struct BoardRows<'a> {
    at: &'a [Option<usize>],
    /// The old stock.
    named: Vec<Stock>,
    listed: Listed,
    left: Vec<u32>,
}

impl BoardRows<'_> {
    fn first(&mut self, old: usize) -> Option<usize> {
        let is_left = |row: usize| self.left.get(row).is_some_and(|&left| left > 0);
        match self.at.get(old)? {
            Some(row) => Some(*row).filter(|&row| is_left(row)),
            None => self.listed.first(self.named.get(old)?, is_left),
        }
    }
}

/// Parts, and how many of each row are still to be cut.
struct PartRows {
    alike: Vec<Hand>,
    /// Of each old part the rows that ask for the same.
    of: Vec<Option<usize>>,
    left: Vec<u32>,
}

impl PartRows {
    fn new(old: &[Part], job: &[Part]) -> Self {
        let mut numbers: BTreeMap<Part, usize> = BTreeMap::new();
        let mut alike: Vec<Hand> = Vec::new();
        for (row, part) in job.iter().enumerate() {
            let number = *numbers.entry(same(part)).or_insert(alike.len());
            if number == alike.len() {
                alike.push(Hand::default());
            }
            alike[number].push(row);
        }
        let of = old.iter().map(|part| numbers.get(&same(part)).copied()).collect();
        Self { alike, of, left: job.iter().map(|part| part.qty).collect() }
    }

    /// The row that a piece of an old part is for: the first that lacks any, so that strips stay in order.
    fn take(&mut self, old: usize) -> Option<usize> {
        let alike = (*self.of.get(old)?)?;
        let row = self.alike[alike].first(|row| self.left[row] > 0)?;
        self.left[row] -= 1;
        Some(row)
    }

    /// Gives the pieces of a tree to rows, those that no row wants to nobody; returns for how many equal trees, at most
    /// `most`, that will do.
    fn name(&mut self, root: &mut Node, most: u32) -> u32 {
        let mut used: BTreeMap<usize, u32> = BTreeMap::new();
        let mut todo = vec![root];
        while let Some(node) = todo.pop() {
            if let Kind::Piece { part, turned } = node.kind {
                node.kind = match self.take(part) {
                    Some(row) => {
                        *used.entry(row).or_default() += 1;
                        Kind::Piece { part: row, turned }
                    }
                    None => Kind::Waste,
                };
            }
            if let Kind::Cut { children, .. } = &mut node.kind {
                todo.extend(children.iter_mut().rev());
            }
        }
        let more = used.iter().map(|(&row, used)| self.left[row] / used).min().unwrap_or(u32::MAX);
        let more = more.min(most.saturating_sub(1));
        for (row, used) in used {
            self.left[row] -= used * more;
        }
        more + 1
    }
}

/// Makes one leftover of those that follow each other, and marks all of them anew. The recursion is no deeper than trees
/// that passed the check.
fn settle(node: &mut Node, kerf: Length, mark: &impl Fn([Length; 2]) -> Node) {
    if node.kind.is_leftover() {
        *node = mark(node.size);
    }
    let size = node.size;
    let Kind::Cut { way, children } = &mut node.kind else { return };
    children.iter_mut().for_each(|child| settle(child, kerf, mark));
    if children.iter().all(|child| child.kind.is_leftover()) {
        *node = mark(size);
        return;
    }
    let axis = way.axis();
    let long = |from: Length, to: Length| {
        let mut size = size;
        size[axis] = to.saturating_sub(from);
        mark(size)
    };
    let (mut at, mut start) = (Length::ZERO, Length::ZERO);
    let mut merged: Vec<Node> = Vec::new();
    for child in children.drain(..) {
        let end = at.saturating_add(child.size[axis]);
        match merged.last_mut() {
            Some(last) if last.kind.is_leftover() && child.kind.is_leftover() => *last = long(start, end),
            _ => {
                start = at;
                merged.push(child);
            }
        }
        at = end.saturating_add(kerf);
    }
    // What comes last is not cut off.
    if let Some(last) = merged.last_mut().filter(|last| last.kind.is_leftover()) {
        *last = long(start, size[axis]);
    }
    *children = merged;
}
