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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Batch, PartGrain, Stages};
    use crate::sheet::cutting::Cutting;
    use crate::sheet::problem::Problem;
    use crate::sheet::tests::{part, sheet, shop};

    #[test]
    fn the_best_way_to_cut_the_same_stands_for_all_and_for_nothing_else() {
        let parts = vec![part("part", [100, 100], 9, PartGrain::Length)];
        let batch = Batch { parts, stock: vec![sheet("sheet", [400, 400], 1)], shop: shop(0, Stages::Any) };
        let problem = Problem::new(&batch.check().unwrap(), 0);
        let row = |axis, count| {
            let children = vec![Cutting::Item { item: 0, lay: 0 }; count];
            Sheet::of(&problem, 0, &Cutting::Row { axis, children }).unwrap()
        };
        let sheets = [(row(0, 2), 1), (row(1, 2), 3), (row(0, 3), 1), (row(1, 2), 1)];
        let axis = |sheet: &Sheet| match sheet.cutting() {
            Cutting::Row { axis, .. } => axis,
            Cutting::Item { .. } => 2,
        };
        let chosen = |score: &dyn Fn(&Sheet) -> usize| -> Vec<(usize, u32)> {
            uniform(&sheets, score).into_iter().map(|(sheet, copies)| (axis(sheet), copies)).collect()
        };
        assert_eq!(chosen(&axis), [(0, 1), (0, 3), (0, 1), (0, 1)]);
        assert_eq!(chosen(&|sheet| 2 - axis(sheet)), [(1, 1), (1, 3), (0, 1), (1, 1)]);
    }
}
