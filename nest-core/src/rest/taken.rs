//! What is gone comes off the lists.
//!
//! Rows of a list may agree in name, material and size and differ in what they cost, in their grain, or in their edges:
//! of those the one that agrees in most is meant.

use std::collections::BTreeMap;

use super::hand::Hand;
use crate::model::{Per, Stock, Trim, fold};

/// The rows of a list of stock, by what makes them that row, in more and in less.
pub(super) struct Listed([BTreeMap<Stock, Hand>; LEVELS]);

/// In how much rows may agree: in all that a list says; but for the grain, which is filled in where nobody stated it; in
/// name, material, size and edges; but for the edges, about which somebody may have been mistaken.
const LEVELS: usize = 4;
/// The last level at which a row is that row.
pub(super) const SAME: usize = 2;
/// That at which edges do not count.
pub(super) const EDGES: usize = LEVELS - 1;

impl Listed {
    pub fn of<'a>(rows: impl Iterator<Item = (usize, &'a Stock)>) -> Self {
        let mut levels: [BTreeMap<Stock, Hand>; LEVELS] = Default::default();
        for (row, stock) in rows {
            for (level, rows) in levels.iter_mut().enumerate() {
                rows.entry(key(stock, level)).or_default().push(row);
            }
        }
        Self(levels)
    }

    /// The row of which something is left that agrees most.
    pub fn first(&mut self, stock: &Stock, is_left: impl Fn(usize) -> bool) -> Option<usize> {
        (0..=SAME).find_map(|level| self.0[level].get_mut(&key(stock, level))?.first(&is_left))
    }

    /// Those that agree at a level; at the last one only where none agrees in more.
    fn at(&mut self, level: usize, stock: &Stock) -> Option<&mut Hand> {
        if level > SAME && self.0[SAME].contains_key(&key(stock, SAME)) {
            return None;
        }
        self.0[level].get_mut(&key(stock, level))
    }
}

/// Lowers the quantities of rows by what is gone of them, in the order of the list. What is gone of a row that no list
/// has any more is gone.
pub(super) fn take_off(stock: &mut [Stock], gone: &[Stock]) {
    let mut listed = Listed::of(stock.iter().enumerate().filter(|(_, row)| row.qty.is_some()));
    let mut left: Vec<u32> = gone.iter().map(|gone| gone.qty.unwrap_or(0)).collect();
    // Whatever agrees in more comes first, so that nothing of it is taken for another row.
    for level in 0..LEVELS {
        for (gone, left) in gone.iter().zip(&mut left).filter(|(_, left)| **left > 0) {
            let Some(rows) = listed.at(level, gone) else { continue };
            while *left > 0 {
                let Some(row) = rows.first(|row| stock[row].qty > Some(0)) else { break };
                let Some(qty) = &mut stock[row].qty else { break };
                let taken = (*qty).min(*left);
                *qty -= taken;
                *left -= taken;
            }
        }
    }
}

/// What makes a row that row, at a level.
pub(super) fn key(stock: &Stock, level: usize) -> Stock {
    let owned = stock.is_owned();
    let mut key = Stock {
        name: stock.name.trim().to_owned(),
        material: fold(&stock.material),
        qty: None,
        on_hand: owned,
        factory_edges: stock.factory_edges && owned,
        trim: stock.trim.map(Trim::brief),
        extra: Vec::new(),
        ..stock.clone()
    };
    if level > 0 {
        key.grain = None;
    }
    if level >= SAME {
        key = Stock {
            name: fold(&key.name),
            form: None,
            called: Vec::new(),
            price: None,
            per: Per::Each,
            ..key
        };
    }
    if level > SAME {
        key.factory_edges = false;
        key.ripped = false;
        key.trim = None;
    }
    key
}

/// What a row is whatever it is called.
pub(super) fn nameless(stock: &Stock) -> Stock {
    Stock { name: String::new(), ..key(stock, EDGES) }
}
