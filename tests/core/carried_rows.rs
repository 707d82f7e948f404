//! Rows that are alike: which of them is gone, who gets what is made, and what of the plan is left for them.

use super::build::Boards;
use super::build_sheets::Sheets;
use super::carried_on::{Planned, boards, carried, cut, draws, sheets};
use nest_core::check::check;
use nest_core::model::{Batch, Part, Stock, Trim};
use nest_core::plan::{GroupClaim, Kind, Plan};
use nest_core::rest::{Before, Done, How, Made, Rest};
use nest_core::units::Length;
use proptest::prelude::*;
use std::sync::mpsc;
use std::time::Duration;

fn stock(batch: &Batch) -> Vec<Option<u32>> {
    batch.stock.iter().map(|row| row.qty).collect()
}

/// What is left of the plan makes all that is left to make.
fn whole(rest: &Rest) {
    let batch = rest.batch.clone().check().unwrap_or_else(|problems| panic!("{problems}"));
    let groups = vec![GroupClaim::default(); batch.groups().len()];
    let plan = Plan { layouts: rest.layouts.clone(), unplaced: Vec::new(), groups };
    check(&batch, &plan).unwrap_or_else(|faults| panic!("{faults:?} of {plan:?}"));
}

/// Five boards at 6 and five at 4 that are alike in all else, and two owned ones with factory edges and two without.
fn priced() -> Batch {
    let mut batch =
        Boards::new().trim(2000).stock(1_000_000, 6).limited(5).stock(1_000_000, 4).limited(5).batch;
    for edges in [true, false] {
        batch.stock.push(Stock {
            qty: Some(2),
            on_hand: true,
            factory_edges: edges,
            ..batch.stock[0].clone()
        });
    }
    batch.stock.iter_mut().for_each(|row| row.name = "fir".to_owned());
    batch
}

fn asked(batch: &Batch, length: i64, qty: u32) -> Batch {
    let part = Part {
        name: "rail".to_owned(),
        material: "m".to_owned(),
        length: Length::mm(length),
        qty,
        ..Part::default()
    };
    Batch { parts: vec![part], ..batch.clone() }
}

#[test]
fn what_is_gone_is_gone_of_the_row_that_agrees_in_most() {
    // Too long for what is trimmed.
    let planned = Planned::of(&asked(&priced(), 999, 2));
    let rest = planned.rest(&planned.all());
    assert_eq!(stock(&rest.batch), [Some(5), Some(5), Some(2), Some(0)]);
    // One is bought to spare.
    let planned = Planned::of(&asked(&priced(), 900, 11));
    let rest = planned.rest(&planned.all());
    assert_eq!(stock(&rest.batch)[..4], [Some(2), Some(0), Some(0), Some(0)]);
    // In another order, as they stand in other lists.
    let mut job = planned.job.clone();
    job.stock.reverse();
    let rest = planned.rest_of(&job, &planned.all());
    assert_eq!(stock(&rest.batch)[..4], [Some(0), Some(0), Some(0), Some(2)]);
}

#[test]
fn what_is_gone_stays_gone_where_its_edges_were_a_mistake() {
    let mut batch = priced();
    batch.stock.remove(2);
    let planned = Planned::of(&asked(&batch, 900, 1));
    let mut job = planned.job.clone();
    job.stock[2].factory_edges = true;
    let rest = planned.rest_of(&job, &planned.all());
    assert_eq!((stock(&rest.batch)[2], rest.missed.len()), (Some(1), 0));
    // Where the row itself is in the list there was none, and nothing comes off the other.
    let planned = Planned::of(&asked(&priced(), 999, 2));
    let mut job = planned.job.clone();
    job.stock[3].qty = Some(1);
    let rest = planned.rest_of(&job, &planned.all());
    assert_eq!(stock(&rest.batch), [Some(5), Some(5), Some(2), Some(0)]);
}

#[test]
fn what_is_gone_is_gone_of_the_row_with_its_edge_trim() {
    let mut batch = Boards::new().stock(1_000_000, 5).limited(3).stock(1_000_000, 5).limited(3).batch;
    batch.stock.iter_mut().for_each(|row| row.name = "fir".to_owned());
    batch.stock[1].trim = Some(Trim::All(Length::mm(9)));
    // One is bought to spare.
    let planned = Planned::of(&asked(&batch, 999, 1));
    assert_eq!(stock(&planned.rest(&planned.all()).batch)[..2], [Some(1), Some(3)]);
    let mut job = planned.job.clone();
    job.stock.swap(0, 1);
    assert_eq!(stock(&planned.rest_of(&job, &planned.all()).batch)[..2], [Some(3), Some(1)]);
    // Written in another way it is the same, and it is that row where no other agrees in more.
    let rest = |before: Option<Trim>, now: Option<Trim>| {
        let mut batch = batch.clone();
        batch.stock.truncate(1);
        batch.stock[0].trim = before;
        let planned = Planned::of(&asked(&batch, 900, 1));
        let mut job = planned.job.clone();
        job.stock[0].trim = now;
        let rest = planned.rest_of(&job, &[]);
        (rest.batch.stock[0].qty, rest.layouts.len())
    };
    let nine = Length::mm(9);
    assert_eq!(rest(Some(Trim::All(nine)), Some(Trim::Ends([nine; 2]))), (Some(1), 1));
    assert_eq!(rest(None, Some(Trim::All(nine))).0, Some(1));
}

/// Rows of one piece each.
fn one_each(job: &Batch) -> Batch {
    let rows = job.parts.iter().flat_map(|part| std::iter::repeat_n(part, part.qty as usize));
    Batch { parts: rows.map(|part| Part { qty: 1, ..part.clone() }).collect(), ..job.clone() }
}

#[test]
fn layouts_are_left_where_rows_are_alike() {
    let boards = Boards::new().kerf(3000).stock(1_000_000, 5).parts(&[(400_000, 6), (150_000, 3)]);
    let planned = Planned::of(&one_each(&boards.batch));
    for layout in 0..planned.plan.layouts.len() {
        let rest = planned.rest(&[Done { copies: Some(1), ..cut(layout) }]);
        assert_eq!(rest.layouts.iter().map(|layout| layout.copies).sum::<u32>(), 2);
        whole(&rest);
    }
    // From rows of several to rows of one, and back.
    let planned = Planned::of(&boards.batch);
    let copies: Vec<u32> = planned.rest(&[]).layouts.iter().map(|layout| layout.copies).collect();
    assert_eq!(copies, [3], "what is cut the same way is one layout");
    let rest = planned.rest_of(&one_each(&boards.batch), &[Done { copies: Some(1), ..cut(0) }]);
    assert_eq!(rest.layouts.len(), 2);
    whole(&rest);
    let planned = Planned::of(&one_each(&boards.batch));
    whole(&planned.rest_of(&boards.batch, &[cut(0)]));
}

#[test]
fn layouts_are_left_where_rows_of_stock_are_alike() {
    let mut batch = Boards::new().stock(1_000_000, 0).limited(2).stock(1_000_000, 0).limited(2).batch;
    batch.stock.iter_mut().for_each(|row| row.name.clear());
    let planned = Planned::of(&asked(&batch, 900, 4));
    let rest = planned.rest(&[]);
    assert_eq!(rest.layouts.iter().map(|layout| layout.copies).sum::<u32>(), 4);
    whole(&rest);
    let mut job = planned.job.clone();
    (job.stock[0].qty, job.stock[1].qty) = (Some(1), Some(3));
    whole(&planned.rest_of(&job, &[]));
}

#[test]
fn a_piece_that_nobody_wants_any_more_is_left_over() {
    let boards = Boards::new().kerf(3000).stock(1_000_000, 5).parts(&[(300_000, 3), (60_000, 1)]);
    let planned = Planned::of(&boards.batch);
    assert_eq!(planned.plan.layouts.len(), 1);
    let mut job = planned.job.clone();
    (job.parts[0].qty, job.parts[1].qty) = (2, 0);
    let rest = planned.rest_of(&job, &[]);
    whole(&rest);
    let Kind::Cut { children, .. } = &rest.layouts[0].root.kind else { panic!("{rest:?}") };
    let lengths: Vec<Length> = children.iter().map(|child| child.size[0]).collect();
    assert_eq!(lengths, [300, 300, 394].map(Length::mm), "one leftover of two pieces, three cuts and a tail");
    // One of another size is none of those that are wanted.
    job.parts[1] = Part { qty: 1, length: Length::mm(61), ..job.parts[1].clone() };
    assert_eq!(planned.rest_of(&job, &[]).layouts, rest.layouts);
    // A board with nothing on it is none.
    job.parts[0].qty = 0;
    assert_eq!(planned.rest_of(&job, &[]).layouts, []);
    // What the last cut turned to dust is left over with the piece before it.
    let boards = Boards::new().kerf(3000).stock(908_000, 5).part(300_000, 3);
    let planned = Planned::of(&boards.batch);
    let mut job = planned.job.clone();
    job.parts[0].qty = 2;
    whole(&planned.rest_of(&job, &[]));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Some boards are cut, fewer of some parts are wanted, and the rows are written in another way.
    #[test]
    fn what_is_left_of_a_plan_makes_what_is_left_to_make(
        job in prop_oneof![boards(), sheets()],
        draws in draws(),
        fewer in proptest::collection::vec(0_u32..3, 5),
        split in any::<[bool; 2]>(),
    ) {
        let planned = Planned::of(&if split[0] { one_each(&job) } else { job.clone() });
        let draws: Vec<[u32; 4]> = draws.iter().map(|draw| [draw[0], 0, 0, 0]).collect();
        let done: Vec<Done> = planned.some(&draws).into_iter().filter(|done| done.how == How::Cut).collect();
        let mut now = job;
        for (part, fewer) in now.parts.iter_mut().zip(fewer) {
            part.qty = part.qty.saturating_sub(fewer);
        }
        prop_assume!(now.parts.iter().any(|part| part.qty > 0));
        let now = if split[1] { one_each(&now) } else { now };
        whole(&planned.rest_of(&now, &done));
    }
}

#[test]
fn wood_of_the_plan_is_known_again_in_any_units() {
    let mut batch = Boards::new().stock(1_000_000, 5).part(600_000, 1).batch;
    batch.shop.boards.keep = Length::mm(100);
    batch.stock[0].name.clear();
    let planned = Planned::of(&batch);
    let again = |planned: &Planned, names: &[&str], length: i64| {
        let rows: Vec<Stock> = names
            .iter()
            .map(|name| Stock {
                name: (*name).to_owned(),
                material: "M".to_owned(),
                length: Length::mm(length),
                qty: Some(3),
                on_hand: true,
                ..Stock::default()
            })
            .collect();
        planned.followed(&planned.all()).again(&rows)
    };
    let names = [
        "m, 1000 mm, offcut 400 mm",
        "m, 1000 mm, offcut ~15 3/4\"",
        "m, 100 cm, offcut 40 cm",
        "m, 1000 mm, offcut 400 mm, factory right end on",
        "m, 900 mm, offcut 400 mm",
        "mine, offcut 400 mm",
        "m, 1000 mm, made 400 mm",
        "m, 1000 mm, offcut 400 mm (2)",
        "m, 1000 mm",
    ];
    assert_eq!(again(&planned, &names, 400), [0, 1, 2, 3]);
    assert_eq!(again(&planned, &names, 401), [] as [usize; 0]);
    // What an earlier plan left is known as well, what a list named is not.
    let mut job = planned.job.clone();
    let next = Planned::after(&job, planned.rest_of(&job, &planned.all()));
    assert_eq!((next.plan.layouts.len(), next.before.carried), (0, 2), "an offcut, and a board to spare");
    assert_eq!(again(&next, &names, 400), [0, 1, 3]);
    let mut rack = Stock { qty: Some(1), on_hand: true, length: Length::mm(400), ..job.stock[0].clone() };
    names[0].clone_into(&mut rack.name);
    job.stock.push(rack);
    let next = Planned::after(&job, planned.rest_of(&job, &planned.all()));
    assert_eq!(again(&next, &names, 400), [7]);
    assert_eq!(
        again(&Planned::of(&job), &names, 400),
        [2],
        "what the rack had is as like as what the plan leaves"
    );
}

#[test]
fn what_a_rip_left_is_known_again_by_who_does_not_say_so() {
    let mut batch = Boards::new().stock(1_000_000, 5).part(1_000_000, 1).batch;
    batch.stock[0].width = Some(Length::mm(140));
    batch.parts[0].width = Some(Length::mm(40));
    batch.shop.boards.keep = Length::mm(100);
    let planned = Planned::of(&batch);
    let rest = planned.rest(&planned.all());
    let left = carried(&rest).iter().find(|row| row.ripped).unwrap();
    assert_eq!(left.width, Some(Length::mm(100)));
    let rack = [left.clone(), Stock { ripped: false, ..left.clone() }];
    assert_eq!(planned.followed(&planned.all()).again(&rack), [0, 1]);
}

/// So many pieces made and boards gone, all counted within some seconds although they are alike.
fn counted(change: fn(usize, &mut Part), wanted: u32) -> bool {
    const ROWS: usize = 100_000;
    let (done, all) = mpsc::channel();
    std::thread::spawn(move || {
        let planned = Planned::of(&Sheets::new().sheet([1000, 500], 5).parts(&[(200, 300, 1)]).batch);
        let (part, board) = (&planned.job.parts[0], &planned.job.stock[0]);
        let mut job = Batch {
            parts: vec![part.clone(); ROWS],
            stock: vec![board.clone(); ROWS],
            ..planned.job.clone()
        };
        job.parts.iter_mut().enumerate().for_each(|(row, part)| change(row, part));
        job.stock.iter_mut().for_each(|row| row.qty = Some(1));
        let made = job.parts.iter().map(|part| Made { part: part.clone(), piece: board.clone() });
        let before = Before { made: made.collect(), gone: job.stock.clone(), carried: 0 };
        job.parts.iter_mut().for_each(|part| part.qty = wanted);
        let planned = Planned { before, ..planned.clone() };
        let rest = planned.rest_of(&job, &[]);
        let left: u32 = stock(&rest.batch).iter().take(ROWS).flatten().sum();
        let made: usize = rest.before.made.len() + rest.unwanted.len();
        done.send((left, made) == (0, ROWS)).unwrap();
    });
    all.recv_timeout(Duration::from_secs(20)).unwrap_or(false)
}

#[test]
fn long_lists_of_rows_that_are_alike_are_soon_counted() {
    assert!(counted(|_, _| (), 1));
    assert!(counted(|_, _| (), 0), "none is wanted");
    let one_strip = |row: usize, part: &mut Part| {
        (part.name, part.match_word) = (row.to_string(), Some("x".to_owned()));
    };
    assert!(counted(one_strip, 1), "one strip");
}
