//! Names of materials and of stock, as papers show them.

use super::Source;
use crate::clean::{clean, composed};
use nest_core::model::{Batch, Group, Stock};

/// A material with the thickness or section that all its stock shares.
pub(super) fn of_group(batch: &Batch, group: &Group) -> String {
    let material = group.stock.first().map_or("", |&stock| &batch.stock[stock].material);
    composed(&clean(&group.name), &clean(material))
}

/// The same, by the index of the group.
pub(super) fn of_material(source: &Source<'_>, group: Option<usize>) -> String {
    let batch = source.batch;
    group.map_or(String::new(), |group| of_group(batch.batch(), &batch.groups()[group]))
}

/// Stock, under the name that the list gives it or that was made for it.
pub(super) fn of_stock(stock: &Stock) -> String {
    composed(&clean(&stock.name), &clean(&stock.material))
}
