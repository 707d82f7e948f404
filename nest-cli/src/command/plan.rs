//! `nest plan`: the main job, from files to papers.

use std::io;
use std::sync::atomic::AtomicBool;

use super::Exit;
use crate::args::PlanArgs;
use crate::diagnose::{Desk, Failure};
use crate::{Streams, Terminal, input, options};

/// Reads, checks, solves and writes.
///
/// # Errors
/// Those of the streams; all else is printed.
pub fn run(
    args: &PlanArgs,
    terminal: &Terminal,
    interrupted: &AtomicBool,
    streams: &mut Streams<'_>,
) -> io::Result<Exit> {
    let color = terminal.color(args.talk.color, terminal.stderr);
    let mut desk = Desk::default();
    let solver = options::solver(args).map_err(|failure| desk.fail(failure));
    let spare = args.spare.as_deref().map_or(Ok(0), options::spare).map_err(|failure| desk.fail(failure));
    for (paths, what) in [(&args.parts, "parts"), (&args.stock, "stock"), (&args.rack, "the rack")] {
        input::announce(paths, what, terminal.stdin, streams.stderr)?;
    }
    let question =
        input::read(&options::files(args), &options::overrides(&args.shop), streams.stdin, &mut desk);
    let checked = question.and_then(|question| question.check(&mut desk));
    let (Some(_checked), Ok(_solver), Ok(_spare), 0) = (checked, solver, spare, desk.errors()) else {
        desk.print_errors(color, streams.stderr)?;
        return Ok(Exit::Bad);
    };
    if !args.talk.quiet {
        desk.print_warnings(color, streams.stderr)?;
    }
    let _ = interrupted;
    desk.fail(Failure::new("plans cannot be made yet"));
    desk.print_errors(color, streams.stderr)?;
    Ok(Exit::Bad)
}
