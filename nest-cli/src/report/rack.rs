//! What is owned when all is cut, as rows of a stock list: the rack of the next plan.

use super::Source;
use super::words::Words;
use crate::clean::clean;
use nest_core::model::{LONGEST_NAME, Measure, Stock, StockGrain, UsableStock};
use nest_core::plan::Tally;
use nest_core::units::Length;

/// One size as stock: the cells of a stock list. Lengths are exact, so that reading them back changes nothing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RackRow {
    /// Its name; of an offcut that of the stock it comes from, and its size.
    pub name: String,
    /// Material.
    pub material: String,
    /// `board` or `sheet`.
    pub form: &'static str,
    /// Section; empty where it was ripped out of it, or there was none.
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
}

/// What is on hand and stays as it is.
pub(super) fn untouched(source: &Source<'_>, words: &Words) -> Vec<Untouched> {
    let batch = source.batch;
    let used = Tally::of(batch, &source.solution.plan).used;
    let stock = batch.stock().iter().zip(&batch.batch().stock).zip(used);
    let left = |((entry, asked), used): ((&UsableStock, &Stock), u64)| {
        // A supply without end is no rack.
        let qty = u64::from(entry.qty.filter(|_| entry.on_hand)?).checked_sub(used).filter(|&qty| qty > 0)?;
        let exact = |length: Option<Length>| length.map_or(String::new(), |l| words.exact(l));
        let rack = RackRow {
            name: clean(&asked.name),
            section: asked.section.map_or(String::new(), |section| section.to_string()),
            thickness: exact(asked.thickness),
            length: words.exact(asked.length),
            width: exact(asked.width),
            price: price(source, entry.each.map(|each| each.minor().into()), words),
            ..of_material(entry, asked, words)
        };
        Some(Untouched { qty, size: entry.size, rack })
    };
    stock.filter_map(left).collect()
}

/// The rack counts what is usable, all of it clean: where a factory edge is still on, the name says so, on every paper
/// of the plan that uses it.
pub(super) fn of_offcut(
    source: &Source<'_>,
    index: usize,
    size: [Length; 2],
    edges: Option<&str>,
    words: &Words,
) -> RackRow {
    let batch = source.batch;
    let (stock, asked) = (&batch.stock()[index], &batch.batch().stock[index]);
    let whole = size[1] == stock.size[1];
    let section = asked.section.filter(|_| whole).map_or(String::new(), |s| s.to_string());
    let exact = |length: Option<Length>| length.map_or(String::new(), |l| words.exact(l));
    let width = match (whole, asked.section) {
        (false, _) => Some(size[1]),
        (true, None) => asked.width,
        (true, Some(_)) => None,
    };
    let name = clean(&asked.name);
    // An offcut of an offcut is an offcut of the same board.
    let base = name.split_once(", offcut ").map_or(name.as_str(), |(base, _)| base);
    let edges = edges.map_or(String::new(), |edges| format!(", {edges} on"));
    let end = format!(", offcut {}{edges}", words.size(said(stock, size)));
    let base: String = base.chars().take(LONGEST_NAME.saturating_sub(end.chars().count())).collect();
    RackRow {
        name: base + &end,
        thickness: if section.is_empty() { exact(stock.thickness) } else { String::new() },
        section,
        length: words.exact(size[0]),
        width: exact(width),
        price: price(source, worth(stock, size), words),
        ..of_material(stock, asked, words)
    }
}

/// What all pieces of a stock share.
fn of_material(stock: &UsableStock, asked: &Stock, words: &Words) -> RackRow {
    let called: Vec<String> = asked.called.iter().map(|&c| words.exact(c)).collect();
    RackRow {
        material: clean(&asked.material),
        form: if stock.board { "board" } else { "sheet" },
        called: called.join("; "),
        grain: match asked.grain {
            None => "",
            Some(StockGrain::Length) => "length",
            Some(StockGrain::Width) => "width",
            Some(StockGrain::None) => "none",
        },
        ..RackRow::default()
    }
}

/// A size as people say it: of a board its length alone where it is as wide as the board, of a sheet both.
pub(super) fn said(stock: &UsableStock, size: [Length; 2]) -> [Length; 2] {
    if stock.board && size[1] == stock.size[1] { [size[0], Length::ZERO] } else { size }
}

/// Worth as text, where anything has a price.
fn price(source: &Source<'_>, worth: Option<i128>, words: &Words) -> String {
    let priced = source.batch.measure() == Measure::Money;
    worth.filter(|_| priced).map_or(String::new(), |worth| words.bare(worth))
}

fn worth(stock: &UsableStock, size: [Length; 2]) -> Option<i128> {
    let each = i128::from(stock.each?.minor());
    let along = i128::from(size[0].ticks());
    let whole = i128::from(stock.size[0].ticks()).max(1);
    let by_length = each.checked_mul(along)?;
    match size[1] {
        Length::ZERO => Some(by_length / whole),
        width => {
            let across = i128::from(stock.size[1].ticks()).max(1);
            Some(by_length.checked_mul(i128::from(width.ticks()))? / whole / across)
        }
    }
}
