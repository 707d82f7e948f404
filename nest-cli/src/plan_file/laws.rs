//! Law: what is written is read back as the same question and the same plan. Refusals: everything else.

use super::*;
use crate::input::json::read_plan;
use nest_core::model::{Fit, Form, MatchWay, Part, PartGrain, Per, Shop, Stock, StockGrain, Trim};
use nest_core::plan::{Dual, Kind, Leaf, Node, PartShare, Reason, StockValue, UseBound, Way};
use nest_core::rest::{Before, Made};
use nest_core::units::{Money, Nominal, Rate, System};
use proptest::collection::vec;
use proptest::option::of;
use proptest::prelude::*;

fn length() -> impl Strategy<Value = Length> {
    prop_oneof![0..=Length::MAX.ticks(), (0..20_000_i64).prop_map(|mm| mm * Length::TICKS_PER_MM)]
        .prop_map(Length::from_ticks)
}

fn pair() -> impl Strategy<Value = [Length; 2]> {
    [length(), length()]
}

fn nominal() -> impl Strategy<Value = Nominal> {
    (1..8_u32, 8..24_u32).prop_filter_map("nominal", |(t, w)| Nominal::new((t, 1), w))
}

fn rate() -> impl Strategy<Value = Rate> {
    (0..1_000_000_i64).prop_map(|minor| Rate::from(Money::from_minor(minor)))
}

prop_compose! {
    fn part()(
        (name, material, job, note) in any::<(String, String, String, String)>(),
        (section, thickness, length, width) in (of(nominal()), of(length()), length(), of(length())),
        (qty, length_edges, width_edges, optional) in any::<(u32, u8, u8, bool)>(),
        grain in of(prop_oneof![Just(PartGrain::Length), Just(PartGrain::Width), Just(PartGrain::Any)]),
        match_way in prop_oneof![Just(MatchWay::Along), Just(MatchWay::Across)],
        fit in prop_oneof![Just(Fit::No), Just(Fit::Yes), length().prop_map(Fit::Over)],
        (band, match_word) in any::<(Option<String>, Option<String>)>(),
        oversize in length(),
        extra in vec(any::<(String, String)>(), 0..2),
    ) -> Part {
        Part {
            name, material, section, thickness, length, width, qty, grain, length_edges, width_edges, band,
            match_word, match_way, fit, optional, oversize, job, note, extra,
        }
    }
}

prop_compose! {
    fn stock()(
        (name, material, on_hand, factory_edges, ripped) in any::<(String, String, bool, bool, bool)>(),
        (section, thickness, length, width) in (of(nominal()), of(length()), length(), of(length())),
        form in of(prop_oneof![Just(Form::Board), Just(Form::Sheet)]),
        called in vec(length(), 0..3),
        price in of(rate()),
        per in prop_oneof![Just(Per::Each), Just(Per::Foot), Just(Per::BoardFoot), Just(Per::SquareMetre)],
        qty in any::<Option<u32>>(),
        grain in of(prop_oneof![Just(StockGrain::Length), Just(StockGrain::None)]),
        trim in of(prop_oneof![vec(length(), 1), vec(length(), 2), vec(length(), 4)]),
        extra in vec(any::<(String, String)>(), 0..2),
    ) -> Stock {
        let trim = trim.and_then(|values| Trim::of(&values));
        Stock {
            name, material, form, section, thickness, called, length, width, price, per, qty, grain, on_hand,
            factory_edges, ripped, trim, extra,
        }
    }
}

fn node() -> impl Strategy<Value = Node> {
    let leaf = prop_oneof![
        Just(Kind::Offcut),
        Just(Kind::Waste),
        (0..9_usize, any::<bool>()).prop_map(|(part, turned)| Kind::Piece { part, turned }),
    ];
    let leaf = (pair(), leaf).prop_map(|(size, kind)| Node { size, kind });
    leaf.prop_recursive(6, 24, 4, |inner| {
        let way = prop_oneof![Just(Way::Rip), Just(Way::Crosscut)];
        (pair(), way, vec(inner, 0..4))
            .prop_map(|(size, way, children)| Node { size, kind: Kind::Cut { way, children } })
    })
}

fn layout() -> impl Strategy<Value = Layout> {
    let piece = (0..9_usize, pair(), pair(), any::<bool>())
        .prop_map(|(part, at, size, turned)| PlacedPiece { part, at, size, turned });
    (0..9_usize, any::<u32>(), node(), vec(piece, 0..4)).prop_map(|(stock, copies, root, pieces)| Layout {
        stock,
        copies,
        root,
        pieces,
    })
}

fn certificate() -> impl Strategy<Value = Certificate> {
    let bound = (0..9_usize, any::<u64>(), any::<Option<u64>>()).prop_map(|(stock, least, most)| UseBound {
        stock,
        least,
        most,
    });
    let dual = || {
        prop_oneof![
            Just(Dual::Plain),
            length().prop_map(Dual::Cut),
            length().prop_map(Dual::Steps),
            any::<u32>().prop_map(Dual::Shares),
            length().prop_map(Dual::Count),
        ]
    };
    let reason = prop_oneof![
        Just(Reason::Lengths),
        Just(Reason::Area),
        (dual(), dual()).prop_map(|(along, across)| Reason::Dual { along, across }),
        (dual(), dual(), any::<Option<u8>>()).prop_map(|(along, across, stages)| Reason::Sets {
            along,
            across,
            stages
        }),
        (length(), any::<Option<u8>>()).prop_map(|(grid, stages)| Reason::Cuts { grid, stages }),
    ];
    let piece = any::<Option<u32>>();
    let value = (0..9_usize, piece.clone(), any::<i64>(), reason)
        .prop_map(|(stock, piece, value, reason)| StockValue { stock, piece, value, reason });
    let share = (0..9_usize, piece, vec(0..9_usize, 0..3), any::<[u64; 2]>(), any::<i64>()).prop_map(
        |(stock, piece, parts, [least, most], price)| PartShare { stock, piece, parts, least, most, price },
    );
    let prices = vec((0..9_usize, any::<i64>()), 0..3);
    let leaf = (vec(bound, 0..2), prices, vec(value, 0..2), vec(share, 0..2))
        .prop_map(|(bounds, prices, values, shares)| Leaf { bounds, prices, values, shares });
    (vec(leaf, 0..3), any::<bool>()).prop_map(|(leaves, matched)| Certificate { leaves, matched })
}

fn claim() -> impl Strategy<Value = GroupClaim> {
    (0..i128::from(i64::MAX), of(certificate()))
        .prop_map(|(floor, certificate)| GroupClaim { floor, certificate })
}

fn measure() -> impl Strategy<Value = Measure> {
    prop_oneof![Just(Measure::Money), Just(Measure::Length), Just(Measure::Area)]
}

fn file<'a>(batch: &'a Batch, plan: &'a Plan, measure: Measure) -> PlanFile<'a> {
    let group = |claim: &'a GroupClaim| GroupFile {
        material: Cow::Borrowed("m"),
        kind: Some(GroupKind::Boards),
        cost: amount(measure, claim.floor),
        cost_floor: amount(measure, claim.floor),
        status: Status::Feasible,
        impossible: false,
        work: 1,
        certificate: claim.certificate.as_ref().map(Cow::Borrowed),
    };
    PlanFile {
        format: Cow::Borrowed(FORMAT),
        version: VERSION,
        status: Status::Feasible,
        measure,
        currency: Cow::Borrowed("$"),
        cost: amount(measure, 7),
        cost_floor: amount(measure, 0),
        groups: plan.groups.iter().map(group).collect(),
        layouts: plan.layouts.iter().map(LayoutFile::of).collect(),
        spare: 0,
        papers: Cow::default(),
        buy: None,
        offcuts: None,
        unplaced: plan.unplaced.iter().map(|&(part, qty)| UnplacedFile { part, qty }).collect(),
        batch: Cow::Borrowed(batch),
        before: Cow::default(),
        warnings: Cow::default(),
        search: None,
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn write_then_read_is_identity(
        parts in vec(part(), 0..4),
        stock in vec(stock(), 0..3),
        layouts in vec(layout(), 0..3),
        unplaced in vec((0..9_usize, any::<u32>()), 0..3),
        groups in vec(claim(), 0..3),
        measure in measure(),
        metric in any::<bool>(),
        warnings in vec(any::<String>(), 0..3),
    ) {
        let shop = Shop::defaults(if metric { System::Metric } else { System::Inch });
        let batch = Batch { parts, stock, shop };
        let plan = Plan { layouts, unplaced, groups };
        let made = batch.parts.iter().zip(&batch.stock);
        let made = made.map(|(part, piece)| Made { part: part.clone(), piece: piece.clone() });
        let before =
            Before { made: made.collect(), gone: batch.stock.clone(), carried: batch.stock.len() };
        let file = |batch, plan, before, warnings| {
            PlanFile { before, warnings, ..file(batch, plan, measure) }
        };
        let bytes =
            crate::output::json::render(&file(&batch, &plan, Cow::Borrowed(&before), Cow::Borrowed(&warnings)));
        let read = read_plan(&bytes).unwrap();
        prop_assert_eq!(&read.before, &before);
        prop_assert_eq!(&read.warnings, &warnings);
        prop_assert_eq!(&read.batch, &batch);
        prop_assert_eq!(&read.plan, &plan);
        prop_assert_eq!(read.stated.cost, 7);
        let again = file(&read.batch, &read.plan, Cow::Borrowed(&read.before), Cow::Borrowed(&read.warnings));
        let again = crate::output::json::render(&again);
        prop_assert_eq!(bytes, again);
    }

    #[test]
    fn any_bytes_are_read_or_refused(bytes in vec(any::<u8>(), 0..200)) {
        let _ = read_plan(&bytes);
    }
}

/// A small valid file to be spoilt.
fn sound() -> String {
    let part = Part {
        name: "shelf".into(),
        material: "pine".into(),
        length: Length::mm(600),
        qty: 1,
        ..Part::default()
    };
    let stock =
        Stock { name: "s".into(), material: "pine".into(), length: Length::mm(2400), ..Stock::default() };
    let batch = Batch { parts: vec![part], stock: vec![stock], shop: Shop::default() };
    let root = Node { size: [Length::mm(2400), Length::ZERO], kind: Kind::Waste };
    let layouts = vec![Layout { stock: 0, copies: 1, root, pieces: Vec::new() }];
    let plan = Plan { layouts, ..Plan::default() };
    String::from_utf8(crate::output::json::render(&file(&batch, &plan, Measure::Money))).unwrap()
}

fn refusal(from: &str, to: &str) -> String {
    let text = sound();
    assert!(text.contains(from), "{from} is not in\n{text}");
    read_plan(text.replacen(from, to, 1).as_bytes()).unwrap_err().to_string()
}

#[test]
fn a_sound_file_is_read() {
    assert_eq!(read_plan(sound().as_bytes()).unwrap().batch.parts[0].name, "shelf");
    let marked = format!("\u{feff}{}", sound());
    assert!(read_plan(marked.as_bytes()).is_ok(), "a byte order mark is no fault");
}

#[test]
fn what_is_no_plan_is_refused_with_its_place() {
    let unknown = refusal("\"copies\"", "\"wings\": 2,\n\"copies\"");
    assert!(unknown.contains("unknown field `wings`") && unknown.split(':').count() > 2, "{unknown}");
    let twice = refusal("\"copies\": 1", "\"copies\": 1, \"copies\": 2");
    assert!(twice.contains("duplicate field `copies`"), "{twice}");
    let missing = refusal("\"copies\": 1,", "");
    assert!(missing.contains("missing field `copies`"), "{missing}");
    let both = refusal("\"left\": \"waste\"", "\"left\": \"waste\", \"piece\": 0");
    assert!(both.contains("exactly one of"), "{both}");
    let negative = refusal("\"stock\": 0", "\"stock\": -1");
    assert!(negative.contains("invalid value"), "{negative}");
    let inexact = refusal("\"length\": 600", "\"length\": 0.00001");
    assert!(inexact.contains("0.00001"), "{inexact}");
    let huge = refusal("\"length\": 600", "\"length\": 1e400");
    assert!(huge.contains("out of range"), "{huge}");
    let amount = refusal("\"cost\": \"0.07\"", "\"cost\": \"0.075\"");
    assert!(amount.contains("`cost`: expected an amount"), "{amount}");
}

#[test]
fn files_of_another_kind_are_named() {
    assert_eq!(read_plan(b"  \n").unwrap_err().message, "expected a plan, but found an empty file");
    assert!(read_plan(b"{}").unwrap_err().message.contains("found no `format`"));
    let other = refusal("\"nest-plan\"", "\"else\"");
    assert_eq!(other, "expected `format` to say \"nest-plan\", but found \"else\"");
    let newer = refusal("\"version\": 1", "\"version\": 2, \"wings\": 2");
    assert!(newer.contains("expected `version` 1 at most, but found 2"), "{newer}");
    assert!(read_plan(b"\xff\xfe{\0").unwrap_err().message.contains("UTF-16"));
    assert_eq!(read_plan(b"{\n  \xff").unwrap_err().place, Some((2, 3)));
    let deep = "{\"size\": [1, 1], \"cut\": \"rip\", \"children\": [".repeat(100_000);
    let deep = refusal("\"root\": {", &format!("\"root\": {deep}{{"));
    assert!(deep.contains("recursion limit"), "{deep}");
}

#[test]
fn fields_that_say_nothing_are_left_out() {
    let text = sound();
    for word in ["note", "fit", "match", "width_edges", "turned", "spare", "on_hand", "grain", "warnings"] {
        assert!(!text.contains(word), "{word} in\n{text}");
    }
    assert!(
        text.contains("      {\"part\": \"shelf\", \"material\": \"pine\", \"length\": 600, \"qty\": 1}"),
        "{text}"
    );
}
