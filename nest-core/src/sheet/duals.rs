//! Pairs of dual-feasible functions: what they say about all that is asked for, and about one sheet.
//!
//! A pair replaces both sizes of everything so that what fits still fits; the area of all that is asked for over that of
//! the sheet is then a floor, and often a better one: a part longer than half a sheet may count as the whole length.
//! All parameters at which a function can change are tried along and across, and all pairs of the better ones; the
//! best pair becomes the prices of the certificate. The definitions, with their sources, stand at
//! [`Dual`](crate::plan::Dual); the check has code of its own.
//!
//! Prices come from one kind of sheet; every kind then needs its own bound on what one layout can collect, for which all
//! pairs are tried again.

use super::floor::{Proof, claim};
use super::problem::{Kind, Problem};
use crate::plan::{Dual, Reason};
use crate::units::{Length, gcd};

/// Products of two functions that are looked at, times items.
const MOST_PRODUCTS: usize = 30_000_000;
/// Parameters tried a family; and times items, whose images are kept.
const MOST_PARAMETERS: usize = 800;
const MOST_IMAGES: usize = 4_000_000;
/// Prices come from no more kinds of sheets than these, and for more kinds together no more functions are tried.
const MOST_KINDS: usize = 30;
/// So few kinds take no time to speak of.
const FEW_KINDS: usize = 4;
/// Prices of one layout stay near this.
const SCALE: i128 = 1 << 50;

/// A function with its images of every item in every lay, on the grid.
#[derive(Debug)]
struct Tried {
    dual: Dual,
    whole: i128,
    images: Vec<i64>,
}

/// Dual-feasible functions for every kind of sheet.
#[derive(Debug)]
pub(super) struct Duals<'p> {
    problem: &'p Problem,
    sides: Vec<Sides<'p>>,
}

/// The pair of functions that counts the most for a kind of sheet.
#[derive(Clone, Debug)]
pub(super) struct Pair {
    /// The image of each item, turned as it counts least.
    pub images: Vec<i128>,
    pub whole: i128,
}

impl<'p> Duals<'p> {
    /// Told to stop, those whose parameters are no sizes of parts do for all but a few kinds.
    pub fn new(problem: &'p Problem, stop: &impl Fn() -> bool) -> Self {
        let kinds = problem.kinds.len();
        let each = MOST_PARAMETERS.min(MOST_IMAGES / problem.items.len().max(1));
        let all = each / kinds.div_ceil(MOST_KINDS).max(1);
        let most = |kind: usize| if kind < FEW_KINDS || !stop() { all } else { 0 };
        Self { problem, sides: (0..kinds).map(|kind| Sides::new(problem, kind, most(kind))).collect() }
    }

    pub fn problem(&self) -> &'p Problem {
        self.problem
    }

    /// The best proofs found, best first.
    pub fn proofs(&self, stop: &impl Fn() -> bool) -> Vec<Proof> {
        let mut proofs: Vec<Proof> = Vec::new();
        for (number, &kind) in self.leading().iter().enumerate() {
            if number >= FEW_KINDS && stop() {
                break;
            }
            let side = &self.sides[kind];
            for prices in side.best_prices() {
                let values: Option<Vec<_>> =
                    (0..self.sides.len()).map(|kind| self.value(kind, &prices)).collect();
                proofs.extend(values.map(|values| claim(self.problem, prices, values)));
            }
        }
        proofs.sort_by_key(|proof| std::cmp::Reverse(proof.rank()));
        proofs.truncate(2);
        proofs
    }

    /// The kinds that prices come from: those there are most of, the largest first; in their order.
    fn leading(&self) -> Vec<usize> {
        let mut kinds: Vec<usize> = (0..self.sides.len()).collect();
        kinds.sort_by_key(|&kind| {
            let of = &self.problem.kinds[kind];
            std::cmp::Reverse((of.supply.unwrap_or(u32::MAX), of.area()))
        });
        kinds.truncate(MOST_KINDS);
        kinds.sort_unstable();
        kinds
    }

    /// The most that a kind of sheet collects at such prices, with the reason. `None` where no pair bounds it.
    pub fn value(&self, kind: usize, prices: &[(usize, i64)]) -> Option<(i64, Reason)> {
        let (value, along, across) = self.sides[kind].value(prices)?;
        let reason = match (along, across) {
            (Dual::Plain, Dual::Plain) => Reason::Area,
            (along, across) => Reason::Dual { along, across },
        };
        Some((value, reason))
    }

    /// The pair that counts the most for a kind of sheet, with the reason that names it. `None` where nothing may come from
    /// it.
    pub fn best(&self, kind: usize) -> Option<(Pair, Reason)> {
        let sides = &self.sides[kind];
        let [f, g] = sides.best_pair()?;
        let mut images = vec![0; self.problem.items.len()];
        sides.items.iter().for_each(|(item, lays)| images[*item] = sides.product(f, g, lays));
        let stages = self.problem.kinds[kind].rules.staged();
        let reason = Reason::Sets { along: f.dual, across: g.dual, stages };
        Some((Pair { images, whole: f.whole.saturating_mul(g.whole) }, reason))
    }
}

/// Everything about one kind of sheet.
#[derive(Debug)]
struct Sides<'p> {
    problem: &'p Problem,
    kind: usize,
    /// For each required item its lays: where its images start.
    items: Vec<(usize, std::ops::Range<usize>)>,
    along: Vec<Tried>,
    across: Vec<Tried>,
}

impl<'p> Sides<'p> {
    /// With at most so many parameters of a family that are sizes of parts.
    fn new(problem: &'p Problem, kind: usize, most: usize) -> Self {
        let mut items = Vec::new();
        let mut sizes: [Vec<u32>; 2] = [Vec::new(), Vec::new()];
        let mut counted: [Vec<(u32, u32)>; 2] = [Vec::new(), Vec::new()];
        for (i, item) in problem.items.iter().enumerate() {
            let lays = problem.lays(kind, i);
            if item.optional || lays.is_empty() {
                continue;
            }
            let start = sizes[0].len();
            for lay in lays {
                sizes[0].push(lay.size[0]);
                sizes[1].push(lay.size[1]);
            }
            for axis in [0, 1] {
                let least = lays.iter().map(|lay| lay.size[axis]).min().unwrap_or(0);
                counted[axis].push((least, item.demand));
            }
            items.push((i, start..sizes[0].len()));
        }
        let [along, across] =
            [0, 1].map(|axis| tried(problem, kind, axis, &sizes[axis], &counted[axis], most));
        let mut sides = Self { problem, kind, items, along, across };
        // Prices of every kind are tried on every other.
        sides.thin(MOST_PRODUCTS / problem.kinds.len().max(1));
        sides
    }

    fn of(&self) -> &Kind {
        &self.problem.kinds[self.kind]
    }

    /// The image of an item, turned as it counts least.
    fn product(&self, f: &Tried, g: &Tried, lays: &std::ops::Range<usize>) -> i128 {
        lays.clone().map(|lay| i128::from(f.images[lay]) * i128::from(g.images[lay])).min().unwrap_or(0)
    }

    /// All demand over one sheet, as a fraction.
    fn ratio(&self, f: &Tried, g: &Tried) -> (i128, i128) {
        let sum = self.items.iter().fold(0_i128, |sum, (item, lays)| {
            let demand = i128::from(self.problem.items[*item].demand);
            sum.saturating_add(self.product(f, g, lays).saturating_mul(demand))
        });
        (sum, f.whole.saturating_mul(g.whole))
    }

    /// Where the products of all pairs are more than so many, keeps the plain size and the functions that are best beside
    /// it and each other's best.
    fn thin(&mut self, most: usize) {
        let pairs = self.along.len().saturating_mul(self.across.len());
        if pairs.saturating_mul(self.items.len().max(1)) <= most {
            return;
        }
        let keep = most / self.items.len().max(1);
        let keep = (1..).take_while(|n| n * n <= keep).last().unwrap_or(1).max(2);
        for _ in 0..2 {
            for axis in [0, 1] {
                let (mine, other) =
                    if axis == 0 { (&self.along, &self.across) } else { (&self.across, &self.along) };
                let beside: Vec<usize> = (0..other.len().min(3)).collect();
                let mut order: Vec<(f64, usize)> = (0..mine.len())
                    .map(|m| {
                        let best = beside
                            .iter()
                            .map(|&o| {
                                let (f, g) =
                                    if axis == 0 { (&mine[m], &other[o]) } else { (&other[o], &mine[m]) };
                                let (sum, whole) = self.ratio(f, g);
                                sum as f64 / whole.max(1) as f64
                            })
                            .fold(0.0, f64::max);
                        (best, m)
                    })
                    .collect();
                order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
                // The plain size, which is the first, always stays: without it areas prove nothing.
                let others = order.into_iter().map(|(_, m)| m).filter(|&m| m > 0);
                let chosen: Vec<usize> = std::iter::once(0).chain(others).take(keep).collect();
                let list = if axis == 0 { &mut self.along } else { &mut self.across };
                let mut slots: Vec<Option<Tried>> = list.drain(..).map(Some).collect();
                list.extend(chosen.into_iter().filter_map(|m| slots[m].take()));
            }
        }
    }

    /// The pair under which all demand counts the most.
    fn best_pair(&self) -> Option<[&Tried; 2]> {
        let mut best: Option<(i128, i128, [&Tried; 2])> = None;
        for f in &self.along {
            for g in &self.across {
                let (sum, whole) = self.ratio(f, g);
                let better = match &best {
                    None => true,
                    Some((s, w, _)) => match (sum.checked_mul(*w), s.checked_mul(whole)) {
                        (Some(x), Some(y)) => x > y,
                        _ => sum / whole.max(1) > s / (*w).max(1),
                    },
                };
                if better && whole > 0 {
                    best = Some((sum, whole, [f, g]));
                }
            }
        }
        best.map(|(_, _, pair)| pair)
    }

    /// Prices from the best pair, and from the area: (item, price).
    fn best_prices(&self) -> Vec<Vec<(usize, i64)>> {
        let Some([f, g]) = self.best_pair() else { return Vec::new() };
        let whole = f.whole * g.whole;
        let products: Vec<(usize, i128)> =
            self.items.iter().map(|(item, lays)| (*item, self.product(f, g, lays))).collect();
        let mut lists = vec![scaled(products, whole)];
        if self.problem.kinds.len() > 1 {
            let areas =
                self.items.iter().map(|(item, _)| (*item, i128::from(self.problem.items[*item].area)));
            lists.push(scaled(areas.collect(), self.of().area().into()));
        }
        lists
    }

    /// The least value that bounds a layout's prices, with its reason. `None` where no pair bounds them.
    fn value(&self, prices: &[(usize, i64)]) -> Option<(i64, Dual, Dual)> {
        let mut price_of = vec![0_i64; self.problem.items.len()];
        for &(item, price) in prices {
            price_of[item] = price;
        }
        let mut best: Option<(i64, Dual, Dual)> = None;
        for f in &self.along {
            'pair: for g in &self.across {
                let whole = f.whole * g.whole;
                let mut value = 0;
                for (item, lays) in &self.items {
                    let price = i128::from(price_of[*item]);
                    if price == 0 {
                        continue;
                    }
                    let product = self.product(f, g, lays);
                    let Some(most) = price.checked_mul(whole).and_then(|most| most.checked_div(product))
                    else {
                        continue 'pair;
                    };
                    value = value.max(most);
                    if best.as_ref().is_some_and(|best| value >= best.0.into()) {
                        continue 'pair;
                    }
                }
                if let Ok(value) = i64::try_from(value) {
                    best = Some((value, f.dual, g.dual));
                }
            }
        }
        best
    }
}

/// Whole prices in proportion, exact where that is possible.
fn scaled(products: Vec<(usize, i128)>, whole: i128) -> Vec<(usize, i64)> {
    let unit = products.iter().fold(whole, |unit, &(_, product)| gcd(unit, product)).max(1);
    let exact = whole / unit <= SCALE;
    products
        .into_iter()
        .map(|(item, product)| {
            let price = if exact { product / unit } else { product / (whole / SCALE).max(1) };
            (item, i64::try_from(price).unwrap_or(0))
        })
        .filter(|&(_, price)| price > 0)
        .collect()
}

/// All functions along one axis whose parameters can matter, of those that are sizes of parts at most so many.
fn tried(
    problem: &Problem,
    kind: usize,
    axis: usize,
    sizes: &[u32],
    counted: &[(u32, u32)],
    most: usize,
) -> Vec<Tried> {
    let capacity = i128::from(problem.kinds[kind].size[axis]);
    let half = capacity / 2;
    let mut all = vec![Tried::new(Dual::Plain, capacity, sizes, |x| x)];
    let mut keen: Vec<i128> = Vec::new();
    for &size in sizes {
        let size = i128::from(size);
        keen.extend([size, size + 1, capacity - size, capacity - size + 1]);
    }
    keen.retain(|&t| t > 0 && t <= half);
    keen.sort_unstable();
    keen.dedup();
    keen.truncate(most);
    let mut steps: Vec<i128> = if half <= most as i128 {
        (1..=half).collect()
    } else {
        let parts = (2..40).map(|n| capacity / n).chain((2..40).map(|n| capacity / n + 1));
        keen.iter().copied().chain(parts).filter(|&t| t > 0 && t <= half).collect()
    };
    steps.sort_unstable();
    steps.dedup();
    let grid = i64::try_from(problem.grid).unwrap_or(i64::MAX);
    let length = |t: i128| Length::from_ticks(i64::try_from(t).unwrap_or(0).saturating_mul(grid));
    for &t in &keen {
        let cut = move |x: i128| match x {
            _ if x > capacity - t => capacity,
            _ if x >= t => x,
            _ => 0,
        };
        all.push(Tried::new(Dual::Cut(length(t)), capacity, sizes, cut));
    }
    for &t in &steps {
        let step = move |x: i128| match (2 * x).cmp(&capacity) {
            std::cmp::Ordering::Less => 2 * (x / t),
            std::cmp::Ordering::Equal => capacity / t,
            std::cmp::Ordering::Greater => 2 * (capacity / t - (capacity - x) / t),
        };
        all.push(Tried::new(Dual::Steps(length(t)), step(capacity), sizes, step));
    }
    for n in 1..=20_u32 {
        let many = i128::from(n);
        let share = move |x: i128| {
            let whole = x * (many + 1);
            if whole % capacity == 0 { x * many } else { whole / capacity * capacity }
        };
        all.push(Tried::new(Dual::Shares(n), share(capacity), sizes, share));
    }
    for &t in &keen {
        let mut small: Vec<(i128, i128)> = counted
            .iter()
            .map(|&(size, count)| (i128::from(size), i128::from(count)))
            .filter(|&(size, _)| size >= t && size * 2 <= capacity)
            .collect();
        small.sort_unstable();
        let fit = |mut length: i128| {
            let mut total = 0;
            for &(size, most) in &small {
                let here = (length / size).min(most);
                total += here;
                length -= here * size;
                if here < most {
                    break;
                }
            }
            total
        };
        let whole = fit(capacity);
        let count = |x: i128| match x {
            _ if x < t => 0,
            _ if 2 * x <= capacity => 1,
            _ => whole - fit(capacity - x),
        };
        if whole > 0 {
            all.push(Tried::new(Dual::Count(length(t)), whole, sizes, count));
        }
    }
    let mut seen = std::collections::BTreeSet::new();
    let fresh: Vec<bool> = all.iter().map(|tried| seen.insert((tried.whole, &*tried.images))).collect();
    all.into_iter().zip(fresh).filter_map(|(tried, fresh)| fresh.then_some(tried)).collect()
}

impl Tried {
    fn new(dual: Dual, whole: i128, sizes: &[u32], f: impl Fn(i128) -> i128) -> Self {
        // At most 21 times a size, which is below 2^30.
        let image = |&size: &u32| i64::try_from(f(size.into())).unwrap_or(0);
        Self { dual, whole, images: sizes.iter().map(image).collect() }
    }
}

#[cfg(test)]
mod tests;
