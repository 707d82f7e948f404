//! `nest completions SHELL`: a script that completes commands, flags and files.

use std::io;

use clap::CommandFactory;

use super::{Exit, print};
use crate::Streams;
use crate::args::{Cli, CompletionsArgs};

/// Prints the script.
///
/// # Errors
/// Those of the writer.
pub fn run(args: &CompletionsArgs, streams: &mut Streams<'_>) -> io::Result<Exit> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Cli::command(), "nest", &mut script);
    print(&script, streams.stdout)?;
    Ok(Exit::Done)
}
