//! A search that is told to stop.

use super::{drawn, judged, part, sheet, shop};
use crate::model::{Batch, CheckedBatch, PartGrain, Stages};
use crate::plan::Plan;
use crate::search::{Answer, Control, Effort, Observer, Options, Silent, Stop};
use crate::sheet::problem::Problem;
use crate::sheet::{Budget, Step, search, steps::steps};
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicU32, Ordering};

/// Asks for the end once it was polled so often.
struct Impatient {
    polls: AtomicU32,
    most: u32,
}

impl Observer for Impatient {
    fn poll(&self) -> ControlFlow<()> {
        if self.polls.fetch_add(1, Ordering::Relaxed) < self.most {
            ControlFlow::Continue(())
        } else {
            ControlFlow::Break(())
        }
    }
}

fn interrupted(batch: &CheckedBatch, most: u32, options: &Options) -> Answer {
    let observer = Impatient { polls: AtomicU32::new(0), most };
    search(
        batch,
        0,
        &Control::new(options, &observer),
        Budget { gaps: 100_000, cells: 100_000, sets: 100_000, polish: 10_000, deep: false },
    )
}

#[test]
fn told_to_stop_at_any_moment_the_plan_is_sound_and_says_so() {
    let mut whole = 0;
    for seed in 0..60 {
        let batch = drawn(seed);
        for most in [0, 1, 3, 10, 30] {
            let answer = interrupted(&batch, most, &Options::default());
            let stop = answer.stop;
            let (_, cost, floor, complete) = judged(&batch, answer);
            assert!(stop == Some(Stop::Interrupted) || complete && cost == floor, "{seed}, {most}: {stop:?}");
            whole += u32::from(complete);
        }
    }
    // Few items are placed in haste, wherever stock and saws allow it.
    assert!(whole > 200, "{whole} of 300");
}

#[test]
fn a_long_list_stops_within_a_piece_or_is_made_whole_in_haste() {
    // More sizes than can be looked at, many of each, so that one kind of filling is for orders as this; and of one each.
    for (sizes, qty) in [(1500, 20), (4000, 1)] {
        let parts = (0..sizes).map(|i| {
            let size = [100 + (i * 7919) % 701, 50 + (i * 104_729) % 409];
            part(&format!("p{i}"), size, qty, PartGrain::Length)
        });
        let batch = Batch {
            parts: parts.collect(),
            stock: vec![sheet("s", [2440, 1220], 10)],
            shop: shop(3, Stages::Limited(3)),
        };
        let batch = batch.check().unwrap();
        let asked = usize::try_from(sizes).unwrap() * qty as usize;
        let made =
            |plan: &Plan| asked - plan.unplaced.iter().map(|&(_, count)| count as usize).sum::<usize>();
        let answer = interrupted(&batch, 700, &Options::default());
        assert_eq!(answer.stop, Some(Stop::Interrupted));
        let (plan, ..) = judged(&batch, answer);
        // Copies of what was on the sheets then may be more than there were questions.
        let placed: usize = plan.layouts.iter().map(|layout| layout.pieces.len()).sum();
        assert!((1..=700).contains(&placed), "{placed}");
        assert!(made(&plan) < asked);
        let limit = Some(std::time::Duration::ZERO);
        let answer = interrupted(&batch, u32::MAX, &Options { time_limit: limit, ..Options::default() });
        assert_eq!(answer.stop, Some(Stop::Time));
        let (plan, _, _, complete) = judged(&batch, answer);
        assert!(complete);
        assert_eq!(made(&plan), asked);
    }
}

#[test]
fn columns_are_not_generated_for_more_rows_than_the_master_can_hold() {
    let relaxes = |sizes: i64| {
        let parts = (0..sizes).map(|i| part(&format!("p{i}"), [100 + i, 50], 5, PartGrain::Length));
        let batch = Batch {
            parts: parts.collect(),
            stock: vec![sheet("s", [9000, 1220], 10), sheet("t", [9000, 2070], 15)],
            shop: shop(3, Stages::Limited(3)),
        };
        let problem = Problem::new(&batch.check().unwrap(), 0);
        [true, false].map(|recurs| {
            let steps = steps(&problem, Budget::of(Effort::Deep, 100), 100, recurs);
            steps.iter().any(|step| matches!(step, Step::Relax(..) | Step::Open(..)))
        })
    };
    assert_eq!(relaxes(1000), [true, true]);
    assert_eq!(relaxes(1001), [false, false]);
}

/// With so many rows a dive to its end takes many times what the relaxation may.
#[test]
fn dives_of_the_relaxation_do_no_more_than_they_may() {
    let parts = (0..150).map(|i| {
        let size = [150 + (i * 7919) % 1051, 80 + (i * 104_729) % 521];
        part("part", size, 2, PartGrain::Length)
    });
    let (parts, stock) = (parts.collect(), vec![sheet("sheet", [2440, 1220], 50)]);
    let batch = Batch { parts, stock, shop: shop(3, Stages::Limited(2)) }.check().unwrap();
    let budget = Budget::of(Effort::Normal, 300);
    let answer = search(&batch, 0, &Control::new(&Options::default(), &Silent), budget);
    assert!(answer.work < 800_000_000, "{}", answer.work);
    judged(&batch, answer);
}
