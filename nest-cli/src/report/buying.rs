//! What to buy, what it costs, what to take from the rack, and of what an earlier plan left.

use super::Source;
use super::names;
use super::words::{self, Words};
use crate::clean::clean;
use nest_core::cost::{Taken, bill};
use nest_core::model::{Measure, Stock};
use nest_core::units::{Length, Money};

/// The buying list.
#[derive(Clone, Debug)]
pub struct Buying {
    /// Whether anything has a price.
    pub priced: bool,
    /// What to buy.
    pub lines: Vec<BuyLine>,
    /// What to take from the rack.
    pub rack: Vec<BuyLine>,
    /// What to take of what the plan that is carried on bought and left.
    pub before: Vec<BuyLine>,
    /// What all lines cost together, spare ones included, with currency; empty without prices.
    pub total: String,
    /// Edge band, by band and material.
    pub bands: Vec<BandLine>,
    /// How many spare pieces the list holds, in words; `None` for none.
    pub spare: Option<String>,
}

/// One stock on the list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BuyLine {
    /// Its name.
    pub name: String,
    /// Its material.
    pub material: String,
    /// Its section; empty for none.
    pub section: String,
    /// Its thickness; empty for none.
    pub thickness: String,
    /// Its size, without a width that its section tells.
    pub size: String,
    /// Its length.
    pub length: Length,
    /// The same as text.
    pub length_text: String,
    /// Its width; `None` where it does not matter.
    pub width: Option<Length>,
    /// The same as text.
    pub width_text: String,
    /// What its edge trim leaves usable; empty where all of it is.
    pub usable: String,
    /// How many, spare ones included.
    pub qty: u64,
    /// How many of them are spare.
    pub spare: u64,
    /// The note of the list on it; empty for none.
    pub note: String,
    /// Price of one (worth, on the rack), without currency; empty where there is none.
    pub each: String,
    /// Price of all, without currency; empty where there is none.
    pub total: String,
}

impl BuyLine {
    /// Its name without the size that stands beside it: a stock that the list gives no name has one of material and size.
    pub fn alone(&self) -> &str {
        names::alone(&self.name, &self.size)
    }
}

/// What one material needs of one edge band.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BandLine {
    /// Name of the band; empty where the shop knows none.
    pub name: String,
    /// Material that it goes on.
    pub on: String,
    /// Thickness of its panels; empty where nobody said.
    pub thickness: String,
    /// How many edges.
    pub edges: u64,
    /// All edges together, by the foot or the metre, rounded up.
    pub net: String,
    /// What to have at hand: with what is cut longer at every edge.
    pub gross: String,
    /// The two exactly.
    pub exact: [Length; 2],
}

impl Buying {
    /// What stands above that which an earlier plan left.
    pub const BEFORE: &str = "On hand from the plan before";
}

pub(super) fn buying(source: &Source<'_>, words: &Words) -> Buying {
    let batch = source.batch;
    let priced = batch.measure() == Measure::Money;
    let bill = bill(batch, &source.solution.plan, source.spare);
    let money = |amount: Option<Money>| amount.filter(|_| priced).map_or(String::new(), |m| m.to_string());
    let line = |stock: usize, qty, spare, each, total| {
        let (entry, asked): (_, &Stock) = (&batch.stock()[stock], &batch.batch().stock[stock]);
        let width = Some(entry.size[1]).filter(|w| w.is_positive());
        BuyLine {
            name: names::of_stock(asked),
            material: clean(&asked.material),
            section: asked.section.map_or(String::new(), |s| s.to_string()),
            thickness: entry.thickness.map_or(String::new(), |t| words.exact(t)),
            size: words.stock(entry, asked),
            length: entry.size[0],
            length_text: words.length(entry.size[0]),
            width,
            width_text: width.map_or(String::new(), |w| words.length(w)),
            usable: if entry.usable() == entry.size { String::new() } else { words.size(entry.usable()) },
            qty,
            spare,
            note: names::note_of_stock(asked),
            each: money(each),
            total: money(total),
        }
    };
    let shop = &batch.batch().shop;
    let band = |line: nest_core::cost::Banding| {
        let group = &batch.groups()[line.group];
        let thickness = group.stock.first().and_then(|&stock| batch.stock()[stock].thickness);
        BandLine {
            name: line.band.map_or(String::new(), |band| clean(&shop.bands[band].name)),
            on: names::of_group(batch.batch(), group),
            thickness: thickness.map_or(String::new(), |thickness| words.exact(thickness)),
            edges: line.edges,
            net: words.run(line.net),
            gross: words.run(line.gross),
            exact: [line.net, line.gross],
        }
    };
    let listed = batch.stock().len().saturating_sub(source.before.carried);
    let (rack, before): (Vec<_>, Vec<_>) = bill.take.iter().partition(|taken| taken.stock < listed);
    let taken = |taken: Vec<&Taken>| -> Vec<BuyLine> {
        taken.into_iter().map(|t| line(t.stock, t.qty, 0, t.each, t.total)).collect()
    };
    let spare: u64 = bill.buy.iter().map(|b| b.spare).sum();
    Buying {
        priced,
        lines: bill.buy.iter().map(|b| line(b.stock, b.qty, b.spare, b.each, b.total)).collect(),
        rack: taken(rack),
        before: taken(before),
        total: bill.total.filter(|_| priced).map_or(String::new(), |m| words.cost(m.minor().into())),
        bands: nest_core::cost::banding(batch, &source.solution.plan).into_iter().map(band).collect(),
        spare: (spare > 0).then(|| words::count(spare.into(), "spare piece")),
    }
}
