//! The question: parts of one or more jobs, the stock they may come from, and the shop that cuts them.
//!
//! [`Batch`] is what somebody wrote down, [`CheckedBatch`] the same after every rule of it was looked at once:
//! sizes resolved, parts matched to stock, groups formed. Everything behind the model works on the second.
#![deny(clippy::float_arithmetic)]

mod checked;
mod fold;
mod measure;
mod part;
mod problem;
mod shop;
mod stock;
mod strip;
mod trim;
mod validate;
mod warning;

pub use checked::{CheckedBatch, CutPart, Group, GroupKind, Placing, UsableStock};
pub use fold::{fold, nearest};
pub use measure::Measure;
pub use part::{Fit, MatchWay, Part, PartGrain};
pub(crate) use problem::lines;
pub use problem::{Problem, ProblemKind, Problems, Table, TableCell, Unread};
pub use shop::{Band, BoardSettings, FirstCut, MOST_RIPPED_OFF, SheetSettings, Shop, Stages, Vehicle};
pub use stock::{Form, Per, Stock, StockGrain};
pub use strip::{Strip, StripPlacing};
pub use trim::Trim;
pub use validate::{
    LONGEST_NAME, LONGEST_TEXT, MOST_PIECES, MOST_PIECES_A_ROW, MOST_PIECES_A_STRIP, MOST_ROWS,
};
pub use warning::Warning;

/// The whole question.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Batch {
    /// What somebody needs; a plan names parts by their index in this list.
    pub parts: Vec<Part>,
    /// What parts are cut from, bought or on hand; a plan names stock by its index in this list.
    pub stock: Vec<Stock>,
    /// Saws, offcut limits, edge bands.
    pub shop: Shop,
}
