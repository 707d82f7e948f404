//! A proof that no plan for a group can cost less than a floor. Integers only, checkable without a solver.
//!
//! The proof is a list of leaves that together cover every possible use of the stock. In a leaf every part has a
//! price and every stock an upper bound on the prices that one layout of it can collect; then any plan uses stock
//! whose bounds add up to at least the prices of all that is asked, and the cheapest whole numbers of stock that
//! do so (the integer cover) are a floor. Source: the Lagrangian bound of column generation (Gilmore and Gomory
//! 1961; Farley 1990), with the cover solved in whole numbers.

use crate::units::Length;

/// A proof for one group.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct Certificate {
    /// The leaves; the floor is the least of theirs.
    pub leaves: Vec<Leaf>,
    /// Whether each strip of matched grain counts as one piece, as large as the strip, of which one is asked for. Its first
    /// part stands for it wherever a leaf names parts; its other parts have no price. Otherwise every part counts for
    /// itself.
    #[cfg_attr(feature = "serde", serde(default, skip_serializing_if = "std::ops::Not::not"))]
    pub matched: bool,
}

/// One box of possibilities with its prices.
///
/// Where parts count differently on different stock ([`PartShare`]), what is asked is worth the least that any way to share the
/// parts out among the stock is worth, within the limits of the leaf.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct Leaf {
    /// Limits on how many pieces of a stock are used; stock not named is limited by its supply alone.
    pub bounds: Vec<UseBound>,
    /// Price of each part of the group (index of the part, price), not negative; parts not named count 0.
    pub prices: Vec<(usize, i64)>,
    /// For each stock of the group that the leaf allows, the most that one layout can collect.
    pub values: Vec<StockValue>,
    /// Limits on how many of a part are made from a stock; parts and stock not named are not limited.
    #[cfg_attr(feature = "serde", serde(default, skip_serializing_if = "Vec::is_empty"))]
    pub shares: Vec<PartShare>,
}

/// Least and most number of some parts that are made from one stock, or one piece of it, and what each of them counts there.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct PartShare {
    /// Index of the stock.
    pub stock: usize,
    /// Which piece of the stock, where each has its own value; `None` for all together.
    #[cfg_attr(feature = "serde", serde(default, skip_serializing_if = "Option::is_none"))]
    pub piece: Option<u32>,
    /// Indices of the parts, ascending: parts that must be made, of one size, and of one price elsewhere; strips that count as
    /// one piece also run alike.
    pub parts: Vec<usize>,
    /// The least number of them together.
    pub least: u64,
    /// The most.
    pub most: u64,
    /// Price of each of them on this stock, not negative.
    pub price: i64,
}

/// Least and most number of pieces used of one stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct UseBound {
    /// Index of the stock.
    pub stock: usize,
    /// Least number of pieces.
    pub least: u64,
    /// Most; `None` for no limit.
    pub most: Option<u64>,
}

/// An upper bound on what one layout of a stock can collect, and why it holds.
///
/// Where a leaf limits how many of a stock are used, it may number them in any order, and give each its own value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct StockValue {
    /// Index of the stock.
    pub stock: usize,
    /// Which piece of the stock, from 0 on; `None` for every one.
    #[cfg_attr(feature = "serde", serde(default, skip_serializing_if = "Option::is_none"))]
    pub piece: Option<u32>,
    /// The bound.
    pub value: i64,
    /// Why it holds.
    pub reason: Reason,
}

/// Why a value bounds every layout of a stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "lowercase"))]
#[non_exhaustive]
pub enum Reason {
    /// Bounded knapsack on lengths: sizes `l + k` in `L + k`, no part more often than it is asked for.
    Lengths,
    /// Area: `(l + k)(w + k)` in `(L + k)(W + k)`, each price over area at most the best ratio of all parts.
    Area,
    /// As area, after both sizes were replaced by functions that keep what fits side by side fitting (Fekete and
    /// Schepers 2004): each price over `f(l + k) g(w + k)` at most the best ratio of all parts, in
    /// `f(L + k) g(W + k)`. A part that may be turned counts with the smaller of its two products.
    Dual {
        /// `f`, for sizes along the stock.
        along: Dual,
        /// `g`, for sizes across it.
        across: Dual,
    },
    /// The most valuable set of parts, none more often than it is asked for, that fits by area as under `Area`, by the pair
    /// of functions as under `Dual`, and of which the largest can be cut from the sheet from edge to edge (those of equal
    /// area in the order of their sizes): sixteen, or fewer where those can be parted in two, with all their parts, in more
    /// than 20 000 ways: nine, where all differ. After Pisinger and Sigurd 2007.
    Sets {
        /// `f`, for sizes along the stock.
        along: Dual,
        /// `g`, for sizes across it.
        across: Dual,
        /// Stages as under `Cuts`. With any number too, cuts are no longer than the shop's saws make, no board is ripped that is
        /// shorter than the shop rips, and the first cut goes as the shop wants it, or as its saws leave it. With 2 or 3, a strip that counts as one piece lies where its own
        /// cuts are cuts of one stage.
        #[cfg_attr(feature = "serde", serde(default, skip_serializing_if = "Option::is_none"))]
        stages: Option<u8>,
    },
    /// The most valuable way to cut one sheet from edge to edge, any number of copies of each part (Gilmore and Gomory
    /// 1965); but with two stages no more than are asked for in a row, and no more rows of a thickness than pieces of it.
    /// Sizes, kerf included, are rounded down to whole steps, and so is the sheet.
    Cuts {
        /// The step.
        grid: Length,
        /// 2 or 3 stages, not fewer than the shop allows, with its rules for the first cut and for trimming; `None` for
        /// any number.
        stages: Option<u8>,
    },
}

/// A dual-feasible function for sizes `x`, kerf included, in a capacity `C`: whatever sizes add up to at most `C`, their
/// images add up to at most that of `C`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "lowercase"))]
pub enum Dual {
    /// The size itself.
    Plain,
    /// Nothing below `t`, all of `C` above `C - t`, the size itself between; `t` positive and at most half of `C`
    /// (Fekete and Schepers 2001).
    Cut(Length),
    /// Twice the number of steps of length `t` that fit into `x`, below half of `C`; at half, as many as fit into `C`;
    /// above, twice as many as fit into `C` but not beside `x`. `t` positive and at most half of `C` (Boschetti and
    /// Mingozzi 2003; Carlier, Clautiaux and Moukrim 2007).
    Steps(Length),
    /// With `n` at least 1: `n x` where `(n + 1) x` is a multiple of `C`, else `C` for each whole `C` in `(n + 1) x`
    /// (Lueker 1983; Fekete and Schepers 2001).
    Shares(u32),
    /// 1 for sizes from `t` to half of `C`; above half, by how many fewer of those parts fit beside `x` than into `C`.
    /// The required parts that may come from the stock count, each as often as it is asked for (a strip that counts as one piece
    /// once) and as small as it may lie. `t` positive and at most half of `C` (Carlier, Clautiaux and Moukrim 2007).
    Count(Length),
}
