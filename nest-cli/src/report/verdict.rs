//! How good the plan is, in words that claim no more than was accepted by the check.

use super::words::{self, Words, count};
use super::{Source, trim};
use crate::clean::clean;
use nest_core::model::{CheckedBatch, FirstCut, Group, Measure, Stages};
use nest_core::plan::{GroupTally, Tally};
use nest_core::search::{Effort, Options, Stop};
use nest_core::solution::{GroupOutcome, Solution, Status};
use nest_core::units::Area;

/// Cost and floor in plain words.
#[derive(Clone, Debug)]
pub struct Verdict {
    /// What all stock that is bought and cut costs, spare boards excepted.
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
    /// What a cheaper plan would have to be like, a sentence; `None` where there is none, or nothing to say.
    pub cheaper: Option<String>,
    /// How the search for it went.
    pub search: String,
}

/// What one job owes, or what spare boards cost, which nobody does.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShareLine {
    /// Its name.
    pub job: String,
    /// Pieces made for it.
    pub pieces: String,
    /// Its share of the cost, waste spread over the parts.
    pub cost: String,
    /// Its share of what the rack pieces are worth; `None` where there are none.
    pub taken: Option<String>,
    /// Its share of wood that an earlier plan bought or took from the rack; `None` where there is none.
    pub paid: Option<String>,
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
        (Status::Feasible, measure) => {
            let [least, this] = match measure {
                Measure::Money => ["cost", "costs"],
                _ => ["use", "uses"],
            };
            let (floor, over) = (words.cost(solution.floor), over(solution.cost, solution.floor));
            format!(
                "no plan can {least} less than {floor}, so this one {this} at most {over} more than it must"
            )
        }
    };
    let stopped = match solution.stop {
        Stop::Finished | Stop::Budget => None,
        Stop::Time => Some("The time limit ended the search: this is the best plan so far".to_string()),
        Stop::Interrupted => Some("Interrupted: this is the best plan so far".to_string()),
    };
    Verdict { cost: words.cost(solution.cost), floor, stopped }
}

pub(super) fn groups(source: &Source<'_>, words: &Words) -> Vec<GroupLine> {
    let (batch, solution) = (source.batch, source.solution);
    let tally = Tally::of(batch, &solution.plan);
    let line = |(index, ((group, outcome), counted)): (usize, ((&Group, &GroupOutcome), &GroupTally))| {
        let name = super::names::of_group(batch.batch(), group);
        let used = |board: bool| -> u64 {
            group.stock.iter().filter(|&&s| batch.stock()[s].board == board).map(|&s| tally.used[s]).sum()
        };
        GroupLine {
            cheaper: cheaper(batch, index, outcome, &name),
            name,
            pieces: counted.pieces.to_string(),
            boards: words::stock([used(true), used(false)]),
            yields: counted.yield_fraction().map_or(String::new(), words::share),
            cost: words.bare(outcome.cost),
            // What a whole plan costs at least says nothing about a part of it.
            floor: if outcome.status == Status::Partial { String::new() } else { words.bare(outcome.floor) },
            standing: standing(outcome.status, outcome.cost, outcome.floor),
            search: format!("{}, then {}", count(outcome.work.into(), "step"), ended(outcome.stop)),
        }
    };
    batch.groups().iter().zip(&solution.groups).zip(&tally.groups).enumerate().map(line).collect()
}

/// How little a cheaper plan of sheets might waste, where that is not excluded.
fn cheaper(batch: &CheckedBatch, group: usize, outcome: &GroupOutcome, name: &str) -> Option<String> {
    if outcome.status != Status::Feasible {
        return None;
    }
    // More than a third says nothing.
    let slack = nest_core::cost::slack_below(batch, group, outcome.cost)?;
    let [waste, of] = [slack.waste, slack.of].map(Area::square_ticks);
    if waste.saturating_mul(3) > of {
        return None;
    }
    // Rounded up: it must hold.
    let whole = of.max(1);
    let tenths = waste.saturating_mul(1000).saturating_add(whole - 1) / whole;
    let way = if batch.measure() == Measure::Money { "at less cost" } else { "from less" };
    let left = format!("{}.{} %", tenths / 10, tenths % 10);
    Some(format!(
        "Whether {name} can be cut {way} is not known; such a plan would leave over at most {left} of its sheets, kerf \
         and edge trim not counted"
    ))
}

/// Why a search ended.
fn ended(stop: Stop) -> &'static str {
    match stop {
        Stop::Finished => "nothing was left to try",
        Stop::Budget => "the effort was used up",
        Stop::Time => "the time was up",
        Stop::Interrupted => "it was interrupted",
    }
}

/// How hard was looked, and where chance began.
pub(super) fn effort(options: &Options) -> String {
    let effort = match options.effort {
        Effort::None => "none",
        Effort::Quick => "quick",
        Effort::Normal => "normal",
        Effort::Deep => "deep",
    };
    format!("effort {effort}, seed {}", options.seed)
}

/// What each job owes, and what spare boards cost, which together is what is paid; nothing where there is only one job, or
/// no price.
pub(super) fn shares(source: &Source<'_>, words: &Words) -> Vec<ShareLine> {
    let shares = nest_core::cost::shares(source.batch, &source.solution.plan, source.before.carried);
    // A job for which nothing is left to make owes nothing more, and is named: nobody then wonders whether it was forgotten.
    let made = shares.iter().any(|share| share.pieces > 0);
    if shares.len() < 2 || !made || words.measure() != Measure::Money {
        return Vec::new();
    }
    let line = |share: nest_core::cost::JobShare| ShareLine {
        job: if share.job.trim().is_empty() { "(no job)".into() } else { clean(&share.job) },
        pieces: count(share.pieces.into(), "piece"),
        cost: words.bare(share.cost),
        taken: (!share.taken.is_zero()).then(|| share.taken.to_string()),
        paid: (!share.paid.is_zero()).then(|| share.paid.to_string()),
    };
    let mut lines: Vec<ShareLine> = shares.into_iter().map(line).collect();
    let bill = nest_core::cost::bill(source.batch, &source.solution.plan, source.spare);
    let spare: u64 = bill.buy.iter().map(|line| line.spare).sum();
    if let Some(total) = bill.total.filter(|_| spare > 0) {
        lines.push(ShareLine {
            job: "(spare, for no job)".into(),
            pieces: count(spare.into(), "board"),
            cost: words.bare(i128::from(total.minor()) - source.solution.cost),
            taken: None,
            paid: None,
        });
    }
    lines
}

fn standing(status: Status, cost: i128, floor: i128) -> String {
    match status {
        Status::Proven => "proven".into(),
        Status::Partial => "incomplete".into(),
        Status::Feasible if floor <= 0 => "not known".into(),
        Status::Feasible => format!("at most {} over", over(cost, floor)),
    }
}

/// How much more a plan costs than it must at least, rounded up, since "at most" must hold.
fn over(cost: i128, floor: i128) -> String {
    let tenths = (cost - floor).saturating_mul(1000).saturating_add(floor - 1) / floor.max(1);
    format!("{}.{} %", tenths / 10, tenths % 10)
}

/// `3`, `any`, `3, ripped first`.
fn stages(stages: Stages, first: FirstCut) -> String {
    let many = match stages {
        Stages::Limited(stages) => stages.to_string(),
        Stages::Any => "any".into(),
    };
    match first {
        FirstCut::Either => many,
        FirstCut::Rip => format!("{many}, a rip first"),
        FirstCut::Crosscut => format!("{many}, a crosscut first"),
    }
}

pub(super) fn settings(source: &Source<'_>, words: &Words) -> Vec<(&'static str, String)> {
    let shop = &source.batch.batch().shop;
    let (groups, stock) = (source.batch.groups(), source.batch.stock());
    let cut = |board: bool| groups.iter().any(|g| g.stock.iter().any(|&s| stock[s].board == board));
    let [long, short] = shop.sheets.keep;
    let kept = format!("{} x {}", words.kerf(long), words.kerf(short));
    let names = if cut(true) {
        ["kerf for sheets", "edge trim for sheets", "offcuts of sheets kept from"]
    } else {
        ["kerf", "edge trim", "offcuts kept from"]
    };
    let trims =
        |name: &'static str, board| trim::all(source, board, words).into_iter().map(move |text| (name, text));
    let mut all = Vec::new();
    if cut(true) || !cut(false) {
        all.push(("kerf", words.kerf(shop.boards.kerf)));
        all.extend(trims("edge trim", true));
        all.push(("offcuts kept from", words.kerf(shop.boards.keep)));
    }
    if cut(false) {
        all.push((names[0], words.kerf(shop.sheets.kerf)));
        all.extend(trims(names[1], false));
        all.push((names[2], kept));
        all.push(("stages", stages(shop.sheets.stages, shop.sheets.first_cut)));
        let limits = [
            ("fence reach", shop.sheets.fence_reach),
            ("longest rip", shop.sheets.longest_rip),
            ("longest crosscut", shop.sheets.longest_crosscut),
            ("stack height", shop.sheets.stack_height),
        ];
        all.extend(limits.into_iter().filter_map(|(name, most)| Some((name, words.kerf(most?)))));
    }
    all
}
