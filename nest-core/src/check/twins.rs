//! Slow twins: the fast algorithms of the bound against plain enumeration on random small cases.

use std::collections::BTreeMap;

use proptest::collection::vec;
use proptest::prelude::*;

use super::bound::{Floor, Work};
use super::cover::{Choice, cover};
use super::knapsack::{self, Claim, Item, Verdict, beat, judge, steps};
use super::regions::{Gap, Region, gap};
use super::sets::{self, Member, Sheet};
use crate::search::Dice;

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

/// Whether pieces can be cut from a rectangle: every division of them, every cut at every place.
fn cut_from(pieces: &[&Member], size: [i64; 2]) -> bool {
    if let [] | [_] = pieces {
        let fits = |lie: &[i64; 2]| lie[0] <= size[0] && lie[1] <= size[1];
        return pieces.iter().all(|piece| piece.lies.iter().any(fits));
    }
    let area = |member: &&Member| member.lies.iter().map(|&[x, y]| x * y).min().unwrap_or(0);
    if pieces.iter().map(area).sum::<i64>() > size[0] * size[1] {
        return false;
    }
    (1..(1_usize << pieces.len()) - 1).any(|set| {
        let half = |which: usize| -> Vec<&Member> {
            (0..pieces.len()).filter(|piece| set >> piece & 1 == which).map(|piece| pieces[piece]).collect()
        };
        let (a, b) = (half(0), half(1));
        [0, 1].into_iter().any(|axis| {
            (1..size[axis]).any(|at| {
                let (mut near, mut far) = (size, size);
                (near[axis], far[axis]) = (at, size[axis] - at);
                cut_from(&a, near) && cut_from(&b, far)
            })
        })
    })
}

/// The same of a set of pieces, as bits, with what is known of others.
fn cut_from_known(
    pieces: &[&Member],
    set: usize,
    size: [i64; 2],
    known: &mut BTreeMap<(usize, [i64; 2]), bool>,
) -> bool {
    let of = |piece: &usize| set >> piece & 1 == 1;
    let area: i64 =
        (0..pieces.len()).filter(of).map(|piece| pieces[piece].lies[0][0] * pieces[piece].lies[0][1]).sum();
    if area > size[0] * size[1] {
        return false;
    }
    if set.is_power_of_two() {
        return cut_from(&[pieces[set.trailing_zeros() as usize]], size);
    }
    if let Some(&known) = known.get(&(set, size)) {
        return known;
    }
    let mut found = false;
    let mut half = set;
    while !found && half > 0 {
        half = (half - 1) & set;
        for axis in [0, 1] {
            for at in 1..size[axis] {
                let (mut near, mut far) = (size, size);
                (near[axis], far[axis]) = (at, size[axis] - at);
                found |= half > 0
                    && cut_from_known(pieces, half, near, known)
                    && cut_from_known(pieces, set ^ half, far, known);
            }
        }
    }
    known.insert((set, size), found);
    found
}

fn member() -> impl Strategy<Value = Member> {
    (1_i64..6, 1_i64..6, any::<bool>(), 1_i64..20, 1_u32..3).prop_map(|(x, y, turns, price, most)| Member {
        lies: if turns { vec![[x, y], [y, x]] } else { vec![[x, y]] },
        image: (x * y).into(),
        price,
        most,
    })
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
    fn a_claim_about_sets_holds_from_the_best_set_on(members in vec(member(), 0..4), x in 3_i64..8, y in 3_i64..8) {
        let pieces: Vec<&Member> =
            members.iter().flat_map(|member| vec![member; member.most as usize]).take(5).collect();
        prop_assume!(pieces.len() == members.iter().map(|member| member.most as usize).sum::<usize>());
        let value = |set: usize| -> Option<i64> {
            let held: Vec<&Member> =
                (0..pieces.len()).filter(|piece| set >> piece & 1 == 1).map(|piece| pieces[piece]).collect();
            cut_from(&held, [x, y]).then(|| held.iter().map(|member| member.price).sum())
        };
        let most = (0..1_usize << pieces.len()).filter_map(value).max().unwrap();
        let sheet = Sheet { size: [x, y], image: (x * y).into() };
        let judge = |claimed| sets::judge(members.clone(), sheet, claimed, &mut Work::new());
        prop_assert_eq!(judge(most), sets::Verdict::Holds);
        if most > 0 {
            let beaten = matches!(judge(most - 1), sets::Verdict::Beaten(found) if found == most.into());
            prop_assert!(beaten);
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
fn sets_that_take_too_much_work_are_refused_and_not_guessed() {
    let member = |side: i64| Member { lies: vec![[side, side]], image: 0, price: side, most: 3 };
    let members: Vec<Member> = (10..40).map(member).collect();
    let sheet = Sheet { size: [100, 100], image: 1 };
    let judge = |work: &mut Work| sets::judge(members.clone(), sheet, 150, work);
    assert_eq!(judge(&mut Work::of(0, 1 << 30, 1 << 30)), sets::Verdict::TooLarge);
    assert_eq!(judge(&mut Work::of(1 << 30, 0, 1 << 30)), sets::Verdict::TooLarge);
    assert_eq!(judge(&mut Work::of(1 << 30, 1 << 30, 2)), sets::Verdict::TooLarge);
    assert!(matches!(judge(&mut Work::new()), sets::Verdict::Beaten(found) if found > 150));
    // An image of nothing bounds nothing, and one beyond all measure cannot be counted.
    for image in [0, -1, i128::MAX] {
        let sheet = Sheet { image, ..sheet };
        assert_eq!(sets::judge(members.clone(), sheet, 150, &mut Work::new()), sets::Verdict::TooLarge);
    }
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

#[test]
fn a_set_of_many_pieces_is_worth_more_than_claimed_only_if_it_can_be_cut() {
    let mut both = [0; 2];
    for seed in 0..20_000 {
        let mut dice = Dice::new(seed, 0x5e75);
        let size = [5 + i64::from(dice.below(3)), 5 + i64::from(dice.below(2))];
        let room = size[0] * size[1];
        let mut drawn = || {
            let [x, y] = [0; 2].map(|_| 1 + i64::from(dice.below(4)));
            let lies = if dice.once_in(2) { vec![[x, y], [y, x]] } else { vec![[x, y]] };
            Member { lies, image: (x * y).into(), price: 1, most: 1 + dice.below(3) }
        };
        let members: Vec<Member> = (0..5).map(|_| drawn()).collect();
        let pieces: Vec<&Member> =
            members.iter().flat_map(|member| vec![member; member.most as usize]).collect();
        let area: i64 = pieces.iter().map(|piece| piece.lies[0][0] * piece.lies[0][1]).sum();
        // All of them, and hardly more room than they take.
        if !(8..10).contains(&pieces.len()) || !(room - 3..=room).contains(&area) {
            continue;
        }
        let all = pieces.len() as i64;
        let sheet = Sheet { size, image: room.into() };
        let found = sets::judge(members.clone(), sheet, all - 1, &mut Work::new());
        let cut = cut_from_known(&pieces, (1 << pieces.len()) - 1, size, &mut BTreeMap::new());
        let expected = if cut { sets::Verdict::Beaten(all.into()) } else { sets::Verdict::Holds };
        assert_eq!(found, expected, "{size:?} {pieces:?}");
        both[usize::from(cut)] += 1;
    }
    assert!(both[0] > 20 && both[1] > 20, "{both:?}");
}
