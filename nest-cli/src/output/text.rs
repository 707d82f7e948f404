//! The summary for a terminal: what to buy, what it costs, how good that is, what is left, what to watch.
//!
//! Plain lines and aligned columns that fit the width they are given; bold headings are the only decoration. Names
//! are clean already, so nothing here can act on the terminal.

use super::drawing::lettering::whole;
use crate::clean::on_terminal;
use crate::report::{About, BuyLine, Buying, Caution, Kept, Missing, Report, edges_on, words};
use comfy_table::{Cell, CellAlignment, ContentArrangement, Row, Table};
use std::fmt::Write;

/// How the summary is to look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    /// Columns of the terminal; 80 where nobody knows.
    pub columns: u16,
    /// Whether headings may be bold: only on a terminal, and not under NO_COLOR.
    pub bold: bool,
    /// How much is said.
    pub detail: Detail,
}

/// How much is said.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Detail {
    /// One line.
    Quiet,
    /// What one needs for the next step; long lists are cut short.
    Normal,
    /// Everything.
    Verbose,
}

impl Default for Look {
    fn default() -> Self {
        Self { columns: 80, bold: false, detail: Detail::Normal }
    }
}

/// Lines of a list that are shown unless everything is.
const SHOWN: usize = 12;

/// The summary.
pub fn render(report: &Report, look: Look) -> Vec<u8> {
    let mut page = Page { look, text: String::new() };
    if look.detail == Detail::Quiet {
        page.line(&headline(report));
        return on_terminal(&page.text).into_bytes();
    }
    page.made(report);
    page.missing(report);
    page.buying(report);
    page.bands(&report.buying);
    page.paragraph(&format!("{}.", headline(report)));
    if let Some(stopped) = &report.verdict.stopped {
        page.paragraph(&format!("{stopped}."));
    }
    page.groups(report);
    page.shares(report);
    page.kept(&report.kept);
    page.cautions(&report.cautions);
    page.search(report);
    page.advice(report);
    on_terminal(&page.text).into_bytes()
}

/// Cost and what is known about cheaper plans.
fn headline(report: &Report) -> String {
    let verdict = &report.verdict;
    let pieces = |list: &[Missing]| list.iter().map(|m| u128::from(m.qty)).sum::<u128>();
    let left = match pieces(&report.missing) {
        0 => String::new(),
        n => format!("; {} left over", words::count(n, "piece")),
    };
    let skipped = match pieces(&report.skipped) {
        0 => String::new(),
        n => format!("; {} not made", words::count(n, "optional piece")),
    };
    let what = if report.buying.priced { "Cost" } else { "Bought" };
    let spare = match &report.buying.spare {
        Some(_) if report.buying.priced => format!(" (with the spare ones {})", report.buying.total),
        _ => String::new(),
    };
    format!("{what} {}{spare}{left}{skipped}; {}", verdict.cost, verdict.floor)
}

struct Page {
    look: Look,
    text: String,
}

impl Page {
    fn line(&mut self, line: &str) {
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }

    fn gap(&mut self) {
        if !self.text.is_empty() {
            self.text.push('\n');
        }
    }

    fn heading(&mut self, heading: &str) {
        self.gap();
        let (on, off) = if self.look.bold { ("\x1b[1m", "\x1b[0m") } else { ("", "") };
        // Writing to a string cannot fail.
        let _ = writeln!(self.text, "{on}{heading}{off}");
    }

    fn paragraph(&mut self, text: &str) {
        self.gap();
        self.wrapped(text);
    }

    /// Words broken at the width of the terminal, sizes kept whole.
    fn wrapped(&mut self, text: &str) {
        let mut table = self.table();
        table.add_row(Row::from(vec![Cell::new(whole(text))]));
        self.put(&table);
    }

    fn table(&self) -> Table {
        let mut table = Table::new();
        table.load_style(comfy_table::presets::NOTHING);
        table.set_content_arrangement(ContentArrangement::Dynamic);
        table.set_width(self.look.columns.clamp(40, 200));
        table
    }

    fn put(&mut self, table: &Table) {
        for line in table.lines() {
            // The first column's padding would indent everything by one. Names hold no such blanks any more.
            self.line(&line.strip_prefix(' ').unwrap_or(&line).replace('\u{a0}', " "));
        }
    }

    /// Rows of a list, cut short unless everything is asked for.
    fn most(&self, rows: usize) -> usize {
        if self.look.detail == Detail::Verbose || rows <= SHOWN + 1 { rows } else { SHOWN }
    }

    fn missing(&mut self, report: &Report) {
        self.parts("Left over", &report.missing);
        for sentence in &report.completing {
            self.wrapped(&format!("{sentence}."));
        }
        self.parts("Optional parts not made", &report.skipped);
    }

    /// Parts with how many of how many.
    fn parts(&mut self, heading: &str, parts: &[Missing]) {
        if parts.is_empty() {
            return;
        }
        self.heading(heading);
        let shown = self.most(parts.len());
        let mut table = self.table();
        for part in &parts[..shown] {
            let of = format!("{} of {}", part.qty, part.asked);
            table.add_row(vec![right(of), left(&part.name), left(&part.size), left(&part.job)]);
        }
        self.put(&table);
        self.rest(parts.len() - shown, "part");
    }

    /// What it is all about.
    fn made(&mut self, report: &Report) {
        let before = report.before.as_ref().map_or(String::new(), |before| format!(" {before}."));
        let buying = &report.buying;
        if buying.lines.is_empty() && buying.rack.is_empty() && buying.before.is_empty() {
            self.paragraph(&format!("Nothing is cut.{before}"));
            return;
        }
        let jobs = match report.jobs.as_slice() {
            [] => String::new(),
            jobs => format!(" for {}", words::list(jobs, 3)),
        };
        let plan = report.fingerprint.short();
        self.paragraph(&format!("Plan {plan}: {}{jobs}.{before}", report.pieces));
    }

    fn buying(&mut self, report: &Report) {
        let buying = &report.buying;
        if !buying.lines.is_empty() {
            self.heading("Buy");
            let mut table = self.table();
            let mut header = vec![right("Count"), left("Stock"), left("Size")];
            if buying.priced {
                header.extend([right("Each"), right("Total")]);
            }
            table.set_header(header);
            for line in &buying.lines {
                table.add_row(bought(line, buying.priced));
            }
            if buying.priced && buying.lines.len() > 1 {
                table.add_row(vec![right(""), left(""), left(""), right("total"), right(&buying.total)]);
            }
            self.put(&table);
            if let Some(spare) = &buying.spare {
                self.line(&format!("{spare} included."));
            }
        }
        for (heading, lines) in [("Take from the rack", &buying.rack), (Buying::BEFORE, &buying.before)] {
            if lines.is_empty() {
                continue;
            }
            self.heading(heading);
            let mut table = self.table();
            for line in lines {
                table.add_row(vec![right(line.qty), left(line.alone()), left(&line.size)]);
            }
            self.put(&table);
        }
    }

    fn bands(&mut self, buying: &Buying) {
        let bands = &buying.bands;
        if bands.is_empty() {
            return;
        }
        let price = if buying.priced { " (not in the cost)" } else { "" };
        self.heading(&format!("Edge band, a little longer than each edge{price}"));
        let shown = self.most(bands.len());
        let mut table = self.table();
        for band in &bands[..shown] {
            let edges = words::count(band.edges.into(), "edge");
            table.add_row(vec![
                right(&band.gross),
                left(if band.name.is_empty() { "edge band" } else { &band.name }),
                left(format!("for {}", band.on)),
                left(format!("{edges}, {} net", band.net)),
            ]);
        }
        self.put(&table);
        self.rest(bands.len() - shown, "line");
    }

    fn groups(&mut self, report: &Report) {
        if report.groups.is_empty() {
            return;
        }
        self.gap();
        let mut table = self.table();
        let cost = if report.buying.priced { "Cost" } else { "Bought" };
        table.set_header(vec![
            left("Material"),
            right("Pieces"),
            right("From"),
            right("Yield"),
            right(cost),
            right("Least"),
            left(""),
        ]);
        let shown = self.most(report.groups.len());
        for group in &report.groups[..shown] {
            table.add_row(vec![
                left(&group.name),
                right(&group.pieces),
                right(&group.boards),
                right(&group.yields),
                right(&group.cost),
                right(&group.floor),
                left(&group.standing),
            ]);
        }
        self.put(&table);
        self.rest(report.groups.len() - shown, "material");
        for cheaper in report.groups[..shown].iter().filter_map(|group| group.cheaper.as_ref()) {
            self.wrapped(&format!("{cheaper}."));
        }
        if self.look.detail == Detail::Verbose {
            self.wrapped("Yield: what ends in parts of all that is cut. Least: no plan can cost less.");
        }
    }

    fn shares(&mut self, report: &Report) {
        if report.shares.is_empty() {
            return;
        }
        let now = if report.carried_on { " now" } else { "" };
        self.heading(&format!("Shares of the cost{now}, waste spread over the parts"));
        let shown = self.most(report.shares.len());
        let mut table = self.table();
        for share in &report.shares[..shown] {
            let rack = share.taken.as_ref().map(|taken| format!("{taken} from the rack"));
            let paid = share.paid.as_ref().map(|paid| format!("{paid} from the plan before"));
            let more: Vec<String> = rack.into_iter().chain(paid).collect();
            let more = if more.is_empty() { String::new() } else { format!("and {}", more.join(", ")) };
            table.add_row(vec![left(&share.job), right(&share.pieces), right(&share.cost), left(more)]);
        }
        self.put(&table);
        self.rest(report.shares.len() - shown, "job");
    }

    fn kept(&mut self, kept: &[Kept]) {
        if kept.is_empty() {
            return;
        }
        self.heading("Left to keep");
        let shown = self.most(kept.len());
        let mut table = self.table();
        for offcut in &kept[..shown] {
            let edges = offcut.edges.map_or(String::new(), |edges| format!(", {edges} on"));
            table.add_row(vec![
                right(offcut.qty),
                right(&offcut.size_text),
                left(format!("of {}{edges}", offcut.from)),
            ]);
        }
        self.put(&table);
        self.rest(kept.len() - shown, "size");
        if edges_on(kept) {
            self.wrapped(
                "What has a factory end or edge on, right and upper as on its drawing, comes off larger: these are the \
                 sizes to use.",
            );
        }
    }

    /// The cautions that name something: the names, not the advice.
    fn cautions(&mut self, cautions: &[Caution]) {
        const NAMED: usize = 3;
        let named: Vec<&Caution> = cautions.iter().filter(|caution| !caution.about.is_empty()).collect();
        if named.is_empty() {
            return;
        }
        self.heading("Take care");
        for caution in named {
            let verbose = self.look.detail == Detail::Verbose;
            let shown = if verbose { caution.about.len() } else { caution.about.len().min(NAMED) };
            let mut names: Vec<String> = caution.about[..shown].iter().map(About::text).collect();
            if shown < caution.about.len() {
                names.push(format!("{} more", caution.about.len() - shown));
            }
            // Names with commas of their own would run together.
            let between = if names.iter().any(|name| name.contains(',')) { "; " } else { ", " };
            self.wrapped(&format!("{}: {}.", caution.title, names.join(between)));
        }
        self.wrapped("The report says what to do; the manual of your saw comes first.");
    }

    /// How the search went, for those who ask for more.
    fn search(&mut self, report: &Report) {
        if self.look.detail < Detail::Verbose || report.groups.is_empty() {
            return;
        }
        self.heading(&format!("Search: {}", report.effort));
        let mut table = self.table();
        for group in &report.groups {
            table.add_row(vec![left(&group.name), left(&group.search)]);
        }
        self.put(&table);
    }

    fn advice(&mut self, report: &Report) {
        self.gap();
        if let Some(tight) = &report.tight {
            let they = if tight.several { "they have" } else { "it has" };
            let sentence =
                format!("Measure {} before the first cut: {they} next to nothing to spare.", tight.which);
            self.wrapped(&sentence);
        }
        let settings: Vec<String> =
            report.settings.iter().map(|(name, value)| format!("{name} {value}")).collect();
        self.wrapped(&format!("Counted with {}.", settings.join("; ")));
        if let Some(rounded) = &report.rounded {
            self.wrapped(&format!("{rounded}."));
        }
    }

    fn rest(&mut self, more: usize, what: &str) {
        if more > 0 {
            self.line(&format!("and {}", words::count(more as u128, &format!("more {what}"))));
        }
    }
}

fn bought(line: &BuyLine, priced: bool) -> Vec<Cell> {
    let mut row = vec![right(line.qty), left(line.alone()), left(&line.size)];
    if priced {
        row.push(right(&line.each));
        row.push(right(&line.total));
    }
    row
}

fn left(text: impl ToString) -> Cell {
    Cell::new(text.to_string())
}

fn right(text: impl ToString) -> Cell {
    Cell::new(text.to_string()).set_alignment(CellAlignment::Right)
}
