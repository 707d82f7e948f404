//! Rows that waste next to nothing, for many pieces of many sizes.
//!
//! Of hundreds of pieces very many share an edge by chance: a few that do make a block, and blocks of one thickness make a
//! row across the sheet. So most of a sheet can be filled without waste, and more of it with little. Rows are taken out
//! and others put in as long as that leaves less of the sheets; across what they leave go rows again, and what no row
//! holds is cut from the rest by ruin and recreate.

mod fill;
mod loose;
mod row;
mod stack;
#[cfg(test)]
pub(in crate::sheet) mod tests;

use super::super::filling::need;
use super::super::packed::Packed;
use super::super::problem::Problem;
use super::super::ruin::Chain;
use super::super::worth::Worth;
use super::{CHAINS, Filled};
use crate::search::{Dice, parallel};
use fill::Filler;

/// Work of one filling for each piece, and what ruin and recreate may do at a time to complete it.
const FILL: u64 = 60_000;
const MEND: u64 = 20_000;
/// It goes on as long as each time one of so many parts less is left out.
const GAIN: u128 = 16;
/// With fewer stages there is nothing to nest.
const LEAST_STAGES: u8 = 8;

/// Whether rows may lie in rows that lie in rows.
pub(super) fn nest(problem: &Problem) -> bool {
    problem.kinds.iter().all(|kind| kind.rules.stages >= LEAST_STAGES)
}

/// The best of several fillings of so many sheets of each kind; none where pieces cannot be joined. And the work done.
pub(super) fn fill(
    problem: &Problem,
    worth: &Worth,
    goal: &[u32],
    dice: &(impl Fn(u64) -> Dice + Sync),
    stop: &(impl Fn() -> bool + Sync),
) -> (Option<Filled>, u64) {
    let pieces = problem.required_pieces();
    let fill = |chain| {
        let mut dice = dice(chain);
        let seed = dice.bits();
        let mut filler = Filler::new(problem, dice)?;
        let packed = filler.fill(goal, FILL * pieces, stop);
        Some((packed, seed, filler.work))
    };
    let filled: Vec<_> = parallel::each((0..CHAINS).collect(), fill).into_iter().flatten().collect();
    let mut spent = filled.iter().map(|(_, _, work)| work).sum();
    if let Some((packed, ..)) = filled.iter().find(|(packed, ..)| packed.missing == 0) {
        return (Some(Filled { packed: packed.clone(), lacks: 0 }), spent);
    }
    let mender =
        |(packed, seed, _): &(Packed, u32, u64)| Mender::new(problem, worth, goal, packed, (*seed).into());
    let mut menders: Vec<_> = filled.iter().map(mender).collect();
    // As soon as one is done, the others need not be.
    while menders.iter().any(Mender::gains) && menders.iter().all(|mender| !mender.done()) && !stop() {
        menders = parallel::each(menders, |mender| mender.on(MEND * pieces, stop));
    }
    spent += menders.iter().map(|mender| mender.chain.filling.work).sum::<u64>();
    let best = menders.into_iter().min_by_key(|mender| mender.chain.best.missing);
    (best.map(|best| best.filled(problem)), spent)
}

/// Ruin and recreate on the sheets of one filling.
struct Mender<'p> {
    chain: Chain<'p>,
    /// What was left out the time before.
    before: u128,
}

impl<'p> Mender<'p> {
    fn new(problem: &'p Problem, worth: &'p Worth, goal: &[u32], packed: &Packed, seed: u64) -> Self {
        let mut chain = Chain::new(packed.filling(problem, worth), seed, 0);
        chain.aim_at(goal, packed);
        Self { chain, before: u128::MAX }
    }

    fn done(&self) -> bool {
        self.chain.best.missing == 0
    }

    fn gains(&self) -> bool {
        self.chain.best.missing < self.before - self.before / GAIN
    }

    /// So much work further, if it gained enough the time before.
    fn on(mut self, work: u64, stop: &impl Fn() -> bool) -> Self {
        if self.gains() {
            self.before = self.chain.best.missing;
            self.chain.run(work, 0, stop);
        }
        self
    }

    fn filled(self, problem: &Problem) -> Filled {
        let packed = self.chain.best.packed(problem);
        Filled { lacks: need(problem, &packed.left), packed }
    }
}
