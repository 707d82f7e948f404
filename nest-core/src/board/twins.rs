//! Slow twins: every fast answer of this module beside plain enumeration on small random cases.

use super::greedy;
use super::knapsack::{Offer, Table};
use super::problem::{Bar, Item, Problem, Range, Strips};
use super::{proof, states};
use crate::search::{Choice, cover};
use proptest::prelude::*;

/// The most that a bar collects, by trying everything.
fn enumerate(offers: &[Offer], capacity: u64) -> i64 {
    let Some((first, rest)) = offers.split_first() else { return 0 };
    (0..=first.copies)
        .take_while(|n| n * first.length <= capacity)
        .map(|n| first.price * n as i64 + enumerate(rest, capacity - n * first.length))
        .max()
        .unwrap_or(0)
}

/// The least cost of whole bars that reach a value, by trying everything.
fn cheapest(choices: &[Choice], wanted: i128) -> Option<u64> {
    let Some((first, rest)) = choices.split_first() else { return (wanted <= 0).then_some(0) };
    (first.least..=first.most.unwrap_or(30).min(30))
        .filter_map(|n| {
            Some(n * first.cost + cheapest(rest, wanted - i128::from(first.value) * i128::from(n))?)
        })
        .min()
}

fn offers() -> impl Strategy<Value = Vec<Offer>> {
    proptest::collection::vec((1_u64..20, 1_i64..50, 1_u64..5), 0..6).prop_map(|list| {
        list.into_iter()
            .enumerate()
            .map(|(item, (length, price, copies))| Offer { item, length, price, copies })
            .collect()
    })
}

fn worth(offers: &[Offer], counts: &[(usize, u64)]) -> i64 {
    counts.iter().map(|&(i, n)| offers[i].price * n as i64).sum()
}

fn fits(offers: &[Offer], counts: &[(usize, u64)], capacity: u64) -> bool {
    counts.iter().map(|&(i, n)| offers[i].length * n).sum::<u64>() <= capacity
        && counts.iter().all(|&(i, n)| n <= offers[i].copies)
}

proptest! {
    #[test]
    fn the_table_collects_the_most(offers in offers(), capacity in 0_u64..60) {
        let mut table = Table::default();
        table.fill(&offers, capacity);
        for c in 0..=capacity {
            let counts = table.pattern(c);
            prop_assert_eq!(table.value(c), enumerate(&offers, c));
            prop_assert_eq!(worth(&offers, &counts), table.value(c));
            prop_assert!(fits(&offers, &counts, c));
        }
    }

    #[test]
    fn the_list_of_states_collects_the_most(offers in offers(), capacity in 0_u64..60, threshold in 0_i64..100) {
        let most = enumerate(&offers, capacity);
        for wanted in [1, 5] {
            let found = states::search(&offers, capacity, threshold, wanted, 10_000);
            prop_assert_eq!(found.bound, most.max(threshold));
            prop_assert_eq!(found.patterns.first().map(|p| p.0), (most > threshold).then_some(most));
            for (value, counts) in found.patterns {
                prop_assert_eq!(worth(&offers, &counts), value);
                prop_assert!(fits(&offers, &counts, capacity));
            }
        }
    }

    #[test]
    fn a_list_that_is_cut_short_still_bounds(offers in offers(), capacity in 0_u64..60, limit in 1_usize..8) {
        let found = states::search(&offers, capacity, 0, 3, limit);
        prop_assert!(found.bound >= enumerate(&offers, capacity));
    }

    #[test]
    fn the_cover_is_the_cheapest(
        list in proptest::collection::vec((0_u64..20, 0_i64..12, 0_u64..3, proptest::option::of(0_u64..5)), 1..4),
        wanted in -5_i128..60,
        unit in 1_u64..4,
    ) {
        let choices: Vec<Choice> = list
            .iter()
            .map(|&(cost, value, least, more)| Choice { cost: cost * unit, value, least, most: more.map(|m| least + m) })
            .collect();
        // Enumeration stops at 30 of a kind, enough for a value of 60 unless a kind is worth 1.
        prop_assume!(choices.iter().all(|c| c.value != 1 || c.most.is_some()));
        prop_assert_eq!(cover(&choices, wanted, unit), cheapest(&choices, wanted));
    }

    #[test]
    fn no_filling_beats_the_floor_of_lengths(
        items in proptest::collection::vec((1_u64..30, 1_u64..4), 1..6),
        bars in proptest::collection::vec((10_u64..60, 1_u64..20, proptest::option::of(0_u64..4)), 1..4),
    ) {
        let problem = Problem {
            items: items.iter().map(|&(length, demand)| Item { length, demand }).collect(),
            bars: bars
                .iter()
                .map(|&(capacity, cost, most)| Bar { capacity, cost, range: Range { least: 0, most }, takes: vec![true; items.len()] })
                .collect(),
            strips: Strips { class: vec![None; items.len()], short: vec![false; items.len()], any: false, shortest: 0 },
        };
        let floor = proof::floor(&problem, &proof::by_length(&problem), 1);
        for packing in [
            greedy::fill_down(&problem, &problem.demand(), &problem.ranges()),
            greedy::fill_up(&problem, &problem.demand(), &problem.ranges(), 1_000_000),
        ] {
            for (pattern, n) in &packing.used {
                prop_assert!(*n > 0 && problem.used(pattern) <= problem.bars[pattern.bar].capacity);
            }
            for (i, item) in problem.items.iter().enumerate() {
                let made: u64 = packing.used.iter().map(|(p, n)| n * p.counts.iter().filter(|c| c.0 == i).map(|c| c.1).sum::<u64>()).sum();
                prop_assert_eq!(made + packing.left[i], item.demand);
            }
            if packing.left.iter().all(|&l| l == 0) {
                prop_assert!(floor.is_some_and(|f| f <= packing.cost(&problem)));
            }
        }
    }
}
