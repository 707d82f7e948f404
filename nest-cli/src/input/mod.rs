//! Files to a question: every value keeps its file, line and column until the question was checked.
//!
//! `source` reads bytes; `csv` splits a list into cells, `list` into rows, `shape` sees whether those fit the header
//! and `misfits` tells which do not, and `cells` reads one row for `parts` and `stock`, where `hints` knows what people write
//! instead of a number; `syntax` sees whether a shop
//! file is TOML, `toml` takes it apart and `shop` reads it; `kinds` knows a file that was given as
//! another; `batch` puts it all together, each list under what `jobs` calls it.

mod batch;
mod cells;
mod columns;
pub mod csv;
mod findings;
mod hints;
mod jobs;
pub mod json;
mod kinds;
#[cfg(test)]
mod laws;
mod list;
mod misfits;
mod papers;
mod parts;
mod same;
mod shape;
mod shop;
mod source;
mod stock;
mod syntax;
mod toml;

pub(crate) use parts::{PART_GRAIN, WAYS};
pub(crate) use shop::FIRST_CUTS;
pub(crate) use stock::{FORMS, PER, STOCK_GRAIN};

pub use batch::{Files, Overrides, Question, given_twice, read};
pub use same::is_stdin;
pub use source::{MOST_BYTES, Source, announce, load, load_bytes};
