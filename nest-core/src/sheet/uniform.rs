//! Sheets that hold the same are cut the same way: the search may have found several, and one is enough to set up for.

use std::collections::BTreeMap;

use super::columns::Column;
use super::tree::Sheet;

/// A kind of sheet and what it holds: items with how often.
type Held = (usize, Vec<(usize, u32)>);

/// No more ways to cut the same are compared than this.
const MOST_WAYS: usize = 50;

/// The sheets, where of those of one kind that hold the same items the one with the least `score` stands for all.
pub(super) fn uniform<S: Ord>(sheets: &[(Sheet, u32)], score: impl Fn(&Sheet) -> S) -> Vec<(&Sheet, u32)> {
    let mut ways: BTreeMap<Held, Vec<usize>> = BTreeMap::new();
    for (at, (sheet, _)) in sheets.iter().enumerate() {
        ways.entry((sheet.kind(), Column::new(sheet.clone()).counts)).or_default().push(at);
    }
    let mut chosen: Vec<usize> = (0..sheets.len()).collect();
    for ways in ways.into_values().filter(|ways| ways.len() > 1) {
        let best = ways.iter().take(MOST_WAYS).min_by_key(|&&at| score(&sheets[at].0));
        for &at in &ways {
            chosen[at] = best.copied().unwrap_or(at);
        }
    }
    chosen.into_iter().zip(sheets).map(|(at, (_, copies))| (&sheets[at].0, *copies)).collect()
}
