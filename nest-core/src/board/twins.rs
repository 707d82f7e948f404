//! Slow twins: every fast answer of this module beside plain enumeration on small random cases.

use super::closed::{Closed, End};
use super::columns::{Generator, Limits, Prices};
use super::knapsack::{Offer, Table};
use super::meter::Meter;
use super::problem::{Bar, Item, Pattern, Problem, Range};
use super::{greedy, pool};
use super::{proof, states};
use crate::search::{Choice, Control, Options, Silent, cover};
use proptest::prelude::*;
use std::collections::BTreeMap;

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

/// All ways to fill a bar, by trying everything.
fn fillings(offers: &[Offer], capacity: u64) -> Vec<Vec<(usize, u64)>> {
    let Some((first, rest)) = offers.split_first() else { return vec![Vec::new()] };
    let mut found = Vec::new();
    for n in (0..=first.copies).take_while(|n| n * first.length <= capacity) {
        for mut counts in fillings(rest, capacity - n * first.length) {
            if n > 0 {
                counts.insert(0, (first.item, n));
            }
            found.push(counts);
        }
    }
    found
}

fn problem(items: &[(u64, u64)], bars: &[(u64, u64, Option<u64>)]) -> Problem {
    let n = items.len();
    let bar = |&(capacity, cost, most)| Bar {
        capacity,
        room: capacity,
        cost,
        range: Range { least: 0, most },
        takes: vec![true; n],
        ripped: Vec::new(),
    };
    Problem {
        items: items.iter().map(|&(length, demand)| Item { length, demand }).collect(),
        bars: bars.iter().map(bar).collect(),
        grid: 1,
        shortest: 0,
    }
}

/// Generates columns for some rounds, within so much work.
fn generated<'p>(problem: &'p Problem, rounds: usize, meter: Meter<'p>) -> Generator<'p> {
    let mut generator = Generator::new(problem, meter);
    generator.enter(&problem.demand());
    let limits = Limits { rounds, useless: f64::INFINITY, step: 1.0, enough: 0.0 };
    generator.run(&problem.demand(), &problem.ranges(), limits);
    generator
}

/// While the long one is missing, short ones have its price, and millions of them go on a bar.
#[test]
fn prices_of_millions_on_one_bar_are_numbers() {
    let problem = problem(&[(1_200_000_001, 1), (1001, 9_999_990)], &[(13_500_000_001, 10, Some(1))]);
    let control = Control::new(&Options::default(), &Silent);
    let generator = generated(&problem, 50, Meter::new(&control, 1_000_000_000));
    assert!(!generator.patterns.is_empty());
}

#[test]
fn among_many_bars_the_search_ends_in_time() {
    let items: Vec<(u64, u64)> = (0..20).map(|i| (9_000_011 + 377_777 * i, 1)).collect();
    let bars: Vec<_> = (0..100).map(|b| (80_000_000 + 31_337 * b, 10, Some(1))).collect();
    let problem = problem(&items, &bars);
    let control = Control::new(&Options::default(), &Silent);
    let work = |most: u64| generated(&problem, 1, Meter::new(&control, most)).work();
    let (all, few) = (work(u64::MAX), work(1));
    assert!(few * 20 < all, "{few} of {all}");
}

/// All patterns of a problem.
fn patterns(problem: &Problem) -> Vec<Pattern> {
    let offer = |(item, i): (usize, &Item)| Offer { item, length: i.length, price: 0, copies: i.demand };
    let offers: Vec<Offer> = problem.items.iter().enumerate().map(offer).collect();
    let bars = problem.bars.iter().enumerate();
    bars.flat_map(|(bar, b)| {
        fillings(&offers, b.capacity).into_iter().map(move |counts| Pattern { bar, counts })
    })
    .filter(|pattern| !pattern.counts.is_empty())
    .collect()
}

/// What is left to be made, and of which bar how many are left.
type Left = (Vec<u64>, Vec<Option<u64>>);

/// The least cost, by trying everything: the first item that is left is made of each pattern that holds it.
fn least_cost(
    problem: &Problem,
    all: &[Pattern],
    state: Left,
    seen: &mut BTreeMap<Left, Option<u64>>,
) -> Option<u64> {
    let Some(item) = state.0.iter().position(|&d| d > 0) else { return Some(0) };
    if let Some(&known) = seen.get(&state) {
        return known;
    }
    let mut best: Option<u64> = None;
    for p in all.iter().filter(|p| p.counts.iter().any(|c| c.0 == item)) {
        let mut next = state.clone();
        if next.1[p.bar] == Some(0) || p.counts.iter().any(|&(i, n)| next.0[i] < n) {
            continue;
        }
        p.counts.iter().for_each(|&(i, n)| next.0[i] -= n);
        next.1[p.bar] = next.1[p.bar].map(|n| n - 1);
        let cost = least_cost(problem, all, next, seen).map(|c| c + problem.bars[p.bar].cost);
        best = best.into_iter().chain(cost).min();
    }
    seen.insert(state, best);
    best
}

proptest! {
    #[test]
    fn the_table_lists_all_that_collects_enough(offers in offers(), capacity in 0_u64..60, least in 0_i64..150) {
        let mut table = Table::default();
        table.fill(&offers, capacity);
        let mut expected = fillings(&offers, capacity);
        expected.retain(|counts| worth(&offers, counts) >= least);
        expected.sort();
        prop_assert_eq!(table.patterns(capacity, least, 100_000).0, Some(expected.clone()));
        if expected.len() > 1 {
            prop_assert_eq!(table.patterns(capacity, least, 0).0, None);
        }
    }

    /// Whatever the prices, as long as no bar collects more than is said: the list holds every packing within the
    /// target, and the search finds one exactly where there is one, with trials and without.
    #[test]
    fn the_list_holds_what_is_within_the_target_and_the_search_finds_it(
        items in proptest::collection::vec((3_u64..20, 1_u64..4, 0_i64..20), 1..5),
        bars in proptest::collection::vec((15_u64..30, 1_u64..5, proptest::option::of(1_u64..4)), 1..3),
        offset in -2_i64..2,
        seed in 0_u64..3,
    ) {
        let sizes: Vec<(u64, u64)> = items.iter().map(|i| (i.0, i.1)).collect();
        let problem = problem(&sizes, &bars);
        let all = patterns(&problem);
        let top = (problem.demand(), problem.bars.iter().map(|b| b.range.most).collect());
        let least = least_cost(&problem, &all, top, &mut BTreeMap::new());
        let item: Vec<i64> = items.iter().map(|i| i.2 + i.0 as i64 * 10).collect();
        let collects = |bar: usize| {
            let of = all.iter().filter(|p| p.bar == bar);
            of.map(|p| p.counts.iter().map(|&(i, n)| item[i] * n as i64).sum()).max().unwrap_or(0)
        };
        let prices = Prices { value: (0..problem.bars.len()).map(collects).collect(), item, bound: 0.0 };
        let target = least.unwrap_or(10).saturating_add_signed(offset);
        let (Some(listed), _) = pool::list(&problem, &[prices], target) else { return Ok(()) };
        let control = Control::new(&Options::default(), &Silent);
        let mut closed = Closed::new(&problem, listed, target, Meter::new(&control, u64::MAX)).unwrap();
        closed.seed = seed;
        let mut ends = vec![closed.search(100_000)];
        let tried = closed.try_all();
        // Trials alone may leave it open.
        if !matches!(tried, End::Open) {
            ends.push(tried);
        } else {
            prop_assert!(closed.top.is_tried());
            ends.push(closed.search(100_000));
        }
        for end in ends {
            match end {
                End::Found(cost, packing) => {
                    prop_assert!(cost <= target && least.is_some_and(|l| l <= cost));
                    prop_assert_eq!(packing.cost(&problem), cost);
                    let mut left = problem.demand();
                    for (pattern, n) in &packing.used {
                        prop_assert!(problem.used(pattern) <= problem.bars[pattern.bar].capacity);
                        pattern.counts.iter().for_each(|&(i, c)| left[i] -= c * n);
                    }
                    prop_assert!(left.iter().all(|&l| l == 0));
                    for (b, bar) in problem.bars.iter().enumerate() {
                        let used: u64 = packing.used.iter().filter(|u| u.0.bar == b).map(|u| u.1).sum();
                        prop_assert!(bar.range.most.is_none_or(|most| used <= most));
                    }
                }
                End::Nothing => prop_assert!(least.is_none_or(|l| l > target), "{least:?} within {target}"),
                End::Open => prop_assert!(false, "the search was cut short"),
            }
        }
    }

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
        let problem = problem(&items, &bars);
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
