//! Cutting plans for boards and sheets.
#![forbid(unsafe_code)]
#![deny(missing_docs)]

pub mod units;
