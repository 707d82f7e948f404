//! Edge trim in words, where all stock has that of the shop and where some has its own.

use super::Source;
use super::names;
use super::section::settings;
use super::words::Words;
use crate::clean::isolated;
use nest_core::model::UsableStock;
use nest_core::units::Length;
use std::collections::BTreeSet;

const CLEAN: [Length; 4] = [Length::ZERO; 4];

/// Edge trim of what has that of the shop, if any.
pub fn by_shop(used: &[&UsableStock], words: &Words) -> String {
    let trimmed = used.iter().any(|entry| entry.trim != CLEAN);
    let uncut = used.iter().any(|entry| entry.on_hand && entry.trim != CLEAN);
    let say = |entry: &&UsableStock| match (entry.trim == CLEAN, trimmed && entry.on_hand) {
        (true, true) if uncut => ("none on what was cut before".to_owned(), None),
        (true, true) => ("none on the rack".to_owned(), None),
        _ => (text(entry.trim, words), Some(entry.board)),
    };
    settings(used.iter().map(say).collect())
}

/// Edge trim where some stock has its own. Which has which is said beside the settings of the plan, where there is room for
/// names.
pub fn by_stock(used: &[&UsableStock], words: &Words) -> String {
    /// What fits into a title block.
    const ROOM: usize = 40;
    let say = |entry: &&UsableStock| (text(entry.trim, words), Some(entry.board));
    let all: Vec<_> = used.iter().map(say).collect();
    let differ = all.iter().any(|(text, of)| all.iter().any(|(other, to)| of == to && text != other));
    match settings(all) {
        text if !differ => text,
        text if text.chars().count() <= ROOM => format!("{text}, by stock"),
        _ => "differs by stock".to_owned(),
    }
}

/// Edge trim that all boards, or all sheets, were counted with: that of the shop, then that of stock with its own.
pub fn all(source: &Source<'_>, board: bool, words: &Words) -> Vec<String> {
    let (shop, asked) = (&source.batch.batch().shop, &source.batch.batch().stock);
    let [near, far] = shop.boards.trim;
    let sides = if board { [near, far, Length::ZERO, Length::ZERO] } else { shop.sheets.trim };
    let used = source.solution.plan.layouts.iter().map(|layout| layout.stock);
    let owned = used.map(|index| (&source.batch.stock()[index], asked[index].trim.is_some()));
    let owned = owned.filter(|(stock, _)| stock.on_hand);
    // What is owned has none, which matters where some of it is cut, unless it is as it was bought.
    let without = |(stock, own): (&UsableStock, bool)| !own && stock.trim == CLEAN && stock.board == board;
    let text = match sides != CLEAN && owned.clone().any(without) {
        true => {
            let some = |of: bool| owned.clone().any(|(stock, own)| own == of && stock.trim != CLEAN);
            let else_ = if some(true) { "else " } else { "" };
            let uncut = if some(false) { " and cut before" } else { "" };
            format!("{} (none on what {else_}you own{uncut})", text(sides, words))
        }
        false => text(sides, words),
    };
    // Where all of the list has its own, that of the shop counts nowhere.
    let mut listed =
        source.batch.stock().iter().zip(asked).filter(|(stock, _)| stock.board == board).peekable();
    let counts = listed.peek().is_none() || listed.any(|(_, asked)| asked.trim.is_none());
    counts.then_some(text).into_iter().chain(own(source, board, words)).collect()
}

/// That of stock with its own which is cut: `none on clean shelf`, `1/4" each end on rough fir`.
fn own(source: &Source<'_>, board: bool, words: &Words) -> Vec<String> {
    /// Of so many with the same trim the names are given.
    const NAMED: usize = 3;
    let (batch, stock) = (source.batch.batch(), source.batch.stock());
    let used: BTreeSet<usize> = source.solution.plan.layouts.iter().map(|layout| layout.stock).collect();
    let is_own = |index: &usize| batch.stock[*index].trim.is_some() && stock[*index].board == board;
    let mut found: Vec<(String, Vec<String>)> = Vec::new();
    for index in used.into_iter().filter(is_own) {
        let (said, name) = (text(stock[index].trim, words), isolated(&names::of_stock(&batch.stock[index])));
        match found.iter_mut().find(|(other, _)| *other == said) {
            Some((_, named)) => named.push(name),
            None => found.push((said, vec![name])),
        }
    }
    let said = found.into_iter().map(|(said, named)| match named.len().saturating_sub(NAMED) {
        0 => format!("{said} on {}", named.join(" and ")),
        more => format!("{said} on {} and {more} more", named[..NAMED].join(", ")),
    });
    said.collect()
}

/// Edge trim in words: `none`, `1/4" each end`, `1/4" and 1/2" at the ends`.
pub fn text(trim: [Length; 4], words: &Words) -> String {
    let [near, far, low, high] = trim;
    let pair = |a: Length, b: Length, one: &str, both: &str| match (a.is_positive(), b.is_positive()) {
        (false, false) => None,
        _ if a == b => Some(format!("{} each {one}", words.kerf(a))),
        (true, false) => Some(format!("{} at the near {one}", words.kerf(a))),
        (false, true) => Some(format!("{} at the far {one}", words.kerf(b))),
        _ => Some(format!("{} and {} at the {both}", words.kerf(a), words.kerf(b))),
    };
    let found = [pair(near, far, "end", "ends"), pair(low, high, "edge", "edges")];
    let found: Vec<String> = found.into_iter().flatten().collect();
    if found.is_empty() { "none".into() } else { found.join(", ") }
}
