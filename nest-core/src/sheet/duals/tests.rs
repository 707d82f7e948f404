//! Functions of many parts and many kinds of sheets.

use super::*;
use crate::check::{Floor, floor_of};
use crate::model::{Batch, CheckedBatch, PartGrain, Stages};
use crate::search::Dice;
use crate::sheet::filling::need;
use crate::sheet::floor::least;
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

/// So many parts that not all pairs of functions can be looked at.
#[test]
fn areas_prove_something_of_many_parts_and_several_kinds() {
    let mut dice = Dice::new(3, 0);
    let mut side = |from: u32, to: u32| i64::from(from + dice.below(to - from));
    let large = (0..24).map(|_| [side(500, 1500), side(300, 900)]).collect::<Vec<_>>();
    let small = (0..240).map(|_| [side(30, 120), side(20, 90)]);
    let parts = large.into_iter().chain(small).map(|size| part("part", size, 1, PartGrain::Any));
    let kinds = [([2800, 2070], 98), ([2440, 1220], 53), ([2500, 1250], 57), ([1220, 1220], 29)];
    let stock = kinds.map(|(size, cost)| sheet("bought", size, cost)).to_vec();
    let batch = Batch { parts: parts.collect(), stock, shop: shop(3, Stages::Any) };
    let batch = batch.check().unwrap_or_else(|problems| panic!("{problems}"));
    let problem = Problem::new(&batch, 0);
    let kinds = problem.kinds.iter().map(|kind| (kind.cost, kind.area() as i64, kind.supply));
    let area = need(&problem, &problem.demand()) as i128;
    let least = least(&kinds.collect::<Vec<_>>(), area).unwrap_or(0);
    let proofs = Duals::new(&problem, &|| false).proofs(&|| false);
    assert!(least > 0 && proofs[0].floor >= least, "{} {least}", proofs[0].floor);
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
