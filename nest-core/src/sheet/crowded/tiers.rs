//! Given sheets filled tier by tier, where a few pieces take nearly all of the area.
//!
//! Ruin and recreate of all pieces at once keeps putting tiny ones where larger ones were to go, and looks at all the gaps
//! between them. So the largest are placed first, as if there were no others. Once all of them are, somewhat smaller ones
//! join them, and so on: for the tiniest there is a place at the end as a rule, and where there is none, another place for
//! what is in the way.
//!
//! Several chains climb side by side; from time to time those behind go on from the one that is ahead.

use std::cmp::Reverse;

use super::super::filling::need;
use super::super::packed::Packed;
use super::super::problem::Problem;
use super::super::ruin::Chain;
use super::super::worth::Worth;
use super::{CHAINS, Filled};
use crate::search::{Dice, parallel};

/// How much of the area is left to later tiers, in parts of a thousand.
const LATER: [u128; 7] = [100, 50, 20, 10, 5, 2, 0];
/// Chains compare notes after so much work for each piece.
const EPOCH: u64 = 10_000;
const EPOCHS: u32 = 40;
/// After so many epochs, those behind go on from the one ahead.
const BEHIND: u32 = 10;
/// It goes on as long as, in so many epochs, the first comes to the next tier or leaves out one of so many parts less.
const PATIENCE: u32 = 24;
const GAIN: u128 = 16;

/// The best of several fillings of so many sheets of each kind; and the work done.
pub(super) fn fill(
    problem: &Problem,
    worth: &Worth,
    goal: &[u32],
    dice: &impl Fn(u64) -> Dice,
    work: u64,
    stop: &(impl Fn() -> bool + Sync),
) -> (Option<Filled>, u64) {
    let climb = Climb { problem, worth, goal, tiers: tiers(problem) };
    let mut climbers: Vec<Climber<'_>> = (0..CHAINS).map(|chain| climb.begin(dice(chain), chain)).collect();
    let epoch = EPOCH * problem.required_pieces();
    let (mut spent, mut epochs) = (0, 0);
    let mut ahead = (Reverse(0), u128::MAX);
    let mut since = 0;
    while since < PATIENCE && epochs < EPOCHS && spent < work && !stop() {
        climbers = parallel::each(climbers, |climber| climb.on(climber, epoch, stop));
        spent = climbers.iter().map(Climber::work).sum();
        epochs += 1;
        since += 1;
        let Some(first) = climbers.iter().min_by_key(|climber| climber.key()) else { break };
        let key = first.key();
        if climb.done(first) {
            break;
        }
        if key.0 < ahead.0 || key.1 < ahead.1 - ahead.1 / GAIN {
            (ahead, since) = (key, 0);
        }
        if epochs % BEHIND == 0 {
            let best = climb.packed(first);
            for climber in climbers.iter_mut().filter(|climber| climber.key().0 > key.0) {
                climb.set_out(climber, &best, key.0.0);
            }
        }
    }
    let first = climbers.into_iter().min_by_key(Climber::key);
    (first.map(|first| climb.filled(&first)), spent)
}

/// How many pieces of each item are to be placed at each tier. Optional ones never count.
fn tiers(problem: &Problem) -> Vec<Vec<u32>> {
    let demand = problem.demand();
    let all = need(problem, &demand);
    let mut tiers: Vec<Vec<u32>> = Vec::new();
    for later in LATER {
        let mut tier = vec![0; demand.len()];
        let mut area = 0;
        // Items are numbered by area, the largest first.
        for (item, of) in problem.items.iter().enumerate() {
            if of.optional || 1000 * area < (1000 - later) * all {
                tier[item] = demand[item];
                area += if of.optional { 0 } else { u128::from(of.area) * u128::from(of.demand) };
            }
        }
        if tiers.last() != Some(&tier) {
            tiers.push(tier);
        }
    }
    tiers
}

/// What all climbers are to do.
struct Climb<'p> {
    problem: &'p Problem,
    worth: &'p Worth,
    goal: &'p [u32],
    tiers: Vec<Vec<u32>>,
}

/// One search: a chain at a tier.
struct Climber<'p> {
    chain: Chain<'p>,
    tier: usize,
    number: u64,
    dice: Dice,
    /// Gaps looked at by chains that went before.
    spent: u64,
}

impl Climber<'_> {
    /// Less is better: first the tier, then what is left out of it.
    fn key(&self) -> (Reverse<usize>, u128) {
        (Reverse(self.tier), self.chain.best.missing)
    }

    fn work(&self) -> u64 {
        self.spent + self.chain.filling.work
    }
}

impl<'p> Climb<'p> {
    fn begin(&self, mut dice: Dice, number: u64) -> Climber<'p> {
        let nothing = Packed::new(self.problem, Vec::new(), self.tiers[0].clone());
        let chain = self.chain(&nothing, &mut dice, number);
        Climber { chain, tier: 0, number, dice, spent: 0 }
    }

    /// A chain that goes on from given sheets.
    fn chain(&self, from: &Packed, dice: &mut Dice, number: u64) -> Chain<'p> {
        let mut chain = Chain::new(from.filling(self.problem, self.worth), dice.bits().into(), number);
        chain.aim_at(self.goal, from);
        chain.near = true;
        chain
    }

    fn set_out(&self, climber: &mut Climber<'p>, from: &Packed, tier: usize) {
        climber.spent += climber.chain.filling.work;
        climber.chain = self.chain(from, &mut climber.dice, climber.number);
        climber.tier = tier;
    }

    /// So much work further, or a tier.
    fn on(&self, mut climber: Climber<'p>, work: u64, stop: &impl Fn() -> bool) -> Climber<'p> {
        climber.chain.run(work, 0, stop);
        if climber.chain.best.missing == 0
            && let Some(next) = self.tiers.get(climber.tier + 1)
        {
            let mut placed = self.packed(&climber);
            let more = next.iter().zip(&self.tiers[climber.tier]).map(|(next, now)| next - now);
            placed.left.iter_mut().zip(more).for_each(|(left, more)| *left += more);
            let from = Packed::new(self.problem, placed.sheets, placed.left);
            let tier = climber.tier + 1;
            self.set_out(&mut climber, &from, tier);
        }
        climber
    }

    fn done(&self, climber: &Climber<'_>) -> bool {
        climber.tier + 1 == self.tiers.len() && climber.chain.best.missing == 0
    }

    /// Its best sheets, with what they leave of its tier.
    fn packed(&self, climber: &Climber<'_>) -> Packed {
        climber.chain.best.packed(self.problem)
    }

    /// The same with what they leave of all.
    fn filled(&self, climber: &Climber<'_>) -> Filled {
        let of = self.packed(climber);
        let lacks = need(self.problem, &of.left);
        let mut left = of.left;
        let later =
            self.problem.demand().into_iter().zip(&self.tiers[climber.tier]).map(|(all, now)| all - now);
        left.iter_mut().zip(later).for_each(|(left, later)| *left += later);
        Filled { packed: Packed::new(self.problem, of.sheets, left), lacks }
    }
}
