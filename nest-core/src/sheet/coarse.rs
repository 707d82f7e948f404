//! The best cutting of one sheet, or where the exact table would be too large a bound on it.
//!
//! Sizes that add up to at most a side still do so when all of them, and the side, are rounded down to whole steps of a
//! coarser grid. The best cutting on that grid collects at least what the best real one does, and often it can
//! be cut.

use super::free;
use super::offers::{Offer, Priced};
use super::points::Points;
use super::problem::{Kind, Problem};
use super::staged::Staged;

/// Most pairs of steps whose points are counted.
const MOST_STEPS: u64 = 400_000_000;
/// Grids tried beyond the finest that is possible.
const MORE: u32 = 12;

/// The most that a sheet collects.
#[derive(Clone, Debug)]
pub(super) struct Coarse {
    /// Steps of the problem's grid in one of this; what is found on the grid itself is exact.
    pub step: u32,
    pub value: i64,
    /// How; with steps of more than one it need not fit.
    pub priced: Vec<Priced>,
    pub work: u64,
}

/// The most for these offers, on grids no finer than [`finest`] found for all that may be on offer; `None` where pieces
/// are so small that no such grid will do. Runtime: that of the table.
pub(super) fn best(problem: &Problem, kind: &Kind, offers: &[Offer], finest: u32) -> Option<Coarse> {
    let least = offers.iter().flat_map(|offer| offer.size).min()?;
    if finest > least {
        return None;
    }
    // On the grid itself nothing is lost.
    let last = if finest == 1 { 1 } else { (finest + MORE.min(finest)).min(least) };
    let step = (finest..=last).min_by(|&a, &b| {
        let [a, b] = [a, b].map(|step| swelling(problem, kind, offers, step));
        a.total_cmp(&b)
    })?;
    let rounded: Vec<Offer> =
        offers.iter().map(|offer| Offer { size: offer.size.map(|side| side / step), ..*offer }).collect();
    let [x, y] = points(kind, offers, step);
    if !x.exact || !y.exact {
        return None;
    }
    let rules = kind.rules;
    let (mut value, mut priced, mut work) = (0, Vec::new(), 0);
    if rules.stages > 3 {
        work += free::work([&x, &y]);
        priced.extend(free::best(&rounded, [&x, &y]));
        value = priced.iter().map(|priced| priced.value).max().unwrap_or(0);
    } else {
        for axis in (0..2).filter(|&axis| rules.first.is_none_or(|first| usize::from(first) == axis)) {
            let staged = Staged::new(&rounded, axis, [&x, &y], rules.trimming);
            let best = staged.best(rules.stages, 1);
            value = value.max(best.value);
            priced.extend(best.priced);
            work += staged.work();
        }
    }
    Some(Coarse { step, value, priced, work })
}

fn points(kind: &Kind, offers: &[Offer], step: u32) -> [Points; 2] {
    [0, 1].map(|axis| {
        let sizes = offers.iter().map(|offer| offer.size[axis] / step);
        let points = Points::new(kind.size[axis] / step, sizes);
        // With few stages it matters which sizes are the same.
        if kind.rules.stages > 3 { points.raster() } else { points }
    })
}

/// The finest grid whose table is small enough. Runtime: some ten times the longer side of the sheet in steps for each
/// offer, which is more than many a table takes.
pub(super) fn finest(kind: &Kind, offers: &[Offer], most: u64) -> Option<u32> {
    let longest = kind.size[0].max(kind.size[1]);
    let mut step = 1;
    while step < longest {
        // Points are no more than steps; counting them takes a moment, so only where they are few enough to try.
        let steps = kind.size.map(|side| u64::from(side / step));
        if steps[0].saturating_mul(steps[1]) <= MOST_STEPS {
            let [x, y] = points(kind, offers, step);
            if x.exact && y.exact && free::work([&x, &y]) <= most {
                return Some(step);
            }
        }
        step += step.div_ceil(8);
    }
    None
}

/// By about how much the rounding lets a sheet collect more.
fn swelling(problem: &Problem, kind: &Kind, offers: &[Offer], step: u32) -> f64 {
    let kept = |side: u32| f64::from(side / step * step) / f64::from(side.max(1));
    let (mut plain, mut swollen) = (0.0, 0.0);
    for offer in offers {
        let weight = offer.price as f64 * f64::from(problem.items[offer.item].demand);
        plain += weight;
        swollen += weight / (kept(offer.size[0]) * kept(offer.size[1]));
    }
    swollen / plain * kept(kind.size[0]) * kept(kind.size[1])
}
