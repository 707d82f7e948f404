//! What is owned when all is cut, as rows of a stock list: the rack of the next plan.

use super::Source;
use super::names;
use super::words::Words;
use crate::clean::clean;
use nest_core::model::{Measure, Part, Per, Stock, StockGrain, UsableStock, fold};
use nest_core::plan::Tally;
use nest_core::rest::Origin;
use nest_core::units::{Length, Rate};
use std::collections::BTreeSet;

/// One size as stock: the cells of a stock list. Lengths are exact, so that reading them back changes nothing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RackRow {
    /// Its name; of an offcut that of the stock it comes from, and its size.
    pub name: String,
    /// Material.
    pub material: String,
    /// `board` or `sheet`.
    pub form: &'static str,
    /// Section; empty where there is none.
    pub section: String,
    /// Thickness; empty where the section tells it.
    pub thickness: String,
    /// Other thicknesses it is called by.
    pub called: String,
    /// Length.
    pub length: String,
    /// Width; empty where the section tells it, or it does not matter.
    pub width: String,
    /// What one is worth: of an offcut its share of the price by length and width, rounded down; empty without a price.
    pub price: String,
    /// Grain; empty where nobody said.
    pub grain: &'static str,
    /// It is as it was bought, its factory edges still to be trimmed off.
    pub factory_edges: bool,
    /// A rip has left it narrower than its section.
    pub ripped: bool,
    /// Edge trim of its own; empty for the shop's.
    pub trim: String,
    /// The note of the list on it; empty for none.
    pub note: String,
}

/// Pieces on the rack that the plan does not cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Untouched {
    /// How many.
    pub qty: u64,
    /// Exact size along and across; zero across where it does not matter.
    pub size: [Length; 2],
    /// How it is written down as stock.
    pub rack: RackRow,
    /// Its name as it stands beside its size, and that.
    pub named: [String; 2],
    /// Why none of it is cut, where that is certain; else empty.
    pub why: &'static str,
}

/// What is on hand and stays as it is.
pub(super) fn untouched(source: &Source<'_>, words: &Words) -> Vec<Untouched> {
    let batch = source.batch;
    let used = Tally::of(batch, &source.solution.plan).used;
    let stock = batch.stock().iter().zip(&batch.batch().stock).zip(used);
    let why = why_not(source);
    let left = |(index, ((entry, asked), used)): (usize, ((&UsableStock, &Stock), u64))| {
        // A supply without end is no rack.
        let qty = u64::from(entry.qty.filter(|_| entry.on_hand)?).checked_sub(used).filter(|&qty| qty > 0)?;
        let each = Stock { price: entry.each.map(Rate::from), per: Per::Each, ..asked.clone() };
        let size = words.stock(entry, asked);
        let named = [names::alone(&names::of_stock(asked), &size).to_owned(), size];
        let rack = row(source, entry, &each, words);
        Some(Untouched { qty, size: entry.size, rack, named, why: why(index) })
    };
    stock.enumerate().filter_map(left).collect()
}

/// Why a stock is not cut, by its index. Where something of its material was not made, nobody knows why it was no
/// help.
fn why_not(source: &Source<'_>) -> impl Fn(usize) -> &'static str {
    let batch = source.batch;
    // Of a part that is made before, or not wanted now, nobody asks what would hold it.
    let materials = |asked: fn(&Part) -> bool| -> BTreeSet<String> {
        let parts = batch.batch().parts.iter().filter(|part| asked(part));
        parts.map(|part| fold(&part.material)).collect()
    };
    let (all, made) = (materials(|_| true), materials(|part| part.qty == 0));
    // What holds a piece of a strip is no help where it does not hold all of the strip.
    let matched: BTreeSet<usize> = batch.strips().iter().flat_map(|strip| &strip.parts).copied().collect();
    let pieces = || {
        let each = batch.parts().iter().enumerate();
        each.flat_map(|(part, cut)| cut.from.iter().map(move |placing| (part, placing.stock)))
    };
    let alone = pieces().filter(|(part, _)| !matched.contains(part)).map(|(_, stock)| stock);
    let whole = batch.strips().iter().flat_map(|strip| &strip.from).map(|placing| placing.stock);
    let helping: BTreeSet<usize> = alone.chain(whole).collect();
    let holding: BTreeSet<usize> = pieces().map(|(_, stock)| stock).collect();
    let unplaced =
        source.solution.plan.unplaced.iter().filter_map(|(part, _)| batch.batch().parts.get(*part));
    let lacking: BTreeSet<String> = unplaced.map(|part| fold(&part.material)).collect();
    move |index| {
        let Some(material) = batch.batch().stock.get(index).map(|stock| fold(&stock.material)) else {
            return "";
        };
        match helping.contains(&index) {
            true if !lacking.contains(&material) => "not needed",
            true => "",
            false if !all.contains(&material) => "no part is of this material",
            false if holding.contains(&index) => "no matched strip can be cut from it whole",
            false if made.contains(&material) => "no part that is still wanted can be cut from it",
            false => "no part can be cut from it",
        }
    }
}

/// The rack counts what is usable, all of it clean: where a factory edge is still on, the name says so, on every paper
/// of the plan that uses it.
pub(super) fn of_offcut(
    source: &Source<'_>,
    index: usize,
    [usable, sawn]: [[Length; 2]; 2],
    words: &Words,
) -> RackRow {
    let offcut = Origin::of(source.batch, index).map(|origin| origin.offcut(usable, sawn));
    row(source, &source.batch.stock()[index], &offcut.unwrap_or_default(), words)
}

/// A stock whose price is that of one piece.
fn row(source: &Source<'_>, entry: &UsableStock, stock: &Stock, words: &Words) -> RackRow {
    let exact = |length: Option<Length>| length.map_or(String::new(), |l| words.exact(l));
    let called: Vec<String> = stock.called.iter().map(|&c| words.exact(c)).collect();
    let priced = source.batch.measure() == Measure::Money;
    let price = stock.price.filter(|_| priced).and_then(Rate::for_one);
    RackRow {
        name: clean(&stock.name),
        material: clean(&stock.material),
        form: if entry.board { "board" } else { "sheet" },
        section: stock.section.map_or(String::new(), |section| section.to_string()),
        thickness: exact(stock.thickness),
        called: called.join("; "),
        length: words.exact(stock.length),
        width: exact(stock.width),
        price: price.map_or(String::new(), |price| words.bare(price.minor().into())),
        grain: match stock.grain {
            None => "",
            Some(StockGrain::Length) => "length",
            Some(StockGrain::Width) => "width",
            Some(StockGrain::None) => "none",
        },
        factory_edges: stock.factory_edges,
        ripped: stock.ripped,
        trim: stock.trim.map_or(String::new(), |trim| words.trim(trim)),
        note: names::note_of_stock(stock),
    }
}

/// A size as people say it: of a board its length alone where it is as wide as the board, of a sheet both.
pub(super) fn said(stock: &UsableStock, size: [Length; 2]) -> [Length; 2] {
    if stock.board && size[1] == stock.size[1] { [size[0], Length::ZERO] } else { size }
}
