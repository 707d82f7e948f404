//! One file a subcommand, and how each may end.

mod carry;
pub mod check;
mod compare;
pub mod completions;
pub mod draw;
pub mod new;
pub mod plan;
mod saved;
mod stated;

use std::io::{self, Write};

/// How the program ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Exit {
    /// All parts are made, the plan is sound, the files are written.
    Done = 0,
    /// An honest no: parts are left over, or a plan was refused.
    No = 1,
    /// Bad input, bad usage, or a file that cannot be read or written.
    Bad = 2,
    /// A fault of ours.
    Fault = 70,
    /// Somebody interrupted; the best plan so far was written, unless a second interrupt wanted to be gone at once.
    Interrupted = 130,
}

impl Exit {
    /// The number that the system is told.
    pub const fn code(self) -> u8 {
        self as u8
    }
}

/// Writes a result and makes sure that it arrived.
///
/// # Errors
/// Those of the writer.
pub fn print(text: &[u8], to: &mut dyn Write) -> io::Result<()> {
    to.write_all(text)?;
    to.flush()
}
