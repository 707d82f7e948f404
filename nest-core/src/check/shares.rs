//! Limits of a leaf on how many of a part come from which stock, and what the part counts there.
//!
//! A part may be named beside others that are alike, so that it makes no difference which of them a limit speaks of: one
//! size, the same ways to lie on every stock, one price. A plan makes some number of them from each stock, so many as are
//! asked for in all; what they are worth at the least, over all numbers within the limits, is what every plan of the leaf
//! makes. With the prices of its stock, no layout has more of them than the limit.

use std::collections::{BTreeMap, BTreeSet};

use super::asked::Asked;
use super::{Refusal, Which};
use crate::model::Group;
use crate::plan::{Leaf, PartShare, StockValue};

/// A stock, or one piece of it.
pub(super) type Berth = (usize, Option<u32>);

/// A part with its price on some stock, and how many of it there may be.
#[derive(Clone, Copy, Debug)]
pub(super) struct Priced {
    pub part: usize,
    pub price: i64,
    pub qty: u32,
}

/// What a leaf says of the parts: their prices above 0 where nothing else is said, and its limits.
#[derive(Debug)]
pub(super) struct Shares<'a> {
    asked: &'a Asked<'a>,
    prices: &'a [(usize, i64)],
    list: &'a [PartShare],
}

impl<'a> Shares<'a> {
    /// Steps that it takes at the most to look at the limits of a leaf, and at what parts count by them.
    pub fn work(group: &Group, leaf: &Leaf) -> u64 {
        let shares = leaf.shares.len() as u64;
        let (values, prices) = (leaf.values.len() as u64, leaf.prices.len() as u64);
        let named: u64 = leaf.shares.iter().map(|share| share.parts.len() as u64).sum();
        let stock = group.stock.len() as u64;
        let alike =
            named.saturating_mul(stock).saturating_mul(stock).saturating_add(named * (prices + shares));
        let counted = values.saturating_mul(shares + named).saturating_mul(prices + 1);
        alike.saturating_add(counted).saturating_add(prices * shares)
    }

    /// The limits of a leaf, found to be proper.
    pub fn of(
        asked: &'a Asked<'a>,
        group: &Group,
        l: usize,
        leaf: &'a Leaf,
        prices: &'a [(usize, i64)],
    ) -> Result<Self, Refusal> {
        let batch = asked.batch;
        let shares = Self { asked, prices, list: &leaf.shares };
        // Which list a part stands in, and each list with its stock.
        let mut lists: BTreeMap<usize, &[usize]> = BTreeMap::new();
        let mut named: BTreeSet<(Berth, &[usize])> = BTreeSet::new();
        for share in shares.list {
            let stock = || Which::stock(batch, share.stock);
            let odd = |part: usize, what| {
                Err(Refusal::Share { leaf: l, stock: stock(), part: Which::part(batch, part), what })
            };
            let berth = |value: &StockValue| (value.stock, value.piece) == (share.stock, share.piece);
            if group.stock.binary_search(&share.stock).is_err() {
                return Err(Refusal::ForeignStock { leaf: l, stock: stock() });
            }
            let Some(&first) = share.parts.first() else {
                return Err(Refusal::EmptyShare { leaf: l, stock: stock() });
            };
            if let Some(&part) = share.parts.iter().find(|part| group.parts.binary_search(part).is_err()) {
                return Err(Refusal::ForeignPart { leaf: l, part: Which::part(batch, part) });
            }
            if share.price < 0 {
                let part = Which::part(batch, first);
                return Err(Refusal::NegativePrice { leaf: l, part, found: share.price });
            }
            if !leaf.values.iter().any(berth) {
                return odd(first, "has no value");
            }
            if share.least > share.most {
                return odd(first, "wants more at the least than at the most");
            }
            if !share.parts.is_sorted_by(|a, b| a < b) {
                return odd(first, "names its parts out of order");
            }
            if !named.insert(((share.stock, share.piece), &share.parts)) {
                return odd(first, "is there twice");
            }
            for &part in &share.parts {
                if batch.batch().parts.get(part).is_none_or(|part| part.optional) {
                    return odd(part, "names a part that is optional");
                }
                if asked.within(part) {
                    return odd(part, "names a part that counts with the first one of its strip");
                }
                if *lists.entry(part).or_insert(&share.parts) != share.parts.as_slice() {
                    return odd(part, "names a part that another names beside others");
                }
                if shares.price(part) != shares.price(first) {
                    return odd(part, "names parts of several prices");
                }
                let lies = |part: usize, s: usize| {
                    let mut lies = asked.lies(part, s);
                    lies.sort_unstable();
                    lies
                };
                if group.stock.iter().any(|&s| lies(part, s) != lies(first, s)) {
                    return odd(part, "names parts that are not alike");
                }
            }
        }
        Ok(shares)
    }

    /// The price of a part where nothing else is said.
    fn price(&self, part: usize) -> i64 {
        self.prices.iter().find(|&&(of, _)| of == part).map_or(0, |&(_, price)| price)
    }

    /// Parts with their prices above 0 on a stock, or a piece of it, and how many of each there may be.
    pub fn on(&self, berth: Berth) -> Vec<Priced> {
        let whole = |part: usize, price: i64| Priced { part, price, qty: self.asked.quantity(part) };
        let here = || self.list.iter().filter(|share| (share.stock, share.piece) == berth);
        let other = |&&(part, _): &&(usize, i64)| here().all(|share| !share.parts.contains(&part));
        let prices = self.prices.iter().filter(other);
        let mut all: Vec<Priced> = prices.map(|&(part, price)| whole(part, price)).collect();
        for share in here() {
            // They are alike: which of them they are makes no difference.
            let mut left = share.most;
            for &part in &share.parts {
                let priced = whole(part, share.price);
                let qty = u64::from(priced.qty).min(left);
                left -= qty;
                all.push(Priced { qty: u32::try_from(qty).unwrap_or(u32::MAX), ..priced });
            }
        }
        all.retain(|priced| priced.price > 0 && priced.qty > 0);
        all
    }

    /// What all that must be made is worth at the least; `None` where no numbers keep to the limits. An error where sums
    /// leave the range of numbers.
    pub fn demand(&self, berths: &[Berth]) -> Result<Option<i128>, ()> {
        let mut lists: BTreeMap<&[usize], Vec<&PartShare>> = BTreeMap::new();
        for share in self.list {
            lists.entry(&share.parts).or_default().push(share);
        }
        let mut worth: i128 = 0;
        let loose = |part: &usize| !lists.keys().any(|list| list.contains(part));
        for &(part, price) in self.prices.iter().filter(|(part, _)| loose(part)) {
            let qty = i128::from(self.asked.quantity(part));
            worth = worth.checked_add(qty * i128::from(price)).ok_or(())?;
        }
        for (parts, shares) in &lists {
            let mut left = self.asked.total(parts);
            // Whatever is not from stock with a limit is from some other that the leaf allows.
            let first = parts.first().copied().unwrap_or(0);
            let limited = |berth: Berth| shares.iter().any(|share| (share.stock, share.piece) == berth);
            let other = |&berth: &Berth| !limited(berth) && !self.asked.lies(first, berth.0).is_empty();
            let elsewhere = berths.iter().any(other).then(|| (self.price(first), left));
            let mut room: Vec<(i64, u64)> = elsewhere.into_iter().collect();
            for share in shares {
                let Some(rest) = left.checked_sub(share.least) else { return Ok(None) };
                left = rest;
                room.push((share.price, share.most - share.least));
                worth = worth.checked_add(i128::from(share.price) * i128::from(share.least)).ok_or(())?;
            }
            room.sort_unstable();
            for (price, most) in room {
                let taken = left.min(most);
                left -= taken;
                worth = worth.checked_add(i128::from(price) * i128::from(taken)).ok_or(())?;
            }
            if left > 0 {
                return Ok(None);
            }
        }
        Ok(Some(worth))
    }
}
