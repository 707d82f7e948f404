//! Is a stock a board or a sheet, where nobody says?
//!
//! A section, or no width at all, makes a board. Otherwise boards are narrow and long: at most 12 in (305 mm) wide, at
//! least twice as long as wide, and of a material that does not come in wider pieces too. So a strip that is left
//! over from a sheet stays a sheet.

use std::collections::BTreeSet;

use super::super::fold::fold;
use super::super::{Batch, Form, Stock};
use crate::units::Length;

/// Widest stock that is a board where nobody says: 12 in, or 305 mm in metric shops.
const WIDEST: Length = Length::mm(305);

/// Whether nothing but its length tells whether it is a board.
pub fn hangs_on_length(stock: &Stock) -> bool {
    let narrow = stock.width.is_some_and(|width| width <= WIDEST);
    narrow && stock.form.is_none() && stock.section.is_none()
}

/// For each row whether it is a board.
pub fn boards(batch: &Batch) -> Vec<bool> {
    let material = |stock: &Stock| (fold(&stock.material), stock.thickness);
    let wide: BTreeSet<_> = batch
        .stock
        .iter()
        .filter(|stock| stock.form != Some(Form::Board) && stock.section.is_none())
        .filter(|stock| stock.width.is_some_and(|width| width > WIDEST))
        .map(material)
        .collect();
    let board = |stock: &Stock| match (stock.form, stock.section, stock.width) {
        (Some(form), ..) => form == Form::Board,
        (None, Some(_), _) | (None, None, None) => true,
        (None, None, Some(width)) => {
            let long = i128::from(stock.length.ticks()) >= 2 * i128::from(width.ticks());
            width <= WIDEST && long && !wide.contains(&material(stock))
        }
    };
    batch.stock.iter().map(board).collect()
}
