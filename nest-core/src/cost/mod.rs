//! What does a plan cost: what to buy, what comes from the rack, how much edge band, what each job owes,
//! and how little a cheaper plan might waste.
//!
//! Amounts of money are exact. They cannot overflow for any batch that passed validation and any plan that passed
//! the check; for others they stop at the largest amount there is.
#![deny(clippy::float_arithmetic)]

mod banding;
mod buying;
mod cheaper;
mod shares;

pub use banding::{Banding, banding};
pub use buying::{Bill, Bought, Taken, bill, part_of};
pub use cheaper::{Slack, slack_below};
pub use shares::{JobShare, shares, split};

use crate::model::CheckedBatch;
use crate::plan::Plan;

/// Cost of all stock that a plan uses, in the batch's measure; what is on hand costs nothing.
pub fn cost(batch: &CheckedBatch, plan: &Plan) -> i128 {
    let costs = plan.layouts.iter().filter_map(|layout| {
        Some(batch.stock().get(layout.stock)?.cost.saturating_mul(layout.copies.into()))
    });
    costs.fold(0, i128::saturating_add)
}
