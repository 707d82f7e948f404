//! The check accepts a sound plan and refuses each one that was tampered with, for the right reason.

use std::collections::BTreeSet;

use nest_core::check::{Checked, CheckedGroup, Fault, Faults, Floor, Refusal, check, floor_of};
use nest_core::model::{CheckedBatch, FirstCut, GroupKind, MatchWay, Part};
use nest_core::plan::{Certificate, Dual, Kind, Leaf, Node, PartShare, Plan, Reason, StockValue, Way};
use nest_core::search::Options;
use nest_core::units::Length;

use crate::build;
use crate::refused::{self, tamperings};

fn question() -> CheckedBatch {
    refused::batch().check().unwrap()
}

/// The name of a fault's variant, with that of the refusal behind it.
fn name(fault: &Fault) -> String {
    let variant = |debug: String| debug.chars().take_while(char::is_ascii_alphanumeric).collect::<String>();
    match fault {
        Fault::Certificate { refusal, .. } => format!("Certificate/{}", variant(format!("{refusal:?}"))),
        fault => variant(format!("{fault:?}")),
    }
}

fn names(faults: &Faults) -> BTreeSet<String> {
    faults.as_slice().iter().map(name).collect()
}

#[test]
fn a_sound_plan_is_accepted() {
    let question = question();
    assert_eq!(
        question.groups().iter().map(|group| group.kind).collect::<Vec<_>>(),
        [GroupKind::Boards, GroupKind::Sheets]
    );
    let group = |cost, floor| CheckedGroup { cost, floor, complete: true, impossible: false };
    let checked = check(&question, &refused::plan());
    assert_eq!(
        checked,
        Ok(Checked {
            groups: vec![group(1300, 1000), group(4000, 4000)],
            made: vec![3, 4, 1, 0, 4, 2],
            used: vec![2, 1, 1],
        })
    );
}

#[test]
fn every_tampering_is_refused_for_its_reason() {
    let mut wrong = Vec::new();
    for tampering in tamperings() {
        let (mut batch, mut plan) = (refused::batch(), refused::plan());
        (tampering.apply)(&mut batch, &mut plan);
        let expected: BTreeSet<String> = tampering.faults.iter().map(|&fault| fault.to_owned()).collect();
        let found = match check(&batch.check().unwrap(), &plan) {
            Ok(_) => BTreeSet::new(),
            Err(faults) => names(&faults),
        };
        if expected != found {
            wrong.push(format!("{}: expected {expected:?}, but found {found:?}", tampering.name));
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}

#[test]
fn tamperings_have_names_of_their_own_and_reach_every_fault() {
    let all = tamperings();
    let names: BTreeSet<_> = all.iter().map(|tampering| tampering.name).collect();
    assert_eq!(names.len(), all.len());
    let reached: BTreeSet<_> = all.iter().flat_map(|tampering| tampering.faults.iter().copied()).collect();
    // Not reached here: stock without a width (its own test), and what no plan of this size can bring about.
    for fault in [
        "NoStock NoCopies NoPieces RootSize TooDeep NoSize NoChildren NotThrough Overfull Underfull",
        "SplitsLeftover WrongMark NoPart ForeignPart WrongWay PieceSize Pieces ShortRip Stages FirstCut",
        "TooLong BeyondFence Supply TooMany Unplaced UnplacedUnknown UnplacedOrder Groups FloorUnproven",
        "FloorTooHigh Certificate/NoLeaf Certificate/ForeignPart Certificate/PartTwice Certificate/NegativePrice",
        "Certificate/OptionalPriced Certificate/ForeignStock Certificate/StockTwice Certificate/NoValue",
        "Certificate/NegativeValue Certificate/ValueTooSmall Certificate/SideBySide Certificate/EmptyBox",
        "Certificate/Gap Certificate/TooLarge Certificate/NoDual Certificate/Unbounded Strip",
        "Certificate/EmptyShare Certificate/Share Certificate/Pieces",
    ]
    .iter()
    .flat_map(|line| line.split(' '))
    {
        assert!(reached.contains(fault), "{fault}");
    }
}

#[test]
fn faults_say_where_what_was_expected_and_what_was_found() {
    let said = |name: &str| {
        let tampering = tamperings().into_iter().find(|tampering| tampering.name == name).unwrap();
        let (mut batch, mut plan) = (refused::batch(), refused::plan());
        (tampering.apply)(&mut batch, &mut plan);
        check(&batch.check().unwrap(), &plan).unwrap_err().to_string()
    };
    for (name, expected) in [
        (
            "piece one tick short",
            "layouts[0] child 0: expected 800 x 89 mm for parts[0] \"shelf\", but found 799.9999875 x 89 mm",
        ),
        ("kerf forgotten", "layouts[0]: expected parts and kerfs of 2380 mm at most, but found 2386 mm"),
        (
            "tail wider than a kerf",
            "layouts[2] child 0.0: expected at most one kerf of 3 mm after the last part, but found 4 mm",
        ),
        (
            "piece turned in a board",
            "layouts[0] child 0: parts[0] \"shelf\" may not lie across the length of stock[0] \"long\"",
        ),
        ("more stock than there is", "expected at most 2 of stock[1] \"short\" to be cut, but found 3"),
        (
            "one too few named as left over",
            "expected 2 of parts[3] \"peg\" to be named as not made, but found 1",
        ),
        (
            "place of a listed piece changed across",
            "layouts[0]: pieces do not agree with the tree: expected parts[0] of 800 x 89 mm at 813, 0, \
             but found parts[0] of 800 x 89 mm at 813, 0.0000125",
        ),
        (
            "value one too small",
            "groups[0]: certificate refused: leaves[0]: expected that one layout of stock[0] \"long\" collects \
             at most 2214, but found 2215",
        ),
        (
            "matched parts out of order",
            "layouts[3]: expected the 2 pieces whose grain is matched, from parts[4] \"side\" on, as one strip in the \
             order of the list, but found 0 that follow each other",
        ),
        (
            "gap between leaves",
            "groups[0]: certificate refused: no leaf speaks for the use of 0 of stock[0] \"long\", \
             1 of stock[1] \"short\"",
        ),
    ] {
        assert_eq!(said(name), expected);
    }
}

#[test]
fn a_plan_of_nothing_is_refused_for_each_part() {
    let faults = check(&question(), &Plan::default()).unwrap_err();
    assert_eq!(names(&faults), ["Groups", "Unplaced"].map(str::to_owned).into());
    assert_eq!(faults.as_slice().len(), 7);
}

#[test]
fn faults_without_number_are_not_all_listed() {
    let mut plan = refused::plan();
    let one = plan.layouts[0].clone();
    plan.layouts = vec![one; 3000];
    for layout in &mut plan.layouts {
        layout.stock = 77;
    }
    let faults = check(&question(), &plan).unwrap_err().into_vec();
    assert_eq!((faults.len(), faults.last()), (1001, Some(&Fault::More)));
}

#[test]
fn boards_without_a_width_are_never_ripped() {
    let mut batch = refused::batch();
    for part in &mut batch.parts[..4] {
        part.width = None;
        part.optional = true;
    }
    for stock in &mut batch.stock[..2] {
        stock.width = None;
    }
    let mut plan = refused::plan();
    plan.layouts.drain(..3);
    plan.unplaced = vec![(0, 3), (1, 4), (2, 1), (3, 2)];
    plan.groups[0] = Default::default();
    let question = batch.check().unwrap();
    assert!(check(&question, &plan).is_ok());
    let leaf = Leaf {
        values: [0, 1]
            .map(|stock| StockValue { stock, piece: None, value: 0, reason: Reason::Area })
            .to_vec(),
        ..Leaf::default()
    };
    plan.groups[0].certificate = Some(Certificate { leaves: vec![leaf], matched: false });
    let faults = check(&question, &plan).unwrap_err();
    assert_eq!(names(&faults), ["Certificate/NoWidth".to_owned()].into());
}

#[test]
fn a_tail_of_one_whole_kerf_is_accepted() {
    let mut plan = refused::plan();
    refused::widen_the_cleats(&mut plan, 812);
    assert!(check(&question(), &plan).is_ok());
    refused::widen_the_cleats(&mut plan, 813);
    assert_eq!(names(&check(&question(), &plan).unwrap_err()), ["Underfull".to_owned()].into());
}

#[test]
fn a_level_of_the_tree_without_a_cut_is_no_stage() {
    let mut plan = refused::plan();
    let root = plan.layouts[3].root.clone();
    let size = root.size;
    plan.layouts[3].root = Node { size, kind: Kind::Cut { way: Way::Crosscut, children: vec![root] } };
    assert!(check(&question(), &plan).is_ok());
}

#[test]
fn a_tree_is_accepted_to_its_last_allowed_level() {
    let wrapped = |levels| {
        let mut plan = refused::plan();
        for _ in 0..levels {
            let root = plan.layouts[0].root.clone();
            let size = root.size;
            plan.layouts[0].root =
                Node { size, kind: Kind::Cut { way: Way::Crosscut, children: vec![root] } };
        }
        check(&question(), &plan).map_err(|faults| names(&faults))
    };
    assert!(wrapped(63).is_ok());
    assert!(wrapped(64).unwrap_err().contains("TooDeep"));
}

#[test]
fn one_strip_may_be_wider_than_the_fence_reaches() {
    // The strip of 400 is what is left when the one before it and the one behind it, 794 less the first, have come off.
    let judged = |first: Length| {
        let mut batch = refused::batch();
        batch.shop.sheets.fence_reach = Some(Length::mm(399));
        let batch = batch.check().unwrap();
        check(&batch, &refused::with_first_rip_at(first)).map_err(|faults| names(&faults))
    };
    let tick = Length::from_ticks(1);
    assert!(judged(Length::mm(395)).is_ok() && judged(Length::mm(399)).is_ok());
    for first in [Length::mm(395) - tick, Length::mm(399) + tick] {
        assert_eq!(judged(first).unwrap_err(), ["BeyondFence".to_owned()].into());
    }
}

#[test]
fn lengths_are_no_reason_where_two_parts_fit_side_by_side_to_the_tick() {
    let proof = |width| {
        let mut batch = refused::batch();
        batch.parts.truncate(3);
        batch.parts.remove(0);
        batch.stock.truncate(1);
        batch.stock[0].width = Some(width);
        let value = StockValue { stock: 0, piece: None, value: 1_000_000, reason: Reason::Lengths };
        let leaf = Leaf { prices: vec![(0, 1), (1, 1)], values: vec![value], ..Leaf::default() };
        floor_of(&batch.check().unwrap(), 0, &Certificate { leaves: vec![leaf], matched: false })
    };
    // Two cleats of 60 and a kerf of 3.
    assert!(matches!(proof(Length::mm(123)), Err(Refusal::SideBySide { .. })));
    assert_eq!(proof(Length::mm(123) - Length::from_ticks(1)), Ok(Floor::Cost(500)));
}

#[test]
fn a_part_that_may_turn_counts_with_its_shorter_side() {
    let mut batch = refused::batch();
    batch.parts = vec![batch.parts[5].clone()];
    batch.stock = vec![batch.stock[2].clone()];
    (batch.parts[0].length, batch.parts[0].width, batch.parts[0].qty) =
        (Length::mm(280), Some(Length::mm(200)), 9);
    (batch.stock[0].length, batch.stock[0].width) = (Length::mm(1020), Some(Length::mm(320)));
    let batch = batch.check().unwrap();
    // Of 1000 x 300: four across, 4 * 203 - 3, where only three would lie along.
    let claim = |value| {
        let values = vec![StockValue { stock: 0, piece: None, value, reason: Reason::Lengths }];
        let leaf = Leaf { prices: vec![(0, 1)], values, ..Leaf::default() };
        floor_of(&batch, 0, &Certificate { leaves: vec![leaf], matched: false })
    };
    assert!(matches!(claim(3), Err(Refusal::ValueTooSmall { found: 4, .. })));
    assert_eq!(claim(4), Ok(Floor::Cost(3 * 4000)));
}

#[test]
fn an_optional_part_may_be_named_at_no_price() {
    let mut certificate = refused::plan().groups[0].certificate.clone().unwrap();
    certificate.leaves.iter_mut().for_each(|leaf| leaf.prices.push((3, 0)));
    assert_eq!(floor_of(&question(), 0, &certificate), Ok(Floor::Cost(1000)));
}

#[test]
fn stock_that_is_not_enough_is_proven_not_to_be() {
    let mut batch = refused::batch();
    batch.stock[0].qty = Some(1);
    let question = batch.clone().check().unwrap();
    let certificate = refused::plan().groups[0].certificate.clone().unwrap();
    // One long board and two short ones collect 2215 + 2 * 1615, more than the 4224 asked for.
    assert_eq!(floor_of(&question, 0, &certificate), Ok(Floor::Cost(1100)));
    batch.stock[1].qty = Some(1);
    let question = batch.check().unwrap();
    assert_eq!(floor_of(&question, 0, &certificate), Ok(Floor::Impossible));
    assert_eq!(floor_of(&question, 2, &certificate), Err(Refusal::NoGroup(2)));
    // A partial plan may say so, but may not claim a floor from it, and no complete plan goes with it.
    let mut plan = refused::plan();
    plan.layouts.remove(0);
    plan.unplaced = vec![(0, 2), (3, 2)];
    plan.groups[0].floor = 0;
    let checked = check(&question, &plan).unwrap();
    assert!(checked.groups[0].impossible && !checked.groups[0].complete && !checked.complete());
    plan.groups[0].floor = 1;
    assert_eq!(names(&check(&question, &plan).unwrap_err()), ["FloorTooHigh".to_owned()].into());
}

#[test]
fn a_pair_of_functions_proves_what_its_value_allows() {
    let mut plan = refused::plan();
    refused::proofs::with_pair_of_functions(&mut plan);
    plan.groups[1].floor = 4000;
    assert!(check(&question(), &plan).is_ok());
}

#[test]
fn sets_prove_what_their_value_allows() {
    let mut plan = refused::plan();
    refused::proofs::with_sets(&mut plan);
    plan.groups[1].floor = 4000;
    assert!(check(&question(), &plan).is_ok());
}

#[test]
fn a_strip_counts_as_one_piece_where_the_certificate_says_so() {
    let (mut batch, mut plan) = (refused::batch(), refused::plan());
    refused::proofs::with_strip_as_one(&mut batch, &mut plan);
    plan.groups[1].floor = 4000;
    let question = batch.check().unwrap();
    assert_eq!(check(&question, &plan).unwrap().groups[1].floor, 4000);
}

/// Six of 700 x 500 are two rows on a sheet of 2420 x 1200, but three strips of two are each as long as more than half of it.
#[test]
fn strips_need_sheets_that_their_parts_do_not_need() {
    let mut batch = refused::batch();
    let word = |word: &str| Part {
        width: Some(Length::mm(500)),
        qty: 2,
        match_word: Some(word.into()),
        ..batch.parts[4].clone()
    };
    batch.parts = ["upper", "middle", "lower"].map(word).to_vec();
    batch.stock = vec![batch.stock[2].clone()];
    let question = batch.check().unwrap();
    let floor = |matched, value| {
        let reason = Reason::Sets { along: Dual::Plain, across: Dual::Plain, stages: Some(2) };
        let leaf = Leaf {
            prices: vec![(0, 1), (1, 1), (2, 1)],
            values: vec![StockValue { stock: 0, piece: None, value, reason }],
            ..Leaf::default()
        };
        floor_of(&question, 0, &Certificate { leaves: vec![leaf], matched })
    };
    assert_eq!(floor(false, 6), Ok(Floor::Cost(4000)));
    assert!(matches!(floor(false, 5), Err(Refusal::ValueTooSmall { found: 6, .. })));
    assert_eq!(floor(true, 2), Ok(Floor::Cost(8000)));
    assert!(matches!(floor(true, 1), Err(Refusal::ValueTooSmall { found: 2, .. })));
    let solution = build::solve(&question, Options::default());
    assert_eq!((solution.cost, solution.floor), (8000, 8000));
}

/// Sets as the reason for a value of the only stock there is.
fn by_sets(value: i64, prices: Vec<(usize, i64)>) -> Leaf {
    let reason = Reason::Sets { along: Dual::Plain, across: Dual::Plain, stages: None };
    Leaf { prices, values: vec![StockValue { stock: 0, piece: None, value, reason }], ..Leaf::default() }
}

/// By hand: beside 803 of the board, kerf included, is a blank of just the length that is ripped, and two cleats in it.
#[test]
fn boards_are_ripped_from_the_length_on_that_the_shop_says() {
    let holds = |shortest: Length| {
        let mut batch = refused::batch();
        batch.parts.truncate(2);
        (batch.parts[0].qty, batch.parts[1].qty) = (1, 2);
        (batch.parts[1].length, batch.parts[1].width) = (Length::mm(250), Some(Length::mm(43)));
        batch.stock.truncate(1);
        batch.stock[0].length = Length::mm(803 + 300 + 20);
        batch.shop.boards.shortest_rip = shortest;
        let leaf = by_sets(2, vec![(0, 1), (1, 1)]);
        floor_of(&batch.check().unwrap(), 0, &Certificate { leaves: vec![leaf], matched: false })
    };
    let exact = Length::mm(300);
    assert!(matches!(holds(exact), Err(Refusal::ValueTooSmall { found: 3, .. })));
    assert_eq!(holds(exact + Length::from_ticks(1)), Ok(Floor::Cost(1000)));
}

#[test]
fn a_strip_shares_no_limit_with_a_part_of_its_size() {
    let mut batch = refused::batch();
    let strip = Part { qty: 2, match_word: Some("pair".into()), ..batch.parts[4].clone() };
    let part = Part { qty: 1, length: Length::mm(1403), ..batch.parts[4].clone() };
    batch.parts = vec![strip, part];
    batch.stock = vec![batch.stock[2].clone()];
    let question = batch.check().unwrap();
    let share = PartShare { stock: 0, piece: None, parts: vec![0, 1], least: 0, most: 2, price: 1 };
    let leaf = Leaf { shares: vec![share], ..by_sets(9, vec![(0, 1), (1, 1)]) };
    let floor = floor_of(&question, 0, &Certificate { leaves: vec![leaf], matched: true });
    assert!(matches!(floor, Err(Refusal::Share { .. })), "{floor:?}");
}

/// As one piece the strip is longer than half of the sheet, and so is the other part: the function has nothing to count.
#[test]
fn functions_do_not_count_the_parts_of_a_strip() {
    let mut batch = refused::batch();
    let front =
        |qty| Part { qty, length: Length::mm(450), match_word: Some("row".into()), ..batch.parts[4].clone() };
    let long = Part { qty: 2, length: Length::mm(1300), ..batch.parts[4].clone() };
    batch.parts = vec![front(1), front(2), long];
    batch.stock = vec![batch.stock[2].clone()];
    let question = batch.check().unwrap();
    let floor = |matched| {
        let reason = Reason::Dual { along: Dual::Count(Length::mm(400)), across: Dual::Plain };
        let leaf = Leaf {
            prices: vec![(2, 1)],
            values: vec![StockValue { stock: 0, piece: None, value: 8, reason }],
            ..Leaf::default()
        };
        floor_of(&question, 0, &Certificate { leaves: vec![leaf], matched })
    };
    // Of the three, two fit beside 1300 and all into the sheet: alone they are counted.
    assert_eq!(floor(false), Ok(Floor::Cost(4000)));
    assert!(matches!(floor(true), Err(Refusal::Unbounded { .. })));
}

/// Slats that the fence reaches, in a sheet of which it does not reach what is left: that is the one wide strip.
#[test]
fn the_fence_has_to_reach_the_pieces_of_a_strip_and_not_all_of_it() {
    let mut batch = refused::batch();
    let slat =
        Part { length: Length::mm(600), width: Some(Length::mm(15)), qty: 2, ..batch.parts[4].clone() };
    batch.parts = vec![Part { match_word: Some("pair".into()), match_way: MatchWay::Across, ..slat }];
    batch.stock = vec![batch.stock[2].clone()];
    batch.shop.sheets.fence_reach = Some(Length::mm(20));
    batch.shop.sheets.first_cut = FirstCut::Either;
    batch.shop.sheets.longest_crosscut = None;
    let question = batch.check().unwrap();
    assert_eq!(question.strips()[0].from.len(), 1);
}

#[test]
fn parts_may_be_shared_out_among_pieces_of_stock() {
    let mut plan = refused::plan();
    refused::shares::with_shares(&mut plan);
    assert_eq!(check(&question(), &plan).unwrap().groups[0].floor, 1000);
    // Of stock that a leaf does not allow nothing need be said.
    let certificate = plan.groups[0].certificate.as_mut().unwrap();
    assert_eq!(certificate.leaves[0].bounds[0].most, Some(0));
    certificate.leaves[0].values.pop();
    assert_eq!(check(&question(), &plan).unwrap().groups[0].floor, 1000);
}

#[test]
fn matched_parts_are_accepted_as_one_strip_however_its_cuts_are_nested() {
    let (mut batch, mut plan) = (refused::batch(), refused::plan());
    refused::rules::with_matched_fronts(&mut batch, &mut plan);
    let batch = batch.check().unwrap();
    assert!(check(&batch, &plan).is_ok());
    // The same cuts with the door and what follows it as a rectangle of their own.
    let Kind::Cut { children: strips, .. } = &mut plan.layouts[3].root.kind else { panic!("not divided") };
    let Kind::Cut { way, children } = &mut strips[0].kind else { panic!("not divided") };
    let nested = Kind::Cut { way: *way, children: children.split_off(1) };
    children.push(Node { size: [1717, 400].map(Length::mm), kind: nested });
    assert!(check(&batch, &plan).is_ok());
}

#[test]
fn a_strip_is_made_whole_or_not_at_all() {
    let (mut batch, mut plan) = (refused::batch(), refused::plan());
    refused::rules::with_matched_fronts(&mut batch, &mut plan);
    plan.layouts.remove(3);
    plan.unplaced.extend([(4, 1), (5, 2), (6, 1)]);
    assert!(check(&batch.check().unwrap(), &plan).is_ok());
}
