//! What a plan holds, costs and is worth, reckoned by hand for the sound plan of [`refused`](crate::refused).

use nest_core::cost::{bill, cost, shares, split};
use nest_core::model::{Batch, CheckedBatch, Part};
use nest_core::plan::{
    Extent, Kind, Layout, Node, Plan, Score, Setup, Tally, leftover, leftover_value, worth_keeping,
};
use nest_core::units::{Length, Money};
use proptest::collection::vec;
use proptest::prelude::*;

use crate::refused;

/// The shares of the costs with a weight for every job on every board, the slow way.
fn slow_shares(batch: &CheckedBatch, plan: &Plan) -> Vec<i128> {
    let mut jobs: Vec<&str> = Vec::new();
    for part in &batch.batch().parts {
        if !jobs.contains(&part.job.as_str()) {
            jobs.push(&part.job);
        }
    }
    let mut costs = vec![0; jobs.len()];
    for layout in &plan.layouts {
        let size = |of: [Length; 2]| i128::from(of[0].ticks()) * i128::from(of[1].ticks());
        let of_job = |job: &&str| {
            let pieces = layout.pieces.iter().filter(|piece| batch.batch().parts[piece.part].job == *job);
            pieces.map(|piece| size(piece.size)).sum::<i128>()
        };
        let weights: Vec<i128> = jobs.iter().map(of_job).collect();
        let cost = batch.stock()[layout.stock].cost * i128::from(layout.copies);
        costs.iter_mut().zip(split(cost, &weights)).for_each(|(sum, share)| *sum += share);
    }
    costs
}

/// The sound plan, its last board from the rack, two jobs.
fn rack() -> (CheckedBatch, Plan) {
    let mut batch: Batch = refused::batch();
    batch.stock[1].on_hand = true;
    for part in [0, 4] {
        batch.parts[part].job = "north".into();
    }
    let mut plan = refused::plan();
    // No edge trim on what is owned: 20 mm more are left.
    let Kind::Cut { way, mut children } = plan.layouts[2].root.kind.clone() else { panic!("not divided") };
    children[1].size[0] += Length::mm(20);
    let root = Node { size: [Length::mm(1800), Length::mm(89)], kind: Kind::Cut { way, children } };
    plan.layouts[2] = Layout::new(1, 1, root, Setup { kerf: Length::mm(3), ..Setup::default() });
    (batch.check().unwrap(), plan)
}

fn square_mm(ticks: i128) -> i128 {
    ticks / i128::from(Length::TICKS_PER_MM * Length::TICKS_PER_MM)
}

#[test]
fn amounts_by_hand() {
    let tally = Tally::of(&refused::batch().check().unwrap(), &refused::plan());
    assert_eq!((tally.made, tally.used), (vec![3, 4, 1, 0, 4, 2], vec![2, 1, 1]));
    let boards = tally.groups[0];
    assert_eq!(boards.extent, Extent::Area);
    assert_eq!(square_mm(boards.opened), (2 * 2400 + 1800) * 89);
    assert_eq!(square_mm(boards.parts), 3 * 800 * 89 + (4 * 200 + 1000) * 60);
    assert_eq!(boards.finished, boards.parts);
    assert_eq!(square_mm(boards.offcuts), (774 + 967) * 89);
    assert_eq!(square_mm(boards.waste), 3 * 20 * 89 + 574 * 89 + (1000 + 810) * 26);
    assert_eq!(square_mm(boards.dust), 5 * 3 * 89 + (1000 + 810) * 3 + (3 * 3 + 1) * 60);
    assert_eq!((boards.stock, boards.pieces, boards.layouts), (3, 8, 3));
    // An end trimmed, a cut for each piece or blank, a rip for each narrow blank; the last layout has the four
    // cuts of the cleats, of which the last one takes 1 mm.
    assert_eq!(boards.cuts, (1 + 2) + (1 + 2 + 1) + (1 + 1 + 1 + 4));
    assert_eq!(boards.settings, (1 + 1) + (1 + 2 + 1) + (1 + 1 + 1 + 1));
    let yields = tally.groups.iter().map(|group| group.yield_fraction().unwrap());
    let yields: Vec<_> = yields.map(|(finished, opened)| (square_mm(finished), square_mm(opened))).collect();
    assert_eq!(yields, [(321_600, 587_400), (4 * 280_000 + 2 * 150_000, 2440 * 1220)]);
}

#[test]
fn lengths_are_counted_where_boards_have_no_width() {
    let mut batch = refused::batch();
    batch.parts.truncate(1);
    batch.stock.truncate(1);
    (batch.parts[0].width, batch.stock[0].width) = (None, None);
    let batch = batch.check().unwrap();
    let flat = |length, kind| Node { size: [Length::mm(length), Length::ZERO], kind };
    let shelf = || flat(800, Kind::Piece { part: 0, turned: false });
    let children = vec![shelf(), shelf(), flat(774, Kind::Offcut)];
    let root = flat(2380, Kind::Cut { way: nest_core::plan::Way::Crosscut, children });
    let stock = &batch.stock()[0];
    let layouts = vec![Layout::new(0, 3, root, stock)];
    let plan = Plan { layouts, ..Plan::default() };
    let tally = Tally::of(&batch, &plan);
    let group = tally.groups[0];
    let mm = |ticks: i128| ticks / i128::from(Length::TICKS_PER_MM);
    assert_eq!(group.extent, Extent::Length);
    assert_eq!(
        [group.opened, group.parts, group.offcuts, group.waste, group.dust].map(mm),
        [7200, 4800, 2322, 60, 18]
    );
    assert_eq!((tally.total(), group.cuts, group.settings), (Some(group), 9, 2));
    // Three times 774 of 2400 at 5.00, each rounded down.
    assert_eq!(bill(&batch, &plan, 0).left, Money::from_minor(3 * 161));
}

#[test]
fn the_bill_by_hand() {
    let (batch, plan) = rack();
    let bill = bill(&batch, &plan, 100);
    let bought: Vec<_> = bill.buy.iter().map(|line| (line.stock, line.qty, line.spare)).collect();
    // Ten percent of two boards is a board; sheets are not bought spare.
    assert_eq!(bought, [(0, 3, 1), (2, 1, 0)]);
    assert_eq!(bill.total, Some(Money::from_minor(3 * 500 + 4000)));
    assert_eq!(bill.take.iter().map(|line| (line.stock, line.qty)).collect::<Vec<_>>(), [(1, 1)]);
    assert_eq!(bill.taken, Money::from_minor(300));
    // 774 of 2400 at 5.00, 987 of 1800 at 3.00, and of the sheet at 40.00 two rectangles.
    let sheet = |along: i64, across: i64| 4000 * along * across / (2440 * 1220);
    let left = 161 + 164 + sheet(711, 400) + sheet(2420, 394);
    assert_eq!(bill.left, Money::from_minor(left));
    assert_eq!(cost(&batch, &plan), 2 * 500 + 4000);
}

#[test]
fn nothing_cut_is_nothing_bought_and_no_yield() {
    let batch = refused::batch().check().unwrap();
    let bill = bill(&batch, &Plan::default(), 1000);
    assert_eq!((bill.buy.len(), bill.take.len(), bill.total), (0, 0, Some(Money::ZERO)));
    let tally = Tally::of(&batch, &Plan::default());
    assert_eq!(tally.groups[0].yield_fraction(), None);
}

#[test]
fn spare_boards_are_no_more_than_there_are() {
    let mut batch = refused::batch();
    batch.stock[0].qty = Some(3);
    let batch = batch.check().unwrap();
    let spare = |percent: u32| {
        bill(&batch, &refused::plan(), percent * 10).buy.iter().map(|line| line.spare).collect::<Vec<_>>()
    };
    assert_eq!(spare(0), [0, 0, 0]);
    assert_eq!(spare(1), [1, 1, 0]);
    assert_eq!(spare(200), [1, 1, 0]);
}

#[test]
fn each_job_owes_its_share_of_each_board() {
    let (batch, plan) = rack();
    let shares = shares(&batch, &plan, 0);
    let found: Vec<_> = shares
        .iter()
        .map(|share| (share.job.as_str(), share.cost, share.taken.minor(), share.pieces))
        .collect();
    // The first board is all shelves. On the second a shelf of 800 x 89 lies beside a rail of 1000 x 60, so 5.00 go
    // as 2.71 and 2.29. Of the sheet, 1.12 of 1.42 square metres are sides: 31.55 of 40.00.
    assert_eq!(found, [("north", 500 + 271 + 3155, 0, 7), ("", 229 + 845, 300, 7)]);
    assert!(shares.iter().all(|share| share.paid.is_zero()));
    // Where all stock is what an earlier plan left, nothing comes from the rack.
    let carried = nest_core::cost::shares(&batch, &plan, batch.stock().len());
    assert_eq!(
        carried.iter().map(|share| (share.taken.minor(), share.paid.minor())).collect::<Vec<_>>(),
        [(0, 0), (0, 300)]
    );
}

/// With a weight for every job on every board this would take minutes.
#[test]
fn many_jobs_do_not_keep_anybody_waiting() {
    let count = 60_000;
    let [length, width] = [Length::mm(800), Length::mm(89)];
    let mut batch = refused::batch();
    let shelf = Part { qty: 1, ..batch.parts[0].clone() };
    batch.parts = (0..count).map(|number| Part { job: format!("job {number}"), ..shelf.clone() }).collect();
    let batch = batch.check().unwrap();
    let layout = |part: usize| {
        let root = Node { size: [length, width], kind: Kind::Piece { part, turned: false } };
        Layout::new(0, 1, root, Setup { kerf: Length::mm(3), ..Setup::default() })
    };
    let plan = Plan { layouts: (0..count).map(layout).collect(), ..Plan::default() };
    let shares = shares(&batch, &plan, 0);
    assert!(shares.len() == count && shares.iter().all(|share| share.cost == 500 && share.pieces == 1));
}

#[test]
fn leftovers_are_kept_by_the_limits_of_the_shop() {
    let batch = refused::batch().check().unwrap();
    let shop = &batch.batch().shop;
    let [long, _, sheet] = batch.stock() else { panic!("three kinds of stock") };
    let keeps = |stock, along, across| {
        let size = [Length::mm(along), Length::mm(across)];
        let kept = worth_keeping(shop, stock, size);
        assert_eq!(leftover(shop, stock, size).kind == Kind::Offcut, kept);
        kept
    };
    assert!(keeps(long, 600, 89) && !keeps(long, 599, 89));
    assert!(keeps(long, 600, 45) && !keeps(long, 2380, 44));
    assert!(keeps(sheet, 600, 300) && keeps(sheet, 300, 600));
    assert!(!keeps(sheet, 599, 599) && !keeps(sheet, 2420, 299));
}

#[test]
fn one_long_leftover_beats_two_short_ones() {
    let batch = refused::batch().check().unwrap();
    for stock in batch.stock() {
        let value = |along| leftover_value(stock, [Length::mm(along), stock.usable()[1]]);
        assert!(value(1400) > value(700) + value(700));
    }
}

#[test]
fn the_score_by_hand() {
    let (batch, plan) = rack();
    let of = |plan: &Plan| Score::of(&batch, 0, plan.layouts.iter().filter(|layout| layout.stock < 2));
    let score = of(&plan);
    assert_eq!((score.unplaced_size, score.unplaced, score.cost, score.optional), (0, 0, 1000, 2));
    assert_eq!(score.rack_loss, 1800 * 1800 - 774 * 774 - 987 * 987);
    assert_eq!((score.depth, score.layouts), (1 + 2 + 3, 3));
    // The same shelves once more from the first layout, and the rail is not made.
    let mut partial = plan.clone();
    partial.layouts.remove(1);
    let partial = of(&partial);
    assert_eq!(partial.unplaced_size, i128::from(Length::mm(800 + 1000).ticks()));
    assert_eq!((partial.unplaced, partial.cost), (2, 500));
    assert!(score < partial, "everything made comes before the money");
}

#[test]
fn scores_compare_what_matters_first() {
    let zero = Score::default();
    let order = [
        Score { unplaced_size: 1, ..zero },
        Score { unplaced: 1, ..zero },
        Score { cost: 1, ..zero },
        Score { optional: 1, ..zero },
        Score { rack_loss: 1, ..zero },
        Score { depth: 1, ..zero },
        Score { layouts: 1, ..zero },
        Score { settings: 1, ..zero },
        Score { cuts: 1, ..zero },
    ];
    assert!(order.windows(2).all(|pair| pair[0] > pair[1]) && order[8] > zero);
}

proptest! {
    #[test]
    fn shares_add_up_and_are_less_than_one_off(
        amount in 0_i128..10_i128.pow(30),
        weights in vec(0_i128..10_i128.pow(25), 1..6),
    ) {
        let parts = split(amount, &weights);
        let total: i128 = weights.iter().sum();
        if total > 0 {
            prop_assert_eq!(parts.iter().sum::<i128>(), amount);
        }
        for (part, weight) in parts.iter().zip(&weights) {
            // |part - amount * weight / total| < 1, in numbers small enough to multiply out.
            if let (Some(exact), Some(part)) = (amount.checked_mul(*weight), part.checked_mul(total)) {
                prop_assert!(total == 0 || (exact - part).abs() < total);
            }
        }
    }

    #[test]
    fn a_job_owes_nothing_of_a_board_that_holds_none_of_it(jobs in vec(0_u8..5, 6)) {
        let mut batch = refused::batch();
        batch.parts.iter_mut().zip(&jobs).for_each(|(part, job)| part.job = format!("job {job}"));
        let (batch, plan) = (batch.check().unwrap(), refused::plan());
        let costs: Vec<i128> = shares(&batch, &plan, 0).iter().map(|share| share.cost).collect();
        prop_assert_eq!(costs, slow_shares(&batch, &plan));
    }

    #[test]
    fn shares_of_large_numbers_are_those_of_small_ones(amount in 0_i128..10_000, weights in vec(0_i128..1000, 1..6)) {
        let large: Vec<i128> = weights.iter().map(|weight| weight << 110).collect();
        prop_assert_eq!(split(amount, &large), split(amount, &weights));
    }
}
