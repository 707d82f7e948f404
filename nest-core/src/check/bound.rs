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
//! Runtime: a table of capacity over gcd for each leaf and each kind of stock at the worst, see
//! [`knapsack`](super::knapsack).

use std::collections::BTreeMap;

use super::cover::{Choice, cover};
use super::dual::Function;
use super::knapsack::{Claim, Item, Verdict, judge};
use super::regions::{Gap, Region, gap};
use super::{Refusal, Which};
use crate::model::{CheckedBatch, Group, UsableStock};
use crate::plan::{Certificate, Dual, Leaf, Reason};
use crate::units::Length;

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

/// What is left of the work allowed for one certificate. Counts, not seconds: the same on every machine.
#[derive(Debug)]
pub(super) struct Work {
    cells: u64,
    pairs: u64,
    nodes: u64,
}

impl Work {
    /// For one certificate: a few seconds at the very worst.
    pub(super) const fn new() -> Self {
        Self { cells: 4_000_000_000, pairs: 400_000_000, nodes: 2_000_000 }
    }

    /// So much and no more.
    #[cfg(test)]
    pub(super) const fn of(cells: u64, pairs: u64, nodes: u64) -> Self {
        Self { cells, pairs, nodes }
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
/// # Errors
/// The first reason found why it proves nothing.
pub fn floor_of(batch: &CheckedBatch, group: usize, certificate: &Certificate) -> Result<Floor, Refusal> {
    let Some(of) = batch.groups().get(group) else { return Err(Refusal::NoGroup(group)) };
    if certificate.leaves.is_empty() {
        return Err(Refusal::NoLeaf);
    }
    let leaves = certificate.leaves.len();
    if leaves > MOST_LEAVES || leaves.saturating_mul(of.stock.len()) > MOST_LIMITS {
        return Err(Refusal::TooLarge { leaf: None, what: "the number of leaves" });
    }
    let whole: Region = of.stock.iter().map(|&s| (0, supply(batch, s).unwrap_or(u64::MAX))).collect();
    let mut regions = Vec::new();
    for (l, leaf) in certificate.leaves.iter().enumerate() {
        regions.push(region(batch, of, l, leaf)?);
    }
    match gap(&whole, &regions) {
        Gap::None => {}
        Gap::At(at) => {
            let at = of.stock.iter().zip(at).map(|(&s, count)| (Which::stock(batch, s), count)).collect();
            return Err(Refusal::Gap(at));
        }
        Gap::TooLarge => return Err(Refusal::TooLarge { leaf: None, what: "the set of leaves" }),
    }
    let mut work = Work::new();
    let mut least = Floor::Impossible;
    for (l, (leaf, region)) in certificate.leaves.iter().zip(&regions).enumerate() {
        let prices = prices(batch, of, l, leaf)?;
        let values = values(batch, of, l, leaf, &prices, &mut work)?;
        let too_large = Refusal::TooLarge { leaf: Some(l), what: "the value of all parts" };
        let demand = prices.iter().try_fold(0_i128, |sum, &(part, price)| {
            let qty = i128::from(quantity(batch, part));
            sum.checked_add(qty * i128::from(price))
        });
        let demand = demand.ok_or_else(|| too_large.clone())?;
        let choices: Vec<Choice> = of
            .stock
            .iter()
            .zip(values)
            .zip(region)
            .map(|((&s, value), &(least, most))| Choice {
                cost: batch.stock().get(s).map_or(0, |stock| stock.cost),
                value,
                least,
                most: Some(supply(batch, s).map_or(most, |supply| most.min(supply))),
            })
            .collect();
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
fn prices(batch: &CheckedBatch, group: &Group, l: usize, leaf: &Leaf) -> Result<Vec<(usize, i64)>, Refusal> {
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
        if price > 0 && quantity(batch, part) > 0 {
            prices.push((part, price));
        }
    }
    Ok(prices)
}

/// The value of each stock of the group, after each was found to hold.
fn values(
    batch: &CheckedBatch,
    group: &Group,
    l: usize,
    leaf: &Leaf,
    prices: &[(usize, i64)],
    work: &mut Work,
) -> Result<Vec<i64>, Refusal> {
    let mut values: Vec<Option<i64>> = vec![None; group.stock.len()];
    // Stock on which the same parts can be packed the same way is judged together.
    let mut packings: BTreeMap<Vec<Item>, (Vec<Claim>, Vec<usize>)> = BTreeMap::new();
    for claimed in &leaf.values {
        let s = claimed.stock;
        let (Some(at), Some(stock)) = (position(&group.stock, s), batch.stock().get(s)) else {
            return Err(Refusal::ForeignStock { leaf: l, stock: Which::stock(batch, s) });
        };
        if values[at].replace(claimed.value).is_some() {
            return Err(Refusal::StockTwice { leaf: l, stock: Which::stock(batch, s) });
        }
        if claimed.value < 0 {
            let found = claimed.value;
            return Err(Refusal::NegativeValue { leaf: l, stock: Which::stock(batch, s), found });
        }
        if !work.pairs(prices.len() as u64) {
            return Err(Refusal::TooLarge { leaf: Some(l), what: "the number of parts and stock" });
        }
        match claimed.reason {
            Reason::Lengths => {
                let strips = strips(batch, s, stock, prices);
                if let Some((part, beside)) = beside(stock, &strips) {
                    let [part, beside] = [part, beside].map(|part| Which::part(batch, part));
                    return Err(Refusal::SideBySide { leaf: l, stock: Which::stock(batch, s), part, beside });
                }
                let items = items(stock, &strips);
                let capacity = size_with_kerf(stock, stock.usable()[0].ticks());
                let claim = Claim { capacity: u64::try_from(capacity).unwrap_or(0), value: claimed.value };
                let (claims, of) = packings.entry(items).or_default();
                claims.push(claim);
                of.push(s);
            }
            Reason::Area => area(batch, l, s, stock, prices, claimed.value)?,
            Reason::Dual { along, across } => {
                dual(batch, group, l, s, stock, prices, claimed.value, [along, across])?;
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
    for (value, &s) in values.into_iter().zip(&group.stock) {
        all.push(value.ok_or_else(|| Refusal::NoValue { leaf: l, stock: Which::stock(batch, s) })?);
    }
    Ok(all)
}

/// A priced part as it may lie on one stock.
#[derive(Clone, Copy, Debug)]
struct Strip {
    part: usize,
    price: i64,
    qty: u32,
    /// Least size along the stock, in ticks.
    along: i64,
    /// Least size across it, in ticks.
    across: i64,
}

/// The priced parts that may come from a stock.
fn strips(batch: &CheckedBatch, s: usize, stock: &UsableStock, prices: &[(usize, i64)]) -> Vec<Strip> {
    let full = stock.usable()[1];
    let strip = |&(part, price): &(usize, i64)| {
        let cut = batch.parts().get(part)?;
        let placing = cut.from.get(cut.from.binary_search_by_key(&s, |placing| placing.stock).ok()?)?;
        let (length, width) = (cut.length, cut.width.unwrap_or(full));
        let straight = placing.straight.then_some((length, width));
        let turned = placing.turned.then_some((width, length));
        let ways = || straight.into_iter().chain(turned);
        let along = ways().map(|way| way.0.ticks()).min()?;
        let across = ways().map(|way| way.1.ticks()).min()?;
        Some(Strip { part, price, qty: quantity(batch, part), along, across })
    };
    prices.iter().filter_map(strip).collect()
}

/// Two priced parts that fit side by side across the stock, if there are any. Without such a pair, the last cut
/// that parts any two priced pieces is a crosscut, so they follow each other with a kerf between.
fn beside(stock: &UsableStock, strips: &[Strip]) -> Option<(usize, usize)> {
    let width = stock.usable()[1].ticks();
    if width == 0 {
        return None;
    }
    let mut narrow: Vec<(i64, usize)> = Vec::new();
    for strip in strips {
        narrow.extend(vec![(strip.across, strip.part); strip.qty.min(2) as usize]);
    }
    narrow.sort_unstable();
    let [(first, a), (second, b)] = narrow.get(..2)? else { return None };
    let both = i128::from(*first) + i128::from(*second) + i128::from(stock.kerf.ticks());
    (both <= i128::from(width)).then_some((*a, *b))
}

/// What can be packed along the stock, in a fixed order.
fn items(stock: &UsableStock, strips: &[Strip]) -> Vec<Item> {
    let mut items: Vec<Item> = strips
        .iter()
        .filter_map(|strip| {
            let size = u64::try_from(size_with_kerf(stock, strip.along)).ok()?;
            Some(Item { size, value: strip.price, most: strip.qty.into() })
        })
        .collect();
    items.sort_unstable();
    items
}

/// Verifies a value by area: pieces enlarged by one kerf both ways do not overlap in the clean area enlarged the
/// same way, so a layout collects at most that area at the best price over area.
fn area(
    batch: &CheckedBatch,
    l: usize,
    s: usize,
    stock: &UsableStock,
    prices: &[(usize, i64)],
    claimed: i64,
) -> Result<(), Refusal> {
    let [length, width] = stock.usable();
    if width.ticks() <= 0 {
        return Err(Refusal::NoWidth { leaf: l, stock: Which::stock(batch, s) });
    }
    let whole = size_with_kerf(stock, length.ticks()) * size_with_kerf(stock, width.ticks());
    let too_large = || Refusal::TooLarge { leaf: Some(l), what: "a product of price and area" };
    for strip in strips(batch, s, stock, prices) {
        let cut = batch.parts().get(strip.part);
        let sides =
            cut.map_or([0, 0], |cut| [cut.length, cut.width.unwrap_or(width)].map(|side| side.ticks()));
        let size = (size_with_kerf(stock, sides[0]) * size_with_kerf(stock, sides[1])).max(1);
        let divisor = gcd(whole, size);
        let most =
            i128::from(strip.price).checked_mul(whole / divisor).ok_or_else(too_large)? / (size / divisor);
        if most > claimed.into() {
            let stock = Which::stock(batch, s);
            return Err(Refusal::ValueTooSmall { leaf: l, stock, claimed, found: most });
        }
    }
    Ok(())
}

/// Verifies a value by a pair of dual-feasible functions. If pieces fit beside each other as a layout has them, so do
/// pieces with both sizes replaced, in stock with both sizes replaced (Fekete and Schepers 2004); the rest is as
/// with the area.
#[expect(clippy::too_many_arguments, reason = "one claim of one leaf, in words of the certificate")]
fn dual(
    batch: &CheckedBatch,
    group: &Group,
    l: usize,
    s: usize,
    stock: &UsableStock,
    prices: &[(usize, i64)],
    claimed: i64,
    duals: [Dual; 2],
) -> Result<(), Refusal> {
    let which = || Which::stock(batch, s);
    let clean = stock.usable();
    if clean[1].ticks() <= 0 {
        return Err(Refusal::NoWidth { leaf: l, stock: which() });
    }
    // Parts are counted whether they are priced or not: more of them never make a function larger than it may be.
    let required: Vec<(usize, i64)> = group
        .parts
        .iter()
        .filter(|&&part| batch.batch().parts.get(part).is_some_and(|part| !part.optional))
        .map(|&part| (part, 0))
        .collect();
    let counted = self::strips(batch, s, stock, &required);
    let strips = self::strips(batch, s, stock, prices);
    let function = |axis: usize| {
        let capacity = size_with_kerf(stock, clean[axis].ticks());
        let smallest = counted.iter().map(|strip| {
            let size = if axis == 0 { strip.along } else { strip.across };
            (size_with_kerf(stock, size), strip.qty)
        });
        Function::new(duals[axis], capacity, smallest.collect()).ok_or_else(|| Refusal::NoDual {
            leaf: l,
            stock: which(),
            found: duals[axis],
        })
    };
    let (f, g) = (function(0)?, function(1)?);
    let too_large = || Refusal::TooLarge { leaf: Some(l), what: "a product of price and area" };
    let product = |along: Length, across: Length| {
        let [along, across] = [along, across].map(|size| size_with_kerf(stock, size.ticks()));
        f.of(along)?.checked_mul(g.of(across)?)
    };
    let whole = product(clean[0], clean[1]).ok_or_else(too_large)?;
    for strip in strips {
        let Some(cut) = batch.parts().get(strip.part) else { continue };
        let Some(placing) = cut.from.iter().find(|placing| placing.stock == s) else { continue };
        let (length, width) = (cut.length, cut.width.unwrap_or(clean[1]));
        let straight = placing.straight.then(|| product(length, width));
        let turned = placing.turned.then(|| product(width, length));
        let mut least: Option<i128> = None;
        for size in straight.into_iter().chain(turned) {
            let size = size.ok_or_else(too_large)?;
            least = Some(least.map_or(size, |least| least.min(size)));
        }
        let Some(size) = least else { continue };
        if size == 0 {
            return Err(Refusal::Unbounded { leaf: l, stock: which(), part: Which::part(batch, strip.part) });
        }
        let divisor = gcd(whole, size);
        let most =
            i128::from(strip.price).checked_mul(whole / divisor).ok_or_else(too_large)? / (size / divisor);
        if most > claimed.into() {
            return Err(Refusal::ValueTooSmall { leaf: l, stock: which(), claimed, found: most });
        }
    }
    Ok(())
}

/// A size with one kerf added; both are far below 2^63, see [`Length::MAX`](crate::units::Length::MAX).
fn size_with_kerf(stock: &UsableStock, ticks: i64) -> i128 {
    i128::from(ticks) + i128::from(stock.kerf.ticks())
}

fn quantity(batch: &CheckedBatch, part: usize) -> u32 {
    batch.batch().parts.get(part).map_or(0, |part| part.qty)
}

fn supply(batch: &CheckedBatch, stock: usize) -> Option<u64> {
    batch.stock().get(stock).and_then(|stock| stock.qty).map(u64::from)
}

/// Where an index stands in an ascending list.
fn position(list: &[usize], index: usize) -> Option<usize> {
    list.binary_search(&index).ok()
}

fn gcd(mut a: i128, mut b: i128) -> i128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a.max(1)
}
