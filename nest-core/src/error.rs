//! What can go wrong above the model: a fault of our own.

use crate::check::Faults;
use std::fmt;

/// A solver made a plan that the check refuses: a fault of this library, and not of the question.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Error(Faults);

impl Error {
    pub(crate) fn new(faults: Faults) -> Self {
        Self(faults)
    }

    /// What the check found.
    pub fn faults(&self) -> &Faults {
        &self.0
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the plan that was found does not pass the check, which is a fault of this library")?;
        for fault in self.0.as_slice().iter().take(5) {
            write!(f, "; {fault}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Error {}
