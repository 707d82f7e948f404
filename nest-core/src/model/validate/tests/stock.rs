//! Stock: its edges, prices and names.

use super::*;

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
fn what_is_on_hand_as_it_was_bought_costs_nothing_and_is_trimmed() {
    let owned = Stock { on_hand: true, factory_edges: true, qty: Some(1), ..board() };
    let mut batch = batch(vec![part()], vec![owned, board()]);
    batch.shop.boards.trim = [inches(1, 4); 2];
    let checked = batch.check().unwrap();
    assert_eq!((checked.stock()[0].cost, checked.stock()[0].trim), (0, checked.stock()[1].trim));
}

#[test]
fn edge_trim_of_its_own_goes_before_that_of_the_shop_bought_or_owned() {
    let eighths = |eighths: [i64; 4]| eighths.map(|n| inches(n, 8));
    let of = |trim: &[Length], stock: Stock| {
        let owned = Stock { on_hand: true, qty: Some(1), ..stock.clone() };
        let edged = Stock { factory_edges: true, ..owned.clone() };
        let rows = [stock, owned, edged].map(|stock| Stock { trim: Trim::of(trim), ..stock });
        let mut batch = batch(vec![part()], rows.into());
        (batch.shop.boards.trim, batch.shop.sheets.trim) = ([inches(1, 4); 2], [inches(1, 4); 4]);
        let checked = batch.check().unwrap();
        let trims: Vec<_> = checked.stock().iter().map(|stock| stock.trim).collect();
        <[_; 3]>::try_from(trims).unwrap()
    };
    let (shop, clean) = (eighths([2; 4]), eighths([0; 4]));
    assert_eq!(of(&[], sheet()), [shop, clean, shop]);
    assert_eq!(of(&eighths([0; 4])[..1], sheet()), [clean; 3]);
    assert_eq!(of(&eighths([4; 4])[..1], sheet()), [eighths([4; 4]); 3]);
    assert_eq!(of(&eighths([1, 2, 0, 4]), sheet()), [eighths([1, 2, 0, 4]); 3]);
    assert_eq!(of(&eighths([4; 4])[..1], board()), [eighths([4, 4, 0, 0]); 3], "its long edges are clean");
    assert_eq!(of(&eighths([1, 4, 0, 0])[..2], board()), [eighths([1, 4, 0, 0]); 3]);
}

#[test]
fn edge_trim_of_its_own_is_held_to_the_rules_of_the_shop() {
    let with = |trim: &[Length], stock: Stock| {
        refused(batch(vec![part()], vec![board(), Stock { trim: Trim::of(trim), ..stock }]))
    };
    let at = |kind| one("stock 1, trim", kind);
    let (thin, fine) = (inches(1, 16), inches(1, 8));
    assert_eq!(with(&[thin], board()), at(ProblemKind::Trim));
    assert_eq!(with(&[fine, thin], board()), at(ProblemKind::Trim));
    assert_eq!(with(&[fine, Length::ZERO, Length::ZERO, thin], sheet()), at(ProblemKind::Trim));
    assert_eq!(with(&[fine; 4], board()), at(ProblemKind::Contradiction));
    assert_eq!(with(&[fine; 2], sheet()), at(ProblemKind::Contradiction));
    assert_eq!(with(&[-fine, -thin], board()), at(ProblemKind::NotPositive));
    assert_eq!(with(&[Length::from_ticks(i64::MAX); 4], sheet()), at(ProblemKind::Limit));
    assert_eq!(with(&[whole(48)], board()), at(ProblemKind::Trim), "nothing is left");
    // Of a row of which nobody knows what it is, so much is known.
    let unknown = Stock { section: "2x4".parse().ok(), form: Some(Form::Sheet), ..board() };
    assert!(with(&[-fine], unknown).contains(&("stock 1, trim".into(), ProblemKind::NotPositive)));
}

#[test]
fn names_made_for_stock_are_unique() {
    let taken = Stock { name: "pine, 8'".into(), ..board() };
    let checked = checked(vec![part()], vec![board(), taken, board()]);
    let names: Vec<_> = checked.batch().stock.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names, ["pine, 8' (2)", "pine, 8'", "pine, 8' (3)"]);
}
