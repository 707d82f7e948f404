//! What stock a part means, and what form it has.

use super::*;

/// Else a plan that ripped a board could be followed by none: what the rip left is a narrower one.
#[test]
fn a_part_as_wide_as_its_board_is_none_of_what_a_rip_left() {
    let whole = Part { width: None, ..part() };
    let left = |width| Stock { width: Some(width), on_hand: true, qty: Some(1), ..board() };
    let (narrow, alike) = (left(inches(3, 4)), left(inches(3, 2)));
    let from = |stock| {
        let checked = batch(vec![whole.clone()], stock).check().unwrap();
        checked.parts()[0].from.iter().map(|placing| placing.stock).collect::<Vec<_>>()
    };
    assert_eq!(from(vec![board(), narrow.clone(), alike]), [0, 2]);
    // Which board is meant where those for sale differ, or one on hand is wider, nobody knows.
    let wide = Stock { width: Some(inches(5, 2)), ..board() };
    for stock in
        [vec![board(), wide.clone(), narrow.clone()], vec![board(), left(inches(5, 2)), narrow.clone()]]
    {
        let unclear = vec![("parts 0, width".to_owned(), ProblemKind::Ambiguous)];
        assert_eq!(refused(batch(vec![whole.clone()], stock)), unclear);
    }
}

/// Else a board that is ripped once would be lost for the other rips of its plan, or serve parts that are wider.
#[test]
fn what_a_rip_left_serves_parts_that_say_how_wide_they_are() {
    let section = |text: &str| Some(text.parse().unwrap());
    let rip = Part { section: section("1x6"), thickness: None, ..part() };
    let of_section = Stock { section: section("1x6"), thickness: None, width: None, ..board() };
    let left =
        Stock { width: Some(whole(4)), ripped: true, on_hand: true, qty: Some(1), ..of_section.clone() };
    let from = |part: &Part, stock: [&Stock; 2]| {
        let checked = batch(vec![part.clone()], stock.map(Stock::clone).to_vec()).check()?;
        Ok::<Vec<usize>, Problems>(checked.parts()[0].from.iter().map(|placing| placing.stock).collect())
    };
    assert_eq!(from(&rip, [&left, &of_section]).unwrap(), [0, 1]);
    let whole_width = Part { width: None, ..rip.clone() };
    assert_eq!(from(&whole_width, [&left, &of_section]).unwrap(), [1]);
    let measured = Stock { ripped: false, ..left.clone() };
    assert_eq!(from(&whole_width, [&measured, &of_section]).unwrap(), [0, 1]);
    // No rip of a 1x6 is what a rip left of another section.
    let other = Stock { section: section("1x8"), ..left.clone() };
    assert_eq!(from(&rip, [&other, &of_section]).unwrap(), [1]);
    // Where boards have no section and all are on hand, it says which width is meant.
    let owned = Stock { on_hand: true, qty: Some(1), ..board() };
    let left_of_it = Stock { width: Some(whole(2)), ripped: true, ..owned.clone() };
    let plain = Part { width: None, ..part() };
    assert_eq!(from(&plain, [&left_of_it, &owned]).unwrap(), [1]);
    let problems = from(&whole_width, [&left, &left]).unwrap_err().to_string();
    assert!(problems.contains("cannot come from boards that are ripped"), "{problems}");
    let problems = from(&rip, [&Stock { width: None, ..left }, &of_section]).unwrap_err().to_string();
    assert!(problems.contains("a board that is ripped is narrower than a 1x6"), "{problems}");
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
    let called = Stock { called: vec![inches(3, 4)], ..stock.clone() };
    assert_eq!(checked(vec![part()], vec![called.clone()]).parts()[0].from.len(), 1);
    // A piece of it on the rack need not say it again; what is thinner or of something else is not called so.
    let rack = Stock { on_hand: true, ..stock };
    let thinner = Stock { thickness: Some(inches(11, 16)), ..rack.clone() };
    let other = Stock { material: "oak".into(), ..rack.clone() };
    let from = checked(vec![part()], vec![thinner, other, rack, called]).parts()[0].from.clone();
    assert_eq!(from.iter().map(|placing| placing.stock).collect::<Vec<_>>(), [2, 3]);
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
        refused(super::batch(vec![named.clone()], vec![board()])),
        one("parts 0, section", ProblemKind::Section)
    );
    let thick = Part { thickness: Some(whole(1)), ..named };
    assert_eq!(
        refused(super::batch(vec![thick], vec![stock])),
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
    let form = |stock: Stock| crate::model::validate::form::boards(&batch(vec![], vec![stock]))[0];
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
        crate::model::validate::form::boards(&batch(vec![], vec![strip, sheet()])),
        [false, false],
        "left over from a sheet"
    );
}
