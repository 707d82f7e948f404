//! `nest check`: judges a plan, whoever made it.

use std::io;

use super::Exit;
use crate::args::CheckArgs;
use crate::diagnose::{Failure, print_failure};
use crate::{Streams, Terminal};

/// Reads a plan and judges it.
///
/// # Errors
/// Those of the streams; all else is printed.
pub fn run(args: &CheckArgs, terminal: &Terminal, streams: &mut Streams<'_>) -> io::Result<Exit> {
    let color = terminal.color(args.talk.color, terminal.stderr);
    print_failure(&Failure::new("plans cannot be read yet"), color, streams.stderr)?;
    Ok(Exit::Bad)
}
