//! Other plans of the same cost: offcuts gathered into few large ones, rack pieces left whole, shallower trees.
//!
//! Ruin and recreate once more, with places chosen so that the squares of what stays free are largest. A round stays
//! when everything is placed again at no more cost and the leftovers are worth no less than some rounds ago; of
//! equal worth, the easier cuts stay.

use super::filling::{Among, Filling};
use super::journal::Journal;
use super::packed::Packed;
use super::problem::Problem;
use super::tree::Sheet;
use super::worth::Worth;
use crate::model::CheckedBatch;
use crate::plan::{leftover_value, worth_keeping};
use crate::search::Dice;
use crate::units::Length;

/// A round is compared with that many rounds ago.
const MEMORY: usize = 12;
/// At most so many branches are taken out in a round.
const BRANCHES: u32 = 5;
/// Where so many rounds, and as many as it took so far, bring nothing better, that is the end.
const PATIENCE: usize = 4000;
/// One in so many rounds takes out a whole sheet as well.
const WHOLE: u32 = 6;

/// What a plan of a given cost is judged by, as far as a search can tell quickly: optional pieces not made, the worth of what
/// is left over (negative), depth and number of cuts. Less is better.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Look {
    optional: u64,
    loss: i128,
    depth: u64,
    cuts: u64,
}

/// The best of the chain's plans, with everything that the given one makes and at no more cost.
pub(super) fn polish(
    batch: &CheckedBatch,
    problem: &Problem,
    best: &Packed,
    seed: u64,
    work: u64,
    stop: &dyn Fn() -> bool,
) -> (Packed, u64) {
    let worth = Worth::squared(problem.largest());
    let mut polisher = Polisher {
        batch,
        cost: best.cost,
        filling: best.filling(problem, &worth),
        looks: Vec::new(),
        dice: Dice::new(seed, 0x9011),
        journal: Journal::default(),
    };
    polisher.looks = polisher.filling.sheets.iter().map(|sheet| polisher.look(sheet)).collect();
    let mut now = polisher.all();
    let mut memory = [now; MEMORY];
    let (mut top, mut found) = (now, None);
    let (mut round, mut last) = (0, 0);
    while polisher.filling.work < work && round < 2 * last + PATIENCE && !(round % 64 == 0 && stop()) {
        let before = polisher.looks.clone();
        polisher.round();
        let after = polisher.all();
        let slot = round % MEMORY;
        let Polisher { filling, journal, .. } = &polisher;
        let whole =
            filling.missing <= journal.missing() && filling.cost <= polisher.cost && journal.sawable(filling);
        if whole && (after <= now || after.optional <= now.optional && after.loss <= memory[slot].loss) {
            polisher.journal.keep();
            now = after;
            if now < top {
                (top, last) = (now, round);
                found = Some(Packed::of(&polisher.filling));
            }
        } else {
            polisher.journal.undo(&mut polisher.filling);
            polisher.looks = before;
        }
        memory[slot] = now;
        round += 1;
    }
    (found.unwrap_or_else(|| best.clone()), polisher.filling.work)
}

struct Polisher<'a> {
    batch: &'a CheckedBatch,
    /// The most that all sheets may cost.
    cost: i128,
    filling: Filling<'a>,
    /// Of each sheet.
    looks: Vec<Look>,
    dice: Dice,
    journal: Journal,
}

impl Polisher<'_> {
    fn round(&mut self) {
        self.filling.work += 20;
        self.journal.begin(&self.filling);
        let count = self.filling.sheets.len() as u32;
        if self.dice.once_in(WHOLE) {
            let at = self.dice.below(count);
            self.take(at, 0);
        }
        for _ in 0..=self.dice.below(BRANCHES) {
            let at = self.dice.below(count);
            let slots = self.filling.sheets.get(at as usize).map_or(0, Sheet::slots);
            if slots > 1 {
                let slot = 1 + self.dice.below(slots - 1);
                self.take(at, slot);
            }
        }
        let left = &self.filling.left;
        let mut todo: Vec<usize> = (0..left.len()).filter(|&item| left[item] > 0).collect();
        if self.dice.once_in(4) {
            self.dice.shuffle(&mut todo);
        }
        for item in todo {
            let journal = &mut self.journal;
            let mut touch = |at: usize, sheet: Option<&Sheet>| {
                if let Some(sheet) = sheet {
                    journal.save(at, sheet);
                }
            };
            let (limit, filling) = (Some(self.cost), &mut self.filling);
            while filling.left[item] > 0
                && filling.place(item, Among::All, None, limit, Some(&mut self.dice), &mut touch)
            {
            }
        }
        self.looks.resize(self.filling.sheets.len(), Look::default());
        for at in (0..self.looks.len())
            .filter(|&at| at >= count as usize || self.journal.changed().any(|a| a == at))
        {
            self.looks[at] = self.look(&self.filling.sheets[at]);
        }
    }

    fn take(&mut self, at: u32, slot: u32) {
        if let Some(sheet) = self.filling.sheets.get(at as usize).filter(|sheet| sheet.count > 0) {
            self.journal.save(at as usize, sheet);
            self.filling.remove(at as usize, slot);
        }
    }

    /// How one sheet looks.
    fn look(&self, sheet: &Sheet) -> Look {
        let problem = self.filling.problem;
        let kind = &problem.kinds[sheet.kind()];
        let Some(stock) = self.batch.stock().get(kind.stock).filter(|_| sheet.count > 0) else {
            return Look::default();
        };
        let shop = &self.batch.batch().shop;
        let mut loss = if stock.on_hand { leftover_value(stock, stock.usable()) } else { 0 };
        for size in sheet.leftovers() {
            let size = size.map(|side| {
                let ticks = u64::from(side).saturating_mul(problem.grid);
                let ticks = i64::try_from(ticks).unwrap_or(i64::MAX);
                Length::from_ticks(ticks.saturating_sub(stock.kerf.ticks()))
            });
            if worth_keeping(shop, stock, size) {
                loss -= leftover_value(stock, size);
            }
        }
        let (depth, cuts) = sheet.effort();
        Look { optional: 0, loss, depth, cuts }
    }

    /// How all of it looks.
    fn all(&self) -> Look {
        let items = self.filling.problem.items.iter().zip(&self.filling.left);
        let optional = items.filter(|(item, _)| item.optional).map(|(_, &left)| u64::from(left)).sum();
        self.looks.iter().fold(Look { optional, ..Look::default() }, |all, look| Look {
            optional,
            loss: all.loss.saturating_add(look.loss),
            depth: all.depth + look.depth,
            cuts: all.cuts + look.cuts,
        })
    }
}
