//! Sheets of many pieces, all but filled.

use super::rows::tests::{drawn, grained, sound};
use super::tiers;
use super::{crowded, most, uneven};
use crate::model::{Batch, PartGrain, Stages, StockGrain};
use crate::search::Dice;
use crate::sheet::filling::need;
use crate::sheet::greedy;
use crate::sheet::packed::Packed;
use crate::sheet::problem::Problem;
use crate::sheet::tests::{part, sheet, shop};
use crate::sheet::worth::Worth;
use std::sync::atomic::{AtomicU64, Ordering};

#[test]
fn a_cheaper_plan_is_found_and_the_stop_is_heard() {
    let problem = drawn(7, PartGrain::Length, 120);
    let worth = Worth::new(problem.largest());
    let first = Packed::of(&greedy::fill(&problem, &worth, 1, &|| false));
    let (found, work) = crowded(&problem, &worth, &first, 0, 1, 60_000_000, &|| false);
    let found = found.unwrap();
    assert!(sound(&problem, &found) && found.missing == 0 && work > 0);
    // Within a fortieth of no waste at all.
    let least: i128 = problem.kinds[..2].iter().map(|kind| kind.cost).sum();
    assert!(found.cost < first.cost && found.cost <= least + least / 40, "{} {least}", found.cost);
    assert!(crowded(&problem, &worth, &first, 0, 1, 60_000_000, &|| true).0.is_none());
    assert!(crowded(&problem, &worth, &first, first.cost, 1, 60_000_000, &|| false).0.is_none());
}

#[test]
fn pieces_that_no_two_sheets_allow_alike_are_left_alone() {
    let problem = grained([StockGrain::Length, StockGrain::Width], &[], None);
    let worth = Worth::new(problem.largest());
    let mut first = Packed::of(&greedy::fill(&problem, &worth, 1, &|| false));
    // As if there were something to gain.
    first.cost *= 2;
    let asked = AtomicU64::new(0);
    let stop = || asked.fetch_add(1, Ordering::Relaxed) > 1000;
    assert!(crowded(&problem, &worth, &first, 0, 1, u64::MAX, &stop).0.is_none());
    assert!(asked.into_inner() < 1000);
}

#[test]
fn no_more_sheets_than_pieces_for_them_are_room() {
    // The smallest piece is 40 x 30.
    let problem = grained([StockGrain::Length; 2], &[sheet("small", [60, 40], 0)], None);
    let most: Vec<u32> = (0..problem.kinds.len()).map(|kind| most(&problem, kind)).collect();
    assert!(most[..2] == [60; 2] && (1..5).contains(&most[2]), "{most:?}");
}

/// Two sheets cut again and again near an edge of the piece that was cut last: few large pieces, and ever smaller ones.
fn shaved(seed: u64, pieces: usize, stages: Stages) -> Problem {
    let mut dice = Dice::new(seed, 9);
    let mut parts = Vec::new();
    for size in [[1000, 450], [1000, 550]] {
        let mut cut = vec![size];
        while cut.len() < pieces {
            let at = dice.below(cut.len() as u32) as usize;
            let size = cut[at];
            let axis = dice.below(2) as usize;
            if size[axis] < 6 {
                continue;
            }
            let (mut one, mut other) = (size, size);
            one[axis] = 1 + i64::from(dice.below(size[axis] as u32 - 1));
            other[axis] = size[axis] - one[axis];
            cut[at] = one;
            cut.push(other);
        }
        parts.extend(cut.iter().map(|&size| part("piece", size, 1, PartGrain::Length)));
    }
    let stock = [450, 550, 575].map(|width| sheet("kind", [1000, width], width));
    let batch = Batch { parts, stock: stock.to_vec(), shop: shop(0, stages) };
    Problem::new(&batch.check().unwrap_or_else(|problems| panic!("{problems:?}")), 0)
}

#[test]
fn a_few_large_pieces_are_told_from_many_alike() {
    assert!((0..4).all(|seed| uneven(&shaved(seed, 80, Stages::Any))));
    assert!((0..4).all(|seed| !uneven(&drawn(seed, PartGrain::Length, 80))));
}

#[test]
fn tiers_place_the_large_pieces_and_then_all() {
    for (seed, stages) in [(1, Stages::Any), (2, Stages::Any), (3, Stages::Limited(4))] {
        let problem = shaved(seed, 80, stages);
        let worth = Worth::new(problem.largest());
        // Two of the widest sheets: an eighth is to spare.
        let goal: Vec<u32> = problem.kinds.iter().map(|kind| 2 * u32::from(kind.size[1] == 575)).collect();
        let fill = |work, stop: bool| {
            tiers::fill(&problem, &worth, &goal, None, &|chain| Dice::new(seed, chain), work, &|| stop)
        };
        let (filled, work) = fill(u64::MAX, false);
        let filled = filled.unwrap();
        assert!(sound(&problem, &filled.packed) && work > 0, "{seed}");
        assert_eq!((filled.lacks, filled.packed.missing), (0, 0), "{seed}");
        let open = filled.packed.open(&problem);
        assert!(open.iter().zip(&goal).all(|(open, goal)| open <= goal), "{seed}: {open:?}");
        // Stopped at once, nothing is lost.
        let (stopped, _) = fill(u64::MAX, true);
        let stopped = stopped.unwrap();
        assert!(sound(&problem, &stopped.packed) && stopped.lacks > 0, "{seed}");
        assert_eq!(need(&problem, &stopped.packed.left), need(&problem, &problem.demand()), "{seed}");
    }
}

#[test]
fn a_filling_is_gone_on_from_without_one_of_its_branches() {
    let problem = shaved(1, 80, Stages::Any);
    let worth = Worth::new(problem.largest());
    let goal: Vec<u32> = problem.kinds.iter().map(|kind| 2 * u32::from(kind.size[1] == 575)).collect();
    let fill = |from: Option<&Packed>, seed, stop: bool| {
        let dice = |chain| Dice::new(seed, chain);
        tiers::fill(&problem, &worth, &goal, from, &dice, u64::MAX, &|| stop).0.unwrap()
    };
    let whole = fill(None, 1, false);
    assert_eq!(whole.packed.missing, 0);
    let mut branches = 0;
    for seed in 0..20 {
        let out = fill(Some(&whole.packed), seed, true);
        let pieces: u32 = out.packed.left.iter().sum();
        // A branch of four pieces or more, or none.
        assert!(
            sound(&problem, &out.packed) && pieces < 160 && !(1..4).contains(&pieces),
            "{seed}: {pieces}"
        );
        branches += u32::from(pieces > 0);
        let again = fill(Some(&whole.packed), seed, false);
        assert!(sound(&problem, &again.packed), "{seed}");
        assert_eq!((again.lacks, again.packed.missing), (0, 0), "{seed}");
    }
    assert!(branches >= 5, "{branches}");
}

#[test]
fn sheets_of_uneven_pieces_are_filled_all_but_whole() {
    let problem = shaved(5, 120, Stages::Any);
    let worth = Worth::new(problem.largest());
    let first = Packed::of(&greedy::fill(&problem, &worth, 1, &|| false));
    let find = || crowded(&problem, &worth, &first, 0, 1, 60_000_000, &|| false).0.unwrap();
    let found = find();
    assert!(sound(&problem, &found) && found.missing == 0);
    assert_eq!(found.cost, find().cost);
    // No more than one part in forty is wasted; greedily, more is.
    let least: i128 = problem.kinds.iter().filter(|kind| kind.size[1] < 575).map(|kind| kind.cost).sum();
    assert!(found.cost <= least + least / 40, "{} {least}", found.cost);
    assert!(first.cost > least + least / 40, "{} {least}", first.cost);
}
