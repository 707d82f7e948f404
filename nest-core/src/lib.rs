//! Cutting plans for boards and sheets.
#![forbid(unsafe_code)]
#![deny(missing_docs)]

pub mod check;
pub mod cost;
pub mod model;
pub mod plan;
pub mod search;
pub mod solution;
pub mod units;
