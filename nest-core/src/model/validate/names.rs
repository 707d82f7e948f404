//! What is a stock called that nobody named, and a job that is written in several ways?
//!
//! Material, section or thickness and width, and length: `poplar 1x2, 8'`. Names made here are unique in the batch. Jobs
//! are one where materials would be: whatever their case and spaces, and called as they were first.

use std::collections::{BTreeMap, BTreeSet};

use super::super::fold::fold;
use super::super::{Batch, Stock};
use super::LONGEST_NAME;
use crate::units::{Length, LengthStyle, Unit};

/// Names stock without a name and jobs one way each, and counts what costs nothing and is limited as on hand.
pub fn fill_in(batch: &mut Batch, boards: &[bool]) {
    let mut jobs: BTreeMap<String, String> = BTreeMap::new();
    for part in &mut batch.parts {
        part.job.clone_from(jobs.entry(fold(&part.job)).or_insert_with(|| part.job.trim().to_owned()));
    }
    let style = batch.shop.style;
    let mut taken: BTreeSet<String> = batch.stock.iter().map(|s| s.name.trim().to_owned()).collect();
    for (stock, &board) in batch.stock.iter_mut().zip(boards) {
        stock.on_hand = stock.is_owned();
        if !stock.name.trim().is_empty() {
            continue;
        }
        let made = name(stock, board, style);
        let mut unique = made.clone();
        let mut number = 2;
        while !taken.insert(unique.clone()) {
            unique = format!("{made} ({number})");
            number += 1;
        }
        stock.name = unique;
    }
}

impl Stock {
    /// Whether it counts as on hand: it says so, or it costs nothing and is limited.
    pub fn is_owned(&self) -> bool {
        let free = self.price.is_some_and(|price| price.millionths() == 0);
        self.on_hand || free && self.qty.is_some()
    }

    /// Whether a list in other units may call it so: it has a name that was made here, which is this one there.
    pub fn may_be_called(&self, name: &str, style: LengthStyle) -> bool {
        is_made(&self.name, self, style)
            && LengthStyle::USUAL.into_iter().any(|style| is_made(name, self, style))
    }
}

impl Batch {
    /// Lengths are written in another style from now on, in names too that were made here and not by the user: they are
    /// taken off, and [`Batch::check`] makes them anew.
    pub fn restyle(&mut self, style: LengthStyle) {
        let before = std::mem::replace(&mut self.shop.style, style);
        self.stock
            .iter_mut()
            .filter(|stock| is_made(&stock.name, stock, before))
            .for_each(|stock| stock.name.clear());
    }

    /// The stock as the user named it: without names that were made here.
    pub fn stock_as_named(&self) -> impl Iterator<Item = Stock> {
        self.stock.iter().map(|stock| match is_made(&stock.name, stock, self.shop.style) {
            true => Stock { name: String::new(), ..stock.clone() },
            false => stock.clone(),
        })
    }
}

/// Whether a name is one that is made here for a stock in this style, perhaps with a number behind it.
pub(super) fn is_made(called: &str, stock: &Stock, style: LengthStyle) -> bool {
    [true, false].into_iter().any(|board| numbered(called, &name(stock, board, style)))
}

/// Whether a name is this one, or this one with a number behind it.
fn numbered(name: &str, made: &str) -> bool {
    let number =
        name.strip_prefix(made).map(|rest| rest.strip_prefix(" (").and_then(|rest| rest.strip_suffix(')')));
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    name == made || number.flatten().is_some_and(digits)
}

fn name(stock: &Stock, board: bool, style: LengthStyle) -> String {
    let show = |length: Length| style.exact(length);
    let foot = Unit::Foot.ticks();
    let long = match stock.length.ticks() {
        ticks if style.parse_unit() == Unit::Inch && ticks % foot == 0 => format!("{}'", ticks / foot),
        _ => show(stock.length),
    };
    // Of a material that fills a whole name, so much that the sizes behind it still fit into one.
    let material = stock.material.split_whitespace().collect::<Vec<_>>().join(" ");
    let mut name: String = material.chars().take(LONGEST_NAME - 80).collect();
    match (stock.section, stock.thickness) {
        (Some(section), _) if !name.contains(&section.to_string()) => name.push_str(&format!(" {section}")),
        (None, Some(thickness)) if !board || stock.width.is_none() => {
            name.push_str(&format!(" {}", show(thickness)))
        }
        _ => {}
    }
    match stock.width {
        Some(width) if !board => format!("{name}, {} x {}", show(stock.length), show(width)),
        _ => format!("{name}, {long}"),
    }
}
