//! The live line while a search runs: best cost, floor and gap, on a terminal and only after half a second.
//!
//! It is written to standard error, over and over in the same place, at most ten times a second, and is gone when
//! the search ends. Several threads report; a lock keeps their lines whole. Nothing of it reaches any output.

use crate::report::words::Words;
use nest_core::search::{Event, Observer};
use std::io::Write;
use std::ops::ControlFlow;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::time::{Duration, Instant};

/// Nothing is shown before.
const QUIET: Duration = Duration::from_millis(500);
/// Between two lines.
const PAUSE: Duration = Duration::from_millis(100);
/// Polls between two looks at the clock: a poll is asked every few microseconds.
const POLLS: u32 = 4096;

/// Watches a search for a person.
pub struct Progress<'a> {
    interrupted: &'a AtomicBool,
    polls: AtomicU32,
    screen: Option<Mutex<Screen<'a>>>,
}

struct Screen<'a> {
    out: &'a mut (dyn Write + Send),
    words: Words,
    columns: usize,
    groups: Vec<Known>,
    done: usize,
    next: Instant,
    shown: bool,
}

/// What is known about one group.
#[derive(Clone, Copy, Default)]
struct Known {
    cost: Option<i128>,
    floor: i128,
}

impl<'a> Progress<'a> {
    /// Shows nothing; ends the search when `interrupted` is set.
    pub fn silent(interrupted: &'a AtomicBool) -> Self {
        Self { interrupted, polls: AtomicU32::new(0), screen: None }
    }

    /// Shows a line on a terminal of so many columns while that many groups are solved; ends the search when
    /// `interrupted` is set.
    pub fn live(
        interrupted: &'a AtomicBool,
        out: &'a mut (dyn Write + Send),
        words: Words,
        columns: u16,
        groups: usize,
    ) -> Self {
        let screen = Screen {
            out,
            words,
            columns: usize::from(columns.max(20)),
            groups: vec![Known::default(); groups],
            done: 0,
            next: now() + QUIET,
            shown: false,
        };
        Self { interrupted, polls: AtomicU32::new(0), screen: Some(Mutex::new(screen)) }
    }

    /// Takes the line off the terminal.
    pub fn clear(self) {
        if let Some(mut screen) = self.screen.and_then(|screen| screen.into_inner().ok()) {
            screen.clear();
        }
    }

    fn with(&self, act: impl FnOnce(&mut Screen<'a>)) {
        // Without the line where a thread fell over that held the lock: the search goes on.
        if let Some(Ok(mut screen)) = self.screen.as_ref().map(Mutex::lock) {
            act(&mut screen);
        }
    }
}

impl Observer for Progress<'_> {
    fn event(&self, event: Event) {
        self.with(|screen| {
            screen.note(event);
            screen.show();
        });
    }

    fn poll(&self) -> ControlFlow<()> {
        if self.interrupted.load(Ordering::Relaxed) {
            return ControlFlow::Break(());
        }
        if self.screen.is_some() && self.polls.fetch_add(1, Ordering::Relaxed) % POLLS == POLLS - 1 {
            self.with(Screen::show);
        }
        ControlFlow::Continue(())
    }
}

impl Screen<'_> {
    fn note(&mut self, event: Event) {
        match event {
            Event::Cost(group, cost) => {
                if let Some(known) = self.groups.get_mut(group) {
                    known.cost = Some(known.cost.map_or(cost, |best| best.min(cost)));
                }
            }
            Event::Floor(group, floor) => {
                if let Some(known) = self.groups.get_mut(group) {
                    known.floor = known.floor.max(floor);
                }
            }
            Event::Done(_) => self.done += 1,
            _ => {}
        }
    }

    fn show(&mut self) {
        let time = now();
        if time < self.next {
            return;
        }
        self.next = time + PAUSE;
        let line: String = self.line().chars().take(self.columns - 1).collect();
        // A terminal that takes no more text is no reason to end a search.
        let _ = write!(self.out, "\r\x1b[K{line}").and_then(|()| self.out.flush());
        self.shown = true;
    }

    /// `2 of 3 materials   best $86.90   at least $84.00   gap 3.4 %`.
    fn line(&self) -> String {
        let mut parts = Vec::new();
        if self.groups.len() > 1 {
            parts.push(format!("{} of {} materials", self.done, self.groups.len()));
        }
        let floor = self.groups.iter().fold(0_i128, |sum, g| sum.saturating_add(g.floor));
        let cost = self.groups.iter().try_fold(0_i128, |sum, g| Some(sum.saturating_add(g.cost?)));
        match cost {
            Some(cost) => {
                parts.push(format!("best {}", self.words.cost(cost)));
                if floor > 0 {
                    parts.push(format!("at least {}", self.words.cost(floor)));
                    let tenths = cost.saturating_sub(floor).saturating_mul(1000) / floor;
                    parts.push(format!("gap {}.{} %", tenths / 10, tenths % 10));
                }
            }
            None => parts.push("looking for a first plan".into()),
        }
        parts.push("Ctrl-C keeps the best so far".into());
        parts.join("   ")
    }

    fn clear(&mut self) {
        if self.shown {
            let _ = write!(self.out, "\r\x1b[K").and_then(|()| self.out.flush());
        }
    }
}

fn now() -> Instant {
    #[expect(
        clippy::disallowed_methods,
        reason = "when to show a line; no decision and no output depends on it"
    )]
    Instant::now()
}

#[cfg(test)]
mod tests {
    use super::*;
    use nest_core::model::{Measure, Shop};

    fn words() -> Words {
        Words::of(&Shop { currency: "$".into(), ..Shop::default() }, Measure::Money)
    }

    fn screen(out: &mut Vec<u8>, groups: usize) -> Screen<'_> {
        let groups = vec![Known::default(); groups];
        Screen { out, words: words(), columns: 80, groups, done: 0, next: now(), shown: false }
    }

    #[test]
    fn the_line_tells_cost_floor_and_gap() {
        let mut out = Vec::new();
        let mut screen = screen(&mut out, 2);
        assert_eq!(
            screen.line(),
            "0 of 2 materials   looking for a first plan   Ctrl-C keeps the best so far"
        );
        for event in [
            Event::Cost(0, 9_000),
            Event::Cost(0, 8_690),
            Event::Floor(0, 8_000),
            Event::Done(0),
            Event::Cost(1, 1_000),
            Event::Floor(1, 1_000),
            Event::Cost(7, 1),
        ] {
            screen.note(event);
        }
        let line =
            "1 of 2 materials   best $96.90   at least $90.00   gap 7.6 %   Ctrl-C keeps the best so far";
        assert_eq!(screen.line(), line);
        assert!(line.len() > 80, "cut off at the edge of the terminal when shown");
        screen.show();
        screen.clear();
        let shown = String::from_utf8(out).unwrap();
        assert_eq!(shown, format!("\r\x1b[K{}\r\x1b[K", &line[..79]));
    }

    #[test]
    fn a_short_search_shows_nothing() {
        let interrupted = AtomicBool::new(false);
        let mut out = Vec::new();
        let progress = Progress::live(&interrupted, &mut out, words(), 80, 1);
        progress.event(Event::Cost(0, 1));
        assert!(progress.poll().is_continue());
        progress.clear();
        assert!(out.is_empty());
    }

    #[test]
    fn the_flag_ends_the_search() {
        let interrupted = AtomicBool::new(false);
        let progress = Progress::silent(&interrupted);
        assert!(progress.poll().is_continue());
        interrupted.store(true, Ordering::Relaxed);
        assert!(progress.poll().is_break());
    }
}
