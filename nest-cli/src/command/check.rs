//! `nest check`: judges a plan, whoever made it.
//!
//! What is wrong with the plan itself `saved` finds. With lists beside it, the question inside is compared with them: a
//! sound plan for other parts is of no use.

use std::io;

use nest_core::model::{Batch, CheckedBatch, Stock};
use nest_core::rest::Before;
use nest_core::solution::Status;
use serde::Serialize;

use super::saved::{self, Found, Judged};
use super::{Exit, compare, print};
use crate::args::{CheckArgs, ShopArgs};
use crate::clean::clean;
use crate::diagnose::{Desk, Failure, MOST_REPORTS};
use crate::input;
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
    let before = plan.as_ref().map(|plan| plan.before.clone()).unwrap_or_default();
    let judged = plan.map(|plan| saved::judge(plan, None));
    let found = judged.as_ref().and_then(|judged| judged.found.as_ref());
    let asked = asked(args, found.map(|found| found.batch.batch()), &before, terminal, streams, &mut desk)?;
    let (Some(judged), Ok(asked)) = (judged, asked) else {
        desk.print_errors_and_causes(args.talk.quiet, color, streams.stderr)?;
        return Ok(Exit::Bad);
    };
    let verdict = verdict(judged, asked, &before);
    let text = if args.json { verdict.json() } else { verdict.text(args.talk.quiet) };
    print(text.as_bytes(), streams.stdout)?;
    Ok(if verdict.sound { Exit::Done } else { Exit::No })
}

/// A question in lists, less what was made before a plan that carries it on.
struct Asked {
    batch: CheckedBatch,
    /// The lists as they are, where less than that is left.
    whole: Option<Batch>,
}

/// The question in the lists, if any were given and can be compared with that of the plan. `Err` where it has problems,
/// which are on the desk.
fn asked(
    args: &CheckArgs,
    plan: Option<&Batch>,
    before: &Before,
    terminal: &Terminal,
    streams: &mut Streams<'_>,
    desk: &mut Desk,
) -> io::Result<Result<Option<Asked>, ()>> {
    let files = options::files_to_compare(args);
    if files.parts.is_empty() {
        return Ok(without_lists(&args.shop, desk).map(|()| None));
    }
    if input::is_stdin(&args.plan) && files.piped() {
        desk.fail(input::given_twice("the plan"));
        return Ok(Err(()));
    }
    for (paths, what) in [(&files.parts, "parts"), (&files.stock, "stock"), (&files.rack, "the rack")] {
        input::announce(paths, what, terminal.stdin, streams.stderr)?;
    }
    let start = desk.errors();
    let mut question = input::read(&files, &options::overrides(&args.shop), streams.stdin, desk);
    let mut whole = None;
    if *before != Before::default() {
        // Where the question of the plan is unsound or its account is untrue, that is said, and what is left of the lists
        // nobody knows.
        let Some(plan) = plan.filter(|plan| before.check(plan).is_ok()) else {
            return Ok(if desk.errors() == start { Ok(None) } else { Err(()) });
        };
        question.carry_on(|lists| {
            let left = compare::left(&lists, plan, before);
            whole = Some(lists);
            left
        });
    }
    let batch = question.check(desk).filter(|_| desk.errors() == start);
    Ok(batch.map(|batch| Some(Asked { batch, whole })).ok_or(()))
}

/// Refuses flags that say what lists mean where there are none.
fn without_lists(shop: &ShopArgs, desk: &mut Desk) -> Result<(), ()> {
    let given = [
        ("--shop", shop.shop.is_some()),
        ("--units", shop.units.is_some()),
        ("--kerf", shop.kerf.is_some()),
        ("--trim", shop.trim.is_some()),
        ("--stages", shop.stages.is_some()),
    ];
    let given: Vec<&str> = given.into_iter().filter_map(|(flag, given)| given.then_some(flag)).collect();
    if given.is_empty() {
        return Ok(());
    }
    let given = given.join(", ");
    desk.fail(
        Failure::new(format!("expected lists of parts and --stock beside {given}, but there are none"))
            .hint("a plan is judged by the settings inside it; with lists they are compared"),
    );
    Err(())
}

/// What was found out.
#[derive(Debug)]
struct Verdict {
    sound: bool,
    /// Everything that is wrong, one sentence each.
    faults: Vec<String>,
    /// What is true of a sound plan, in words.
    findings: String,
    /// What was not judged, and is true only if the plan says so rightly.
    believed: Vec<String>,
    status: Option<Status>,
    cost: Option<String>,
    floor: Option<String>,
}

impl Verdict {
    fn refused(faults: Vec<String>) -> Self {
        Self {
            sound: false,
            faults,
            findings: String::new(),
            believed: Vec::new(),
            status: None,
            cost: None,
            floor: None,
        }
    }

    fn text(&self, quiet: bool) -> String {
        if self.sound {
            let line = self.findings.lines().next().filter(|_| quiet);
            return format!("{}\n", line.unwrap_or(&self.findings));
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
            #[serde(skip_serializing_if = "<[_]>::is_empty")]
            on_its_word: &'a [String],
        }
        let file = File {
            format: "nest-verdict",
            version: 1,
            sound: self.sound,
            status: self.status,
            cost: self.cost.as_deref(),
            cost_floor: self.floor.as_deref(),
            faults: &self.faults,
            on_its_word: &self.believed,
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

fn verdict(judged: Judged, asked: Option<Asked>, before: &Before) -> Verdict {
    let Judged { mut faults, found } = judged;
    let Some(found) = found else { return Verdict::refused(faults) };
    let compared = asked.is_some();
    if let Some(Asked { batch, whole }) = asked {
        faults.splice(0..0, compare::questions(&batch, whole.as_ref(), &found.batch, before));
    }
    let Found { batch, checked, solution } = found;
    let believed = believed(batch.batch(), before);
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
        Status::Feasible if checked.floor() <= 0 => "nothing is known yet about cheaper plans".to_owned(),
        Status::Feasible => format!("no plan can cost less than {floor}"),
        Status::Partial => "some parts are left over".to_owned(),
    };
    let mut findings = format!(
        "The plan is sound: {} from {}, cost {cost}; {quality}.",
        count(u128::from(pieces), "piece"),
        stock([used(true), used(false)]),
    );
    if !believed.is_empty() {
        let asks = if compared { "It asks for what is left of the lists. " } else { "" };
        findings.push_str(&format!("\n{asks}Taken on its word: {}.", believed.join(", ")));
    }
    let sound = faults.is_empty();
    let exact = |cost| Some(amount(batch.measure(), cost));
    let (cost, floor) = (exact(checked.cost()), exact(checked.floor()));
    Verdict { sound, faults, findings, believed, status: Some(status), cost, floor }
}

/// What a plan that carries another on says of the past. The plan and the lists alone do not tell whether it is so.
fn believed(plan: &Batch, before: &Before) -> Vec<String> {
    let there = compare::in_lists(&plan.stock, before).len();
    let sum = |stock: &[Stock]| stock.iter().map(|row| u128::from(row.qty.unwrap_or(0))).sum::<u128>();
    let pieces = |many: u128, how: &str| (many, format!("{} {how}", count(many, "piece")));
    let gone = sum(&before.gone);
    let said = [
        pieces(before.pieces().into(), "made before it"),
        (gone, format!("{gone} gone of the stock whose quantity the lists limit")),
        pieces(sum(&plan.stock[there..]), "of stock left by earlier plans"),
    ];
    said.into_iter().filter(|(many, _)| *many > 0).map(|(_, said)| said).collect()
}
