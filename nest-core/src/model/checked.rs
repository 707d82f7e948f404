//! The question after every rule of it was looked at once.
//!
//! A `CheckedBatch` can be made by validation alone, so whoever holds one may rely on it: every size positive
//! and below the cap, every part with at least one stock that can hold it, every price resolved to one piece.

use super::{Batch, Measure, Strip, Warning};
use crate::units::{Length, Money};

/// A batch that passed validation, with everything that follows from it worked out.
#[derive(Clone, Debug)]
pub struct CheckedBatch {
    pub(super) batch: Batch,
    pub(super) parts: Vec<CutPart>,
    pub(super) stock: Vec<UsableStock>,
    pub(super) strips: Vec<Strip>,
    pub(super) groups: Vec<Group>,
    pub(super) measure: Measure,
    pub(super) warnings: Vec<Warning>,
}

impl CheckedBatch {
    /// The question as it was asked, with the names of stock filled in.
    pub fn batch(&self) -> &Batch {
        &self.batch
    }

    /// What is cut, one entry for each part of the batch, same index.
    pub fn parts(&self) -> &[CutPart] {
        &self.parts
    }

    /// What it is cut from, one entry for each stock of the batch, same index.
    pub fn stock(&self) -> &[UsableStock] {
        &self.stock
    }

    /// Parts that are cut as one strip, in the order of their first ones. The parts of a strip are of one group.
    pub fn strips(&self) -> &[Strip] {
        &self.strips
    }

    /// Connected components of "this part may come from that stock".
    pub fn groups(&self) -> &[Group] {
        &self.groups
    }

    /// What cost is counted in, and its way into money and words.
    pub fn measure(&self) -> Measure {
        self.measure
    }

    /// What is odd about the question.
    pub fn warnings(&self) -> &[Warning] {
        &self.warnings
    }
}

/// What the saw has to produce for one part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutPart {
    /// Cut size along the part's length: finished size, less bands, plus pre-mill, `oversize` and `fit` allowance.
    pub length: Length,
    /// Cut size along the part's width; `None` for parts as wide as their board.
    pub width: Option<Length>,
    /// Band of the shop that its banded edges get, by index; `None` where no edge is banded, or the shop knows no band.
    pub band: Option<usize>,
    /// For each stock it may come from (ascending index): how it may lie. Empty for a part with quantity 0.
    pub from: Vec<Placing>,
    /// Group it belongs to; `None` for a part with quantity 0.
    pub group: Option<usize>,
}

/// How a part may lie on one stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Placing {
    /// Index of the stock.
    pub stock: usize,
    /// It fits, and its grain allows it, with its length along the length of the stock.
    pub straight: bool,
    /// It fits, and its grain allows it, with its length across the length of the stock.
    pub turned: bool,
}

/// One stock, resolved.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UsableStock {
    /// Cost of using one piece, in the batch's [`Measure`]: 0 for what is on hand.
    pub cost: i128,
    /// Price of one piece (what it is worth, where it is on hand); `None` where nobody gave one.
    pub each: Option<Money>,
    /// Kerf of the saw that cuts it.
    pub kerf: Length,
    /// Edge trim: near and far end (along the length), near and far edge (across).
    pub trim: [Length; 4],
    /// The most between fence and blade in a rip: boards have no such limit.
    pub reach: Option<Length>,
    /// Longest crosscut and longest rip that the saw takes: boards have no such limit.
    pub longest: [Option<Length>; 2],
    /// How many there are; `None` for as many as wanted.
    pub qty: Option<u32>,
    /// Actual length and width; width zero where it does not matter.
    pub size: [Length; 2],
    /// Whether it is cut on the boards' saw.
    pub board: bool,
    /// Whether it is owned: not bought, and counted as clean all round unless its list says that it has factory edges, or
    /// what its edge trim is.
    pub on_hand: bool,
    /// Actual thickness, from the section where there is one.
    pub thickness: Option<Length>,
}

impl UsableStock {
    /// Clean length and width after edge trim; width zero where it does not matter.
    pub fn usable(&self) -> [Length; 2] {
        let [near, far, low, high] = self.trim;
        let width = if self.size[1] == Length::ZERO { Length::ZERO } else { self.size[1] - low - high };
        [self.size[0] - near - far, width]
    }
}

/// Parts and the stock they may come from, solved together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Group {
    /// Name on papers: material and section or thickness.
    pub name: String,
    /// How it is solved.
    pub kind: GroupKind,
    /// Indices of its parts, ascending.
    pub parts: Vec<usize>,
    /// Indices of its stock, ascending.
    pub stock: Vec<usize>,
}

/// How a group is solved.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum GroupKind {
    /// No two parts lie side by side across any of its stock: one strip a piece of stock, a problem of lengths.
    Boards,
    /// A problem of areas; also boards of which several parts are cut as one strip.
    Sheets,
}
