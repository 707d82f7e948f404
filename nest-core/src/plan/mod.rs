//! The answer: which stock is cut, how, and what proves that it cannot be done much cheaper.
//!
//! Plain data. Whoever makes a plan (a solver, a file) fills it in; `check` judges it without asking how it was found.
//!
//! Sizes and places are pairs: along the length of the stock, and across. A plan means nothing without its question, whose
//! lists it names by index: keep both, and ask [`check`](crate::check::check) when they come back.
//!
//! ```
//! # #[cfg(feature = "serde")]
//! # {
//! use nest_core::model::{Batch, Part, Stock};
//! use nest_core::plan::Plan;
//! use nest_core::search::{Options, Silent};
//! use nest_core::units::Length;
//!
//! let oak = |name: &str| (name.to_string(), "oak".to_string());
//! let (name, material) = oak("plank");
//! let plank = Stock { name, material, length: Length::mm(2400), ..Stock::default() };
//! let (name, material) = oak("rail");
//! let rail = Part { name, material, length: Length::mm(700), qty: 3, ..Part::default() };
//! let batch = Batch { parts: vec![rail], stock: vec![plank], ..Batch::default() };
//! let checked = batch.check().unwrap();
//! let plan = nest_core::solve(&checked, &Options::default(), &Silent).unwrap().plan;
//!
//! let kept = serde_json::to_string(&(checked.batch(), &plan)).unwrap();
//! let (batch, mut plan): (Batch, Plan) = serde_json::from_str(&kept).unwrap();
//! let checked = batch.check().unwrap();
//! assert!(nest_core::check::check(&checked, &plan).unwrap().complete());
//!
//! plan.layouts[0].pieces[0].size[0] = Length::mm(690);
//! let faults = nest_core::check::check(&checked, &plan).unwrap_err();
//! assert_eq!(
//!     faults.to_string(),
//!     "layouts[0]: pieces do not agree with the tree: expected parts[0] of 700 mm at 0, 0, but found parts[0] of 690 mm at 0, 0"
//! );
//! # }
//! ```
#![deny(clippy::float_arithmetic)]

mod certificate;
#[cfg(feature = "serde")]
pub(crate) mod form;
mod keep;
mod score;
mod tally;
mod tree;
mod walk;

pub use certificate::{Certificate, Dual, Leaf, PartShare, Reason, StockValue, UseBound};
pub use keep::{leftover, worth_keeping};
pub use score::{Score, leftover_value};
pub use tally::{Extent, GroupTally, Tally, finished};
pub use tree::{Kind, Node, PlacedPiece, Way};
pub use walk::{Blank, Cut, Cuts, Guide, PlacedNode, Places, Setup};

/// A whole plan.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct Plan {
    /// How each piece of stock is cut; identical ones are one layout with a count. What `solve` returns has those of a
    /// group together, groups in their order; any other order is as good.
    pub layouts: Vec<Layout>,
    /// Parts that could not be made: index of the part and how many, ascending, none with 0.
    pub unplaced: Vec<(usize, u32)>,
    /// One entry for each group of the checked batch, same index.
    pub groups: Vec<GroupClaim>,
}

/// How one piece of stock is cut.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
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
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct GroupClaim {
    /// No plan for the group can cost less, in the batch's measure.
    #[cfg_attr(feature = "serde", serde(with = "form::text"))]
    pub floor: i128,
    /// What proves the floor; without one the floor must be 0.
    pub certificate: Option<Certificate>,
}
