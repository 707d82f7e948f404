//! Sheets that are being filled together: where does the next piece go?
//!
//! A piece goes into the gap, and is cut free in the order, that keeps the most valuable free space (see
//! [`worth`](super::worth)); among equals the first found. A fresh sheet is opened where the money that may be spent
//! allows it. All choices are whole numbers, so the same filling comes out on every machine.
//!
//! Cost of placing one piece: linear in the gaps of all sheets that may hold it.

use super::problem::{Item, Problem};
use super::tree::{Gap, Sheet, Split};
use super::worth::Worth;
use crate::search::Dice;

/// One in so many good places is overlooked, so that the search does not always do the same (blinks, after Christiaens
/// and Vanden Berghe 2020).
const BLINK: u32 = 12;

/// Sheets, some of them empty, and what is not placed.
#[derive(Clone, Debug)]
pub(crate) struct Filling<'p> {
    pub problem: &'p Problem,
    pub worth: &'p Worth,
    pub sheets: Vec<Sheet>,
    /// How many of each item are not placed.
    pub left: Vec<u32>,
    /// Area of all that must be made and is not placed.
    pub missing: u128,
    /// Cost of the sheets that are not empty.
    pub cost: i128,
    /// How many of each kind are not empty.
    pub open: Vec<u32>,
    /// How many of each kind may be used.
    pub most_open: Vec<u32>,
    /// Longest and widest gap of each sheet; nothing fits on one that is empty.
    most: Vec<[u32; 2]>,
    /// An empty sheet of each kind.
    pads: Vec<Sheet>,
    /// Gaps looked at.
    pub work: u64,
}

/// Where a place is looked for.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Among<'a> {
    /// On the sheets that hold something.
    Open,
    /// On a fresh sheet of this kind.
    Fresh(usize),
    /// On both, whichever is best.
    All,
    /// On these sheets and fresh ones: the others are known to have no place.
    These(&'a [usize]),
}

/// A place for a piece.
struct Found {
    loss: i64,
    /// `None` for a fresh sheet of the kind.
    sheet: Option<usize>,
    kind: usize,
    gap: Gap,
    lay: u8,
    split: Split,
}

impl<'p> Filling<'p> {
    /// Nothing placed.
    pub fn new(problem: &'p Problem, worth: &'p Worth, left: Vec<u32>) -> Self {
        let missing = missing(problem, &left);
        let pads = (0..problem.kinds.len()).map(|kind| Sheet::empty(problem, kind)).collect();
        let open = vec![0; problem.kinds.len()];
        let most_open = problem.kinds.iter().map(|kind| kind.supply.unwrap_or(u32::MAX)).collect();
        Self {
            problem,
            worth,
            sheets: Vec::new(),
            left,
            missing,
            cost: 0,
            open,
            most_open,
            most: Vec::new(),
            pads,
            work: 0,
        }
    }

    /// Whether one more sheet of the kind may be opened.
    pub fn may_open(&self, kind: usize, limit: Option<i128>) -> bool {
        let of = &self.problem.kinds[kind];
        self.open[kind] < self.most_open[kind]
            && limit.is_none_or(|limit| self.cost.saturating_add(of.cost) <= limit)
    }

    /// Takes a branch out of a sheet.
    pub fn remove(&mut self, sheet: usize, slot: u32) {
        let (problem, left, missing) = (self.problem, &mut self.left, &mut self.missing);
        let of = &mut self.sheets[sheet];
        let before = of.count;
        of.remove(problem, slot, |item| {
            left[item] += 1;
            if !problem.items[item].optional {
                *missing += u128::from(problem.items[item].made);
            }
        });
        self.most[sheet] = if of.count > 0 { of.most() } else { [0; 2] };
        if before > 0 && of.count == 0 {
            self.cost -= problem.kinds[of.kind()].cost;
            self.open[of.kind()] -= 1;
        }
    }

    /// Puts a sheet back as it was; what it is now comes back for it, so that nothing is copied.
    pub fn restore(&mut self, sheet: usize, was: &mut Sheet) {
        let now = &self.sheets[sheet];
        if now.count > 0 {
            self.cost -= self.problem.kinds[now.kind()].cost;
            self.open[now.kind()] -= 1;
        }
        if was.count > 0 {
            self.cost += self.problem.kinds[was.kind()].cost;
            self.open[was.kind()] += 1;
        }
        self.most[sheet] = if was.count > 0 { was.most() } else { [0; 2] };
        std::mem::swap(&mut self.sheets[sheet], was);
    }

    /// Takes over other sheets with what they leave.
    pub fn adopt(&mut self, sheets: &[Sheet], left: &[u32]) {
        self.sheets.clear();
        self.sheets.extend_from_slice(sheets);
        self.left.clear();
        self.left.extend_from_slice(left);
        self.missing = missing(self.problem, left);
        self.cost = 0;
        self.open.fill(0);
        self.most.clear();
        for sheet in sheets {
            self.most.push(if sheet.count > 0 { sheet.most() } else { [0; 2] });
            if sheet.count > 0 {
                self.open[sheet.kind()] += 1;
                self.cost += self.problem.kinds[sheet.kind()].cost;
            }
        }
    }

    /// Takes the last sheet away.
    pub fn pop(&mut self) {
        if let Some(last) = self.sheets.len().checked_sub(1) {
            self.remove(last, 0);
            self.sheets.pop();
            self.most.pop();
        }
    }

    /// Places one piece of an item where it costs the least free space; `touch` hears of the sheet before it changes,
    /// with none for one that is new. Fresh sheets may be opened up to a cost of `limit`, `only` of one
    /// kind where it is given.
    pub fn place(
        &mut self,
        item: usize,
        among: Among<'_>,
        only: Option<usize>,
        limit: Option<i128>,
        dice: Option<&mut Dice>,
        mut touch: impl FnMut(usize, Option<&Sheet>),
    ) -> bool {
        let Some(found) = self.best(item, among, only, limit, dice) else { return false };
        let at = match found.sheet {
            Some(at) => {
                touch(at, self.sheets.get(at));
                at
            }
            None => {
                let vacant = self.sheets.iter().position(|sheet| sheet.count == 0);
                let at = vacant.unwrap_or(self.sheets.len());
                touch(at, self.sheets.get(at));
                if vacant.is_some() {
                    self.sheets[at].clone_from(&self.pads[found.kind]);
                } else {
                    self.sheets.push(self.pads[found.kind].clone());
                    self.most.push([0; 2]);
                }
                self.cost += self.problem.kinds[found.kind].cost;
                self.open[found.kind] += 1;
                at
            }
        };
        self.sheets[at].place(self.problem, found.gap, item, found.lay, found.split);
        let most = self.most[at];
        // What is left of a gap is no longer and no wider.
        if found.sheet.is_none() || (0..2).any(|axis| found.gap.size[axis] >= most[axis]) {
            self.most[at] = self.sheets[at].most();
        }
        self.left[item] -= 1;
        if !self.problem.items[item].optional {
            self.missing -= u128::from(self.problem.items[item].made);
        }
        true
    }

    fn best(
        &mut self,
        item: usize,
        among: Among<'_>,
        only: Option<usize>,
        limit: Option<i128>,
        mut dice: Option<&mut Dice>,
    ) -> Option<Found> {
        let mut best: Option<Found> = None;
        let mut work = 1;
        let least = self.problem.items[item].least;
        let room = |most: [u32; 2]| most[0] >= least[0] && most[1] >= least[1];
        match among {
            Among::Open | Among::All => {
                work += self.most.len() as u64 / 8;
                for (at, _) in self.most.iter().enumerate().filter(|(_, most)| room(**most)) {
                    self.look(item, &self.sheets[at], Some(at), &mut best, &mut dice, &mut work);
                }
            }
            Among::These(these) => {
                for &at in these.iter().filter(|&&at| room(self.most[at])) {
                    self.look(item, &self.sheets[at], Some(at), &mut best, &mut dice, &mut work);
                }
            }
            Among::Fresh(_) => {}
        }
        let optional = self.problem.items[item].optional;
        for kind in 0..self.pads.len() {
            let wanted = match among {
                Among::Open => false,
                Among::Fresh(only) => only == kind,
                Among::All | Among::These(_) => only.is_none_or(|only| only == kind),
            };
            let free = !optional || self.problem.kinds[kind].cost == 0;
            if wanted && free && self.may_open(kind, limit) {
                self.look(item, &self.pads[kind], None, &mut best, &mut dice, &mut work);
            }
        }
        self.work += work;
        best
    }

    fn look(
        &self,
        item: usize,
        sheet: &Sheet,
        at: Option<usize>,
        best: &mut Option<Found>,
        dice: &mut Option<&mut Dice>,
        work: &mut u64,
    ) {
        let kind = sheet.kind();
        let of = &self.problem.kinds[kind];
        for (number, lay) in self.problem.lays(kind, item).iter().enumerate() {
            *work += sheet.gaps().len() as u64;
            let taken = area(lay.size);
            // Gaps as large as this are worse than the best: the larger, the more is lost even if the rest stays whole.
            let mut larger = u64::MAX;
            for gap in sheet.gaps().iter().filter(|gap| lies_in(lay.size, gap.size)) {
                let room = area(gap.size);
                if room >= larger {
                    continue;
                }
                let whole = self.worth.of(room);
                if best.as_ref().is_some_and(|best| whole - self.worth.of(room - taken) >= best.loss) {
                    larger = room;
                    continue;
                }
                let options = sheet.options(gap, lay, of);
                for (split, option) in [Split::Near, Split::Far].into_iter().zip(options) {
                    let Some(free) = option else { continue };
                    let kept: i64 = free.iter().filter(|free| free.1).map(|free| self.worth.of(free.0)).sum();
                    let loss = whole - kept;
                    if best.as_ref().is_none_or(|best| loss < best.loss)
                        && !dice.as_mut().is_some_and(|dice| dice.once_in(BLINK))
                    {
                        *best = Some(Found { loss, sheet: at, kind, gap: *gap, lay: number as u8, split });
                    }
                }
            }
        }
    }
}

/// Whether one lies in the other. No branch for each axis: in long lists of gaps it could not be foretold.
fn lies_in(one: [u32; 2], other: [u32; 2]) -> bool {
    let [a, b] = [0, 1].map(|axis| u64::from(other[axis]).wrapping_sub(one[axis].into()));
    (a | b) >> 63 == 0
}

fn area(size: [u32; 2]) -> u64 {
    u64::from(size[0]) * u64::from(size[1])
}

/// Area of all that must be made and is not, without kerf. Where sizes share no grid, a hundred large pieces have more than
/// 64 bits hold.
pub(crate) fn missing(problem: &Problem, left: &[u32]) -> u128 {
    sum(problem, left, |item| item.made)
}

/// Area that it takes on the sheets, kerf included.
pub(crate) fn need(problem: &Problem, left: &[u32]) -> u128 {
    sum(problem, left, |item| item.area)
}

fn sum(problem: &Problem, left: &[u32], area: impl Fn(&Item) -> u64) -> u128 {
    let areas = problem.items.iter().zip(left).filter(|(item, _)| !item.optional);
    areas.map(|(item, &count)| u128::from(area(item)) * u128::from(count)).sum()
}

#[cfg(test)]
mod tests {
    use super::super::greedy;
    use super::super::tests::drawn;
    use super::*;

    /// The least that a place for an item costs, by every gap and both ways to cut it.
    fn least(filling: &Filling<'_>, item: usize) -> Option<i64> {
        let sheets = filling.sheets.iter().filter(|sheet| sheet.count > 0);
        let losses = sheets.flat_map(|sheet| {
            let kind = &filling.problem.kinds[sheet.kind()];
            let lays = filling.problem.lays(sheet.kind(), item);
            lays.iter().flat_map(|lay| sheet.gaps().iter().map(move |gap| (gap, lay))).flat_map(
                |(gap, lay)| {
                    let worth =
                        |&(free, usable): &(u64, bool)| if usable { filling.worth.of(free) } else { 0 };
                    let whole = filling.worth.of(area(gap.size));
                    let options = sheet.options(gap, lay, kind).into_iter().flatten();
                    options.map(move |free| whole - free.iter().map(worth).sum::<i64>())
                },
            )
        });
        losses.min()
    }

    #[test]
    fn no_gap_costs_less_than_the_one_that_is_taken() {
        let (mut found, mut none) = (0, 0);
        for seed in 0..200 {
            let batch = drawn(seed);
            let problem = Problem::new(&batch, 0);
            let worth = Worth::new(problem.largest());
            let mut filling = greedy::fill(&problem, &worth, 1, &|| false);
            let mut dice = Dice::new(seed, 0);
            for _ in 0..20 {
                let at = dice.below(filling.sheets.len().max(1) as u32) as usize;
                let Some(sheet) = filling.sheets.get(at).filter(|sheet| sheet.count > 1) else { continue };
                filling.remove(at, 1 + dice.below(sheet.slots() - 1));
                for item in 0..problem.items.len() {
                    let best = filling.best(item, Among::Open, None, None, None).map(|best| best.loss);
                    let least = least(&filling, item);
                    assert_eq!(best, least, "{seed}: {item}");
                    found += u32::from(best.is_some());
                    none += u32::from(best.is_none());
                }
            }
        }
        assert!(found > 1000 && none > 100, "{found} {none}");
    }
}
