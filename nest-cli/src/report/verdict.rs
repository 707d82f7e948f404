//! How good the plan is, in words that claim no more than was accepted by the check.

use super::words::{Words, count, percent};
use super::{Source, section};
use crate::clean::clean;
use nest_core::model::{CheckedBatch, Group, GroupKind, Measure};
use nest_core::search::Stop;
use nest_core::solution::{Solution, Status};
use nest_core::units::{Area, Length};

/// Cost and floor in plain words.
#[derive(Clone, Debug)]
pub struct Verdict {
    /// What all stock that is bought and cut costs.
    pub cost: String,
    /// What is known about cheaper plans, a sentence.
    pub floor: String,
    /// Why the search ended early, a sentence; `None` where it did not.
    pub stopped: Option<String>,
}

/// How one material stands.
#[derive(Clone, Debug)]
pub struct GroupLine {
    /// Its name.
    pub name: String,
    /// Pieces made.
    pub pieces: String,
    /// Boards or sheets cut.
    pub boards: String,
    /// Share of the stock cut that ends in parts; empty where nothing is cut.
    pub yields: String,
    /// Cost.
    pub cost: String,
    /// No plan can cost less.
    pub floor: String,
    /// `proven`, `at most 1.2 % over`, `incomplete`.
    pub standing: String,
}

pub(super) fn verdict(solution: &Solution, words: &Words) -> Verdict {
    let floor = match (solution.status, words.measure()) {
        (Status::Proven, Measure::Money) => "proven: no plan can cost less".to_string(),
        (Status::Proven, _) => "proven: no plan can use less".to_string(),
        (Status::Partial, _) => {
            "the plan is incomplete: nothing is said about the cost of a whole one".to_string()
        }
        (Status::Feasible, _) if solution.floor <= 0 => {
            "nothing is known yet about cheaper plans".to_string()
        }
        (Status::Feasible, Measure::Money) => {
            format!("no plan can cost less than {}", words.cost(solution.floor))
        }
        (Status::Feasible, _) => format!("no plan can use less than {}", words.cost(solution.floor)),
    };
    let stopped = match solution.stop {
        Stop::Finished | Stop::Budget => None,
        Stop::Time => Some("the time limit ended the search: this is the best plan so far".to_string()),
        Stop::Interrupted => Some("interrupted: this is the best plan so far".to_string()),
    };
    Verdict { cost: words.cost(solution.cost), floor, stopped }
}

pub(super) fn groups(source: &Source<'_>, words: &Words) -> Vec<GroupLine> {
    let (batch, solution) = (source.batch, source.solution);
    let line = |(group, outcome): (&Group, &nest_core::solution::GroupOutcome)| {
        let (boards, pieces, used, whole) = tally(batch, source, group);
        let word = if group.kind == GroupKind::Boards { "board" } else { "sheet" };
        GroupLine {
            name: clean(&group.name),
            pieces: pieces.to_string(),
            boards: count(boards, word),
            yields: percent(used, whole).unwrap_or_default(),
            cost: words.bare(outcome.cost),
            floor: words.bare(outcome.floor),
            standing: standing(outcome.status, outcome.cost, outcome.floor),
        }
    };
    batch.groups().iter().zip(&solution.groups).map(line).collect()
}

fn standing(status: Status, cost: i128, floor: i128) -> String {
    match status {
        Status::Proven => "proven".into(),
        Status::Partial => "incomplete".into(),
        Status::Feasible if floor <= 0 => "open".into(),
        // Rounded up: "at most" must hold.
        Status::Feasible => {
            let tenths = (cost - floor).saturating_mul(1000).saturating_add(floor - 1) / floor;
            format!("{}.{} % open", tenths / 10, tenths % 10)
        }
    }
}

/// Boards and pieces of a group; the surface of its parts and of its stock (lengths where a width is missing).
fn tally(batch: &CheckedBatch, source: &Source<'_>, group: &Group) -> (u128, u128, i128, i128) {
    let (mut boards, mut pieces, mut used, mut whole) = (0, 0, 0_i128, 0_i128);
    let extent = |size: [Length; 2]| match size[1] {
        Length::ZERO => i128::from(size[0].ticks()),
        width => Area::of(size[0], width).square_ticks(),
    };
    for layout in &source.solution.plan.layouts {
        if group.stock.binary_search(&layout.stock).is_err() {
            continue;
        }
        let copies = i128::from(layout.copies);
        boards += u128::from(layout.copies);
        pieces += u128::from(layout.copies) * layout.pieces.len() as u128;
        used += copies * layout.pieces.iter().map(|p| extent(p.size)).sum::<i128>();
        whole += copies * extent(batch.stock()[layout.stock].size);
    }
    (boards, pieces, used, whole)
}

pub(super) fn settings(source: &Source<'_>, words: &Words) -> Vec<(&'static str, String)> {
    let shop = &source.batch.batch().shop;
    let [near, far] = shop.boards.trim;
    let trim = section::trim_text([near, far, Length::ZERO, Length::ZERO], words);
    let mut all = vec![
        ("kerf", words.kerf(shop.boards.kerf)),
        ("edge trim", trim),
        ("offcuts kept from", words.kerf(shop.boards.keep)),
    ];
    if source.batch.groups().iter().any(|g| g.kind == GroupKind::Sheets) {
        all.push(("kerf for sheets", words.kerf(shop.sheets.kerf)));
        all.push(("edge trim for sheets", section::trim_text(shop.sheets.trim, words)));
    }
    all
}
