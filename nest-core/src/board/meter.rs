//! How much work a search may do, and whether it must end now.

use crate::search::{Control, Stop};
use std::sync::atomic::{AtomicUsize, Ordering};

/// A budget of work with the caller's wishes behind it. Copies share the wishes, not the budget.
#[derive(Clone, Copy)]
pub(super) struct Meter<'a> {
    control: &'a Control<'a>,
    /// Work that may be done.
    left: u64,
    /// The number of this search among several that run side by side, and the least that has already met the floor:
    /// what a later one would find is not wanted any more.
    race: Option<(&'a AtomicUsize, usize)>,
}

impl<'a> Meter<'a> {
    pub fn new(control: &'a Control<'a>, budget: u64) -> Self {
        Self { control, left: budget, race: None }
    }

    /// The same after some work.
    pub fn after(self, work: u64) -> Self {
        Self { left: self.left.saturating_sub(work), ..self }
    }

    /// The same with no more than so much work in all.
    pub fn at_most(self, work: u64) -> Self {
        Self { left: self.left.min(work), ..self }
    }

    /// The same for one of several searches that run side by side.
    pub fn racing(self, first: &'a AtomicUsize, number: usize) -> Self {
        Self { race: Some((first, number)), ..self }
    }

    /// Says that this search has met the floor.
    pub fn won(&self) {
        if let Some((first, number)) = self.race {
            first.fetch_min(number, Ordering::Relaxed);
        }
    }

    /// Why the search must end after so much work, if it must.
    pub fn over(&self, work: u64) -> Option<Stop> {
        if self.race.is_some_and(|(first, number)| first.load(Ordering::Relaxed) < number) {
            return Some(Stop::Finished);
        }
        self.control.must_stop().or((work >= self.left).then_some(Stop::Budget))
    }
}
