//! What every search shares: how much it may work, when to stop, whom to tell, the incumbent, seeds, and an
//! order-preserving parallel map.

mod budget;
pub(crate) mod parallel;

pub use budget::{Control, Effort, Event, Observer, Options, Silent, Stop};
