//! Names of materials and of stock, as papers show them.

use super::Source;
use crate::clean::{clean, composed, isolated};
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

/// What the list says in its column `note`.
pub(super) fn note_of_stock(stock: &Stock) -> String {
    let note = stock.extra.iter().find(|(header, _)| header == "note");
    note.map_or(String::new(), |(_, note)| clean(note))
}

/// The same where it is cut, `note: bowed`. Of what is bought a note is for the shop alone.
pub(super) fn noted(stock: &Stock) -> Option<String> {
    let note = Some(note_of_stock(stock)).filter(|note| stock.is_owned() && !note.is_empty());
    note.map(|note| format!("note: {}", isolated(note.trim_end_matches('.'))))
}

/// The name of a stock without the size that stands beside it: one that the list gives no name is called by material and
/// size, a board by its length alone.
pub fn alone<'a>(name: &'a str, size: &str) -> &'a str {
    let length = size.split_once(" x ").map_or(size, |(length, _)| length);
    let without = |said: &str| name.strip_suffix(said).and_then(|name| name.strip_suffix(", "));
    without(size).or_else(|| without(length)).unwrap_or(name)
}

/// Name and size of a stock as they stand side by side; no size where the name says it.
pub fn titled<'a>(name: &'a str, size: &'a str) -> [&'a str; 2] {
    let name = alone(name, size);
    [name, if name.contains(size) { "" } else { size }]
}

#[cfg(test)]
mod tests {
    use super::{alone, titled};

    #[test]
    fn a_size_is_said_once() {
        assert_eq!(alone("oak, 2400 mm", "2400 mm x 150 mm"), "oak");
        assert_eq!(alone("mdf 12 mm, 2400 mm x 150 mm", "2400 mm x 150 mm"), "mdf 12 mm");
        assert_eq!(alone("fir 1x4, 96\"", "96\""), "fir 1x4");
        assert_eq!(alone("fir 1x4, 8'", "96\""), "fir 1x4, 8'");
        assert_eq!(alone("oak, 2400 mm (2)", "2400 mm x 150 mm"), "oak, 2400 mm (2)", "two of one name");
        assert_eq!(titled("oak, 2400 mm", "2400 mm x 150 mm"), ["oak", "2400 mm x 150 mm"]);
        assert_eq!(titled("a 96\" one", "96\""), ["a 96\" one", ""]);
    }
}
