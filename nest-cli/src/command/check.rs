//! `nest check`: judges a plan, whoever made it.
//!
//! What is wrong with the plan itself `saved` finds. With lists beside it, the question inside is compared with them: a
//! sound plan for other parts is of no use.

use std::io;

use nest_core::model::CheckedBatch;
use nest_core::solution::Status;
use serde::Serialize;

use super::saved::{self, Found, Judged};
use super::{Exit, compare, print};
use crate::args::CheckArgs;
use crate::clean::clean;
use crate::diagnose::{Desk, Failure, MOST_REPORTS};
use crate::input::json::PlanInput;
use crate::input::{self, Files};
use crate::plan_file::amount;
use crate::report::words::{Words, count, stock};
use crate::{Streams, Terminal, options};

/// Reads a plan and judges it.
///
/// # Errors
/// Those of the streams; all else is printed.
pub fn run(args: &CheckArgs, terminal: &Terminal, streams: &mut Streams<'_>) -> io::Result<Exit> {
    let color = terminal.color(args.talk.color, terminal.stderr);
    let mut desk = Desk::default();
    input::announce(std::slice::from_ref(&args.plan), "a plan", terminal.stdin, streams.stderr)?;
    let plan = saved::read(&args.plan, streams, &mut desk);
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

/// The question in the lists, if any were given. `Err` where it has problems, which are on the desk.
fn asked(args: &CheckArgs, streams: &mut Streams<'_>, desk: &mut Desk) -> Result<Option<CheckedBatch>, ()> {
    if args.parts.is_empty() {
        let shop = &args.shop;
        let given = [
            ("--shop", shop.shop.is_some()),
            ("--units", shop.units.is_some()),
            ("--kerf", shop.kerf.is_some()),
            ("--trim", shop.trim.is_some()),
            ("--stages", shop.stages.is_some()),
        ];
        let given: Vec<&str> = given.into_iter().filter_map(|(flag, given)| given.then_some(flag)).collect();
        if given.is_empty() {
            return Ok(None);
        }
        desk.fail(
            Failure::new(format!(
                "expected --parts and --stock beside {}, but there are none",
                given.join(", ")
            ))
            .hint("a plan is judged by the settings inside it; with lists they are compared"),
        );
        return Err(());
    }
    let files = Files {
        parts: args.parts.clone(),
        stock: args.stock.clone(),
        rack: args.rack.clone(),
        shop: args.shop.shop.clone(),
    };
    let before = desk.errors();
    let question = input::read(&files, &options::overrides(&args.shop), streams.stdin, desk);
    match question.check(desk) {
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
        refusal(&self.faults, quiet)
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

/// Why a plan is refused, for whoever asked for it.
pub fn refusal(faults: &[String], quiet: bool) -> String {
    let many = count(faults.len() as u128, "fault");
    let mut text = format!("The plan is refused: {many}.\n");
    if quiet {
        return text;
    }
    for fault in faults.iter().take(MOST_REPORTS) {
        text.push_str(&format!("  {}\n", clean(fault)));
    }
    let rest = faults.len().saturating_sub(MOST_REPORTS);
    if rest > 0 {
        text.push_str(&format!("  and {rest} more\n"));
    }
    text
}

fn judge(plan: PlanInput, asked: Option<&CheckedBatch>) -> Verdict {
    let made = plan.before.pieces();
    let Judged { mut faults, found } = saved::judge(plan, None);
    let Some(found) = found else { return Verdict::refused(faults) };
    let mut different = asked.map_or_else(Vec::new, |asked| compare::questions(asked, &found.batch));
    if made > 0 && !different.is_empty() {
        let pieces = count(made.into(), "piece");
        different.insert(
            0,
            format!("the plan carries another on and asks for less than all: {pieces} were made before it"),
        );
    }
    faults.splice(0..0, different);
    let Found { batch, checked, solution } = found;
    let status = solution.status;
    let words = Words::of(&batch.batch().shop, batch.measure());
    let pieces: u64 = checked.made.iter().sum();
    let used = |board: bool| -> u64 {
        let stock = batch.stock().iter().zip(&checked.used).filter(|(stock, _)| stock.board == board);
        stock.map(|(_, used)| used).sum()
    };
    let (cost, floor) = (words.cost(checked.cost()), words.cost(checked.floor()));
    let quality = match status {
        Status::Proven => "no plan can cost less".to_owned(),
        Status::Feasible => format!("no plan can cost less than {floor}"),
        Status::Partial => "some parts are left over".to_owned(),
    };
    let findings = format!(
        "The plan is sound: {} from {}, cost {cost}; {quality}.",
        count(u128::from(pieces), "piece"),
        stock([used(true), used(false)]),
    );
    let sound = faults.is_empty();
    let exact = |cost| Some(amount(batch.measure(), cost));
    let (cost, floor) = (exact(checked.cost()), exact(checked.floor()));
    Verdict { sound, faults, findings, status: Some(status), cost, floor }
}
