//! The most valuable cutting of one sheet with two or three stages.
//!
//! Three stages divide the sheet into strips along the first axis, each strip into stacks along the other, each stack
//! into pieces along the first again; one cut more may trim a piece that is shorter than its stack. Each level is a
//! knapsack over the one below (Gilmore and Gomory 1965), on [points](super::points).
//!
//! With two stages a row holds no more of an item than is asked for. What it holds, another may hold again: that would be a
//! search and not a table. But rows of a thickness are no more than the pieces of it, since a row is as thick as some
//! piece in it. With three stages that proves no more, where it was measured, and takes twice the time: any number of
//! copies of each item.
//!
//! Runtime with two stages: points along the row, times offers, times bits of what is asked for, times bits of their
//! number where lays change places. With three: points along the first axis, times points along the other, times
//! different sizes.

use std::cell::Cell;
use std::ops::Range;

use super::cutting::Cutting;
use super::knapsack::{self, Entry, add};
use super::offers::{Offer, Priced};
use super::points::Points;

/// The best that was found.
#[derive(Clone, Debug, Default)]
pub(super) struct Best {
    /// No sheet is worth more.
    pub value: i64,
    pub priced: Vec<Priced>,
}

/// What lies in rows of some of all thicknesses, given by their places.
#[derive(Clone, Debug)]
struct Span {
    rows: Range<usize>,
    offer: Offer,
    entry: Entry,
}

impl Span {
    fn cut(&self, rows: &Range<usize>) -> Option<Self> {
        let both = self.rows.start.max(rows.start)..self.rows.end.min(rows.end);
        (!both.is_empty()).then(|| Self { rows: both, ..self.clone() })
    }
}

/// Rows along an axis, as thick as the pieces are.
struct Rows {
    /// Along which axis they run.
    axis: usize,
    /// Ascending, in grid steps.
    thick: Vec<u32>,
    /// How many pieces are just so thick.
    most: Vec<u64>,
    spans: Vec<Span>,
}

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

    /// The best with `stages` of 2 or 3, and some that have one or the other strip in them, no more than `most` in all.
    pub fn best(&self, stages: u8, most: usize) -> Best {
        if stages >= 3 { self.three(most) } else { self.two(most) }
    }

    fn two(&self, most: usize) -> Best {
        let (a, b) = (self.axis, 1 - self.axis);
        let whole = self.points[b].len() - 1;
        let rows = self.rows(b, true);
        let tables = self.tables(&rows);
        let strip = |(row, table): (usize, &Vec<i64>)| {
            let units = self.points[a].units(rows.thick[row]);
            Entry { units, gain: table[whole], most: rows.most[row] }
        };
        let strips: Vec<Entry> = tables.iter().enumerate().map(strip).collect();
        self.layouts(&strips, most, |row| Some(self.row(&rows, row, &tables[row], whole)))
    }

    fn three(&self, most: usize) -> Best {
        let (a, b) = (self.axis, 1 - self.axis);
        let (along, across) = (self.points[a], self.points[b]);
        // Stacks as long as some item, filled up to each point of the first axis.
        let rows = self.rows(a, false);
        let tables = self.tables(&rows);
        let stacks = |width: usize, entries: &mut Vec<(usize, Entry)>| {
            entries.clear();
            // Those that are worth more than shorter ones.
            let mut most = 0;
            for (row, table) in tables.iter().enumerate() {
                if table[width] > most {
                    most = table[width];
                    let units = across.units(rows.thick[row]);
                    entries.push((row, Entry { units, gain: most, most: rows.most[row] }));
                }
            }
        };
        let mut strips = knapsack::empty(along);
        let (mut before, mut entries) = (Vec::new(), Vec::new());
        for width in 1..along.len() {
            stacks(width, &mut entries);
            if entries == before {
                strips[width] = strips[width - 1];
                continue;
            }
            let stacks: Vec<Entry> = entries.iter().map(|&(_, entry)| entry).collect();
            strips[width] = self.table(across, &stacks).last().copied().unwrap_or(0);
            std::mem::swap(&mut before, &mut entries);
        }
        let wide: Vec<usize> = (1..strips.len()).filter(|&w| strips[w] > strips[w - 1]).collect();
        let entry = |&w: &usize| Entry { units: along.at(w), gain: strips[w], most: u64::MAX };
        let choices: Vec<Entry> = wide.iter().map(entry).collect();
        self.layouts(&choices, most, |choice| {
            let mut entries = Vec::new();
            stacks(wide[choice], &mut entries);
            let (of, entries): (Vec<usize>, Vec<Entry>) = entries.into_iter().unzip();
            let strip = self.table(across, &entries);
            let chosen = self.chosen(across, &strip, &entries, across.len() - 1);
            let stack = |e: usize| self.row(&rows, of[e], &tables[of[e]], wide[choice]);
            Some(Cutting::Row { axis: b, children: chosen.into_iter().map(stack).collect() })
        })
    }

    /// The best sheets of strips on offer: the best of all, then some with each of the strips in it.
    fn layouts(&self, strips: &[Entry], most: usize, cut: impl Fn(usize) -> Option<Cutting>) -> Best {
        let points = self.points[self.axis];
        let root = self.table(points, strips);
        let last = points.len() - 1;
        let value = root[last];
        // One strip, and what is best beside it: of a strip that may be used so often and no more, once too often perhaps.
        let mut firsts: Vec<(i64, usize, usize)> = (strips.iter().enumerate())
            .filter_map(|(s, strip)| {
                let rest = points.less(last, strip.units)?;
                Some((strip.gain + root[rest], s, rest))
            })
            .filter(|&(with, ..)| with < value)
            .collect();
        firsts.sort_by_key(|&(value, s, _)| (std::cmp::Reverse(value), s));
        // What is worth the same is as good as always the same, seen from another of its strips.
        firsts.dedup_by_key(|&mut (value, ..)| value);
        firsts.truncate(most.saturating_sub(1));
        let all = [(value, None, last)].into_iter();
        let all = all.chain(firsts.into_iter().map(|(value, first, rest)| (value, Some(first), rest)));
        let layout = |(value, first, rest): (i64, Option<usize>, usize)| {
            let others = self.chosen(points, &root, strips, rest);
            let children = first.into_iter().chain(others).map(&cut).collect::<Option<Vec<Cutting>>>()?;
            Some(Priced { value, cutting: Cutting::Row { axis: self.axis, children } })
        };
        Best { value, priced: all.filter(|&(value, ..)| value > 0).filter_map(layout).collect() }
    }

    /// All rows along an axis, and what may lie in them. Bounded, each copy of an item does so in the shortest of its lays
    /// that are no thicker.
    fn rows(&self, axis: usize, bounded: bool) -> Rows {
        let (across, points) = (1 - axis, self.points[axis]);
        let mut thick: Vec<u32> = self.offers.iter().map(|offer| offer.size[across]).collect();
        thick.sort_unstable();
        thick.dedup();
        let mut most = vec![0_u64; thick.len()];
        let mut spans = Vec::new();
        let often = |offer: &Offer| if bounded { offer.most } else { u64::MAX };
        let row = |offer: &Offer| thick.partition_point(|&thick| thick < offer.size[across]);
        for lays in self.offers.chunk_by(|a, b| a.item == b.item) {
            for (at, offer) in lays.iter().enumerate() {
                // On a coarse grid a piece may become square.
                if lays[..at].iter().any(|other| other.size == offer.size) {
                    continue;
                }
                let first = row(offer);
                most[first] = most[first].saturating_add(often(offer));
                let last = if self.trimming { thick.len() } else { first + 1 };
                // From some row on another lay is shorter, if that one is thick enough for it.
                let shorter = |&(other, of): &(usize, &Offer)| {
                    (of.size[axis], other) < (offer.size[axis], at) && (self.trimming || row(of) == first)
                };
                let others = lays.iter().enumerate().filter(|other| bounded && shorter(other));
                let end = others.map(|(_, other)| row(other)).min().unwrap_or(last);
                if first < end {
                    let units = points.units(offer.size[axis]);
                    let entry = Entry { units, gain: offer.price, most: often(offer) };
                    spans.push(Span { rows: first..end, offer: *offer, entry });
                }
            }
        }
        Rows { axis, thick, most, spans }
    }

    /// A table of some entries.
    fn table(&self, points: &Points, entries: &[Entry]) -> Vec<i64> {
        let mut table = knapsack::empty(points);
        self.worked(entries.iter().map(|&entry| add(points, &mut table, entry)).sum());
        table
    }

    /// What is in a table of some entries up to a point.
    fn chosen(&self, points: &Points, table: &[i64], entries: &[Entry], point: usize) -> Vec<usize> {
        let (chosen, work) = knapsack::filling(points, table, entries, point);
        self.worked(work);
        chosen
    }

    /// For each row the table of what is best in it up to each point.
    fn tables(&self, rows: &Rows) -> Vec<Vec<i64>> {
        let mut tables = Vec::with_capacity(rows.thick.len());
        let none = knapsack::empty(self.points[rows.axis]);
        self.spread(rows.axis, 0..rows.thick.len(), &rows.spans, none, &mut tables);
        tables
    }

    /// The same for some rows, from a table of what lies in all of them. What lies in the rest of them only goes into it one
    /// after the other; else it is done for halves.
    fn spread(
        &self,
        axis: usize,
        rows: Range<usize>,
        spans: &[Span],
        mut table: Vec<i64>,
        tables: &mut Vec<Vec<i64>>,
    ) {
        let put = |table: &mut Vec<i64>, span: &Span| {
            self.worked(add(self.points[axis], table, span.entry));
        };
        let mut spans: Vec<Span> = spans.iter().filter_map(|span| span.cut(&rows)).collect();
        spans.iter().filter(|span| span.rows == rows).for_each(|span| put(&mut table, span));
        spans.retain(|span| span.rows != rows);
        if spans.iter().all(|span| span.rows.end == rows.end) {
            spans.sort_by_key(|span| span.rows.start);
            let mut spans = spans.iter().peekable();
            for row in rows {
                while let Some(span) = spans.next_if(|span| span.rows.start == row) {
                    put(&mut table, span);
                }
                tables.push(table.clone());
            }
            return;
        }
        let middle = rows.start.midpoint(rows.end);
        self.spread(axis, rows.start..middle, &spans, table.clone(), tables);
        self.spread(axis, middle..rows.end, &spans, table, tables);
    }

    /// The best row of a thickness up to a point, from its table.
    fn row(&self, rows: &Rows, row: usize, table: &[i64], point: usize) -> Cutting {
        let spans: Vec<&Span> = rows.spans.iter().filter(|span| span.rows.contains(&row)).collect();
        let entries: Vec<Entry> = spans.iter().map(|span| span.entry).collect();
        let chosen = self.chosen(self.points[rows.axis], table, &entries, point);
        let item = |e: usize| {
            let Offer { item, lay, .. } = spans[e].offer;
            Cutting::Item { item, lay }
        };
        Cutting::Row { axis: rows.axis, children: chosen.into_iter().map(item).collect() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A part: its size, price, how many are asked for, and whether it may turn.
    type Part = (u32, u32, i64, u64, bool);

    fn offers(parts: &[Part]) -> Vec<Offer> {
        let mut offers = Vec::new();
        for (item, &(l, w, price, most, turns)) in parts.iter().enumerate() {
            offers.push(Offer { item, lay: 0, size: [l, w], price, most });
            if turns && l != w {
                offers.push(Offer { item, lay: 1, size: [w, l], price, most });
            }
        }
        offers
    }

    /// The most of a row, part by part: none, or one more in one of its lays.
    fn in_row(offers: &[Offer], axis: usize, thick: u32, trimming: bool, room: u32) -> i64 {
        let mut best = 0;
        for offer in offers.iter().filter(|offer| offer.most > 0) {
            let [long, across] = [offer.size[axis], offer.size[1 - axis]];
            if long <= room && (across == thick || trimming && across < thick) {
                // Those before it are done with.
                let fewer = |of: &Offer| Offer { most: of.most - u64::from(of.item == offer.item), ..*of };
                let left: Vec<Offer> = offers.iter().filter(|of| of.item >= offer.item).map(fewer).collect();
                best = best.max(offer.price + in_row(&left, axis, thick, trimming, room - long));
            }
        }
        best
    }

    /// The most of rows one upon the other: how thick, how many at most, and what is best in one.
    fn stacked(rows: &[(u32, u64, i64)], room: u32) -> i64 {
        let Some((&(thick, most, value), others)) = rows.split_first() else { return 0 };
        let counts = (0..=most).take_while(|&count| thick * count as u32 <= room);
        let with = |count: u64| value * count as i64 + stacked(others, room - thick * count as u32);
        counts.map(with).max().unwrap_or(0)
    }

    /// The items of each row of a cutting.
    fn rows(cutting: &Cutting, into: &mut Vec<Vec<usize>>) {
        let Cutting::Row { children, .. } = cutting else { return };
        let item = |child: &Cutting| if let Cutting::Item { item, .. } = child { Some(*item) } else { None };
        into.push(children.iter().filter_map(item).collect());
        children.iter().for_each(|child| rows(child, into));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]

        #[test]
        fn rows_are_the_best_that_what_is_asked_for_allows(
            parts in proptest::collection::vec((1_u32..6, 1_u32..6, 1_i64..20, 1_u64..4, any::<bool>()), 1..5),
            sheet in (1_u32..12, 1_u32..12),
            trimming: bool,
            axis in 0_usize..2,
        ) {
            let sheet = [sheet.0, sheet.1];
            let mut offers = offers(&parts);
            offers.retain(|offer| (0..2).all(|side| offer.size[side] <= sheet[side]));
            let points = [0, 1].map(|side| Points::new(sheet[side], offers.iter().map(|offer| offer.size[side])));
            let staged = Staged::new(&offers, axis, [&points[0], &points[1]], trimming);
            let of = staged.rows(1 - axis, true);
            for (&thick, table) in of.thick.iter().zip(staged.tables(&of)) {
                for (point, value) in table.into_iter().enumerate() {
                    let room = points[1 - axis].at(point);
                    prop_assert_eq!(value, in_row(&offers, 1 - axis, thick, trimming, room));
                }
            }
            let [two, three] = [2, 3].map(|stages| staged.best(stages, 4));
            let row = |&thick: &u32| {
                let just = offers.iter().filter(|offer| offer.size[axis] == thick).map(|offer| offer.most);
                (thick, just.sum(), in_row(&offers, 1 - axis, thick, trimming, sheet[1 - axis]))
            };
            prop_assert_eq!(two.value, stacked(&of.thick.iter().map(row).collect::<Vec<_>>(), sheet[axis]));
            prop_assert!(!trimming || two.value <= three.value);
            for (best, bounded) in [(two, true), (three, false)] {
                let first = best.priced.first().map(|priced| priced.value);
                prop_assert_eq!(first.unwrap_or(0), best.value);
                for priced in &best.priced {
                    let mut found = Vec::new();
                    rows(&priced.cutting, &mut found);
                    let sum: i64 = found.iter().flatten().map(|&item| parts[item].2).sum();
                    prop_assert_eq!(sum, priced.value);
                    for items in found {
                        let often = |of: usize| items.iter().filter(|&&item| item == of).count() as u64;
                        prop_assert!(!bounded || items.iter().all(|&item| often(item) <= parts[item].3));
                    }
                }
            }
        }
    }
}
