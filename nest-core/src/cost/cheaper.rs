//! How full would the sheets of a cheaper plan have to be?
//!
//! Whoever buys less has less to cut from. Where even the most that costs less is hardly more than the parts need, a
//! cheaper plan would have to waste next to nothing: that says more about a plan than how far it is above its floor,
//! because the next cheaper sheets are often many percent cheaper.

use crate::model::{CheckedBatch, GroupKind};
use crate::units::{Area, Length};

/// Nodes, and kinds of sheets, after which a bound has to do.
const MOST_NODES: u32 = 100_000;
const MOST_KINDS: usize = 100;
/// Numbers are rounded to so many binary digits.
const DIGITS: u32 = 58;

/// What the sheets of a cheaper plan may waste, kerf and edge trim taken off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Slack {
    /// The most that may be left over or thrown away.
    pub waste: Area,
    /// Of so much.
    pub of: Area,
}

/// What a plan for a group of sheets, by its index, may waste at the most where it makes all parts for less than `cost`.
/// `None` where lengths alone are at stake ([`GroupKind::Boards`]), where so little money buys too little, and where stock
/// costs nothing and there is any number of it.
///
/// A cut takes a kerf off every piece on two sides, and off a sheet on one more: a piece counts with a kerf along and
/// across, and so does the clean area of a sheet (Gilmore and Gomory 1965, section 4). What a plan buys is the most area
/// that may cost so little, by depth first search over the kinds of sheets, with the continuous bound where that grows
/// too large.
pub fn slack_below(batch: &CheckedBatch, group: usize, cost: i128) -> Option<Slack> {
    let group = batch.groups().get(group).filter(|group| group.kind == GroupKind::Sheets)?;
    let stock = || group.stock.iter().filter_map(|&stock| batch.stock().get(stock));
    let kerf = stock().map(|stock| stock.kerf).min()?;
    let mut need = 0_i128;
    for &part in &group.parts {
        let (asked, cut) = (batch.batch().parts.get(part)?, batch.parts().get(part)?);
        let widths = cut.from.iter().filter_map(|lay| Some(batch.stock().get(lay.stock)?.usable()[1]));
        let width = cut.width.or(widths.min())?;
        if !asked.optional {
            let one = area([cut.length, width], kerf);
            need = need.saturating_add(one.saturating_mul(asked.qty.into()));
        }
    }
    let (mut kinds, mut owned) = (Vec::new(), 0_i128);
    for stock in stock() {
        let one = area(stock.usable(), stock.kerf);
        if stock.cost > 0 {
            kinds.push(Kind { cost: stock.cost, area: one, supply: stock.qty });
        } else {
            owned = owned.saturating_add(one.saturating_mul(stock.qty?.into()));
        }
    }
    let bought = most(kinds, cost.checked_sub(1).filter(|&money| money >= 0)?)?;
    let of = owned.saturating_add(bought);
    (of >= need)
        .then_some(Slack { waste: Area::from_square_ticks(of - need), of: Area::from_square_ticks(of) })
}

fn area(size: [Length; 2], kerf: Length) -> i128 {
    let [long, wide] = size.map(|side| i128::from(side.ticks()) + i128::from(kerf.ticks()));
    long.saturating_mul(wide)
}

/// The most area for so much money, or a little more; `None` where numbers are too far apart to tell.
fn most(mut kinds: Vec<Kind>, money: i128) -> Option<i128> {
    // Products of two numbers have room: a cheaper sheet of more area, and more money, allow no less.
    let largest = kinds.iter().map(|kind| kind.area).max().unwrap_or(0);
    let [areas, costs] =
        [largest, money].map(|most| (i128::BITS - most.leading_zeros()).saturating_sub(DIGITS));
    for kind in &mut kinds {
        kind.area = (kind.area >> areas) + i128::from(areas > 0);
        kind.cost >>= costs;
        if kind.cost == 0 {
            return None;
        }
    }
    let money = (money >> costs) + i128::from(costs > 0);
    kinds.retain(|kind| kind.cost <= money);
    // The most area for the money first.
    kinds.sort_by(|a, b| (b.area * a.cost).cmp(&(a.area * b.cost)));
    let mut search = Search { kinds, best: 0, nodes: 0 };
    let exact = search.kinds.len() <= MOST_KINDS;
    if exact {
        search.from(0, money, 0);
    }
    let most = if exact && search.nodes <= MOST_NODES { search.best } else { search.bound(0, money) };
    most.checked_mul(1 << areas)
}

/// Sheets that cost something.
#[derive(Clone, Copy, Debug)]
struct Kind {
    cost: i128,
    area: i128,
    supply: Option<u32>,
}

impl Kind {
    /// How many there are for so much money.
    fn for_money(&self, money: i128) -> i128 {
        let most = money / self.cost;
        self.supply.map_or(most, |supply| most.min(supply.into()))
    }
}

struct Search {
    kinds: Vec<Kind>,
    best: i128,
    nodes: u32,
}

impl Search {
    /// No more area than this comes from the kinds from one on.
    fn bound(&self, kind: usize, mut money: i128) -> i128 {
        let mut most = 0_i128;
        for kind in &self.kinds[kind..] {
            let count = kind.for_money(money);
            most = most.saturating_add(count.saturating_mul(kind.area));
            money -= count * kind.cost;
            if kind.supply.is_none_or(|supply| count < supply.into()) {
                // A part of one more takes what is left.
                return most.saturating_add(money.saturating_mul(kind.area) / kind.cost).saturating_add(1);
            }
        }
        most
    }

    fn from(&mut self, kind: usize, money: i128, area: i128) {
        self.nodes += 1;
        self.best = self.best.max(area);
        if self.nodes > MOST_NODES || area.saturating_add(self.bound(kind, money)) <= self.best {
            return;
        }
        let Some(&of) = self.kinds.get(kind) else { return };
        let mut count = of.for_money(money);
        while count >= 0 && self.nodes <= MOST_NODES {
            self.from(kind + 1, money - count * of.cost, area.saturating_add(count.saturating_mul(of.area)));
            count -= 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// All numbers of three kinds, one after the other.
    fn plain(kinds: &[Kind], money: i128) -> i128 {
        let mut best = 0;
        let most = |kind: usize| kinds[kind].for_money(money);
        for a in 0..=most(0) {
            for b in 0..=most(1) {
                for c in 0..=most(2) {
                    let counts = [a, b, c];
                    let sum = |of: &dyn Fn(&Kind) -> i128| -> i128 {
                        kinds.iter().zip(counts).map(|(kind, count)| of(kind) * count).sum()
                    };
                    if sum(&|kind| kind.cost) <= money {
                        best = best.max(sum(&|kind| kind.area));
                    }
                }
            }
        }
        best
    }

    #[test]
    fn the_most_area_for_the_money_is_that_of_plain_counting() {
        let mut draw = 12345_u64;
        let mut dice = |below: u64| {
            draw = draw.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            i128::from((draw >> 33) % below)
        };
        for round in 0..3000 {
            let mut kinds: Vec<Kind> = (0..3)
                .map(|_| {
                    let supply = (dice(2) == 0).then_some(dice(4) as u32);
                    Kind { cost: 1 + dice(9), area: dice(20), supply }
                })
                .collect();
            kinds.sort_by(|a, b| (b.area * a.cost).cmp(&(a.area * b.cost)));
            let money = dice(40);
            assert_eq!(most(kinds.clone(), money), Some(plain(&kinds, money)), "{kinds:?} {money}");
            let best = plain(&kinds, money);
            assert!(Search { kinds: kinds.clone(), best: 0, nodes: 0 }.bound(0, money) >= best);
            // Numbers that are rounded, and more kinds than are searched, say no less.
            let (large, scale) = (i128::MAX >> 16, i128::MAX >> 17);
            let huge = |kind: &Kind| Kind {
                area: kind.area * (large / 400),
                cost: kind.cost * (scale / 400),
                ..*kind
            };
            let huge: Vec<Kind> = kinds.iter().map(huge).collect();
            if let Some(found) = most(huge.clone(), money * (scale / 400)) {
                assert!(found >= best * (large / 400), "{huge:?}");
            }
            if round % 1000 == 0 {
                let many = std::iter::repeat_n(kinds.clone(), 50_000).flatten().collect();
                assert!(most(many, money).unwrap() >= best);
            }
        }
    }
}
