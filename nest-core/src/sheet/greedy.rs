//! The plan that always answers: every piece in turn where it costs the least free space.
//!
//! Both ways to make it ask before every piece whether to stop; then what is placed so far is the answer.

use super::filling::{Among, Filling};
use super::packed::Packed;
use super::problem::Problem;
use super::tree::Sheet;
use super::worth::Worth;

/// So many kinds of sheets that cost something, the cheapest for their area, are tried before all others, and so many that cost
/// nothing, the largest: a rack may have a thousand.
const MOST_FIRST: usize = 30;

/// Fills sheets in up to four orders of the pieces, with the best kind of sheet for each that fits nowhere or with one
/// kind before all others; the best of all. What is optional would only be in the way of what comes after.
///
/// Runtime: orders times kinds times pieces times gaps.
pub(super) fn fill<'p>(
    problem: &'p Problem,
    worth: &'p Worth,
    orders: usize,
    stop: &dyn Fn() -> bool,
) -> Filling<'p> {
    let mut best: Option<Filling<'p>> = None;
    let firsts = firsts(problem);
    for order in 0..orders.min(4) {
        let mut todo: Vec<usize> =
            (0..problem.items.len()).filter(|&item| !problem.items[item].optional).collect();
        todo.sort_by_key(|&i| {
            let item = &problem.items[i];
            let [long, short] = item.sides.map(u64::from);
            let key = [item.area, long, short, long + short][order];
            (std::cmp::Reverse(key), i)
        });
        for &first in &firsts {
            let mut filling = Filling::new(problem, worth, problem.demand());
            for &item in &todo {
                while filling.left[item] > 0 && !stop() && place(&mut filling, item, first) {}
            }
            let key = |filling: &Filling<'_>| (filling.missing, filling.cost);
            if best.as_ref().is_none_or(|best| key(&filling) < key(best)) {
                best = Some(filling);
            }
            if stop() {
                return best.unwrap_or_else(|| Filling::new(problem, worth, problem.demand()));
            }
        }
    }
    best.unwrap_or_else(|| Filling::new(problem, worth, problem.demand()))
}

/// Kinds of sheets that may be tried before all others, in their order; none first.
fn firsts(problem: &Problem) -> Vec<Option<usize>> {
    let mut kinds: Vec<usize> = (0..problem.kinds.len()).collect();
    let cost = |kind: usize| problem.kinds[kind].cost;
    let area = |kind: usize| i128::from(problem.kinds[kind].area());
    // What costs nothing is equally cheap whatever its area.
    kinds.sort_by_key(|&kind| std::cmp::Reverse(area(kind)));
    kinds.sort_by(|&a, &b| cost(a).saturating_mul(area(b)).cmp(&cost(b).saturating_mul(area(a))));
    let (free, paid): (Vec<usize>, Vec<usize>) = kinds.into_iter().partition(|&kind| cost(kind) == 0);
    let some = free.into_iter().take(MOST_FIRST).chain(paid.into_iter().take(MOST_FIRST));
    let mut firsts: Vec<Option<usize>> = some.filter(|_| problem.kinds.len() > 1).map(Some).collect();
    firsts.push(None);
    firsts.sort_unstable();
    firsts
}

/// Places one piece: on an open sheet, else on a fresh one of the first kind, else on any.
fn place(filling: &mut Filling<'_>, item: usize, first: Option<usize>) -> bool {
    filling.place(item, Among::Open, None, None, None, |_, _| {})
        || first.is_some_and(|kind| filling.place(item, Among::Fresh(kind), None, None, None, |_, _| {}))
        || filling.place(item, Among::All, None, None, None, |_, _| {})
}

/// Fills one sheet after the other, each as often as what is left allows: for orders so large that no piece can be looked
/// at by itself. Every sheet uses up some item but for less than one sheet of it.
///
/// Runtime: items times kinds times items and gaps.
pub(super) fn repeat(problem: &Problem, worth: &Worth, stop: &dyn Fn() -> bool) -> Packed {
    let mut left = problem.demand();
    let mut supply: Vec<Option<u32>> = problem.kinds.iter().map(|kind| kind.supply).collect();
    let mut sheets = Vec::new();
    while !stop() {
        let candidates = (0..problem.kinds.len()).filter(|&kind| supply[kind] != Some(0));
        let filled = candidates.filter_map(|kind| one(problem, worth, &left, kind, stop));
        // The cheapest for the area that is used, compared crosswise.
        let Some((sheet, counts)) = filled.min_by(|(a, _), (b, _)| {
            let cost = |sheet: &Sheet| problem.kinds[sheet.kind()].cost;
            (cost(a) * i128::from(b.used)).cmp(&(cost(b) * i128::from(a.used)))
        }) else {
            break;
        };
        let most = counts.iter().map(|&(item, count)| left[item] / count).min().unwrap_or(0);
        let copies = most.min(supply[sheet.kind()].unwrap_or(u32::MAX)).max(1);
        for &(item, count) in &counts {
            left[item] -= count * copies;
        }
        if let Some(supply) = &mut supply[sheet.kind()] {
            *supply -= copies;
        }
        sheets.push((sheet, copies));
    }
    Packed::new(problem, sheets, left)
}

/// One sheet of a kind filled with what is left, and what lies on it.
fn one(
    problem: &Problem,
    worth: &Worth,
    left: &[u32],
    kind: usize,
    stop: &dyn Fn() -> bool,
) -> Option<(Sheet, Vec<(usize, u32)>)> {
    let mut filling = Filling::new(problem, worth, left.to_vec());
    for item in 0..problem.items.len() {
        if problem.items[item].optional {
            continue;
        }
        if filling.sheets.is_empty() && filling.left[item] > 0 {
            filling.place(item, Among::Fresh(kind), None, None, None, |_, _| {});
        }
        while filling.left[item] > 0
            && !stop()
            && filling.place(item, Among::Open, None, None, None, |_, _| {})
        {}
    }
    let sheet = filling.sheets.pop()?;
    let counts = left.iter().zip(&filling.left).enumerate().filter(|(_, (before, after))| before > after);
    let counts = counts.map(|(item, (before, after))| (item, before - after)).collect();
    Some((sheet, counts))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Batch, PartGrain, Stages, Stock};
    use crate::sheet::tests::{part, sheet, shop};

    #[test]
    fn a_long_rack_keeps_nothing_that_is_for_sale_from_being_tried() {
        let scrap =
            |n: i64| Stock { on_hand: true, qty: Some(1), price: None, ..sheet("scrap", [400 + n, 300], 0) };
        let mut stock: Vec<Stock> = (0..50).map(scrap).collect();
        stock.extend([sheet("small", [1200, 600], 40), sheet("large", [2400, 1200], 90)]);
        let parts = vec![part("panel", [290, 250], 40, PartGrain::Length)];
        let batch = Batch { parts, stock, shop: shop(0, Stages::Any) }.check().unwrap();
        let problem = Problem::new(&batch, 0);
        let cost = |first: &Option<usize>| first.map(|kind| problem.kinds[kind].cost);
        let firsts = firsts(&problem);
        assert_eq!(firsts[0], None);
        assert_eq!(firsts.iter().filter(|&first| cost(first) == Some(0)).count(), MOST_FIRST);
        assert_eq!(firsts.iter().filter(|&first| cost(first).is_some_and(|cost| cost > 0)).count(), 2);
    }
}
