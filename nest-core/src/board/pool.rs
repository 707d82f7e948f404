//! All patterns that a packing of a given cost may use, where they are few.
//!
//! Prices prove a floor because no bar collects more than its value. They prove more: in a packing whose cost is just
//! that floor, no bar collects much less either, since all that bars miss together is what the cost is above the bound
//! before rounding. Where that is little, a few hundred patterns remain of millions.
//!
//! Source: Dantzig, Fulkerson and Johnson 1954 for fixing by reduced cost; Baldacci, Christofides and Mingozzi 2008 for
//! listing all columns within the gap.

use super::columns::Prices;
use super::knapsack::{Offer, Table};
use super::problem::{Pattern, Problem};

/// More patterns than this are not few.
const MOST_PATTERNS: usize = 6_000;
/// More items than this make relaxations slow.
const MOST_ITEMS: usize = 300;
/// Largest table.
const MOST_CELLS: u64 = 6_000_000;

/// What prices ask of a pattern.
///
/// With `a / b` the least cost of a unit of value, a packing that costs `target` satisfies
/// `sum (b cost - a collected) <= b target - a wanted`, and no term of the sum is negative.
struct Rule<'a> {
    prices: &'a Prices,
    a: i128,
    b: i128,
    slack: i128,
}

impl<'a> Rule<'a> {
    fn of(problem: &Problem, prices: &'a Prices, target: u64) -> Option<Self> {
        let rate = |b: usize| (i128::from(problem.bars[b].cost), i128::from(prices.value[b]));
        let (a, b) = (0..problem.bars.len())
            .filter(|&b| !problem.bars[b].range.is_spent() && prices.value[b] > 0)
            .map(rate)
            .min_by(|x, y| (x.0 * y.1).cmp(&(y.0 * x.1)))?;
        let wanted: i128 =
            prices.item.iter().zip(&problem.items).map(|(&p, i)| i128::from(p) * i128::from(i.demand)).sum();
        (a > 0).then(|| Self { prices, a, b, slack: b * i128::from(target) - a * wanted })
    }

    /// The least that a bar of this cost collects.
    fn least(&self, cost: u64) -> i64 {
        let missing = self.b * i128::from(cost) - self.slack;
        // Rounded up.
        let least = -(-missing).div_euclid(self.a);
        i64::try_from(least.clamp(0, i128::from(i64::MAX))).unwrap_or(i64::MAX)
    }

    fn allows(&self, problem: &Problem, pattern: &Pattern) -> bool {
        let collected: i128 =
            pattern.counts.iter().map(|&(i, n)| i128::from(self.prices.item[i]) * i128::from(n)).sum();
        collected >= i128::from(self.least(problem.bars[pattern.bar].cost))
    }

    /// All patterns that this rule allows, if they are few; adds to the work done.
    fn patterns(&self, problem: &Problem, work: &mut u64) -> Option<Vec<Pattern>> {
        let mut all = Vec::new();
        let mut table = Table::default();
        for (b, bar) in problem.bars.iter().enumerate().filter(|(_, bar)| !bar.range.is_spent()) {
            let mut offers = offers(problem, bar.capacity);
            offers.retain(|offer| bar.takes[offer.item]);
            for offer in &mut offers {
                offer.price = self.prices.item[offer.item];
            }
            *work += table.fill(&offers, bar.capacity);
            let (found, cells) =
                table.patterns(bar.capacity, self.least(bar.cost), MOST_PATTERNS - all.len());
            *work += cells * 4;
            let sound = |counts: &Vec<_>| !counts.is_empty() && problem.sawable(b, counts);
            all.extend(found?.into_iter().filter(sound).map(|counts| Pattern { bar: b, counts }));
        }
        Some(all)
    }
}

/// Whether listing is worth a try where a packing uses so many bars. The table must not be too large, nor the relaxation
/// too slow; and patterns are taken one by one, which is a long way where each is taken often.
pub(super) fn is_listable(problem: &Problem, bars: u64) -> bool {
    let longest = problem.bars.iter().map(|b| b.capacity).max().unwrap_or(0);
    let items = problem.items.len();
    bars <= items as u64
        && items <= MOST_ITEMS
        && Table::cells_needed(&offers(problem, longest), longest) <= MOST_CELLS
}

/// All items of a length that fits.
fn offers(problem: &Problem, capacity: u64) -> Vec<Offer> {
    let items = problem.items.iter().enumerate();
    items
        .filter(|(_, item)| item.length <= capacity)
        .map(|(i, item)| Offer {
            item: i,
            length: item.length,
            price: 0,
            copies: item.demand.min(capacity / item.length.max(1)),
        })
        .collect()
}

/// All patterns that a packing which costs `target` at the most may use, as far as any of these prices tell; `None`
/// where they are too many. With the work done.
pub(super) fn list(problem: &Problem, prices: &[Prices], target: u64) -> (Option<Vec<Pattern>>, u64) {
    let rules: Vec<Rule<'_>> = prices.iter().filter_map(|p| Rule::of(problem, p, target)).collect();
    let mut work = 0;
    let found = rules.iter().find_map(|rule| rule.patterns(problem, &mut work));
    let all = found.map(|mut patterns| {
        patterns.retain(|pattern| rules.iter().all(|rule| rule.allows(problem, pattern)));
        patterns
    });
    (all, work)
}
