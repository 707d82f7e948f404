//! Which pieces count as made, told by hand: by what makes them that piece, as blanks, by strips, over several plans.

use super::build::Boards;
use super::build_sheets::Sheets;
use super::carried_on::{Planned, SPARE, carried, cut, quantities};
use nest_core::model::{Fit, MatchWay, Part, PartGrain};
use nest_core::rest::{Before, Done, Followed, How, Misfit, Rest, Untrue, Untruths, Wrong};
use nest_core::units::Length;

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
    assert!(matches!(planned_wrong.unwrap_err().as_slice(), [Misfit { wrong: Wrong::Cut { .. }, .. }]));
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
fn a_strip_that_is_left_on_the_saw_is_named_while_its_end_can_still_be_cut() {
    let mut sheets = Sheets::new().sheet([1000, 500], 5).parts(&[(200, 300, 1), (150, 300, 2)]);
    for part in &mut sheets.batch.parts {
        (part.match_word, part.match_way) = (Some("drawers".to_owned()), MatchWay::Along);
    }
    let planned = Planned::of(&sheets.batch);
    let mut longer = planned.job.clone();
    longer.parts[0].length = Length::mm(203);
    let cuts = planned.plan.layouts[0].cuts(&planned.batch.stock()[0]).count();
    let mut named = 0;
    for cut_to in 1..=cuts {
        let done = |how| [Done { how, ..cut(0) }];
        let rest = planned.rest(&done(How::Begun(cut_to)));
        let made: u32 = rest.unwanted.iter().map(|made| made.part.qty).sum();
        assert_eq!(!rest.parted.is_empty(), made > 0, "some but not all, after cut {cut_to}");
        assert!(rest.parted.iter().all(|word| word == "drawers") && rest.parted.len() <= 1);
        named += rest.parted.len();
        // What is gone, or wanted otherwise now, cannot be had by cutting on.
        assert!(planned.rest(&done(How::Lost(cut_to))).parted.is_empty());
        assert!(planned.rest_of(&longer, &done(How::Begun(cut_to))).parted.is_empty());
    }
    assert!(named > 0);
}

#[test]
fn what_cannot_have_been_done_is_named() {
    let mut sheets = Sheets::new().sheet([1000, 500], 5).parts(&[(200, 300, 1), (150, 100, 2)]);
    sheets.batch.parts[0].grain = Some(PartGrain::Width);
    sheets.batch.parts[1].fit = Fit::Over(Length::mm(5));
    let planned = Planned::of(&sheets.batch);
    let Rest { batch, before, .. } = planned.rest(&planned.all());
    let wrong = |change: &dyn Fn(&mut Before)| {
        let mut before = before.clone();
        change(&mut before);
        before.check(&batch).err().map_or(Vec::new(), Untruths::into_vec)
    };
    assert_eq!(wrong(&|_| ()), []);
    let [turned, blanks] = [0, 1];
    assert_eq!(before.made[turned].piece.length, Length::mm(300), "it lies across");
    for made in [turned, blanks] {
        let size = [Untrue::OtherSize { made }];
        assert_eq!(wrong(&|before| before.made[made].piece.length += Length::mm(1)), size);
        assert_eq!(wrong(&|before| before.made[made].piece.width = Some(Length::mm(99))), size);
        assert_eq!(
            wrong(&|before| before.made[made].part.name = "other".to_owned()),
            [Untrue::NotAsked { made }]
        );
    }
    // A blank may have been cut for another size, as long as it holds the one that is asked for.
    let blank_of = |length: i64| {
        wrong(&|before| {
            before.made[blanks].part.length = Length::mm(length);
            before.made[blanks].piece.length = Length::mm(length + 5);
        })
    };
    assert_eq!((blank_of(145), blank_of(160)), (vec![], vec![]));
    for length in [144, -150] {
        assert_eq!(blank_of(length), [Untrue::NotAsked { made: blanks }]);
    }
    let stock = batch.stock.len() - before.carried - 1;
    assert_eq!(wrong(&|before| before.carried += 1), [Untrue::NotOnHand { stock }]);
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
    assert_eq!(misfits.as_slice(), expected);
}
