//! What can go wrong above the model: a fault of our own.

use crate::check::Fault;
use std::fmt;

/// An error of the library.
#[derive(Clone, Debug)]
pub struct Error(Vec<Fault>);

impl Error {
    pub(crate) fn fault(faults: Vec<Fault>) -> Self {
        Self(faults)
    }

    /// Whether a solver made a plan that the check refuses: a fault of this library.
    pub fn is_fault(&self) -> bool {
        true
    }

    /// What the check found.
    pub fn faults(&self) -> &[Fault] {
        &self.0
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the plan that was found does not pass the check, which is a fault of this library")?;
        for fault in self.0.iter().take(5) {
            write!(f, "; {fault}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Error {}
