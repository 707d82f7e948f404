//! What is gone comes off the lists.

use std::collections::BTreeMap;

use crate::model::{Stock, fold};
use crate::units::{Length, Nominal};

/// The rows of a list of stock, by what makes them that row.
pub(super) struct Listed(BTreeMap<Same, Vec<usize>>);

impl Listed {
    pub fn of(stock: &[Stock]) -> Self {
        let mut rows: BTreeMap<Same, Vec<usize>> = BTreeMap::new();
        for (row, stock) in stock.iter().enumerate() {
            rows.entry(same(stock)).or_default().push(row);
        }
        Self(rows)
    }

    /// All that are that row, in the order of the list.
    pub fn rows(&self, stock: &Stock) -> &[usize] {
        self.0.get(&same(stock)).map_or(&[][..], Vec::as_slice)
    }
}

/// Lowers the quantities of rows by what is gone of them, in the order of the list. What is gone of a row that no list
/// has any more is gone.
pub(super) fn take_off(stock: &mut [Stock], listed: &Listed, gone: &[Stock]) {
    for gone in gone {
        let mut left = gone.qty.unwrap_or(0);
        // A grain that nobody stated was filled in, so that it may differ; of two rows the one that agrees is meant.
        for agrees in [true, false] {
            for &row in listed.rows(gone) {
                let row = &mut stock[row];
                if let Some(qty) = row.qty.as_mut().filter(|_| (row.grain == gone.grain) == agrees) {
                    let taken = left.min(*qty);
                    *qty -= taken;
                    left -= taken;
                }
            }
        }
    }
}

/// What makes a row that row.
type Same = (String, String, Option<Nominal>, [Option<Length>; 3], bool);

fn same(stock: &Stock) -> Same {
    let sizes = [stock.thickness, Some(stock.length), stock.width];
    (fold(&stock.name), fold(&stock.material), stock.section, sizes, stock.is_owned())
}
