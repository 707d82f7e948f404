//! The three streams of a program. How a run ends is decided by what happened, not by who still listens.

use std::io::{self, ErrorKind, Read, Write};

/// The three streams of a program.
pub struct Streams<'a> {
    /// Where a list may come from.
    pub stdin: &'a mut dyn Read,
    /// Results.
    pub stdout: &'a mut dyn Write,
    /// Everything else.
    pub stderr: &'a mut (dyn Write + Send),
}

/// Standard output, silent once its reader is gone: whoever closes a pipe has seen enough. All else that keeps a result
/// from arriving, such as a full disk, is an error.
pub(crate) struct Results<'a>(pub &'a mut dyn Write);

impl Write for Results<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        unless_closed(self.0.write(bytes), bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        unless_closed(self.0.flush(), ())
    }
}

fn unless_closed<T>(written: io::Result<T>, all: T) -> io::Result<T> {
    written.or_else(|error| if error.kind() == ErrorKind::BrokenPipe { Ok(all) } else { Err(error) })
}

/// Standard error: a warning that nobody hears is no reason to lose a plan.
pub(crate) struct Remarks<'a>(pub &'a mut (dyn Write + Send));

impl Write for Remarks<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let _ = self.0.write_all(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        let _ = self.0.flush();
        Ok(())
    }
}
