//! The plan that always answers: every piece in turn where it costs the least free space.

use super::filling::{Among, Filling};
use super::problem::Problem;
use super::worth::Worth;

/// Fills sheets in several orders of the pieces, with the best kind of sheet for each that fits nowhere or with one
/// kind before all others; the best of all.
///
/// Runtime: orders times kinds times pieces times gaps.
pub(crate) fn fill<'p>(problem: &'p Problem, worth: &'p Worth) -> Filling<'p> {
    let mut best: Option<Filling<'p>> = None;
    let kinds = problem.kinds.len();
    for order in 0..4 {
        let mut todo: Vec<usize> = (0..problem.items.len()).collect();
        todo.sort_by_key(|&i| {
            let item = &problem.items[i];
            let [long, short] = item.sides.map(u64::from);
            let key = [item.area, long, short, long + short][order];
            (item.optional, std::cmp::Reverse(key), i)
        });
        for first in 0..=kinds {
            if kinds == 1 && first > 0 {
                break;
            }
            let mut filling = Filling::new(problem, worth, problem.demand());
            for &item in &todo {
                while filling.left[item] > 0 && place(&mut filling, item, first.checked_sub(1)) {}
            }
            let key = |filling: &Filling<'_>| (filling.missing, filling.cost);
            if best.as_ref().is_none_or(|best| key(&filling) < key(best)) {
                best = Some(filling);
            }
        }
    }
    best.unwrap_or_else(|| Filling::new(problem, worth, problem.demand()))
}

/// Places one piece: on an open sheet, else on a fresh one of the first kind, else on any.
fn place(filling: &mut Filling<'_>, item: usize, first: Option<usize>) -> bool {
    filling.place(item, Among::Open, None, None, None, |_, _| {})
        || first.is_some_and(|kind| filling.place(item, Among::Fresh(kind), None, None, None, |_, _| {}))
        || filling.place(item, Among::All, None, None, None, |_, _| {})
}
