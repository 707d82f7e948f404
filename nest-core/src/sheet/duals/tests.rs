//! Functions of many parts and many kinds of sheets.

use super::*;
use crate::check::{Floor, floor_of};
use crate::model::{Batch, CheckedBatch, PartGrain, Stages};
use crate::search::Dice;
use crate::sheet::tests::{part, sheet, shop};

/// Parts of many sizes from a sheet to buy and many that are left over, each once.
fn leftovers(kinds: u32) -> CheckedBatch {
    let mut dice = Dice::new(1, 0);
    let mut side = |from: u32, to: u32| i64::from(from + dice.below(to - from));
    let parts = (0..100).map(|_| part("part", [side(200, 700), side(200, 600)], 1, PartGrain::Any)).collect();
    let mut stock: Vec<_> =
        (0..kinds).map(|_| sheet("left", [side(700, 2800), side(700, 2000)], side(10, 90))).collect();
    stock.iter_mut().for_each(|stock| stock.qty = Some(1));
    stock.push(sheet("bought", [2800, 2070], 100));
    Batch { parts, stock, shop: shop(3, Stages::Any) }.check().unwrap_or_else(|problems| panic!("{problems}"))
}

/// Of parts longer than half a sheet other functions count more, but without it areas prove nothing.
#[test]
fn the_plain_size_stays_however_few_functions_do() {
    let mut dice = Dice::new(3, 0);
    let mut side = |from: u32, to: u32| i64::from(from + dice.below(to - from));
    let parts =
        (0..20).map(|_| part("part", [side(1500, 2000), side(1100, 1500)], 1, PartGrain::Any)).collect();
    let stock = vec![sheet("bought", [2800, 2070], 100)];
    let batch = Batch { parts, stock, shop: shop(3, Stages::Any) };
    let batch = batch.check().unwrap_or_else(|problems| panic!("{problems}"));
    let problem = Problem::new(&batch, 0);
    let mut sides = Sides::new(&problem, 0, MOST_PARAMETERS);
    let best = sides.best_pair().map(|pair| pair.map(|tried| tried.dual));
    assert!(best.is_some_and(|best| best.iter().all(|dual| *dual != Dual::Plain)), "{best:?}");
    let three_by_three = 9 * sides.items.len();
    sides.thin(three_by_three);
    for axis in [&sides.along, &sides.across] {
        assert_eq!(axis.len(), 3);
        assert_eq!(axis[0].dual, Dual::Plain);
    }
}

/// Whether the functions of a kind have parameters that are sizes of parts.
fn fitted(sides: &Sides<'_>) -> bool {
    sides.along.iter().chain(&sides.across).any(|tried| matches!(tried.dual, Dual::Cut(_)))
}

#[test]
fn of_many_kinds_only_few_are_looked_at_when_told_to_stop() {
    let batch = leftovers(40);
    let problem = Problem::new(&batch, 0);
    for stop in [false, true] {
        let duals = Duals::new(&problem, &|| stop);
        let full = duals.sides.iter().filter(|sides| fitted(sides)).count();
        assert_eq!(full, if stop { FEW_KINDS } else { 41 });
        let asked = std::cell::Cell::new(0);
        let proofs = duals.proofs(&|| {
            asked.set(asked.get() + 1);
            stop
        });
        assert_eq!(asked.get(), if stop { 1 } else { MOST_KINDS - FEW_KINDS });
        let proof = proofs.first().unwrap_or_else(|| panic!("no proof"));
        assert!(proof.floor > 0);
        assert_eq!(floor_of(&batch, 0, &proof.certificate).ok(), Some(Floor::Cost(proof.floor)));
    }
    // What there is most of says the most.
    assert!(Duals::new(&problem, &|| true).leading().contains(&40));
}
