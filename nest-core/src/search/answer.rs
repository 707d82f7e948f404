//! What a solver says about one group.

use super::Stop;
use crate::plan::{Certificate, Layout};

/// What a driver answers for one group.
#[derive(Clone, Debug, Default)]
pub(crate) struct Answer {
    /// Layouts of the group.
    pub layouts: Vec<Layout>,
    /// Parts not made, ascending, none with 0.
    pub unplaced: Vec<(usize, u32)>,
    /// Proofs of floors, the best first as far as the driver can tell.
    pub certificates: Vec<Certificate>,
    /// Why the search ended.
    pub stop: Option<Stop>,
    /// Units of work done.
    pub work: u64,
}

impl Answer {
    /// Whether there was nothing left to look for.
    pub fn finished(&self) -> bool {
        self.stop.is_none_or(|stop| stop == Stop::Finished)
    }
}
