//! Which way does the grain of an owned sheet run, where its list does not say?
//!
//! As in the sheets of its material that are bought, if those agree: what is on the rack was once one of them. Taken to
//! have a grain where they have none, it would not hold parts that it holds.

use std::collections::{BTreeMap, BTreeSet};

use super::super::fold::fold;
use super::super::problem::{Findings, stock as place};
use super::super::{Batch, Group, Stock, StockGrain, Table, UsableStock, Warning};

/// The grains of the sheets of one material that are bought.
#[derive(Default)]
struct Bought {
    /// Each once; without a grain a sheet has it along its length.
    grains: Vec<StockGrain>,
    /// Whether any is stated.
    stated: bool,
}

/// Fills in the grain of owned sheets, where all that are bought agree. A grain in doubt allows everything.
pub fn fill_in(batch: &mut Batch, boards: &[bool], found: &Findings) {
    let doubtful: BTreeSet<String> = batch
        .stock
        .iter()
        .enumerate()
        .filter(|(row, _)| !found.sure_row(Table::Stock, *row))
        .map(|(_, stock)| fold(&stock.material))
        .collect();
    for (row, stock) in batch.stock.iter_mut().enumerate() {
        let open = stock.grain.is_none() && doubtful.contains(&fold(&stock.material));
        if open || !found.sure(place(row, "grain")) {
            // That of a board runs along its length.
            stock.grain = (!boards[row]).then_some(StockGrain::None);
        }
    }
    let bought = bought(batch, |index| !boards[index]);
    for (stock, _) in batch.stock.iter_mut().zip(boards).filter(|(stock, board)| !**board && stock.on_hand) {
        match bought.get(&fold(&stock.material)) {
            Some(Bought { grains, stated: true }) if grains.len() == 1 && stock.grain.is_none() => {
                stock.grain = grains.first().copied();
            }
            _ => {}
        }
    }
}

/// Owned sheets without a grain, of a material that is bought with several.
pub fn doubt(batch: &Batch, stock: &[UsableStock], groups: &[Group]) -> Option<Warning> {
    let bought = bought(batch, |index| !stock[index].board);
    let mut doubtful = groups.iter().flat_map(|group| &group.stock).copied().filter(|&index| {
        let asked = &batch.stock[index];
        let differ = || bought.get(&fold(&asked.material)).is_some_and(|bought| bought.grains.len() > 1);
        !stock[index].board && asked.on_hand && asked.grain.is_none() && differ()
    });
    let first = doubtful.next()?;
    let Stock { name, material, .. } = batch.stock[first].clone();
    Some(Warning::OwnedGrain { stock: first, name, material, more: doubtful.count() })
}

/// By material, folded.
fn bought(batch: &Batch, sheet: impl Fn(usize) -> bool) -> BTreeMap<String, Bought> {
    let mut bought: BTreeMap<String, Bought> = BTreeMap::new();
    for (_, stock) in batch.stock.iter().enumerate().filter(|(index, s)| sheet(*index) && !s.on_hand) {
        let entry = bought.entry(fold(&stock.material)).or_default();
        let grain = stock.grain.unwrap_or(StockGrain::Length);
        if !entry.grains.contains(&grain) {
            entry.grains.push(grain);
        }
        entry.stated |= stock.grain.is_some();
    }
    bought
}
