//! report.html: the whole plan as one file for the shop, on paper, on a screen and on a phone.
//!
//! Nothing is loaded from anywhere. The one script keeps ticks on the device, under the fingerprint of the plan; the
//! page allows that script by its hash and no other, and every text from a file is escaped by the template, or by the
//! writer of the drawings.

mod layout;
mod notes;
mod pages;
mod reckon;

use super::drawing::lettering::{kept, whole};
use super::svg;
use crate::report::{Buying, Report, Section, Stop};
use askama::Template;
use layout::{Draft, Layout};
use pages::Pages;

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
    patterns: String,
    left_over: u64,
    /// Whether it carries another plan on.
    carried_on: bool,
    /// Whether edge trim leaves less of anything that is bought.
    usable: bool,
    /// Whether anything that is bought has a note, and anything from the rack.
    remarked: bool,
    noted: bool,
    /// Whether it is certain of anything why it is not cut.
    reasons: bool,
    /// Whether any share has something from the rack, or from the plan before.
    taken: bool,
    paid: bool,
    sections: Vec<View<'a>>,
    fits: Vec<&'a crate::report::PartLine>,
}

/// One material.
struct View<'a> {
    section: &'a Section,
    /// How to read the drawings; empty for boards.
    note: String,
    layouts: Vec<Layout>,
    /// Settings that are needed more than once; the others stand in the lists of cuts.
    stops: Vec<&'a Stop>,
}

/// The report as one file. The report must be a full one.
pub fn render(report: &Report) -> Vec<u8> {
    let mut pages = Pages::after_front(report);
    let page = Page {
        report,
        paper: report.paper.name(),
        script: SCRIPT,
        hash: SCRIPT_HASH.trim_end(),
        patterns: svg::patterns_once(),
        left_over: report.missing.iter().map(|part| u64::from(part.qty)).sum(),
        carried_on: report.carried_on,
        usable: report.buying.lines.iter().any(|line| !line.usable.is_empty()),
        remarked: report.buying.lines.iter().any(|line| !line.note.is_empty()),
        noted: report.buying.rack.iter().any(|line| !line.note.is_empty()),
        reasons: report.untouched.iter().any(|left| !left.why.is_empty()),
        taken: report.shares.iter().any(|share| share.taken.is_some()),
        paid: report.shares.iter().any(|share| share.paid.is_some()),
        sections: report.sections.iter().map(|section| view(section, &mut pages)).collect(),
        fits: report.parts.iter().flat_map(|job| &job.parts).filter(|part| part.fit).collect(),
    };
    // It writes to memory, and nothing in it can fail.
    page.render().unwrap_or_default().into_bytes()
}

fn view<'a>(section: &'a Section, pages: &mut Pages) -> View<'a> {
    let note = section.note();
    let boards = section.boards.iter().map(|board| Draft::of_board(section, board));
    let sheets = section.sheets.iter().map(|sheet| Draft::of_sheet(section, sheet));
    let layouts = pages.place(section, &note, boards.chain(sheets).collect());
    let stops: Vec<&Stop> = section.stops.iter().filter(|stop| stop.cuts > 1).collect();
    pages.stops(&stops);
    View { section, note, layouts, stops }
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
