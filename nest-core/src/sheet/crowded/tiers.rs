//! Given sheets filled tier by tier, where a few pieces take nearly all of the area.
//!
//! Ruin and recreate of all pieces at once keeps putting tiny ones where larger ones were to go, and looks at all the gaps
//! between them. So the largest and longest are placed first, as if there were no others. Once all of them are, somewhat
//! smaller ones join them, and so on: for the tiniest there is a place at the end as a rule, and where there is none,
//! another place for what is in the way.
//!
//! Several chains climb side by side; from time to time those behind go on from the one that is ahead. Of a filling that is
//! all but complete, each chain takes a branch out, and climbs with its pieces alone: many short climbs from the best so
//! far find more than a few long ones from nothing (large neighbourhood search, Shaw 1998).

use std::cmp::Reverse;

use super::super::filling::need;
use super::super::packed::Packed;
use super::super::problem::Problem;
use super::super::ruin::Chain;
use super::super::tree::Sheet;
use super::super::worth::Worth;
use super::{CHAINS, Filled};
use crate::search::{Dice, parallel};

/// How much of the area is left to later tiers, in parts of a thousand.
const LATER: [u128; 7] = [100, 50, 20, 10, 5, 2, 0];
/// Chains compare notes after so much work for each piece.
const EPOCH: u64 = 4000;
const EPOCHS: u32 = 24;
/// After so many epochs, those behind go on from the one ahead.
const BEHIND: u32 = 10;
/// It goes on as long as, in so many epochs, the first comes to the next tier or leaves out one of so many parts less.
const PATIENCE: u32 = 8;
const GAIN: u128 = 16;
/// The branch that is taken out holds so many pieces at least, up to four times doubled. Where so many draws hit none, the
/// climb goes on from all there is.
const LEAST_OUT: u32 = 4;
const DOUBLED: u32 = 4;
const DRAWS: u32 = 100;

/// The best of several fillings of so many sheets of each kind, from nothing or from one of them; and the work done.
pub(super) fn fill(
    problem: &Problem,
    worth: &Worth,
    goal: &[u32],
    from: Option<&Packed>,
    dice: &impl Fn(u64) -> Dice,
    work: u64,
    stop: &(impl Fn() -> bool + Sync),
) -> (Option<Filled>, u64) {
    let climb = Climb { problem, worth, goal, tiers: tiers(problem) };
    let mut climbers: Vec<Climber<'_>> =
        (0..CHAINS).map(|chain| climb.begin(from, dice(chain), chain)).collect();
    let epoch = EPOCH * climbers.iter().map(|climber| climber.open(problem)).max().unwrap_or(0).max(1);
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
            let (best, kept) = (climb.packed(first), first.kept.clone());
            for climber in climbers.iter_mut().filter(|climber| climber.key().0 > key.0) {
                climb.set_out(climber, &best, key.0.0);
                climber.kept.clone_from(&kept);
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
    let order = hardest_first(problem);
    let mut tiers: Vec<Vec<u32>> = Vec::new();
    for later in LATER {
        let mut tier = vec![0; demand.len()];
        let mut area = 0;
        for &item in &order {
            let of = &problem.items[item];
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

/// The longer of two as large comes first: it needs a longer gap, of which there are fewer.
fn hardest_first(problem: &Problem) -> Vec<usize> {
    let mut order: Vec<usize> = (0..problem.items.len()).collect();
    order.sort_by_key(|&item| {
        let [long, short] = problem.items[item].sides.map(u128::from);
        Reverse(long.pow(3) * short)
    });
    order
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
    /// How many pieces of each item were placed when it began: they count at every tier.
    kept: Vec<u32>,
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

    /// How many pieces it has to place.
    fn open(&self, problem: &Problem) -> u64 {
        let pieces = problem.demand().into_iter().zip(&self.kept).zip(&problem.items);
        pieces.filter(|(_, item)| !item.optional).map(|((all, kept), _)| u64::from(all - kept)).sum()
    }
}

impl<'p> Climb<'p> {
    fn begin(&self, from: Option<&Packed>, mut dice: Dice, number: u64) -> Climber<'p> {
        let demand = self.problem.demand();
        let (sheets, left) =
            from.map_or_else(|| (Vec::new(), demand.clone()), |from| self.without(from, &mut dice));
        let kept: Vec<u32> = demand.iter().zip(&left).map(|(all, left)| all - left).collect();
        let open = self.wanted(0, &kept).iter().zip(&kept).map(|(wanted, kept)| wanted - kept).collect();
        let chain = self.chain(&Packed::new(self.problem, sheets, open), &mut dice, number);
        Climber { chain, tier: 0, number, dice, kept, spent: 0 }
    }

    /// The sheets of a filling without one of their branches as a rule, and what they leave.
    fn without(&self, from: &Packed, dice: &mut Dice) -> (Vec<(Sheet, u32)>, Vec<u32>) {
        let (mut sheets, mut left) = (from.sheets.clone(), from.left.clone());
        let least = LEAST_OUT << dice.below(DOUBLED + 1);
        for _ in 0..DRAWS {
            let Some((sheet, _)) = sheets.get_mut(dice.below(from.sheets.len() as u32) as usize) else {
                break;
            };
            let mut less = sheet.clone();
            let mut taken = Vec::new();
            less.remove(self.problem, dice.below(sheet.slots()), |item| taken.push(item));
            if taken.len() >= least as usize {
                *sheet = less;
                taken.into_iter().for_each(|item| left[item] += 1);
                break;
            }
        }
        sheets.retain(|(sheet, _)| sheet.count > 0);
        (sheets, left)
    }

    /// How many pieces of each item are to be placed at a tier by a climber.
    fn wanted(&self, tier: usize, kept: &[u32]) -> Vec<u32> {
        self.tiers[tier].iter().zip(kept).map(|(&of, &kept)| of.max(kept)).collect()
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
        if climber.chain.best.missing == 0 && climber.tier + 1 < self.tiers.len() {
            let tier = climber.tier + 1;
            let placed = self.packed(&climber);
            let left = self.left(&climber, &placed.left, tier);
            self.set_out(&mut climber, &Packed::new(self.problem, placed.sheets, left), tier);
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

    /// What is left at a later tier where so much is at the one of a climber.
    fn left(&self, climber: &Climber<'_>, left: &[u32], tier: usize) -> Vec<u32> {
        let [now, then] = [climber.tier, tier].map(|tier| self.wanted(tier, &climber.kept));
        left.iter().zip(then).zip(now).map(|((left, then), now)| left + (then - now)).collect()
    }

    /// The same with what they leave of all.
    fn filled(&self, climber: &Climber<'_>) -> Filled {
        let of = self.packed(climber);
        let left = self.left(climber, &of.left, self.tiers.len() - 1);
        Filled { lacks: need(self.problem, &of.left), packed: Packed::new(self.problem, of.sheets, left) }
    }
}
