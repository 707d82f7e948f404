//! A plan from a file: read, and judged before anything in it is used.
//!
//! Nothing in the file is believed. Its question is validated, its plan is checked against that question, and what it
//! says about its own cost and quality, and beside the layouts, is compared with what follows from them.

use std::path::Path;

use nest_core::check::{Checked, CheckedGroup, check};
use nest_core::model::CheckedBatch;
use nest_core::plan::Plan;
use nest_core::solution::{GroupOutcome, Solution, Status};
use nest_core::units::LengthStyle;

use super::stated::{beside, word};
use crate::diagnose::{Desk, Spot};
use crate::input::json::{MOST_BYTES, PlanInput, Searched, Stated, read_plan};
use crate::plan_file::amount;
use crate::report::words::Words;
use crate::report::{Source, plan_file};
use crate::{Streams, input};

/// Reads a plan. Problems go on the desk.
pub fn read(path: &Path, streams: &mut Streams<'_>, desk: &mut Desk) -> Option<PlanInput> {
    let (name, bytes) = input::load_bytes(path, "a plan", MOST_BYTES as u64, streams.stdin)
        .map_err(|failure| {
            // A folder of papers has one in it.
            let inside = Some(path.join("plan.json")).filter(|inside| inside.is_file());
            desk.fail(match inside {
                Some(inside) => failure.hint(format!("the plan is in it: {}", inside.display())),
                None => failure,
            });
        })
        .ok()?;
    match read_plan(&bytes) {
        Ok(plan) => Some(plan),
        Err(error) => {
            let text = String::from_utf8_lossy(&bytes).into_owned();
            let at = error.place.and_then(|(line, column)| {
                let start =
                    text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum::<usize>();
                let at = (start + column.saturating_sub(1)).min(text.len());
                text.is_char_boundary(at).then_some(at)
            });
            let source = desk.add(input::Source::new(name.clone(), text));
            let report = match at {
                Some(at) => desk.error(Spot { source, span: at..at }, error.message),
                None => desk.error(None, format!("{name}: {}", error.message)),
            };
            error.hint.into_iter().for_each(|hint| report.hint(hint));
            None
        }
    }
}

/// What was found out about a saved plan.
#[derive(Debug)]
pub struct Judged {
    /// Everything that is wrong, one sentence each; empty for a plan to be trusted.
    pub faults: Vec<String>,
    /// What is true of it; `None` where the question is unsound or the plan does not answer it.
    pub found: Option<Found>,
}

/// What is true of a plan that answers its question.
#[derive(Debug)]
pub struct Found {
    /// The question.
    pub batch: CheckedBatch,
    /// The answer as if it had just been found.
    pub solution: Solution,
    /// What the check counted.
    pub checked: Checked,
}

/// Judges a plan that was read; what is found out is then written in another style, if one is given.
pub fn judge(plan: PlanInput, style: Option<LengthStyle>) -> Judged {
    let PlanInput { batch, plan, stated, searched, papers, spare, before, .. } = plan;
    let batch = match batch.check() {
        Ok(batch) => batch,
        Err(problems) => {
            let say =
                |problem: &nest_core::model::Problem| format!("the question inside it is unsound: {problem}");
            return Judged { faults: problems.as_slice().iter().map(say).collect(), found: None };
        }
    };
    let checked = match check(&batch, &plan) {
        Ok(checked) => checked,
        Err(faults) => {
            return Judged {
                faults: faults.as_slice().iter().map(ToString::to_string).collect(),
                found: None,
            };
        }
    };
    let solution = solution(plan, &checked, &searched);
    let source = Source {
        batch: &batch,
        solution: &solution,
        options: &searched.options,
        spare,
        before: &before,
        papers: &papers,
        label_start: 1,
        warnings: &[],
    };
    let mut faults = claims(&stated, &batch, &solution);
    let untrue = before.check(batch.batch()).err();
    faults.extend(untrue.iter().flat_map(|untrue| untrue.as_slice()).map(ToString::to_string));
    // Amounts in another measure mean nothing.
    if stated.measure == batch.measure() {
        faults.extend(beside(&stated, &plan_file(&source)));
    }
    let batch = style.map_or_else(|| batch.clone(), |style| restyled(&batch, style));
    Judged { faults, found: Some(Found { batch, solution, checked }) }
}

/// The same question in another style: names of material and stock are all that changes, so what was sound is.
pub fn restyled(batch: &CheckedBatch, style: LengthStyle) -> CheckedBatch {
    let mut other = batch.batch().clone();
    other.restyle(style);
    other.check().unwrap_or_else(|_| batch.clone())
}

fn solution(plan: Plan, checked: &Checked, searched: &Searched) -> Solution {
    let outcome = |(index, group): (usize, &CheckedGroup)| GroupOutcome {
        cost: group.cost,
        floor: group.floor,
        status: status(group.complete, group.cost == group.floor),
        impossible: group.impossible,
        stop: searched.stopped,
        work: searched.work.get(index).copied().unwrap_or(0),
    };
    let groups = checked.groups.iter().enumerate().map(outcome).collect();
    let (cost, floor) = (checked.cost(), checked.floor());
    let status = status(checked.complete(), cost == floor);
    Solution { plan, status, groups, cost, floor, stop: searched.stopped }
}

fn status(complete: bool, meets_floor: bool) -> Status {
    match (complete, meets_floor) {
        (false, _) => Status::Partial,
        (true, true) => Status::Proven,
        (true, false) => Status::Feasible,
    }
}

/// What a plan says about itself must be what the check found.
fn claims(stated: &Stated, batch: &CheckedBatch, found: &Solution) -> Vec<String> {
    let words = Words::of(&batch.batch().shop, batch.measure());
    let mut faults = Vec::new();
    if stated.measure != batch.measure() {
        let (stated, found) = (word(&stated.measure), word(&batch.measure()));
        faults.push(format!("its costs are counted in {stated}, but the question counts in {found}"));
        return faults;
    }
    for (what, stated, found) in
        [("cost", stated.cost, found.cost), ("least possible cost", stated.floor, found.floor)]
    {
        if stated != found {
            // In the words of the papers, unless those would show no difference.
            let (mut says, mut is) = (words.cost(stated), words.cost(found));
            if says == is {
                (says, is) = (amount(batch.measure(), stated), amount(batch.measure(), found));
            }
            faults.push(format!("it states a {what} of {says}, but it is {is}"));
        }
    }
    if stated.status != found.status {
        let (says, is) = (word(&stated.status), word(&found.status));
        faults.push(format!("it calls itself {says}, but it is {is}"));
    }
    faults
}
