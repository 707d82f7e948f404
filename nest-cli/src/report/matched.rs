//! Pieces whose grain runs on from one to the next: once they are apart, nothing else tells their order.

use crate::clean::{clean, isolated};
use nest_core::model::CheckedBatch;
use nest_core::plan::{Layout, PlacedPiece};

/// A strip of a grain match on one layout.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Matched {
    /// The word that its parts share.
    word: String,
    /// Its pieces (indices into those of the layout), from the reference corner on.
    pieces: Vec<usize>,
    /// Which end that is: `left end`, `lower edge`.
    from: &'static str,
}

/// The strips of a layout.
pub(super) fn matched(layout: &Layout, batch: &CheckedBatch) -> Vec<Matched> {
    let mut all = Vec::new();
    for strip in batch.strips() {
        let mut pieces: Vec<usize> =
            (0..layout.pieces.len()).filter(|&at| strip.parts.contains(&layout.pieces[at].part)).collect();
        pieces.sort_by_key(|&at| layout.pieces[at].at);
        let ends = pieces.first().zip(pieces.last()).map(|(&a, &b)| (&layout.pieces[a], &layout.pieces[b]));
        let Some((first, last)) = ends else { continue };
        let word = batch.batch().parts[first.part].match_word.as_deref().map_or(String::new(), clean);
        all.push(Matched { word, pieces, from: side(first, last) });
    }
    all
}

fn side(first: &PlacedPiece, last: &PlacedPiece) -> &'static str {
    if first.at[0] == last.at[0] { "lower edge" } else { "left end" }
}

impl Matched {
    /// What to do on the saw: `matched "fronts": from the left end no. 8 (twice), 9; mark them 1 to 3 in this order, all the
    /// same way up`.
    pub fn text(&self, layout: &Layout) -> String {
        let number = |at: &usize| layout.pieces[*at].part + 1;
        let alike = self.pieces.chunk_by(|a, b| number(a) == number(b));
        let numbers: Vec<String> = alike
            .filter_map(|alike| match (number(alike.first()?), alike.len()) {
                (number, 1) => Some(number.to_string()),
                (number, 2) => Some(format!("{number} (twice)")),
                (number, times) => Some(format!("{number} ({times} times)")),
            })
            .collect();
        format!(
            "matched \"{}\": from the {} no. {}; mark them 1 to {} in this order, all the same way up",
            isolated(&self.word),
            self.from,
            numbers.join(", "),
            self.pieces.len()
        )
    }

    /// Where in its strip a piece of the layout is: `fronts: 2 of 4`; `None` where it is in another or none.
    pub fn place(&self, piece: usize) -> Option<String> {
        let nth = self.pieces.iter().position(|&at| at == piece)?;
        Some(format!("{}: {} of {}", isolated(&self.word), nth + 1, self.pieces.len()))
    }
}
