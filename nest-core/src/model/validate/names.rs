//! What is a stock called that nobody named?
//!
//! Material, section or thickness and width, and length: `poplar 1x2, 8'`. Names made here are unique in the batch.

use std::collections::BTreeSet;

use super::super::show::exact;
use super::super::{Batch, Stock};
use super::LONGEST_NAME;
use crate::units::{Length, LengthStyle, Unit};

/// Names stock without a name, and counts what costs nothing and is limited as on hand.
pub fn fill_in(batch: &mut Batch, boards: &[bool]) {
    let style = batch.shop.style;
    let mut taken: BTreeSet<String> = batch.stock.iter().map(|s| s.name.trim().to_owned()).collect();
    for (stock, &board) in batch.stock.iter_mut().zip(boards) {
        if stock.qty.is_some() && stock.price.is_some_and(|price| price.millionths() == 0) {
            stock.on_hand = true;
        }
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

fn name(stock: &Stock, board: bool, style: LengthStyle) -> String {
    let show = |length: Length| exact(style, length);
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
