//! A master over some of the items: all of them at the root, those still asked for below.

use super::problem::{Pattern, Problem, Range};
use crate::lp::Master;
use std::collections::BTreeMap;

/// Cost of doing without the longest item, in costs of the dearest bar; shorter ones in proportion.
pub(super) const MISSING: f64 = 1e4;

/// The master with what its rows and columns are.
#[derive(Clone)]
pub(super) struct Level {
    pub master: Master,
    /// The demand it was made for: the most that any run on it asks.
    base: Vec<u64>,
    /// Item of each row; rows of ranges follow.
    pub items: Vec<usize>,
    /// Row of each item.
    pub row_of: Vec<Option<u32>>,
    /// Rows of the most and the least of each bar.
    pub range_rows: Vec<[Option<u32>; 2]>,
    /// Pattern of each column.
    pub columns: Vec<usize>,
    /// Column of patterns, as far as they are in this master.
    column_of: BTreeMap<usize, usize>,
    /// Patterns from this one on were not looked at yet.
    pub next: usize,
}

impl Level {
    /// Without patterns.
    pub fn new(problem: &Problem, demand: &[u64]) -> Self {
        let items: Vec<usize> = (0..demand.len()).filter(|&i| demand[i] > 0).collect();
        let mut row_of = vec![None; demand.len()];
        for (r, &i) in items.iter().enumerate() {
            row_of[i] = Some(r as u32);
        }
        let mut rhs: Vec<f64> = items.iter().map(|&i| demand[i] as f64).collect();
        let mut range_rows = Vec::new();
        for bar in &problem.bars {
            let most = bar.range.most.map(|n| {
                rhs.push(-(n as f64));
                (rhs.len() - 1) as u32
            });
            let least = (bar.range.least > 0).then(|| {
                rhs.push(bar.range.least as f64);
                (rhs.len() - 1) as u32
            });
            range_rows.push([most, least]);
        }
        let longest = problem.items.first().map_or(1, |i| i.length).max(1) as f64;
        let mut missing: Vec<f64> =
            items.iter().map(|&i| MISSING * (0.01 + problem.items[i].length as f64 / longest)).collect();
        missing.resize(rhs.len(), 2.0 * MISSING);
        Self {
            master: Master::new(rhs, missing),
            base: demand.to_vec(),
            items,
            row_of,
            range_rows,
            columns: Vec::new(),
            column_of: BTreeMap::new(),
            next: 0,
        }
    }

    /// Begins with what a level for more has in its basis, of the patterns that this one has too.
    pub fn start_from(&mut self, above: &Self) {
        let basis = above.master.basic_columns();
        let known = |&column: &usize| self.column_of.get(&above.columns[column]).copied();
        let basis: Vec<usize> = basis.iter().filter_map(known).collect();
        self.master.crash(&basis);
        self.next = above.next;
    }

    /// Puts a pattern into the master if it is proper for its demand. Returns whether it was put.
    pub fn put(&mut self, index: usize, pattern: &Pattern, cost: f64) -> bool {
        if self.column_of.contains_key(&index) || pattern.counts.iter().any(|&(i, n)| n > self.base[i]) {
            return false;
        }
        let Some(entries) = self.entries(pattern) else { return false };
        let column = self.master.add(cost, entries);
        self.columns.push(index);
        self.column_of.insert(index, column);
        true
    }

    /// Entries of a pattern; `None` where it holds an item that the level does not know.
    pub fn entries(&self, pattern: &Pattern) -> Option<Vec<(u32, f64)>> {
        let mut entries = Vec::with_capacity(pattern.counts.len() + 1);
        for &(i, n) in &pattern.counts {
            entries.push((self.row_of[i]?, n as f64));
        }
        let [most, least] = self.range_rows[pattern.bar];
        entries.extend(most.map(|row| (row, -1.0)));
        entries.extend(least.map(|row| (row, 1.0)));
        Some(entries)
    }

    /// The right-hand side for what is left of demand and ranges.
    pub fn rhs(&self, demand: &[u64], ranges: &[Range]) -> Vec<f64> {
        let mut rhs: Vec<f64> = self.items.iter().map(|&i| demand[i] as f64).collect();
        for (range, [most, least]) in ranges.iter().zip(&self.range_rows) {
            if most.is_some() {
                rhs.push(-(range.most.unwrap_or(0) as f64));
            }
            if least.is_some() {
                rhs.push(range.least as f64);
            }
        }
        rhs
    }
}
