//! The most valuable cutting of one sheet with two or three stages, any number of copies of each item.
//!
//! Three stages divide the sheet into strips along the first axis, each strip into stacks along the other, each stack
//! into pieces along the first again; one cut more may trim a piece that is shorter than its stack. Each level is a
//! knapsack over the one below (Gilmore and Gomory 1965), on [points](super::points).
//!
//! Runtime: points along the first axis, times points along the other, times different sizes.

use std::cell::Cell;

use super::cutting::Cutting;
use super::offers::{Offer, Priced};
use super::points::Points;

/// What a level below offers: units along the axis, and value.
type Entry = (u32, i64);

/// Tables for one kind of sheet and one first axis.
pub(super) struct Staged<'a> {
    offers: &'a [Offer],
    /// Axis that the first cuts divide.
    axis: usize,
    points: [&'a Points; 2],
    trimming: bool,
    work: Cell<u64>,
}

impl<'a> Staged<'a> {
    pub fn new(offers: &'a [Offer], axis: usize, points: [&'a Points; 2], trimming: bool) -> Self {
        Self { offers, axis, points, trimming, work: Cell::new(0) }
    }

    /// Work done so far.
    pub fn work(&self) -> u64 {
        self.work.get()
    }

    fn worked(&self, work: u64) {
        self.work.set(self.work.get() + work);
    }

    /// The best with `stages` of 2 or 3, and the best of those that have one or the other strip in them, no more than `most`
    /// in all; nothing where nothing fits.
    pub fn best(&self, stages: u8, most: usize) -> Vec<Priced> {
        if stages >= 3 { self.three(most) } else { self.two(most) }
    }

    fn two(&self, most: usize) -> Vec<Priced> {
        let (a, b) = (self.axis, 1 - self.axis);
        let whole = self.points[b].len() - 1;
        // Strips as wide as some item, with all items that may lie in them.
        let widths = self.sizes(a);
        let mut strips: Vec<(u32, Vec<i64>)> = Vec::new();
        let mut table = vec![0; self.points[b].len()];
        for &width in &widths {
            if !self.trimming {
                table.fill(0);
            }
            for offer in self.offers.iter().filter(|offer| offer.size[a] == width) {
                let units = self.points[b].units(offer.size[b]);
                self.worked(add(self.points[b], &mut table, (units, offer.price)));
            }
            strips.push((width, table.clone()));
        }
        let entries: Vec<Entry> =
            strips.iter().map(|(width, table)| (self.points[a].units(*width), table[whole])).collect();
        self.layouts(&entries, most, |s| {
            let (width, table) = &strips[s];
            Some(self.row(b, table, whole, |offer| self.fits(offer.size[a], *width)))
        })
    }

    fn three(&self, most: usize) -> Vec<Priced> {
        let (a, b) = (self.axis, 1 - self.axis);
        let (along, across) = (self.points[a], self.points[b]);
        // Stacks as long as some item, filled up to each point of the first axis.
        let lengths = self.sizes(b);
        let mut stacks: Vec<Vec<i64>> = Vec::new();
        let mut table = vec![0; along.len()];
        for &length in &lengths {
            if !self.trimming {
                table.fill(0);
            }
            for offer in self.offers.iter().filter(|offer| offer.size[b] == length) {
                self.worked(add(along, &mut table, (along.units(offer.size[a]), offer.price)));
            }
            stacks.push(table.clone());
        }
        let units: Vec<u32> = lengths.iter().map(|&length| across.units(length)).collect();
        let mut strips = vec![0; along.len()];
        let (mut before, mut entries): (Vec<Entry>, Vec<Entry>) = (Vec::new(), Vec::new());
        for width in 1..along.len() {
            self.stacked(&stacks, &units, width, &mut entries);
            if entries == before {
                strips[width] = strips[width - 1];
                continue;
            }
            strips[width] = self.fill(b, &entries).last().copied().unwrap_or(0);
            std::mem::swap(&mut before, &mut entries);
        }
        let wide: Vec<usize> = (1..strips.len()).filter(|&w| strips[w] > strips[w - 1]).collect();
        let choices: Vec<Entry> = wide.iter().map(|&w| (along.units(along.place(w)), strips[w])).collect();
        self.layouts(&choices, most, |choice| {
            let width = wide[choice];
            let mut entries = Vec::new();
            self.stacked(&stacks, &units, width, &mut entries);
            let strip = self.fill(b, &entries);
            let mut inner = Vec::new();
            for e in trace(across, &strip, &entries, across.len() - 1) {
                let l = (0..units.len()).find(|&l| (units[l], stacks[l][width]) == entries[e])?;
                inner.push(self.row(a, &stacks[l], width, |offer| self.fits(offer.size[b], lengths[l])));
            }
            Some(Cutting::Row { axis: b, children: inner })
        })
    }

    /// The best sheets of strips on offer: the best of all, then the best with each of the strips in it.
    fn layouts(&self, strips: &[Entry], most: usize, cut: impl Fn(usize) -> Option<Cutting>) -> Vec<Priced> {
        let points = self.points[self.axis];
        let root = self.fill(self.axis, strips);
        let last = points.len() - 1;
        let mut firsts: Vec<(i64, usize, usize)> = (strips.iter().enumerate())
            .filter_map(|(s, &(units, gain))| {
                let rest = points.less(last, units)?;
                Some((gain + root[rest], s, rest))
            })
            .collect();
        firsts.sort_by_key(|&(value, s, _)| (std::cmp::Reverse(value), s));
        // What is worth the same is as good as always the same, seen from another of its strips.
        firsts.dedup_by_key(|&mut (value, ..)| value);
        firsts.truncate(most);
        let layout = |(value, first, rest): (i64, usize, usize)| {
            let mut children = vec![cut(first)?];
            for s in trace(points, &root, strips, rest) {
                children.push(cut(s)?);
            }
            Some(Priced { value, cutting: Cutting::Row { axis: self.axis, children } })
        };
        firsts.into_iter().filter_map(layout).collect()
    }

    /// The stacks of a strip that are worth more than shorter ones.
    fn stacked(&self, stacks: &[Vec<i64>], units: &[u32], width: usize, entries: &mut Vec<Entry>) {
        entries.clear();
        let mut most = 0;
        for (stack, &units) in stacks.iter().zip(units) {
            if stack[width] > most {
                most = stack[width];
                entries.push((units, most));
            }
        }
    }

    fn fits(&self, size: u32, room: u32) -> bool {
        if self.trimming { size <= room } else { size == room }
    }

    /// The different sizes along an axis, ascending.
    fn sizes(&self, axis: usize) -> Vec<u32> {
        let mut sizes: Vec<u32> = self.offers.iter().map(|offer| offer.size[axis]).collect();
        sizes.sort_unstable();
        sizes.dedup();
        sizes
    }

    fn fill(&self, axis: usize, entries: &[Entry]) -> Vec<i64> {
        let points = self.points[axis];
        let mut table = vec![0; points.len()];
        self.worked(entries.iter().map(|&entry| add(points, &mut table, entry)).sum());
        table
    }

    /// The items that make up a value of a table filled with those that fit.
    fn row(&self, axis: usize, table: &[i64], point: usize, fits: impl Fn(&Offer) -> bool) -> Cutting {
        let points = self.points[axis];
        let able: Vec<&Offer> = self.offers.iter().filter(|offer| fits(offer)).collect();
        let entries: Vec<Entry> =
            able.iter().map(|offer| (points.units(offer.size[axis]), offer.price)).collect();
        let chosen = trace(points, table, &entries, point);
        let item = |e: usize| Cutting::Item { item: able[e].item, lay: able[e].lay };
        Cutting::Row { axis, children: chosen.into_iter().map(item).collect() }
    }
}

/// Adds what may be used any number of times to a table of best values up to each point. Returns the work.
fn add(points: &Points, table: &mut [i64], (units, gain): Entry) -> u64 {
    if gain <= 0 {
        return 1;
    }
    for p in 1..table.len() {
        let with = points.less(p, units).map_or(0, |rest| table[rest] + gain);
        table[p] = table[p].max(table[p - 1]).max(with);
    }
    table.len() as u64
}

/// The entries that make up a value of a table, the table's value at least.
fn trace(points: &Points, table: &[i64], entries: &[Entry], point: usize) -> Vec<usize> {
    let (mut at, mut chosen) = (point, Vec::new());
    while at > 0 {
        let entry = entries.iter().position(|&(units, gain)| {
            gain > 0 && points.less(at, units).is_some_and(|rest| table[rest] + gain >= table[at])
        });
        match entry {
            Some(e) => {
                chosen.push(e);
                at = points.less(at, entries[e].0).unwrap_or(0);
            }
            None => at -= 1,
        }
    }
    chosen
}
