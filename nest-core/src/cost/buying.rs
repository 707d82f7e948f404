//! What to buy, what to take from the rack, and what all leftovers are worth.

use crate::model::CheckedBatch;
use crate::plan::Plan;
use crate::units::{Length, Money};

/// Everything that a plan takes, in the order of the stock list.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct Bill {
    /// What to buy.
    pub buy: Vec<Bought>,
    /// What to take from the rack.
    pub take: Vec<Taken>,
    /// Sum of all that is bought, spare boards included; `None` where some of it has no price.
    pub total: Option<Money>,
    /// What the rack pieces taken are worth together, as far as they have a price.
    pub taken: Money,
    /// What all offcuts are worth together: their share of the price of what they are cut from, by area (by length
    /// on boards without a width), each rounded down.
    pub left: Money,
}

/// Stock to buy.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct Bought {
    /// Index of the stock.
    pub stock: usize,
    /// How many to buy, spare ones included.
    pub qty: u64,
    /// How many of them are spare: beyond what the plan cuts.
    pub spare: u64,
    /// Price of one.
    pub each: Option<Money>,
    /// Price of all.
    pub total: Option<Money>,
}

/// Stock to take from the rack.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct Taken {
    /// Index of the stock.
    pub stock: usize,
    /// How many.
    pub qty: u64,
    /// What one is worth.
    pub each: Option<Money>,
    /// What all are worth.
    pub total: Option<Money>,
}

/// The bill of a plan. `spare` thousandths of each kind of board that is bought, rounded up, are bought beside what the
/// plan cuts, for the crooked ones, but never more than there is: 100 for a tenth more, 0 for none.
pub fn bill(batch: &CheckedBatch, plan: &Plan, spare: u32) -> Bill {
    let mut bill = Bill { total: Some(Money::ZERO), ..Bill::default() };
    let mut used = vec![0_u64; batch.stock().len()];
    for layout in &plan.layouts {
        let Some(stock) = batch.stock().get(layout.stock) else { continue };
        used[layout.stock] = used[layout.stock].saturating_add(layout.copies.into());
        let Some(each) = stock.each else { continue };
        for place in layout.offcuts(stock) {
            let worth = part_of(each, place.node.size, stock.size);
            bill.left = sum(bill.left, times(worth, layout.copies.into()));
        }
    }
    for (s, (stock, &used)) in batch.stock().iter().zip(&used).enumerate().filter(|(_, (_, used))| **used > 0)
    {
        if stock.on_hand {
            let total = stock.each.map(|each| times(each, used));
            bill.taken = sum(bill.taken, total.unwrap_or(Money::ZERO));
            bill.take.push(Taken { stock: s, qty: used, each: stock.each, total });
            continue;
        }
        let wanted = if stock.board { used.saturating_mul(spare.into()).div_ceil(1000) } else { 0 };
        let there = stock.qty.map_or(u64::MAX, |qty| u64::from(qty).saturating_sub(used));
        let spare = wanted.min(there);
        let qty = used.saturating_add(spare);
        let total = stock.each.map(|each| times(each, qty));
        bill.total = bill.total.zip(total).map(|(all, this)| sum(all, this));
        bill.buy.push(Bought { stock: s, qty, spare, each: stock.each, total });
    }
    bill
}

/// The share of a price that falls to a part of what it buys, rounded down: by area, or by length where there is
/// no width. On a part as wide as the whole the two are the same.
pub fn part_of(each: Money, part: [Length; 2], whole: [Length; 2]) -> Money {
    let flat = !whole[1].is_positive();
    let amount = |size: [Length; 2]| {
        let [along, across] = size.map(|side| i128::from(side.ticks()));
        if flat { along } else { along.saturating_mul(across) }
    };
    let (part, whole) = (amount(part), amount(whole));
    if whole <= 0 {
        return Money::ZERO;
    }
    let minor = i128::from(each.minor()).saturating_mul(part) / whole;
    Money::from_minor(i64::try_from(minor).unwrap_or(i64::MAX))
}

fn times(each: Money, count: u64) -> Money {
    each.checked_mul(count).unwrap_or(Money::from_minor(i64::MAX))
}

pub(super) fn sum(a: Money, b: Money) -> Money {
    a.checked_add(b).unwrap_or(Money::from_minor(i64::MAX))
}
