//! Questions that no shop asks: sheets as narrow as a lath, pieces thinner than the kerf, too little of many kinds.

use super::{judged, part, sheet, shop, solved};
use crate::model::{Batch, CheckedBatch, FirstCut, PartGrain, Stages};
use crate::search::Dice;
use crate::units::Length;

/// An odd question, drawn by its number. `None` where it is refused.
fn drawn(seed: u64) -> Option<CheckedBatch> {
    let mut dice = Dice::new(seed, 7);
    let mut between = |low: u32, high: u32| i64::from(low + dice.below(high - low + 1));
    let stages = [Stages::Any, Stages::Any, Stages::Limited(2), Stages::Limited(3), Stages::Limited(4)];
    let mut shop = shop([0, 1, 3, 25][between(0, 3) as usize], stages[between(0, 4) as usize]);
    let sheets = &mut shop.sheets;
    sheets.trimming = between(0, 1) == 1;
    sheets.first_cut = [FirstCut::Either, FirstCut::Rip, FirstCut::Crosscut][between(0, 2) as usize];
    sheets.trim = [0; 4].map(|_: i64| Length::mm(if between(0, 3) == 0 { 30 } else { 0 }));
    sheets.fence_reach = (between(0, 5) == 0).then(|| Length::mm(between(20, 300)));
    let narrow = between(0, 1) == 1;
    let across = if narrow { [61, 90] } else { [200, 500] };
    let mut stock: Vec<_> = (0..between(1, 4))
        .map(|_| {
            let size = [between(300, 2500), between(across[0], across[1])];
            let mut sheet = sheet("sheet", size, between(0, 50));
            sheet.qty = (between(0, 3) > 0).then(|| between(0, 3) as u32);
            sheet
        })
        .collect();
    stock[0].qty = stock[0].qty.map(|qty| qty.max(1));
    let least = stock.iter().map(|sheet| sheet.width.map_or(0, |width| width.ticks())).min()?;
    let least = (least / Length::TICKS_PER_MM) as u32;
    let parts = (0..between(1, 5))
        .map(|_| {
            let grain = [PartGrain::Length, PartGrain::Width, PartGrain::Any][between(0, 2) as usize];
            let tiny = between(0, 2) == 0;
            let (longest, widest) = if tiny { (12, 9) } else { (240, least.saturating_sub(60).max(2)) };
            let size = [between(1, longest), between(1, widest)];
            let mut part = part("part", size, between(1, if tiny { 60 } else { 12 }) as u32, grain);
            part.optional = between(0, 6) == 0;
            part
        })
        .collect();
    Batch { parts, stock, shop }.check().ok()
}

#[test]
fn plans_of_odd_questions_pass_the_check() {
    let mut sound = 0;
    for seed in 0..200 {
        let Some(batch) = drawn(seed) else { continue };
        sound += 1;
        judged(&batch, solved(&batch, seed, 40_000));
    }
    assert!(sound > 100, "{sound} of 200");
}

/// Where sizes share no grid, areas count in square ticks: those of twenty-five such panels are more than 64 bits hold.
#[test]
fn areas_may_add_up_to_any_number() {
    let mut stock = sheet("hall", [12_000, 12_000], 40);
    stock.length += Length::from_ticks(7);
    let mut panel = part("panel", [11_900, 11_900], 25, PartGrain::Length);
    panel.length += Length::from_ticks(10);
    let shop = shop(0, Stages::Any);
    let batch = Batch { parts: vec![panel], stock: vec![stock], shop }.check().unwrap();
    let (plan, ..) = judged(&batch, solved(&batch, 1, 40_000));
    assert_eq!(plan.layouts.iter().map(|layout| layout.copies).sum::<u32>(), 25);
}

/// What is not made counts as it was asked for. With a kerf of 4 mm around each, 57 x 5 mm takes more of a sheet than
/// 30 x 10 mm, which is the larger piece.
#[test]
fn what_is_left_over_counts_without_kerf() {
    let mut shop = shop(4, Stages::Limited(4));
    shop.sheets.trimming = false;
    shop.sheets.trim = [4, 6, 5, 7].map(Length::mm);
    let mut stock = sheet("only", [100, 40], 1);
    stock.qty = Some(1);
    let parts = vec![
        part("thin", [5, 57], 1, PartGrain::Any),
        part("stout", [30, 10], 1, PartGrain::Length),
        part("large", [90, 14], 1, PartGrain::Any),
    ];
    let batch = Batch { parts, stock: vec![stock], shop }.check().unwrap();
    let (plan, ..) = judged(&batch, solved(&batch, 1, 40_000));
    assert_eq!(plan.unplaced, [(0, 1)]);
}
