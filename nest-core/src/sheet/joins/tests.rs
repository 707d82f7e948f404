//! Sheets cut at random into pieces without waste, and put together again.

use super::beam::{self, State, Wanted};
use super::{exact, join};
use crate::model::{Batch, CheckedBatch, PartGrain, Stages};
use crate::search::Dice;
use crate::sheet::blocks::Blocks;
use crate::sheet::packed::Packed;
use crate::sheet::problem::Problem;
use crate::sheet::tests::{part, sheet, shop};

const KERF: i64 = 3;

/// Clean sizes of the pieces of a rectangle after so many cuts, each at a place drawn at random.
fn cut(dice: &mut Dice, size: [i64; 2], cuts: u32) -> Vec<[i64; 2]> {
    let mut pieces = vec![size];
    for _ in 0..cuts {
        let largest = (0..pieces.len()).max_by_key(|&at| pieces[at][0] * pieces[at][1]).unwrap_or(0);
        let [length, width] = pieces.swap_remove(largest);
        let mut at = |side: i64| side / 4 + i64::from(dice.below(side as u32 / 2));
        pieces.extend(if length > width {
            let near = at(length);
            [[near, width], [length - near - KERF, width]]
        } else {
            let near = at(width);
            [[length, near], [length, width - near - KERF]]
        });
    }
    pieces
}

/// Sheets of two sizes, one of each cut up.
fn drawn(seed: u64, grain: PartGrain, cuts: u32) -> Batch {
    let mut dice = Dice::new(seed, 0);
    let sizes = [[1200, 700], [900, 800]];
    let pieces: Vec<[i64; 2]> = sizes.iter().flat_map(|&size| cut(&mut dice, size, cuts)).collect();
    let mut parts: Vec<_> = pieces.iter().map(|&size| part("piece", size, 1, grain)).collect();
    for part in &mut parts {
        // Half of those that may turn are listed the other way round.
        if grain == PartGrain::Any && dice.once_in(2) {
            (part.length, part.width) = (part.width.unwrap_or(part.length), Some(part.length));
        }
    }
    dice.shuffle(&mut parts);
    let stock = vec![sheet("wide", sizes[0], 840), sheet("high", sizes[1], 720)];
    Batch { parts, stock, shop: shop(KERF, Stages::Any) }
}

fn checked(batch: Batch) -> CheckedBatch {
    batch.check().unwrap_or_else(|problems| panic!("{problems:?}"))
}

fn found(batch: Batch, below: i128, work: u64) -> Option<Packed> {
    let problem = Problem::new(&checked(batch), 0);
    join(&problem, below, 1, work, &|| false).0
}

#[test]
fn what_was_cut_without_waste_is_put_together_again() {
    for (seed, cuts) in [(1, 2), (2, 3), (3, 8), (4, 12), (5, 16), (6, 20)] {
        for grain in [PartGrain::Length, PartGrain::Any] {
            let problem = Problem::new(&checked(drawn(seed, grain, cuts)), 0);
            let plan = join(&problem, i128::MAX, seed, 20_000_000, &|| false).0;
            let plan = plan.unwrap_or_else(|| panic!("{seed} {grain:?}"));
            assert_eq!((plan.missing, plan.sheets.len()), (0, 2), "{seed} {grain:?}");
            let used: u64 = plan.sheets.iter().map(|(sheet, _)| sheet.used).sum();
            assert_eq!(used, problem.kinds.iter().map(|kind| kind.area()).sum::<u64>(), "{seed} {grain:?}");
        }
    }
}

/// Beams of three hundred states look at eleven million joins or more.
#[test]
fn a_hundred_pieces_are_put_together_by_narrow_beams() {
    for seed in 1..=6 {
        let problem = Problem::new(&checked(drawn(seed, PartGrain::Length, 50)), 0);
        let (plan, work) = join(&problem, i128::MAX, seed, 20_000_000, &|| false);
        assert!(plan.is_some_and(|plan| plan.missing == 0) && work < 6_000_000, "{seed}: {work}");
    }
}

#[test]
fn nothing_is_joined_that_would_not_pay_or_cannot_be_bought() {
    let whole = drawn(7, PartGrain::Length, 8);
    let cost = found(whole.clone(), i128::MAX, 20_000_000).map(|plan| plan.cost);
    let cost = cost.unwrap_or_else(|| panic!("no plan"));
    assert_eq!(found(whole.clone(), cost, 20_000_000).map(|plan| plan.cost), None);
    let mut short = whole.clone();
    short.stock[0].qty = Some(0);
    assert!(!exact(&Problem::new(&checked(short), 0), i128::MAX));
    let mut less = whole;
    less.parts[0].length -= crate::units::Length::mm(1);
    assert!(!exact(&Problem::new(&checked(less), 0), i128::MAX));
}

#[test]
fn tiles_and_bars_that_are_all_alike_fill_a_sheet() {
    let part = |name, size, qty| part(name, size, qty, PartGrain::Any);
    // Ten bars beside and above each other are as large as five tiles in a row.
    let parts = vec![part("tile", [20, 20], 75), part("bar", [100, 2], 50)];
    let stock = vec![sheet("wide", [200, 200], 400)];
    let batch = Batch { parts, stock, shop: shop(0, Stages::Any) };
    let plan = found(batch, i128::MAX, 20_000_000).unwrap_or_else(|| panic!("no plan"));
    assert_eq!((plan.missing, plan.cost, plan.sheets.len()), (0, 400, 1));
}

#[test]
fn very_many_small_sheets_are_not_counted_one_by_one() {
    let piece = |index: i64| part("piece", [2001 + 2 * index, 1501], 1, PartGrain::Any);
    // All sheets have an even area, the 149 pieces together an odd one.
    let parts = (0..148).map(piece).chain([part("tile", [19, 19], 1, PartGrain::Any)]).collect();
    let sizes = [[2800, 2070], [300, 400], [20, 30]];
    let stock = sizes.map(|size| sheet("sheet", size, 1)).to_vec();
    let batch = Batch { parts, stock, shop: shop(0, Stages::Any) };
    assert!(!exact(&Problem::new(&checked(batch), 0), i128::MAX));
}

#[test]
fn joining_asks_often_whether_to_stop() {
    let lengths = (0..140).map(|index| 101 + 7 * index + index * index % 13);
    let parts: Vec<_> = lengths.map(|length| part("bar", [length, 90], 1, PartGrain::Length)).collect();
    let stock = vec![sheet("long", [40_000, 1000], 400)];
    let problem = Problem::new(&checked(Batch { parts, stock, shop: shop(0, Stages::Any) }), 0);
    let mut blocks = Blocks::default();
    let pieces = blocks.pieces(&problem).unwrap_or_default();
    let asked = std::cell::Cell::new(0);
    let stop = || {
        asked.set(asked.get() + 1);
        asked.get() > 1000
    };
    let start = State::new(pieces);
    let (_, work) = beam::run(&Wanted::new(&problem), &mut blocks, start, 300, 0, &|_, _| false, &stop);
    assert!(work / asked.get() < 20_000, "{work} joins, asked {} times", asked.get());
}
