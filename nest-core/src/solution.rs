//! What a solve returns: a checked plan and how good it is.

use crate::plan::Plan;
use crate::search::Stop;

/// A plan that passed the check, with what is known about it.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct Solution {
    /// The plan.
    pub plan: Plan,
    /// How good it is.
    pub status: Status,
    /// One entry for each group, same index.
    pub groups: Vec<GroupOutcome>,
    /// Cost of all stock used, in the batch's measure: [`Measure`](crate::model::Measure) turns it into money and words.
    #[cfg_attr(feature = "serde", serde(with = "crate::plan::form::text"))]
    pub cost: i128,
    /// No plan that makes every required part can cost less; the sum of the groups' accepted floors.
    #[cfg_attr(feature = "serde", serde(with = "crate::plan::form::text"))]
    pub floor: i128,
    /// Why the search ended: the most severe reason of all groups.
    pub stop: Stop,
}

/// How one group came out.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct GroupOutcome {
    /// Cost of the stock used, in the batch's measure.
    #[cfg_attr(feature = "serde", serde(with = "crate::plan::form::text"))]
    pub cost: i128,
    /// Floor accepted by the check.
    #[cfg_attr(feature = "serde", serde(with = "crate::plan::form::text"))]
    pub floor: i128,
    /// How good it is.
    pub status: Status,
    /// For a partial plan: whether it is proven that the stock is not enough.
    pub impossible: bool,
    /// Why the search ended.
    pub stop: Stop,
    /// Units of work done, the same on every machine.
    pub work: u64,
}

/// How good a plan is. There is no value for "optimal" without a proof.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "lowercase"))]
pub enum Status {
    /// Every required part is made and the cost meets the accepted floor.
    Proven,
    /// Every required part is made; a cheaper plan is not excluded.
    Feasible,
    /// Some required parts could not be made from the stock there is.
    Partial,
}
