//! Stock: something parts are cut from.

use super::Trim;
use crate::units::{Length, Nominal, Rate};

/// A board or a sheet, bought or on hand.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(default, deny_unknown_fields))]
pub struct Stock {
    /// Name on papers.
    pub name: String,
    /// What it is made of; compared without regard to case and runs of spaces.
    pub material: String,
    /// Board or sheet; `None` lets its size decide.
    pub form: Option<Form>,
    /// Nominal size such as 1x4.
    pub section: Option<Nominal>,
    /// Actual thickness.
    pub thickness: Option<Length>,
    /// Other thicknesses people call it by: 3/4 for 23/32.
    pub called: Vec<Length>,
    /// Length.
    pub length: Length,
    /// Width; `None` for boards whose width does not matter.
    pub width: Option<Length>,
    /// Price for each `per`; `None` where nobody said. What it is worth, where it is on hand.
    pub price: Option<Rate>,
    /// What the price is for.
    pub per: Per,
    /// How many there are; `None` for as many as wanted.
    pub qty: Option<u32>,
    /// Which dimension of the stock the grain follows; `None` where nobody said (then the length).
    pub grain: Option<StockGrain>,
    /// Owned: using it costs nothing.
    pub on_hand: bool,
    /// Owned, and as it was bought: its factory edges are trimmed off, as those of all that is bought.
    #[cfg_attr(feature = "serde", serde(skip_serializing_if = "std::ops::Not::not"))]
    pub factory_edges: bool,
    /// What a rip has left of a board: narrower than its section, so only for parts that say how wide they are.
    #[cfg_attr(feature = "serde", serde(skip_serializing_if = "std::ops::Not::not"))]
    pub ripped: bool,
    /// Edge trim of its own, which goes before all that the shop says, bought or on hand; `None` for the shop's.
    #[cfg_attr(feature = "serde", serde(skip_serializing_if = "Option::is_none"))]
    pub trim: Option<Trim>,
    /// Columns of the file that mean nothing to the plan: header and text.
    pub extra: Vec<(String, String)>,
}

/// Board (cut to length, perhaps ripped) or sheet (cut both ways).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "lowercase"))]
pub enum Form {
    /// Cut to length, perhaps ripped.
    Board,
    /// Cut both ways.
    Sheet,
}

/// What a price is for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
pub enum Per {
    /// One piece.
    #[default]
    Each,
    /// A foot of length.
    Foot,
    /// A metre of length.
    Metre,
    /// A square foot.
    SquareFoot,
    /// A square metre.
    SquareMetre,
    /// A board foot, 144 cubic inches of nominal size.
    BoardFoot,
}

/// Which dimension of the stock the grain follows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "lowercase"))]
pub enum StockGrain {
    /// The length.
    Length,
    /// The width.
    Width,
    /// It has none: parts may be turned.
    None,
}
