//! Is wood that is known from the plan named once more?
//!
//! What a plan leaves, and what it has from earlier ones, is there without any list. Whoever gives papers of the plan as a
//! rack has it twice. Papers may be in other units than the plan, and their names with them: a piece is known again by what
//! it is, and by the stock that it comes from.

use std::collections::BTreeMap;

use super::Followed;
use super::taken::nameless;
use super::wood::{Origin, Said};
use crate::model::Stock;
use crate::units::LengthStyle;

impl Followed<'_> {
    /// Rows on hand of a list that name what is known from the plan: what it leaves, and what it has from earlier ones.
    /// What its own lists named is no such row.
    pub fn again(&self, list: &[Stock]) -> Vec<usize> {
        let style = self.batch.batch().shop.style;
        let stock = &self.batch.batch().stock;
        let (listed, carried) = stock.split_at(self.listed().min(stock.len()));
        let (mut before, mut known) = (Known::default(), Known::default());
        listed.iter().for_each(|row| before.add(row, Some((row, style))));
        carried.iter().for_each(|row| known.add(row, None));
        for layout in &self.plan.layouts {
            let Some((origin, entry)) =
                Origin::of(self.batch, layout.stock).zip(self.batch.stock().get(layout.stock))
            else {
                continue;
            };
            let from = stock.get(layout.stock).map(|row| (row, style));
            for place in layout.offcuts(entry) {
                known.add(&origin.offcut(place.node.size, place.with_edges()), from);
            }
        }
        let owned = list.iter().enumerate().filter(|(_, row)| row.is_owned());
        owned.filter(|(_, row)| known.has(row) && !before.has(row)).map(|(row, _)| row).collect()
    }
}

/// Pieces by what they are; each with its name, and the stock that it comes from or is.
#[derive(Default)]
struct Known<'a>(BTreeMap<Stock, BTreeMap<String, Option<From<'a>>>>);

/// A stock, and how lengths in its name are written if that was made here.
type From<'a> = (&'a Stock, LengthStyle);

impl<'a> Known<'a> {
    fn add(&mut self, row: &Stock, from: Option<From<'a>>) {
        self.0.entry(nameless(row)).or_default().insert(row.name.trim().to_owned(), from);
    }

    fn has(&self, row: &Stock) -> bool {
        let Some(names) = self.0.get(&nameless(row)) else { return false };
        let name = row.name.trim();
        let said = Said::of(name);
        names.contains_key(name)
            || names.iter().take(MOST_NAMES).any(|(known, from)| {
                let known = Said::of(known);
                (known.what, known.number) == (said.what, said.number)
                    && (known.base == said.base
                        || from.is_some_and(|(stock, style)| stock.may_be_called(said.base, style)))
            })
    }
}

/// Pieces of one size that are looked at for another name.
const MOST_NAMES: usize = 100;
