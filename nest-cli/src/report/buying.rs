//! What to buy, what it costs, what to take from the rack.

use super::Source;
use super::words::Words;
use crate::clean::clean;
use nest_core::model::{CheckedBatch, Measure};
use nest_core::plan::Plan;

/// The buying list.
#[derive(Clone, Debug)]
pub struct Buying {
    /// Whether anything has a price.
    pub priced: bool,
    /// What to buy.
    pub lines: Vec<BuyLine>,
    /// What to take from the rack.
    pub rack: Vec<BuyLine>,
    /// What all lines cost together, spare ones included.
    pub total: String,
    /// How many spare pieces the list holds, in words; `None` for none.
    pub spare: Option<String>,
}

/// One stock on the list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BuyLine {
    /// Index of the stock.
    pub stock: usize,
    /// Its name.
    pub name: String,
    /// Its material.
    pub material: String,
    /// Its size.
    pub size: String,
    /// How many, spare ones included.
    pub qty: String,
    /// How many of them are spare.
    pub spare: String,
    /// Price of one, without currency; empty where there is none.
    pub each: String,
    /// Price of all, without currency; empty where there is none.
    pub total: String,
}

/// One stock to buy or take, in numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Count {
    pub stock: usize,
    /// Cut by the plan.
    pub used: u64,
    /// Bought beside that.
    pub spare: u64,
}

/// What the plan uses of each stock, with the spare pieces on top: ascending, nothing with 0.
pub(super) fn counts(batch: &CheckedBatch, plan: &Plan, spare: u32) -> Vec<Count> {
    let mut used = vec![0_u64; batch.stock().len()];
    for layout in &plan.layouts {
        used[layout.stock] += u64::from(layout.copies);
    }
    let count = |(stock, used): (usize, u64)| {
        let entry = &batch.stock()[stock];
        // Spare boards are for the crooked one among those that are bought; the rack is what it is.
        let wanted = if on_hand(batch, stock) { 0 } else { (used * u64::from(spare)).div_ceil(1000) };
        let there = entry.qty.map_or(u64::MAX, |qty| u64::from(qty).saturating_sub(used));
        Count { stock, used, spare: wanted.min(there) }
    };
    used.into_iter().enumerate().filter(|&(_, used)| used > 0).map(count).collect()
}

pub(super) fn on_hand(batch: &CheckedBatch, stock: usize) -> bool {
    batch.batch().stock[stock].on_hand
}

pub(super) fn buying(source: &Source<'_>, words: &Words) -> Buying {
    let batch = source.batch;
    let priced = batch.measure() == Measure::Money;
    let counts = counts(batch, &source.solution.plan, source.spare);
    let (mut lines, mut rack) = (Vec::new(), Vec::new());
    let (mut total, mut spare) = (0_i128, 0_u64);
    for count in counts {
        let stock = &batch.stock()[count.stock];
        let asked = &batch.batch().stock[count.stock];
        let qty = count.used + count.spare;
        let cost = stock.cost * i128::from(qty);
        total += cost;
        spare += count.spare;
        let line = BuyLine {
            stock: count.stock,
            name: clean(&asked.name),
            material: clean(&asked.material),
            size: words.size(stock.size),
            qty: qty.to_string(),
            spare: count.spare.to_string(),
            each: if priced { words.bare(stock.cost) } else { String::new() },
            total: if priced { words.bare(cost) } else { String::new() },
        };
        if asked.on_hand { &mut rack } else { &mut lines }.push(line);
    }
    let spare = (spare > 0).then(|| super::words::count(u128::from(spare), "spare piece"));
    Buying { priced, lines, rack, total: words.cost(total), spare }
}
