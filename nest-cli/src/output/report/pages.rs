//! Which layout stands on which printed page, and how large.
//!
//! A layout stays on the page that is begun if what is left of it holds the layout in letters that are good to read;
//! two that share a page are drawn smaller than one that has a page for itself. The smallest letters are for a layout
//! that fills a page alone.
//!
//! A browser has the last word: the style sheet keeps a layout on one page wherever it comes. What stands before the
//! layouts is reckoned roughly here, and a wrong guess costs no more than room at the foot of a page.

use super::layout::{Arrangement, Draft, Layout};
use super::reckon::{lines, points};
use crate::papers::Paper;
use crate::report::{Report, Section, Stop};
use nest_core::units::Length;

/// Between two layouts.
const APART: i64 = 500;
/// Letters that are good to read, and such as are still read at the bench: tenths of a point.
const FINE: i64 = 90;
const SMALL: i64 = 80;
/// A last page with less than this on it is not worth its paper.
const THIN: i64 = 4_000;
/// Heights of what the style sheet makes: a heading of a section and one inside it, each with the space around it, a
/// row of a table, a box to tick in it, a line of text below a table.
const HEADING: i64 = 1_300;
const INNER: i64 = 910;
const ROW: i64 = 540;
const TICK: i64 = 130;
const BELOW: i64 = 700;
/// Tables of more rows go on overleaf, and so do settings, of which more than a few stand in two columns.
const KEPT_ROWS: usize = 8;
pub const KEPT_STOPS: usize = 20;
pub const IN_ONE_COLUMN: usize = 4;

/// How many of so many settings stand in a table. Two tables have a head each; of one that goes on overleaf in columns, which
/// are high then, the browser repeats it.
pub fn stops_in_a_table(count: usize) -> usize {
    if (IN_ONE_COLUMN + 1..=KEPT_STOPS).contains(&count) { count.div_ceil(2) } else { count.max(1) }
}

/// What a page has room for inside its margins, in 1/100 mm.
#[derive(Clone, Copy)]
pub struct PageRoom {
    pub wide: i64,
    pub high: i64,
}

impl PageRoom {
    /// A little less than the style sheet leaves between its margins.
    fn of(paper: Paper) -> Self {
        const HUNDREDTH: i64 = Length::TICKS_PER_MM / 100;
        let [wide, high] = paper.size().map(|side| side.ticks() / HUNDREDTH);
        Self { wide: wide - 2_400 - 100, high: high - 3_000 - 200 }
    }
}

/// Where the next thing is printed.
pub struct Pages {
    pub room: PageRoom,
    /// How much of the page is used.
    used: i64,
}

impl Pages {
    /// Behind what stands before the layouts.
    pub fn after_front(report: &Report) -> Self {
        let mut pages = Self { room: PageRoom::of(report.paper), used: 0 };
        pages.front(report);
        pages
    }

    /// Room for something that stays together.
    fn block(&mut self, high: i64) {
        if self.used + high > self.room.high {
            self.used = 0;
        }
        self.used = (self.used + high).min(self.room.high);
    }

    /// Room for a layout; nothing need follow the last one of a page.
    fn layout(&mut self, high: i64) {
        self.block(high);
        self.used = (self.used + APART).min(self.room.high);
    }

    /// Room for something that goes on overleaf.
    fn flow(&mut self, high: i64) {
        self.used = (self.used + high) % self.room.high;
    }

    fn table(&mut self, heading: i64, rows: usize, row: i64) {
        let high = heading + ROW + row * rows as i64;
        if rows > KEPT_ROWS { self.flow(high) } else { self.block(high) }
    }

    /// A text of the page's own size.
    fn text(&self, text: &str) -> i64 {
        let font = points(100);
        lines(&[(text, false)], font, self.room.wide) * font * 130 / 100 + 150
    }

    fn front(&mut self, report: &Report) {
        self.flow(1_000 + self.text(&report.jobs.join(", ")));
        let buying = &report.buying;
        self.table(HEADING, buying.lines.len(), ROW + TICK);
        self.flow(if buying.priced { BELOW } else { 0 });
        let tables = [
            (buying.rack.len(), ROW + TICK, 0),
            (buying.before.len(), ROW + TICK, BELOW),
            (buying.bands.len(), ROW, BELOW),
        ];
        for (rows, row, after) in tables {
            if rows > 0 {
                self.table(INNER, rows, row);
                self.flow(after);
            }
        }
        self.table(HEADING + 500, report.groups.len(), ROW);
        self.flow(BELOW);
        if !report.shares.is_empty() {
            self.table(INNER, report.shares.len(), ROW);
            self.flow(if report.carried_on { BELOW } else { 0 });
        }
        let settings: Vec<String> =
            report.settings.iter().map(|(name, value)| format!("{name} {value}")).collect();
        self.block(HEADING + self.text(&settings.join("; ")));
        if !report.warnings.is_empty() {
            let high = report.warnings.iter().map(|warning| self.text(warning)).sum::<i64>();
            self.flow(INNER + high);
        }
        if !report.missing.is_empty() {
            self.table(HEADING, report.missing.len(), ROW);
            self.flow(report.completing.iter().map(|sentence| self.text(sentence)).sum());
        }
        for (i, caution) in report.cautions.iter().enumerate() {
            let about: Vec<String> = caution.about.iter().map(|about| about.text()).collect();
            let words = format!("{}. {} In this plan: {}", caution.title, caution.text, about.join("; "));
            self.block(if i == 0 { HEADING } else { 0 } + self.text(&words));
        }
    }

    /// Room for the settings that recur.
    pub fn stops(&mut self, stops: &[&Stop]) {
        let count = stops.len();
        let rows = if count > IN_ONE_COLUMN { count.div_ceil(2) } else { count };
        let high = INNER + ROW + ROW * rows as i64;
        match count {
            0 => {}
            1..=KEPT_STOPS => self.block(high),
            _ => self.flow(high),
        }
    }

    /// The layouts of a material, the first one below its head.
    pub fn place(&mut self, section: &Section, note: &str, drafts: Vec<Draft<'_>>) -> Vec<Layout> {
        let lead = self.lead(section, note);
        let mut placed = Vec::new();
        let mut drafts = drafts.into_iter().peekable();
        while let Some(draft) = drafts.next() {
            let lead = if placed.is_empty() { lead } else { 0 };
            let (found, whole) = self.arrangement(&draft, drafts.peek(), lead);
            if whole {
                self.layout(lead + found.high);
            } else {
                self.flow(lead + found.high + APART);
            }
            placed.push(draft.drawn(found, whole));
        }
        placed
    }

    /// How a layout is printed, and whether on one page.
    fn arrangement(&self, draft: &Draft<'_>, next: Option<&Draft<'_>>, lead: i64) -> (Arrangement, bool) {
        let room = self.room;
        let within = |draft: &Draft<'_>, font: i64, high: i64| {
            draft.arrangements(room).take_while(|found| found.font >= font).find(|found| found.high <= high)
        };
        // On the page that is begun; before most of it stays empty, in letters that are a little smaller.
        let font = if self.used < room.high / 2 { SMALL } else { FINE };
        if self.used > 0
            && let Some(found) = within(draft, font, room.high - self.used - lead)
        {
            return (found, true);
        }
        // On a new one, which it leaves room on for the next if both can be read well so.
        let least =
            |draft: &Draft<'_>| draft.arrangements(room).take_while(|found| found.font >= FINE).last();
        let beside = next.and_then(least).map_or(room.high, |next| next.high + APART);
        let shared = within(draft, FINE, room.high - lead - beside);
        let alone = |high: i64| draft.arrangements(room).find(|found| found.high <= high);
        if let Some(found) = shared.or_else(|| alone(room.high - lead)).or_else(|| alone(room.high)) {
            return (found, true);
        }
        // On several: the first way that needs the fewest.
        let rank = |found: &Arrangement| {
            let over = (found.high - room.high).max(0);
            ((over + room.high - 1) / room.high, over % room.high < THIN)
        };
        let mut all = draft.arrangements(room);
        let first = all.next().unwrap_or_default();
        (all.fold(first, |best, found| if rank(&found) < rank(&best) { found } else { best }), false)
    }

    /// Height of what stands at the head of a material: its name, facts and how to read its drawings.
    fn lead(&self, section: &Section, note: &str) -> i64 {
        let font = points(95);
        let high =
            |runs: &[(&str, bool)]| lines(runs, font, self.room.wide * 9 / 10) * font * 125 / 100 + 100;
        let facts: Vec<(&str, bool)> = section
            .facts
            .iter()
            .flat_map(|(name, value)| [(*name, false), (value.as_str(), false)])
            .collect();
        let name = lines(&[(&section.name, true)], 500, self.room.wide) * 620;
        450 + name + 200 + high(&facts) + high(&[(note, false)])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_layout_that_fills_a_page_is_on_it() {
        let mut pages = Pages { room: PageRoom::of(Paper::Letter), used: 0 };
        let high = pages.room.high;
        pages.layout(high - 5_000);
        assert_eq!(pages.used, high - 5_000 + APART);
        // It fits to the last line, with no gap behind it: the next one has nothing left of this page.
        pages.layout(5_000 - APART);
        assert_eq!(pages.used, high);
        pages.layout(3_000);
        assert_eq!(pages.used, 3_000 + APART);
    }
}
