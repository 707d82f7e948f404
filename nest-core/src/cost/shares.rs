//! What does each job owe? Its share of every piece of stock that its parts are cut from.
//!
//! The cost of a layout goes to the jobs in proportion to what their parts take of it, so waste is spread over the
//! parts. Amounts are whole; what rounding leaves goes to the largest remainders, the earlier job first, so that
//! the shares of each layout, and of the plan, add up exactly.

use super::buying::sum;
use crate::model::CheckedBatch;
use crate::plan::{Layout, Plan};
use crate::units::{Length, Money};
use std::collections::BTreeMap;

/// What falls to one job.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct JobShare {
    /// The job, as written first; empty for parts without one.
    pub job: String,
    /// Its share of the cost, in the batch's measure.
    #[cfg_attr(feature = "serde", serde(with = "crate::plan::form::text"))]
    pub cost: i128,
    /// Its share of what the rack pieces used are worth, as far as they have a price.
    pub taken: Money,
    /// Its share of what is used and was paid for with an earlier plan.
    pub paid: Money,
    /// How many pieces are made for it.
    pub pieces: u64,
}

/// The shares of all jobs, in the order of their first parts. The costs add up to [`cost`](super::cost). The last
/// `carried` rows of the stock are what earlier plans of the job bought and left: [`Before::carried`], 0 for a plan that
/// carries nothing on.
///
/// Runtime: linear in parts and pieces, but for a logarithm of the jobs.
///
/// [`Before::carried`]: crate::rest::Before::carried
pub fn shares(batch: &CheckedBatch, plan: &Plan, carried: usize) -> Vec<JobShare> {
    let listed = batch.stock().len().saturating_sub(carried);
    let mut shares: Vec<JobShare> = Vec::new();
    let mut numbers = BTreeMap::new();
    let mut job_of = Vec::new();
    for part in &batch.batch().parts {
        let number = *numbers.entry(part.job.as_str()).or_insert_with(|| {
            shares.push(JobShare {
                job: part.job.clone(),
                cost: 0,
                taken: Money::ZERO,
                paid: Money::ZERO,
                pieces: 0,
            });
            shares.len() - 1
        });
        job_of.push(number);
    }
    for layout in &plan.layouts {
        let Some(stock) = batch.stock().get(layout.stock) else { continue };
        let (jobs, weights): (Vec<usize>, Vec<i128>) = weights(layout, &job_of).into_iter().unzip();
        let copies = i128::from(layout.copies);
        let cost = stock.cost.saturating_mul(copies);
        let worth = match (stock.on_hand, stock.each) {
            (true, Some(each)) => i128::from(each.minor()).saturating_mul(copies),
            _ => 0,
        };
        let amounts = split(cost, &weights).into_iter().zip(split(worth, &weights));
        for (job, (cost, worth)) in jobs.into_iter().zip(amounts) {
            let Some(share) = shares.get_mut(job) else { continue };
            share.cost = share.cost.saturating_add(cost);
            let had = if layout.stock < listed { &mut share.taken } else { &mut share.paid };
            *had = sum(*had, Money::from_minor(i64::try_from(worth).unwrap_or(i64::MAX)));
        }
        for piece in &layout.pieces {
            if let Some(share) = job_of.get(piece.part).and_then(|&job| shares.get_mut(job)) {
                share.pieces = share.pieces.saturating_add(layout.copies.into());
            }
        }
    }
    shares
}

/// Length (or area, where pieces have a width) of the pieces in one layout of each job that has some there.
fn weights(layout: &Layout, job_of: &[usize]) -> BTreeMap<usize, i128> {
    let mut weights = BTreeMap::new();
    for piece in &layout.pieces {
        let [along, across] = piece.size;
        let across = if across == Length::ZERO { 1 } else { i128::from(across.ticks()) };
        let size = i128::from(along.ticks()).saturating_mul(across).max(0);
        if let Some(&job) = job_of.get(piece.part) {
            let weight: &mut i128 = weights.entry(job).or_default();
            *weight = weight.saturating_add(size);
        }
    }
    weights
}

/// Splits an amount in proportion to weights, by largest remainders: the parts are whole, add up to the amount, and
/// each is less than one away from its exact share. Equal remainders: the earlier one first. Nothing for anybody
/// where there is no weight. Neither amount nor weights may be negative.
///
/// ```
/// use nest_core::cost::split;
/// assert_eq!(split(100, &[1, 1, 1]), [34, 33, 33]);
/// assert_eq!(split(10, &[0, 3, 1]), [0, 8, 2]);
/// ```
pub fn split(amount: i128, weights: &[i128]) -> Vec<i128> {
    let amount = amount.max(0);
    let total = weights.iter().fold(0_i128, |sum, &weight| sum.saturating_add(weight.max(0)));
    if total == 0 {
        return vec![0; weights.len()];
    }
    let exact = weights.iter().map(|&weight| divide(amount, weight.max(0), total));
    let (mut parts, remainders): (Vec<i128>, Vec<i128>) = exact.unzip();
    let mut order: Vec<usize> = (0..weights.len()).filter(|&i| remainders[i] > 0).collect();
    order.sort_by_key(|&i| (std::cmp::Reverse(remainders[i]), i));
    let mut left = amount - parts.iter().sum::<i128>();
    for i in order {
        if left > 0 {
            parts[i] += 1;
            left -= 1;
        }
    }
    parts
}

/// `amount * weight / total` and the remainder, for `weight <= total`, without the product: whole multiples of
/// the total first, then bit by bit, as a person multiplies on paper.
fn divide(amount: i128, weight: i128, total: i128) -> (i128, i128) {
    if let Some(product) = amount.checked_mul(weight) {
        return (product / total, product % total);
    }
    let (weight, total) = (weight.unsigned_abs(), total.unsigned_abs());
    let (mut quotient, mut rest) = (0_i128, 0_u128);
    for bit in (0..127).rev() {
        // Doubled, and `weight` added where the bit is set; `rest` is below `total`, that below 2^127.
        let doubled = rest * 2;
        let added = doubled % total + if amount >> bit & 1 == 1 { weight } else { 0 };
        quotient = quotient * 2 + (doubled / total + added / total) as i128;
        rest = added % total;
    }
    (quotient, rest as i128)
}
