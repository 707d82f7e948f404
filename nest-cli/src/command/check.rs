//! `nest check`: judges a plan, whoever made it.
//!
//! Nothing in the file is believed. Its question is validated, its plan is checked against that question, and what it
//! says about its own cost and quality is compared with what the check found. With lists beside it, the question
//! itself is compared with them: a sound plan for other parts is of no use.

use std::io;

use nest_core::check::{Checked, check};
use nest_core::model::CheckedBatch;
use nest_core::solution::Status;
use serde::Serialize;

use super::{Exit, compare, print};
use crate::args::CheckArgs;
use crate::clean::clean;
use crate::diagnose::{Desk, MOST_REPORTS, Spot};
use crate::input::json::{MOST_BYTES, PlanInput, Stated, read_plan};
use crate::input::{self, Files};
use crate::plan_file::amount;
use crate::report::words::{Words, count};
use crate::{Streams, Terminal, options};

/// Reads a plan and judges it.
///
/// # Errors
/// Those of the streams; all else is printed.
pub fn run(args: &CheckArgs, terminal: &Terminal, streams: &mut Streams<'_>) -> io::Result<Exit> {
    let color = terminal.color(args.talk.color, terminal.stderr);
    let mut desk = Desk::default();
    input::announce(std::slice::from_ref(&args.plan), "a plan", terminal.stdin, streams.stderr)?;
    let plan = read(args, streams, &mut desk);
    let asked = asked(args, streams, &mut desk);
    let (Some(plan), Ok(asked)) = (plan, asked) else {
        desk.print_errors(color, streams.stderr)?;
        return Ok(Exit::Bad);
    };
    let verdict = judge(plan, asked.as_ref());
    let text = if args.json { verdict.json() } else { verdict.text(args.talk.quiet) };
    print(text.as_bytes(), streams.stdout)?;
    Ok(if verdict.sound { Exit::Done } else { Exit::No })
}

fn read(args: &CheckArgs, streams: &mut Streams<'_>, desk: &mut Desk) -> Option<PlanInput> {
    let (name, bytes) = input::load_bytes(&args.plan, "a plan", MOST_BYTES as u64, streams.stdin)
        .map_err(|failure| desk.fail(failure))
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
            match at {
                Some(at) => desk.error(Spot { source, span: at..at }, error.message),
                None => desk.error(None, format!("{name}: {}", error.message)),
            };
            None
        }
    }
}

/// The question in the lists, if any were given. `Err` where it has problems, which are on the desk.
fn asked(args: &CheckArgs, streams: &mut Streams<'_>, desk: &mut Desk) -> Result<Option<CheckedBatch>, ()> {
    if args.parts.is_empty() {
        return Ok(None);
    }
    let files = Files {
        parts: args.parts.clone(),
        stock: args.stock.clone(),
        rack: args.rack.clone(),
        shop: args.shop.shop.clone(),
    };
    let before = desk.errors();
    let question = input::read(&files, &options::overrides(&args.shop), streams.stdin, desk);
    let checked = question.and_then(|question| question.check(desk));
    match checked {
        Some(checked) if desk.errors() == before => Ok(Some(checked)),
        _ => Err(()),
    }
}

/// What was found out.
#[derive(Debug)]
struct Verdict {
    sound: bool,
    /// Everything that is wrong, one sentence each.
    faults: Vec<String>,
    /// What is true of a sound plan, in words.
    findings: String,
    status: Option<Status>,
    cost: Option<String>,
    floor: Option<String>,
}

impl Verdict {
    fn refused(faults: Vec<String>) -> Self {
        Self { sound: false, faults, findings: String::new(), status: None, cost: None, floor: None }
    }

    fn text(&self, quiet: bool) -> String {
        if self.sound {
            return format!("{}\n", self.findings);
        }
        let many = count(self.faults.len() as u128, "fault");
        if quiet {
            return format!("The plan is refused: {many}.\n");
        }
        let mut text = format!("The plan is refused: {many}.\n");
        for fault in self.faults.iter().take(MOST_REPORTS) {
            text.push_str(&format!("  {}\n", clean(fault)));
        }
        let rest = self.faults.len().saturating_sub(MOST_REPORTS);
        if rest > 0 {
            text.push_str(&format!("  and {rest} more\n"));
        }
        text
    }

    fn json(&self) -> String {
        #[derive(Serialize)]
        struct File<'a> {
            format: &'static str,
            version: u32,
            sound: bool,
            #[serde(skip_serializing_if = "Option::is_none")]
            status: Option<Status>,
            #[serde(skip_serializing_if = "Option::is_none")]
            cost: Option<&'a str>,
            #[serde(skip_serializing_if = "Option::is_none")]
            cost_floor: Option<&'a str>,
            faults: &'a [String],
        }
        let file = File {
            format: "nest-verdict",
            version: 1,
            sound: self.sound,
            status: self.status,
            cost: self.cost.as_deref(),
            cost_floor: self.floor.as_deref(),
            faults: &self.faults,
        };
        // Texts and numbers alone, so there is nothing that cannot be written.
        serde_json::to_string_pretty(&file).map(|text| text + "\n").unwrap_or_default()
    }
}

fn judge(plan: PlanInput, asked: Option<&CheckedBatch>) -> Verdict {
    let PlanInput { batch, plan, stated } = plan;
    let batch = match batch.check() {
        Ok(batch) => batch,
        Err(problems) => {
            let say =
                |problem: &nest_core::model::Problem| format!("the question inside it is unsound: {problem}");
            return Verdict::refused(problems.as_slice().iter().map(say).collect());
        }
    };
    let mut faults: Vec<String> = asked.map_or_else(Vec::new, |asked| compare::questions(asked, &batch));
    match check(&batch, &plan) {
        Err(found) => {
            faults.extend(found.iter().map(ToString::to_string));
            Verdict::refused(faults)
        }
        Ok(checked) => {
            let words = Words::of(&batch.batch().shop, batch.measure());
            let status = status(&checked);
            claims(&stated, &batch, &checked, status, &words, &mut faults);
            let pieces: u64 = checked.made.iter().sum();
            let boards: u64 = checked.used.iter().sum();
            let (cost, floor) = (words.cost(checked.cost()), words.cost(checked.floor()));
            let quality = match status {
                Status::Proven => "no plan can cost less".to_owned(),
                Status::Feasible => format!("no plan can cost less than {floor}"),
                Status::Partial => "some parts are left over".to_owned(),
            };
            let findings = format!(
                "The plan is sound: {} from {}, cost {cost}; {quality}.",
                count(u128::from(pieces), "piece"),
                count(u128::from(boards), "board"),
            );
            let sound = faults.is_empty();
            let exact = |cost| Some(amount(batch.measure(), cost));
            let (cost, floor) = (exact(checked.cost()), exact(checked.floor()));
            Verdict { sound, faults, findings, status: Some(status), cost, floor }
        }
    }
}

fn status(checked: &Checked) -> Status {
    match (checked.complete(), checked.cost() == checked.floor()) {
        (false, _) => Status::Partial,
        (true, true) => Status::Proven,
        (true, false) => Status::Feasible,
    }
}

/// What a plan says about itself must be what the check found.
fn claims(
    stated: &Stated,
    batch: &CheckedBatch,
    checked: &Checked,
    status: Status,
    words: &Words,
    faults: &mut Vec<String>,
) {
    if stated.measure != batch.measure() {
        faults.push(
            format!(
                "its costs are counted in {:?}, but the question counts in {:?}",
                stated.measure,
                batch.measure()
            )
            .to_lowercase(),
        );
        return;
    }
    for (what, stated, found) in
        [("cost", stated.cost, checked.cost()), ("least possible cost", stated.floor, checked.floor())]
    {
        if stated != found {
            faults.push(format!(
                "it states a {what} of {}, but it is {}",
                words.cost(stated),
                words.cost(found)
            ));
        }
    }
    if stated.status != status {
        faults.push(format!("it calls itself {:?}, but it is {status:?}", stated.status).to_lowercase());
    }
}
