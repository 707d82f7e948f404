//! Laws of the solver on random small questions.

mod known;
mod odd;
mod optional;
mod stopped;

use super::cutting::Cutting;
use super::filling::{Among, Filling};
use super::goals::Goals;
use super::layout::layouts;
use super::packed::Packed;
use super::polish::polish;
use super::problem::Problem;
use super::sets::Lore;
use super::worth::Worth;
use super::{Budget, search, tree::Sheet};
use crate::check::{Floor, check, floor_of};
use crate::model::{
    Batch, CheckedBatch, FirstCut, Form, MatchWay, Part, PartGrain, Shop, Stages, Stock, StockGrain,
};
use crate::plan::{GroupClaim, Kind, Node, Plan, Score, Way};
use crate::search::{Answer, Control, Dice, Options, Silent};
use crate::units::{Length, Money, Rate, System};

pub(super) fn sheet(name: &str, size: [i64; 2], price: i64) -> Stock {
    Stock {
        name: name.into(),
        material: "ply".into(),
        form: Some(Form::Sheet),
        length: Length::mm(size[0]),
        width: Some(Length::mm(size[1])),
        price: Some(Rate::from(Money::from_minor(price))),
        grain: Some(StockGrain::Length),
        ..Stock::default()
    }
}

pub(super) fn part(name: &str, size: [i64; 2], qty: u32, grain: PartGrain) -> Part {
    Part {
        name: name.into(),
        material: "ply".into(),
        length: Length::mm(size[0]),
        width: Some(Length::mm(size[1])),
        qty,
        grain: Some(grain),
        ..Part::default()
    }
}

pub(super) fn shop(kerf: i64, stages: Stages) -> Shop {
    let mut shop = Shop::defaults(System::Metric);
    shop.sheets.kerf = Length::mm(kerf);
    shop.sheets.stages = stages;
    shop
}

fn solved(batch: &CheckedBatch, seed: u64, work: u64) -> Answer {
    let options = Options { seed, ..Options::default() };
    let control = Control::new(&options, &Silent);
    search(
        batch,
        0,
        &control,
        Budget { gaps: work, cells: 10 * work, sets: work, polish: work / 4, deep: false },
    )
}

/// The plan with the best floor of the answer; panics where the check refuses anything.
fn judged(batch: &CheckedBatch, answer: Answer) -> (Plan, i128, i128, bool) {
    let mut claim = GroupClaim::default();
    for certificate in answer.certificates {
        let floor = floor_of(batch, 0, &certificate).unwrap_or_else(|refusal| panic!("{refusal}"));
        if let Floor::Cost(floor) = floor
            && floor > claim.floor
        {
            claim = GroupClaim { floor, certificate: Some(certificate) };
        }
    }
    let plan = Plan { layouts: answer.layouts, unplaced: answer.unplaced, groups: vec![claim] };
    let checked = check(batch, &plan).unwrap_or_else(|faults| panic!("{faults:?}"));
    let group = checked.groups[0];
    (plan, group.cost, group.floor, group.complete)
}

/// A question with rules of every kind, drawn by its number.
pub(super) fn drawn(seed: u64) -> CheckedBatch {
    let mut dice = Dice::new(seed, 0);
    let mut between = |low: u32, high: u32| i64::from(low + dice.below(high - low + 1));
    let kerf = between(0, 4);
    let mut shop = shop(kerf, [Stages::Any, Stages::Limited(2), Stages::Limited(3)][between(0, 2) as usize]);
    let sheets = &mut shop.sheets;
    sheets.trimming = between(0, 1) == 1;
    sheets.first_cut =
        [FirstCut::Either, FirstCut::Rip, FirstCut::Crosscut, FirstCut::Either][between(0, 3) as usize];
    if between(0, 1) == 1 {
        sheets.trim = [0; 4].map(|_: i64| Length::mm(if between(0, 1) == 1 { 5 } else { 0 }));
    }
    sheets.fence_reach = (between(0, 3) == 0).then(|| Length::mm(between(150, 400)));
    sheets.longest_crosscut = (between(0, 5) == 0).then(|| Length::mm(between(200, 500)));
    sheets.longest_rip = (between(0, 5) == 0).then(|| Length::mm(between(300, 700)));
    let mut stock = vec![sheet("large", [between(400, 800), between(300, 500)], between(0, 60))];
    if between(0, 1) == 1 {
        let mut small = sheet("small", [between(300, 500), between(200, 400)], between(1, 30));
        small.qty = Some(between(0, 3) as u32);
        stock.push(small);
    }
    let mut parts = Vec::new();
    let way = between(0, 1) == 1;
    // In two stages the first cut may run across a strip, which is refused.
    let strips = shop.sheets.stages != Stages::Limited(2) || shop.sheets.first_cut == FirstCut::Either;
    for number in 0..between(1, 7) {
        let grain = [PartGrain::Length, PartGrain::Width, PartGrain::Any][between(0, 2) as usize];
        let mut part = part(
            &format!("part {number}"),
            [between(20, 290), between(20, 190)],
            between(1, 5) as u32,
            grain,
        );
        part.optional = between(0, 6) == 0;
        // Strips of at most four pieces, which fit both ways into any of the sheets.
        if between(0, 3) == 0 && number % 2 == 0 && strips {
            part.match_word = Some(format!("grain {}", number / 4));
            part.length = Length::mm(60);
            part.width = Some(Length::mm(60));
            part.qty = part.qty.min(2);
            part.grain = Some(PartGrain::Length);
            part.optional = false;
            part.match_way = if way { MatchWay::Along } else { MatchWay::Across };
        }
        parts.push(part);
    }
    let mut batch = Batch { parts, stock, shop };
    // What keeps a part from ever being made is refused.
    batch.clone().check().unwrap_or_else(|_| {
        let sheets = &mut batch.shop.sheets;
        (sheets.fence_reach, sheets.longest_crosscut, sheets.longest_rip) = (None, None, None);
        batch.check().unwrap()
    })
}

#[test]
fn every_plan_passes_the_check_under_every_rule() {
    for seed in 0..300 {
        let batch = drawn(seed);
        for work in [0, 60_000] {
            let (_, cost, floor, complete) = judged(&batch, solved(&batch, seed, work));
            assert!(floor <= cost || !complete, "question {seed}: floor {floor} above {cost}");
        }
    }
}

/// What was beside a piece may be gone, and leave strips within strips that are wider than it.
#[test]
fn what_remains_when_pieces_are_taken_out_can_be_cut() {
    let mut remained = 0;
    for seed in 0..300 {
        let batch = drawn(seed);
        let problem = Problem::new(&batch, 0);
        let worth = Worth::new(problem.largest());
        let full = super::greedy::fill(&problem, &worth, 2, &|| false);
        for round in 0..10 {
            let mut dice = Dice::new(seed, round);
            let mut filling = full.clone();
            for at in 0..filling.sheets.len() {
                for _ in 0..=dice.below(3) {
                    let slots = filling.sheets[at].slots();
                    if slots > 1 && filling.sheets[at].count > 1 {
                        filling.remove(at, 1 + dice.below(slots - 1));
                    }
                }
            }
            let sawable = |sheet: &Sheet| sheet.count == 0 || sheet.sawable(&problem.kinds[sheet.kind()]);
            if filling.sheets.iter().all(sawable) {
                remained += 1;
                let packed = Packed::of(&filling);
                let sheets: Vec<_> = packed.sheets.iter().map(|(sheet, copies)| (sheet, *copies)).collect();
                let (layouts, unplaced) = layouts(&batch, &problem, &sheets);
                let groups = vec![GroupClaim::default(); batch.groups().len()];
                let plan = Plan { layouts, unplaced, groups };
                check(&batch, &plan).unwrap_or_else(|faults| panic!("{seed} {round} {faults:?}"));
            }
        }
    }
    assert!(remained > 1000, "{remained}");
}

#[test]
fn cuttings_prove_more_than_areas_where_sheets_differ_in_price() {
    let mut more = 0;
    for seed in 0..10 {
        let mut dice = Dice::new(seed, 0);
        let mut side = || i64::from(1 + dice.below(10));
        let parts =
            (0..30).map(|number| part(&format!("part {number}"), [side(), side()], 1, PartGrain::Length));
        let batch = Batch {
            parts: parts.collect(),
            stock: vec![
                sheet("large", [10, 10], 100),
                sheet("medium", [7, 8], 40),
                sheet("small", [5, 5], 10),
            ],
            shop: shop(0, Stages::Any),
        };
        let batch = batch.check().unwrap();
        let floor = |cells: u64| {
            let options = Options { seed, ..Options::default() };
            let control = Control::new(&options, &Silent);
            let answer =
                search(&batch, 0, &control, Budget { gaps: 200_000, cells, sets: 0, polish: 0, deep: false });
            judged(&batch, answer).2
        };
        let [areas, cuttings] = [0, 50_000_000].map(floor);
        assert!(cuttings >= areas, "seed {seed}: {cuttings} < {areas}");
        more += u32::from(cuttings > areas);
    }
    assert!(more > 4, "{more}");
}

#[test]
fn a_longer_search_never_ends_with_less() {
    for seed in 0..60 {
        let batch = drawn(seed);
        let (short, cost, _, complete) = judged(&batch, solved(&batch, seed, 0));
        let (_, better, _, still) = judged(&batch, solved(&batch, seed, 100_000));
        assert!(still >= complete, "question {seed}");
        if complete {
            assert!(better <= cost, "question {seed}: {better} after {cost} by {short:?}");
        }
    }
}

#[test]
fn polish_never_makes_a_plan_worse_and_often_better() {
    let mut better = 0;
    for seed in 0..80 {
        let batch = drawn(seed);
        let score = |polish: u64| {
            let options = Options { seed, ..Options::default() };
            let control = Control::new(&options, &Silent);
            let answer = search(
                &batch,
                0,
                &control,
                Budget { gaps: 20_000, cells: 200_000, sets: 20_000, polish, deep: false },
            );
            Score::of(&batch, 0, &judged(&batch, answer).0.layouts)
        };
        let (plain, polished) = (score(0), score(60_000));
        assert!(polished <= plain, "question {seed}: {polished:?} after {plain:?}");
        assert_eq!(polished.cost, plain.cost, "question {seed}");
        better += u32::from(polished < plain);
    }
    assert!(better > 20, "{better}");
}

/// Two pieces of half a sheet's length and a little less than half its width leave 2000 x 550 in one piece when they lie
/// behind each other, but two of 1000 x 450 and a strip on strips of their own.
#[test]
fn polish_gathers_what_is_left_over() {
    let parts = vec![part("door", [1000, 450], 2, PartGrain::Length)];
    let batch = Batch { parts, stock: vec![sheet("sheet", [2000, 1000], 5)], shop: shop(0, Stages::Any) }
        .check()
        .unwrap();
    let problem = Problem::new(&batch, 0);
    let door = || Cutting::Item { item: 0, lay: 0 };
    let apart = Cutting::Row { axis: 1, children: vec![door(), door()] };
    let sheets = vec![(Sheet::of(&problem, 0, &apart).unwrap(), 1)];
    let (polished, _) =
        polish(&batch, &problem, &Packed::new(&problem, sheets, vec![0]), 0, 50_000, &|| false);
    let size = problem.kinds[0].size;
    let leftovers: Vec<_> = polished.sheets[0].0.leftovers().collect();
    assert_eq!(leftovers, [[size[0], size[1] / 20 * 11]]);
}

/// The least extent of what is no leftover; the plan's own sizes are not asked.
fn extent(node: &Node, axis: usize, kerf: Length) -> Option<Length> {
    match &node.kind {
        Kind::Offcut | Kind::Waste => None,
        Kind::Piece { .. } => Some(node.size[axis]),
        Kind::Cut { way, children } => {
            let sizes = children.iter().filter_map(|child| extent(child, axis, kerf));
            sizes.reduce(|a, b| if way.axis() == axis { a + kerf + b } else { a.max(b) })
        }
    }
}

#[test]
fn no_strip_is_wider_than_what_lies_on_it() {
    let mut strips = 0;
    for seed in 0..120 {
        let batch = drawn(seed);
        if batch.batch().shop.sheets.fence_reach.is_some() {
            continue;
        }
        let (plan, ..) = judged(&batch, solved(&batch, seed, 40_000));
        for layout in &plan.layouts {
            let kerf = batch.stock()[layout.stock].kerf;
            let mut todo = vec![&layout.root];
            while let Some(node) = todo.pop() {
                let Kind::Cut { way, children } = &node.kind else { continue };
                let axis = way.axis();
                // Two strips, or one and a leftover: they are parted by a cut.
                for child in children.iter().filter(|_| children.len() > 1) {
                    if let Some(extent) = extent(child, axis, kerf) {
                        assert_eq!(child.size[axis], extent, "question {seed}");
                        strips += 1;
                    }
                }
                todo.extend(children);
            }
        }
    }
    assert!(strips > 500, "{strips}");
}

#[test]
fn goals_are_cheaper_and_large_enough() {
    let mut drawn_goals = 0;
    for seed in 0..60 {
        let batch = drawn(seed);
        let problem = Problem::new(&batch, 0);
        let Some(mut goals) = Goals::new(&problem, seed) else { continue };
        let open: Vec<u32> = problem.kinds.iter().map(|kind| kind.supply.unwrap_or(4)).collect();
        let cost: i128 = problem.kinds.iter().zip(&open).map(|(k, &n)| k.cost * i128::from(n)).sum();
        let need = super::filling::need(&problem, &problem.demand());
        for _ in 0..20 {
            let Some(goal) = goals.draw(&open, cost, 0, &Lore::default()) else { continue };
            drawn_goals += 1;
            let kinds = || problem.kinds.iter().zip(&goal);
            assert!(kinds().all(|(kind, &n)| kind.supply.is_none_or(|supply| n <= supply)));
            assert!(kinds().map(|(kind, &n)| u128::from(kind.area()) * u128::from(n)).sum::<u128>() >= need);
            assert!(kinds().map(|(kind, &n)| kind.cost * i128::from(n)).sum::<i128>() < cost);
        }
    }
    assert!(drawn_goals > 100, "{drawn_goals}");
}

/// Beside a dear sheet others that cost nothing could be added for ever.
#[test]
fn no_goal_has_sheets_without_end() {
    let stock = (0..6).map(|kind| sheet("s", [900 + kind, 600], if kind == 0 { 1_000_000 } else { 0 }));
    let parts = vec![part("panel", [500, 400], 7, PartGrain::Length)];
    let batch = Batch { parts, stock: stock.collect(), shop: shop(0, Stages::Any) }.check().unwrap();
    let problem = Problem::new(&batch, 0);
    let mut goals = Goals::new(&problem, 0).unwrap();
    let cost = problem.kinds.iter().map(|kind| kind.cost).max().unwrap() * 2;
    let open: Vec<u32> = problem.kinds.iter().map(|kind| if kind.cost > 0 { 2 } else { 0 }).collect();
    let goals: Vec<_> = (0..20).filter_map(|_| goals.draw(&open, cost, 0, &Lore::default())).collect();
    assert!(goals.len() > 10 && goals.iter().all(|goal| goal.iter().sum::<u32>() <= 20), "{goals:?}");
}

#[test]
fn placing_and_removing_keeps_the_tree_whole() {
    for seed in 0..60 {
        let batch = drawn(seed);
        let problem = Problem::new(&batch, 0);
        let worth = Worth::new(problem.largest());
        let mut filling = Filling::new(&problem, &worth, problem.demand());
        let mut dice = Dice::new(seed, 1);
        for _ in 0..300 {
            let item = dice.below(problem.items.len() as u32) as usize;
            if filling.left[item] > 0 {
                filling.place(item, Among::All, None, None, None, |_, _| {});
            }
            if !filling.sheets.is_empty() && dice.once_in(2) {
                let at = dice.below(filling.sheets.len() as u32) as usize;
                let slot = dice.below(filling.sheets[at].slots());
                filling.remove(at, slot);
            }
            assert!(filling.sheets.iter().all(|sheet| sheet.sane(&problem)), "question {seed}");
            let placed: usize = filling.sheets.iter().map(|sheet| sheet.items().count()).sum();
            let left: u32 = filling.left.iter().sum();
            assert_eq!(placed as u32 + left, problem.demand().iter().sum::<u32>());
        }
    }
}

#[test]
fn an_empty_sheet_has_no_tree() {
    let problem = Problem::new(&drawn(1), 0);
    let sheet = Sheet::empty(&problem, 0);
    assert!(sheet.view(&problem, 0).is_none() && sheet.sane(&problem));
}

#[test]
fn a_grain_match_is_one_strip_in_order() {
    let mut parts = Vec::new();
    for (name, width) in [("top", 140), ("middle", 180), ("bottom", 220)] {
        let mut front = part(name, [400, width], 1, PartGrain::Width);
        front.match_word = Some("front".into());
        parts.push(front);
    }
    parts.push(part("shelf", [300, 200], 6, PartGrain::Any));
    let batch = Batch { parts, stock: vec![sheet("sheet", [1000, 900], 5)], shop: shop(3, Stages::Any) }
        .check()
        .unwrap();
    let (plan, ..) = judged(&batch, solved(&batch, 0, 100_000));
    let mut todo: Vec<_> = plan.layouts.iter().map(|layout| &layout.root).collect();
    let mut strips = 0;
    while let Some(node) = todo.pop() {
        let Kind::Cut { way, children } = &node.kind else { continue };
        let fronts: Vec<usize> = children
            .iter()
            .filter_map(|child| match child.kind {
                Kind::Piece { part, .. } if part < 3 => Some(part),
                _ => None,
            })
            .collect();
        if !fronts.is_empty() {
            assert_eq!((fronts, *way, children.len()), (vec![0, 1, 2], Way::Crosscut, 3));
            strips += 1;
        }
        todo.extend(children);
    }
    assert_eq!(strips, 1);
}
