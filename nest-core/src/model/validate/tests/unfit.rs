//! What is said of a part that fits nowhere, and a law of it: the words hold, and what they ask for is enough.

use super::*;
use crate::units::LengthStyle;
use proptest::prelude::*;

fn ply(trim: Length, grain: Option<StockGrain>) -> Stock {
    Stock { name: "big ply".into(), material: "ply".into(), grain, trim: Some(Trim::All(trim)), ..sheet() }
}

fn back(length: Length, width: Length, grain: Option<PartGrain>) -> Part {
    Part { material: "ply".into(), length, width: Some(width), grain, ..part() }
}

/// Place, message and hint of the only problem.
fn said(part: Part, stock: &[Stock]) -> [String; 3] {
    let problems = batch(vec![part], stock.to_vec()).check().unwrap_err().into_vec();
    assert_eq!(problems.len(), 1, "{problems:?}");
    let problem = problems[0].clone();
    [problem.place.unwrap().to_string(), problem.message, problem.hint.unwrap_or_default()]
}

#[test]
fn the_side_that_grain_lays_along_or_across_is_named() {
    let along = [ply(Length::ZERO, Some(StockGrain::Length))];
    let turned = |length, width| back(whole(length), whole(width), Some(PartGrain::Width));
    assert_eq!(
        said(turned(20, 150), &along),
        [
            "parts 0, width",
            "a width of 150\" is more than any stock of ply 3/4\" takes with its grain",
            "along the stock, because of its grain, the widest piece that can be cut is 96\" (of big ply), 54\" too narrow: \
             list longer stock or glue it up"
        ]
    );
    assert_eq!(
        said(turned(49, 95), &along),
        [
            "parts 0, length",
            "a length of 49\" is more than any stock of ply 3/4\" takes with its grain",
            "across the stock, because of its grain, the longest piece that can be cut is 48\" (of big ply), 1\" too short: \
             list wider stock or make the part of two"
        ]
    );
    let [place, _, hint] = said(turned(60, 97), &along);
    assert_eq!(place, "parts 0, length");
    assert_eq!(
        hint,
        "turned because of its grain, the nearest that can be cut is 48\" x 96\" (of big ply), 12\" too short and 1\" too \
         narrow: list longer and wider stock"
    );
    let over = Part { oversize: whole(2), ..turned(47, 95) };
    let [place, message, hint] = said(over, &along);
    assert_eq!(place, "parts 0, oversize");
    assert_eq!(
        message,
        "the blank's length of 49\" is more than any stock of ply 3/4\" takes with its grain, though the 47\" of its part \
         are not"
    );
    assert!(hint.ends_with("too narrow: check `oversize`, or list longer and wider stock"), "{hint}");
}

#[test]
fn a_side_that_the_trim_takes_too_much_of_is_told_so_straight_and_turned() {
    let free = [ply(inches(1, 4), Some(StockGrain::None))];
    let [_, message, hint] = said(back(whole(20), inches(383, 4), None), &free);
    assert_eq!(message, "a width of 95 3/4\" is more than any stock of ply 3/4\" takes after the edge trim");
    let rest = "is 96\", of which 95 1/2\" remain after the edge trim, 1/4\" too little; trim 0 leaves its ends as they are";
    assert_eq!(hint, format!("turned, the widest {rest}"));
    let [_, message, hint] = said(back(inches(383, 4), whole(20), None), &free);
    assert_eq!(message, "95 3/4\" is longer than all stock of ply 3/4\" after the edge trim");
    assert_eq!(hint, format!("the longest {rest}"));
    let [_, _, hint] = said(back(whole(96), whole(48), Some(PartGrain::Length)), &free);
    assert_eq!(
        hint,
        "the nearest is 96\" x 48\", of which 95 1/2\" x 47 1/2\" remain after the edge trim; trim 0 leaves its ends and \
         edges as they are"
    );
}

#[test]
fn a_part_that_only_its_grain_keeps_from_a_board_is_told_so() {
    let [place, message, hint] = said(Part { grain: Some(PartGrain::Width), ..part() }, &[board()]);
    assert_eq!(place, "parts 0, width");
    assert_eq!(message, "36\" x 1 1/2\" does not fit any stock of pine 3/4\" with its grain");
    assert_eq!(hint, "it would fit the other way round: check its `grain`");
}

#[test]
fn stock_that_is_long_enough_and_stock_that_is_wide_enough_do_not_help_each_other() {
    let of =
        |length, width| Stock { length: whole(length), width: Some(whole(width)), ..ply(Length::ZERO, None) };
    let [place, message, hint] = said(back(whole(60), whole(30), None), &[of(96, 20), of(40, 48)]);
    assert_eq!(place, "parts 0, width");
    assert_eq!(message, "no stock of ply 3/4\" is 60\" long and 30\" wide at once");
    assert_eq!(
        hint,
        "as long as it is, the widest piece that can be cut is 20\" (of big ply), 10\" too narrow: list wider stock or glue \
         it up"
    );
}

fn few<T: Clone + std::fmt::Debug + 'static>(values: &[T]) -> impl Strategy<Value = T> + use<T> {
    prop::sample::select(values.to_vec())
}

prop_compose! {
    fn some_stock()(
        form in few(&[Form::Board, Form::Sheet, Form::Sheet]),
        length in 10_i64..40,
        width in 8_i64..30,
        trim in few(&[0, 0, 2, 3]),
        grain in few(&[None, Some(StockGrain::Length), Some(StockGrain::Width), Some(StockGrain::None)]),
    ) -> Stock {
        Stock {
            form: Some(form), length: Length::mm(length), width: Some(Length::mm(width)),
            trim: Some(Trim::All(Length::mm(if form == Form::Sheet || trim == 0 { trim } else { 2 }))),
            grain: grain.filter(|_| form == Form::Sheet), ..board()
        }
    }
}

prop_compose! {
    fn some_batch()(
        stock in prop::collection::vec(some_stock(), 1..4),
        length in 4_i64..45,
        width in 4_i64..45,
        grain in few(&[None, Some(PartGrain::Length), Some(PartGrain::Width), Some(PartGrain::Any)]),
        fit in few(&[Fit::No, Fit::No, Fit::Over(Length::mm(5))]),
        oversize in few(&[0, 0, 4]),
    ) -> Batch {
        let part = Part { length: Length::mm(length), width: Some(Length::mm(width)), grain, fit, oversize: Length::mm(oversize), ..part() };
        let mut batch = super::batch(vec![part], stock);
        batch.shop.style = LengthStyle::Millimetres;
        (batch.shop.boards.kerf, batch.shop.sheets.kerf) = (Length::mm(1), Length::mm(1));
        batch
    }
}

/// The problem of the size of the part.
fn misfit(batch: &Batch) -> Option<Problem> {
    let problems = batch.clone().check().err()?.into_vec();
    problems.into_iter().find(|problem| matches!(problem.kind, ProblemKind::TooLong | ProblemKind::TooWide))
}

/// Whether the blank fits a piece of stock, one after the other, in a way that grain allows: the rule as people say it.
fn holds(batch: &Batch, [length, width]: [i64; 2]) -> bool {
    batch.stock.iter().any(|stock| {
        let (sides, is_board) = (sides(stock, true), stock.form == Some(Form::Board));
        let with_grain = batch.parts[0].grain != Some(PartGrain::Width);
        let either = !is_board
            && (batch.parts[0].grain == Some(PartGrain::Any) || stock.grain == Some(StockGrain::None));
        let straight = with_grain != (stock.grain == Some(StockGrain::Width));
        (straight || either) && length <= sides[0] && width <= sides[1]
            || (!straight || either) && length <= sides[1] && width <= sides[0]
    })
}

/// Its length and width, whole or after its edge trim: the long edges of a board have none.
fn sides(stock: &Stock, trimmed: bool) -> [i64; 2] {
    let trim = stock.trim.as_ref().map_or(0, |trim| 2 * in_mm(trim.values()[0]));
    let trim = match (trimmed, stock.form) {
        (false, _) => [0, 0],
        (true, Some(Form::Board)) => [trim, 0],
        (true, _) => [trim, trim],
    };
    [in_mm(stock.length) - trim[0], in_mm(stock.width.unwrap()) - trim[1]]
}

fn in_mm(length: Length) -> i64 {
    length.ticks() / Length::mm(1).ticks()
}

/// The number in front of `mm` and these words.
fn number(text: &str, behind: &str) -> Option<i64> {
    let (before, _) = text.split_once(&format!(" mm {behind}"))?;
    Some(before.rsplit(' ').next().unwrap().parse().unwrap_or_else(|_| panic!("{text}")))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3000))]

    #[test]
    fn what_is_said_of_a_misfit_holds_and_helps(batch in some_batch()) {
        let part = batch.parts[0].clone();
        let fit = if let Fit::Over(by) = part.fit { by } else { Length::ZERO };
        let oversize = in_mm(part.oversize);
        let cut = [in_mm(part.length + fit) + oversize, in_mm(part.width.unwrap()) + oversize];
        let Some(problem) = misfit(&batch) else {
            prop_assert!(holds(&batch, cut));
            return Ok(());
        };
        let (message, hint) = (&problem.message, problem.hint.as_deref().unwrap_or_default());
        prop_assert!(!holds(&batch, cut) && !hint.contains('-') && !hint.contains(" 0 mm too"), "{problem}");
        let changed = |change: &dyn Fn(&mut Batch)| {
            let mut batch = batch.clone();
            change(&mut batch);
            misfit(&batch).is_none()
        };
        if hint.contains("the other way round") {
            let grains = [PartGrain::Length, PartGrain::Width, PartGrain::Any];
            let helps = grains.iter().any(|&grain| changed(&|batch| batch.parts[0].grain = Some(grain)));
            prop_assert!(helps, "{problem}");
            return Ok(());
        }
        let side = usize::from(problem.kind == ProblemKind::TooWide);
        // What is said of that side holds for it alone.
        let alone = if side == 0 { [cut[0], 1] } else { [1, cut[1]] };
        let at_once = message.starts_with("no stock");
        prop_assert_eq!(holds(&batch, alone), at_once, "{}", problem);
        if let Some(size) = number(message, ["is longer than all", "is wider than all"][side]) {
            let trimmed = message.contains("after the edge trim");
            let most = batch.stock.iter().map(|stock| sides(stock, trimmed)[side]).max();
            prop_assert!(most.unwrap() < size, "{}", problem);
        }
        if let Some(size) = number(message, "is more than any") {
            prop_assert!(!holds(&batch, if side == 0 { [size, 1] } else { [1, size] }), "{}", problem);
            let most = batch.stock.iter().flat_map(|stock| sides(stock, true)).max();
            prop_assert!(most.unwrap() < size || message.contains("with its grain"), "{}", problem);
        }
        if hint.contains("; trim 0 leaves") {
            prop_assert!(message.contains("after the edge trim"), "{problem}");
            let clean = |batch: &mut Batch| batch.stock.iter_mut().for_each(|stock| stock.trim = Some(Trim::All(Length::ZERO)));
            prop_assert!(changed(&clean), "{}", problem);
            return Ok(());
        }
        let short = [number(hint, "too short").unwrap_or(0), number(hint, "too narrow").unwrap_or(0)];
        prop_assert!(short[side] > 0, "{}", problem);
        // So much and no less: smaller by that it fits, and by less in all it does not.
        prop_assert!(holds(&batch, [cut[0] - short[0], cut[1] - short[1]]), "{}", problem);
        prop_assert!((0..short[0] + short[1]).all(|less| {
            (0..=less).all(|of_it| !holds(&batch, [cut[0] - of_it, cut[1] - (less - of_it)]))
        }), "{}", problem);
        // Stock that is so much larger, as the hint asks for, holds it.
        let (turned, both) = (hint.contains("list wider") != (side == 1), hint.contains("longer and wider"));
        let turned = if both { hint.starts_with("turned") } else { turned };
        let more = if turned { [short[1], short[0]] } else { short };
        let larger = changed(&|batch: &mut Batch| batch.stock.iter_mut().for_each(|stock| {
            stock.length += Length::mm(more[0]);
            stock.width = stock.width.map(|width| width + Length::mm(more[1]));
        }));
        prop_assert!(larger, "{}", problem);
        if let (Some((_, column)), false) = (hint.split_once("check `"), both) {
            let without = match column.split_once('`').unwrap().0 {
                "fit" => changed(&|batch| batch.parts[0].fit = Fit::No),
                "oversize" => changed(&|batch| batch.parts[0].oversize = Length::ZERO),
                _ => false,
            };
            prop_assert!(without, "{}", problem);
        }
    }
}
