//! Can what is said to have been done before a plan be true, as far as its question tells?
//!
//! The account goes with a plan through files, and who carries the plan on takes pieces off the list by it. How many there
//! are nobody can tell afterwards. But what is made and wanted is a piece that the question asks for, if only no more of
//! it, it is as large as such a piece, and what no list names is on hand.

use std::collections::BTreeSet;
use std::fmt;

use super::made::{beyond, is_banded, is_blank, lengths, of_any_size, same};
use super::{Before, Made};
use crate::model::{Batch, Part};
use crate::units::Length;

/// Something that cannot be true of what was done before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Untrue {
    /// No part of the question is such a piece.
    NotAsked {
        /// Index of the pieces that are made.
        made: usize,
    },
    /// A piece is not as large as the part that it is.
    OtherSize {
        /// Index of the pieces that are made.
        made: usize,
    },
    /// There is no such row, or it is none of wood that is there and counted.
    NotOnHand {
        /// Index of the row of stock.
        stock: usize,
    },
}

impl fmt::Display for Untrue {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotAsked { made } => write!(
                f,
                "before.made[{made}]: expected pieces of a part that the question asks for, but it has no such part"
            ),
            Self::OtherSize { made } => write!(
                f,
                "before.made[{made}]: expected a piece as large as its part, but it has another size"
            ),
            Self::NotOnHand { stock } => write!(
                f,
                "before.carried: expected the last rows of stock on hand, with how many, but row {stock} is not"
            ),
        }
    }
}

/// Everything that cannot be true of what was done before; one a line when it is displayed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Untruths(Vec<Untrue>);

impl Untruths {
    /// What cannot be true, at least one.
    pub fn as_slice(&self) -> &[Untrue] {
        &self.0
    }

    /// What cannot be true, at least one.
    pub fn into_vec(self) -> Vec<Untrue> {
        self.0
    }
}

impl fmt::Display for Untruths {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        crate::model::lines(&self.0, f)
    }
}

impl std::error::Error for Untrue {}
impl std::error::Error for Untruths {}

impl Before {
    /// Whether it can be true beside the question of its plan.
    ///
    /// Runtime: linear in both, times a logarithm.
    ///
    /// # Errors
    /// Everything that cannot.
    pub fn check(&self, question: &Batch) -> Result<(), Untruths> {
        let asked: BTreeSet<Part> = question.parts.iter().map(same).collect();
        let sizes: BTreeSet<(Part, Length)> =
            question.parts.iter().map(|part| (of_any_size(part), part.length)).collect();
        let is_asked = |made: &Part| {
            let (kind, lengths) = (of_any_size(made), lengths(made));
            // Nobody has judged these lengths, and a range that ends before it starts is none.
            let any = is_blank(made) && !lengths.is_empty();
            let held = (kind.clone(), *lengths.start())..=(kind, *lengths.end());
            asked.contains(&same(made)) || any && sizes.range(held).next().is_some()
        };
        let mut untrue = Vec::new();
        for (index, made) in self.made.iter().enumerate() {
            if !is_asked(&made.part) {
                untrue.push(Untrue::NotAsked { made: index });
            }
            if !as_large(made) {
                untrue.push(Untrue::OtherSize { made: index });
            }
        }
        let listed = question.stock.len().saturating_sub(self.carried);
        let rows = question.stock.iter().enumerate().skip(listed);
        let not_there = rows.filter(|(_, row)| !row.on_hand || row.qty.is_none());
        untrue.extend(not_there.map(|(stock, _)| Untrue::NotOnHand { stock }));
        if untrue.is_empty() { Ok(()) } else { Err(Untruths(untrue)) }
    }
}

/// Whether the piece is as large as the part says that it was cut. What a band took off is for the shop of that time to
/// say, and a piece without a width is as wide as its board.
fn as_large(Made { part, piece }: &Made) -> bool {
    let [along, across] = beyond(part);
    let more = |side: Length, more: i64| side.ticks().saturating_add(more);
    let (long, wide) = (more(part.length, along), part.width.map(|width| more(width, across)));
    let (lies_long, lies_wide) = (piece.length.ticks(), piece.width.map(Length::ticks));
    let lengthwise = lies_long == long && (wide.is_none() || lies_wide.is_none() || lies_wide == wide);
    is_banded(part) || lengthwise || lies_wide == Some(long) && wide.is_none_or(|wide| lies_long == wide)
}
