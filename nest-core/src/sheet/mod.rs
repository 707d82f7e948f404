//! Sheets: parts with a length and a width, cut edge to edge.
//!
//! Each step can be cut off, and the one before still answers: a greedy filling; chains of ruin and recreate that look for
//! plans of less and less cost until a proven floor is reached; tables of one sheet where the stock runs out; blocks
//! without waste, where the parts may fill whole sheets; rows with next to none, where many parts share a sheet; column
//! generation where the same layouts recur or there are two stages, which proves a better floor and whose relaxation is
//! rounded to whole sheets;
//! an integer program over all layouts that any of them saw; then the chains again.

mod blocks;
mod bounded;
mod coarse;
mod columns;
mod cutting;
mod duals;
mod filling;
mod floor;
mod free;
mod goals;
mod greedy;
mod grids;
mod haste;
mod joins;
mod journal;
mod knapsack;
mod layout;
mod offers;
mod packed;
mod points;
mod polish;
mod problem;
mod refill;
mod rounding;
mod rows;
mod ruin;
mod sets;
mod staged;
mod steps;
mod strips;
mod supply;
#[cfg(test)]
mod tests;
mod tree;
mod uniform;
mod whole;
mod worth;

use crate::model::CheckedBatch;
use crate::plan::Score;
use crate::search::{Answer, Control, Dice, Event, Stop, parallel};
use columns::{Column, Generator};
use duals::Duals;
use filling::Among;
use floor::Proof;
use goals::Goals;
use packed::Packed;
use problem::Problem;
use ruin::Chain;
use steps::{Budget, Step, steps};
use tree::Sheet;
use uniform::uniform;
use worth::Worth;

/// Chains that search side by side, whatever the number of threads.
const CHAINS: u64 = 4;
/// Chains compare notes after so much work each; who is behind so many times in a row goes on from the best.
const EPOCH: u64 = 5_000_000;
const PATIENCE: u32 = 3;
/// What a chain spends on one goal, for each piece.
const TRIAL: u64 = 20_000;
/// Orders of more pieces are filled layout by layout, and not ruined as a whole.
const MANY: u64 = 3000;
/// Column generation is for orders with so many pieces of a kind, on average.
const ALIKE: u64 = 3;
/// Items so few that a plan and a proof in haste take no time to speak of.
const FEW: usize = 1000;
/// With more pieces on a sheet on average, sets are too many to be looked at.
const CROWD: u64 = 12;
/// Polishing that takes no time to speak of: gaps looked at.
const LITTLE: u64 = 500_000;
/// Rounds of column generation.
const ROUNDS: usize = 400;
/// Layouts that are remembered for the integer master.
const MOST_LAYOUTS: usize = 4000;
/// The layouts seen so far are put together anew after each quarter of the work of a chain, within these limits: seldom
/// enough to cost little, often enough to show under a time limit.
const RECOMBINE: std::ops::RangeInclusive<u64> = 2_000_000..=60_000_000;
/// Nodes of the integer master.
const NODES: u64 = 64;

/// Solves one group of sheets.
pub(crate) fn solve(batch: &CheckedBatch, group: usize, control: &Control<'_>) -> Answer {
    let pieces = batch.groups().get(group).map_or(0, |group| {
        group
            .parts
            .iter()
            .filter_map(|&part| batch.batch().parts.get(part))
            .map(|part| u64::from(part.qty))
            .sum()
    });
    search(batch, group, control, Budget::of(control.effort(), pieces))
}

fn search(batch: &CheckedBatch, group: usize, control: &Control<'_>, budget: Budget) -> Answer {
    let problem = &Problem::new(batch, group);
    let worth = Worth::new(problem.largest());
    let proofs = Vec::new();
    let lore = sets::Lore::default();
    let mut search = Search {
        group,
        problem,
        worth: &worth,
        control,
        proofs,
        lore,
        looks: 0,
        work: 0,
        stop: Stop::Finished,
    };
    let pieces: u64 = problem.items.iter().map(|item| u64::from(item.demand)).sum();
    let alike = pieces / (problem.items.len() as u64).max(1);
    let mut best = search.first(pieces > MANY, alike >= ALIKE);
    search.told(&best);
    let prove = search.stop == Stop::Finished || problem.items.len() <= FEW;
    let apart = prove.then(|| Problem::apart(batch, group));
    let stop = || control.must_stop().is_some();
    let duals = apart.as_ref().map(|problem| Duals::new(problem, &stop));
    search.proofs = duals.as_ref().map(|duals| duals.proofs(&stop)).unwrap_or_default();
    // Of a long list they fill gigabytes, and only sets use them again.
    let duals = duals.filter(|_| pieces <= sets::MOST_PIECES);
    control.tell(Event::Floor(group, search.floor()));
    let small = pieces <= MANY;
    // With hardly two parts alike, sets prove more as a rule, but for two stages.
    let recurs = alike >= ALIKE;
    let steps = steps(problem, budget, pieces, recurs);
    let mut pool = (!steps.is_empty()).then(|| Generator::new(problem, &worth));
    for step in steps {
        let Some(pool) = pool.as_mut().filter(|_| !search.done(&best)) else { break };
        match step {
            Step::Ruin(work) => search.ruin(&mut best, pool, work),
            Step::Relax(cells, gaps) => search.relax(&mut best, pool, cells, gaps),
            // So much open is the fault of the floor.
            Step::Open(cells, gaps) if search.floor() < best.cost - best.cost / 10 => {
                search.relax(&mut best, pool, cells, gaps);
            }
            Step::Open(..) => {}
            Step::Join(work) => search.join(&mut best, work),
            Step::Rows(work) => search.rows(&mut best, work),
            Step::Refill(work) => search.refill(&mut best, work),
            Step::Sets(work) => search.sets(&mut best, pool, duals.as_ref(), work),
        }
    }
    if small && problem.items.iter().any(|item| item.optional) {
        best = with_optional(problem, &worth, &best);
    }
    if !best.done(search.floor()) && search.stop == Stop::Finished && budget.gaps > 0 {
        // Asked to stop before the search began, in the midst of the first filling, it was cut short all the same.
        search.stop = control.must_stop().unwrap_or(Stop::Budget);
    }
    let alone = |sheet: &Sheet| Score::of(batch, group, &layout::layouts(batch, problem, &[(sheet, 1)]).0);
    let shaped = |packed: &Packed| layout::layouts(batch, problem, &uniform(&packed.sheets, alone));
    let (mut layouts, mut unplaced) = shaped(&best);
    if small && budget.polish > 0 && best.missing == 0 {
        // There is always time for a little.
        let late = control.must_stop().is_some();
        let work = if late { budget.polish.min(LITTLE) } else { budget.polish };
        let stop = || !late && control.must_stop().is_some();
        let (polished, work) = polish::polish(batch, problem, &best, control.seed(), work, &stop);
        search.work += work;
        let other = shaped(&polished);
        if Score::of(batch, group, &other.0) < Score::of(batch, group, &layouts) {
            (layouts, unplaced) = other;
        }
    }
    Answer {
        layouts,
        unplaced,
        certificates: search.proofs.into_iter().map(|proof| proof.certificate).collect(),
        stop: Some(search.stop),
        work: search.work,
    }
}

/// The same with optional parts wherever they fit for nothing; ruin and recreate looks after the others alone.
fn with_optional(problem: &Problem, worth: &Worth, best: &Packed) -> Packed {
    let mut filling = best.filling(problem, worth);
    for item in (0..problem.items.len()).filter(|&item| problem.items[item].optional) {
        while filling.left[item] > 0
            && filling.place(item, Among::All, None, Some(best.cost), None, |_, _| {})
        {}
    }
    Packed::of(&filling)
}

/// What the steps of a search share.
struct Search<'a> {
    group: usize,
    problem: &'a Problem,
    worth: &'a Worth,
    control: &'a Control<'a>,
    /// The best first.
    proofs: Vec<Proof>,
    /// What sets said of numbers of sheets.
    lore: sets::Lore,
    /// How often chains were set out.
    looks: u64,
    work: u64,
    stop: Stop,
}

impl Search<'_> {
    fn floor(&self) -> i128 {
        self.proofs.first().map_or(0, |proof| proof.floor)
    }

    /// Whether there is nothing left to look for, or no time.
    fn done(&self, best: &Packed) -> bool {
        best.done(self.floor()) || self.control.must_stop().is_some()
    }

    fn told(&self, best: &Packed) {
        if best.missing == 0 {
            self.control.tell(Event::Cost(self.group, best.cost));
        }
    }

    /// The first plan, complete if it can be. Told to stop in the midst of it, what is left is placed in haste, so that a
    /// time limit gives a whole plan; but who interrupts a very long list does not wait for that either.
    fn first(&mut self, many: bool, alike: bool) -> Packed {
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
    fn ruin(&mut self, best: &mut Packed, pool: &mut Generator<'_>, work: u64) {
        let floor = self.floor();
        let control = self.control;
        let seed = control.seed().wrapping_add(self.looks);
        self.looks += 1;
        let mut chains: Vec<Chain<'_>> = (0..CHAINS)
            .map(|chain| Chain::new(best.filling(self.problem, self.worth), seed, chain))
            .collect();
        // A plan that is not complete has no cost to go below.
        let mut goals = Goals::new(self.problem, seed).filter(|_| best.missing == 0);
        let pieces: u64 = self.problem.items.iter().map(|item| u64::from(item.demand)).sum();
        // Where sheets are given, the chains between go on from the best at once, as those do.
        let (epoch, patience) = match &goals {
            Some(_) => (TRIAL * (20 + pieces), 1),
            None => (EPOCH, PATIENCE),
        };
        let epoch = epoch.min(work);
        let recombine = (work / 4).clamp(*RECOMBINE.start(), *RECOMBINE.end());
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
                let sheets = first.best.sheets.iter().filter(|sheet| sheet.count > 0);
                let sheets = sheets.map(|sheet| (sheet.clone(), 1)).collect();
                *best = Packed::new(self.problem, sheets, first.best.left.clone());
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
    }

    /// Column generation, the floor it proves, and a plan rounded out of it.
    fn relax(&mut self, best: &mut Packed, generator: &mut Generator<'_>, cells: u64, gaps: u64) {
        let problem = self.problem;
        let control = self.control;
        for (sheet, _) in &best.sheets {
            generator.add(Column::new(sheet.clone()));
        }
        let supply = problem.supply();
        let begun = generator.spent();
        let over = |work: u64| work - begun > cells || control.must_stop().is_some();
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
            let most = (3 * gaps, cells);
            let (found, work) =
                rounding::round(generator, self.worth, &solution, self.floor(), seed, most, &stop);
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
    fn sets(&mut self, best: &mut Packed, pool: &mut Generator<'_>, duals: Option<&Duals<'_>>, work: u64) {
        let sheets: u32 = best.sheets.iter().map(|(_, copies)| copies).sum();
        let pieces: u64 = self.problem.items.iter().map(|item| u64::from(item.demand)).sum();
        let Some(duals) = duals.filter(|_| pieces <= CROWD * u64::from(sheets)) else { return };
        // Layouts of strips are sets of parts too, but under other numbers.
        let same = duals.problem().items == self.problem.items;
        let columns = pool.columns.iter().filter(|_| same);
        let columns = columns.map(|column| (column.sheet.kind(), column.counts.clone()));
        let stop = || self.control.must_stop().is_some();
        // With one kind of sheet the chains find as much. Every look dives for itself.
        let dive = same && self.problem.kinds.len() > 1;
        let dive = dive.then(|| self.control.seed().wrapping_add(work));
        let outlook = sets::relax(duals, columns, &self.proofs, best.below(), work, dive, &stop);
        self.work += outlook.work;
        self.proofs.extend(outlook.proof);
        self.lore = outlook.lore;
        floor::sort(&mut self.proofs);
        self.control.tell(Event::Floor(self.group, self.floor()));
        if same && !self.done(best) {
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
    fn join(&mut self, best: &mut Packed, work: u64) {
        let stop = || self.control.must_stop().is_some();
        let (found, work) = joins::join(self.problem, best.below(), self.control.seed(), work, &stop);
        self.work += work;
        if let Some(found) = found {
            *best = found;
            self.told(best);
        }
    }

    /// A plan out of rows that waste next to nothing.
    fn rows(&mut self, best: &mut Packed, work: u64) {
        let seed = self.control.seed().wrapping_add(self.looks);
        let stop = || self.control.must_stop().is_some();
        let (found, work) = rows::rows(self.problem, self.worth, best, self.floor(), seed, work, &stop);
        self.work += work;
        if let Some(found) = found {
            *best = found;
            self.told(best);
        }
    }

    /// More out of too few sheets.
    fn refill(&mut self, best: &mut Packed, work: u64) {
        if best.missing == 0 {
            return;
        }
        let stop = || self.control.must_stop().is_some();
        let mut dice = Dice::new(self.control.seed(), 0x4ef1);
        let (found, work) = refill::refill(self.problem, best, &mut dice, work, &stop);
        self.work += work;
        if let Some(found) = found {
            *best = found;
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
