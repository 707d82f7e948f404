//! Linear and integer programs: rows, columns, floats, node budgets. Knows nothing of boards or sheets.
mod master;
pub use master::{Master, Outcome};
