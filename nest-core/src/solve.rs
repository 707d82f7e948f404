//! The front door: solve every group, check the plan, say how good it is.

use std::collections::BTreeMap;

use crate::board;
use crate::check::{self, Floor};
use crate::error::Error;
use crate::model::{CheckedBatch, GroupKind};
use crate::plan::{GroupClaim, Layout, Plan, Score, Tally};
use crate::search::{Answer, Control, Effort, Event, Observer, Options, Stop, parallel};
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
/// [`Error`] where the check refuses what a solver made, which is a fault of this library and not of the question.
pub fn solve(batch: &CheckedBatch, options: &Options, observer: &dyn Observer) -> Result<Solution, Error> {
    solve_from(batch, &[], options, observer)
}

/// Solves a question to which some layouts are known: where those that use the stock of a group are sound together, its
/// plan is no worse than they are. All else as in [`solve`].
///
/// # Errors
/// As [`solve`].
pub fn solve_from(
    batch: &CheckedBatch,
    known: &[Layout],
    options: &Options,
    observer: &dyn Observer,
) -> Result<Solution, Error> {
    let control = Control::new(options, observer);
    let answers = parallel::on(options.threads, || rounds(batch, &control));
    let mut known = sound(batch, known);
    let mut plan = Plan::default();
    let mut work = Vec::new();
    for (group, (mut answer, claim)) in answers.into_iter().enumerate() {
        if let Some(known) = known.remove(&group) {
            answer = both(batch, group, known, answer);
        }
        work.push((answer.work, answer.stop.unwrap_or(Stop::Finished)));
        plan.layouts.extend(answer.layouts);
        plan.unplaced.extend(answer.unplaced);
        plan.groups.push(claim);
    }
    plan.unplaced.sort_unstable();
    let checked = check::check(batch, &plan).map_err(Error::new)?;
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

/// Layouts as answers, each of the group whose stock it uses; those of a group that the check refuses are left out.
fn sound(batch: &CheckedBatch, layouts: &[Layout]) -> BTreeMap<usize, Answer> {
    let mut group_of = vec![None; batch.stock().len()];
    for (group, members) in batch.groups().iter().enumerate() {
        members.stock.iter().for_each(|&stock| group_of[stock] = Some(group));
    }
    let mut of: BTreeMap<usize, Vec<Layout>> = BTreeMap::new();
    for layout in layouts {
        if let Some(group) = group_of.get(layout.stock).copied().flatten() {
            of.entry(group).or_default().push(layout.clone());
        }
    }
    if of.is_empty() {
        return BTreeMap::new();
    }
    // Mostly all of them are, and one look at the whole question tells.
    let all = judged(batch, of.values().flatten().cloned().collect());
    let answers = of.into_iter().filter_map(|(group, layouts)| {
        let alone = all.is_none().then(|| judged(batch, layouts.clone()));
        let missing = alone.as_ref().map_or(all.as_ref(), Option::as_ref)?;
        let of_group = |part: &usize| batch.groups()[group].parts.binary_search(part).is_ok();
        let unplaced = missing.iter().copied().filter(|(part, _)| of_group(part)).collect();
        Some((group, Answer { layouts, unplaced, ..Answer::default() }))
    });
    answers.collect()
}

/// What such a plan leaves over; `None` where the check refuses it.
fn judged(batch: &CheckedBatch, layouts: Vec<Layout>) -> Option<Vec<(usize, u32)>> {
    let groups = vec![GroupClaim::default(); batch.groups().len()];
    let mut plan = Plan { layouts, unplaced: Vec::new(), groups };
    let made = Tally::of(batch, &plan).made;
    let missing = batch.batch().parts.iter().zip(made).enumerate().filter_map(|(index, (part, made))| {
        let missing = u64::from(part.qty).saturating_sub(made);
        Some((index, u32::try_from(missing).ok().filter(|&missing| missing > 0)?))
    });
    plan.unplaced = missing.collect();
    check::check(batch, &plan).ok()?;
    Some(plan.unplaced)
}

/// Every group with the effort that is asked for. Where several want a deep search, which takes as much time as it gets,
/// every one has a normal one first: none waits for another without a good plan.
fn rounds(batch: &CheckedBatch, control: &Control<'_>) -> Vec<(Answer, GroupClaim)> {
    let groups: Vec<usize> = (0..batch.groups().len()).collect();
    let effort = control.effort();
    let first = if groups.len() > 1 { effort.min(Effort::Normal) } else { effort };
    let mut answers = round(batch, &groups, control, first);
    if first < effort {
        let open: Vec<usize> = groups.iter().copied().filter(|&group| !answers[group].finished()).collect();
        if let Some(why) = control.must_stop() {
            // What they have is what they get.
            for group in open {
                answers[group].stop = Some(why);
                control.tell(Event::Done(group));
            }
        } else {
            for (&group, deep) in open.iter().zip(round(batch, &open, control, effort)) {
                answers[group] = both(batch, group, std::mem::take(&mut answers[group]), deep);
            }
        }
    }
    let answers: Vec<(usize, Answer)> = groups.into_iter().zip(answers).collect();
    parallel::each(answers, |(group, answer)| {
        let claim = claim(batch, group, &answer);
        (answer, claim)
    })
}

/// Some groups, each with its fair part of the time that is left.
fn round(batch: &CheckedBatch, groups: &[usize], control: &Control<'_>, effort: Effort) -> Vec<Answer> {
    parallel::in_turn(groups, |&g, waiting| {
        control.tell(Event::Group(g));
        let part = control.share(effort, waiting, parallel::threads());
        let answer = match batch.groups()[g].kind {
            GroupKind::Boards => board::solve(batch, g, &part),
            GroupKind::Sheets => sheet::solve(batch, g, &part),
        };
        if effort == control.effort() || answer.finished() {
            control.tell(Event::Done(g));
        }
        answer
    })
}

/// The better of two plans with the proofs of both searches.
fn both(batch: &CheckedBatch, group: usize, before: Answer, after: Answer) -> Answer {
    let score = |answer: &Answer| Score::of(batch, group, &answer.layouts);
    let (work, stop) = (before.work.saturating_add(after.work), after.stop);
    let (mut best, other) = if score(&after) < score(&before) { (after, before) } else { (before, after) };
    for certificate in other.certificates {
        if !best.certificates.contains(&certificate) {
            best.certificates.push(certificate);
        }
    }
    Answer { work, stop, ..best }
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
