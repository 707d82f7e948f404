//! The integer master over the layouts that any step has seen: a recombination that no chain need have come across.

use super::columns::{Column, Generator};
use super::packed::Packed;
use super::problem::Problem;
use super::tree::Sheet;
use super::worth::Worth;
use crate::lp::Covering;

/// More rows than this are too many for branch and bound.
const MOST_ROWS: usize = 120;
/// Columns a row.
const WIDTH: usize = 4;

/// Looks for a cheaper plan among the layouts whose reduced cost is least, for so many nodes. Returns it with the work
/// done. Runtime: a relaxation of the columns and the rows a node.
pub(super) fn recombine(
    generator: &mut Generator<'_>,
    worth: &Worth,
    best: &Packed,
    nodes: u64,
    stop: &impl Fn() -> bool,
) -> (Option<Packed>, u64) {
    let problem = generator.problem;
    let required: Vec<usize> = (0..problem.items.len()).filter(|&i| !problem.items[i].optional).collect();
    let rows = required.len() + problem.kinds.iter().filter(|kind| kind.supply.is_some()).count();
    if best.missing > 0 || rows > MOST_ROWS {
        return (None, 0);
    }
    for (sheet, _) in &best.sheets {
        generator.add(Column::new(sheet.clone()));
    }
    let order = generator.by_reduced_cost(stop);
    let used: Vec<(usize, u32)> = best
        .sheets
        .iter()
        .filter_map(|(sheet, copies)| Some((generator.position(&Column::new(sheet.clone()))?, *copies)))
        .collect();
    let mut chosen: Vec<usize> = order.into_iter().take(rows * WIDTH).collect();
    chosen.extend(used.iter().map(|&(index, _)| index));
    chosen.sort_unstable();
    chosen.dedup();
    let columns: Vec<&Column> = chosen.iter().map(|&index| &generator.columns[index]).collect();
    let start: Vec<u32> = (chosen.iter())
        .map(|index| used.iter().filter(|(used, _)| used == index).map(|(_, copies)| copies).sum())
        .collect();
    let dearest = problem.kinds.iter().map(|kind| kind.cost).max().unwrap_or(1).max(1) as f64;
    let cost = |column: &&Column| problem.kinds[column.sheet.kind()].cost as f64 / dearest;
    let most = (columns.iter().zip(&start))
        .map(|(column, &start)| {
            let need = column.counts.iter().map(|&(i, n)| problem.items[i].demand.div_ceil(n)).max();
            need.unwrap_or(0).max(start)
        })
        .collect();
    let mut covering = Covering { costs: columns.iter().map(cost).collect(), most, rows: Vec::new() };
    for &item in &required {
        let count = |column: &Column| column.counts.iter().find(|&&(i, _)| i == item).map(|&(_, n)| n);
        let entries = columns.iter().enumerate().filter_map(|(c, column)| Some((c, count(column)?.into())));
        covering.rows.push((entries.collect(), problem.items[item].demand.into()));
    }
    for (k, kind) in problem.kinds.iter().enumerate() {
        if let Some(supply) = kind.supply {
            let entries = columns.iter().enumerate().filter(|(_, column)| column.sheet.kind() == k);
            covering.rows.push((entries.map(|(c, _)| (c, -1)).collect(), -i64::from(supply)));
        }
    }
    let (counts, nodes) = covering.improve(&start, nodes, stop);
    let work = nodes * (rows * columns.len()) as u64;
    let sheets = counts.map(|counts| {
        let sheets = columns.iter().zip(&counts).filter(|(_, n)| **n > 0);
        sheets.flat_map(|(column, &n)| vec![column.sheet.clone(); n as usize]).collect::<Vec<Sheet>>()
    });
    let found = sheets.and_then(|sheets| trim(problem, worth, &sheets));
    (found.filter(|found| found.key() < best.key()), work)
}

/// Takes out what is made beyond the demand: layouts that cover may make too much. `None` where what remains of one of
/// them cannot be cut as the saw is set.
fn trim(problem: &Problem, worth: &Worth, sheets: &[Sheet]) -> Option<Packed> {
    let mut left = problem.demand();
    let mut surplus = Vec::new();
    for (at, sheet) in sheets.iter().enumerate() {
        for item in sheet.items() {
            match left[item].checked_sub(1) {
                Some(less) => left[item] = less,
                None => surplus.push((at, item)),
            }
        }
    }
    let mut filling = super::filling::Filling::new(problem, worth, left.clone());
    filling.adopt(sheets, &left);
    for (at, item) in surplus {
        if let Some(slot) = filling.sheets[at].slot(item) {
            filling.remove(at, slot);
            // It was more than was asked for.
            filling.left[item] -= 1;
        }
    }
    let sawable = |sheet: &Sheet| sheet.count == 0 || sheet.sawable(&problem.kinds[sheet.kind()]);
    filling.sheets.iter().all(sawable).then(|| Packed::of(&filling))
}
