//! Laws of solving boards, on small random questions.

use super::build::{Boards, solve};
use nest_core::model::{Batch, Trim};
use nest_core::search::{Effort, Options};
use nest_core::solution::Status;
use nest_core::units::Length;
use proptest::prelude::*;
use std::num::NonZeroUsize;

const EFFORTS: [Effort; 4] = [Effort::None, Effort::Quick, Effort::Normal, Effort::Deep];

/// Lengths in millimetres, kerf in tenths.
#[derive(Clone, Debug)]
struct Case {
    stock: Vec<(i64, i64, Option<u32>)>,
    parts: Vec<(i64, u32)>,
    kerf: i64,
}

impl Case {
    fn boards(&self, scale: i64) -> Boards {
        let mut boards = Boards::new().kerf(self.kerf * 100 * scale);
        for &(length, cost, qty) in &self.stock {
            boards = boards.stock(length * 1000 * scale, cost);
            if let Some(qty) = qty {
                boards = boards.limited(qty);
            }
        }
        self.parts.iter().fold(boards, |boards, &(length, qty)| boards.part(length * 1000 * scale, qty))
    }
}

/// The first stock is long enough for every part and unlimited, so that every question has a plan.
fn cases() -> impl Strategy<Value = Case> {
    (
        proptest::collection::vec((300_i64..1000, 1_i64..20, proptest::option::of(0_u32..4)), 0..3),
        proptest::collection::vec((40_i64..900, 1_u32..6), 1..7),
        0_i64..40,
        5_i64..20,
    )
        .prop_map(|(mut stock, parts, kerf, cost)| {
            stock.insert(0, (1000, cost, None));
            Case { stock, parts, kerf }
        })
}

fn normal(batch: &Batch) -> (i128, i128, Status) {
    let solution = solve(&batch.clone().check().unwrap(), Options::default());
    (solution.cost, solution.floor, solution.status)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn no_plan_beats_its_floor_at_any_effort(case in cases()) {
        for effort in EFFORTS {
            let solution = case.boards(1).solve(effort);
            prop_assert!(solution.cost >= solution.floor);
            prop_assert!(solution.plan.unplaced.is_empty());
            prop_assert_eq!(solution.status == Status::Proven, solution.cost == solution.floor);
        }
    }

    #[test]
    fn one_part_more_never_costs_less_where_both_are_proven(case in cases(), length in 40_i64..900) {
        let (cost, floor, status) = normal(&case.boards(1).batch);
        let mut more = case.clone();
        more.parts.push((length, 1));
        let (dearer, higher, other) = normal(&more.boards(1).batch);
        prop_assert!(dearer >= floor);
        if status == Status::Proven && other == Status::Proven {
            prop_assert!(dearer >= cost && higher >= floor);
        }
    }

    #[test]
    fn splitting_and_reordering_rows_changes_nothing(case in cases()) {
        let (cost, floor, status) = normal(&case.boards(1).batch);
        let mut split = case.clone();
        split.parts = case.parts.iter().rev().flat_map(|&(length, qty)| [(length, qty - qty / 2), (length, qty / 2)]).filter(|p| p.1 > 0).collect();
        let other = normal(&split.boards(1).batch);
        prop_assert_eq!(floor, other.1);
        if status == Status::Proven {
            prop_assert_eq!(cost, other.0);
        }
    }

    #[test]
    fn scaling_all_lengths_and_the_kerf_changes_nothing(case in cases(), scale in 2_i64..9) {
        prop_assert_eq!(normal(&case.boards(1).batch), normal(&case.boards(scale).batch));
    }

    /// Edge trim is the same whether the shop says it or each stock.
    #[test]
    fn edge_trim_of_each_stock_is_that_of_the_shop(case in cases(), ends in [0_i64..40, 0..40], other in 0_i64..40) {
        let ends = ends.map(|end| Length::mm(end + case.kerf / 10 + 1));
        let long = |mut batch: Batch| {
            // What is trimmed holds what was to fit.
            batch.stock.iter_mut().for_each(|stock| stock.length = stock.length + ends[0] + ends[1]);
            batch
        };
        let mut of_shop = long(case.boards(1).batch);
        of_shop.shop.boards.trim = ends;
        let mut of_stock = long(case.boards(1).batch);
        of_stock.shop.boards.trim = [Length::mm(other + case.kerf / 10 + 1); 2];
        of_stock.stock.iter_mut().for_each(|stock| stock.trim = Some(Trim::Ends(ends)));
        let [shop, stock] = [of_shop, of_stock].map(|batch| solve(&batch.check().unwrap(), Options::default()));
        prop_assert_eq!(&shop.plan, &stock.plan);
        prop_assert_eq!((shop.cost, shop.floor, shop.status), (stock.cost, stock.floor, stock.status));
    }

    #[test]
    fn neither_threads_nor_a_second_run_show(case in cases(), seed in 0_u64..4) {
        let batch = case.boards(1).checked();
        for effort in EFFORTS {
            let with = |threads| {
                let threads = NonZeroUsize::new(threads);
                let solution = solve(&batch, Options { effort, threads, seed, ..Options::default() });
                format!("{solution:?}")
            };
            let one = with(1);
            prop_assert_eq!(&one, &with(2));
            prop_assert_eq!(&one, &with(1));
        }
    }

    #[test]
    fn narrow_and_short_strips_give_plans_that_can_be_sawn(
        parts in proptest::collection::vec((60_i64..1500, proptest::option::of(prop_oneof![Just(40_i64), Just(60)]), 1_u32..5), 1..7),
        kerf in 0_i64..40,
        shortest in 0_i64..700,
        few in proptest::option::of(1_u32..3),
    ) {
        let mut boards = parts.iter().fold(Boards::new().stock(2_400_000, 10).stock(3_000_000, 12).kerf(kerf * 100), |b, &(l, _, q)| b.part(l * 1000, q));
        boards.batch.shop.boards.shortest_rip = Length::mm(shortest);
        for stock in &mut boards.batch.stock {
            stock.width = Some(Length::mm(70));
            stock.qty = few;
        }
        for (part, &(_, width, _)) in boards.batch.parts.iter_mut().zip(&parts) {
            part.width = Some(Length::mm(width.unwrap_or(70)));
        }
        // `solve` checks every plan, the rule of the shortest rip among the rest.
        for effort in [Effort::None, Effort::Normal] {
            let solution = boards.solve(effort);
            prop_assert!(few.is_some() || solution.plan.unplaced.is_empty());
            prop_assert_eq!(solution.status == Status::Partial, !solution.plan.unplaced.is_empty());
        }
    }

    #[test]
    fn too_little_stock_makes_a_partial_plan_that_says_so(case in cases(), qty in 0_u32..4) {
        let mut case = case;
        case.stock.truncate(1);
        case.stock[0].2 = Some(qty);
        let asked: u32 = case.parts.iter().map(|p| p.1).sum();
        for effort in EFFORTS {
            let solution = case.boards(1).solve(effort);
            let left: u32 = solution.plan.unplaced.iter().map(|u| u.1).sum();
            prop_assert_eq!(solution.status == Status::Partial, left > 0);
            prop_assert!(!solution.groups[0].impossible || left > 0);
            let used: u32 = solution.plan.layouts.iter().map(|layout| layout.copies).sum();
            prop_assert!(used <= qty);
            if qty == 0 {
                prop_assert_eq!(left, asked);
                prop_assert!(solution.groups[0].impossible);
            }
        }
    }
}

#[test]
fn optional_parts_are_made_only_where_they_cost_nothing() {
    let mut boards = Boards::new().stock(1_000_000, 5).part(700_000, 2).part(250_000, 3).part(900_000, 1);
    for part in &mut boards.batch.parts[1..] {
        part.optional = true;
    }
    let solution = boards.solve(Effort::Normal);
    assert_eq!((solution.cost, solution.status), (1_000, Status::Proven));
    // Two of the three fit beside the two required pieces; nothing is bought for the others.
    assert_eq!(solution.plan.unplaced, [(1, 1), (2, 1)]);
}

#[test]
fn a_board_that_is_free_costs_an_optional_part_nothing() {
    // Two are owned. One is opened for what must be made; three of the four come out of the other, greedy or not.
    let mut boards = Boards::new().stock(1_000_000, 0).limited(2).part(800_000, 1).part(300_000, 4);
    boards.batch.parts[1].optional = true;
    for effort in [Effort::None, Effort::Normal] {
        let solution = boards.solve(effort);
        assert_eq!((solution.cost, solution.plan.unplaced), (0, vec![(1, 1)]), "{effort:?}");
    }
}

#[test]
fn short_optional_parts_come_first_since_more_of_them_fit() {
    let mut boards = Boards::new().stock(1_000_000, 5).part(600_000, 1).part(400_000, 1).part(200_000, 2);
    for part in &mut boards.batch.parts[1..] {
        part.optional = true;
    }
    for effort in [Effort::None, Effort::Normal] {
        assert_eq!(boards.solve(effort).plan.unplaced, [(1, 1)], "{effort:?}");
    }
}

#[test]
fn of_boards_that_cost_the_same_those_are_taken_that_hold_more_optional_parts() {
    // 900 mm come out of either board, 300 mm beside them only out of the longer one. The others need a board more.
    let mut boards = Boards::new().stock(1_000_000, 5).stock(1_200_000, 5).part(900_000, 1);
    boards = boards.part(300_000, 1).part(500_000, 2);
    for part in &mut boards.batch.parts[1..] {
        part.optional = true;
    }
    let solution = boards.solve(Effort::Normal);
    assert_eq!((solution.cost, solution.plan.unplaced), (500, vec![(2, 2)]));
}

/// Whatever the order of the list: the longer ones are worth more as they are.
#[test]
fn the_shortest_of_the_owned_boards_that_will_do_are_opened() {
    for owned in [[2440, 1000, 560], [560, 1000, 2440], [1000, 560, 2440], [2440, 560, 1000]] {
        for (parts, opened) in
            [(&[500][..], &[560][..]), (&[500, 900], &[560, 1000]), (&[520, 530], &[560, 1000])]
        {
            let boards = owned
                .iter()
                .fold(Boards::new().kerf(3000), |boards, &length| boards.stock(length * 1000, 0).limited(1));
            let boards = parts
                .iter()
                .fold(boards.stock(3_000_000, 10), |boards, &length| boards.part(length * 1000, 1));
            let solution = boards.solve(Effort::Normal);
            let mut used: Vec<i64> = solution.plan.layouts.iter().map(|layout| owned[layout.stock]).collect();
            used.sort_unstable();
            assert_eq!(used, opened, "{owned:?}");
        }
    }
}
