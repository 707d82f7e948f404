//! A job is carried on after some of its plan was cut: what is made and what is left to make are what is wanted, no wood
//! is lost and none appears, and whoever changes nothing pays nothing more.

use super::build::{Boards, micrometres, solve};
use super::build_sheets::Sheets;
use nest_core::cost::bill;
use nest_core::model::{Batch, CheckedBatch, Fit, MatchWay, Part, PartGrain, Stock};
use nest_core::plan::Plan;
use nest_core::rest::{Before, Done, Followed, How, Misfit, Rest, Wrong};
use nest_core::search::{Effort, Options, Silent};
use nest_core::units::Length;
use proptest::prelude::*;

const SPARE: u32 = 100;

pub fn cut(layout: usize) -> Done {
    Done { layout, copies: None, how: How::Cut }
}

/// A question with a plan for it.
#[derive(Clone)]
pub struct Planned {
    pub job: Batch,
    pub batch: CheckedBatch,
    pub plan: Plan,
    pub before: Before,
}

impl Planned {
    pub fn of(job: &Batch) -> Self {
        Self::after(job, Rest { batch: job.clone(), ..Rest::default() })
    }

    pub fn after(job: &Batch, rest: Rest) -> Self {
        let batch = rest.batch.check().unwrap_or_else(|problems| panic!("{problems}"));
        let plan = solve(&batch, Options::default()).plan;
        Self { job: job.clone(), batch, plan, before: rest.before }
    }

    pub fn rest_of(&self, job: &Batch, done: &[Done]) -> Rest {
        self.followed(done).rest(job.clone())
    }

    pub fn followed(&self, done: &[Done]) -> Followed<'_> {
        Followed::new(&self.batch, &self.plan, SPARE, &self.before, done).expect("the entries fit")
    }

    pub fn rest(&self, done: &[Done]) -> Rest {
        self.rest_of(&self.job, done)
    }

    pub fn all(&self) -> Vec<Done> {
        (0..self.plan.layouts.len()).map(cut).collect()
    }

    /// Some of each layout cut, begun and spoiled, as numbers drawn at random say.
    pub fn some(&self, draws: &[[u32; 4]]) -> Vec<Done> {
        let mut done = Vec::new();
        for (index, (layout, draw)) in self.plan.layouts.iter().zip(draws.iter().cycle()).enumerate() {
            let mut left = layout.copies;
            let cuts = layout.cuts(&self.batch.stock()[layout.stock]).count();
            for (how, drawn) in [How::Cut, How::Spoiled, How::Begun(0)].into_iter().zip(draw) {
                let copies = drawn % (left + 1);
                left -= copies;
                let how = match how {
                    How::Begun(_) if cuts == 0 => continue,
                    How::Begun(_) => How::Begun(1 + draw[3] as usize % cuts),
                    how => how,
                };
                done.push(Done { layout: index, copies: Some(copies), how });
            }
        }
        done
    }
}

pub fn quantities(batch: &Batch) -> Vec<u32> {
    batch.parts.iter().map(|part| part.qty).collect()
}

/// Rows of stock that no list names.
pub fn carried(rest: &Rest) -> &[Stock] {
    &rest.batch.stock[rest.batch.stock.len() - rest.before.carried..]
}

/// Length, or area where there is a width.
fn extent(size: [Length; 2]) -> i128 {
    let [long, wide] = size.map(|side| i128::from(side.ticks()));
    long * wide.max(1)
}

fn size(stock: &Stock) -> [Length; 2] {
    [stock.length, stock.width.unwrap_or_default()]
}

pub fn boards() -> impl Strategy<Value = Batch> {
    (
        proptest::collection::vec((300_i64..1000, 1_i64..20, proptest::option::of(1_u32..4)), 0..3),
        proptest::collection::vec((40_i64..900, 1_u32..5), 1..5),
        (0_i64..40, 5_i64..20, any::<bool>(), 50_i64..400),
    )
        .prop_map(|(stock, parts, (kerf, cost, trim, keep))| {
            let mut boards =
                Boards::new().kerf(kerf * 100).trim(if trim { 5000 } else { 0 }).stock(1_000_000, cost);
            for (length, cost, qty) in stock {
                boards = boards.stock(length * 1000, cost);
                boards.batch.stock.last_mut().unwrap().qty = qty;
            }
            let parts: Vec<(i64, u32)> =
                parts.into_iter().map(|(length, qty)| (length * 1000, qty)).collect();
            let mut batch = boards.parts(&parts).batch;
            batch.shop.boards.keep = micrometres(keep * 1000);
            batch.stock.push(Stock {
                length: Length::mm(500),
                qty: Some(2),
                on_hand: true,
                ..batch.stock[0].clone()
            });
            batch.stock.last_mut().unwrap().name = "owned".to_owned();
            batch
        })
}

pub fn sheets() -> impl Strategy<Value = Batch> {
    (
        proptest::collection::vec((40_i64..900, 40_i64..480, 1_u32..4), 1..5),
        (0_i64..5, any::<bool>(), any::<bool>(), 50_i64..400),
    )
        .prop_map(|(parts, (kerf, trim, turn, keep))| {
            let sheets = Sheets::new().sheet([1000, 500], 9).kerf(kerf).parts(&parts);
            let sheets = sheets.trim(if trim { 6 } else { 0 });
            let sheets = if turn { sheets.turning() } else { sheets };
            let mut batch = sheets.batch;
            batch.shop.sheets.keep = [Length::mm(keep), Length::mm(keep / 2)];
            batch
        })
}

pub fn draws() -> impl Strategy<Value = Vec<[u32; 4]>> {
    proptest::collection::vec([0_u32..5, 0_u32..3, 0_u32..3, 0_u32..9], 1..4)
}

/// What holds whatever was done of a plan.
fn holds(planned: &Planned, draws: &[[u32; 4]]) {
    let Planned { job, batch, plan, .. } = planned;
    let done = planned.some(draws);
    let rest = planned.rest(&done);
    assert!(rest.unwanted.is_empty(), "nothing changed");
    // Made and still to make are what is wanted.
    let mut made = vec![0; job.parts.len()];
    for pieces in &rest.before.made {
        let row = job.parts.iter().position(|part| part.name == pieces.part.name).unwrap();
        made[row] += pieces.part.qty;
    }
    let both: Vec<u32> = quantities(&rest.batch).iter().zip(&made).map(|(rest, made)| rest + made).collect();
    assert_eq!(both, quantities(job));
    // What was bought is uncut, cut, begun or spoiled; what is owned is there or gone.
    let mut used = vec![0; batch.stock().len()];
    for done in &done {
        used[plan.layouts[done.layout].stock] += done.copies.unwrap();
    }
    let bill = bill(batch, plan, SPARE);
    for bought in &bill.buy {
        let named = format!("{}, bought", batch.batch().stock[bought.stock].name);
        let uncut = carried(&rest).iter().find(|row| row.name == named);
        assert!(uncut.is_none_or(|uncut| uncut.on_hand && uncut.factory_edges));
        let uncut = uncut.map_or(0, |row| row.qty.unwrap());
        assert_eq!(u64::from(uncut + used[bought.stock]), bought.qty);
    }
    for (row, (before, after)) in job.stock.iter().zip(&rest.batch.stock).enumerate() {
        let bought = bill.buy.iter().find(|bought| bought.stock == row).map(|bought| bought.qty as u32);
        let gone = if before.on_hand { used[row] } else { bought.unwrap_or(0) };
        assert_eq!(after.qty, before.qty.map(|qty| qty - gone), "{}", before.name);
    }
    // Of each board that was cut, pieces and what is left are no more than was there; of one cut to the end they are what
    // the layout has.
    let (mut opened, mut there) = (0, 0);
    for done in done.iter().filter(|done| done.how != How::Spoiled) {
        let layout = &plan.layouts[done.layout];
        opened += extent(batch.stock()[layout.stock].usable()) * i128::from(done.copies.unwrap());
    }
    for pieces in &rest.before.made {
        there += extent(size(&pieces.piece)) * i128::from(pieces.part.qty);
    }
    let (mut left, mut begun) = (Vec::new(), 0);
    for row in carried(&rest).iter().filter(|row| !row.factory_edges) {
        assert!(row.on_hand);
        there += extent(size(row)) * i128::from(row.qty.unwrap());
        if row.name.contains(", begun, ") {
            begun += row.qty.unwrap();
        } else {
            left.push((size(row), row.qty.unwrap()));
        }
    }
    assert!(there <= opened, "{there} of {opened}");
    if begun == 0 {
        let mut kept = std::collections::BTreeMap::new();
        for done in done.iter().filter(|done| done.how != How::Spoiled) {
            let layout = &plan.layouts[done.layout];
            for place in layout.offcuts(&batch.stock()[layout.stock]) {
                *kept.entry(place.node.size).or_insert(0) += done.copies.unwrap();
            }
        }
        kept.retain(|_, qty| *qty > 0);
        let mut sizes = std::collections::BTreeMap::new();
        left.into_iter().for_each(|(size, qty)| *sizes.entry(size).or_insert(0) += qty);
        assert_eq!(sizes, kept);
    }
    // Names are told apart.
    let mut names: Vec<&str> = rest.batch.stock.iter().map(|row| row.name.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), rest.batch.stock.len());
    // It can be carried on again, to the end.
    let next = Planned::after(job, rest);
    if next.plan.unplaced.is_empty() {
        let end = next.rest(&next.all());
        assert_eq!(quantities(&end.batch), vec![0; job.parts.len()]);
        assert_eq!(end.before.pieces(), job.parts.iter().map(|part| u64::from(part.qty)).sum::<u64>());
    }
}

/// Who cuts nothing pays nothing more, and who cut all needs nothing.
fn ends(planned: &Planned) {
    let none = planned.rest(&[]);
    let batch = none.batch.check().unwrap();
    // With the least effort too: what is left of the plan is a plan.
    let options = Options { effort: Effort::None, ..Options::default() };
    let found = nest_core::solve_from(&batch, &none.layouts, &options, &Silent).unwrap();
    assert!(found.plan.unplaced.is_empty() && found.cost == 0, "{found:?}");
    let all = planned.rest(&planned.all());
    assert!(quantities(&all.batch).iter().all(|&qty| qty == 0));
    assert!(Planned::after(&planned.job, all).plan.layouts.is_empty());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn nothing_is_lost_of_boards(job in boards(), draws in draws()) {
        let planned = Planned::of(&job);
        holds(&planned, &draws);
        ends(&planned);
    }

    #[test]
    fn nothing_is_lost_of_sheets(job in sheets(), draws in draws()) {
        let planned = Planned::of(&job);
        holds(&planned, &draws);
        ends(&planned);
    }

    #[test]
    fn begun_to_the_last_cut_is_cut(job in prop_oneof![boards(), sheets()]) {
        let planned = Planned::of(&job);
        let begun: Vec<Done> = (planned.plan.layouts.iter().enumerate())
            .map(|(index, layout)| match layout.cuts(&planned.batch.stock()[layout.stock]).count() {
                0 => cut(index),
                cuts => Done { how: How::Begun(cuts), ..cut(index) },
            })
            .collect();
        prop_assert_eq!(planned.rest(&begun), planned.rest(&planned.all()));
    }

    /// With each further cut there is a piece more or less to cut, never wood again that was gone.
    #[test]
    fn cut_by_cut_pieces_come_and_blanks_go(job in prop_oneof![boards(), sheets()]) {
        let planned = Planned::of(&job);
        let layout = &planned.plan.layouts[0];
        let cuts = layout.cuts(&planned.batch.stock()[layout.stock]).count();
        let (mut made, mut there) = (0, i128::MAX);
        for cut in 1..=cuts {
            let rest = planned.rest(&[Done { layout: 0, copies: Some(1), how: How::Begun(cut) }]);
            let now = rest.before.pieces();
            let pieces = rest.before.made.iter();
            let pieces = pieces.map(|made| extent(size(&made.piece)) * i128::from(made.part.qty));
            let rows = carried(&rest).iter().filter(|row| !row.factory_edges);
            let wood = pieces.sum::<i128>() + rows.map(|row| extent(size(row)) * i128::from(row.qty.unwrap())).sum::<i128>();
            prop_assert!(now >= made && wood <= there);
            (made, there) = (now, wood);
        }
    }
}

/// Two boards of a metre, on each two parts `p0` of 400 and one `p1` of 150; offcuts of 40 are no use.
fn shelves() -> Planned {
    let boards = Boards::new().kerf(3000).stock(1_000_000, 5).parts(&[(400_000, 4), (150_000, 2)]);
    let planned = Planned::of(&boards.batch);
    assert_eq!(planned.plan.layouts.iter().map(|layout| layout.copies).sum::<u32>(), 2);
    planned
}

#[test]
fn a_piece_that_is_longer_now_is_made_anew_and_the_old_one_is_stock() {
    let planned = shelves();
    let one = Done { copies: Some(1), ..cut(0) };
    let mut job = planned.job.clone();
    job.parts[0].length = Length::mm(403);
    let rest = planned.rest_of(&job, &[one]);
    assert_eq!(quantities(&rest.batch), [4, 1]);
    let unwanted: Vec<_> =
        rest.unwanted.iter().map(|made| (made.part.qty, made.piece.name.as_str())).collect();
    assert_eq!(unwanted, [(2, "p0, made 400 mm")]);
    let rows: Vec<_> = carried(&rest).iter().map(|row| (row.name.as_str(), row.qty, row.length)).collect();
    assert_eq!(
        rows,
        [("s0, bought", Some(2), Length::mm(1000)), ("p0, made 400 mm", Some(2), Length::mm(400))]
    );
    // The old ones hold a part of their size without any cut.
    job.parts[1].length = Length::mm(400);
    let next = Planned::after(&job, planned.rest_of(&job, &[one]));
    assert!(
        next.plan
            .layouts
            .iter()
            .any(|layout| next.batch.batch().stock[layout.stock].name == "p0, made 400 mm")
    );
}

#[test]
fn all_that_makes_a_piece_that_piece_counts_and_nothing_else() {
    let planned = shelves();
    let made = |change: fn(&mut Part)| {
        let mut job = planned.job.clone();
        change(&mut job.parts[0]);
        let rest = planned.rest_of(&job, &planned.all());
        let counted = 4 - rest.batch.parts[0].qty;
        assert_eq!(counted + rest.unwanted.iter().map(|made| made.part.qty).sum::<u32>(), 4);
        counted == 4
    };
    let same: [fn(&mut Part); 8] = [
        |_| (),
        |part| part.name = " P0".to_owned(),
        |part| part.material = "M ".to_owned(),
        |part| part.grain = Some(PartGrain::Length),
        |part| part.note = "for the hall".to_owned(),
        |part| part.optional = true,
        |part| part.band = Some("oak".to_owned()),
        |part| part.fit = Fit::Yes,
    ];
    assert!(same.into_iter().all(made));
    let other: [fn(&mut Part); 10] = [
        |part| part.fit = Fit::Over(Length::mm(1)),
        |part| part.name = "rail".to_owned(),
        |part| part.job = "hall".to_owned(),
        |part| part.thickness = Some(Length::mm(19)),
        |part| part.width = Some(Length::mm(19)),
        |part| part.length = Length::mm(399),
        |part| part.grain = Some(PartGrain::Any),
        |part| part.length_edges = 1,
        |part| part.oversize = Length::mm(1),
        |part| part.match_word = Some("x".to_owned()),
    ];
    for (index, change) in other.into_iter().enumerate() {
        assert!(!made(change), "{index}");
    }
    // Rows that ask for the same share what is made, the first one first.
    let mut job = planned.job.clone();
    job.parts[0].qty = 3;
    job.parts.push(Part { qty: 5, ..job.parts[0].clone() });
    assert_eq!(quantities(&planned.rest_of(&job, &planned.all()).batch), [0, 0, 4]);
}

#[test]
fn a_blank_that_waits_for_its_last_cut_counts_for_any_size_that_it_holds() {
    let mut boards = Boards::new().kerf(3000).stock(1_000_000, 5).parts(&[(400_000, 4), (150_000, 2)]);
    for (fit, oversize, length, counts) in [
        (Fit::Over(Length::mm(6)), 0, 406, true),
        (Fit::Over(Length::mm(6)), 0, 407, false),
        (Fit::Over(Length::mm(6)), 0, 380, true),
        (Fit::Over(Length::mm(6)), 2, 408, true),
        (Fit::No, 2, 402, true),
        (Fit::Yes, 0, 399, true),
        (Fit::Yes, 0, 401, false),
        (Fit::No, 0, 399, false),
    ] {
        let part = &mut boards.batch.parts[0];
        (part.fit, part.oversize) = (fit, Length::mm(oversize));
        let planned = Planned::of(&boards.batch);
        for fit_now in [fit, Fit::No, Fit::Yes] {
            let mut job = planned.job.clone();
            (job.parts[0].length, job.parts[0].fit) = (Length::mm(length), fit_now);
            let rest = planned.rest_of(&job, &planned.all());
            assert_eq!(rest.batch.parts[0].qty, if counts { 0 } else { 4 }, "{fit:?} {oversize} {length}");
            assert_eq!(rest.unwanted.is_empty(), counts);
            let other: u32 = rest.other.iter().map(|(made, _)| made.part.qty).sum();
            assert_eq!(other, if counts { 4 } else { 0 });
            // What is counted once is counted in every rest.
            let made = |rest: &Rest| rest.before.made.iter().map(|made| made.part.qty).sum::<u32>();
            let before = made(&rest);
            let next = Planned { before: rest.before.clone(), ..Planned::after(&job, rest) };
            assert_eq!(made(&next.rest(&[])), before);
        }
    }
    // The largest first, so that none is cut down for nothing; what fits as it is comes before all.
    let part = &mut boards.batch.parts[0];
    (part.fit, part.oversize) = (Fit::Over(Length::mm(6)), Length::ZERO);
    let planned = Planned::of(&boards.batch);
    let mut job = planned.job.clone();
    for length in [300, 405] {
        job.parts.push(Part { qty: 1, length: Length::mm(length), ..job.parts[0].clone() });
    }
    job.parts[0].qty = 2;
    assert_eq!(quantities(&planned.rest_of(&job, &planned.all()).batch), [0, 0, 0, 0]);
    job.parts[0].qty = 3;
    assert_eq!(quantities(&planned.rest_of(&job, &planned.all()).batch), [0, 0, 1, 0]);
}

#[test]
fn what_a_cut_left_to_be_cut_can_be_lost() {
    let planned = shelves();
    let rest = |how| planned.rest(&[Done { layout: 0, copies: Some(1), how }]);
    for cuts in 1..=2 {
        let (begun, lost) = (rest(How::Begun(cuts)), rest(How::Lost(cuts)));
        assert_eq!(quantities(&lost.batch), quantities(&begun.batch));
        let names = |rest: &Rest| carried(rest).iter().map(|row| row.name.clone()).collect::<Vec<_>>();
        assert!(names(&begun).iter().any(|name| name.contains("begun")), "{:?}", names(&begun));
        assert_eq!(names(&lost), ["s0, bought"]);
    }
    let planned_wrong = Followed::new(
        &planned.batch,
        &planned.plan,
        SPARE,
        &planned.before,
        &[Done { how: How::Lost(9), ..cut(0) }],
    );
    assert!(matches!(planned_wrong.unwrap_err()[..], [Misfit { wrong: Wrong::Cut { .. }, .. }]));
}

#[test]
fn pieces_of_one_strip_count_together_or_not_at_all() {
    let mut sheets = Sheets::new().sheet([1000, 500], 5).parts(&[(200, 300, 1), (150, 300, 2)]);
    for part in &mut sheets.batch.parts {
        (part.match_word, part.match_way) = (Some("drawers".to_owned()), MatchWay::Along);
    }
    let planned = Planned::of(&sheets.batch);
    let rest = planned.rest(&planned.all());
    assert_eq!((quantities(&rest.batch), rest.unwanted.len()), (vec![0, 0], 0));
    let mut job = planned.job.clone();
    job.parts[0].length = Length::mm(203);
    let rest = planned.rest_of(&job, &planned.all());
    assert_eq!((quantities(&rest.batch), rest.unwanted.len()), (vec![1, 2], 2));
    // One more, and the grain of the others would not run on into it.
    job = planned.job.clone();
    job.parts[1].qty = 3;
    assert_eq!(quantities(&planned.rest_of(&job, &planned.all()).batch), [1, 3]);
}

#[test]
fn what_was_made_in_the_first_of_three_plans_can_be_unwanted_in_the_third() {
    let planned = shelves();
    let one = Done { copies: Some(1), ..cut(0) };
    let second = Planned::after(&planned.job, planned.rest(&[one]));
    let mut job = planned.job.clone();
    job.parts[1].length = Length::mm(151);
    let rest = second.rest_of(&job, &second.all());
    assert_eq!(quantities(&rest.batch), [0, 2]);
    let unwanted: Vec<_> =
        rest.unwanted.iter().map(|made| (made.part.qty, made.piece.name.as_str())).collect();
    assert_eq!(unwanted, [(1, "p1, made 150 mm"), (1, "p1, made 150 mm")]);
    let rows: Vec<_> = carried(&rest).iter().map(|row| (row.name.as_str(), row.qty)).collect();
    assert_eq!(rows, [("s0, bought", Some(1)), ("p1, made 150 mm", Some(2))]);
}

#[test]
fn entries_that_do_not_fit_are_all_named() {
    let planned = shelves();
    let done = [
        Done { layout: 9, ..cut(0) },
        Done { copies: Some(1), ..cut(0) },
        Done { how: How::Begun(9), ..cut(0) },
        Done { how: How::Spoiled, ..cut(0) },
        Done { copies: Some(2), ..cut(0) },
    ];
    let misfits = Followed::new(&planned.batch, &planned.plan, SPARE, &planned.before, &done).unwrap_err();
    let layouts = planned.plan.layouts.len();
    let copies = planned.plan.layouts[0].copies;
    assert_eq!((layouts, copies), (1, 2));
    let expected = [
        Misfit { entry: 0, wrong: Wrong::Layout { layouts } },
        Misfit { entry: 2, wrong: Wrong::Cut { cuts: 3 } },
        Misfit { entry: 3, wrong: Wrong::Copies { copies, named: 3 } },
        Misfit { entry: 4, wrong: Wrong::Copies { copies, named: 5 } },
    ];
    assert_eq!(misfits, expected);
}
