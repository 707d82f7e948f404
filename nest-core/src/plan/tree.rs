//! The tree of cuts of one layout.
//!
//! A cut node divides its rectangle by parallel through-cuts into children that follow each other from the
//! reference corner, one kerf between neighbours. The law, which `check` enforces: children plus `(n - 1)` kerfs
//! plus a tail make the node's size along the cut axis, where the tail is what the last cut turns to dust,
//! at most one kerf. Whatever is wider than that is a child of its own, an offcut or waste.

use crate::units::Length;

/// A rectangle of the layout: along the length of the stock, and across it (zero for boards without a width).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Node {
    /// Size along the length of the stock, and across.
    pub size: [Length; 2],
    /// What becomes of it.
    pub kind: Kind,
}

/// What becomes of a rectangle.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Kind {
    /// It is divided by parallel cuts.
    Cut {
        /// The direction of the cuts.
        way: Way,
        /// What they leave, from the reference corner on.
        children: Vec<Node>,
    },
    /// It is a part.
    Piece {
        /// Index of the part.
        part: usize,
        /// The part's length lies across the length of the stock.
        turned: bool,
    },
    /// It is left over and worth keeping.
    Offcut,
    /// It is left over and not worth keeping.
    Waste,
}

impl Kind {
    /// Whether it is left over, worth keeping or not.
    pub const fn is_leftover(&self) -> bool {
        matches!(self, Self::Offcut | Self::Waste)
    }
}

/// Direction of a cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "lowercase"))]
pub enum Way {
    /// Across the length of the stock; children follow each other along it.
    Crosscut,
    /// Along the length of the stock; children lie side by side.
    Rip,
}

impl Way {
    /// Which entry of a size the children share out: 0 along the length, 1 across it.
    pub const fn axis(self) -> usize {
        match self {
            Self::Crosscut => 0,
            Self::Rip => 1,
        }
    }
}

/// One piece with its place, measured from the factory edges at the reference corner.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct PlacedPiece {
    /// Index of the part.
    pub part: usize,
    /// Where its corner nearest the reference corner lies: along the length of the stock, and across.
    pub at: [Length; 2],
    /// Its size along the length of the stock, and across.
    pub size: [Length; 2],
    /// The part's length lies across the length of the stock.
    pub turned: bool,
}
