//! The front door: solve every group, check the plan, say how good it is.

use crate::board;
use crate::check::{self, Floor};
use crate::error::Error;
use crate::model::{CheckedBatch, GroupKind};
use crate::plan::{GroupClaim, Plan};
use crate::search::{Answer, Control, Event, Observer, Options, Stop, parallel};
use crate::sheet;
use crate::solution::{GroupOutcome, Solution, Status};

/// Solves a question.
///
/// Every plan is judged by [`check`](crate::check) before it is returned. The same batch, seed and effort give the
/// same plan with any number of threads, unless a time limit or the observer ends the search early; then
/// [`Solution::stop`] says so.
///
/// Runtime: bounded by the effort; see [`Effort`](crate::search::Effort).
///
/// # Errors
/// [`Error::is_fault`] where the check refuses what a solver made, which is a fault of this library and not of the
/// question.
pub fn solve(batch: &CheckedBatch, options: &Options, observer: &dyn Observer) -> Result<Solution, Error> {
    let control = Control::new(options, observer);
    let groups: Vec<usize> = (0..batch.groups().len()).collect();
    let answers = parallel::map(options.threads, &groups, |&g| {
        control.tell(Event::Group(g));
        let answer = match batch.groups()[g].kind {
            GroupKind::Boards => board::solve(batch, g, &control),
            GroupKind::Sheets => sheet::solve(batch, g, &control),
        };
        let claim = claim(batch, g, &answer);
        control.tell(Event::Done(g));
        (answer, claim)
    });
    let mut plan = Plan::default();
    let mut work = Vec::new();
    for (answer, claim) in answers {
        work.push((answer.work, answer.stop.unwrap_or(Stop::Finished)));
        plan.layouts.extend(answer.layouts);
        plan.unplaced.extend(answer.unplaced);
        plan.groups.push(claim);
    }
    plan.unplaced.sort_unstable();
    let checked = check::check(batch, &plan).map_err(Error::fault)?;
    let groups: Vec<GroupOutcome> = checked
        .groups
        .iter()
        .zip(&work)
        .map(|(group, &(work, stop))| GroupOutcome {
            cost: group.cost,
            floor: group.floor,
            status: match (group.complete, group.cost == group.floor) {
                (false, _) => Status::Partial,
                (true, true) => Status::Proven,
                (true, false) => Status::Feasible,
            },
            impossible: group.impossible,
            stop,
            work,
        })
        .collect();
    let status = groups.iter().map(|g| g.status).max().unwrap_or(Status::Proven);
    let stop = groups.iter().map(|g| g.stop).max().unwrap_or(Stop::Finished);
    Ok(Solution { cost: checked.cost(), floor: checked.floor(), plan, status, groups, stop })
}

/// The best floor that the check accepts. A proof that all stock is not enough beats every floor.
fn claim(batch: &CheckedBatch, group: usize, answer: &Answer) -> GroupClaim {
    let mut best = GroupClaim::default();
    for certificate in &answer.certificates {
        match check::floor_of(batch, group, certificate) {
            Ok(Floor::Cost(floor)) if floor > best.floor || best.certificate.is_none() => {
                best = GroupClaim { floor, certificate: Some(certificate.clone()) };
            }
            Ok(Floor::Impossible) => return GroupClaim { floor: 0, certificate: Some(certificate.clone()) },
            _ => {}
        }
    }
    best
}
