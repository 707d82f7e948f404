//! The question of a plan that carries another on is compared with the lists of the whole job: one more or less of anything
//! than the account explains is found.

use super::build::Boards;
use super::build_sheets::Sheets;
use super::carried_on::{Planned, boards, cut, draws, sheets};
use nest_core::model::{Batch, Fit, Part, Stock, Trim};
use nest_core::rest::{Done, How, Of, Rest, Unlike};
use nest_core::units::Length;
use proptest::prelude::*;

/// What differs, each with the counts that are told.
fn unlike(job: &Batch, rest: &Rest) -> Vec<(Of, [u64; 3])> {
    let parts = rest.before.unlike_parts(&job.parts, &rest.batch.parts);
    let all = parts.into_iter().chain(rest.before.unlike_stock(job, &rest.batch));
    all.map(|Unlike { of, listed, before, asked }| (of, [listed, before, asked])).collect()
}

/// Four parts `p0` of 400 and two `p1` of 150, from three boards in stock.
fn shelves() -> Planned {
    let mut boards = Boards::new().kerf(3000).stock(1_000_000, 5).parts(&[(400_000, 4), (150_000, 2)]);
    boards.batch.stock[0].qty = Some(3);
    Planned::of(&boards.batch)
}

#[test]
fn one_more_or_less_of_a_part_is_found() {
    let planned = shelves();
    let rest = planned.rest(&[Done { copies: Some(1), ..cut(0) }]);
    assert_eq!(unlike(&planned.job, &rest), []);
    for (qty, made) in [(1, 2), (3, 2), (5, 2), (2, 1), (2, 3)] {
        let mut rest = rest.clone();
        rest.batch.parts[0].qty = qty;
        rest.before.made[0].part.qty = made;
        let found = unlike(&planned.job, &rest);
        assert_eq!(found, [(Of::Part(vec![0]), [4, made.into(), qty.into()])]);
    }
    // What is called otherwise is no such part, and a job may be.
    let mut other = rest.clone();
    other.before.made[0].part.name = "p2".to_owned();
    assert_eq!(unlike(&planned.job, &other), [(Of::Part(vec![0]), [4, 0, 2]), (Of::Made(0), [0, 2, 0])]);
    let mut job = planned.job.clone();
    job.parts[0].job = "hall".to_owned();
    assert_eq!(unlike(&job, &rest), []);
}

#[test]
fn what_has_to_be_made_is_not_made_optional() {
    let mut planned = shelves();
    let spare = Part { optional: true, ..planned.job.parts[0].clone() };
    planned.job.parts.push(spare);
    let mut rest = planned.rest(&planned.all());
    assert_eq!(rest.batch.parts.iter().map(|part| part.qty).collect::<Vec<_>>(), [0, 0, 4]);
    // As much of both as before, but less of what must be.
    rest.batch.parts[2].qty = 5;
    planned.job.parts[0].qty = 5;
    assert_eq!(unlike(&planned.job, &rest), [(Of::Part(vec![0, 2]), [9, 4, 5])]);
}

#[test]
fn a_blank_explains_only_what_it_holds() {
    let mut planned = shelves();
    planned.job.parts[0].fit = Fit::Over(Length::mm(6));
    planned = Planned::of(&planned.job);
    let mut job = planned.job.clone();
    job.parts[0].length = Length::mm(404);
    let rest = planned.rest_of(&job, &planned.all());
    assert_eq!(rest.batch.parts[0].qty, 0, "blanks of 406 hold 404");
    for (length, found) in [(404, false), (406, false), (407, true)] {
        let mut rest = rest.clone();
        rest.batch.parts[0].length = Length::mm(length);
        assert_eq!(!unlike(&job, &rest).is_empty(), found, "{length}");
    }
    // Three blanks are not four.
    let mut less = rest.clone();
    less.before.made[0].part.qty = 3;
    assert!(!unlike(&job, &less).is_empty());
}

#[test]
fn a_strip_is_made_as_a_whole_or_not_at_all() {
    let mut sheets = Sheets::new().sheet([1000, 500], 5).parts(&[(200, 300, 1), (150, 300, 2)]);
    for part in &mut sheets.batch.parts {
        (part.match_word, part.oversize) = (Some("m".to_owned()), Length::mm(6));
    }
    let planned = Planned::of(&sheets.batch);
    let rest = planned.rest(&planned.all());
    assert_eq!(rest.batch.parts.iter().map(|part| part.qty).collect::<Vec<_>>(), [0, 0]);
    // Each piece that is not asked for was made, but one waits alone.
    for row in 0..2 {
        let mut rest = rest.clone();
        rest.batch.parts[row].qty = 1;
        rest.before.made[row].part.qty -= 1;
        assert_eq!(unlike(&planned.job, &rest), [(Of::Strip(vec![0, 1]), [3, 2, 1])]);
        // What is wrong with a piece of it is told once.
        rest.before.made[row].part.qty += 1;
        assert!(matches!(unlike(&planned.job, &rest)[..], [(Of::Part(_), _)]));
    }
    // A blank would hold it, but the grain of the others does not run on into what is cut smaller.
    let mut other = rest.clone();
    other.batch.parts[0].length = Length::mm(203);
    assert_eq!(unlike(&planned.job, &other), [(Of::Part(vec![0]), [1, 0, 0]), (Of::Made(0), [0, 1, 0])]);
    // One piece alone is no strip.
    for part in [&mut other.batch.parts[1], &mut other.before.made[1].part] {
        part.match_word = None;
    }
    assert_eq!(unlike(&planned.job, &other), []);
}

#[test]
fn stock_that_is_gone_is_not_counted_on() {
    let planned = shelves();
    let spoiled = Done { layout: 0, copies: Some(1), how: How::Spoiled };
    let rest = planned.rest(&[spoiled]);
    assert_eq!(rest.batch.stock[0].qty, Some(0), "three are bought: one to spare");
    for (qty, gone) in [(1, 3), (4, 3), (0, 2)] {
        let mut rest = rest.clone();
        rest.batch.stock[0].qty = Some(qty);
        rest.before.gone[0].qty = Some(gone);
        assert_eq!(unlike(&planned.job, &rest), [(Of::Stock(vec![0]), [3, gone.into(), qty.into()])]);
    }
    // More than there is can be gone of a list that is shorter now.
    let mut job = planned.job.clone();
    job.stock[0].qty = Some(1);
    assert_eq!(unlike(&job, &rest), []);
}

#[test]
fn what_is_gone_is_gone_of_the_row_that_agrees() {
    let planned = shelves();
    let mut job = planned.job.clone();
    job.stock.push(Stock { trim: Some(Trim::All(Length::mm(5))), ..job.stock[0].clone() });
    let mut rest = planned.rest_of(&job, &planned.all());
    assert_eq!([rest.batch.stock[0].qty, rest.batch.stock[1].qty], [Some(0), Some(3)]);
    // Taken off the other row: as much in all, but of the first row more than there is.
    (rest.batch.stock[0].qty, rest.batch.stock[1].qty) = (Some(3), Some(0));
    let both = [(Of::Stock(vec![0]), [3, 3, 3]), (Of::Stock(vec![1]), [3, 0, 0])];
    assert_eq!(unlike(&job, &rest), both);
    // One more of the other row: what is gone of the first is not told beside it.
    (rest.batch.stock[0].qty, rest.batch.stock[1].qty) = (Some(0), Some(2));
    assert_eq!(unlike(&job, &rest), [(Of::Stock(vec![1]), [3, 0, 2])]);
    // Gone of one with edges that neither row has: which of them gave it is open.
    rest.before.gone[0].trim = Some(Trim::All(Length::mm(9)));
    assert_eq!(unlike(&job, &rest), [(Of::Stock(vec![0, 1]), [6, 3, 2])]);
    // A list that has the other row alone lost it to a mistake about its edges.
    job.stock.remove(0);
    job.stock[0].qty = Some(2);
    let rest = planned.rest_of(&job, &planned.all());
    assert_eq!(rest.batch.stock[0].qty, Some(0));
}

/// One more or one less of each row.
fn off(job: &Batch, rest: &Rest) {
    let change = |qty: u32, by: i64| u32::try_from(i64::from(qty) + by).ok();
    for by in [1, -1] {
        for row in 0..job.parts.len() {
            let mut rest = rest.clone();
            let Some(qty) = change(rest.batch.parts[row].qty, by) else { continue };
            rest.batch.parts[row].qty = qty;
            assert!(!unlike(job, &rest).is_empty(), "{by} of part {row}");
        }
        for row in 0..job.stock.len() {
            let mut rest = rest.clone();
            let Some(qty) = rest.batch.stock[row].qty.and_then(|qty| change(qty, by)) else { continue };
            rest.batch.stock[row].qty = Some(qty);
            assert!(!unlike(job, &rest).is_empty(), "{by} of stock {row}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]

    #[test]
    fn one_more_or_less_of_anything_is_found(
        job in prop_oneof![boards(), sheets()],
        first in draws(),
        then in draws(),
    ) {
        let planned = Planned::of(&job);
        let rest = planned.rest(&planned.some(&first));
        off(&job, &rest);
        let planned = Planned::after(&job, rest);
        off(&job, &planned.rest(&planned.some(&then)));
    }
}
