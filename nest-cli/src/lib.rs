//! The command-line program: files in, papers out.
//!
//! [`run`] reads as a table of contents. Results go to standard output, everything else to standard error; the exit
//! code says which of five ways the run ended, see [`command::Exit`], whether or not anybody listens.
#![forbid(unsafe_code)]

pub mod args;
pub mod clean;
pub mod command;
pub mod diagnose;
pub mod input;
pub mod interrupt;
pub mod options;
pub mod output;
pub mod papers;
pub mod plan_file;
pub mod progress;
pub mod report;
mod streams;
pub mod terminal;
pub mod warn;

use std::ffi::OsString;
use std::io::{self, Write};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::AtomicBool;

use args::{Cli, Command};
use command::Exit;
use diagnose::{Failure, plain, print_failure};
pub use streams::Streams;
use streams::{Remarks, Results};
pub use terminal::Terminal;

/// Runs the program. `watch` is called when a search begins, since what can be kept is found from then on; the flag that it
/// returns is set by whoever wants the search to stop with what it has.
pub fn run(
    args: impl IntoIterator<Item = OsString>,
    terminal: &Terminal,
    watch: fn() -> &'static AtomicBool,
    streams: &mut Streams<'_>,
) -> Exit {
    let streams = &mut Streams {
        stdin: &mut *streams.stdin,
        stdout: &mut Results(streams.stdout),
        stderr: &mut Remarks(streams.stderr),
    };
    let ended = match Cli::read(args) {
        Err(error) => usage(&error, terminal, streams),
        Ok(cli) => match &cli.command {
            Command::Plan(args) => command::plan::run(args, terminal, watch, streams),
            Command::Check(args) => command::check::run(args, terminal, streams),
            Command::Draw(args) => command::draw::run(args, terminal, streams),
            Command::New(args) => command::new::run(args, terminal, streams),
            Command::Completions(args) => command::completions::run(args, streams),
        },
    };
    match ended {
        Ok(exit) => exit,
        Err(error) => {
            let failure = Failure::new(format!("the result cannot be written: {}", plain(&error)));
            let _ = print_failure(&failure, false, streams.stderr);
            Exit::Bad
        }
    }
}

/// Runs something that must not fall over. A panic is a fault of ours and ends in a short apology.
pub fn guard(run: impl FnOnce() -> Exit) -> Exit {
    std::panic::set_hook(Box::new(|panic| {
        let place =
            panic.location().map(|place| format!(" ({}:{})", place.file(), place.line())).unwrap_or_default();
        let text = format!(
            "error: sorry, nest came upon a fault of its own{place}\n\
             No file was left half written. Please report it with the files and flags that led here.\n"
        );
        // The reason may quote a name from a file, so it is not printed.
        let _ = io::stderr().write_all(text.as_bytes());
    }));
    let ended = catch_unwind(AssertUnwindSafe(run)).unwrap_or(Exit::Fault);
    drop(std::panic::take_hook());
    ended
}

/// Help, version, and what is wrong with a command line.
fn usage(error: &clap::Error, terminal: &Terminal, streams: &mut Streams<'_>) -> io::Result<Exit> {
    let (to, is_terminal): (&mut dyn Write, bool) = match error.use_stderr() {
        true => (&mut *streams.stderr, terminal.stderr),
        false => (&mut *streams.stdout, terminal.stdout),
    };
    let text = error.render();
    let text = if terminal.color(args::ColorArg::Auto, is_terminal) {
        text.ansi().to_string()
    } else {
        text.to_string()
    };
    command::print(text.as_bytes(), to)?;
    Ok(if error.exit_code() == 0 { Exit::Done } else { Exit::Bad })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_ends_as_a_fault_of_ours() {
        assert_eq!(guard(|| panic!("for the test")), Exit::Fault);
        assert_eq!(guard(|| Exit::No), Exit::No);
    }
}
