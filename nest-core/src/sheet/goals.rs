//! Which sheets to try next, where there are several kinds: a goal says how many of each.
//!
//! A cost alone leaves open which sheets to buy for it; whether the parts go into given sheets is a much sharper question.
//! Goals are drawn at random near the best plan so far: some of its sheets go, others come, until the area suffices.
//! Of many draws that cost no more than some amount between the floor and the best, the one with the most room wins.

use super::problem::{Kind, Problem};
use super::sets::Lore;
use crate::search::Dice;

/// One goal of so many is the cheapest that may be enough, where that is known.
const OPEN: u32 = 2;
/// Draws for one goal.
const DRAWS: u32 = 60;
/// Steps between the floor and the best cost.
const STEPS: u32 = 1 << 16;

/// Draws goals for one question.
#[derive(Clone, Debug)]
pub(super) struct Goals<'p> {
    kinds: &'p [Kind],
    /// Area of all that must be made.
    need: u128,
    /// Most sheets of a goal: more than there are pieces, since of many small ones that cost nothing some are of use.
    most: u32,
    dice: Dice,
}

impl<'p> Goals<'p> {
    /// `None` where there is nothing to choose.
    pub fn new(problem: &'p Problem, seed: u64) -> Option<Self> {
        let need = super::filling::need(problem, &problem.demand());
        let pieces = u32::try_from(problem.required_pieces()).unwrap_or(u32::MAX);
        let most = pieces.saturating_mul(2).saturating_add(problem.kinds.len() as u32);
        let dice = Dice::new(seed, 0x60a1);
        (problem.kinds.len() > 1).then_some(Self { kinds: &problem.kinds, need, most, dice })
    }

    /// How many of each kind, cheaper than `cost` and no cheaper than `floor`, such as may be enough; `open` are those of the
    /// best plan.
    pub fn draw(&mut self, open: &[u32], cost: i128, floor: i128, lore: &Lore) -> Option<Vec<u32>> {
        let known = lore.open.as_ref().filter(|goal| self.sum(goal, |kind| kind.cost) < cost);
        if let Some(goal) = known
            && self.dice.once_in(OPEN)
        {
            return Some(goal.clone());
        }
        // Mostly close to the best.
        let near = self.dice.below(STEPS).max(self.dice.below(STEPS));
        let most = floor + (cost - 1 - floor) * i128::from(near) / i128::from(STEPS - 1);
        let mut best: Option<(u64, Vec<u32>)> = None;
        for _ in 0..DRAWS {
            let Some((cost, area, goal)) = self.near(open, most) else { continue };
            let gains = best.as_ref().is_none_or(|best| area > best.0);
            if cost >= floor && gains && lore.allows(&goal) {
                best = Some((area, goal));
            }
        }
        best.map(|(_, goal)| goal)
    }

    /// Some other sheets, of enough area, for at most so much.
    fn near(&mut self, open: &[u32], most: i128) -> Option<(i128, u64, Vec<u32>)> {
        let mut goal = open.to_vec();
        let all: u32 = goal.iter().sum();
        let mut go = 1;
        while go < all && !self.dice.once_in(3) {
            go += 1;
        }
        for _ in 0..go {
            let mut which = self.dice.below(goal.iter().sum::<u32>().max(1));
            for count in &mut goal {
                if which < *count {
                    *count -= 1;
                    break;
                }
                which -= *count;
            }
        }
        let mut cost = self.sum(&goal, |kind| kind.cost);
        let mut area = self.sum(&goal, |kind| i128::from(kind.area()));
        let mut sheets: u32 = goal.iter().sum();
        let mut tries = 0;
        // Beside a dear kind, sheets that cost next to nothing always find the money.
        while tries < 2 * self.kinds.len() && sheets < self.most {
            let at = self.dice.below(self.kinds.len() as u32) as usize;
            let kind = &self.kinds[at];
            tries += 1;
            if kind.supply.is_none_or(|supply| goal[at] < supply) && cost.saturating_add(kind.cost) <= most {
                goal[at] += 1;
                sheets += 1;
                cost += kind.cost;
                area += i128::from(kind.area());
                tries = 0;
            }
        }
        let enough = area.unsigned_abs() >= self.need && cost <= most;
        (enough && goal != open).then(|| (cost, u64::try_from(area).unwrap_or(u64::MAX), goal))
    }

    /// Of all sheets of a goal together.
    fn sum(&self, goal: &[u32], of: impl Fn(&Kind) -> i128) -> i128 {
        goal.iter().zip(self.kinds).fold(0, |sum: i128, (&count, kind)| {
            sum.saturating_add(of(kind).saturating_mul(i128::from(count)))
        })
    }
}
