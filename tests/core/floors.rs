//! No floor that the check accepts is above the cheapest plan, found by trying everything on small questions.

use nest_core::check::{Floor, Refusal, floor_of};
use nest_core::model::{Batch, CheckedBatch, Part, Shop, Stock};
use nest_core::plan::{Certificate, Leaf, Reason, StockValue, UseBound};
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
    let value = |stock| StockValue { stock, value: value(question, stock), reason: Reason::Lengths };
    Leaf {
        bounds: vec![],
        prices: (0..parts.len()).map(|part| (part, prices[part])).collect(),
        values: (0..stock.len()).map(value).collect(),
    }
}

fn best(question: &Question) -> Option<i128> {
    let (parts, stock, _) = question;
    let demand: Vec<u32> = parts.iter().map(|part| part.1).collect();
    let mut supply: Vec<u32> = stock.iter().map(|stock| stock.2.unwrap_or(u32::MAX)).collect();
    cheapest(question, &demand, &mut supply, 0)
}

proptest! {
    #[test]
    fn no_plan_beats_an_accepted_floor(question in question()) {
        let batch = batch(&question);
        prop_assume!(batch.groups().len() == 1 && batch.groups()[0].stock.len() == question.1.len());
        let floor = floor_of(&batch, 0, &Certificate { leaves: vec![leaf(&question)] });
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
        let split = floor_of(&batch, 0, &Certificate { leaves });
        let whole = floor_of(&batch, 0, &Certificate { leaves: vec![whole.clone()] });
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
                let floor = floor_of(&batch, 0, &Certificate { leaves: vec![leaf] });
                prop_assert!(matches!(floor, Err(Refusal::ValueTooSmall { .. })), "{:?}", floor);
            }
        }
    }
}
