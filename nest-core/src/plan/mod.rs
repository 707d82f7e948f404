//! The answer: which stock is cut, how, and what proves that it cannot be done much cheaper.
//!
//! Plain data. Whoever makes a plan (a solver, a file) fills it in; `check` judges it without asking how it was found.
#![deny(clippy::float_arithmetic)]

mod certificate;
mod keep;
mod score;
mod tally;
mod tree;
mod walk;

pub use certificate::{Certificate, Dual, Leaf, Reason, Share, StockValue, UseBound};
pub use keep::{leftover, worth_keeping};
pub use score::{Score, leftover_value};
pub use tally::{Extent, GroupTally, Tally, finished};
pub use tree::{Kind, Node, PlacedPiece, Way};
pub use walk::{Blank, Cut, Cuts, Guide, Place, Places, Setup};

/// A whole plan.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Plan {
    /// How each piece of stock is cut; identical ones are one layout with a count.
    pub layouts: Vec<Layout>,
    /// Parts that could not be made: index of the part and how many, ascending, none with 0.
    pub unplaced: Vec<(usize, u32)>,
    /// One entry for each group of the checked batch, same index.
    pub groups: Vec<GroupClaim>,
}

/// How one piece of stock is cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Layout {
    /// Index of the stock.
    pub stock: usize,
    /// How many pieces of stock are cut this way, at least 1.
    pub copies: u32,
    /// The clean area after edge trim, and how it is cut.
    pub root: Node,
    /// Every piece with its place, in the order in which the saw frees them; must agree with `root`.
    pub pieces: Vec<PlacedPiece>,
}

/// What a plan claims about one group.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct GroupClaim {
    /// No plan for the group can cost less, in the batch's measure.
    pub floor: i128,
    /// What proves the floor; without one the floor must be 0.
    pub certificate: Option<Certificate>,
}
