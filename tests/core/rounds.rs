//! Several materials in one search: none waits for another without a good plan.

use super::build_sheets::Sheets;
use nest_core::model::{Batch, Part, Stock};
use nest_core::plan::Layout;
use nest_core::search::{Effort, Event, Observer, Options, Silent, Stop};
use std::num::NonZeroUsize;
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicUsize, Ordering};

const SIZES: [(i64, i64, u32); 8] = [
    (517, 333, 4),
    (409, 287, 5),
    (361, 359, 3),
    (293, 251, 6),
    (277, 229, 7),
    (211, 193, 8),
    (181, 157, 9),
    (149, 131, 9),
];

/// Two materials whose area promises a sheet less than there seems to be a plan for, and one where the first filling takes
/// a sheet too many.
fn materials() -> Batch {
    let hard = Sheets::new().sheet([1000, 1136], 10).parts(&SIZES).batch;
    let twice = SIZES.map(|(length, width, qty)| (length, width, 2 * qty));
    let easy = Sheets::new().sheet([1000, 964], 10).parts(&twice).batch;
    let mut all = Batch { stock: Vec::new(), parts: Vec::new(), ..hard.clone() };
    for (material, one) in [("a", &hard), ("b", &hard), ("c", &easy)] {
        let name = |name: &str| format!("{name} of {material}");
        let stock = one.stock.iter().map(|stock| Stock {
            name: name(&stock.name),
            material: material.to_owned(),
            ..stock.clone()
        });
        let parts = one.parts.iter().map(|part| Part {
            name: name(&part.name),
            material: material.to_owned(),
            ..part.clone()
        });
        all.stock.extend(stock);
        all.parts.extend(parts);
    }
    all
}

/// Interrupts as soon as a group begins anew, or after a very long time.
struct Leaves {
    groups: usize,
    begun: AtomicUsize,
    polls: AtomicUsize,
}

impl Observer for Leaves {
    fn event(&self, event: Event) {
        if matches!(event, Event::Group(_)) {
            self.begun.fetch_add(1, Ordering::Relaxed);
        }
    }

    fn poll(&self) -> ControlFlow<()> {
        let late = self.polls.fetch_add(1, Ordering::Relaxed) > 200_000;
        if late || self.begun.load(Ordering::Relaxed) > self.groups {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }
}

#[test]
fn every_material_has_a_normal_search_before_any_has_a_deep_one() {
    let batch = materials().check().unwrap();
    let costs = |effort: Effort, observer: &dyn Observer| -> Vec<i128> {
        let options = Options { effort, threads: NonZeroUsize::new(1), ..Options::default() };
        let solution = nest_core::solve(&batch, &options, observer).unwrap();
        solution.groups.iter().map(|group| group.cost).collect()
    };
    let (first, normal) = (costs(Effort::None, &Silent), costs(Effort::Normal, &Silent));
    assert!(normal[2] < first[2], "a first filling is as good: {normal:?} {first:?}");
    let leaves = Leaves { groups: 3, begun: AtomicUsize::new(0), polls: AtomicUsize::new(0) };
    assert_eq!(costs(Effort::Deep, &leaves), normal);
    assert!(leaves.begun.load(Ordering::Relaxed) > 3, "nothing is left for a deep search");
}

/// Interrupts at a poll, and counts what it hears.
struct Counts {
    last: usize,
    polls: AtomicUsize,
    begun: AtomicUsize,
    done: AtomicUsize,
    /// Polls until a group began anew.
    between: AtomicUsize,
}

impl Observer for Counts {
    fn event(&self, event: Event) {
        match event {
            Event::Group(_) if self.begun.fetch_add(1, Ordering::Relaxed) == 3 => {
                self.between.store(self.polls.load(Ordering::Relaxed), Ordering::Relaxed);
            }
            Event::Done(_) => drop(self.done.fetch_add(1, Ordering::Relaxed)),
            _ => {}
        }
    }

    fn poll(&self) -> ControlFlow<()> {
        let late = self.polls.fetch_add(1, Ordering::Relaxed) + 1 >= self.last;
        if late || self.begun.load(Ordering::Relaxed) > 3 {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }
}

#[test]
fn stopped_between_two_rounds_every_material_is_done_all_the_same() {
    let batch = materials().check().unwrap();
    let run = |last: usize| {
        let counts = || AtomicUsize::new(0);
        let observer = Counts { last, polls: counts(), begun: counts(), done: counts(), between: counts() };
        let options = Options { effort: Effort::Deep, threads: NonZeroUsize::new(1), ..Options::default() };
        let stop = nest_core::solve(&batch, &options, &observer).unwrap().stop;
        (stop, observer.begun.into_inner(), observer.done.into_inner(), observer.between.into_inner())
    };
    let (_, _, done, between) = run(usize::MAX);
    assert!(done == 3 && between > 0);
    assert_eq!(run(between), (Stop::Interrupted, 3, 3, 0));
}

/// Asks for an end once, and never again.
struct Once(AtomicUsize);

impl Observer for Once {
    fn poll(&self) -> ControlFlow<()> {
        if self.0.fetch_add(1, Ordering::Relaxed) == 0 {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }
}

#[test]
fn who_asks_once_for_an_end_is_heard_by_every_material() {
    let batch = materials().check().unwrap();
    for effort in [Effort::Normal, Effort::Deep] {
        let options = Options { effort, threads: NonZeroUsize::new(1), ..Options::default() };
        let solution = nest_core::solve(&batch, &options, &Once(AtomicUsize::new(0))).unwrap();
        assert_eq!(solution.groups[2].stop, Stop::Interrupted, "{effort:?}");
    }
}

/// Without a search the budget is used up at once: that is not to have tried everything.
#[test]
fn a_plan_without_a_search_is_not_called_finished() {
    let batch = materials().check().unwrap();
    let options = Options { effort: Effort::None, ..Options::default() };
    let solution = nest_core::solve(&batch, &options, &Silent).unwrap();
    for group in solution.groups {
        let proven = group.cost == group.floor;
        assert_eq!(group.stop, if proven { Stop::Finished } else { Stop::Budget });
    }
}

/// Layouts that are known serve the groups whose own are sound.
#[test]
fn known_layouts_are_judged_group_by_group() {
    let batch = materials().check().unwrap();
    let options = |effort| Options { effort, threads: NonZeroUsize::new(1), ..Options::default() };
    let costs = |known: &[Layout]| -> Vec<i128> {
        let solution = nest_core::solve_from(&batch, known, &options(Effort::None), &Silent).unwrap();
        solution.groups.iter().map(|group| group.cost).collect()
    };
    let normal = nest_core::solve(&batch, &options(Effort::Normal), &Silent).unwrap();
    let mut known = normal.plan.layouts;
    let (first, best) = (costs(&[]), costs(&known));
    assert!(best[2] < first[2]);
    assert_eq!(best[2], normal.groups[2].cost);
    for (wrong, expected) in [("a", best[2]), ("c", first[2])] {
        let name = format!("s0 of {wrong}");
        let place = known.iter().position(|layout| batch.batch().stock[layout.stock].name == name).unwrap();
        known[place].copies += 1;
        assert_eq!(costs(&known)[2], expected, "{wrong}");
        known[place].copies -= 1;
    }
}
