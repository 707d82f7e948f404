//! Patterns with strips too short to be ripped alone: which blanks are ripped for them?
//!
//! A table of lengths knows nothing of blanks, and what it finds may not be sawable. Here the choice comes first: for
//! each set of widths, a blank as short as may be ripped is taken off the bar for each width of the set and filled with
//! items of that width; the rest of the bar holds more of them, which make their blank longer, and all that needs no
//! blank. What fills a longer blank by itself the table finds as it is.

use super::knapsack::{Counts, Offer, Table};
use super::problem::Problem;

/// Of more widths than this with short items, one at a time gets a blank.
const MOST_WIDTHS: usize = 3;

/// A filling of a bar for each choice of blanks, each as dear as can be, and the cells filled. Nothing where no blank
/// is needed, or where a table would be larger than `most`.
pub(super) fn fillings(problem: &Problem, bar: usize, offers: &[Offer], most: u64) -> (Vec<Counts>, u64) {
    let of = &problem.bars[bar];
    let width = |offer: &Offer| of.ripped.get(offer.item).copied().flatten();
    let short = |offer: &Offer| width(offer).filter(|_| problem.is_short(offer.item));
    let mut widths: Vec<usize> = offers.iter().filter_map(short).collect();
    widths.sort_unstable();
    widths.dedup();
    if widths.is_empty() || Table::cells_needed(offers, of.capacity) > most {
        return (Vec::new(), 0);
    }
    let (mut table, mut found, mut cells) = (Table::default(), Vec::new(), 0);
    for blanks in choices(&widths) {
        let Some(room) = of.room.checked_sub(problem.shortest * blanks.len() as u64) else { continue };
        let mut left = offers.to_vec();
        left.retain(|offer| short(offer).is_none_or(|width| blanks.contains(&width)));
        let mut counts = Counts::new();
        for &blank in &blanks {
            let here: Vec<Offer> = left.iter().filter(|offer| width(offer) == Some(blank)).copied().collect();
            cells += table.fill(&here, problem.shortest / problem.grid);
            take(&table.pattern(problem.shortest / problem.grid), &mut left, &mut counts);
        }
        cells += table.fill(&left, room / problem.grid);
        take(&table.pattern(room / problem.grid), &mut left, &mut counts);
        found.push(counts);
    }
    (found, cells)
}

/// Which widths get a blank: any set of a few, none or one of many.
fn choices(widths: &[usize]) -> Vec<Vec<usize>> {
    let mut choices = vec![Vec::new()];
    for &width in widths {
        let before = if widths.len() <= MOST_WIDTHS { choices.len() } else { 1 };
        for choice in 0..before {
            choices.push(choices[choice].iter().copied().chain([width]).collect());
        }
    }
    choices
}

/// Takes what a table chose from what is left, and adds it to what is there.
fn take(chosen: &Counts, left: &mut [Offer], counts: &mut Counts) {
    for &(item, n) in chosen {
        for offer in left.iter_mut().filter(|offer| offer.item == item) {
            offer.copies -= n;
        }
        match counts.binary_search_by_key(&item, |&(item, _)| item) {
            Ok(at) => counts[at].1 += n,
            Err(at) => counts.insert(at, (item, n)),
        }
    }
}
