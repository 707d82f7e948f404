//! Where the stock runs out: sheets are filled anew, one after the other, with the most that is left to be made.
//!
//! Chains choose what to make while they make it, largest first; a table over one sheet ([`bounded`]) weighs all that is
//! left at once.

use super::bounded;
use super::free;
use super::offers;
use super::packed::Packed;
use super::points::Points;
use super::problem::Problem;
use super::tree::Sheet;
use crate::search::Dice;

/// From one table to the next where nothing more is found: how many cuttings are kept of a rectangle, and how many cuts there
/// may be before some points are left out.
const TABLES: [(usize, u64); 5] =
    [(3, 20_000_000), (3, 400_000_000), (10, 20_000_000), (10, 400_000_000), (30, 400_000_000)];

/// Most points along an axis: a table looks up every pair of them, which of a narrow sheet would be more than its cells.
const MOST_POINTS: usize = 4000;

/// A plan that leaves less, if one is found with so much work; and the work done: cuttings put together.
pub(super) fn refill(
    problem: &Problem,
    best: &Packed,
    dice: &mut Dice,
    work: u64,
    stop: &impl Fn() -> bool,
) -> (Option<Packed>, u64) {
    let mut sheets: Vec<Sheet> = (best.sheets.iter())
        .flat_map(|(sheet, copies)| std::iter::repeat_n(sheet, *copies as usize).cloned())
        .collect();
    let mut left = best.left.clone();
    let mut spent = 0;
    let values: Vec<i64> = (problem.items.iter())
        .map(|item| if item.optional { 0 } else { i64::try_from(item.made).unwrap_or(i64::MAX / 1024) })
        .collect();
    let value = |sheet: &Sheet| sheet.items().map(|item| i128::from(values[item])).sum::<i128>();
    let mut tables = TABLES.into_iter().peekable();
    while let Some(&table) = tables.peek() {
        let mut order: Vec<usize> = (0..sheets.len()).collect();
        dice.shuffle(&mut order);
        let before: Vec<u32> = left.clone();
        for at in order {
            if spent >= work || stop() {
                break;
            }
            let old = &sheets[at];
            old.items().for_each(|item| left[item] += 1);
            let (new, looked) = filled(problem, old.kind(), &values, &left, table, stop);
            spent += looked;
            if let Some(new) = new.filter(|new| value(new) > value(old)) {
                sheets[at] = new;
            }
            sheets[at].items().for_each(|item| left[item] -= 1);
        }
        // One sheet alone gains nothing from the same table again.
        if left == before || sheets.len() == 1 {
            tables.next();
        }
        if spent >= work || stop() {
            break;
        }
    }
    let sheets = sheets.into_iter().map(|sheet| (sheet, 1)).collect();
    let found = Packed::new(problem, sheets, left);
    ((found.key() < best.key()).then_some(found), spent)
}

/// A sheet with the most of what is left.
fn filled(
    problem: &Problem,
    kind: usize,
    values: &[i64],
    left: &[u32],
    (width, cuts): (usize, u64),
    stop: &impl Fn() -> bool,
) -> (Option<Sheet>, u64) {
    // Its tables know nothing of stages.
    if problem.kinds[kind].rules.stages <= 3 {
        return (None, 0);
    }
    let prices: Vec<i64> =
        values.iter().zip(left).map(|(&value, &left)| value * i64::from(left > 0)).collect();
    let offers = offers::offers(problem, kind, &prices, left);
    let all = [0, 1].map(|axis| {
        let sizes = offers.iter().map(|offer| offer.size[axis]);
        Points::new(problem.kinds[kind].size[axis], sizes).raster()
    });
    let thinned = |most: usize| [all[0].thinned(most), all[1].thinned(most)];
    let mut most = MOST_POINTS;
    let mut points = thinned(most);
    let large = |[x, y]: &[Points; 2]| free::work([x, y]) > cuts || !bounded::fits(&offers, [x, y]);
    while large(&points) && most > 2 {
        most = most * 3 / 4;
        points = thinned(most);
    }
    let (priced, work) = bounded::best(&offers, left, [&points[0], &points[1]], width, stop);
    (priced.and_then(|priced| Sheet::of(problem, kind, &priced.cutting)), work)
}
