//! A proof that no plan for a group can cost less than a floor. Integers only, checkable without a solver.
//!
//! The proof is a list of leaves that together cover every possible use of the stock. In a leaf every part has a
//! price and every stock an upper bound on the prices that one layout of it can collect; then any plan uses stock
//! whose bounds add up to at least the prices of all that is asked, and the cheapest whole numbers of stock that
//! do so (the integer cover) are a floor. Source: the Lagrangian bound of column generation (Gilmore and Gomory
//! 1961; Farley 1990), with the cover solved in whole numbers.

/// A proof for one group.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct Certificate {
    /// The leaves; the floor is the least of theirs.
    pub leaves: Vec<Leaf>,
}

/// One box of possibilities with its prices.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct Leaf {
    /// Limits on how many pieces of a stock are used; stock not named is limited by its supply alone.
    pub bounds: Vec<UseBound>,
    /// Price of each part of the group (index of the part, price), not negative; parts not named count 0.
    pub prices: Vec<(usize, i64)>,
    /// For each stock of the group, the most that one layout can collect.
    pub values: Vec<StockValue>,
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
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct StockValue {
    /// Index of the stock.
    pub stock: usize,
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
}
