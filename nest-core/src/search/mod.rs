//! What every search shares: how much it may work, when to stop, whom to tell, what to answer, seeds, and
//! order-preserving parallel maps.

mod answer;
mod budget;
mod cover;
pub(crate) mod parallel;
mod seed;

pub(crate) use answer::Answer;
pub(crate) use budget::Control;
pub use budget::{Effort, Event, Observer, Options, Silent, Stop};
pub(crate) use cover::{Choice, cover, cover_within};
pub(crate) use seed::{Dice, split_mix};
