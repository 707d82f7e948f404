//! How many of an item come from which sheets: limits that branching sets, as rows of a linear master.

use super::Column;
use crate::sheet::problem::Problem;

/// Least and most number of an item that come from all sheets of a berth.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Share {
    pub berth: usize,
    pub item: usize,
    pub least: u32,
    pub most: u32,
}

/// What is required of shares, none twice, and the rows that say so.
#[derive(Clone, Debug, Default)]
pub(super) struct Shares {
    list: Vec<(Share, [Option<u32>; 2])>,
}

impl Shares {
    /// Adds the rows to right-hand sides, and to what a unit costs that is not there.
    pub fn new(
        problem: &Problem,
        list: &[Share],
        rhs: &mut Vec<f64>,
        missing: &mut Vec<f64>,
        price: f64,
    ) -> Self {
        let mut row = |side: f64| {
            rhs.push(side);
            missing.push(price);
            (rhs.len() - 1) as u32
        };
        let rows = list.iter().map(|&share| {
            let least = (share.least > 0).then(|| row(share.least.into()));
            let limited = share.most < problem.items[share.item].demand;
            (share, [least, limited.then(|| row(-f64::from(share.most)))])
        });
        Self { list: rows.collect() }
    }

    /// The limits themselves.
    pub fn list(&self) -> impl Iterator<Item = &Share> {
        self.list.iter().map(|(share, _)| share)
    }

    /// Whether a set may be used at all.
    pub fn allow(&self, (berth, set): &Column) -> bool {
        let held = |item: usize| set.iter().find(|&&(of, _)| of == item).map_or(0, |&(_, count)| count);
        self.list().all(|share| share.berth != *berth || held(share.item) <= share.most)
    }

    /// What a set adds to the rows.
    pub fn entries(&self, (berth, set): &Column) -> impl Iterator<Item = (u32, f64)> {
        let of = self.list.iter().filter(|(share, _)| share.berth == *berth);
        of.flat_map(|&(share, [least, most])| {
            let held = set.iter().find(|&&(item, count)| item == share.item && count > 0);
            let count = held.map(|&(_, count)| f64::from(count));
            let entry = move |row: Option<u32>, sign: f64| Some((row?, sign * count?));
            [entry(least, 1.0), entry(most, -1.0)].into_iter().flatten()
        })
    }

    /// What an item is worth on a berth beside its price.
    pub fn price(&self, berth: usize, item: usize, prices: &[f64]) -> f64 {
        let of = self.list.iter().find(|(share, _)| (share.berth, share.item) == (berth, item));
        let price = |row: Option<u32>| row.map_or(0.0, |row| prices[row as usize]);
        of.map_or(0.0, |(_, [least, most])| price(*least) - price(*most))
    }

    /// How many of each item a sheet of a berth may hold, of those that are left.
    pub fn left(&self, berth: usize, left: &[u32]) -> Vec<u32> {
        let mut left = left.to_vec();
        for share in self.list().filter(|share| share.berth == berth) {
            left[share.item] = left[share.item].min(share.most);
        }
        left
    }
}

/// What all that is asked for is worth at the least, however it is shared out: by prices of items, and what those with
/// shares count there. `None` where it cannot be shared out so.
pub(super) fn worth(problem: &Problem, prices: &[i64], shares: &[(Share, i64)]) -> Option<i128> {
    let mut worth: i128 = 0;
    for (item, (of, &price)) in problem.items.iter().zip(prices).enumerate() {
        let here = || shares.iter().filter(|(share, _)| share.item == item);
        let free = |berth: usize| {
            !problem.lays(berth, item).is_empty() && here().all(|(share, _)| share.berth != berth)
        };
        let elsewhere = (0..problem.kinds.len()).any(free).then_some((price, of.demand));
        let mut room: Vec<(i64, u32)> = elsewhere.into_iter().collect();
        let mut left = if of.optional { 0 } else { of.demand };
        for &(share, price) in here() {
            left = left.checked_sub(share.least)?;
            worth += i128::from(price) * i128::from(share.least);
            room.push((price, share.most - share.least));
        }
        room.sort_unstable();
        for (price, most) in room {
            let taken = left.min(most);
            worth += i128::from(price) * i128::from(taken);
            left -= taken;
        }
        // What goes nowhere but needs not either is worth nothing.
        if left > 0 && (here().next().is_some() || price > 0) {
            return None;
        }
    }
    Some(worth)
}
