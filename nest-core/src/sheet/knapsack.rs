//! A knapsack over the points of an axis, with nothing in it more often than it may be.

use super::points::Points;

/// What may follow each other along an axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Entry {
    /// How long it is.
    pub units: u32,
    /// What it is worth.
    pub gain: i64,
    /// How often it may be used.
    pub most: u64,
}

impl Entry {
    /// How often it can be used up to a point.
    fn times(&self, points: &Points, point: usize) -> u64 {
        self.fits(points, point).min(self.most)
    }

    /// How often it fits.
    fn fits(&self, points: &Points, point: usize) -> u64 {
        u64::from(points.at(point) / self.units.max(1))
    }

    /// Whether it may be used as often as it fits.
    fn free(&self, points: &Points) -> bool {
        self.most >= self.fits(points, points.len() - 1)
    }
}

/// A table of best values up to each point with nothing in it.
pub(super) fn empty(points: &Points) -> Vec<i64> {
    vec![0; points.len()]
}

/// Adds an entry to a table. Returns the work: cells looked at, those of the table once for each bit of how often the entry
/// may be used; only once where that is as often as it fits.
pub(super) fn add(points: &Points, table: &mut [i64], entry: Entry) -> u64 {
    if entry.gain <= 0 || entry.fits(points, points.len() - 1) == 0 {
        return 1;
    }
    if entry.free(points) {
        for p in 1..table.len() {
            let with = points.less(p, entry.units).map_or(0, |rest| table[rest] + entry.gain);
            table[p] = table[p].max(table[p - 1]).max(with);
        }
        return table.len() as u64;
    }
    // So many at once, or none of them: 1, 2, 4 and what is left make every number.
    let (mut left, mut chunk, mut work) = (entry.most, 1, 0);
    while left > 0 {
        let count = left.min(chunk);
        // No more than fit, so that both products are within the axis.
        let (units, gain) = (entry.units * count as u32, entry.gain * count as i64);
        for p in (1..table.len()).rev() {
            let Some(rest) = points.less(p, units) else { break };
            table[p] = table[p].max(table[rest] + gain);
        }
        work += table.len() as u64;
        left -= count;
        chunk *= 2;
    }
    work
}

/// The entries of a best filling up to a point, each as often as it is in it, from the table of all of them; and the work.
/// Runtime: where some are not free, that of the table again.
pub(super) fn filling(points: &Points, table: &[i64], entries: &[Entry], point: usize) -> (Vec<usize>, u64) {
    let bounded = entries.iter().any(|entry| !entry.free(points));
    if bounded { refilled(points, entries, point) } else { (traced(points, table, entries, point), 0) }
}

/// The same where all are free.
fn traced(points: &Points, table: &[i64], entries: &[Entry], point: usize) -> Vec<usize> {
    let (mut at, mut chosen) = (point, Vec::new());
    while at > 0 {
        let last = |entry: &Entry| {
            let rest = points.less(at, entry.units).filter(|_| entry.gain > 0)?;
            (table[rest] + entry.gain >= table[at]).then_some(rest)
        };
        let found = entries.iter().enumerate().find_map(|(e, entry)| Some((e, last(entry)?)));
        at = found.map_or(at - 1, |(_, rest)| rest);
        chosen.extend(found.map(|(e, _)| e));
    }
    chosen
}

/// The same where they are not, with the table after each entry.
fn refilled(points: &Points, entries: &[Entry], point: usize) -> (Vec<usize>, u64) {
    let mut tables = vec![empty(points)];
    let mut work = 0;
    for &entry in entries {
        let mut table = tables.last().cloned().unwrap_or_default();
        work += table.len() as u64 + add(points, &mut table, entry);
        tables.push(table);
    }
    let (mut at, mut chosen) = (point, Vec::new());
    for (e, (entry, tables)) in entries.iter().zip(tables.windows(2)).enumerate().rev() {
        let [before, after] = tables else { continue };
        let enough = |&(count, rest): &(u64, usize)| before[rest] + entry.gain * count as i64 >= after[at];
        let counts = (0..=entry.times(points, at)).map(|count| (count, entry.units * count as u32));
        let rests = counts.filter_map(|(count, units)| Some((count, points.less(at, units)?)));
        let (count, rest) = rests.into_iter().find(enough).unwrap_or((0, at));
        chosen.extend(std::iter::repeat_n(e, count as usize));
        at = rest;
    }
    (chosen, work)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The best by every number of each.
    fn plain(entries: &[(u32, i64, u64)], room: u32) -> i64 {
        let Some((&(units, gain, most), others)) = entries.split_first() else { return 0 };
        let counts = (0..=most).take_while(|&count| units * count as u32 <= room);
        let value = |count: u64| gain * count as i64 + plain(others, room - units * count as u32);
        counts.map(value).max().unwrap_or(0)
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]

        #[test]
        fn every_number_of_each_finds_the_same(
            entries in proptest::collection::vec((1_u32..12, 0_i64..30, prop_oneof![0_u64..9, Just(100)]), 0..5),
            room in 1_u32..40,
        ) {
            let points = Points::new(room, entries.iter().map(|entry| entry.0));
            let listed: Vec<Entry> =
                entries.iter().map(|&(units, gain, most)| Entry { units, gain, most }).collect();
            let mut table = empty(&points);
            for &entry in &listed {
                add(&points, &mut table, entry);
            }
            for (point, &value) in table.iter().enumerate() {
                let room = points.at(point);
                prop_assert_eq!(value, plain(&entries, room));
                let chosen = filling(&points, &table, &listed, point).0;
                prop_assert_eq!(chosen.iter().map(|&e| listed[e].gain).sum::<i64>(), value);
                prop_assert!(chosen.iter().map(|&e| listed[e].units).sum::<u32>() <= room);
                for (e, entry) in listed.iter().enumerate() {
                    prop_assert!(chosen.iter().filter(|&&of| of == e).count() as u64 <= entry.most);
                }
            }
        }
    }
}
