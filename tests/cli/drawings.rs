//! Drawings are true to their plan, whatever the plan: every piece, cut and offcut is drawn where it lies, once for
//! each layout; no text runs into another or off the page; and the markup is XML.

use crate::papers::{NAMES, answer};
use nest_cli::output::drawing::{
    Anchor, HEIGHT, Look, Mark, Page, Room, Shape, WIDTH, board_figure, lettering, pages, sheet_figure,
};
use nest_cli::output::svg;
use nest_cli::papers::PaperSettings;
use nest_cli::report::{Board, Holds, Region, Report, Sheet, Source, What, Zone};
use nest_core::model::{Batch, CheckedBatch, Fit, Part, Shop, Stock};
use nest_core::plan::Way;
use nest_core::search::{Effort, Options, Silent};
use nest_core::solution::Solution;
use nest_core::units::{Length, LengthStyle, System};
use proptest::prelude::*;
use std::num::NonZeroUsize;

pub fn full(batch: &CheckedBatch, solution: &Solution) -> Report {
    let options = Options::default();
    Report::full(&Source {
        batch,
        solution,
        options: &options,
        spare: 0,
        before: &nest_core::rest::Before::default(),
        papers: &PaperSettings::default(),
        label_start: 1,
        warnings: &[],
    })
}

/// What stands in a drawing of one board: its frame and everything marked inside.
struct Drawn {
    number: usize,
    frame: [i64; 4],
    pieces: Vec<(usize, [i64; 4])>,
    kerfs: usize,
    offcuts: usize,
    trims: usize,
}

fn number(node: roxmltree::Node, name: &str) -> i64 {
    node.attribute(name).unwrap_or_else(|| panic!("no {name}")).parse().unwrap()
}

/// The boards of a page, read back from its markup.
fn read_back(markup: &[u8]) -> Vec<Drawn> {
    let text = std::str::from_utf8(markup).unwrap();
    let document = roxmltree::Document::parse(text).unwrap();
    let mut boards: Vec<Drawn> = Vec::new();
    for node in document.descendants().filter(|node| node.has_tag_name("rect")) {
        let Some(class) = node.attribute("class") else { continue };
        let place = ["x", "y", "width", "height"].map(|name| number(node, name));
        if class == "board" {
            let number = number(node, "data-board") as usize;
            boards.push(Drawn { number, frame: place, pieces: vec![], kerfs: 0, offcuts: 0, trims: 0 });
            continue;
        }
        let board = boards.last_mut().unwrap();
        match class {
            "piece" => board.pieces.push((number(node, "data-part") as usize, place)),
            "kerf" => board.kerfs += 1,
            "offcut" => board.offcuts += 1,
            "trim" => board.trims += 1,
            "waste" => {}
            other => panic!("unknown class {other}"),
        }
    }
    boards
}

/// What a layout holds: its number and size, its pieces (row of the part, corner and size in ticks), and how many cuts,
/// offcuts and strips of edge trim.
struct Planned {
    number: usize,
    size: [Length; 2],
    pieces: Vec<(usize, [[Length; 2]; 2])>,
    kerfs: usize,
    offcuts: usize,
    trims: usize,
}

fn of_board(board: &Board) -> Planned {
    let piece = |zone: &Zone| match &zone.what {
        What::Piece(piece) => Some((piece.part + 1, [zone.at, zone.size])),
        _ => None,
    };
    let count = |want: fn(&What) -> bool| board.zones.iter().filter(|zone| want(&zone.what)).count();
    Planned {
        number: board.number,
        size: board.size,
        pieces: board.zones.iter().filter_map(piece).collect(),
        kerfs: board.cuts.len(),
        offcuts: count(|what| matches!(what, What::Offcut(..))),
        trims: count(|what| matches!(what, What::Trim)),
    }
}

fn of_sheet(sheet: &Sheet) -> Planned {
    let piece = |region: &Region| match &region.holds {
        Holds::Piece(piece) => Some((piece.part + 1, [region.at, region.size])),
        _ => None,
    };
    let count = |want: fn(&Holds) -> bool| sheet.regions.iter().filter(|one| want(&one.holds)).count();
    Planned {
        number: sheet.number,
        size: sheet.size,
        pieces: sheet.regions.iter().filter_map(piece).collect(),
        kerfs: sheet.cuts.len(),
        offcuts: count(|holds| matches!(holds, Holds::Offcut(..))),
        trims: count(|holds| matches!(holds, Holds::Trim)),
    }
}

/// `part / whole` of a span, with an allowance of one drawing unit for rounding.
fn is_share(drawn: i64, span: i64, part: Length, whole: Length) -> bool {
    let exact = i128::from(part.ticks()) * i128::from(span) / i128::from(whole.ticks());
    (i128::from(drawn) - exact).abs() <= 2
}

fn drawings_are_true(batch: &CheckedBatch, solution: &Solution) {
    let report = full(batch, solution);
    let mut seen = 0;
    for section in &report.sections {
        let mut drawn: Vec<Drawn> = Vec::new();
        for page in pages(section) {
            let on_it = read_back(&svg::render(&page));
            if let (Some(first), Some(last)) = (on_it.first(), on_it.last()) {
                // The first may be the rest of one whose drawing stands a page before.
                let [from, to] = page.layouts.unwrap();
                assert!(from <= first.number && to == last.number, "{:?}", page.layouts);
            }
            drawn.extend(on_it);
        }
        let planned: Vec<Planned> =
            section.boards.iter().map(of_board).chain(section.sheets.iter().map(of_sheet)).collect();
        assert_eq!(drawn.len(), planned.len());
        for (drawn, planned) in drawn.iter().zip(&planned) {
            assert_eq!(drawn.number, planned.number);
            assert_eq!(drawn.pieces.len(), planned.pieces.len());
            let [left, top, wide, high] = drawn.frame;
            let whole = planned.size;
            for ((row, [x, y, w, h]), (part, [at, size])) in drawn.pieces.iter().zip(&planned.pieces) {
                assert_eq!(row, part);
                assert!(is_share(x - left, wide, at[0], whole[0]), "a piece stands at the wrong place");
                assert!(is_share(*w, wide, size[0], whole[0]), "a piece has the wrong length");
                if whole[1].is_positive() {
                    let below = top + high - (y + h);
                    assert!(is_share(below, high, at[1], whole[1]), "a piece lies at the wrong height");
                    assert!(is_share(*h, high, size[1], whole[1]), "a piece has the wrong width");
                }
            }
            assert_eq!(drawn.kerfs, planned.kerfs);
            assert_eq!(drawn.offcuts, planned.offcuts);
            assert_eq!(drawn.trims, planned.trims);
            seen += 1;
        }
    }
    assert_eq!(seen, solution.plan.layouts.len(), "every layout is drawn once");
}

/// Where a text stands, as wide as the widest font would make it.
fn letters(shape: &Shape) -> Option<[i64; 4]> {
    let (at, wide, size, anchor) = match shape {
        // Read from below to above: the letters rise to the left of the line.
        Shape::Text { at, size, turned: true, text, .. } => {
            let half = lettering::width(text, *size) / 2;
            return Some([at[0] - size * 75 / 100, at[1] - half, at[0] + size / 5, at[1] + half]);
        }
        Shape::Text { at, size, anchor, bold, text, .. } => {
            let wide = if *bold { lettering::bold_width(text, *size) } else { lettering::width(text, *size) };
            (at, wide, *size, *anchor)
        }
        Shape::Words { at, words } => {
            let wide = words.iter().map(|word| {
                let width = if word.bold { lettering::bold_width } else { lettering::width };
                word.gap + width(&word.text, word.size)
            });
            (at, wide.sum(), words.iter().map(|word| word.size).max()?, Anchor::Start)
        }
        _ => return None,
    };
    let left = match anchor {
        Anchor::Start => at[0],
        Anchor::Middle => at[0] - wide / 2,
        Anchor::End => at[0] - wide,
    };
    // Letters rise some 0.75 of their size above the line and reach 0.2 below it.
    Some([left, at[1] - size * 75 / 100, left + wide, at[1] + size / 5])
}

fn pages_are_readable(page: &Page) {
    assert!(page.height <= HEIGHT, "a page of {} does not fit on paper", page.height);
    let texts: Vec<([i64; 4], &Shape)> =
        page.shapes.iter().filter_map(|shape| Some((letters(shape)?, shape))).collect();
    for (i, ([x1, y1, x2, y2], shape)) in texts.iter().enumerate() {
        assert!(*x1 >= 0 && *y1 >= 0 && *x2 <= WIDTH && *y2 <= page.height, "off the page: {shape:?}");
        for ([a1, b1, a2, b2], other) in &texts[..i] {
            let apart = x2 <= a1 || a2 <= x1 || y2 <= b1 || b2 <= y1;
            assert!(apart, "one text on another: {shape:?} and {other:?}");
        }
    }
    // What is written on a piece stays inside it.
    let mut pieces = Vec::new();
    for shape in &page.shapes {
        if let Shape::Rect { x, y, w, h, of: Some(Mark::Piece(_)), .. } = shape {
            pieces.push([*x, *y, x + w, y + h]);
        }
    }
    for ([x1, y1, x2, y2], shape) in &texts {
        let Shape::Text { anchor: Anchor::Middle, at, .. } = shape else { continue };
        for [left, top, right, bottom] in &pieces {
            let within = (*left..*right).contains(&at[0]) && (*top..*bottom).contains(&at[1]);
            let is_label = within && at[1] > *top + 50;
            assert!(
                !is_label || (x1 >= left && x2 <= right && y1 >= top && y2 <= bottom),
                "over its piece: {shape:?}"
            );
        }
    }
    for shape in &page.shapes {
        if let Shape::Rect { x, w, h, look, .. } = shape {
            assert!(*w >= 0 && *h >= 0 && *x >= 0 && x + w <= WIDTH, "off the page: {look:?}");
            assert!(!matches!(look, Look::Solid) || (*w > 0 && *h > 0), "dust that nobody sees");
        }
    }
}

/// Nothing of a drawing in the report is cut off at its sides.
fn figures_are_whole(section: &nest_cli::report::Section) {
    let room = Room { wide: 18_000, high: 9_000 };
    let boards = section.boards.iter().map(|board| board_figure(section, board, room.wide));
    let sheets = section.sheets.iter().map(|sheet| sheet_figure(section, sheet, room));
    for figure in boards.chain(sheets) {
        for shape in &figure.shapes {
            let ends = match shape {
                Shape::Circle { at, r } => vec![[at[0] - r, at[1] - r], [at[0] + r, at[1] + r]],
                Shape::Triangle { corners } => corners.to_vec(),
                Shape::Line { from, to, .. } => vec![*from, *to],
                Shape::Rect { x, y, w, h, .. } => vec![[*x, *y], [x + w, y + h]],
                Shape::Text { .. } | Shape::Words { .. } => {
                    letters(shape).map_or(vec![], |[x, y, x2, y2]| vec![[x, y], [x2, y2]])
                }
            };
            let inside = |end: &[i64; 2]| (0..2).all(|i| (0..=figure.size[i]).contains(&end[i]));
            assert!(ends.iter().all(inside), "beyond {:?}: {shape:?}", figure.size);
        }
    }
}

pub fn all_is_well(batch: &CheckedBatch, solution: &Solution) {
    drawings_are_true(batch, solution);
    for section in &full(batch, solution).sections {
        pages(section).iter().for_each(pages_are_readable);
        figures_are_whole(section);
    }
}

#[test]
fn drawings_of_the_fixtures_are_true_and_readable() {
    for name in NAMES {
        let (batch, solution) = answer(name);
        all_is_well(&batch, &solution);
    }
}

#[test]
fn a_ripped_board_is_drawn_strip_by_strip() {
    let mut batch = Batch { shop: Shop::defaults(System::Inch), ..Batch::default() };
    let part = |name: &str, length: i64, width: Option<i64>, qty| Part {
        name: name.into(),
        material: "pine".into(),
        section: "1x12".parse().ok(),
        length: Length::inches(length, 1).unwrap(),
        width: width.and_then(|width| Length::inches(width, 4)),
        qty,
        ..Part::default()
    };
    batch.parts =
        vec![part("shelf", 30, None, 2), part("nailer", 40, Some(30), 1), part("lip", 8, Some(29), 3)];
    batch.stock = vec![Stock {
        name: "board".into(),
        material: "pine".into(),
        section: "1x12".parse().ok(),
        length: Length::inches(96, 1).unwrap(),
        ..Stock::default()
    }];
    let batch = batch.check().unwrap();
    let solution = solved(&batch);
    let report = full(&batch, &solution);
    let stops = report.sections.iter().flat_map(|section| &section.stops);
    let rips: Vec<&str> =
        stops.filter(|stop| stop.way == Way::Rip).map(|stop| stop.setting.as_str()).collect();
    assert_eq!(rips, ["7 1/2\"", "7 1/4\""]);
    all_is_well(&batch, &solution);
}

pub fn solved(batch: &CheckedBatch) -> Solution {
    let options = Options { effort: Effort::None, threads: NonZeroUsize::new(1), ..Options::default() };
    nest_core::solve(batch, &options, &Silent).unwrap()
}

prop_compose! {
    fn part()(
        name in prop_oneof!["[a-z]{1,12}", "[A-Za-z ]{1,80}", any::<String>()],
        job in prop_oneof![Just(String::new()), "[a-z ]{1,30}", any::<String>()],
        mm in prop_oneof![1..40_i64, 40..3_000_i64],
        tenths in 0..10_i64,
        qty in 1..30_u32,
        oversize in prop_oneof![Just(Length::ZERO), Just(Length::mm(5))],
        fit in prop_oneof![Just(Fit::No), Just(Fit::Yes), Just(Fit::Over(Length::mm(12)))],
    ) -> Part {
        let clip = |text: String, least: &str| {
            let text: String = text.chars().take(200).collect();
            if text.trim().is_empty() { least.to_string() } else { text }
        };
        let length = Length::from_ticks(mm * Length::TICKS_PER_MM + tenths * Length::TICKS_PER_MM / 10);
        Part { name: clip(name, "part"), job: clip(job, ""), material: "oak".into(), length, qty, fit, oversize, ..Part::default() }
    }
}

/// Name, length and width in millimetres, how many.
pub type Asked<'a> = (&'a str, i64, i64, u32);

/// A question of sheets: what they are called and how large, how many, and how the edges are.
pub fn sheets(list: &[Asked<'_>], size: [i64; 2], trim: i64, kerf: i64) -> Batch {
    let mut shop = Shop::defaults(System::Metric);
    shop.sheets.trim = [Length::mm(trim); 4];
    shop.sheets.kerf = Length::mm(kerf);
    let part = |&(name, length, width, qty): &Asked<'_>| Part {
        name: name.into(),
        material: "ply".into(),
        thickness: Some(Length::mm(18)),
        length: Length::mm(length),
        width: Some(Length::mm(width)),
        qty,
        length_edges: 1,
        job: format!("job {}", qty % 3),
        ..Part::default()
    };
    let stock = Stock {
        name: "a sheet <&\">".into(),
        material: "ply".into(),
        form: Some(nest_core::model::Form::Sheet),
        thickness: Some(Length::mm(18)),
        length: Length::mm(size[0]),
        width: Some(Length::mm(size[1])),
        ..Stock::default()
    };
    Batch { parts: list.iter().map(part).collect(), stock: vec![stock], shop }
}

#[test]
fn sheets_of_every_kind_are_true_and_readable() {
    let cases: [(&[Asked<'_>], [i64; 2], i64); 6] = [
        (&[("one huge part that takes it all", 2_400, 1_180, 1)], [2_440, 1_220], 10),
        (&[("tiny", 120, 70, 150)], [2_440, 1_220], 0),
        (&[("a long thin strip with a long name", 2_300, 19, 40)], [2_440, 1_220], 5),
        (&[("tall", 60, 1_100, 9), ("wide", 900, 400, 2)], [2_440, 1_220], 0),
        (&[("small", 300, 200, 3)], [650, 640], 0),
        (&[("sliver", 30, 4, 60), ("speck", 11, 9, 90)], [1_500, 500], 3),
    ];
    for (list, size, trim) in cases {
        let batch = sheets(list, size, trim, 3).check().unwrap();
        let solution = solved(&batch);
        assert!(!full(&batch, &solution).sections[0].sheets.is_empty());
        all_is_well(&batch, &solution);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn any_drawing_of_sheets_is_true_and_readable(
        sizes in proptest::collection::vec((8..2_300_i64, 8..1_150_i64, 1..12_u32, "[A-Za-z ]{1,40}"), 1..9),
        trim in prop_oneof![Just(0), Just(8_i64)],
    ) {
        let list: Vec<Asked<'_>> =
            sizes.iter().map(|(l, w, qty, name)| (if name.trim().is_empty() { "x" } else { name.as_str() }, *l, *w, *qty)).collect();
        let batch = sheets(&list, [2_440, 1_220], trim, 3).check().unwrap();
        let solution = solved(&batch);
        all_is_well(&batch, &solution);
    }

    #[test]
    fn any_drawing_is_true_and_readable(
        parts in proptest::collection::vec(part(), 1..9),
        (style, trimmed, wide) in (0..6_usize, any::<bool>(), any::<bool>()),
    ) {
        let styles = [
            LengthStyle::FractionalInches { denominator: 64 },
            LengthStyle::FeetInches { denominator: 16 },
            LengthStyle::DecimalInches { places: 3 },
            LengthStyle::Millimetres,
            LengthStyle::Centimetres,
            LengthStyle::Metres,
        ];
        let mut shop = Shop { style: styles[style], ..Shop::default() };
        if trimmed {
            shop.boards.trim = [Length::mm(6), Length::mm(9)];
        }
        let stock = |length: i64, name: &str| Stock {
            name: name.into(),
            material: "oak".into(),
            length: Length::mm(length),
            width: wide.then(|| Length::mm(90)),
            ..Stock::default()
        };
        let stock = vec![stock(3_100, "long <&\">"), stock(2_000, "a board whose name goes on and on and on and on and on")];
        let batch = Batch { parts, stock, shop }.check().unwrap();
        let solution = solved(&batch);
        all_is_well(&batch, &solution);
    }
}
