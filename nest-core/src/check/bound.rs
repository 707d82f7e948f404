//! Does a certificate prove its floor?
//!
//! Theoretical. Fix a leaf with prices `p` and values `V`. Every plan that makes all required parts and whose use
//! `x` of the stock lies in the leaf's box collects `sum demand p` in prices; a layout of stock `s` collects at
//! most `V_s`; so `sum V_s x_s >= sum demand p`, and the cheapest whole `x` with that property costs no more than
//! the plan. The leaves together cover every use, so the least of their floors is a floor. Where no `x` within
//! the supply has the property in any leaf, the stock is not enough for all required parts.
//!
//! Practical. Whatever the certificate says is recomputed or refused: the prices belong to required parts of the
//! group, each `V_s` holds for its reason, the boxes cover everything. Whole numbers only, products in `i128`,
//! every sum checked. What takes too much work is refused as such. Parts that may not come from a stock count 0
//! there.
//!
//! Where a leaf has [shares](super::shares), `p` may differ from stock to stock, and what is asked for is worth the least that
//! any way to share it out within the limits is worth: that is what the plan collects at the least.
//!
//! Runtime: a table of capacity over gcd for each leaf and each kind of stock at the worst, see
//! [`knapsack`](super::knapsack).

use std::collections::btree_map::Entry;
use std::collections::{BTreeMap, BTreeSet};

use super::asked::Asked;
use super::cover::{Choice, cover};
use super::knapsack::{Claim, Item, Verdict, judge};
use super::panel::Panel;
use super::regions::{Gap, Region, gap};
use super::shares::{Berth, Priced, Shares};
use super::{Refusal, Which};
use crate::model::{CheckedBatch, Group, UsableStock};
use crate::plan::{Certificate, Leaf, PartShare, Reason};

/// More leaves than this are refused, and more limits (one a leaf and stock) than that.
const MOST_LEAVES: usize = 4096;
const MOST_LIMITS: usize = 10_000_000;

/// What a certificate proves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Floor {
    /// No plan that makes every required part of the group costs less, in the batch's measure.
    Cost(i128),
    /// No plan makes every required part of the group: the stock is not enough.
    Impossible,
}

/// What a leaf claims whatever its box: prices of parts and shares, and value and reason of each stock.
type Claims<'a> = (&'a [(usize, i64)], &'a [PartShare], Vec<(Berth, i64, Reason)>);

/// A stock, or a piece of it, and some parts of which a leaf limits how many come from it.
type Limited<'a> = (Berth, &'a [usize]);

/// What is left of the work allowed for one certificate. Counts, not seconds: the same on every machine.
#[derive(Debug)]
pub(super) struct Work {
    cells: u64,
    pairs: u64,
    nodes: u64,
    sets: u64,
}

impl Work {
    /// For one certificate: a few seconds at the very worst.
    pub(super) const fn new() -> Self {
        Self { cells: 4_000_000_000, pairs: 400_000_000, nodes: 2_000_000, sets: 200_000_000 }
    }

    /// So much and no more.
    #[cfg(test)]
    pub(super) const fn of(cells: u64, pairs: u64, nodes: u64) -> Self {
        Self { cells, pairs, nodes, sets: nodes }
    }

    /// Whether so many cells of a table may be filled.
    pub(super) fn cells(&mut self, count: u64) -> bool {
        take(&mut self.cells, count)
    }

    /// Whether so many pairs of a list may be looked at.
    pub(super) fn pairs(&mut self, count: u64) -> bool {
        take(&mut self.pairs, count)
    }

    /// Whether one more node of a search among so many choices may be opened.
    pub(super) fn node(&mut self, choices: usize) -> bool {
        take(&mut self.nodes, 1 + choices as u64 / 32)
    }

    /// Whether one more piece may be tried in a set of parts.
    pub(super) fn set(&mut self) -> bool {
        take(&mut self.sets, 1)
    }
}

fn take(left: &mut u64, count: u64) -> bool {
    let enough = *left >= count;
    if enough {
        *left -= count;
    }
    enough
}

/// What a certificate proves about a group.
///
/// Runtime: steps are counted, cells of tables, pairs of parts and sets of parts; a certificate that takes more of them than a
/// few seconds allow is refused as too large.
///
/// # Errors
/// The first reason found why it proves nothing.
pub fn floor_of(batch: &CheckedBatch, group: usize, certificate: &Certificate) -> Result<Floor, Refusal> {
    let Some(of) = batch.groups().get(group) else { return Err(Refusal::NoGroup(group)) };
    if certificate.leaves.is_empty() {
        return Err(Refusal::NoLeaf);
    }
    let leaves = certificate.leaves.len();
    let shares = certificate.leaves.iter().flat_map(|leaf| &leaf.shares);
    let limited: BTreeSet<Limited<'_>> =
        shares.map(|share| ((share.stock, share.piece), &*share.parts)).collect();
    let limits = of.stock.len() + limited.len();
    if leaves > MOST_LEAVES || leaves.saturating_mul(limits) > MOST_LIMITS {
        return Err(Refusal::TooLarge { leaf: None, what: "the number of leaves" });
    }
    let limited: Vec<Limited<'_>> = limited.into_iter().collect();
    let asked = &Asked::new(batch, certificate.matched);
    let whole = of.stock.iter().map(|&s| (0, supply(batch, s).unwrap_or(u64::MAX)));
    let whole: Region = whole.chain(limited.iter().map(|(_, parts)| (0, asked.total(parts)))).collect();
    let mut work = Work::new();
    let all = || certificate.leaves.iter().enumerate();
    for (l, leaf) in all().filter(|(_, leaf)| !leaf.shares.is_empty()) {
        let steps = Shares::work(of, leaf).saturating_add((limited.len() * leaf.shares.len()) as u64);
        if !work.pairs(steps) {
            return Err(Refusal::TooLarge { leaf: Some(l), what: "the number of shares" });
        }
    }
    let prices = all().map(|(l, leaf)| prices(asked, of, l, leaf)).collect::<Result<Vec<_>, _>>()?;
    let shares = all().zip(&prices).map(|((l, leaf), prices)| Shares::of(asked, of, l, leaf, prices));
    let shares = shares.collect::<Result<Vec<_>, _>>()?;
    let mut regions = Vec::new();
    for (l, leaf) in all() {
        let mut region = region(batch, of, l, leaf)?;
        region.extend(limited.iter().map(|&(berth, parts)| {
            let here = |share: &&PartShare| (share.stock, share.piece) == berth && share.parts == parts;
            let share = leaf.shares.iter().find(here);
            share.map_or((0, u64::MAX), |share| (share.least, share.most))
        }));
        regions.push(region);
    }
    match gap(&whole, &regions) {
        Gap::None => {}
        Gap::At(at) => {
            let stock = of.stock.iter().map(|&s| Which::stock(batch, s));
            let parts = limited.iter().map(|(_, parts)| Which::part(batch, parts[0]));
            return Err(Refusal::Gap(stock.chain(parts).zip(at).collect()));
        }
        Gap::TooLarge => return Err(Refusal::TooLarge { leaf: None, what: "the set of leaves" }),
    }
    let mut least = Floor::Impossible;
    // Boxes of one proof have prices and values in common, which hold or not whatever the box.
    let mut held: BTreeMap<Claims<'_>, Vec<Values>> = BTreeMap::new();
    for (((l, leaf), region), shares) in all().zip(&regions).zip(&shares) {
        let claimed = leaf.values.iter().map(|value| ((value.stock, value.piece), value.value, value.reason));
        let values = match held.entry((&leaf.prices, &leaf.shares, claimed.collect())) {
            Entry::Occupied(known) => known.get().clone(),
            Entry::Vacant(new) => new.insert(values(asked, of, l, leaf, shares, &mut work)?).clone(),
        };
        let mut choices = Vec::new();
        for ((&s, values), &(least, most)) in of.stock.iter().zip(values).zip(region) {
            let cost = batch.stock().get(s).map_or(0, |stock| stock.cost);
            let most = supply(batch, s).map_or(most, |supply| most.min(supply));
            match values {
                Values::Any(value) => choices.push(Choice { cost, value, least, most: Some(most) }),
                // Which of them are used is open, and how many: that only makes the floor lower.
                Values::Each(values) if most <= values.len() as u64 => {
                    choices.extend(values.iter().map(|&value| Choice {
                        cost,
                        value,
                        least: 0,
                        most: Some(1),
                    }));
                }
                Values::None if most == 0 => {}
                Values::Each(_) | Values::None => {
                    return Err(Refusal::NoValue { leaf: l, stock: Which::stock(batch, s) });
                }
            }
        }
        let too_large = Refusal::TooLarge { leaf: Some(l), what: "the value of all parts" };
        // Where nothing can be shared out so, no plan is in the leaf.
        let berths: Vec<Berth> = leaf.values.iter().map(|value| (value.stock, value.piece)).collect();
        let Some(demand) = shares.demand(&berths).map_err(|()| too_large.clone())? else { continue };
        least = match (least, cover(&choices, demand, &mut work).ok_or(too_large)?) {
            (Floor::Cost(a), Floor::Cost(b)) => Floor::Cost(a.min(b)),
            (floor, Floor::Impossible) | (Floor::Impossible, floor) => floor,
        };
    }
    Ok(least)
}

/// The leaf's box, one entry for each stock of the group.
fn region(batch: &CheckedBatch, group: &Group, l: usize, leaf: &Leaf) -> Result<Region, Refusal> {
    let mut region: Vec<Option<(u64, u64)>> = vec![None; group.stock.len()];
    for bound in &leaf.bounds {
        let stock = || Which::stock(batch, bound.stock);
        let Some(at) = position(&group.stock, bound.stock) else {
            return Err(Refusal::ForeignStock { leaf: l, stock: stock() });
        };
        let most = bound.most.unwrap_or(u64::MAX);
        if bound.least > most {
            return Err(Refusal::EmptyBox { leaf: l, stock: stock(), least: bound.least, most });
        }
        if region[at].replace((bound.least, most)).is_some() {
            return Err(Refusal::StockTwice { leaf: l, stock: stock() });
        }
    }
    Ok(region.into_iter().map(|limits| limits.unwrap_or((0, u64::MAX))).collect())
}

/// The prices above 0 of the leaf: part and price.
fn prices(asked: &Asked<'_>, group: &Group, l: usize, leaf: &Leaf) -> Result<Vec<(usize, i64)>, Refusal> {
    let batch = asked.batch;
    let mut seen = vec![false; group.parts.len()];
    let mut prices = Vec::new();
    for &(part, price) in &leaf.prices {
        let which = || Which::part(batch, part);
        let Some(at) = position(&group.parts, part) else {
            return Err(Refusal::ForeignPart { leaf: l, part: which() });
        };
        if std::mem::replace(&mut seen[at], true) {
            return Err(Refusal::PartTwice { leaf: l, part: which() });
        }
        if price < 0 {
            return Err(Refusal::NegativePrice { leaf: l, part: which(), found: price });
        }
        let optional = batch.batch().parts.get(part).is_some_and(|part| part.optional);
        if price > 0 && optional {
            return Err(Refusal::OptionalPriced { leaf: l, part: which(), found: price });
        }
        if price > 0 && asked.within(part) {
            return Err(Refusal::WithinStrip { leaf: l, part: which() });
        }
        if price > 0 && asked.quantity(part) > 0 {
            prices.push((part, price));
        }
    }
    Ok(prices)
}

/// The value of each stock of the group, after each was found to hold.
fn values(
    asked: &Asked<'_>,
    group: &Group,
    l: usize,
    leaf: &Leaf,
    shares: &Shares<'_>,
    work: &mut Work,
) -> Result<Vec<Values>, Refusal> {
    let batch = asked.batch;
    let mut values: Vec<BTreeMap<Option<u32>, i64>> = vec![BTreeMap::new(); group.stock.len()];
    // Stock on which the same parts can be packed the same way is judged together.
    let mut packings: BTreeMap<Vec<Item>, (Vec<Claim>, Vec<usize>)> = BTreeMap::new();
    for claimed in &leaf.values {
        let s = claimed.stock;
        let (Some(at), Some(stock)) = (position(&group.stock, s), batch.stock().get(s)) else {
            return Err(Refusal::ForeignStock { leaf: l, stock: Which::stock(batch, s) });
        };
        if values[at].insert(claimed.piece, claimed.value).is_some() {
            return Err(Refusal::StockTwice { leaf: l, stock: Which::stock(batch, s) });
        }
        if claimed.value < 0 {
            let found = claimed.value;
            return Err(Refusal::NegativeValue { leaf: l, stock: Which::stock(batch, s), found });
        }
        let prices = &shares.on((s, claimed.piece))[..];
        if !work.pairs(prices.len() as u64) {
            return Err(Refusal::TooLarge { leaf: Some(l), what: "the number of parts and stock" });
        }
        match claimed.reason {
            Reason::Lengths => {
                let parts = on_stock(asked, s, prices);
                if let Some((part, beside)) = beside(stock, &parts) {
                    let [part, beside] = [part, beside].map(|part| Which::part(batch, part));
                    return Err(Refusal::SideBySide { leaf: l, stock: Which::stock(batch, s), part, beside });
                }
                let items = items(stock, &parts);
                let capacity = size_with_kerf(stock, stock.usable()[0].ticks());
                let claim = Claim { capacity: u64::try_from(capacity).unwrap_or(0), value: claimed.value };
                let (claims, of) = packings.entry(items).or_default();
                claims.push(claim);
                of.push(s);
            }
            Reason::Area => Panel { asked, group, leaf: l, s, stock, prices }.area(claimed.value)?,
            Reason::Dual { along, across } => {
                Panel { asked, group, leaf: l, s, stock, prices }.dual(
                    claimed.value,
                    [along, across],
                    work,
                )?;
            }
            Reason::Sets { along, across, stages } => {
                Panel { asked, group, leaf: l, s, stock, prices }.sets(
                    claimed.value,
                    [along, across],
                    stages,
                    work,
                )?;
            }
            Reason::Cuts { grid, stages } => {
                Panel { asked, group, leaf: l, s, stock, prices }.cuts(claimed.value, grid, stages, work)?;
            }
        }
    }
    for (items, (claims, of)) in &packings {
        match judge(items, claims, work) {
            Verdict::Hold => {}
            Verdict::Beaten(c, found) => {
                let (stock, claimed) = (Which::stock(batch, of[c]), claims[c].value);
                return Err(Refusal::ValueTooSmall { leaf: l, stock, claimed, found });
            }
            Verdict::TooLarge(_) => {
                return Err(Refusal::TooLarge { leaf: Some(l), what: "the knapsack on lengths" });
            }
        }
    }
    let mut all = Vec::new();
    for (values, &s) in values.into_iter().zip(&group.stock) {
        let numbered = values.keys().copied().eq((0..values.len()).map(|piece| u32::try_from(piece).ok()));
        all.push(match values.get(&None) {
            Some(&value) if values.len() == 1 => Values::Any(value),
            None if values.is_empty() => Values::None,
            None if numbered => Values::Each(values.into_values().collect()),
            _ => return Err(Refusal::Pieces { leaf: l, stock: Which::stock(batch, s) }),
        });
    }
    Ok(all)
}

/// What a leaf says of one stock.
#[derive(Clone, Debug)]
enum Values {
    /// Nothing.
    None,
    /// Every piece collects at most so much.
    Any(i64),
    /// One piece collects at most so much, another so much, and there are no others.
    Each(Vec<i64>),
}

/// A priced part as it may lie on one stock.
#[derive(Clone, Copy, Debug)]
pub(super) struct OnStock {
    pub part: usize,
    pub price: i64,
    pub qty: u32,
    /// Least size along the stock, in ticks.
    pub along: i64,
    /// Least size across it, in ticks.
    pub across: i64,
}

/// The priced parts that may come from a stock.
pub(super) fn on_stock(asked: &Asked<'_>, s: usize, prices: &[Priced]) -> Vec<OnStock> {
    let lying = |&Priced { part, price, qty }: &Priced| {
        let lies = asked.lies(part, s);
        let along = lies.iter().map(|lie| lie.size[0].ticks()).min()?;
        let across = lies.iter().map(|lie| lie.size[1].ticks()).min()?;
        Some(OnStock { part, price, qty, along, across })
    };
    prices.iter().filter_map(lying).collect()
}

/// Two priced parts that fit side by side across the stock, if there are any. Without such a pair, the last cut
/// that parts any two priced pieces is a crosscut, so they follow each other with a kerf between.
fn beside(stock: &UsableStock, parts: &[OnStock]) -> Option<(usize, usize)> {
    let width = stock.usable()[1].ticks();
    if width == 0 {
        return None;
    }
    let mut narrow: Vec<(i64, usize)> = Vec::new();
    for part in parts {
        narrow.extend(vec![(part.across, part.part); part.qty.min(2) as usize]);
    }
    narrow.sort_unstable();
    let [(first, a), (second, b)] = narrow.get(..2)? else { return None };
    let both = i128::from(*first) + i128::from(*second) + i128::from(stock.kerf.ticks());
    (both <= i128::from(width)).then_some((*a, *b))
}

/// What can be packed along the stock, in a fixed order.
fn items(stock: &UsableStock, parts: &[OnStock]) -> Vec<Item> {
    let mut items: Vec<Item> = parts
        .iter()
        .filter_map(|part| {
            let size = u64::try_from(size_with_kerf(stock, part.along)).ok()?;
            Some(Item { size, value: part.price, most: part.qty.into() })
        })
        .collect();
    items.sort_unstable();
    items
}

/// A size with one kerf added; both are far below 2^63, see [`Length::MAX`](crate::units::Length::MAX).
pub(super) fn size_with_kerf(stock: &UsableStock, ticks: i64) -> i128 {
    i128::from(ticks) + i128::from(stock.kerf.ticks())
}

fn supply(batch: &CheckedBatch, stock: usize) -> Option<u64> {
    batch.stock().get(stock).and_then(|stock| stock.qty).map(u64::from)
}

/// Where an index stands in an ascending list.
fn position(list: &[usize], index: usize) -> Option<usize> {
    list.binary_search(&index).ok()
}
