//! Linear and integer programs: rows, columns, floats, node budgets. Knows nothing of boards or sheets, reads no clock.

mod integer;
mod master;
#[cfg(test)]
mod twin;

pub use integer::Covering;
pub use master::{Master, Outcome};
