//! What programs rely on that are built on the library, beyond good plans: threads, defaults, errors, and calm.

use super::build::Boards;
use super::refused;
use nest_core::check::check;
use nest_core::model::{CheckedBatch, Part, ProblemKind, Stock, Table, TableCell, Warning};
use nest_core::plan::{Kind, Node, Plan};
use nest_core::rest::{Before, Done, Followed, How};
use nest_core::search::Effort;
use nest_core::solution::Solution;
use nest_core::units::{Length, LengthStyle, Money, Rate, Rounding};
use std::error::Error;

#[test]
fn questions_and_answers_go_from_thread_to_thread() {
    fn all<T: Send + Sync + 'static>() {}
    all::<CheckedBatch>();
    all::<Plan>();
    all::<Solution>();
    all::<nest_core::Error>();
}

#[test]
fn whoever_names_a_part_wants_one() {
    let mut boards = Boards::new().stock(2_400_000, 1);
    let of_material = Part { material: "m".into(), length: Length::mm(900), ..Part::default() };
    boards.batch.parts.push(Part { name: "shelf".into(), ..of_material });
    let solution = boards.solve(Effort::Quick);
    assert_eq!(solution.plan.layouts[0].pieces.len(), 1);
}

#[test]
fn a_length_beyond_all_is_a_problem_and_no_panic() {
    let mut batch = refused::batch();
    batch.shop.sheets.kerf = Length::from_ticks(i64::MAX);
    let problems = batch.check().expect_err("no saw is so wide").into_vec();
    assert_eq!(problems[0].kind, ProblemKind::Limit);
}

fn done(layout: usize, copies: Option<u32>, how: How) -> Done {
    Done { layout, copies, how }
}

#[test]
fn entries_that_do_not_fit_say_why() {
    let batch = refused::batch().check().unwrap();
    let (plan, before) = (refused::plan(), Before::default());
    let entries = [done(99, None, How::Cut), done(0, Some(99), How::Cut), done(0, Some(1), How::Begun(99))];
    let misfits = Followed::new(&batch, &plan, 0, &before, &entries).unwrap_err();
    let words = misfits.to_string();
    let cuts = plan.layouts[0].cuts(&batch.stock()[plan.layouts[0].stock]).count();
    assert_eq!(
        words.lines().collect::<Vec<_>>(),
        [
            format!(
                "done[0]: expected the index of one of {} layouts, but there is no such layout",
                plan.layouts.len()
            ),
            format!(
                "done[1]: expected at most {} copies of the layout, but found 99 with this entry",
                plan.layouts[0].copies
            ),
            format!("done[2]: expected a number of cuts from 1 to {cuts}, but found another"),
        ]
    );
    assert_eq!(misfits.into_vec().len(), 3);
}

/// All that can fail fails with an error that says everything, and `?` takes it.
#[test]
fn every_error_goes_up() {
    fn all(plan: &Plan, entry: Done) -> Result<(), Box<dyn Error>> {
        let batch = refused::batch().check()?;
        check(&batch, plan)?;
        Followed::new(&batch, plan, 0, &Before::default(), &[entry])?;
        Ok(())
    }
    let mut plan = refused::plan();
    assert!(all(&plan, done(0, None, How::Cut)).is_ok());
    let misfits = all(&plan, done(99, None, How::Cut)).unwrap_err();
    assert!(misfits.to_string().starts_with("done[0]: "), "{misfits}");
    plan.layouts[0].copies = 0;
    plan.layouts[1].copies = 0;
    let faults = all(&plan, done(0, None, How::Cut)).unwrap_err().to_string();
    for layout in ["layouts[0]: ", "layouts[1]: "] {
        assert!(faults.lines().any(|line| line.starts_with(layout)), "{faults}");
    }
}

#[test]
fn a_cost_is_money_where_there_are_prices_and_else_wood() {
    let style = LengthStyle::Millimetres;
    let mut boards = Boards::new().stock(2_400_000, 1).part(900_000, 1);
    let batch = boards.checked();
    let cost = boards.solve(Effort::Quick).cost;
    assert_eq!(batch.measure().money(cost), batch.stock()[0].each);
    assert_eq!(Some(batch.measure().format(cost, style)), batch.stock()[0].each.map(|each| each.to_string()));
    boards.batch.stock[0].price = None;
    let batch = boards.checked();
    let cost = boards.solve(Effort::Quick).cost;
    assert_eq!(batch.measure().money(cost), None);
    assert_eq!(batch.measure().format(cost, style), style.format(batch.stock()[0].size[0], Rounding::Down));
}

/// Each warning leads to the cell whose value it is about, in the table that the cell is of.
#[test]
fn warnings_say_which_cell_they_are_about() {
    let mut batch = refused::batch();
    batch.parts.push(Part { name: "none".into(), qty: 0, ..batch.parts[0].clone() });
    (batch.shop.boards.kerf, batch.shop.boards.trim) = (Length::mm(13), [Length::ZERO; 2]);
    batch.stock.push(Stock {
        name: "gift".into(),
        price: Some(Rate::from(Money::ZERO)),
        qty: None,
        ..batch.stock[0].clone()
    });
    let (last_part, last_stock) = (batch.parts.len() - 1, batch.stock.len() - 1);
    let batch = batch.check().unwrap();
    let places: Vec<_> = batch.warnings().iter().filter_map(Warning::place).collect();
    for (table, row, field) in [
        (Table::Parts, last_part, "qty"),
        (Table::Stock, last_stock, "price"),
        (Table::Shop, 0, "boards.kerf"),
    ] {
        let place = TableCell { table, row, field };
        assert!(places.contains(&place), "{place} is not among {places:?}");
    }
}

/// Nobody should carry on a plan that the check refuses; whoever does gets nonsense and no panic.
#[test]
fn what_is_left_of_a_wrecked_plan_is_reckoned_calmly() {
    let batch = refused::batch().check().unwrap();
    let before = Before::default();
    for ticks in [i64::MAX, i64::MIN] {
        let mut plan = refused::plan();
        for layout in &mut plan.layouts {
            wreck(&mut layout.root, Length::from_ticks(ticks));
        }
        let followed = Followed::new(&batch, &plan, 0, &before, &[]).unwrap();
        assert_eq!(followed.rest(refused::batch()).batch.parts, batch.batch().parts);
    }
}

fn wreck(node: &mut Node, size: Length) {
    node.size = [size; 2];
    if let Kind::Cut { children, .. } = &mut node.kind {
        children.iter_mut().for_each(|child| wreck(child, size));
    }
}

/// With the feature `serde`, which the tests of the whole workspace turn on.
#[cfg(feature = "serde")]
mod kept {
    use super::*;
    use nest_core::check::Fault;
    use nest_core::cost::{banding, bill, shares};
    use nest_core::model::Batch;
    use nest_core::plan::Way;
    use nest_core::rest::Made;
    use nest_core::search::Options;
    use serde::Serialize;
    use serde::de::DeserializeOwned;

    fn again<T: Serialize + DeserializeOwned>(value: &T) -> T {
        serde_json::from_str(&serde_json::to_string(value).unwrap()).unwrap()
    }

    fn json<T: Serialize>(value: &T) -> serde_json::Value {
        serde_json::to_value(value).unwrap()
    }

    #[test]
    fn a_question_and_its_plan_come_back() {
        let batch = refused::batch();
        assert_eq!(again(&batch), batch);
        let checked = batch.check().unwrap();
        let plan = super::super::build::solve(&checked, Options::default()).plan;
        assert!(plan.groups.iter().all(|group| group.certificate.is_some()));
        let back: (Batch, Plan) = again(&(checked.batch().clone(), plan.clone()));
        assert_eq!(back.1, plan);
        // What validation filled in changes nothing when it is asked once more.
        let rechecked = back.0.check().unwrap();
        assert_eq!((rechecked.parts(), rechecked.stock()), (checked.parts(), checked.stock()));
        assert!(check(&rechecked, &back.1).is_ok());
    }

    #[test]
    fn a_plan_that_was_tampered_with_is_refused() {
        let checked = refused::batch().check().unwrap();
        let plan = super::super::build::solve(&checked, Options::default()).plan;
        let floor = plan.groups[0].floor;
        let text = serde_json::to_string(&plan).unwrap();
        let spoilt =
            text.replacen(&format!("\"floor\":\"{floor}\""), &format!("\"floor\":\"{}\"", floor + 1), 1);
        assert_ne!(spoilt, text, "floors are text");
        let faults = check(&checked, &serde_json::from_str(&spoilt).unwrap()).unwrap_err();
        assert!(matches!(faults.as_slice(), [Fault::FloorTooHigh { group: 0, .. }]), "{faults:?}");
        let spoilt = text.replacen("\"copies\"", "\"extra\":1,\"copies\"", 1);
        assert!(serde_json::from_str::<Plan>(&spoilt).is_err());
    }

    /// Square ticks of a shop's sheets are beyond what readers of numbers keep apart.
    #[test]
    fn no_floor_is_rounded() {
        let mut plan = refused::plan();
        plan.groups[0].floor = i128::MAX - 1;
        assert_eq!(again(&plan), plan);
    }

    /// Far deeper than any saw follows.
    #[test]
    fn the_deepest_tree_comes_back() {
        let size = [Length::mm(10); 2];
        let mut node = Node { size, kind: Kind::Piece { part: 3, turned: true } };
        for depth in 0..62 {
            let way = if depth % 2 == 0 { Way::Rip } else { Way::Crosscut };
            node = Node { size, kind: Kind::Cut { way, children: vec![node] } };
        }
        assert_eq!(again(&node), node);
        assert!(serde_json::from_str::<Node>(r#"{"size":[1,1],"piece":0,"left":"waste"}"#).is_err());
    }

    #[test]
    fn what_a_plan_comes_to_comes_back() {
        let batch = refused::batch().check().unwrap();
        let solution = super::super::build::solve(&batch, Options::default());
        assert_eq!(again(&solution), solution);
        let bill = bill(&batch, &solution.plan, 100);
        assert_eq!(again(&bill), bill);
        let shares = shares(&batch, &solution.plan, 0);
        assert_eq!(again(&shares), shares);
        // Square ticks are beyond what readers of numbers keep apart.
        let (solution_text, shares_text) = (json(&solution), json(&shares));
        let group = &solution_text["groups"][0];
        for cost in [&solution_text["cost"], &solution_text["floor"], &group["cost"], &group["floor"]] {
            assert!(cost.is_string(), "{cost} is no text");
        }
        assert!(shares_text[0]["cost"].is_string(), "{shares_text}");
        let band = banding(&batch, &solution.plan);
        assert_eq!(again(&band), band);
    }

    #[test]
    fn what_was_done_comes_back() {
        let batch = refused::batch();
        let made = Made { part: batch.parts[0].clone(), piece: batch.stock[0].clone() };
        let before = Before { made: vec![made], gone: batch.stock, carried: 2 };
        assert_eq!(again(&before), before);
        for how in [How::Cut, How::Begun(3), How::Lost(1), How::Spoiled] {
            let entry = done(4, Some(2), how);
            assert_eq!(again(&entry), entry);
        }
    }
}
