//! Parts that are cut as one strip, so that their grain runs on from one to the next.
//!
//! Parts of one job, material, thickness and `match` word are one strip, in the order of the list, each as often as it
//! is asked for before the next one comes, with nothing between them but a kerf: one after the other along the
//! grain, or side by side across it. A strip is made whole or not at all.

use super::{MatchWay, PartGrain};
use crate::units::Length;

/// Parts that are cut as one strip; two pieces or more.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Strip {
    /// Indices of its parts, ascending.
    pub parts: Vec<usize>,
    /// How it runs.
    pub way: MatchWay,
    /// How it may lie on each stock, ascending; at least one entry.
    pub from: Vec<StripPlacing>,
}

/// One way in which a strip may lie on a stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct StripPlacing {
    /// Index of the stock.
    pub stock: usize,
    /// Its grain runs across the length of the stock.
    pub turned: bool,
    /// Its size along the length of the stock, and across, the kerfs between its pieces included.
    pub size: [Length; 2],
}

impl MatchWay {
    /// Which entry of a size the pieces of a strip share out whose grain runs along (or across) the length of the
    /// stock: 0 along that length, 1 across it.
    pub const fn axis(self, turned: bool) -> usize {
        match (self, turned) {
            (Self::Along, false) | (Self::Across, true) => 0,
            (Self::Along, true) | (Self::Across, false) => 1,
        }
    }
}

impl PartGrain {
    /// Whether the part's length counts as what runs with the grain of its strip: `any` is read as `length` there.
    pub fn length_runs_with_strip(grain: Option<Self>) -> bool {
        grain != Some(Self::Width)
    }
}
