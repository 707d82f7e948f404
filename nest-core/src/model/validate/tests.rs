//! The rules of a question, each with the smallest batch that follows it or breaks it.

use super::super::*;
use crate::units::{Length, Money, Rate, System};

fn inches(numerator: i64, denominator: i64) -> Length {
    Length::inches(numerator, denominator).unwrap()
}

fn whole(inch: i64) -> Length {
    inches(inch, 1)
}

/// 3/4 pine, 36 in long, 1 1/2 wide, one.
fn part() -> Part {
    Part {
        name: "rail".into(),
        material: "pine".into(),
        thickness: Some(inches(3, 4)),
        length: whole(36),
        width: Some(inches(3, 2)),
        qty: 1,
        ..Part::default()
    }
}

/// 3/4 pine, 8 ft long, 1 1/2 wide, 2.60.
fn board() -> Stock {
    Stock {
        material: "pine".into(),
        thickness: Some(inches(3, 4)),
        length: whole(96),
        width: Some(inches(3, 2)),
        price: Some(Rate::from(Money::from_minor(260))),
        ..Stock::default()
    }
}

fn sheet() -> Stock {
    Stock { width: Some(whole(48)), ..board() }
}

fn batch(parts: Vec<Part>, stock: Vec<Stock>) -> Batch {
    Batch { parts, stock, shop: Shop::defaults(System::Inch) }
}

fn checked(parts: Vec<Part>, stock: Vec<Stock>) -> CheckedBatch {
    batch(parts, stock).check().unwrap_or_else(|problems| panic!("{problems}"))
}

/// The problems as `table row, field: kind`.
fn refused(batch: Batch) -> Vec<(String, ProblemKind)> {
    let problems = batch.check().expect_err("a batch with a problem was accepted").into_vec();
    problems
        .into_iter()
        .map(|p| (p.place.map(|place| place.to_string()).unwrap_or_default(), p.kind))
        .collect()
}

fn one(place: &str, kind: ProblemKind) -> Vec<(String, ProblemKind)> {
    vec![(place.into(), kind)]
}

#[test]
fn a_sound_batch_is_one_group_of_boards() {
    let checked = checked(vec![part()], vec![board()]);
    assert_eq!(checked.groups().len(), 1);
    assert_eq!(checked.groups()[0].kind, GroupKind::Boards);
    assert_eq!(checked.groups()[0].name, "pine 3/4\"");
    assert_eq!(checked.parts()[0].from, [Placing { stock: 0, straight: true, turned: false }]);
    assert_eq!(checked.parts()[0].group, Some(0));
    assert_eq!(checked.stock()[0].cost, 260);
    assert_eq!(checked.measure(), Measure::Money);
    assert_eq!(checked.batch().stock[0].name, "pine, 8'");
    assert_eq!(checked.warnings(), []);
}

#[test]
fn all_problems_are_reported_at_once_in_order_of_place() {
    let parts = vec![
        Part { length: Length::ZERO, ..part() },
        Part { material: " ".into(), qty: 2_000_000, ..part() },
        Part { thickness: Some(inches(1, 2)), ..part() },
    ];
    let found = refused(batch(
        parts,
        vec![board(), Stock { width: Some(-whole(1)), material: "oak".into(), ..board() }],
    ));
    let expected = [
        ("parts 0, length", ProblemKind::NotPositive),
        ("parts 1, material", ProblemKind::Missing),
        ("parts 1, qty", ProblemKind::Limit),
        ("parts 2, thickness", ProblemKind::Thickness),
        ("stock 1, width", ProblemKind::NotPositive),
    ];
    assert_eq!(found, expected.map(|(place, kind)| (place.to_owned(), kind)));
}

#[test]
fn an_empty_list_is_refused() {
    assert_eq!(refused(batch(vec![], vec![board()])), one("", ProblemKind::Empty));
    assert_eq!(refused(batch(vec![part()], vec![])), one("", ProblemKind::Empty));
}

#[test]
fn sizes_beyond_the_cap_and_hostile_shops_are_refused_without_overflow() {
    for length in [Length::from_ticks(i64::MAX), Length::MAX + Length::from_ticks(1)] {
        assert_eq!(
            refused(batch(vec![Part { length, ..part() }], vec![board()])),
            one("parts 0, length", ProblemKind::Limit)
        );
        assert_eq!(
            refused(batch(vec![part()], vec![Stock { length, ..board() }])),
            one("stock 0, length", ProblemKind::Limit)
        );
    }
    let mut hostile = batch(vec![part()], vec![board()]);
    hostile.shop.boards.trim = [Length::from_ticks(i64::MAX); 2];
    assert_eq!(refused(hostile)[0], ("shop, boards.trim".into(), ProblemKind::Limit));
    let mut negative = batch(vec![part()], vec![board()]);
    negative.shop.boards.kerf = Length::from_ticks(i64::MIN);
    assert_eq!(refused(negative), one("shop, boards.kerf", ProblemKind::NotPositive));
}

#[test]
fn quantities_are_limited_a_row_and_in_all() {
    let many = |qty| Part { qty, ..part() };
    assert_eq!(refused(batch(vec![many(1_000_001)], vec![board()])), one("parts 0, qty", ProblemKind::Limit));
    assert_eq!(
        refused(batch(vec![many(1_000_000); 11], vec![board()])),
        one("parts 10, qty", ProblemKind::Limit)
    );
}

#[test]
fn materials_match_without_regard_to_case_and_spaces() {
    let shouted = Part { material: "  Birch  PLY ".into(), ..part() };
    let stock = Stock { material: "birch ply".into(), ..board() };
    assert_eq!(checked(vec![shouted], vec![stock]).parts()[0].from.len(), 1);
}

#[test]
fn a_material_without_stock_names_the_one_that_was_meant() {
    let slip = Part { material: "pnie".into(), ..part() };
    let problems = batch(vec![slip], vec![board()]).check().unwrap_err().into_vec();
    assert_eq!(problems[0].message, "no stock is made of `pnie`");
    assert_eq!(problems[0].hint.as_deref(), Some("did you mean `pine`?"));
}

#[test]
fn a_thickness_without_stock_names_the_nearest() {
    let stock = Stock { thickness: Some(inches(23, 32)), ..sheet() };
    let problems = batch(vec![part()], vec![stock.clone()]).check().unwrap_err().into_vec();
    assert_eq!(problems[0].kind, ProblemKind::Thickness);
    assert_eq!(problems[0].message, "no stock of this material is 3/4\" thick");
    assert!(
        problems[0].hint.as_deref().unwrap_or_default().contains("the nearest is 23/32\""),
        "{:?}",
        problems[0].hint
    );
    let called = Stock { called: vec![inches(3, 4)], ..stock };
    assert_eq!(checked(vec![part()], vec![called]).parts()[0].from.len(), 1);
}

#[test]
fn thickness_may_be_left_open_where_one_thing_can_be_meant() {
    let open_part = Part { thickness: None, ..part() };
    let open_board = Stock { thickness: None, ..board() };
    for (parts, stock) in [
        (vec![open_part.clone()], vec![open_board.clone()]),
        (vec![open_part.clone()], vec![board()]),
        (vec![part()], vec![open_board.clone()]),
    ] {
        assert_eq!(checked(parts, stock).groups().len(), 1);
    }
    let thick = Stock { thickness: Some(inches(3, 2)), ..board() };
    assert_eq!(
        refused(batch(vec![open_part], vec![board(), thick])),
        one("parts 0, thickness", ProblemKind::Ambiguous)
    );
    let thick = Part { thickness: Some(inches(3, 2)), ..part() };
    let found = refused(batch(vec![part(), thick], vec![open_board]));
    assert_eq!(found.len(), 2);
    assert!(found.iter().all(|(_, kind)| *kind == ProblemKind::Ambiguous));
}

#[test]
fn a_section_sets_thickness_and_width() {
    let stock = Stock { section: "1x4".parse().ok(), thickness: None, width: None, ..board() };
    let named = Part { section: "1x4".parse().ok(), thickness: None, width: None, ..part() };
    let batch = checked(vec![named.clone(), part()], vec![stock.clone()]);
    assert_eq!(batch.stock()[0].size, [whole(96), inches(7, 2)]);
    assert_eq!(batch.stock()[0].thickness, Some(inches(3, 4)));
    assert_eq!(batch.parts()[0].width, None, "as wide as its board");
    assert_eq!(batch.parts()[1].from.len(), 1, "ripped from wider stock of its thickness");
    assert_eq!(batch.batch().stock[0].name, "pine 1x4, 8'");
    // Stock that nobody named is known by its size.
    let by_size = Stock { width: Some(inches(7, 2)), ..board() };
    assert_eq!(checked(vec![named.clone()], vec![by_size]).parts()[0].from.len(), 1);
    assert_eq!(
        refused(super::tests::batch(vec![named.clone()], vec![board()])),
        one("parts 0, section", ProblemKind::Section)
    );
    let thick = Part { thickness: Some(whole(1)), ..named };
    assert_eq!(
        refused(super::tests::batch(vec![thick], vec![stock])),
        one("parts 0, thickness", ProblemKind::Contradiction)
    );
}

#[test]
fn a_section_outside_the_tables_needs_its_measured_size() {
    let named = Part { section: "8/4x8".parse().ok(), thickness: None, width: None, ..part() };
    let stock = Stock { section: "8/4x8".parse().ok(), thickness: None, width: None, ..board() };
    let found = refused(batch(vec![named.clone()], vec![stock.clone()]));
    assert_eq!(
        found.iter().map(|(place, _)| place.as_str()).collect::<Vec<_>>(),
        ["stock 0, thickness", "stock 0, width"]
    );
    let measured = Stock { thickness: Some(inches(7, 4)), width: Some(inches(15, 2)), ..stock };
    assert_eq!(checked(vec![named], vec![measured]).stock()[0].size[1], inches(15, 2));
}

#[test]
fn a_part_without_a_width_needs_boards_of_one_width() {
    let open = Part { width: None, ..part() };
    let wide = Stock { width: Some(inches(7, 2)), ..board() };
    assert_eq!(checked(vec![open.clone()], vec![board()]).parts()[0].width, None);
    assert_eq!(
        refused(batch(vec![open.clone()], vec![board(), wide])),
        one("parts 0, width", ProblemKind::Ambiguous)
    );
    assert_eq!(refused(batch(vec![open], vec![sheet()])), one("parts 0, width", ProblemKind::Missing));
}

#[test]
fn a_board_without_a_width_is_as_wide_as_its_parts() {
    let open = Stock { width: None, ..board() };
    assert_eq!(checked(vec![part()], vec![open.clone()]).stock()[0].size[1], inches(3, 2));
    let narrow = Part { width: Some(whole(1)), ..part() };
    assert_eq!(
        refused(batch(vec![part(), narrow], vec![open])),
        one("stock 0, width", ProblemKind::Ambiguous)
    );
}

#[test]
fn a_part_longer_than_all_stock_is_told_the_longest() {
    let long = Part { length: whole(97), ..part() };
    let problems = batch(vec![long], vec![board()]).check().unwrap_err().into_vec();
    assert_eq!(problems[0].kind, ProblemKind::TooLong);
    assert!(problems[0].hint.as_deref().unwrap_or_default().contains("96\""), "{:?}", problems[0].hint);
    let mut trimmed = batch(vec![Part { length: whole(96), ..part() }], vec![board()]);
    trimmed.shop.boards.trim = [inches(1, 4); 2];
    let problems = trimmed.check().unwrap_err().into_vec();
    assert_eq!(problems[0].kind, ProblemKind::TooLong);
    assert!(problems[0].hint.as_deref().unwrap_or_default().contains("95 1/2\""), "{:?}", problems[0].hint);
    let wide = Part { width: Some(whole(2)), ..part() };
    assert_eq!(refused(batch(vec![wide], vec![board()])), one("parts 0, width", ProblemKind::TooWide));
}

#[test]
fn form_follows_from_section_and_width() {
    let form = |stock: Stock| super::form::boards(&batch(vec![], vec![stock]))[0];
    assert!(form(board()));
    assert!(form(Stock { width: None, ..board() }));
    assert!(form(Stock { width: Some(whole(12)), ..board() }));
    assert!(form(Stock { width: Some(Length::mm(305)), ..board() }));
    assert!(!form(Stock { width: Some(Length::mm(306)), ..board() }));
    assert!(form(Stock { form: Some(Form::Board), ..sheet() }));
    assert!(!form(Stock { form: Some(Form::Sheet), ..board() }));
    assert!(!form(Stock { width: Some(whole(10)), length: whole(12), ..board() }), "no board is that short");
    let strip = Stock { width: Some(whole(10)), ..sheet() };
    assert_eq!(
        super::form::boards(&batch(vec![], vec![strip, sheet()])),
        [false, false],
        "left over from a sheet"
    );
}

#[test]
fn grain_decides_how_a_part_may_lie() {
    use super::super::{PartGrain as P, StockGrain as S};
    let lies =
        |part_grain, stock, board| super::matching::lies(&Part { grain: part_grain, ..part() }, stock, board);
    for (part, stock, expected) in [
        (None, None, [true, false]),
        (Some(P::Length), Some(S::Length), [true, false]),
        (Some(P::Width), Some(S::Length), [false, true]),
        (Some(P::Length), Some(S::Width), [false, true]),
        (Some(P::Width), Some(S::Width), [true, false]),
        (Some(P::Any), Some(S::Length), [true, true]),
        (Some(P::Length), Some(S::None), [true, true]),
    ] {
        assert_eq!(lies(part, stock, false), expected, "{part:?} on {stock:?}");
    }
    assert_eq!(lies(Some(P::Any), Some(S::None), true), [true, false], "never turned on a board");
    assert_eq!(lies(Some(P::Width), None, true), [false, true]);
}

#[test]
fn two_pieces_side_by_side_make_a_group_of_sheets() {
    let wide = |width| Stock { width: Some(width), ..board() };
    let kind = |parts: Vec<Part>, stock| checked(parts, vec![stock]).groups()[0].kind;
    let (one, two) = (part(), Part { qty: 2, ..part() });
    let beside = inches(3, 2) + inches(1, 8) + inches(3, 2);
    assert_eq!(kind(vec![two.clone()], wide(beside)), GroupKind::Sheets);
    assert_eq!(kind(vec![two], wide(beside - Length::from_ticks(1))), GroupKind::Boards);
    assert_eq!(kind(vec![one.clone()], wide(beside)), GroupKind::Boards, "one piece has no neighbour");
    assert_eq!(kind(vec![one.clone(), one.clone()], wide(beside)), GroupKind::Sheets);
    let turned = Part { grain: Some(PartGrain::Width), length: inches(3, 2), ..one };
    assert_eq!(kind(vec![turned], wide(inches(3, 2))), GroupKind::Sheets, "turned and fitting");
}

#[test]
fn groups_are_what_shares_stock() {
    let oak = || Part { material: "oak".into(), ..part() };
    let oak_board = || Stock { material: "oak".into(), ..board() };
    let long = Part { length: whole(100), ..part() };
    let longer = Stock { length: whole(120), ..board() };
    let checked = checked(vec![oak(), part(), long], vec![board(), longer, oak_board()]);
    let groups: Vec<_> = checked.groups().iter().map(|g| (g.parts.clone(), g.stock.clone())).collect();
    assert_eq!(groups, [(vec![0], vec![2]), (vec![1, 2], vec![0, 1])]);
}

#[test]
fn cut_size_is_finished_size_less_bands_plus_allowances() {
    // A 724 x 372 door, all edges with 1 mm band: 722 x 370, and as finished where 1 mm is milled off first.
    let door = Part {
        length: Length::mm(724),
        width: Some(Length::mm(372)),
        length_edges: 2,
        width_edges: 2,
        ..part()
    };
    let size = |door: &Part, pre_mill| {
        let mut batch = batch(vec![door.clone()], vec![sheet()]);
        batch.shop.bands.push(Band {
            name: "abs".into(),
            thickness: Length::mm(1),
            deduct: Length::mm(1),
            pre_mill,
            overhang: None,
        });
        let checked = batch.check().unwrap();
        (checked.parts()[0].length, checked.parts()[0].width)
    };
    assert_eq!(size(&door, Length::ZERO), (Length::mm(722), Some(Length::mm(370))));
    assert_eq!(size(&door, Length::mm(1)), (Length::mm(724), Some(Length::mm(372))));
    let shelf = Part { width_edges: 0, length_edges: 1, ..door.clone() };
    assert_eq!(size(&shelf, Length::ZERO), (Length::mm(724), Some(Length::mm(371))));
    let over = Part { oversize: Length::mm(20), fit: Fit::Over(Length::mm(5)), ..shelf };
    assert_eq!(size(&over, Length::ZERO), (Length::mm(749), Some(Length::mm(391))));
    let unknown = Part { band: Some("asb".into()), ..door };
    let mut batch = batch(vec![unknown], vec![sheet()]);
    batch.shop.bands.push(Band { name: "ABS".into(), ..Band::default() });
    let problems = batch.check().unwrap_err().into_vec();
    assert_eq!(
        (problems[0].kind, problems[0].hint.as_deref()),
        (ProblemKind::Band, Some("did you mean `ABS`?"))
    );
}

#[test]
fn a_trim_thinner_than_the_kerf_is_refused_and_none_is_not() {
    let with = |trim| {
        let mut batch = batch(vec![part()], vec![board()]);
        batch.shop.boards.trim = [trim; 2];
        batch
    };
    assert_eq!(refused(with(inches(1, 16))), one("shop, boards.trim", ProblemKind::Trim));
    assert!(with(Length::ZERO).check().is_ok());
    assert!(with(inches(1, 8)).check().is_ok());
}

#[test]
fn prices_per_length_area_and_board_foot_become_prices_a_piece() {
    let each = |stock: Stock| checked(vec![part()], vec![stock]).stock()[0].each.map(Money::minor);
    let rate = |minor| Some(Rate::from(Money::from_minor(minor)));
    assert_eq!(each(Stock { price: rate(100), per: Per::Foot, ..board() }), Some(800));
    assert_eq!(each(Stock { price: rate(100), per: Per::SquareFoot, ..sheet() }), Some(3200));
    let section = Stock { section: "1x2".parse().ok(), ..board() };
    assert_eq!(each(Stock { price: rate(300), per: Per::BoardFoot, ..section }), Some(400));
    let unnamed = Stock { per: Per::BoardFoot, ..board() };
    assert_eq!(refused(batch(vec![part()], vec![unnamed])), one("stock 0, section", ProblemKind::Price));
}

#[test]
fn an_empty_price_beside_priced_stock_is_refused() {
    let unpriced = Stock { price: None, length: whole(120), ..board() };
    assert_eq!(
        refused(batch(vec![part()], vec![board(), unpriced.clone()])),
        one("stock 1, price", ProblemKind::Price)
    );
    let owned = Stock { on_hand: true, ..unpriced.clone() };
    assert_eq!(checked(vec![part()], vec![board(), owned]).stock()[1].cost, 0);
    let elsewhere = Stock { material: "oak".into(), ..unpriced.clone() };
    assert!(batch(vec![part()], vec![board(), elsewhere]).check().is_ok(), "no part comes from it");
    let lengths = checked(vec![part()], vec![unpriced.clone()]);
    assert_eq!(
        (lengths.measure(), lengths.stock()[0].cost),
        (Measure::Length, i128::from(whole(120).ticks()))
    );
    let areas = checked(vec![part()], vec![Stock { price: None, ..sheet() }]);
    assert_eq!(areas.measure(), Measure::Area);
}

#[test]
fn what_is_on_hand_costs_nothing_and_is_clean_all_round() {
    let owned = Stock { price: Some(Rate::default()), qty: Some(1), ..board() };
    let mut batch = batch(vec![part()], vec![owned, board()]);
    batch.shop.boards.trim = [inches(1, 4); 2];
    let checked = batch.check().unwrap();
    let [owned, bought] = checked.stock() else { panic!("two rows") };
    assert!(owned.on_hand && checked.batch().stock[0].on_hand);
    assert_eq!((owned.cost, owned.trim), (0, [Length::ZERO; 4]));
    assert_eq!((bought.cost, bought.trim[0]), (260, inches(1, 4)));
}

#[test]
fn names_made_for_stock_are_unique() {
    let taken = Stock { name: "pine, 8'".into(), ..board() };
    let checked = checked(vec![part()], vec![board(), taken, board()]);
    let names: Vec<_> = checked.batch().stock.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names, ["pine, 8' (2)", "pine, 8'", "pine, 8' (3)"]);
}

#[test]
fn oddities_are_said_once() {
    let odd = part();
    let none = Part { qty: 0, material: "nothing at all".into(), ..part() };
    let free = Stock { price: Some(Rate::default()), ..board() };
    let unused = Stock { material: "oak".into(), ..board() };
    let checked = checked(vec![odd.clone(), odd, none], vec![free, unused]);
    let said: Vec<String> = checked.warnings().iter().map(ToString::to_string).collect();
    assert_eq!(said.len(), 4, "{said:#?}");
    for (warning, part) in said.iter().zip(["costs nothing", "quantity 0", "twice", "oak"]) {
        assert!(warning.contains(part), "{warning}");
    }
    assert_eq!(checked.parts()[2].group, None);
}

#[test]
fn names_made_for_stock_are_names_that_are_accepted() {
    let long = "x".repeat(LONGEST_NAME);
    let odd = Length::from_ticks(90 * 123_456_789);
    let batch = checked(
        vec![Part { material: long.clone(), ..part() }],
        vec![
            Stock { name: String::new(), material: long.clone(), ..board() },
            Stock { name: String::new(), material: long, length: odd, ..board() },
        ],
    );
    let names: Vec<&str> = batch.batch().stock.iter().map(|stock| stock.name.as_str()).collect();
    assert!(names.iter().all(|name| name.chars().count() <= LONGEST_NAME), "{names:?}");
    assert!(batch.batch().clone().check().is_ok(), "what was accepted is accepted again");
    assert_ne!(names[0], names[1]);
}

#[test]
fn sheets_whose_grain_nobody_states_are_named() {
    let says = |parts, stock| {
        checked(parts, stock)
            .warnings()
            .iter()
            .any(|warning| matches!(warning, Warning::GrainUnstated { .. }))
    };
    assert!(says(vec![part()], vec![sheet()]));
    assert!(!says(vec![Part { grain: Some(PartGrain::Any), ..part() }], vec![sheet()]));
    assert!(!says(vec![part()], vec![Stock { grain: Some(StockGrain::Length), ..sheet() }]));
    assert!(!says(vec![part()], vec![board()]), "boards are never turned");
}

#[test]
fn a_hundred_thousand_rows_are_checked_in_a_moment() {
    let parts: Vec<Part> = (0..100_000)
        .map(|row| Part { name: format!("part {row}"), length: Length::from_ticks(1000 + row), ..part() })
        .collect();
    let stock: Vec<Stock> = (0..40).map(|row| Stock { length: whole(96 + row), ..board() }).collect();
    let checked = checked(parts, stock);
    assert_eq!(checked.parts().iter().map(|part| part.from.len()).sum::<usize>(), 4_000_000);
    // All wrong: no search for words may make this slow.
    let parts = (0..100_000).map(|row| Part { material: format!("unknown {row}"), ..part() }).collect();
    let stock = (0..2000).map(|row| Stock { material: format!("unheard of {row}"), ..board() }).collect();
    assert_eq!(refused(batch(parts, stock)).len(), 100_000);
}

/// Fronts 19 in wide whose grain runs up and down, of a sheet of 8 x 4 ft.
fn fronts(heights: &[i64]) -> Vec<Part> {
    let front = |&height: &i64| Part {
        name: format!("front {height}"),
        length: whole(19),
        width: Some(whole(height)),
        grain: Some(PartGrain::Width),
        match_word: Some("fronts".into()),
        ..part()
    };
    heights.iter().map(front).collect()
}

fn told(batch: Batch) -> (String, String, Option<String>) {
    let problems = batch.check().expect_err("a batch with a problem was accepted").into_vec();
    assert_eq!(problems.len(), 1, "{problems:?}");
    let problem = &problems[0];
    (
        problem.place.map(|place| place.to_string()).unwrap_or_default(),
        problem.message.clone(),
        problem.hint.clone(),
    )
}

#[test]
fn parts_of_one_word_are_one_strip_with_its_kerfs() {
    let mut parts = fronts(&[6, 8, 10]);
    parts[1].qty = 2;
    parts[1].match_word = Some(" FRONTS ".into());
    let mut elsewhere = fronts(&[6, 6]);
    elsewhere.iter_mut().for_each(|front| front.job = "other".into());
    parts.extend(elsewhere);
    let checked = checked(parts.clone(), vec![sheet()]);
    let strips: Vec<_> =
        checked.strips().iter().map(|strip| (strip.parts.clone(), strip.from.clone())).collect();
    let along = |inches_long| vec![StripPlacing { stock: 0, turned: false, size: [inches_long, whole(19)] }];
    assert_eq!(strips, [(vec![0, 1, 2], along(inches(32 * 8 + 3, 8))), (vec![3, 4], along(inches(97, 8)))]);
    // Side by side they are as high as they are, which then must be equal.
    parts.iter_mut().for_each(|front| front.match_way = MatchWay::Across);
    let (place, message, _) = {
        let mut unequal = parts.clone();
        unequal.truncate(2);
        told(batch(unequal, vec![sheet()]))
    };
    assert_eq!(place, "parts 1, width");
    assert_eq!(message, "the strip `fronts` is 6\" across at front 6, but 8\" here");
}

#[test]
fn a_strip_is_turned_with_its_stock_and_lies_both_ways_where_there_is_no_grain() {
    let lying = |grain| {
        let checked = checked(fronts(&[6, 8]), vec![Stock { grain, ..sheet() }]);
        checked.strips()[0].from.iter().map(|placing| (placing.turned, placing.size)).collect::<Vec<_>>()
    };
    let (straight, turned) = ((false, [inches(113, 8), whole(19)]), (true, [whole(19), inches(113, 8)]));
    assert_eq!(lying(None), [straight]);
    assert_eq!(lying(Some(StockGrain::Width)), [turned]);
    assert_eq!(lying(Some(StockGrain::None)), [straight, turned]);
}

#[test]
fn a_strip_longer_than_all_stock_is_told_how_long_it_may_be() {
    let (place, message, hint) = told(batch(fronts(&[30, 33, 33]), vec![sheet()]));
    assert_eq!(place, "parts 0, match");
    assert_eq!(
        message,
        "the strip `fronts` (front 30 to front 33, 3 pieces) is 96 1/4\" long with its kerfs, more than any stock of pine takes"
    );
    assert_eq!(
        hint.as_deref(),
        Some("the most that can be cut as one strip is 96\": give some of the parts another word in `match`")
    );
    // To the tick: 33 + 33 and two kerfs less fit.
    let mut fitting = fronts(&[33, 33, 30]);
    fitting[2].width = Some(inches(119, 4));
    assert_eq!(checked(fitting.clone(), vec![sheet()]).strips().len(), 1);
    fitting[2].width = Some(inches(119, 4) + Length::from_ticks(1));
    assert_eq!(refused(batch(fitting, vec![sheet()])), one("parts 0, match", ProblemKind::TooLong));
}

#[test]
fn a_strip_takes_three_stages_where_the_first_cut_runs_across_it() {
    let with = |stages, first_cut, width| {
        let mut batch = batch(fronts(&[6, 8]), vec![Stock { width: Some(width), ..sheet() }]);
        (batch.shop.sheets.stages, batch.shop.sheets.first_cut) = (Stages::Limited(stages), first_cut);
        batch.check().map_err(|problems| problems.into_vec()[0].kind)
    };
    let wide = whole(48);
    assert_eq!(with(2, FirstCut::Crosscut, wide).err(), Some(ProblemKind::Saw));
    assert!(with(3, FirstCut::Crosscut, wide).is_ok() && with(2, FirstCut::Rip, wide).is_ok());
    assert!(with(2, FirstCut::Either, wide).is_ok() && with(2, FirstCut::Crosscut, whole(19)).is_ok());
}

#[test]
fn parts_of_a_strip_are_alike_in_all_that_matters_to_it() {
    let with = |change: fn(&mut Part)| {
        let mut parts = fronts(&[6, 8, 10]);
        change(&mut parts[1]);
        refused(batch(parts, vec![sheet()]))
    };
    assert_eq!(with(|part| part.length = inches(39, 2)), one("parts 1, length", ProblemKind::Contradiction));
    assert_eq!(
        with(|part| part.match_way = MatchWay::Across),
        one("parts 1, match_way", ProblemKind::Contradiction)
    );
    assert_eq!(with(|part| part.optional = true), one("parts 1, optional", ProblemKind::Contradiction));
    assert_eq!(with(|part| part.qty = 999), one("parts 0, match", ProblemKind::Limit));
    // A part with a problem of its own speaks for its strip.
    assert_eq!(
        with(|part| part.length = whole(100)),
        vec![
            ("parts 1, length".to_owned(), ProblemKind::Contradiction),
            ("parts 1, width".to_owned(), ProblemKind::TooWide),
        ]
    );
    let whole_width =
        Part { width: None, match_word: Some("pair".into()), match_way: MatchWay::Across, ..part() };
    assert_eq!(
        refused(batch(vec![whole_width.clone(), whole_width], vec![board()])),
        ["parts 0, match_way", "parts 1, match_way"].map(|at| (at.to_owned(), ProblemKind::Contradiction))
    );
}

#[test]
fn a_sheet_with_rules_for_its_cuts_is_no_problem_of_lengths() {
    let kind = |stock, change: fn(&mut SheetSettings)| {
        let mut batch = batch(vec![part()], vec![stock]);
        change(&mut batch.shop.sheets);
        batch.check().unwrap().groups()[0].kind
    };
    let rules: [fn(&mut SheetSettings); 4] = [
        |sheets| sheets.first_cut = FirstCut::Rip,
        |sheets| sheets.fence_reach = Some(whole(24)),
        |sheets| sheets.longest_rip = Some(whole(60)),
        |sheets| sheets.longest_crosscut = Some(whole(40)),
    ];
    for rule in rules {
        assert_eq!((kind(sheet(), rule), kind(board(), rule)), (GroupKind::Sheets, GroupKind::Boards));
    }
    assert_eq!(kind(sheet(), |_| ()), GroupKind::Boards);
}

#[test]
fn boards_with_a_strip_are_narrow_sheets() {
    let rails = |qty| Part { qty, match_word: Some("rail".into()), ..part() };
    let checked = checked(vec![rails(2)], vec![board()]);
    assert_eq!((checked.strips().len(), checked.groups()[0].kind), (1, GroupKind::Sheets));
    let lone = super::tests::checked(vec![rails(1)], vec![board()]);
    assert_eq!((lone.strips().len(), lone.groups()[0].kind), (0, GroupKind::Boards));
    let warnings: Vec<_> = lone.warnings().iter().map(ToString::to_string).collect();
    assert_eq!(
        warnings,
        [
            "rail is alone with its `match` word `rail`: parts of one strip share job, material, thickness and word"
        ]
    );
}
