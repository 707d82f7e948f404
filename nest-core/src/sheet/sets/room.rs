//! The most valuable set of pieces for one sheet, no item more often than it is asked for.
//!
//! A set may count where it fits by area and by a pair of dual-feasible functions, and where its largest pieces can
//! be cut from the sheet; a [deeper](Depth) hunt asks the same of more, of sets that would be the best so far. All layouts
//! pass these tests, so the value of the best set bounds that of any layout; and a set of no more pieces that passes is
//! one.
//!
//! Depth first over the pieces, the largest first. What the rest may still add is read from a table for either
//! knapsack, and a branch goes on only where that beats the best so far (Martello and Toth 1990, chapter 2).

use super::envelope::{self, Envelopes, Lie, WHOLE};
use super::levels::Levels;
use crate::sheet::cutting::Cutting;
use crate::sheet::duals::Pair;
use crate::sheet::problem::Problem;
use crate::units::gcd;

/// Knapsacks: area, and the images under the pair.
const RULES: usize = 2;
/// Capacity of either knapsack in the tables; images are rounded down to it.
const CAPACITY: i128 = 2048;
/// Rectangles put together that cost as much as a node; and cells of a table.
const JOINS_A_NODE: u64 = 32;
const CELLS_A_NODE: u64 = 256;
/// Divisions of a set, and of its parts: those of nine pieces that differ, or of more that do not.
const MOST_DIVISIONS: u64 = 20_000;
/// So many of all pieces are told first, where those are no more.
const MANY: usize = 12;
/// Work between two questions whether to stop, in nodes.
const ASK: u64 = 4096;

/// An item that may come from the sheet.
#[derive(Clone, Debug)]
struct Guest {
    item: usize,
    /// How many at the most.
    most: u32,
    lies: Vec<Lie>,
    weights: [usize; RULES],
    /// With which guests it can be cut from the sheet, as bits.
    beside: Vec<u64>,
}

/// One kind of sheet and all that may come from it.
#[derive(Clone, Debug)]
pub(super) struct Room {
    size: [u32; 2],
    levels: Levels,
    guests: Vec<Guest>,
    capacity: [usize; RULES],
}

/// What a hunt is to do.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hunt {
    /// Sets of no more value are of no interest.
    pub above: i64,
    /// Work allowed, in nodes.
    pub work: u64,
    /// Sets after which to stop.
    pub sets: usize,
    /// Which sets count.
    pub depth: Depth,
}

/// Of how many pieces of a set it is told whether they can be cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Depth {
    /// Of so many as each step of a hunt tells.
    Few,
    /// Of twelve, where they can be parted in few ways.
    Many,
    /// Of as many of the largest as can be parted in few ways: of more sets, which takes more work.
    Most,
}

/// What a hunt found.
#[derive(Clone, Debug, Default)]
pub(super) struct Catch {
    /// No set is worth more; `None` where the hunt was cut short.
    pub most: Option<i64>,
    /// Items of each set, every set worth more than the one before.
    pub sets: Vec<Vec<usize>>,
    pub work: u64,
}

impl Room {
    pub fn new(problem: &Problem, kind: usize, pair: &Pair) -> Self {
        let of = &problem.kinds[kind];
        let area = i128::from(of.area());
        let mut guests: Vec<Guest> = Vec::new();
        let mut images: Vec<[i128; RULES]> = Vec::new();
        for (item, asked) in problem.items.iter().enumerate().filter(|(_, item)| !item.optional) {
            let lays = problem.lays(kind, item).iter();
            let lies: Vec<Lie> =
                lays.map(|lay| Lie { size: lay.size, chain: lay.chain.map(usize::from) }).collect();
            let Some(least) = lies.iter().map(Lie::area).min() else { continue };
            let most = u64::from(asked.demand).min(of.area() / least.max(1));
            let most = u32::try_from(most).unwrap_or(u32::MAX);
            images.push([least.into(), pair.images[item]]);
            guests.push(Guest { item, most, lies, weights: [0; RULES], beside: Vec::new() });
        }
        let mut capacity = [0; RULES];
        for (rule, whole) in [area, pair.whole].into_iter().enumerate() {
            let unit = images.iter().fold(whole, |unit, images| gcd(unit, images[rule])).max(1);
            let steps = (whole / unit).min(CAPACITY);
            capacity[rule] = steps as usize;
            for (guest, images) in guests.iter_mut().zip(&images) {
                guest.weights[rule] = (images[rule] / unit * steps / (whole / unit).max(1)) as usize;
            }
        }
        // The check looks at them in the same order.
        let area = |guest: &Guest| guest.lies.iter().map(Lie::area).min();
        guests.sort_by(|a, b| area(b).cmp(&area(a)).then_with(|| a.lies.cmp(&b.lies)));
        let words = guests.len().div_ceil(64);
        let levels = Levels::new(&of.rules, of.size);
        let mut envelopes = Envelopes::new(of.size, levels.clone());
        for a in 0..guests.len() {
            let mut beside = vec![0; words];
            if envelopes.push(&guests[a].lies) {
                for (b, other) in guests.iter().enumerate() {
                    if envelopes.push(&other.lies) {
                        beside[b / 64] |= 1 << (b % 64);
                        envelopes.pop();
                    }
                }
                envelopes.pop();
            }
            guests[a].beside = beside;
        }
        Self { size: of.size, levels, guests, capacity }
    }

    /// Looks for sets worth more than so much, at prices for every item of the problem, of which so many are `left`.
    pub fn hunt(&self, prices: &[i64], left: &[u32], hunt: Hunt, stop: &dyn Fn() -> bool) -> Catch {
        let mut entries: Vec<Entry> = Vec::new();
        for (g, guest) in self.guests.iter().enumerate().filter(|(_, guest)| prices[guest.item] > 0) {
            let entry = |copy: u32| Entry { guest: g, price: prices[guest.item], again: copy > 0 };
            entries.extend((0..guest.most.min(left[guest.item])).map(entry));
        }
        let tables = [0, 1].map(|rule| self.table(rule, &entries));
        let cells: usize = tables.iter().map(Vec::len).sum();
        let mut run = Run {
            room: self,
            entries,
            tables,
            best: hunt.above,
            hunt,
            stack: Vec::new(),
            guests: Vec::new(),
            envelopes: Envelopes::new(self.size, self.levels.clone()),
            nodes: cells as u64 / CELLS_A_NODE,
            ask: ASK,
            cut_short: false,
            stop,
            caught: Vec::new(),
        };
        let open = vec![u64::MAX; self.guests.len().div_ceil(64)];
        run.go(0, 0, self.capacity, &open);
        let most = (!run.cut_short).then_some(run.best);
        Catch { most, sets: run.caught, work: run.nodes + run.envelopes.work / JOINS_A_NODE }
    }

    /// How many pieces are told apart at every step of a hunt.
    pub fn deep(&self) -> usize {
        envelope::deep(&self.levels)
    }

    /// Whether [`cutting`](Self::cutting) tells of a set whether it can be cut.
    pub fn tells(set: &[(usize, u32)]) -> bool {
        pieces(set) <= WHOLE && few_divisions(set.iter().map(|&(_, count)| count.into()))
    }

    /// Whether a set cannot be cut, as far as that is told; with the work, in nodes.
    pub fn cannot(&self, set: &[(usize, u32)], depth: Depth) -> (bool, u64) {
        let mut envelopes = Envelopes::new(self.size, self.levels.clone());
        let mut guests = Vec::new();
        for &(item, count) in set {
            let Some(guest) = self.guests.iter().position(|guest| guest.item == item) else {
                return (true, 0);
            };
            guests.extend(std::iter::repeat_n(guest, count as usize));
        }
        guests.sort_unstable();
        let together =
            guests[..told(&guests, depth)].iter().all(|&guest| envelopes.push(&self.guests[guest].lies));
        (!together, envelopes.work / JOINS_A_NODE)
    }

    /// How a set is cut from the sheet, by item and how often; `None` where it cannot be, or has too many pieces to tell.
    /// With the work, in nodes.
    pub fn cutting(&self, set: &[(usize, u32)]) -> (Option<Cutting>, u64) {
        let mut envelopes = Envelopes::new(self.size, self.levels.clone());
        let guest = |&(item, count)| {
            let guest = self.guests.iter().find(|guest| guest.item == item);
            std::iter::repeat_n(guest, count as usize)
        };
        let stack: Option<Vec<&Guest>> = set.iter().flat_map(guest).collect();
        let stack = stack.filter(|_| Self::tells(set));
        let stack = stack.filter(|stack| stack.iter().all(|guest| envelopes.push(&guest.lies)));
        let leaf = |stack: &[&Guest], piece: usize, size| {
            let guest: &Guest = stack[piece];
            let lay = guest.lies.iter().position(|lie| lie.size == size).unwrap_or(0);
            Cutting::Item { item: guest.item, lay: lay as u8 }
        };
        let cutting = stack.and_then(|stack| envelopes.cutting(&|piece, size| leaf(&stack, piece, size)));
        (cutting, envelopes.work / JOINS_A_NODE)
    }

    /// For each entry and capacity, the most that it and those behind it may add.
    fn table(&self, rule: usize, entries: &[Entry]) -> Vec<i64> {
        let wide = self.capacity[rule] + 1;
        let mut table = vec![0_i64; (entries.len() + 1) * wide];
        for (e, entry) in entries.iter().enumerate().rev() {
            let weight = self.guests[entry.guest].weights[rule];
            let (row, next) = table[e * wide..(e + 2) * wide].split_at_mut(wide);
            row.copy_from_slice(next);
            for (cell, without) in row.iter_mut().skip(weight).zip(next.iter()) {
                *cell = (*cell).max(without + entry.price);
            }
        }
        table
    }
}

/// How many pieces a set has.
pub(super) fn pieces(set: &[(usize, u32)]) -> usize {
    set.iter().map(|&(_, count)| count as usize).sum()
}

/// Whether pieces, so many of each kind, can be parted in two in so few ways, with all their parts, that all are looked at.
fn few_divisions(counts: impl Iterator<Item = u64>) -> bool {
    counts.fold(1_u64, |ways, count| ways.saturating_mul((count + 1) * (count + 2) / 2)) <= MOST_DIVISIONS
}

/// Of how many guests, the largest first, it is told whether they can be cut.
fn told(guests: &[usize], depth: Depth) -> usize {
    let few = |&count: &usize| {
        few_divisions(guests[..count].chunk_by(|a, b| a == b).map(|alike| alike.len() as u64))
    };
    let told = match depth {
        Depth::Few => None,
        Depth::Many => Some(guests.len().min(MANY)).filter(few),
        Depth::Most => (1..=guests.len().min(WHOLE)).rev().find(few),
    };
    told.unwrap_or(0)
}

/// One piece that may be taken.
#[derive(Clone, Copy, Debug)]
struct Entry {
    guest: usize,
    price: i64,
    /// Another like the one before.
    again: bool,
}

/// A hunt while it runs.
struct Run<'a> {
    room: &'a Room,
    entries: Vec<Entry>,
    tables: [Vec<i64>; RULES],
    best: i64,
    hunt: Hunt,
    /// Items, and guests, that are taken.
    stack: Vec<usize>,
    guests: Vec<usize>,
    envelopes: Envelopes,
    nodes: u64,
    /// Work at which to ask whether to stop.
    ask: u64,
    cut_short: bool,
    stop: &'a dyn Fn() -> bool,
    caught: Vec<Vec<usize>>,
}

impl Run<'_> {
    /// Adds pieces from an entry on to what is stacked; `rest` is what either knapsack holds besides, `open` are the guests
    /// that go with each of those stacked.
    fn go(&mut self, from: usize, value: i64, rest: [usize; RULES], open: &[u64]) {
        let room = self.room;
        for e in from..self.entries.len() {
            let more = (0..RULES).map(|r| self.tables[r][e * (room.capacity[r] + 1) + rest[r]]).min();
            if value + more.unwrap_or(0) <= self.best || self.cut_short {
                return;
            }
            let entry = self.entries[e];
            let guest = &room.guests[entry.guest];
            let fits = (0..RULES).all(|r| guest.weights[r] <= rest[r]);
            // More pieces are too much work at every step.
            let full = self.envelopes.count() >= room.deep();
            let goes = full || open[entry.guest / 64] >> (entry.guest % 64) & 1 == 1;
            // A second copy without the first is the first.
            if !fits || !goes || entry.again && e > from {
                continue;
            }
            self.nodes += 1;
            if self.over() {
                self.cut_short = true;
                return;
            }
            if !full && !self.envelopes.push(&guest.lies) {
                continue;
            }
            self.stack.push(guest.item);
            self.guests.push(entry.guest);
            let value = value + entry.price;
            if value > self.best && full && self.hunt.depth > Depth::Few && !self.whole() {
                self.stack.pop();
                self.guests.pop();
                continue;
            }
            if value > self.best {
                self.best = value;
                self.caught.push(self.stack.clone());
                self.cut_short |= self.caught.len() >= self.hunt.sets;
            }
            let mut less = rest;
            (0..RULES).for_each(|r| less[r] -= guest.weights[r]);
            let both: Vec<u64> = open.iter().zip(&guest.beside).map(|(a, b)| a & b).collect();
            self.go(e + 1, value, less, &both);
            self.stack.pop();
            self.guests.pop();
            if !full {
                self.envelopes.pop();
            }
        }
    }

    fn over(&mut self) -> bool {
        let spent = self.nodes + self.envelopes.work / JOINS_A_NODE;
        // A node may take a tenth of a millisecond.
        let asks = spent >= self.ask;
        if asks {
            self.ask = spent + ASK;
        }
        spent > self.hunt.work || asks && (self.stop)()
    }

    /// Whether all that is stacked can be cut from the sheet, as far as it is told apart.
    fn whole(&mut self) -> bool {
        let known = self.envelopes.count();
        let told = told(&self.guests, self.hunt.depth).max(known);
        let lies = self.guests[known..told].iter().map(|&guest| &self.room.guests[guest].lies);
        let together = lies.into_iter().all(|lies| self.envelopes.push(lies));
        (known..self.envelopes.count()).for_each(|_| self.envelopes.pop());
        self.cut_short |= (self.stop)();
        together
    }
}
