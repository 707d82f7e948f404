//! A plan in haste: what is left goes on sheets of its own, item by item.
//!
//! For searches that are told to stop before the first plan stood: dear, but whole, and made at once.

use super::filling::{Among, Filling};
use super::packed::Packed;
use super::problem::Problem;
use super::tree::Sheet;
use super::worth::Worth;

/// The plan with all that it leaves, but for optional items, on sheets of their own as far as stock lasts.
///
/// Runtime: linear in the items that are left, times kinds and the pieces on a sheet.
pub(super) fn complete(problem: &Problem, worth: &Worth, plan: Packed) -> Packed {
    let (mut sheets, mut left) = (plan.sheets, plan.left);
    let mut supply: Vec<u32> = problem.kinds.iter().map(|kind| kind.supply.unwrap_or(u32::MAX)).collect();
    for (sheet, copies) in &sheets {
        supply[sheet.kind()] = supply[sheet.kind()].saturating_sub(*copies);
    }
    let mut filling = Filling::new(problem, worth, left.clone());
    for item in (0..left.len()).filter(|&item| !problem.items[item].optional) {
        while left[item] > 0 {
            filling.left[item] = left[item];
            let kinds = (0..problem.kinds.len()).filter(|&kind| supply[kind] > 0);
            let alone: Vec<Sheet> = kinds.filter_map(|kind| alone(&mut filling, kind, item)).collect();
            // The cheapest for each piece, compared crosswise.
            let Some(sheet) = alone.into_iter().min_by(|a, b| {
                let cost = |sheet: &Sheet| problem.kinds[sheet.kind()].cost;
                let times = |sheet: &Sheet, other: &Sheet| cost(sheet).saturating_mul(other.count.into());
                times(a, b).cmp(&times(b, a))
            }) else {
                break;
            };
            let copies = (left[item] / sheet.count).min(supply[sheet.kind()]);
            supply[sheet.kind()] -= copies;
            left[item] -= copies * sheet.count;
            sheets.push((sheet, copies));
        }
    }
    Packed::new(problem, sheets, left)
}

/// A sheet of a kind with as many of an item as are left and have room; the filling stays empty.
fn alone(filling: &mut Filling<'_>, kind: usize, item: usize) -> Option<Sheet> {
    if !filling.place(item, Among::Fresh(kind), None, None, None, |_, _| {}) {
        return None;
    }
    while filling.left[item] > 0 && filling.place(item, Among::Open, None, None, None, |_, _| {}) {}
    let sheet = filling.sheets.last().cloned();
    filling.pop();
    sheet
}
