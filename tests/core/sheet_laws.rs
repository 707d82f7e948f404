//! Laws of solving sheets, on small random questions with every rule a shop can have.

use super::build::solve;
use super::build_sheets::Sheets;
use nest_core::model::{Band, FirstCut, MatchWay, PartGrain, Stages, StockGrain, Trim};
use nest_core::plan::Kind;
use nest_core::search::{Effort, Options};
use nest_core::solution::{Solution, Status};
use nest_core::units::Length;
use proptest::prelude::*;
use std::num::NonZeroUsize;
use std::time::Duration;

/// Length, width, cost, supply, whether it has no grain, whether it is owned, edges that are trimmed if it says so itself.
type Stock = (i64, i64, i64, Option<u32>, bool, bool, Option<[bool; 4]>);
/// Length, width, quantity, grain, optional, banded edges.
type Piece = (i64, i64, u32, PartGrain, bool, [u8; 2]);

/// The rules of a shop, lengths in millimetres.
#[derive(Clone, Debug)]
struct Rules {
    kerf: i64,
    trim: [bool; 4],
    stages: Stages,
    trimming: bool,
    first: FirstCut,
    reach: Option<i64>,
    rip: Option<i64>,
    crosscut: Option<i64>,
    band: i64,
}

#[derive(Clone, Debug)]
struct Case {
    stock: Vec<Stock>,
    parts: Vec<Piece>,
    /// How many of one small part follow each other as a strip, and which way.
    strip: Option<(u32, MatchWay)>,
    rules: Rules,
}

impl Case {
    fn refused(&self) -> bool {
        self.sheets().batch.check().is_err()
    }

    fn sheets(&self) -> Sheets {
        let rules = &self.rules;
        let mut sheets = Sheets::new().kerf(rules.kerf);
        let shop = &mut sheets.batch.shop;
        shop.bands.push(Band { name: "tape".into(), deduct: Length::mm(rules.band), ..Band::default() });
        let settings = &mut shop.sheets;
        settings.trim = trims(rules.trim);
        (settings.stages, settings.trimming, settings.first_cut) =
            (rules.stages, rules.trimming, rules.first);
        settings.fence_reach = rules.reach.map(Length::mm);
        settings.longest_rip = rules.rip.map(Length::mm);
        settings.longest_crosscut = rules.crosscut.map(Length::mm);
        settings.keep = [Length::mm(120), Length::mm(60)];
        for &(length, width, cost, qty, plain, owned, trim) in &self.stock {
            sheets = sheets.sheet([length, width], cost);
            let last = sheets.batch.stock.last_mut().unwrap();
            (last.qty, last.on_hand) = (qty, owned && qty.is_some());
            last.trim = trim.map(|trim| Trim::Edges(trims(trim)));
            last.grain = Some(if plain { StockGrain::None } else { StockGrain::Length });
        }
        for &(length, width, qty, grain, optional, edges) in &self.parts {
            sheets = sheets.part([length, width], qty);
            let last = sheets.batch.parts.last_mut().unwrap();
            (last.grain, last.optional) = (Some(grain), optional);
            [last.length_edges, last.width_edges] = edges;
        }
        if let Some((qty, way)) = self.strip {
            sheets = sheets.part([50, 30], qty).part([50, 30], 1);
            let parts = &mut sheets.batch.parts;
            let start = parts.len() - 2;
            for part in &mut parts[start..] {
                (part.match_word, part.match_way) = (Some("front".into()), way);
            }
        }
        sheets
    }
}

fn trims(edges: [bool; 4]) -> [Length; 4] {
    edges.map(|trim| Length::mm(if trim { 6 } else { 0 }))
}

fn stock() -> impl Strategy<Value = Stock> {
    (
        200_i64..420,
        150_i64..300,
        0_i64..20,
        prop::option::of(0_u32..3),
        prop::bool::weighted(0.3),
        prop::bool::weighted(0.2),
        prop::option::weighted(0.3, any::<[bool; 4]>()),
    )
}

fn pieces() -> impl Strategy<Value = Vec<Piece>> {
    let grain = prop::sample::select(vec![PartGrain::Length, PartGrain::Width, PartGrain::Any]);
    let one = (20_i64..200, 20_i64..140, 1_u32..5, grain, prop::bool::weighted(0.15), [0_u8..3, 0_u8..3]);
    prop::collection::vec(one, 1..7)
}

/// Any rule at all.
fn rules() -> impl Strategy<Value = Rules> {
    let stages =
        prop::sample::select(vec![Stages::Any, Stages::Limited(2), Stages::Limited(3), Stages::Limited(4)]);
    let first =
        prop::sample::select(vec![FirstCut::Either, FirstCut::Either, FirstCut::Rip, FirstCut::Crosscut]);
    (
        0_i64..6,
        any::<[bool; 4]>(),
        stages,
        any::<bool>(),
        first,
        prop::option::weighted(0.25, 60_i64..250),
        prop::option::weighted(0.15, 150_i64..420),
        prop::option::weighted(0.15, 100_i64..300),
        0_i64..3,
    )
        .prop_map(|(kerf, trim, stages, trimming, first, reach, rip, crosscut, band)| Rules {
            kerf,
            trim,
            stages,
            trimming,
            first,
            reach,
            rip,
            crosscut,
            band,
        })
}

/// The first sheet holds every part whichever way it lies.
fn cases() -> impl Strategy<Value = Case> {
    let way = prop::sample::select(vec![MatchWay::Along, MatchWay::Across]);
    (
        (prop::collection::vec(stock(), 0..3), prop::option::weighted(0.4, 0_u32..4), 1_i64..20),
        pieces(),
        prop::option::weighted(0.3, (1_u32..3, way)),
        rules(),
    )
        .prop_map(|((mut stock, supply, cost), parts, strip, rules)| {
            stock.insert(0, (420, 260, cost, supply, false, false, None));
            // In two stages the first cut may run across the strip, which is refused.
            let strip =
                strip.filter(|_| rules.stages != Stages::Limited(2) || rules.first == FirstCut::Either);
            let mut case = Case { stock, parts, strip, rules };
            // What keeps a part from ever being made is refused.
            if case.refused() {
                (case.rules.reach, case.rules.rip, case.rules.crosscut) = (None, None, None);
            }
            case
        })
}

/// No rule but kerf and stages, and one kind of sheet without end: everything can be made.
fn plain() -> impl Strategy<Value = Case> {
    (cases(), 0_i64..6).prop_map(|(mut case, kerf)| {
        case.stock.truncate(1);
        case.stock[0].3 = None;
        case.rules = Rules { kerf, trim: [false; 4], reach: None, rip: None, crosscut: None, ..case.rules };
        case
    })
}

fn greedy(sheets: &Sheets) -> Solution {
    sheets.solve(Effort::None)
}

/// A search cut off after a moment.
fn short(sheets: &Sheets) -> Solution {
    let time_limit = Some(Duration::from_millis(25));
    solve(&sheets.checked(), Options { effort: Effort::Quick, time_limit, ..Options::default() })
}

fn missing(sheets: &Sheets, solution: &Solution) -> bool {
    solution.plan.unplaced.iter().any(|&(part, _)| !sheets.batch.parts[part].optional)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(80))]

    /// Edge trim is the same whether the shop says it, of what has its factory edges, or each stock.
    #[test]
    fn edge_trim_of_each_stock_is_that_of_the_shop(mut case in cases(), other in any::<[bool; 4]>()) {
        let trim = case.rules.trim;
        case.stock.iter_mut().for_each(|stock| stock.6 = None);
        let mut of_shop = case.sheets();
        of_shop.batch.stock.iter_mut().for_each(|stock| stock.factory_edges = true);
        prop_assume!(of_shop.batch.clone().check().is_ok());
        case.rules.trim = other;
        case.stock.iter_mut().for_each(|stock| stock.6 = Some(trim));
        let of_stock = case.sheets();
        let checked = [&of_shop, &of_stock].map(Sheets::checked);
        prop_assert_eq!(checked[0].stock(), checked[1].stock());
        let [shop, stock] = [of_shop, of_stock].map(|sheets| greedy(&sheets));
        prop_assert_eq!(&shop.plan, &stock.plan);
        prop_assert_eq!((shop.cost, shop.floor, shop.status), (stock.cost, stock.floor, stock.status));
    }

    /// `solve` checks every plan, so a rule that was broken would be an error of it.
    #[test]
    fn every_plan_can_be_sawn_and_forgets_nothing(case in cases()) {
        let sheets = case.sheets();
        for solution in [greedy(&sheets), short(&sheets)] {
            prop_assert_eq!(solution.status == Status::Partial, missing(&sheets, &solution));
            prop_assert_eq!(solution.status == Status::Proven, !missing(&sheets, &solution) && solution.cost == solution.floor);
            prop_assert!(solution.status == Status::Partial || solution.floor <= solution.cost);
            prop_assert!(!solution.groups[0].impossible || solution.status == Status::Partial);
            for (part, asked) in sheets.batch.parts.iter().enumerate() {
                let made: u32 = solution.plan.layouts.iter().map(|layout| {
                    layout.copies * layout.pieces.iter().filter(|piece| piece.part == part).count() as u32
                }).sum();
                let left: u32 = solution.plan.unplaced.iter().filter(|entry| entry.0 == part).map(|entry| entry.1).sum();
                prop_assert_eq!(made + left, asked.qty);
            }
        }
    }

    #[test]
    fn optional_parts_never_cost(case in cases()) {
        let sheets = case.sheets();
        let checked = sheets.checked();
        for solution in [greedy(&sheets), short(&sheets)] {
            for layout in &solution.plan.layouts {
                let required = layout.pieces.iter().any(|piece| !sheets.batch.parts[piece.part].optional);
                prop_assert!(required || checked.stock()[layout.stock].cost == 0);
            }
        }
        if greedy(&sheets).status != Status::Partial {
            let mut without = sheets.clone();
            without.batch.parts.retain(|part| !part.optional);
            if !without.batch.parts.is_empty() && without.batch.clone().check().is_ok() {
                prop_assert!(greedy(&without).floor <= greedy(&sheets).cost);
            }
        }
    }

    #[test]
    fn everything_is_made_where_no_rule_forbids_it(case in plain()) {
        let sheets = case.sheets();
        for solution in [greedy(&sheets), short(&sheets)] {
            prop_assert!(!missing(&sheets, &solution));
        }
    }

    /// A kerf on every piece and on the sheet is the same question without a kerf.
    #[test]
    fn a_kerf_is_a_kerf_more_on_everything(case in plain()) {
        let mut case = case;
        // Bands would count twice, and strips have kerfs of their own inside.
        (case.strip, case.rules.band) = (None, 0);
        let kerf = case.rules.kerf;
        let mut folded = case.clone();
        folded.rules.kerf = 0;
        for stock in &mut folded.stock {
            (stock.0, stock.1) = (stock.0 + kerf, stock.1 + kerf);
        }
        for part in &mut folded.parts {
            (part.0, part.1) = (part.0 + kerf, part.1 + kerf);
        }
        let (with, without) = (greedy(&case.sheets()), greedy(&folded.sheets()));
        prop_assert_eq!((with.cost, with.floor), (without.cost, without.floor));
    }

    /// What is proven with fewer rules holds of every plan with more.
    #[test]
    fn floors_hold_when_a_rule_is_added(case in cases()) {
        let strict = short(&case.sheets());
        if strict.status == Status::Partial {
            return Ok(());
        }
        let loosened: [fn(&mut Case); 9] = [
            |case| case.rules.stages = Stages::Any,
            |case| (case.rules.first, case.rules.trimming) = (FirstCut::Either, true),
            |case| (case.rules.reach, case.rules.rip, case.rules.crosscut) = (None, None, None),
            // Without its trim a sheet may be wider than the saw crosscuts.
            |case| {
                case.rules.trim = [false; 4];
                (case.rules.reach, case.rules.rip, case.rules.crosscut) = (None, None, None);
            },
            |case| case.rules.kerf -= i64::from(case.rules.kerf > 0),
            |case| case.parts.iter_mut().for_each(|part| part.3 = PartGrain::Any),
            |case| case.stock.iter_mut().for_each(|stock| stock.3 = stock.3.map(|qty| qty + 1)),
            |case| case.parts.iter_mut().for_each(|part| part.2 = (part.2 - 1).max(1)),
            |case| case.strip = None,
        ];
        for loosen in loosened {
            let mut loose = case.clone();
            loosen(&mut loose);
            if loose.refused() {
                continue;
            }
            let solution = greedy(&loose.sheets());
            prop_assert!(solution.floor <= strict.cost, "{} above {}", solution.floor, strict.cost);
            prop_assert!(!solution.groups[0].impossible);
        }
    }

    #[test]
    fn strips_are_one_run_of_cuts(case in cases()) {
        let sheets = case.sheets();
        let Some((qty, _)) = case.strip else { return Ok(()) };
        let solution = short(&sheets);
        let first = sheets.batch.parts.len() - 2;
        let order: Vec<usize> = std::iter::repeat_n(first, qty as usize).chain([first + 1]).collect();
        let mut todo: Vec<_> = solution.plan.layouts.iter().map(|layout| &layout.root).collect();
        let mut found = 0;
        while let Some(node) = todo.pop() {
            let Kind::Cut { children, .. } = &node.kind else { continue };
            let fronts: Vec<usize> = children
                .iter()
                .filter_map(|child| match child.kind {
                    Kind::Piece { part, .. } if part >= first => Some(part),
                    _ => None,
                })
                .collect();
            if !fronts.is_empty() {
                prop_assert_eq!(&fronts, &order);
                found += 1;
            }
            todo.extend(children);
        }
        let left = solution.plan.unplaced.iter().filter(|entry| entry.0 >= first).count();
        prop_assert_eq!((found, left), if left == 0 { (1, 0) } else { (0, 2) });
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3))]

    #[test]
    fn neither_threads_nor_a_second_run_show(case in cases(), seed in 0_u64..4) {
        let batch = case.sheets().checked();
        for effort in [Effort::None, Effort::Quick] {
            let with = |threads| {
                let threads = NonZeroUsize::new(threads);
                format!("{:?}", solve(&batch, Options { effort, threads, seed, ..Options::default() }))
            };
            let one = with(1);
            prop_assert_eq!(&one, &with(2));
            prop_assert_eq!(&one, &with(1));
        }
    }
}
