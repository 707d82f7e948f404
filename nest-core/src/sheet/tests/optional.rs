//! What is optional costs nothing, however early the search ends.

use super::{drawn, judged, part, sheet, shop, solved};
use crate::model::{Batch, Part, PartGrain, Stages, Stock};
use crate::sheet::greedy;
use crate::sheet::problem::Problem;
use crate::sheet::worth::Worth;

#[test]
fn no_sheet_is_bought_for_optional_parts_alone() {
    let mut made = 0;
    for seed in 0..300 {
        let batch = drawn(seed);
        let optional = |part: usize| batch.batch().parts[part].optional;
        for work in [0, 100, 2000] {
            let (plan, ..) = judged(&batch, solved(&batch, seed, work));
            for layout in &plan.layouts {
                let required = layout.pieces.iter().any(|piece| !optional(piece.part));
                assert!(required || batch.stock()[layout.stock].cost == 0, "seed {seed} work {work}");
                made += layout.pieces.iter().filter(|piece| optional(piece.part)).count();
            }
        }
    }
    assert!(made > 100, "{made}");
}

/// Long lists are packed by layouts that are cut many times.
#[test]
fn optional_parts_of_long_lists_are_made_where_there_is_room() {
    let mut parts = vec![part("door", [700, 550], 3010, PartGrain::Length)];
    parts.extend([
        part("peg", [100, 50], 5, PartGrain::Length),
        part("rail", [300, 200], 400, PartGrain::Length),
    ]);
    parts[1..].iter_mut().for_each(|part| part.optional = true);
    let stock = vec![sheet("sheet", [2440, 1220], 10)];
    let batch = Batch { parts, stock, shop: shop(3, Stages::Any) }.check().unwrap();
    let (plan, ..) = judged(&batch, solved(&batch, 0, 0));
    assert_eq!(plan.unplaced, []);
}

/// The rack is too small for doors, and no sheet of doors but the last has room for tops.
#[test]
fn optional_parts_of_long_lists_come_from_the_rack_too() {
    let mut parts = vec![part("door", [700, 550], 3010, PartGrain::Length)];
    parts.push(Part { optional: true, ..part("top", [680, 530], 9, PartGrain::Length) });
    let rack = Stock { on_hand: true, qty: Some(2), price: None, ..sheet("rest", [690, 540], 0) };
    let stock = vec![sheet("sheet", [2440, 1220], 10), rack];
    let batch = Batch { parts, stock, shop: shop(3, Stages::Any) }.check().unwrap();
    let (plan, ..) = judged(&batch, solved(&batch, 0, 0));
    let from_rack = plan.layouts.iter().filter(|layout| layout.stock == 1);
    assert_eq!(from_rack.map(|layout| layout.copies).sum::<u32>(), 2);
}

/// They would hold open what is better left out.
#[test]
fn the_first_plan_is_made_as_if_there_were_none() {
    let mut some = 0;
    for seed in 0..100 {
        let problem = Problem::new(&drawn(seed), 0);
        let worth = Worth::new(problem.largest());
        let filling = greedy::fill(&problem, &worth, 4, &|| false);
        for (item, left) in problem.items.iter().zip(&filling.left).filter(|(item, _)| item.optional) {
            assert_eq!(*left, item.demand, "seed {seed}");
            some += 1;
        }
    }
    assert!(some > 10, "{some}");
}
