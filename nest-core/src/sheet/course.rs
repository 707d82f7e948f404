//! The steps of a search, each of which may find a cheaper plan, a better floor or layouts for those that follow.

use super::columns::{Column, Generator};
use super::duals::Duals;
use super::floor::{self, Proof};
use super::goals::Goals;
use super::packed::Packed;
use super::problem::Problem;
use super::rounding::{self, Dives};
use super::ruin::Chain;
use super::seen::Seen;
use super::tree::Sheet;
use super::worth::Worth;
use super::{FEW, crowded, greedy, haste, joins, refill, sets, whole};
use crate::search::{Control, Dice, Event, Stop, parallel};

/// Chains that search side by side, whatever the number of threads.
const CHAINS: u64 = 4;
/// Chains compare notes after so much work each; who is behind so many times in a row goes on from the best.
const EPOCH: u64 = 5_000_000;
const PATIENCE: u32 = 3;
/// What a chain spends on one goal, for each piece.
const TRIAL: u64 = 20_000;
/// With more pieces on a sheet on average, sets are too many to be looked at.
const CROWD: u64 = 12;
/// Rounds of column generation.
const ROUNDS: usize = 400;
/// Layouts that are remembered for the integer master.
const MOST_LAYOUTS: usize = 4000;
/// What each chain remembers for dives, in nodes of its layouts, and how many layouts there may be in all.
const MOST_SEEN: u64 = 200_000;
const MOST_IN_ALL: usize = 40_000;
/// The layouts seen so far are put together anew after each quarter of the work of a chain, within these limits: seldom
/// enough to cost little, often enough to show under a time limit.
const RECOMBINE: std::ops::RangeInclusive<u64> = 2_000_000..=60_000_000;
/// Nodes of the integer master.
const NODES: u64 = 64;

/// What the steps of a search share.
pub(super) struct Search<'a> {
    pub group: usize,
    pub problem: &'a Problem,
    pub worth: &'a Worth,
    pub control: &'a Control<'a>,
    /// The best first.
    pub proofs: Vec<Proof>,
    /// What sets said of numbers of sheets.
    pub lore: sets::Lore,
    /// Layouts that chains came through since the last dives.
    pub seen: Vec<Sheet>,
    /// Whether chains remember them: there will be dives.
    pub remembers: bool,
    /// How often chains were set out.
    pub looks: u64,
    pub work: u64,
    pub stop: Stop,
}

impl Search<'_> {
    pub fn floor(&self) -> i128 {
        self.proofs.first().map_or(0, |proof| proof.floor)
    }

    /// Whether there is nothing left to look for, or no time.
    pub fn done(&self, best: &Packed) -> bool {
        best.done(self.floor()) || self.control.must_stop().is_some()
    }

    pub fn told(&self, best: &Packed) {
        if best.missing == 0 {
            self.control.tell(Event::Cost(self.group, best.cost));
        }
    }

    /// The first plan, complete if it can be. Told to stop in the midst of it, what is left is placed in haste, so that a
    /// time limit gives a whole plan; but who interrupts a very long list does not wait for that either.
    pub fn first(&mut self, many: bool, alike: bool) -> Packed {
        let (problem, worth, control) = (self.problem, self.worth, self.control);
        let stop = || control.must_stop().is_some();
        let best = if many && alike {
            greedy::repeat(problem, worth, &stop)
        } else {
            let filling = greedy::fill(problem, worth, if many { 1 } else { 4 }, &stop);
            self.work += filling.work;
            Packed::of(&filling)
        };
        let Some(why) = control.must_stop() else { return best };
        self.stop = why;
        let haste = why == Stop::Time || problem.items.len() <= FEW;
        if haste && best.missing > 0 { haste::complete(problem, worth, best) } else { best }
    }

    /// Chains of ruin and recreate from the best plan so far, with dice of their own every time.
    pub fn ruin(&mut self, best: &mut Packed, pool: &mut Generator<'_>, work: u64) {
        let floor = self.floor();
        let control = self.control;
        let seed = control.seed().wrapping_add(self.looks);
        self.looks += 1;
        let mut chains: Vec<Chain<'_>> = (0..CHAINS)
            .map(|chain| Chain::new(best.filling(self.problem, self.worth), seed, chain))
            .collect();
        // A plan that is not complete has no cost to go below.
        let mut goals = Goals::new(self.problem, seed).filter(|_| best.missing == 0);
        let pieces = self.problem.pieces();
        // Where sheets are given, the chains between go on from the best at once, as those do.
        let (epoch, patience) = match &goals {
            Some(_) => (TRIAL * (20 + pieces), 1),
            None => (EPOCH, PATIENCE),
        };
        let epoch = epoch.min(work);
        let recombine = (work / 4).clamp(*RECOMBINE.start(), *RECOMBINE.end());
        if self.remembers {
            chains.iter_mut().for_each(|chain| chain.seen = Seen::up_to(MOST_SEEN, self.problem));
        }
        let mut behind = vec![0; chains.len()];
        let (mut spent, mut recombined) = (0, 0);
        while spent < work && !best.done(floor) {
            if let Some(goals) = &mut goals {
                let open = best.open(self.problem);
                for chain in chains.iter_mut().skip(1).step_by(2) {
                    if let Some(goal) = goals.draw(&open, best.cost, floor, &self.lore) {
                        chain.aim_at(&goal, best);
                    }
                }
            }
            spent += epoch.max(1);
            chains = parallel::each(chains, |mut chain| {
                chain.run(epoch, floor, || control.must_stop().is_some());
                chain
            });
            for chain in &chains {
                let seen = chain.best.sheets.iter().chain(&chain.filling.sheets);
                for sheet in seen.filter(|sheet| sheet.count > 0) {
                    if pool.columns.len() < MOST_LAYOUTS {
                        pool.add(Column::new(sheet.clone()));
                    }
                }
            }
            if let Some(first) = chains.iter().min_by_key(|chain| chain.best.key())
                && first.best.key() < best.key()
            {
                *best = first.best.packed(self.problem);
                self.told(best);
            }
            for (chain, behind) in chains.iter_mut().zip(&mut behind) {
                *behind = if chain.best.key() > best.key() { *behind + 1 } else { 0 };
                if *behind >= patience && !chain.fixed() {
                    chain.adopt(best);
                    *behind = 0;
                }
            }
            if let Some(why) = control.must_stop() {
                self.stop = why;
                break;
            }
            if spent - recombined >= recombine {
                recombined = spent;
                if self.recombine(best, pool) {
                    let free = chains.iter_mut().filter(|chain| !chain.fixed());
                    free.for_each(|chain| chain.adopt(best));
                }
            }
        }
        self.work += chains.iter().map(|chain| chain.filling.work).sum::<u64>();
        self.seen.extend(chains.into_iter().flat_map(|chain| chain.seen.fresh));
    }

    /// Dives in the relaxation over all layouts that chains came through.
    pub fn dive(&mut self, best: &mut Packed, pool: &mut Generator<'_>, cells: u64, work: u64) {
        for sheet in std::mem::take(&mut self.seen) {
            if pool.columns.len() < MOST_IN_ALL {
                pool.add(Column::new(sheet));
            }
        }
        self.relax(best, pool, Dives::of_few_alike(cells, work));
    }

    /// Column generation, the floor it proves, and a plan rounded out of it.
    pub fn relax(&mut self, best: &mut Packed, generator: &mut Generator<'_>, dives: Dives) {
        let problem = self.problem;
        let control = self.control;
        for (sheet, _) in &best.sheets {
            generator.add(Column::new(sheet.clone()));
        }
        let supply = problem.supply();
        let begun = generator.spent();
        let over = |work: u64| work - begun > dives.cells || control.must_stop().is_some();
        let known = (self.floor(), best.below());
        let solution = generator.run(&problem.demand(), &supply, ROUNDS, known, over);
        if let Some(proof) = floor::by_cuts(problem, &generator.best) {
            self.proofs.push(proof);
            floor::sort(&mut self.proofs);
            control.tell(Event::Floor(self.group, self.floor()));
        }
        if !self.done(best) {
            let stop = || control.must_stop().is_some();
            let seed = control.seed().wrapping_add(self.looks);
            let (found, work) =
                rounding::round(generator, self.worth, &solution, self.floor(), seed, dives, &stop);
            self.work += work;
            if found.key() < best.key() {
                *best = found;
                self.told(best);
            }
        }
        self.work += generator.spent() - begun;
        if let Some(why) = control.must_stop() {
            self.stop = why;
        }
    }

    /// The floor that sets of parts prove, and cheaper plans out of them.
    pub fn sets(
        &mut self,
        best: &mut Packed,
        pool: &mut Generator<'_>,
        duals: Option<&Duals<'_>>,
        work: u64,
    ) {
        let sheets: u32 = best.sheets.iter().map(|(_, copies)| copies).sum();
        let pieces = self.problem.pieces();
        let Some(duals) = duals.filter(|_| pieces <= CROWD * u64::from(sheets)) else { return };
        let stop = || self.control.must_stop().is_some();
        // Of all that chains came through most would only be in the way.
        let likely = pool.by_reduced_cost(&stop);
        let columns = likely.into_iter().take(MOST_LAYOUTS).map(|index| &pool.columns[index]);
        let columns = columns.map(|column| (column.sheet.kind(), column.counts.clone()));
        // With one kind of sheet the chains find as much. Every look dives for itself.
        let dive = (self.problem.kinds.len() > 1).then(|| self.control.seed().wrapping_add(work));
        let outlook = sets::relax(duals, columns, &self.proofs, best.below(), work, dive, &stop);
        self.work += outlook.work;
        self.proofs.extend(outlook.proof);
        self.lore = outlook.lore;
        floor::sort(&mut self.proofs);
        self.control.tell(Event::Floor(self.group, self.floor()));
        if !self.done(best) {
            for (kind, cutting) in outlook.cuttings {
                if let Some(sheet) = Sheet::of(self.problem, kind, &cutting) {
                    pool.add(Column::new(sheet));
                }
            }
            if let Some(found) = outlook.plan.and_then(|plan| self.planned(&plan, pool))
                && found.key() < best.key()
            {
                *best = found;
                self.told(best);
            }
            self.recombine(best, pool);
        }
    }

    /// A plan that wastes nothing.
    pub fn join(&mut self, best: &mut Packed, work: u64) {
        let stop = || self.control.must_stop().is_some();
        let (found, work) = joins::join(self.problem, best.below(), self.control.seed(), work, &stop);
        self.work += work;
        if let Some(found) = found {
            *best = found;
            self.told(best);
        }
    }

    /// A plan out of sheets that are filled all but whole.
    pub fn crowded(&mut self, best: &mut Packed, work: u64) {
        let seed = self.control.seed().wrapping_add(self.looks);
        let stop = || self.control.must_stop().is_some();
        let (found, work) = crowded::crowded(self.problem, self.worth, best, self.floor(), seed, work, &stop);
        self.work += work;
        if let Some(found) = found {
            *best = found;
            self.told(best);
        }
    }

    /// More out of too few sheets.
    pub fn refill(&mut self, best: &mut Packed, work: u64) {
        if best.missing == 0 {
            return;
        }
        let stop = || self.control.must_stop().is_some();
        let mut dice = Dice::new(self.control.seed(), 0x4ef1);
        let (found, work) = refill::refill(self.problem, best, &mut dice, work, &stop);
        self.work += work;
        if let Some(found) = found {
            *best = found;
            self.told(best);
        }
    }

    /// Sets as a plan, where there is a layout for each in the pool.
    fn planned(&self, sets: &[sets::Column], pool: &Generator<'_>) -> Option<Packed> {
        let mut left = self.problem.demand();
        let mut sheets = Vec::new();
        for (kind, set) in sets {
            let at = pool.holding(*kind, set)?;
            set.iter().for_each(|&(item, count)| left[item] -= count);
            sheets.push((pool.columns[at].sheet.clone(), 1));
        }
        Some(Packed::new(self.problem, sheets, left))
    }

    /// The layouts seen, put together anew.
    fn recombine(&mut self, best: &mut Packed, pool: &mut Generator<'_>) -> bool {
        let stop = || self.control.must_stop().is_some();
        let (found, work) = whole::recombine(pool, self.worth, best, NODES, &stop);
        self.work += work;
        let better = found.is_some();
        if let Some(found) = found {
            *best = found;
            self.told(best);
        }
        better
    }
}
