//! The rules of a question, each with the smallest batch that follows it or breaks it.

mod resolve;
mod stock;
mod strips;
mod unfit;

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
fn groups_of_one_name_are_called_by_what_tells_them_apart() {
    let names = |parts: Vec<Part>, stock: Vec<Stock>| -> Vec<String> {
        checked(parts, stock).groups().iter().map(|group| group.name.clone()).collect()
    };
    let thin = inches(23, 32);
    let of = |thickness| Part { material: "ply B2".into(), thickness: Some(thickness), ..part() };
    let from = |thickness| Stock { material: "ply B2".into(), thickness: Some(thickness), ..board() };
    assert_eq!(
        names(vec![of(thin), of(inches(1, 2))], vec![from(inches(1, 2)), from(thin)]),
        ["ply B2 23/32\"", "ply B2 1/2\""]
    );
    // Two of one name have two thicknesses each.
    let either = |size: Length, called: Length| {
        [size, called].map(|size| Stock {
            thickness: Some(size),
            called: [called].into_iter().filter(|other| *other != size).collect(),
            ..board()
        })
    };
    let part_of = |thickness| Part { thickness: Some(thickness), ..part() };
    let stock = [either(thin, inches(3, 4)), either(inches(15, 32), inches(1, 2))].concat();
    assert_eq!(
        names(vec![part(), part_of(inches(1, 2))], stock),
        ["pine 23/32\" or 3/4\"", "pine 15/32\" or 1/2\""]
    );
    // Where nothing of that tells them apart, numbers do.
    let [long, wide] = [Part { length: whole(90), ..part() }, Part { width: Some(whole(20)), ..part() }];
    let short = Stock { length: whole(48), ..sheet() };
    assert_eq!(names(vec![long, wide], vec![board(), short]), ["pine 3/4\" (1)", "pine 3/4\" (2)"]);
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
fn an_owned_sheet_has_the_grain_of_those_that_are_bought() {
    let of = |grain, on_hand| Stock { grain, on_hand, qty: on_hand.then_some(1), ..sheet() };
    let owned = |bought: &[Option<StockGrain>], grain| {
        let stock = bought.iter().map(|&grain| of(grain, false)).chain([of(grain, true)]).collect();
        let sheets = vec![Part { grain: None, ..part() }];
        let checked = checked(sheets, stock);
        let doubt = checked.warnings().iter().any(|warning| matches!(warning, Warning::OwnedGrain { .. }));
        (checked.batch().stock[bought.len()].grain, doubt)
    };
    let [along, across, free] = [StockGrain::Length, StockGrain::Width, StockGrain::None].map(Some);
    assert_eq!(owned(&[free, free], None), (free, false));
    assert_eq!(owned(&[across], None), (across, false));
    // What nobody states runs along the length.
    assert_eq!(owned(&[along, None], None), (along, false));
    assert_eq!(owned(&[free, None], None), (None, true));
    assert_eq!(owned(&[free, along], None), (None, true));
    assert_eq!(owned(&[free, along], across), (across, false));
    assert_eq!(owned(&[None], None), (None, false));
    assert_eq!(owned(&[], None), (None, false));
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
