//! Exact lengths, areas and money.
#![deny(clippy::float_arithmetic)]

mod length;
mod money;

pub use length::{Area, Length};
pub use money::Money;
