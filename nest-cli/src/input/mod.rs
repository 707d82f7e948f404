//! Files to a question: every value keeps its file, line and column until the question was checked.
//!
//! `source` reads bytes, `csv` splits them into cells, `cells` and `toml` read values, `parts` and `stock` make rows
//! of them, and `batch` puts it all together.

mod batch;
mod cells;
mod columns;
pub mod csv;
pub mod json;
mod parts;
mod source;
mod stock;
mod toml;

pub use batch::{Files, Overrides, Question, read};
pub use source::{MOST_BYTES, Source, announce, load, load_bytes};
