//! Is a plan right, and does its certificate prove what it claims? Asked of every plan, whoever made it.
//!
//! The check shares nothing with any solver: it knows the question, the plan, and its own whole-number arithmetic.
//! It never panics, whatever the plan holds.
#![deny(clippy::float_arithmetic)]

mod bound;
mod cover;
mod knapsack;
mod refusal;
mod regions;
#[cfg(test)]
mod twins;
mod which;

pub use bound::{Floor, floor_of};
pub use refusal::Refusal;
pub use which::Which;
