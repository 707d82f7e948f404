//! Is a plan right, and does its certificate prove what it claims? Asked of every plan, whoever made it.
//!
//! The check shares nothing with any solver: it knows the question, the plan, and its own whole-number arithmetic.
//! It never panics, whatever the plan holds, and lists all that is wrong (up to a limit), not the first.
//!
//! What is true of a plan that passes: every layout can be sawn edge to edge from its stock with the kerfs and edge
//! trims of the question; every piece has its cut size and lies as it may; parts whose grain is matched are
//! one strip in order; no part is made too often and every
//! one not made is named; no more stock is used than there is; every floor is proven by its certificate.
#![deny(clippy::float_arithmetic)]

mod asked;
mod bound;
mod cover;
mod dual;
mod fault;
mod guillotine;
mod knapsack;
mod panel;
#[cfg(test)]
pub(crate) mod plain_cuts;
mod refusal;
mod regions;
mod saw;
#[cfg(test)]
mod set_twins;
mod sets;
mod shapes;
mod shares;
mod strips;
mod tree;
#[cfg(test)]
mod twins;
mod which;
mod words;

pub use bound::{Floor, floor_of};
pub use fault::{Fault, Faults, Spot};
pub use refusal::Refusal;
pub use which::Which;

use crate::model::CheckedBatch;
use crate::plan::{GroupClaim, Plan};

/// What was found out about a plan that passed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Checked {
    /// One entry for each group of the batch, same index.
    pub groups: Vec<CheckedGroup>,
    /// How many of each part are made.
    pub made: Vec<u64>,
    /// How many of each stock are used.
    pub used: Vec<u64>,
}

/// What was found out about one group.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CheckedGroup {
    /// Cost of the stock used, in the batch's measure.
    pub cost: i128,
    /// The plan's floor, which its certificate proves: no plan that makes every required part costs less.
    pub floor: i128,
    /// Whether every required part is made.
    pub complete: bool,
    /// Whether the certificate proves that the stock is not enough for every required part.
    pub impossible: bool,
}

impl Checked {
    /// Cost of all stock used, in the batch's measure.
    pub fn cost(&self) -> i128 {
        self.groups.iter().map(|group| group.cost).fold(0, i128::saturating_add)
    }

    /// Sum of the accepted floors.
    pub fn floor(&self) -> i128 {
        self.groups.iter().map(|group| group.floor).fold(0, i128::saturating_add)
    }

    /// Whether every required part is made.
    pub fn complete(&self) -> bool {
        self.groups.iter().all(|group| group.complete)
    }
}

/// Judges a plan.
///
/// Runtime: linear in the plan and the question, and for each certificate as said at [`floor_of`].
///
/// # Errors
/// Everything that is wrong with it, at most 1000 faults and then [`Fault::More`].
pub fn check(batch: &CheckedBatch, plan: &Plan) -> Result<Checked, Faults> {
    let mut faults = Faults::none();
    let mut made = vec![0_u64; batch.parts().len()];
    let mut used = vec![0_u64; batch.stock().len()];
    let strips = strips::Strips::new(batch);
    for (l, layout) in plan.layouts.iter().enumerate() {
        let copies = u64::from(layout.copies);
        if copies == 0 {
            faults.push(Fault::NoCopies { layout: l });
        }
        match used.get_mut(layout.stock) {
            Some(used) => *used = used.saturating_add(copies),
            None => {
                faults.push(Fault::NoStock { layout: l, found: layout.stock });
                continue;
            }
        }
        let pieces = tree::judge(batch, l, layout, &mut faults);
        strips.judge(l, layout.stock, &pieces, &mut faults);
        for piece in pieces {
            if let Some(made) = made.get_mut(piece.part) {
                *made = made.saturating_add(copies);
            }
        }
    }
    supply(batch, &used, &mut faults);
    demand(batch, plan, &made, &mut faults);
    let groups = claims(batch, plan, &made, &used, &mut faults);
    if faults.is_empty() { Ok(Checked { groups, made, used }) } else { Err(faults) }
}

fn supply(batch: &CheckedBatch, used: &[u64], faults: &mut Faults) {
    for (s, (stock, &found)) in batch.stock().iter().zip(used).enumerate() {
        if let Some(most) = stock.qty.filter(|&most| found > most.into()) {
            faults.push(Fault::Supply { stock: Which::stock(batch, s), most, found });
        }
    }
}

fn demand(batch: &CheckedBatch, plan: &Plan, made: &[u64], faults: &mut Faults) {
    let mut named = vec![0_u64; made.len()];
    let mut before = None;
    for (entry, &(part, count)) in plan.unplaced.iter().enumerate() {
        if before.is_some_and(|before| part <= before) || count == 0 {
            faults.push(Fault::UnplacedOrder { entry });
        }
        before = Some(part);
        match named.get_mut(part) {
            Some(named) => *named = named.saturating_add(count.into()),
            None => faults.push(Fault::UnplacedUnknown { found: part }),
        }
    }
    for (p, (part, (&made, &found))) in batch.batch().parts.iter().zip(made.iter().zip(&named)).enumerate() {
        let asked = u64::from(part.qty);
        if made > asked {
            faults.push(Fault::TooMany { part: Which::part(batch, p), most: part.qty, found: made });
        }
        let expected = asked.saturating_sub(made);
        if found != expected {
            faults.push(Fault::Unplaced { part: Which::part(batch, p), expected, found });
        }
    }
}

fn claims(
    batch: &CheckedBatch,
    plan: &Plan,
    made: &[u64],
    used: &[u64],
    faults: &mut Faults,
) -> Vec<CheckedGroup> {
    let (expected, found) = (batch.groups().len(), plan.groups.len());
    if expected != found {
        faults.push(Fault::Groups { expected, found });
        return Vec::new();
    }
    let sound = faults.is_empty();
    let mut groups = Vec::new();
    for (g, (group, claim)) in batch.groups().iter().zip(&plan.groups).enumerate() {
        let complete = group.parts.iter().all(|&p| match (batch.batch().parts.get(p), made.get(p)) {
            (Some(part), Some(&made)) => part.optional || made >= part.qty.into(),
            _ => true,
        });
        let cost = group.stock.iter().try_fold(0_i128, |sum, &s| {
            let (Some(stock), Some(&used)) = (batch.stock().get(s), used.get(s)) else { return Some(sum) };
            sum.checked_add(stock.cost.checked_mul(used.into())?)
        });
        let Some(cost) = cost else {
            faults.push(Fault::TooLarge { what: "the cost of a group" });
            continue;
        };
        let proven = proven(batch, g, claim, faults);
        // A plan with other faults may well be cheaper than possible.
        let contradicts = match proven {
            Some(Floor::Cost(floor)) => floor > cost,
            Some(Floor::Impossible) => true,
            None => false,
        };
        if sound && complete && contradicts {
            faults.push(Fault::Contradiction { group: g });
        }
        let impossible = proven == Some(Floor::Impossible);
        groups.push(CheckedGroup { cost, floor: claim.floor, complete, impossible });
    }
    groups
}

/// What the claim's certificate proves, if that is at least the claimed floor.
fn proven(batch: &CheckedBatch, group: usize, claim: &GroupClaim, faults: &mut Faults) -> Option<Floor> {
    let found = claim.floor;
    let Some(certificate) = &claim.certificate else {
        if found != 0 {
            faults.push(Fault::FloorUnproven { group, found });
        }
        return None;
    };
    let floor = match floor_of(batch, group, certificate) {
        Ok(floor) => floor,
        Err(refusal) => {
            faults.push(Fault::Certificate { group, refusal });
            return None;
        }
    };
    let proven = match floor {
        Floor::Cost(proven) => proven,
        Floor::Impossible => 0,
    };
    if found < 0 || found > proven {
        faults.push(Fault::FloorTooHigh { group, proven, found });
        return None;
    }
    Some(floor)
}
