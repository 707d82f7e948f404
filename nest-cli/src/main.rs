//! Exits with what [`nest_cli::run`] says.
#![forbid(unsafe_code)]

use std::io::{self, BufWriter};
use std::process::ExitCode;

use nest_cli::{Streams, Terminal, guard, interrupt, run};

fn main() -> ExitCode {
    let exit = guard(|| {
        let mut streams = Streams {
            stdin: &mut io::stdin().lock(),
            stdout: &mut BufWriter::new(io::stdout()),
            stderr: &mut io::stderr(),
        };
        run(std::env::args_os(), &Terminal::detect(), interrupt::watch, &mut streams)
    });
    ExitCode::from(exit.code())
}
