//! From the relaxation over sets to whole sheets: one after the other is taken over, and what is left is solved again.
//!
//! The first dive takes what the relaxation uses most, later ones draw among what it uses much.

use super::{Column, FIRST, MORE, Relaxation};
use crate::lp::Outcome;
use crate::search::Dice;

/// Dives.
const DIVES: u32 = 8;
/// Rounds of pricing for what is left.
const ROUNDS: usize = 4;
/// Steps of what is drawn, and how many of them make up for a whole sheet less in the relaxation.
const STEPS: u32 = 1000;
const WHOLE: f64 = 3000.0;

impl Relaxation<'_> {
    /// Sets for all that is asked for, that cost less than so much; `None` where no dive finds any.
    pub(super) fn dive(&mut self, below: i128, seed: u64) -> Option<Vec<Column>> {
        let mut dice = Dice::new(seed, 0x5e75);
        let mut best: Option<(i128, Vec<Column>)> = None;
        for dive in 0..DIVES {
            let below = best.as_ref().map_or(below, |(cost, _)| *cost);
            if let Some(found) = self.once(below, (dive > 0).then_some(&mut dice)) {
                best = Some(found);
            }
            if self.over() {
                break;
            }
        }
        best.map(|(_, columns)| columns)
    }

    fn once(&mut self, below: i128, mut dice: Option<&mut Dice>) -> Option<(i128, Vec<Column>)> {
        let mut left = self.demand();
        let mut supply = self.stock.clone();
        let (mut spent, mut taken) = (0, Vec::new());
        while left.iter().any(|&left| left > 0) {
            self.ask(&left, &supply);
            for _ in 0..ROUNDS {
                if self.master.solve_until(20_000, self.stop) == Outcome::Limit || self.over() {
                    return None;
                }
                let aim: Vec<f64> = self.master.prices().iter().map(|price| price.max(0.0)).collect();
                if self.price(&aim, &left, FIRST * MORE).0 == 0 {
                    break;
                }
            }
            self.master.solve(20_000);
            if spent as f64 + self.master.objective() * self.dearest >= below as f64 {
                return None;
            }
            let mut draw = |value: f64| match &mut dice {
                Some(dice) => value + f64::from(dice.below(STEPS)) / WHOLE,
                None => value,
            };
            let (columns, missing) = self.master.solution();
            let whole: Vec<(usize, f64)> =
                columns.iter().copied().filter(|&(_, value)| value > 1.0 - 1e-6).collect();
            let chosen = if whole.is_empty() {
                let drawn = columns.iter().map(|&(column, value)| (column, draw(value)));
                drawn.max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0))).into_iter().collect()
            } else {
                whole
            };
            if missing > 1e-6 || chosen.is_empty() {
                return None;
            }
            for (column, _) in chosen {
                let (kind, set) = &self.columns[column];
                // What was taken before it may have used up what it needs.
                let fits = set.iter().all(|&(item, count)| count <= left[item]) && supply[*kind] != Some(0);
                if fits {
                    set.iter().for_each(|&(item, count)| left[item] -= count);
                    supply[*kind] = supply[*kind].map(|supply| supply - 1);
                    spent += self.problem.kinds[*kind].cost;
                    taken.push(self.columns[column].clone());
                }
            }
        }
        (spent < below).then_some((spent, taken))
    }

    /// Sets the master to what is left.
    pub(super) fn ask(&mut self, left: &[u32], supply: &[Option<u32>]) {
        for (index, (kind, set)) in self.columns.iter().enumerate() {
            let proper = set.iter().all(|&(item, count)| count <= left[item])
                && supply[*kind] != Some(0)
                && !self.barred.contains(&index);
            self.master.set_active(index, proper);
        }
        let rhs = left.iter().map(|&left| f64::from(left));
        let rhs: Vec<f64> = rhs.chain(supply.iter().flatten().map(|&supply| -f64::from(supply))).collect();
        self.master.set_rhs(&rhs);
    }
}
