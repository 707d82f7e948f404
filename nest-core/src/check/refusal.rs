//! Why a certificate is not accepted.

use std::fmt;

use super::Which;
use crate::plan::Dual;
use crate::units::Length;

/// Why a certificate is not accepted. Leaves are counted from 0, as in the file.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Refusal {
    /// There is no such group.
    NoGroup(usize),
    /// A certificate without leaves says nothing.
    NoLeaf,
    /// A leaf prices a part that is not in the group.
    ForeignPart {
        /// The leaf.
        leaf: usize,
        /// The part.
        part: Which,
    },
    /// A leaf prices a part more than once.
    PartTwice {
        /// The leaf.
        leaf: usize,
        /// The part.
        part: Which,
    },
    /// A price is below nothing.
    NegativePrice {
        /// The leaf.
        leaf: usize,
        /// The part.
        part: Which,
        /// Its price.
        found: i64,
    },
    /// An optional part has a price, though no plan has to make it.
    OptionalPriced {
        /// The leaf.
        leaf: usize,
        /// The part.
        part: Which,
        /// Its price.
        found: i64,
    },
    /// A part has a price though it counts with the first one of its strip.
    WithinStrip {
        /// The leaf.
        leaf: usize,
        /// The part.
        part: Which,
    },
    /// A leaf speaks of stock that is not in the group.
    ForeignStock {
        /// The leaf.
        leaf: usize,
        /// The stock.
        stock: Which,
    },
    /// A leaf gives a stock more than one value, or more than one limit.
    StockTwice {
        /// The leaf.
        leaf: usize,
        /// The stock.
        stock: Which,
    },
    /// A leaf says nothing of what a stock can collect.
    NoValue {
        /// The leaf.
        leaf: usize,
        /// The stock.
        stock: Which,
    },
    /// A value is below nothing.
    NegativeValue {
        /// The leaf.
        leaf: usize,
        /// The stock.
        stock: Which,
        /// The value.
        found: i64,
    },
    /// One layout of the stock can collect more than the leaf says.
    ValueTooSmall {
        /// The leaf.
        leaf: usize,
        /// The stock.
        stock: Which,
        /// What the leaf says.
        claimed: i64,
        /// What can be collected, or more.
        found: i128,
    },
    /// The reason speaks of lengths alone, but two parts fit side by side.
    SideBySide {
        /// The leaf.
        leaf: usize,
        /// The stock.
        stock: Which,
        /// One part.
        part: Which,
        /// Another, or the same again.
        beside: Which,
    },
    /// The reason speaks of area, but the stock has no width.
    NoWidth {
        /// The leaf.
        leaf: usize,
        /// The stock.
        stock: Which,
    },
    /// A dual-feasible function is not one for this stock.
    NoDual {
        /// The leaf.
        leaf: usize,
        /// The stock.
        stock: Which,
        /// The function with its parameter.
        found: Dual,
    },
    /// A priced part counts nothing under the reason, so its price is not bounded.
    Unbounded {
        /// The leaf.
        leaf: usize,
        /// The stock.
        stock: Which,
        /// The part.
        part: Which,
    },
    /// Stages are claimed that do not cover those of the shop.
    Stages {
        /// The leaf.
        leaf: usize,
        /// The stock.
        stock: Which,
    },
    /// A step rounds a part or its stock to nothing.
    Grid {
        /// The leaf.
        leaf: usize,
        /// The stock.
        stock: Which,
        /// The step.
        found: Length,
    },
    /// A limit has a least number above its most.
    EmptyBox {
        /// The leaf.
        leaf: usize,
        /// The stock.
        stock: Which,
        /// At least so many.
        least: u64,
        /// At most so many.
        most: u64,
    },
    /// A leaf numbers the pieces of a stock otherwise than from 0 on.
    Pieces {
        /// The leaf.
        leaf: usize,
        /// The stock.
        stock: Which,
    },
    /// A limit on how many parts come from a stock names none.
    EmptyShare {
        /// The leaf.
        leaf: usize,
        /// The stock.
        stock: Which,
    },
    /// A limit on how many parts come from a stock is not proper.
    Share {
        /// The leaf.
        leaf: usize,
        /// The stock.
        stock: Which,
        /// A part that it names.
        part: Which,
        /// What is wrong with it.
        what: &'static str,
    },
    /// No leaf speaks for this use of stock, and of parts that come from it where leaves limit them.
    Gap(
        /// How many of each.
        Vec<(Which, u64)>,
    ),
    /// It takes too much work, or too large numbers, to verify.
    TooLarge {
        /// The leaf; `None` where it is the leaves together.
        leaf: Option<usize>,
        /// What was being verified.
        what: &'static str,
    },
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoGroup(group) => write!(f, "groups[{group}] does not exist"),
            Self::NoLeaf => f.write_str("expected at least one leaf, but found none"),
            Self::ForeignPart { leaf, part } => {
                write!(f, "leaves[{leaf}] prices {part}, which is not in the group")
            }
            Self::PartTwice { leaf, part } => write!(f, "leaves[{leaf}] prices {part} more than once"),
            Self::NegativePrice { leaf, part, found } => {
                write!(f, "leaves[{leaf}]: expected a price of 0 or more for {part}, but found {found}")
            }
            Self::OptionalPriced { leaf, part, found } => {
                write!(f, "leaves[{leaf}]: expected price 0 for {part}, which is optional, but found {found}")
            }
            Self::WithinStrip { leaf, part } => {
                write!(
                    f,
                    "leaves[{leaf}]: expected no price for {part}, which counts with the first part of its strip"
                )
            }
            Self::ForeignStock { leaf, stock } => {
                write!(f, "leaves[{leaf}] speaks of {stock}, which is not in the group")
            }
            Self::StockTwice { leaf, stock } => write!(f, "leaves[{leaf}] speaks of {stock} more than once"),
            Self::NoValue { leaf, stock } => {
                write!(f, "leaves[{leaf}] gives no value for {stock}, or for too few of it")
            }
            Self::NegativeValue { leaf, stock, found } => {
                write!(f, "leaves[{leaf}]: expected a value of 0 or more for {stock}, but found {found}")
            }
            Self::ValueTooSmall { leaf, stock, claimed, found } => write!(
                f,
                "leaves[{leaf}]: expected that one layout of {stock} collects at most {claimed}, but found {found}"
            ),
            Self::SideBySide { leaf, stock, part, beside } => {
                write!(f, "leaves[{leaf}] counts lengths alone, but on {stock} {part} fits beside {beside}")
            }
            Self::NoWidth { leaf, stock } => {
                write!(f, "leaves[{leaf}] counts area, but {stock} has no width")
            }
            Self::NoDual { leaf, stock, found } => {
                write!(f, "leaves[{leaf}]: the parameter of {found:?} is out of range on {stock}")
            }
            Self::Unbounded { leaf, stock, part } => {
                write!(f, "leaves[{leaf}]: {part} has a price, but counts nothing on {stock}")
            }
            Self::Stages { leaf, stock } => {
                write!(f, "leaves[{leaf}] limits the stages on {stock} to other numbers than the shop")
            }
            Self::Grid { leaf, stock, found } => {
                write!(f, "leaves[{leaf}]: a step of {} ticks is out of range on {stock}", found.ticks())
            }
            Self::EmptyBox { leaf, stock, least, most } => {
                write!(f, "leaves[{leaf}] wants at least {least} and at most {most} of {stock}")
            }
            Self::Pieces { leaf, stock } => {
                write!(f, "leaves[{leaf}]: the values of {stock} are not of its pieces 0, 1 and so on")
            }
            Self::EmptyShare { leaf, stock } => {
                write!(f, "leaves[{leaf}] has a share of {stock} that names no part")
            }
            Self::Share { leaf, stock, part, what } => {
                write!(f, "leaves[{leaf}]: the share of {stock} in {part} {what}")
            }
            Self::Gap(at) => {
                f.write_str("no leaf speaks for the use of")?;
                for (i, (stock, count)) in at.iter().enumerate() {
                    write!(f, "{} {count} of {stock}", if i == 0 { "" } else { "," })?;
                }
                Ok(())
            }
            Self::TooLarge { leaf: Some(leaf), what } => {
                write!(f, "leaves[{leaf}]: {what} is too large to verify")
            }
            Self::TooLarge { leaf: None, what } => write!(f, "{what} is too large to verify"),
        }
    }
}

impl std::error::Error for Refusal {}
