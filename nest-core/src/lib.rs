//! Cutting plans for boards and sheets.
#![forbid(unsafe_code)]
#![deny(missing_docs)]

mod board;
pub mod check;
pub mod cost;
mod error;
mod lp;
pub mod model;
pub mod plan;
pub mod search;
pub mod solution;
mod solve;
pub mod units;

pub use error::Error;
pub use solve::solve;
