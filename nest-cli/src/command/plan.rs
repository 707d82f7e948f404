//! `nest plan`: the main job, from files to papers.
//!
//! Everything that can fail early does so before the search: files are read, the question is looked at as a whole,
//! and the folder for the papers is reserved. What the search returns has passed the check.

use std::io;
use std::path::Path;
use std::sync::atomic::AtomicBool;

use nest_core::model::CheckedBatch;
use nest_core::plan::Layout;
use nest_core::rest::Before;
use nest_core::search::{Options, Stop};
use nest_core::solution::{Solution, Status};

use super::carry::{self, Past};
use super::check::refusal;
use super::{Exit, print};
use crate::args::{PlanArgs, TalkArgs};
use crate::clean::clean;
use crate::diagnose::{Desk, Failure};
use crate::output::disk::RealDisk;
use crate::output::files::{DIAGRAMS, Folder, Stayed, WriteError};
use crate::output::text::{Detail, Look};
use crate::output::{json, papers, text};
use crate::papers::PaperSettings;
use crate::progress::Progress;
use crate::report::words::Words;
use crate::report::{Report, Source, plan_file};
use crate::warn::Warning;
use crate::{Streams, Terminal, input, options};

/// Reads, checks, solves and writes.
///
/// # Errors
/// Those of the streams; all else is printed.
pub fn run(
    args: &PlanArgs,
    terminal: &Terminal,
    watch: fn() -> &'static AtomicBool,
    streams: &mut Streams<'_>,
) -> io::Result<Exit> {
    let color = terminal.color(args.talk.color, terminal.stderr);
    let mut desk = Desk::default();
    if let Some(path) = &args.after {
        input::announce(std::slice::from_ref(path), "a plan", terminal.stdin, streams.stderr)?;
    }
    let past = match carry::read(args, streams, &mut desk) {
        Ok(past) => past,
        Err(faults) => {
            desk.print_errors(color, streams.stderr)?;
            print(refusal(&faults, args.talk.quiet).as_bytes(), streams.stdout)?;
            return Ok(Exit::No);
        }
    };
    let ready = prepare(args, past.as_ref(), terminal, streams, &mut desk)?;
    if !args.talk.verbose {
        desk.drop_remarks();
    }
    let Some(ready) = ready else {
        desk.print_errors_and_causes(args.talk.quiet, color, streams.stderr)?;
        return Ok(Exit::Bad);
    };
    if !args.talk.quiet {
        desk.print_warnings(color, streams.stderr)?;
    }
    let solution = match solve(&ready, args, terminal, watch(), streams) {
        Ok(solution) => solution,
        Err(fault) => {
            desk.fail(
                Failure::new(fault.to_string())
                    .hint("please report it with the files and flags that led here"),
            );
            desk.print_errors(color, streams.stderr)?;
            return Ok(Exit::Fault);
        }
    };
    let warnings = desk.warning_lines();
    let source = Source {
        batch: &ready.batch,
        solution: &solution,
        options: &ready.solver,
        spare: ready.spare,
        before: &ready.before,
        papers: &ready.papers,
        label_start: ready.label_start,
        warnings: &warnings,
    };
    if let Some(folder) = ready.folder {
        let (report, plan) = (Report::full(&source), plan_file(&source));
        match folder.write(papers(&report, &plan)) {
            Ok(stayed) => tell_of(stayed, &report, args.output.as_deref(), &args.talk, color, streams)?,
            Err(error) => {
                desk.fail(failure(error));
                desk.print_errors(color, streams.stderr)?;
                return Ok(Exit::Bad);
            }
        }
    }
    if args.json {
        print(&json::render(&plan_file(&source)), streams.stdout)?;
    } else {
        print(&text::render(&Report::summary(&source), look(args, terminal)), streams.stdout)?;
        if let Some(path) = args.output.as_ref().filter(|_| !args.talk.quiet) {
            let path = clean(&path.to_string_lossy());
            print(format!("The papers are in {path}.\n").as_bytes(), streams.stdout)?;
        }
    }
    Ok(exit(&solution))
}

/// A question that can be solved, and everything that was asked for.
struct Ready {
    batch: CheckedBatch,
    /// Layouts of an earlier plan that still have a place.
    known: Vec<Layout>,
    solver: Options,
    spare: u32,
    before: Before,
    papers: PaperSettings,
    label_start: u32,
    folder: Option<Folder<'static>>,
}

/// All that may go wrong before the search, at once.
fn prepare(
    args: &PlanArgs,
    past: Option<&Past>,
    terminal: &Terminal,
    streams: &mut Streams<'_>,
    desk: &mut Desk,
) -> io::Result<Option<Ready>> {
    for (paths, what) in [(&args.parts, "parts"), (&args.stock, "stock"), (&args.rack, "the rack")] {
        input::announce(paths, what, terminal.stdin, streams.stderr)?;
    }
    let solver = options::solver(args, desk);
    let spare = args.spare.as_deref().map_or(Ok(0), options::spare).map_err(|failure| desk.fail(failure));
    let mut question =
        input::read(&options::files(args), &options::overrides(&args.shop), streams.stdin, desk);
    let mut papers = question.papers.clone();
    let (before, known) = match past {
        Some(past) => past.carry_on(&mut question, desk),
        None => Default::default(),
    };
    if args.after.is_some() && past.is_none() {
        question.lack_stock();
    }
    let label_start = options::papers(&args.papers, question.paper_system, &mut papers, desk);
    if args.papers.label_start.is_some() && args.output.is_none() {
        let message = "expected a folder for the labels beside --label-start, but there is none";
        desk.fail(Failure::new(message).hint("write -o DIR, or leave --label-start out"));
    }
    let batch = question.check(desk);
    if let (Some(after), Some(folder)) = (&args.after, &args.output)
        && lies_in(after, folder)
    {
        let folder = clean(&folder.to_string_lossy());
        let message =
            format!("the plan that is followed lies in the folder {folder}, which would be replaced");
        desk.fail(
            Failure::new(message).hint("write another name for -o: a slip in --cut is mended from that plan"),
        );
    }
    let reserved = args.output.as_ref().map(|path| Folder::reserve(&RealDisk, path, args.force));
    let folder = reserved.transpose().map_err(|error| desk.fail(failure(error)));
    let (Some(batch), Some(solver), Ok(spare), Ok(folder), 0) = (batch, solver, spare, folder, desk.errors())
    else {
        return Ok(None);
    };
    let label_start = label_start.get();
    Ok(Some(Ready { batch, known, solver, spare, before, papers, label_start, folder }))
}

/// Whether a file lies in a folder, as far as the disk tells.
fn lies_in(file: &Path, folder: &Path) -> bool {
    let [file, folder] = [file, folder].map(Path::canonicalize);
    file.is_ok_and(|file| folder.is_ok_and(|folder| file.starts_with(folder)))
}

/// Solves with a live line, if somebody watches.
fn solve(
    ready: &Ready,
    args: &PlanArgs,
    terminal: &Terminal,
    interrupted: &AtomicBool,
    streams: &mut Streams<'_>,
) -> Result<Solution, nest_core::Error> {
    let batch = &ready.batch;
    let live = terminal.stderr && !terminal.dumb && !args.talk.quiet;
    let progress = if live {
        let words = Words::of(&batch.batch().shop, batch.measure());
        Progress::live(interrupted, streams.stderr, words, terminal.columns, batch.groups().len())
    } else {
        Progress::silent(interrupted)
    };
    let solution = nest_core::solve_from(batch, &ready.known, &ready.solver, &progress);
    progress.clear();
    solution
}

fn look(args: &PlanArgs, terminal: &Terminal) -> Look {
    let detail = match (args.talk.quiet, args.talk.verbose) {
        (true, _) => Detail::Quiet,
        (false, true) => Detail::Verbose,
        (false, false) => Detail::Normal,
    };
    let columns = if terminal.stdout { terminal.columns } else { 80 };
    Look { columns, bold: terminal.color(args.talk.color, terminal.stdout), detail }
}

/// Whoever interrupts wants to hear of that first; then parts that are left over count.
fn exit(solution: &Solution) -> Exit {
    match (solution.stop, solution.status) {
        (Stop::Interrupted, _) => Exit::Interrupted,
        (_, Status::Partial) => Exit::No,
        (_, Status::Proven | Status::Feasible) => Exit::Done,
    }
}

/// Names what was in the folder of the papers before and is not of the plan, and tells how many pieces have no label.
pub(super) fn tell_of(
    stayed: Stayed,
    report: &Report,
    folder: Option<&Path>,
    talk: &TalkArgs,
    color: bool,
    streams: &mut Streams<'_>,
) -> io::Result<()> {
    let mut desk = Desk::default();
    let Stayed { drawings, aside } = stayed;
    // Nobody else knows where that is, so it is said even to whoever wants to hear little.
    if !aside.is_empty() {
        let paths = aside.iter().map(|path| path.to_string_lossy().into_owned()).collect();
        desk.warn(None, Warning::PutAside { paths });
    }
    if let Some(folder) = folder.filter(|_| !talk.quiet) {
        if !drawings.is_empty() {
            let folder = folder.join(DIAGRAMS).to_string_lossy().into_owned();
            desk.warn(None, Warning::OtherDrawings { folder, names: drawings });
        }
        if let Some(pieces) = report.labels.as_ref().map(|labels| labels.missing).filter(|&pieces| pieces > 0)
        {
            desk.warn(None, Warning::NoLabel { pieces });
        }
    }
    desk.print_warnings(color, streams.stderr)
}

/// What kept papers from being written, for the desk.
pub(super) fn failure(error: WriteError) -> Failure {
    Failure { message: error.message, hint: error.hint }
}
