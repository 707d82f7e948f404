//! `nest draw`: makes all papers of a saved plan again, in other units if wanted.
//!
//! Nothing is planned anew, and nothing unsound is drawn: the plan is judged first, as `nest check` does.

use std::io;

use nest_core::model::Warning;

use super::check::refusal;
use super::plan::{failure, tell_of};
use super::saved::{self, Found, Judged};
use super::{Exit, print};
use crate::args::DrawArgs;
use crate::clean::clean;
use crate::diagnose::Desk;
use crate::output::disk::RealDisk;
use crate::output::files::Folder;
use crate::output::papers;
use crate::report::{Report, Source, plan_file};
use crate::{Streams, Terminal, input, options};

/// Reads a plan, judges it, and writes its papers.
///
/// # Errors
/// Those of the streams; all else is printed.
pub fn run(args: &DrawArgs, terminal: &Terminal, streams: &mut Streams<'_>) -> io::Result<Exit> {
    let color = terminal.color(args.talk.color, terminal.stderr);
    let mut desk = Desk::default();
    input::announce(std::slice::from_ref(&args.plan), "a plan", terminal.stdin, streams.stderr)?;
    let style = args.units.as_deref().map(options::style).transpose().map_err(|failure| desk.fail(failure));
    let plan = saved::read(&args.plan, streams, &mut desk);
    let folder =
        Folder::reserve(&RealDisk, &args.output, args.force).map_err(|error| desk.fail(failure(error)));
    let mut settings = plan.as_ref().map(|plan| plan.papers.clone()).unwrap_or_default();
    let usual = plan.as_ref().map(|plan| plan.batch.shop.style);
    let system = style.ok().and_then(|style| Some(style.or(usual)?.parse_unit().system()));
    let label_start =
        options::papers(&args.papers, system.filter(|_| plan.is_some()), &mut settings, &mut desk);
    let (Some(plan), Ok(style), Ok(folder), 0) = (plan, style, folder, desk.errors()) else {
        desk.print_errors(color, streams.stderr)?;
        return Ok(Exit::Bad);
    };
    let (spare, options, before) = (plan.spare, plan.searched.options.clone(), plan.before.clone());
    let told = plan.warnings.clone();
    let found = match saved::judge(plan, style) {
        Judged { found: Some(found), faults } if faults.is_empty() => found,
        Judged { faults, .. } => {
            print(refusal(&faults, args.talk.quiet).as_bytes(), streams.stdout)?;
            return Ok(Exit::No);
        }
    };
    let Found { batch, solution, .. } = found;
    // What is made has quantity 0.
    let odd = |w: &&Warning| {
        let made = !before.made.is_empty() && matches!(w, Warning::NothingToMake { .. });
        !w.is_remark() && !made
    };
    let warnings = match told.is_empty() {
        true => batch.warnings().iter().filter(odd).map(ToString::to_string).collect(),
        false => told,
    };
    let source = Source {
        batch: &batch,
        solution: &solution,
        options: &options,
        spare,
        before: &before,
        papers: &settings,
        label_start: label_start.get(),
        warnings: &warnings,
    };
    let (report, file) = (Report::full(&source), plan_file(&source));
    match folder.write(papers(&report, &file)) {
        Ok(stayed) => tell_of(stayed, &report, Some(&args.output), &args.talk, color, streams)?,
        Err(error) => {
            desk.fail(failure(error));
            desk.print_errors(color, streams.stderr)?;
            return Ok(Exit::Bad);
        }
    }
    if !args.talk.quiet {
        let path = clean(&args.output.to_string_lossy());
        print(format!("The papers are in {path}.\n").as_bytes(), streams.stdout)?;
    }
    Ok(Exit::Done)
}
