//! report.html: the whole plan as one file for the shop, on paper, on a screen and on a phone.
//!
//! Nothing is loaded from anywhere. The one script keeps ticks on the device, under the fingerprint of the plan; the
//! page allows that script by its hash and no other, and every text from a file is escaped by the template.

mod diagram;

use crate::report::{Board, CutStep, Frees, Report, Section, Sheet, Step, What};
use askama::Template;
use diagram::Diagram;
use nest_core::plan::Way;
use nest_core::units::Length;

/// Boxes to tick beyond these are not drawn.
const MOST_BOXES: u32 = 60;

/// The script that keeps ticks.
const SCRIPT: &str = include_str!("ticks.js");
/// SHA-256 of the script, in Base64: what the page allows to run.
const SCRIPT_HASH: &str = include_str!("ticks.sha256");

#[derive(Template)]
#[template(path = "report.html")]
struct Page<'a> {
    report: &'a Report,
    paper: &'static str,
    script: &'static str,
    hash: &'static str,
    left_over: u64,
    sections: Vec<View<'a>>,
    fits: Vec<&'a crate::report::PartLine>,
}

/// One material.
struct View<'a> {
    section: &'a Section,
    layouts: Vec<LayoutView>,
}

/// One layout.
struct LayoutView {
    number: usize,
    word: &'static str,
    copies: u32,
    stock: String,
    size: String,
    facts: String,
    tight: bool,
    diagram: Diagram,
    cuts: Vec<CutRow>,
    as_left: Vec<String>,
    boxes: Vec<u32>,
    more: u32,
}

/// One line of the cut list.
struct CutRow {
    number: String,
    cut: String,
    setting: String,
    gives: String,
}

/// The report as one file. The report must be a full one.
pub fn render(report: &Report) -> Vec<u8> {
    let page = Page {
        report,
        paper: report.paper.name(),
        script: SCRIPT,
        hash: SCRIPT_HASH.trim_end(),
        left_over: report.missing.iter().map(|part| u64::from(part.qty)).sum(),
        sections: report.sections.iter().map(view).collect(),
        fits: report.parts.iter().flat_map(|job| &job.parts).filter(|part| part.fit).collect(),
    };
    // It writes to memory, and nothing in it can fail.
    page.render().unwrap_or_default().into_bytes()
}

fn view(section: &Section) -> View<'_> {
    let longest = section.boards.iter().map(|board| board.size[0]).max().unwrap_or(Length::ZERO);
    let mut layouts: Vec<LayoutView> =
        section.boards.iter().map(|board| of_board(section, board, longest)).collect();
    for (view, sheet) in layouts.iter_mut().zip(&section.sheets) {
        as_sheet(view, sheet);
    }
    View { section, layouts }
}

/// What differs where pieces lie side by side: steps that name what is on the saw.
fn as_sheet(view: &mut LayoutView, sheet: &Sheet) {
    view.tight = sheet.tight();
    view.facts = sheet.spare_text();
    if view.tight {
        view.facts.push_str(": measure it before the first cut");
    }
    view.as_left.clear();
    view.cuts = sheet.steps.iter().map(step_row).collect();
}

fn step_row(step: &Step) -> CutRow {
    let what = if step.squares { "line" } else { "fence or stop" };
    let mut gives = step.off.join("; ");
    if !step.left.is_empty() {
        let gap = if gives.is_empty() { "" } else { ". " };
        gives = format!("{gives}{gap}Left: {}", step.left.join("; "));
    }
    CutRow {
        number: step.numbers(),
        cut: format!("{}, on {} ({})", step.verb, step.on, step.on_text),
        setting: format!("{what} {} from the {}", step.setting_text, step.from),
        gives,
    }
}

fn of_board(section: &Section, board: &Board, longest: Length) -> LayoutView {
    let spare = match (board.spare.none, board.spare.tight) {
        (true, _) => "nothing to spare: measure it before the first cut".to_string(),
        (false, true) => format!("only {} to spare: measure it before the first cut", board.spare.text),
        (false, false) => format!("{} to spare", board.spare.text),
    };
    LayoutView {
        number: board.number,
        word: section_word(section),
        copies: board.copies,
        stock: board.stock.clone(),
        size: without(&board.size_text, &board.stock),
        facts: spare,
        tight: board.spare.tight,
        diagram: diagram::board(section, board, longest),
        cuts: board.cuts.iter().map(|cut| cut_row(section, cut)).collect(),
        as_left: as_left(section, board),
        boxes: (1..=board.copies.min(MOST_BOXES)).collect(),
        more: board.copies.saturating_sub(MOST_BOXES),
    }
}

fn section_word(_: &Section) -> &'static str {
    "Layout"
}

/// A size, unless the name says it already.
fn without(size: &str, name: &str) -> String {
    if name.contains(size) { String::new() } else { size.to_string() }
}

fn cut_row(section: &Section, cut: &CutStep) -> CutRow {
    let (what, from) = match (cut.squares, cut.way) {
        (true, Way::Crosscut) => ("square the end off", ""),
        (true, Way::Rip) => ("square the edge off", ""),
        (false, Way::Crosscut) => ("crosscut", "stop "),
        (false, Way::Rip) => ("rip", "fence "),
    };
    let gives = match cut.frees {
        Frees::Part(part) => named(section, part),
        Frees::Blank => "a blank that is cut further".into(),
        Frees::Offcut => "an offcut: keep".into(),
        Frees::Waste => "waste".into(),
        Frees::Edge => String::new(),
    };
    CutRow {
        number: cut.number.to_string(),
        cut: what.into(),
        setting: format!("{from}{}", cut.setting_text),
        gives,
    }
}

fn named(section: &Section, part: usize) -> String {
    section.parts.get(&part).map_or(String::new(), |label| format!("no. {} {}", label.number, label.name))
}

/// Parts that no cut frees: what remains when all else is off.
fn as_left(section: &Section, board: &Board) -> Vec<String> {
    let mut freed: Vec<usize> = board.cuts.iter().filter_map(|cut| part_of(cut.frees)).collect();
    let mut left = Vec::new();
    for zone in &board.zones {
        let What::Piece(piece) = &zone.what else { continue };
        match freed.iter().position(|&part| part == piece.part) {
            Some(at) => drop(freed.swap_remove(at)),
            None => left.push(named(section, piece.part)),
        }
    }
    left
}

fn part_of(frees: Frees) -> Option<usize> {
    if let Frees::Part(part) = frees { Some(part) } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;
    use base64::Engine;
    use sha2::Digest;

    #[test]
    fn the_page_allows_its_own_script() {
        let hash = base64::engine::general_purpose::STANDARD.encode(sha2::Sha256::digest(SCRIPT));
        assert_eq!(SCRIPT_HASH.trim_end(), hash, "write this into ticks.sha256");
        assert!(!SCRIPT.contains("</"), "it would end its own element");
    }
}
