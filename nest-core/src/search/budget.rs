//! How much a search may work and when it must stop. The only place that reads the clock.
//!
//! Budgets count work, not seconds, so that the same input gives the same plan on any machine. A time limit and a
//! caller's wish to stop may end a search early; then [`Stop`] says so.

use std::num::NonZeroUsize;
use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// How hard to look.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "lowercase"))]
pub enum Effort {
    /// Greedy alone.
    None,
    /// A tenth of normal.
    Quick,
    /// A few seconds at the most for a hard material, a blink for an ordinary one.
    #[default]
    Normal,
    /// As long as anything may still be gained.
    Deep,
}

/// How to solve.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Options {
    /// How hard to look. Default: normal.
    pub effort: Effort,
    /// Stop after this long with the best plan so far. Default: no limit.
    pub time_limit: Option<Duration>,
    /// Seed of everything drawn at random. Default: 0.
    pub seed: u64,
    /// Threads to use; the plan does not depend on it. Default: one for each core; at most 256 are started.
    pub threads: Option<NonZeroUsize>,
}

impl Default for Options {
    fn default() -> Self {
        Self { effort: Effort::Normal, time_limit: None, seed: 0, threads: None }
    }
}

/// What a search reports while it runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Event {
    /// Work on a group begins (index of the group); twice where each of several groups has a normal search before its deep one.
    Group(usize),
    /// A group's best plan costs this, in the batch's measure.
    Cost(usize, i128),
    /// A group cannot cost less than this.
    Floor(usize, i128),
    /// A group is done.
    Done(usize),
}

/// Whoever watches a search. Called from several threads, while they work: whatever takes long goes elsewhere.
///
/// ```
/// use nest_core::search::{Event, Observer};
/// use std::ops::ControlFlow;
/// use std::sync::atomic::{AtomicBool, Ordering};
/// use std::sync::mpsc::Sender;
///
/// /// Passes everything on to another thread, which may set `cancelled`.
/// struct Watch {
///     events: Sender<Event>,
///     cancelled: AtomicBool,
/// }
///
/// impl Observer for Watch {
///     fn event(&self, event: Event) {
///         // Nobody listens any more: that is no reason to stop.
///         let _ = self.events.send(event);
///     }
///
///     fn poll(&self) -> ControlFlow<()> {
///         if self.cancelled.load(Ordering::Relaxed) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
///     }
/// }
///
/// # use nest_core::model::{Batch, Part, Stock};
/// # use nest_core::search::{Options, Stop};
/// # use nest_core::units::Length;
/// # let (name, material) = ("a".to_string(), "oak".to_string());
/// # let stock = Stock { name: name.clone(), material: material.clone(), length: Length::mm(2400), ..Stock::default() };
/// # let parts = (0..40).map(|n| Part {
/// #     name: name.clone(), material: material.clone(), length: Length::mm(301 + 17 * n), ..Part::default()
/// # });
/// # let batch = Batch { parts: parts.collect(), stock: vec![stock], ..Batch::default() }.check().unwrap();
/// let (events, listener) = std::sync::mpsc::channel();
/// let watch = Watch { events, cancelled: AtomicBool::new(false) };
/// let solution = std::thread::scope(|scope| {
///     let search = scope.spawn(|| nest_core::solve(&batch, &Options::default(), &watch));
///     watch.cancelled.store(true, Ordering::Relaxed);
///     search.join().unwrap()
/// })?;
/// // A cancelled search has a plan all the same, unless it was done before.
/// assert!([Stop::Interrupted, Stop::Finished, Stop::Budget].contains(&solution.stop));
/// assert!(listener.try_iter().any(|event| event == Event::Done(0)));
/// # Ok::<(), nest_core::Error>(())
/// ```
pub trait Observer: Sync {
    /// Something happened.
    fn event(&self, event: Event) {
        let _ = event;
    }

    /// Asked often; `Break`, said once, ends the search of all groups with the best plan so far.
    fn poll(&self) -> ControlFlow<()> {
        ControlFlow::Continue(())
    }
}

/// Watches nothing, never interrupts.
#[derive(Clone, Copy, Debug, Default)]
pub struct Silent;

impl Observer for Silent {}

/// Why a search ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "lowercase"))]
pub enum Stop {
    /// Nothing was left to do: proven, or everything tried.
    Finished,
    /// The work budget of the effort was used up.
    Budget,
    /// The time limit struck.
    Time,
    /// The observer asked for it.
    Interrupted,
}

/// What a running search asks whether it may go on.
pub struct Control<'a> {
    observer: &'a dyn Observer,
    deadline: Option<Instant>,
    effort: Effort,
    seed: u64,
    timed_out: AtomicBool,
    /// Common to all shares: who interrupts one search wants none of the others.
    interrupted: Arc<AtomicBool>,
}

impl<'a> Control<'a> {
    /// Starts the clock.
    pub fn new(options: &Options, observer: &'a dyn Observer) -> Self {
        #[expect(clippy::disallowed_methods, reason = "this is the one file that reads the clock")]
        let deadline = options.time_limit.and_then(|limit| Instant::now().checked_add(limit));
        Self {
            observer,
            deadline,
            effort: options.effort,
            seed: options.seed,
            timed_out: AtomicBool::new(false),
            interrupted: Arc::default(),
        }
    }

    /// For one of so many searches that are still to begin, so many of them side by side: its fair part of the time that
    /// is left.
    pub fn share(&self, effort: Effort, searches: usize, side_by_side: usize) -> Self {
        let parts = u32::try_from(searches.div_ceil(side_by_side.max(1))).unwrap_or(u32::MAX).max(1);
        #[expect(clippy::disallowed_methods, reason = "this is the one file that reads the clock")]
        let now = Instant::now();
        let deadline = self.deadline.map(|end| now + end.saturating_duration_since(now) / parts);
        let interrupted = Arc::clone(&self.interrupted);
        Self { deadline, effort, timed_out: AtomicBool::new(false), interrupted, ..*self }
    }

    /// How hard to look.
    pub fn effort(&self) -> Effort {
        self.effort
    }

    /// Seed of everything drawn at random.
    pub fn seed(&self) -> u64 {
        self.seed
    }

    /// Passes an event on.
    pub fn tell(&self, event: Event) {
        self.observer.event(event);
    }

    /// Whether the search must end now, and if so why. Cheap enough to ask every few microseconds of work.
    pub fn must_stop(&self) -> Option<Stop> {
        if self.timed_out.load(Ordering::Relaxed) {
            return Some(Stop::Time);
        }
        if self.interrupted.load(Ordering::Relaxed) || self.observer.poll().is_break() {
            self.interrupted.store(true, Ordering::Relaxed);
            return Some(Stop::Interrupted);
        }
        #[expect(clippy::disallowed_methods, reason = "this is the one file that reads the clock")]
        if self.deadline.is_some_and(|end| Instant::now() >= end) {
            self.timed_out.store(true, Ordering::Relaxed);
            return Some(Stop::Time);
        }
        None
    }
}
