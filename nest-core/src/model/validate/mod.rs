//! Is the question sound, and what follows from it? [`Batch::check`] looks at every rule once, in this order:
//!
//! 1. `limits`: counts, sizes, and cells that must be filled, each row for itself;
//! 2. `form`, `resolve`: what each stock is: board or sheet, actual size, kerf, edge trim;
//! 3. `cut`: what the saw has to produce for each part: bands, oversize, fit;
//! 4. `matching`: which part may come from which stock, and how it may lie;
//! 5. `sawing`: whether the saws can free a part from any of its stock;
//! 6. `strips`: which parts are cut as one strip, and whether any stock holds it;
//! 7. `price`: what one piece of each stock costs;
//! 8. `groups`: what has to be solved together, and as what;
//! 9. `cautions`: what is odd about it.
//!
//! Invariant: no rule relies on a cell that could not be read or has a problem, so that one slip is reported once; every
//! other cell of its row is looked at. A size in doubt is taken for one that is always accepted.
//! Cost: rows times stock of the same material, at most [`MOST_PAIRS`]; all else is rows times a logarithm.

mod cautions;
mod cut;
mod form;
mod grains;
mod groups;
mod limits;
mod looks;
mod matching;
mod names;
mod narrow;
mod nearest;
mod price;
mod remedy;
mod resolve;
mod sawing;
mod strips;
mod unfit;

#[cfg(test)]
mod laws;
#[cfg(test)]
mod tests;

use super::problem::Findings;
use super::{Batch, CheckedBatch, Problem, Problems, Unread};

/// Most rows of a table.
pub const MOST_ROWS: usize = 100_000;
/// Most pieces of one row.
pub const MOST_PIECES_A_ROW: u32 = 1_000_000;
/// Most pieces of a strip of matched grain.
pub const MOST_PIECES_A_STRIP: u64 = 1000;
/// Most pieces of a batch.
pub const MOST_PIECES: u64 = 10_000_000;
/// Most edge bands of a shop.
pub const MOST_BANDS: usize = 1000;
/// Longest name, in characters.
pub const LONGEST_NAME: usize = 200;
/// Longest note or text of a further column, in characters.
pub const LONGEST_TEXT: usize = 4096;
/// Most combinations of a part with a stock of its material.
pub const MOST_PAIRS: usize = 20_000_000;

impl Batch {
    /// Looks at every rule and works out what follows.
    ///
    /// The batch inside the result has four things filled in: stock without a name gets one made of its material and
    /// size, jobs that differ in case and spaces alone are called as the first of them, stock with price 0 and a limited
    /// quantity counts as on hand, and owned sheets without a grain get that of the sheets that are bought, where those
    /// agree.
    ///
    /// # Errors
    /// Every problem that can be seen, sorted by place.
    pub fn check(self) -> Result<CheckedBatch, Problems> {
        self.look(Findings::default()).map_err(Findings::into_problems)
    }

    /// The problems of a batch of which something could not be read, sorted by place: those that remain whatever that was
    /// to say. About what could not be read itself nothing is said.
    pub fn problems(self, unread: Unread) -> Vec<Problem> {
        self.look(Findings::without(unread))
            .map_err(|found| found.into_problems().into_vec())
            .err()
            .unwrap_or_default()
    }

    fn look(mut self, mut found: Findings) -> Result<CheckedBatch, Findings> {
        if !limits::look(&self, &mut found) {
            return Err(found);
        }
        let boards = form::boards(&self);
        names::fill_in(&mut self, &boards);
        grains::fill_in(&mut self, &boards, &found);
        let mut stock = resolve::stock(&self, &boards, &mut found);
        let cuts = cut::sizes(&self, &mut found);
        let mut parts = matching::parts(&self, &cuts, &mut stock, &mut found);
        sawing::look(&self, &mut parts, &stock, &mut found);
        let strips = strips::form(&self, &cuts, &parts, &stock, &mut found);
        let used = matching::used(&parts, self.stock.len());
        let measure = price::settle(&self, &used, &mut stock, &mut found);
        if !found.is_sound() {
            return Err(found);
        }
        // Without a problem nothing was left unresolved.
        let stock: Vec<_> = stock.into_iter().flatten().collect();
        let groups = groups::form(&self, &mut parts, &stock, &strips);
        let warnings = cautions::look(&self, &stock, &groups, &strips);
        Ok(CheckedBatch { batch: self, parts, stock, strips, groups, measure, warnings })
    }
}
