//! No floor that the check accepts is above the cheapest plan, found by trying everything on small questions.

use nest_core::check::{Floor, Refusal, floor_of};
use nest_core::model::{Batch, CheckedBatch, Part, Shop, Stock};
use nest_core::plan::{Certificate, Leaf, PartShare, Reason, StockValue, UseBound};
use nest_core::units::{Length, Money, Rate, System};
use proptest::collection::vec;
use proptest::prelude::*;

const KERF: i64 = 3;

/// Length and quantity of each part; length, price and supply of each stock; a price for each part.
type Question = (Vec<(i64, u32)>, Vec<(i64, i64, Option<u32>)>, Vec<i64>);

fn question() -> impl Strategy<Value = Question> {
    let parts = vec((20_i64..120, 1_u32..4), 1..4);
    let stock = vec((120_i64..300, 0_i64..40, proptest::option::of(0_u32..4)), 1..3);
    (parts, stock, vec(0_i64..50, 4))
}

fn batch((parts, stock, _): &Question) -> CheckedBatch {
    let mut shop = Shop::defaults(System::Metric);
    shop.boards.kerf = Length::mm(KERF);
    let parts = parts.iter().enumerate().map(|(p, &(length, qty))| Part {
        name: format!("part {p}"),
        material: "pine".into(),
        length: Length::mm(length),
        qty,
        ..Part::default()
    });
    let stock = stock.iter().enumerate().map(|(s, &(length, price, qty))| Stock {
        name: format!("stock {s}"),
        material: "pine".into(),
        length: Length::mm(length),
        price: Some(Rate::from(Money::from_minor(price))),
        qty,
        ..Stock::default()
    });
    Batch { parts: parts.collect(), stock: stock.collect(), shop }.check().unwrap()
}

/// The least cost of making `demand`, by trying every layout of every stock, again and again.
fn cheapest(question: &Question, demand: &[u32], supply: &mut [u32], from: usize) -> Option<i128> {
    if demand.iter().all(|&count| count == 0) {
        return Some(0);
    }
    let (parts, stock, _) = question;
    let mut best = None;
    // Stock is used in order, so that no set of layouts is tried in two orders of stock.
    for s in from..stock.len() {
        if supply[s] == 0 {
            continue;
        }
        supply[s] -= 1;
        for pattern in patterns(parts, demand, stock[s].0 + KERF) {
            let rest: Vec<u32> = demand.iter().zip(&pattern).map(|(all, made)| all - made).collect();
            if let Some(cost) = cheapest(question, &rest, supply, s) {
                let cost = cost + i128::from(stock[s].1);
                best = Some(best.map_or(cost, |best: i128| best.min(cost)));
            }
        }
        supply[s] += 1;
    }
    best
}

/// All non-empty numbers of parts that fit and to which nothing can be added.
fn patterns(parts: &[(i64, u32)], demand: &[u32], room: i64) -> Vec<Vec<u32>> {
    let mut all = vec![(Vec::new(), room)];
    for (&(length, _), &most) in parts.iter().zip(demand) {
        all = all
            .into_iter()
            .flat_map(|(pattern, room)| {
                let fits = (0..=most).take_while(move |&count| i64::from(count) * (length + KERF) <= room);
                fits.map(move |count| {
                    let mut longer = pattern.clone();
                    longer.push(count);
                    (longer, room - i64::from(count) * (length + KERF))
                })
                .collect::<Vec<_>>()
            })
            .collect();
    }
    let full = |(pattern, room): &(Vec<u32>, i64)| {
        parts
            .iter()
            .zip(demand)
            .zip(pattern)
            .all(|((part, most), made)| made == most || part.0 + KERF > *room)
    };
    all.into_iter()
        .filter(full)
        .map(|(pattern, _)| pattern)
        .filter(|pattern| pattern.iter().any(|&made| made > 0))
        .collect()
}

/// The most that one layout collects.
fn value(question: &Question, s: usize) -> i64 {
    let (parts, stock, prices) = question;
    let demand: Vec<u32> = parts.iter().map(|part| part.1).collect();
    let worth =
        |pattern: Vec<u32>| pattern.iter().zip(prices).map(|(&made, price)| i64::from(made) * price).sum();
    patterns(parts, &demand, stock[s].0 + KERF).into_iter().map(worth).max().unwrap_or(0)
}

fn leaf(question: &Question) -> Leaf {
    let (parts, stock, prices) = question;
    let value =
        |stock| StockValue { stock, piece: None, value: value(question, stock), reason: Reason::Lengths };
    Leaf {
        bounds: vec![],
        prices: (0..parts.len()).map(|part| (part, prices[part])).collect(),
        values: (0..stock.len()).map(value).collect(),
        shares: vec![],
    }
}

fn best(question: &Question) -> Option<i128> {
    let (parts, stock, _) = question;
    let demand: Vec<u32> = parts.iter().map(|part| part.1).collect();
    let mut supply: Vec<u32> = stock.iter().map(|stock| stock.2.unwrap_or(u32::MAX)).collect();
    cheapest(question, &demand, &mut supply, 0)
}

/// A stock, or one piece of it.
type Berth = (usize, Option<u32>);

/// All stock, with every piece by itself of what is limited and `numbered`.
fn berths((_, stock, _): &Question, numbered: usize) -> Vec<Berth> {
    let of = |(s, stock): (usize, &(i64, i64, Option<u32>))| match stock.2 {
        Some(supply) if numbered >> s & 1 == 1 => (0..supply).map(|piece| (s, Some(piece))).collect(),
        _ => vec![(s, None)],
    };
    stock.iter().enumerate().flat_map(of).collect::<Vec<Berth>>()
}

/// A leaf with such prices and shares, and the most that one layout of each berth then collects.
fn shared(question: &Question, berths: &[Berth], prices: &[i64], shares: Vec<PartShare>) -> Leaf {
    let (parts, stock, _) = question;
    let value = |&(s, piece): &Berth| {
        let of = |part: usize| {
            shares.iter().find(|share| (share.stock, share.piece, share.parts[0]) == (s, piece, part))
        };
        let price = |part: usize| of(part).map_or(prices[part], |share| share.price);
        let most = |part: usize| of(part).map_or(parts[part].1, |share| parts[part].1.min(share.most as u32));
        let demand: Vec<u32> = (0..parts.len()).map(most).collect();
        let prices: Vec<i64> = (0..parts.len()).map(price).collect();
        let worth = |pattern: &Vec<u32>| {
            pattern.iter().zip(&prices).map(|(&made, price)| i64::from(made) * price).sum::<i64>()
        };
        let best = patterns(parts, &demand, stock[s].0 + KERF).iter().map(worth).max();
        StockValue { stock: s, piece, value: best.unwrap_or(0), reason: Reason::Lengths }
    };
    Leaf {
        bounds: vec![],
        prices: (0..parts.len()).map(|part| (part, prices[part])).collect(),
        values: berths.iter().map(value).collect(),
        shares: shares.clone(),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn no_plan_beats_a_floor_of_leaves_that_share_parts_out(
        question in question(),
        numbered in 0_usize..4,
        cuts in vec((0_usize..100, 0_usize..100, 0_usize..100, 0_u64..3), 0..5),
        prices in vec(0_i64..50, 60),
    ) {
        let batch = batch(&question);
        prop_assume!(batch.groups().len() == 1 && batch.groups()[0].stock.len() == question.1.len());
        let berths = berths(&question, numbered);
        let mut prices = prices.into_iter().cycle();
        // Leaf by leaf: berth, part, least and most.
        let mut leaves: Vec<Vec<(Berth, usize, u64, u64)>> = vec![Vec::new()];
        for (leaf, berth, part, at) in cuts.into_iter().filter(|_| !berths.is_empty()) {
            let leaf = leaf % leaves.len();
            let (berth, part) = (berths[berth % berths.len()], part % question.0.len());
            let here = leaves[leaf].iter().position(|&(b, p, ..)| (b, p) == (berth, part));
            let at_hand = here.map(|here| leaves[leaf].remove(here));
            let (_, _, least, most) = at_hand.unwrap_or((berth, part, 0, question.0[part].1.into()));
            let at = at.clamp(least, most);
            let mut more = leaves[leaf].clone();
            leaves[leaf].push((berth, part, least, at));
            if at < most {
                more.push((berth, part, at + 1, most));
                leaves.push(more);
            }
        }
        let mut leaf = |shares: &Vec<(Berth, usize, u64, u64)>| {
            let base: Vec<i64> = question.0.iter().map(|_| prices.next().unwrap()).collect();
            let share = |&((stock, piece), part, least, most): &(Berth, usize, u64, u64)| PartShare {
                stock,
                piece,
                parts: vec![part],
                least,
                most,
                price: prices.next().unwrap(),
            };
            let shares = shares.iter().map(share).collect();
            shared(&question, &berths, &base, shares)
        };
        let mut leaves: Vec<Leaf> = leaves.iter().map(&mut leaf).collect();
        match (floor_of(&batch, 0, &Certificate { leaves: leaves.clone(), matched: false }), best(&question)) {
            (Ok(Floor::Cost(floor)), Some(cost)) => prop_assert!(floor <= cost, "{} > {}", floor, cost),
            (Ok(_), None) => {}
            other => prop_assert!(false, "{:?}", other),
        }
        let last = leaves.last_mut().unwrap();
        for at in 0..last.values.len() {
            if last.values[at].value > 0 {
                last.values[at].value -= 1;
                let floor = floor_of(&batch, 0, &Certificate { leaves, matched: false });
                prop_assert!(matches!(floor, Err(Refusal::ValueTooSmall { .. })), "{:?}", floor);
                break;
            }
        }
    }

    #[test]
    fn no_plan_beats_an_accepted_floor(question in question()) {
        let batch = batch(&question);
        prop_assume!(batch.groups().len() == 1 && batch.groups()[0].stock.len() == question.1.len());
        let floor = floor_of(&batch, 0, &Certificate { leaves: vec![leaf(&question)], matched: false });
        match (floor, best(&question)) {
            (Ok(Floor::Cost(floor)), Some(cost)) => prop_assert!(floor <= cost, "{} > {}", floor, cost),
            (Ok(_), None) => {}
            other => prop_assert!(false, "{:?}", other),
        }
    }

    #[test]
    fn a_floor_split_into_leaves_is_at_least_as_high_and_still_a_floor(question in question(), at in 0_u64..3) {
        let batch = batch(&question);
        prop_assume!(batch.groups().len() == 1 && batch.groups()[0].stock.len() == question.1.len());
        let whole = leaf(&question);
        let part = |least, most| Leaf { bounds: vec![UseBound { stock: 0, least, most }], ..whole.clone() };
        let leaves = vec![part(at + 1, None), part(0, Some(at))];
        let split = floor_of(&batch, 0, &Certificate { leaves, matched: false });
        let whole = floor_of(&batch, 0, &Certificate { leaves: vec![whole.clone()], matched: false });
        let order = |floor| match floor {
            Floor::Cost(cost) => cost,
            Floor::Impossible => i128::MAX,
        };
        let (split, whole) = (order(split.unwrap()), order(whole.unwrap()));
        prop_assert!(split >= whole);
        prop_assert!(split <= best(&question).unwrap_or(i128::MAX));
    }

    #[test]
    fn a_value_is_accepted_from_the_best_layout_on(question in question()) {
        let batch = batch(&question);
        prop_assume!(batch.groups().len() == 1 && batch.groups()[0].stock.len() == question.1.len());
        for s in 0..question.1.len() {
            let mut leaf = leaf(&question);
            if leaf.values[s].value > 0 {
                leaf.values[s].value -= 1;
                let floor = floor_of(&batch, 0, &Certificate { leaves: vec![leaf], matched: false });
                prop_assert!(matches!(floor, Err(Refusal::ValueTooSmall { .. })), "{:?}", floor);
            }
        }
    }
}
