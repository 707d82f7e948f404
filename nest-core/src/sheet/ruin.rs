//! Ruin and recreate: can the same be made of less?
//!
//! The goal is a cost a step below the best plan so far. Sheets are dropped until the rest costs no more than that, and
//! what they held is to be placed in the others: again and again a few branches are taken out somewhere and all that
//! is not placed goes in again, largest first as a rule. A round that leaves less area unplaced, or no more
//! than some rounds ago, stays; any other is taken back (late acceptance, Burke and Bykov 2017), as soon as it is certain to
//! leave more. When everything is placed, the goal is reached, and the next one set. After Schrimpf, Schneider,
//! Stamm-Wilbrandt and Dueck 2000, and for guillotine trees Gardeyn and Wauters 2022.
//!
//! Invariant between rounds: the sheets that are not empty cost at most the goal. Deterministic for a seed.

use super::filling::{Among, Filling};
use super::journal::Journal;
use super::packed::Packed;
use super::problem::Problem;
use super::seen::Seen;
use super::tree::Sheet;
use crate::search::Dice;
use crate::units::gcd;

/// A round is compared with that many rounds ago; one entry for each chain in turn, so that some forgive more than
/// others. Longer memories were worse on every set that was tried.
const MEMORY: [usize; 4] = [8, 1, 20, 50];
/// At most so many branches are taken out in a round.
const BRANCHES: u32 = 8;
/// Near the first, one of so many branches is no sibling of it, but of the node it hangs from.
const FARTHER: u32 = 3;
/// One in so many rounds takes out a whole sheet as well.
const WHOLE: u32 = 10;
/// What a round costs beside the gaps that are looked at.
const ROUND: u64 = 120;
/// In three of so many rounds pieces go in by length, width or extent across instead of area, and in one at random.
const ORDERS: u32 = 8;

/// One chain of rounds.
pub(crate) struct Chain<'p> {
    pub filling: Filling<'p>,
    /// The best filling with everything required placed, and what it costs; else the one that leaves the least.
    pub best: Best,
    /// Layouts it came through, where they are asked for.
    pub seen: Seen,
    dice: Dice,
    limit: Option<i128>,
    memory: Vec<u128>,
    pub round: usize,
    /// Position of each item in each order of placing.
    ranks: [Vec<u32>; 4],
    journal: Journal,
    /// Sheets that something was taken from in this round.
    ruined: Vec<usize>,
    /// What is not placed is known to fit nowhere.
    settled: bool,
    todo: Vec<usize>,
    /// In this round, the only kind of sheet that may be opened.
    only: Option<usize>,
    /// Common divisor of all costs.
    step: i128,
    /// Whether all branches of a round are taken out near each other.
    pub near: bool,
    /// Whether the sheets are fixed: then there is nothing to aim at beyond.
    fixed: bool,
}

/// The best seen.
#[derive(Clone, Debug)]
pub(crate) struct Best {
    pub missing: u128,
    pub cost: i128,
    pub sheets: Vec<Sheet>,
    pub left: Vec<u32>,
}

impl Best {
    /// Less is better.
    pub fn key(&self) -> (u128, i128) {
        (self.missing, self.cost)
    }

    /// Its sheets that hold something, each once.
    pub fn packed(&self, problem: &Problem) -> Packed {
        let sheets = self.sheets.iter().filter(|sheet| sheet.count > 0).map(|sheet| (sheet.clone(), 1));
        Packed::new(problem, sheets.collect(), self.left.clone())
    }
}

impl<'p> Chain<'p> {
    /// Starts from a filling.
    pub fn new(filling: Filling<'p>, seed: u64, chain: u64) -> Self {
        let problem = filling.problem;
        let step = problem.kinds.iter().fold(0, |step, kind| gcd(step, kind.cost));
        let order = |key: &dyn Fn(usize) -> u64| {
            let mut order: Vec<usize> = (0..problem.items.len()).collect();
            order.sort_by_key(|&item| (std::cmp::Reverse(key(item)), item));
            let mut rank = vec![0; order.len()];
            for (position, item) in order.into_iter().enumerate() {
                rank[item] = position as u32;
            }
            rank
        };
        let side = |item: usize, which: usize| u64::from(problem.items[item].sides[which]);
        let across = |item: usize| {
            let lay = (0..problem.kinds.len()).find_map(|kind| problem.lays(kind, item).first());
            lay.map_or(0, |lay| u64::from(lay.size[1]))
        };
        let ranks = [
            order(&|item| problem.items[item].area),
            order(&|item| side(item, 0)),
            order(&|item| side(item, 1)),
            order(&across),
        ];
        let best = Best {
            missing: filling.missing,
            cost: filling.cost,
            sheets: filling.sheets.clone(),
            left: filling.left.clone(),
        };
        let mut chain = Self {
            filling,
            best,
            seen: Seen::default(),
            dice: Dice::new(seed, chain),
            limit: None,
            memory: vec![0; MEMORY[(chain % MEMORY.len() as u64) as usize]],
            round: 0,
            ranks,
            journal: Journal::default(),
            ruined: Vec::new(),
            settled: false,
            todo: Vec::new(),
            only: None,
            step,
            near: false,
            fixed: false,
        };
        if chain.best.missing == 0 {
            chain.aim_lower();
        }
        chain.forget();
        chain
    }

    /// Continues from the best of another chain.
    pub fn adopt(&mut self, best: &Packed) {
        let filling = best.filling(self.filling.problem, self.filling.worth);
        self.filling.adopt(&filling.sheets, &filling.left);
        self.best =
            Best { missing: best.missing, cost: best.cost, sheets: filling.sheets, left: filling.left };
        if self.best.missing == 0 {
            self.aim_lower();
        }
        self.forget();
    }

    /// Continues from the best plan with the given number of sheets of each kind.
    pub fn aim_at(&mut self, goal: &[u32], from: &Packed) {
        let filling = from.filling(self.filling.problem, self.filling.worth);
        self.filling.adopt(&filling.sheets, &filling.left);
        self.filling.most_open.copy_from_slice(goal);
        (self.fixed, self.limit) = (true, None);
        for (kind, &most) in goal.iter().enumerate() {
            while self.filling.open[kind] > most && self.drop_one(|sheet| sheet.kind() == kind) {}
        }
        self.best = self.now();
        self.forget();
    }

    fn now(&self) -> Best {
        Best {
            missing: self.filling.missing,
            cost: self.filling.cost,
            sheets: self.filling.sheets.clone(),
            left: self.filling.left.clone(),
        }
    }

    fn forget(&mut self) {
        self.memory.fill(self.filling.missing);
        self.settled = false;
    }

    /// Sets the next goal and drops sheets until it is kept.
    fn aim_lower(&mut self) {
        let limit = self.best.cost - self.step.max(1);
        self.limit = Some(limit);
        while self.filling.cost > limit {
            let kinds = &self.filling.problem.kinds;
            if !self.drop_one(|sheet| kinds[sheet.kind()].cost > 0) {
                break;
            }
        }
    }

    /// Empties one of some sheets, mostly the emptiest of a few. Returns whether there was one.
    fn drop_one(&mut self, some: impl Fn(&Sheet) -> bool) -> bool {
        let sheets = &self.filling.sheets;
        let full: Vec<usize> =
            (0..sheets.len()).filter(|&at| sheets[at].count > 0 && some(&sheets[at])).collect();
        let dropped = (0..3)
            .filter_map(|_| full.get(self.dice.below(full.len() as u32) as usize).copied())
            .min_by_key(|&at| (sheets[at].used, at));
        if let Some(at) = dropped {
            self.filling.remove(at, 0);
        }
        dropped.is_some()
    }

    /// Whether its sheets are given.
    pub fn fixed(&self) -> bool {
        self.fixed
    }

    /// Whether nothing cheaper can be looked for.
    pub fn done(&self, floor: i128) -> bool {
        self.best.missing == 0 && (self.fixed || self.best.cost <= floor)
    }

    /// Rounds until so much work is done, or the floor is reached.
    pub fn run(&mut self, work: u64, floor: i128, mut stop: impl FnMut() -> bool) {
        let end = self.filling.work.saturating_add(work);
        while self.filling.work < end && !self.done(floor) {
            if self.round.is_multiple_of(64) && stop() {
                return;
            }
            self.filling.work += ROUND;
            self.round();
        }
    }

    fn round(&mut self) {
        self.journal.begin(&self.filling);
        self.ruin();
        let slot = self.round % self.memory.len();
        // What may be missing after the round.
        let most = self.journal.missing().max(self.memory[slot]);
        if self.recreate(most) && self.journal.sawable(&self.filling) {
            self.seen.note(&self.filling, self.journal.changed());
            self.journal.keep();
        } else {
            self.journal.undo(&mut self.filling);
        }
        self.memory[slot] = self.filling.missing;
        self.round += 1;
        let key = (self.filling.missing, self.filling.cost);
        if key < self.best.key() {
            self.best = self.now();
            if self.filling.missing == 0 && !self.fixed {
                self.aim_lower();
                self.forget();
            }
        }
    }

    fn ruin(&mut self) {
        self.ruined.clear();
        let count = self.filling.sheets.len() as u32;
        if count == 0 {
            return;
        }
        let kinds = self.filling.problem.kinds.len() as u32;
        // With several kinds of sheets, whole ones change places with others.
        self.only =
            (kinds > 1 && !self.fixed && self.dice.once_in(2)).then(|| self.dice.below(kinds) as usize);
        if self.dice.once_in(WHOLE) {
            let at = self.dice.below(count) as usize;
            self.journal.save(at, &self.filling.sheets[at]);
            self.ruined.push(at);
            self.filling.remove(at, 0);
        }
        let branches = 1 + self.dice.below(BRANCHES);
        let mut near: Option<(usize, [u32; 2])> = None;
        for _ in 0..branches {
            let mut at = self.dice.below(count) as usize;
            let mut slot = None;
            if let Some((sheet, nodes)) = near {
                let node = nodes[usize::from(self.dice.once_in(FARTHER))];
                slot = self.filling.sheets[sheet].child(node, self.dice.bits());
                at = if slot.is_some() { sheet } else { at };
            }
            let sheet = &self.filling.sheets[at];
            if sheet.slots() > 1 && sheet.count > 0 {
                let slot = slot.unwrap_or_else(|| {
                    let slot = 1 + self.dice.below(sheet.slots() - 1);
                    near = self.near.then(|| (at, sheet.above(slot)));
                    slot
                });
                self.journal.save(at, &self.filling.sheets[at]);
                if !self.ruined.contains(&at) {
                    self.ruined.push(at);
                }
                self.filling.remove(at, slot);
            }
        }
    }

    /// Places what can be placed; `false` as soon as more than `most` will be missing.
    fn recreate(&mut self, most: u128) -> bool {
        let mut todo = std::mem::take(&mut self.todo);
        todo.clear();
        let items = &self.filling.problem.items;
        let left = self.filling.left.iter().zip(items).enumerate();
        todo.extend(left.filter(|(_, (left, of))| **left > 0 && !of.optional).map(|(item, _)| item));
        let roll = self.dice.below(ORDERS);
        match roll {
            0 => self.dice.shuffle(&mut todo),
            1..=3 => {
                let rank = &self.ranks[roll as usize];
                todo.sort_unstable_by_key(|&item| rank[item]);
            }
            // Items are numbered by area.
            _ => {}
        }
        let mut missing = 0;
        for &item in &todo {
            // What was not placed before the round has no place where nothing was taken out.
            let stale = self.settled && self.journal.left()[item] > 0;
            while self.filling.left[item] > 0 {
                let journal = &mut self.journal;
                let among = if stale { Among::These(&self.ruined) } else { Among::All };
                let touch = |at: usize, sheet: Option<&Sheet>| {
                    if let Some(sheet) = sheet {
                        journal.save(at, sheet);
                    }
                };
                let dice = Some(&mut self.dice);
                let placed = self.filling.place(item, among, self.only, self.limit, dice, touch);
                if !placed {
                    break;
                }
            }
            missing += u128::from(items[item].made) * u128::from(self.filling.left[item]);
            if missing > most {
                break;
            }
        }
        self.todo = todo;
        self.settled |= missing <= most;
        missing <= most
    }
}

#[cfg(test)]
mod tests {
    use super::super::greedy;
    use super::super::tests::drawn;
    use super::super::worth::Worth;
    use super::*;

    #[test]
    fn a_round_is_given_up_only_when_too_much_will_be_missing_and_leaves_all_as_it_was() {
        let said = |chain: &Chain<'_>| {
            let Filling { sheets, left, missing, cost, .. } = &chain.filling;
            format!("{:?}", (sheets, left, missing, cost))
        };
        let (mut done, mut given_up) = (0, 0);
        for seed in 0..100 {
            let batch = drawn(seed);
            let problem = Problem::new(&batch, 0);
            let worth = Worth::new(problem.largest());
            let chain = || Chain::new(greedy::fill(&problem, &worth, 1, &|| false), seed, 0);
            // One does each round to its end.
            let (mut whole, mut chain) = (chain(), chain());
            for _ in 0..30 {
                let before = said(&chain);
                let most = chain.filling.missing;
                for chain in [&mut whole, &mut chain] {
                    chain.journal.begin(&chain.filling);
                    chain.ruin();
                }
                assert!(whole.recreate(u128::MAX));
                assert_eq!(chain.recreate(most), whole.filling.missing <= most, "{seed}");
                if whole.filling.missing <= most {
                    assert_eq!(said(&chain), said(&whole));
                    [&mut whole, &mut chain].into_iter().for_each(|chain| chain.journal.keep());
                    done += 1;
                    continue;
                }
                for chain in [&mut whole, &mut chain] {
                    chain.journal.undo(&mut chain.filling);
                    assert_eq!(said(chain), before);
                }
                (chain.dice, chain.settled) = (whole.dice.clone(), whole.settled);
                given_up += 1;
            }
        }
        assert!(done > 100 && given_up > 100, "{done} {given_up}");
    }
}
