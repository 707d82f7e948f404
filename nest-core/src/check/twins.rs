//! Slow twins: the fast algorithms of the bound against plain enumeration on random small cases.

use proptest::collection::vec;
use proptest::prelude::*;

use super::bound::{Floor, Work};
use super::cover::{Choice, cover};
use super::knapsack::{self, Claim, Item, Verdict, beat, judge, steps};
use super::regions::{Gap, Region, gap};

/// The best value, by trying every number of every item.
fn most(items: &[Item], capacity: u64) -> i64 {
    let Some((item, rest)) = items.split_first() else { return 0 };
    let fits = |count: &u64| count * item.size <= capacity;
    let values = (0..=item.most).take_while(fits);
    values
        .map(|count| count as i64 * item.value + most(rest, capacity - count * item.size))
        .max()
        .unwrap_or(0)
}

/// The least cost, by trying every number of every choice.
fn cheapest(choices: &[Choice], demand: i128) -> Option<i128> {
    let Some((choice, rest)) = choices.split_first() else { return (demand <= 0).then_some(0) };
    let enough = demand.max(0) as u64 + choice.least;
    let cost = |count: u64| {
        let rest = cheapest(rest, demand - i128::from(count) * i128::from(choice.value))?;
        Some(i128::from(count) * choice.cost + rest)
    };
    (choice.least..=choice.most.unwrap_or(enough).min(enough.max(choice.least))).filter_map(cost).min()
}

fn item() -> impl Strategy<Value = Item> {
    (1_u64..40, 1_i64..60, 1_u64..5).prop_map(|(size, value, most)| Item { size, value, most })
}

fn choice() -> impl Strategy<Value = Choice> {
    (0_i128..30, 0_i64..12, 0_u64..3, proptest::option::of(0_u64..5)).prop_map(
        |(cost, value, least, more)| Choice { cost, value, least, most: more.map(|more| least + more) },
    )
}

fn region() -> impl Strategy<Value = Region> {
    vec((0_u64..4, 0_u64..4).prop_map(|(least, more)| (least, least + more)), 3)
}

proptest! {
    #[test]
    fn a_claim_holds_from_the_best_packing_on(items in vec(item(), 0..5), capacities in vec(0_u64..120, 1..4)) {
        let exact: Vec<Claim> = capacities
            .iter()
            .map(|&capacity| Claim { capacity, value: most(&items, capacity) })
            .collect();
        prop_assert_eq!(judge(&items, &exact, &mut Work::new()), Verdict::Hold);
        for (c, claim) in exact.iter().enumerate() {
            if claim.value > 0 {
                let mut wrong = exact.clone();
                wrong[c].value -= 1;
                let beaten = Verdict::Beaten(c, claim.value.into());
                prop_assert_eq!(judge(&items, &wrong, &mut Work::new()), beaten);
            }
        }
    }

    #[test]
    fn table_and_list_agree(items in vec(item(), 0..5), capacity in 0_u64..120) {
        let items: Vec<Item> = items.into_iter().filter(|item| item.size <= capacity).collect();
        let best = most(&items, capacity);
        let mut sorted = items;
        sorted.sort_by(|a, b| (b.value * a.size as i64).cmp(&(a.value * b.size as i64)));
        let table = knapsack::most(&sorted, capacity, &mut Work::new()).unwrap();
        prop_assert_eq!(table[capacity as usize], best);
        let steps = steps(&sorted, capacity, 1).unwrap();
        prop_assert_eq!(beat(&steps, capacity, best, &mut Work::new()), Some(None));
        if best > 0 {
            let found = beat(&steps, capacity, best - 1, &mut Work::new());
            prop_assert_eq!(found, Some(Some(best)));
        }
    }

    #[test]
    fn the_cover_is_the_cheapest(choices in vec(choice(), 0..5), demand in -5_i128..40) {
        let expected = cheapest(&choices, demand).map_or(Floor::Impossible, Floor::Cost);
        prop_assert_eq!(cover(&choices, demand, &mut Work::new()), Some(expected));
    }

    #[test]
    fn the_cover_is_the_cheapest_by_a_table_too(choices in vec(choice(), 0..5), demand in -5_i128..40, nodes in 0_u64..12) {
        let found = cover(&choices, demand, &mut Work::of(1 << 30, 0, nodes));
        match (found, cheapest(&choices, demand)) {
            (Some(Floor::Impossible), None) => {}
            // It takes a few nodes to come to a first answer, without which there is no table.
            (Some(Floor::Cost(floor)), Some(cost)) if nodes > choices.len() as u64 => prop_assert_eq!(floor, cost),
            (Some(Floor::Cost(floor)), Some(cost)) => prop_assert!(floor <= cost),
            other => prop_assert!(false, "{:?}", other),
        }
    }

    #[test]
    fn a_cover_without_nodes_is_a_floor_all_the_same(choices in vec(choice(), 0..5), demand in -5_i128..40) {
        let floor = cover(&choices, demand, &mut Work::of(0, 0, 0)).unwrap();
        match cheapest(&choices, demand) {
            Some(cost) => prop_assert!(matches!(floor, Floor::Cost(floor) if floor <= cost)),
            None => prop_assert_eq!(floor, Floor::Impossible),
        }
    }

    #[test]
    fn a_gap_is_found_when_there_is_one(whole in region(), leaves in vec(region(), 0..8)) {
        let inside = |region: &Region, at: &[u64]| {
            region.iter().zip(at).all(|(&(least, most), &x)| least <= x && x <= most)
        };
        let open = |at: &[u64]| inside(&whole, at) && !leaves.iter().any(|leaf| inside(leaf, at));
        let mut expected = false;
        for x in 0..8 {
            for y in 0..8 {
                for z in 0..8 {
                    expected |= open(&[x, y, z]);
                }
            }
        }
        match gap(&whole, &leaves) {
            Gap::None => prop_assert!(!expected),
            Gap::At(at) => prop_assert!(open(&at)),
            Gap::TooLarge => prop_assert!(false),
        }
    }
}

#[test]
fn long_capacities_without_a_common_divisor_are_judged_by_a_list() {
    // Sizes of a board of 12 ft in ticks, nothing in common but 1: the table would have 292 million cells.
    let items: Vec<Item> = (0..40_u64)
        .map(|i| Item { size: 30_000_001 + 1_234_567 * i + i * i, value: 1_000 + 37 * i as i64, most: 3 })
        .collect();
    let capacity = 292_608_000;
    let mut low = 0;
    let mut high = 1 << 20;
    while low < high {
        let value = (low + high) / 2;
        match judge(&items, &[Claim { capacity, value }], &mut Work::new()) {
            Verdict::Hold => high = value,
            Verdict::Beaten(_, found) => low = (value + 1).max(found as i64),
            Verdict::TooLarge(_) => panic!("not decided"),
        }
    }
    assert!((1_000..20_000).contains(&low));
    let beaten = judge(&items, &[Claim { capacity, value: low - 1 }], &mut Work::new());
    assert_eq!(beaten, Verdict::Beaten(0, low.into()));
}

#[test]
fn too_much_work_is_refused_and_not_guessed() {
    let items: Vec<Item> =
        (0..40_u64).map(|i| Item { size: 30_000_001 + i * i, value: 1_000, most: 3 }).collect();
    let claim = Claim { capacity: 292_608_000, value: 9_000 };
    assert_eq!(judge(&items, &[claim], &mut Work::of(0, 0, 0)), Verdict::TooLarge(0));
}

#[test]
fn values_beyond_all_measure_are_refused() {
    let item = |size| Item { size, value: i64::MAX, most: u64::MAX };
    let claim = Claim { capacity: u64::MAX, value: i64::MAX };
    let verdict = judge(&[item(1), item(u64::MAX)], &[claim], &mut Work::new());
    assert_eq!(verdict, Verdict::TooLarge(0));
    let choice = Choice { cost: i128::MAX, value: 1, least: 1, most: None };
    assert_eq!(cover(&[choice], 2, &mut Work::new()), None);
}

#[test]
fn a_large_cover_is_exact_without_enumeration() {
    let choice = |cost, value| Choice { cost, value, least: 0, most: None };
    // A million boards; the last few decide.
    let choices = [choice(790, 96_125), choice(1_020, 120_125), choice(1_300, 144_125)];
    let demand = 96_125_000_007;
    let mut best = i128::MAX;
    for a in 0..200_i128 {
        for c in 0..200_i128 {
            let rest = demand - a * 96_125 - c * 144_125;
            best = best.min(a * 790 + c * 1_300 + (rest + 120_124) / 120_125 * 1_020);
        }
    }
    let Some(Floor::Cost(cost)) = cover(&choices, demand, &mut Work::new()) else { panic!("no cover") };
    assert!(cost <= best);
}

#[test]
fn boxes_that_fall_into_too_many_are_refused() {
    let leaf = vec![(1, 8); 4000];
    assert_eq!(gap(&vec![(0, 9); 4000], std::slice::from_ref(&leaf)), Gap::TooLarge);
    assert_eq!(gap(&leaf, std::slice::from_ref(&leaf)), Gap::None);
}

#[test]
fn a_cover_without_nodes_is_rounded_up_to_a_multiple_of_all_costs() {
    let choices = [Choice { cost: 10, value: 3, least: 0, most: None }];
    // A third more than three: 33 1/3, and no sum of tens is below 40.
    assert_eq!(cover(&choices, 10, &mut Work::of(0, 0, 0)), Some(Floor::Cost(40)));
}

#[test]
fn a_table_counts_in_steps_of_what_all_sizes_share() {
    let item = |size: u64, value, most| Item { size: size * 1_000_000, value, most };
    let items = [item(7, 10, 2), item(5, 7, 3)];
    let claim = |value| Claim { capacity: 22_999_999, value };
    // 7 + 5 + 5 + 5 collects 31; a table of single ticks would not be allowed.
    let mut work = Work::of(1000, 100, 0);
    assert_eq!(judge(&items, &[claim(31)], &mut work), Verdict::Hold);
    assert_eq!(judge(&items, &[claim(30)], &mut work), Verdict::Beaten(0, 31));
}
