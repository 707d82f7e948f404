//! Parts of one word, which are cut as one strip.

use super::*;

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
fn a_strip_that_fits_the_other_way_is_told_so() {
    let hint = |heights: &[i64], way, change: fn(&mut Batch)| {
        let mut parts = fronts(heights);
        parts.iter_mut().for_each(|front| front.match_way = way);
        let mut batch = batch(parts, vec![sheet()]);
        change(&mut batch);
        told(batch).2.unwrap_or_default()
    };
    let across = hint(&[50, 50], MatchWay::Along, |_| ());
    assert_eq!(
        across,
        "the most that can be cut as one strip is 96\": give some of the parts another word in `match`, or lay them \
         side by side, where they fit: `match_way` across"
    );
    let along = hint(&[10, 11, 12], MatchWay::Across, |batch| {
        batch.parts.iter_mut().for_each(|front| front.width = Some(whole(10)));
    });
    assert!(
        along.ends_with(", or lay them one after the other, where they fit: `match_way` along"),
        "{along}"
    );
    // Three are too wide, unequal ones cannot lie side by side, and the saw must be able to free them.
    let other = |hint: String| hint.contains("match_way");
    assert!(!other(hint(&[50, 50, 50], MatchWay::Along, |_| ())));
    assert!(!other(hint(&[50, 51], MatchWay::Along, |_| ())));
    assert!(!other(hint(&[50, 50], MatchWay::Along, |batch| (
        batch.shop.sheets.stages,
        batch.shop.sheets.first_cut
    ) = (Stages::Limited(2), FirstCut::Rip))));
    let whole_width = Part { qty: 4, width: None, match_word: Some("run".into()), ..part() };
    assert!(!other(told(batch(vec![whole_width], vec![board()])).2.unwrap_or_default()));
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
            ("parts 1, length".to_owned(), ProblemKind::TooLong),
            ("parts 1, length".to_owned(), ProblemKind::Contradiction),
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
    // What is as long as the sheet needs no crosscut first.
    let [length, width] = checked(vec![part()], vec![sheet()]).stock()[0].usable();
    let full = Part { length, width: Some(width - Length::mm(5)), ..part() };
    let mut batch = batch(vec![full], vec![sheet()]);
    batch.shop.sheets.first_cut = FirstCut::Crosscut;
    assert_eq!(batch.check().unwrap().groups()[0].kind, GroupKind::Boards);
}

/// Else a sheet on which no cut of the saw leads to the part would make the least possible cost too low.
#[test]
fn a_part_comes_from_no_sheet_that_the_saw_cannot_take_to_it() {
    let short = Stock { length: whole(60), width: Some(whole(24)), ..sheet() };
    let from = |rip, crosscut| {
        let any = Part { grain: Some(PartGrain::Any), ..part() };
        let mut batch = batch(vec![any], vec![sheet(), short.clone()]);
        batch.shop.sheets.longest_rip = Some(whole(rip));
        batch.shop.sheets.longest_crosscut = Some(whole(crosscut));
        let checked = batch.check().unwrap();
        let lies =
            checked.parts()[0].from.iter().map(|placing| (placing.stock, placing.straight, placing.turned));
        (lies.collect::<Vec<_>>(), checked.groups()[0].stock.clone())
    };
    assert_eq!(from(60, 30), (vec![(1, true, false)], vec![1]));
    assert_eq!(from(96, 30), (vec![(0, true, false), (1, true, false)], vec![0, 1]));
    assert_eq!(from(96, 48), (vec![(0, true, true), (1, true, false)], vec![0, 1]));
}

#[test]
fn boards_with_a_strip_are_narrow_sheets() {
    let rails = |qty| Part { qty, match_word: Some("rail".into()), ..part() };
    let checked = checked(vec![rails(2)], vec![board()]);
    assert_eq!((checked.strips().len(), checked.groups()[0].kind), (1, GroupKind::Sheets));
    let lone = super::checked(vec![rails(1)], vec![board()]);
    assert_eq!((lone.strips().len(), lone.groups()[0].kind), (0, GroupKind::Boards));
    let warnings: Vec<_> = lone.warnings().iter().map(ToString::to_string).collect();
    assert_eq!(
        warnings,
        [
            "rail is alone with its `match` word `rail`: parts of one strip share job, material, thickness and word"
        ]
    );
}
