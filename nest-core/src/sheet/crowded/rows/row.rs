//! One row of blocks that are about as thick as the row, and about as long together.

use super::loose::{Face, Loose};
use crate::search::Dice;

/// Of so many blocks that may come next, the one that is worth most comes.
const DRAWS: usize = 8;
/// So many blocks are tried as one of the last two.
const PAIRS: usize = 300;
/// Waste costs so many times as much as its area of pieces is worth.
const DEAR: i128 = 8;

/// What rows are made of, and what of it is still to be had.
pub(super) struct Maker<'a> {
    pub loose: &'a Loose,
    /// Whether each piece is free.
    pub free: &'a mut [bool],
    /// What it is worth to place each piece.
    pub worth: &'a [i64],
    /// What all free pieces are worth, and their area.
    pub mean: (i64, u128),
    /// How much of a block may be wasted.
    pub slack: u64,
    /// Blocks looked at.
    pub work: u64,
}

/// A row.
pub(super) struct Found {
    pub faces: Vec<Face>,
    pub waste: u64,
    pub value: i64,
}

/// A row that is to be made.
#[derive(Clone, Copy)]
pub(super) struct Wanted {
    pub axis: usize,
    pub length: u32,
    pub thick: u32,
    /// How much of it may be wasted.
    pub waste: u64,
}

impl Wanted {
    /// What is wasted by a face in it.
    fn waste(&self, face: &Face) -> u64 {
        face.waste + u64::from(self.thick - face.thick) * u64::from(face.length)
    }
}

impl Maker<'_> {
    pub fn is_free(&self, face: &Face) -> bool {
        self.loose.pieces(face).iter().all(|&piece| self.free[usize::from(piece)])
    }

    fn set(&mut self, face: &Face, free: bool) {
        for &piece in self.loose.pieces(face) {
            self.free[usize::from(piece)] = free;
        }
    }

    /// What some pieces are worth, less what so much waste costs.
    fn value(&self, face: &Face, waste: u64) -> i64 {
        self.loose.pieces(face).iter().map(|&piece| self.worth[usize::from(piece)]).sum::<i64>()
            - self.price(waste)
    }

    fn price(&self, waste: u64) -> i64 {
        let dear = DEAR * i128::from(self.mean.0) * i128::from(waste);
        let price = dear.unsigned_abs() / self.mean.1.max(1);
        i64::try_from(price).unwrap_or(i64::MAX / 1024)
    }

    /// A row that begins with a block, if one is found. What is free stays so.
    pub fn row(&mut self, wanted: Wanted, first: Face, dice: &mut Dice) -> Option<Found> {
        let loose = self.loose;
        let groups = loose.thick(wanted.axis, wanted.thick, self.slack);
        if groups.is_empty() {
            return None;
        }
        let mut row = vec![first];
        let mut rest = wanted.length.checked_sub(first.length)?;
        let mut budget = wanted.waste.checked_sub(wanted.waste(&first))?;
        self.set(&first, false);
        let mut done = false;
        while !done {
            let end = |rest: u32| u64::from(rest) * u64::from(wanted.thick);
            if end(rest) <= budget {
                budget -= end(rest);
                done = true;
            } else if let Some(last) = self.last(&groups, &wanted, rest, budget) {
                budget -= wanted.waste(&last) + end(rest - last.length);
                row.push(last);
                done = true;
            } else if 3 * u64::from(rest) < 2 * u64::from(wanted.length)
                && let Some(two) = self.last_two(&groups, &wanted, rest, budget, dice)
            {
                for face in two {
                    budget -= wanted.waste(&face);
                    rest -= face.length;
                    row.push(face);
                }
                budget -= end(rest);
                done = true;
            } else if let Some(next) = self.next(&groups, &wanted, rest, budget, dice) {
                self.set(&next, false);
                row.push(next);
                rest -= next.length;
                budget -= wanted.waste(&next);
            } else {
                break;
            }
        }
        row.iter().for_each(|face| self.set(face, true));
        done.then(|| {
            let waste = wanted.waste - budget;
            let value = row.iter().map(|face| self.value(face, 0)).sum::<i64>() - self.price(waste);
            Found { faces: row, waste, value }
        })
    }

    /// The block that fills the rest of a row best.
    fn last(&mut self, groups: &[&[Face]], wanted: &Wanted, rest: u32, budget: u64) -> Option<Face> {
        let short = u32::try_from(budget / u64::from(wanted.thick)).unwrap_or(u32::MAX).min(rest - 1);
        let mut best: Option<(i64, Face)> = None;
        for group in groups {
            let fits = &group[..group.partition_point(|face| face.length <= rest)];
            for face in fits.iter().rev().take_while(|face| face.length >= rest - short) {
                self.work += 1;
                let waste = wanted.waste(face) + u64::from(rest - face.length) * u64::from(wanted.thick);
                if waste > budget || !self.is_free(face) {
                    continue;
                }
                let value = self.value(face, waste);
                if best.is_none_or(|(most, _)| value > most) {
                    best = Some((value, *face));
                }
            }
        }
        best.map(|(_, face)| face)
    }

    /// Two blocks that fill it together.
    fn last_two(
        &mut self,
        groups: &[&[Face]],
        wanted: &Wanted,
        rest: u32,
        budget: u64,
        dice: &mut Dice,
    ) -> Option<[Face; 2]> {
        let shorter = shorter(groups, rest, dice);
        let begin = dice.below(shorter.len() as u32) as usize;
        let (before, after) = shorter.split_at(begin);
        for one in after.iter().chain(before).take(PAIRS) {
            self.work += 1;
            let Some(left) = budget.checked_sub(wanted.waste(one)).filter(|_| self.is_free(one)) else {
                continue;
            };
            self.set(one, false);
            let other = self.last(groups, wanted, rest - one.length, left);
            self.set(one, true);
            if let Some(other) = other {
                return Some([*one, other]);
            }
        }
        None
    }

    /// A block that leaves some rest.
    fn next(
        &mut self,
        groups: &[&[Face]],
        wanted: &Wanted,
        rest: u32,
        budget: u64,
        dice: &mut Dice,
    ) -> Option<Face> {
        let mut best: Option<(i128, Face)> = None;
        for _ in 0..DRAWS {
            let shorter = shorter(groups, rest, dice);
            let Some(face) = shorter.get(dice.below(shorter.len() as u32) as usize) else { continue };
            self.work += 1;
            let waste = wanted.waste(face);
            // Something must be left for the others.
            if 2 * waste > budget.max(1) && waste > 0 || !self.is_free(face) {
                continue;
            }
            let value = (i128::from(self.value(face, waste)) << 32) / i128::from(face.length.max(1));
            if best.is_none_or(|(most, _)| value > most) {
                best = Some((value, *face));
            }
        }
        best.map(|(_, face)| face)
    }
}

/// The blocks of some thickness that leave a rest of a row.
fn shorter<'a>(groups: &[&'a [Face]], rest: u32, dice: &mut Dice) -> &'a [Face] {
    let group = groups[dice.below(groups.len() as u32) as usize];
    &group[..group.partition_point(|face| face.length < rest)]
}
