//! What is the most that one layout can collect when its pieces follow each other along the length?
//!
//! A bounded knapsack, exact, in whole numbers. Pieces of lengths `l_1 .. l_n` with a kerf `k` between neighbours
//! fit into a length `L` when `sum l_i + (n - 1) k <= L`; adding one `k` on both sides, when
//! `sum (l_i + k) <= L + k`. That is the whole kerf rule: sizes `l + k`, capacity `L + k`.
//!
//! Two ways, chosen by size: a table over all capacities (time: capacity over gcd, times the number of items,
//! times the logarithm of their limits; one run answers every stock with the same items), or a list of the pairs
//! (length, value) that no other pair dominates (Nemhauser and Ullmann 1969), thinned out by what the rest could
//! still add at the best ratio, which is small where the claim is tight. Both have a stated cap on work; beyond it
//! the answer is "too large", never a guess.

use super::bound::Work;
use crate::units::gcd;

/// Pairs longer than this are not kept in one list.
const LONGEST_LIST: usize = 1 << 22;

/// Tables longer than this are not made: 32 MiB.
const LONGEST_TABLE: u64 = 1 << 22;

/// Something that can be packed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Item {
    /// Length, kerf included, positive.
    pub size: u64,
    /// What it is worth, positive.
    pub value: i64,
    /// At most this many, at least one.
    pub most: u64,
}

/// A capacity and the claim that nothing in it is worth more than `value`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Claim {
    pub capacity: u64,
    pub value: i64,
}

/// How a list of claims came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Verdict {
    /// All hold.
    Hold,
    /// The claim with this index is wrong: so much can be packed.
    Beaten(usize, i128),
    /// The claim with this index was not decided within the limits.
    TooLarge(usize),
}

/// Judges claims about the same items.
pub(super) fn judge(items: &[Item], claims: &[Claim], work: &mut Work) -> Verdict {
    // Cheap proofs first: no packing is worth more than the capacity at the best ratio.
    let mut items: Vec<Item> = items.iter().copied().filter(|item| item.size > 0 && item.value > 0).collect();
    items.sort_by(|a, b| {
        let (left, right) = (wide(a.value) * i128::from(b.size), wide(b.value) * i128::from(a.size));
        right.cmp(&left).then(a.cmp(b))
    });
    if !work.pairs((items.len() as u64).saturating_mul(claims.len() as u64)) {
        return Verdict::TooLarge(0);
    }
    let open: Vec<usize> = (0..claims.len())
        .filter(|&c| {
            let fits = items.iter().find(|item| item.size <= claims[c].capacity);
            fits.is_some_and(|best| can_beat(0, claims[c].capacity, best, claims[c].value))
        })
        .collect();
    let Some(&first) = open.first() else { return Verdict::Hold };
    let capacity = open.iter().map(|&c| claims[c].capacity).max().unwrap_or(0);
    items.retain(|item| item.size <= capacity);
    let divisor = items.iter().fold(0, |divisor, item| gcd(divisor, item.size)).max(1);
    let Some(steps) = steps(&items, capacity, divisor) else { return Verdict::TooLarge(first) };
    let cells = capacity / divisor + 1;
    if cells <= LONGEST_TABLE && work.cells(cells.saturating_mul(steps.len() as u64)) {
        let best = table(&steps, cells);
        for &c in &open {
            let found = best.get((claims[c].capacity / divisor) as usize).copied().unwrap_or(i64::MAX);
            if found > claims[c].value {
                return Verdict::Beaten(c, found.into());
            }
        }
        return Verdict::Hold;
    }
    for &c in &open {
        match beat(&steps, claims[c].capacity / divisor, claims[c].value, work) {
            None => return Verdict::TooLarge(c),
            Some(None) => {}
            Some(Some(found)) => return Verdict::Beaten(c, found.into()),
        }
    }
    Verdict::Hold
}

/// An item, or several equal ones taken together, that is packed once or not at all.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    size: u64,
    value: i64,
}

/// Splits limits into powers of two and a rest: any number up to the limit is a sum of some of them, and no sum is
/// more. `None` where values could not be added up within an `i64`.
pub(super) fn steps(items: &[Item], capacity: u64, divisor: u64) -> Option<Vec<Step>> {
    let mut steps = Vec::new();
    let mut total: i64 = 0;
    for item in items {
        let mut left = item.most.min(capacity / item.size);
        let mut bundle = 1;
        while left > 0 {
            let count = bundle.min(left);
            let value = i64::try_from(wide(item.value).checked_mul(count.into())?).ok()?;
            total = total.checked_add(value)?;
            // Within capacity, because `count * size` is.
            steps.push(Step { size: item.size.checked_mul(count)? / divisor, value });
            left -= count;
            bundle = bundle.saturating_mul(2);
        }
    }
    Some(steps)
}

/// The best value for each capacity up to the given one, if the table is short enough.
pub(super) fn most(items: &[Item], capacity: u64, work: &mut Work) -> Option<Vec<i64>> {
    let steps = steps(items, capacity, 1)?;
    let cells = capacity.checked_add(1).filter(|&cells| cells <= LONGEST_TABLE)?;
    work.cells(cells.saturating_mul(steps.len() as u64)).then(|| table(&steps, cells))
}

/// The best value for each capacity below `cells`.
fn table(steps: &[Step], cells: u64) -> Vec<i64> {
    let mut best = vec![0_i64; cells as usize];
    for step in steps {
        let size = step.size as usize;
        // From the top, in blocks no longer than the step, so that what is read was not yet written.
        let mut high = best.len();
        while high > size {
            let low = (high - size).max(size);
            let (from, to) = best.split_at_mut(low);
            for (to, from) in to[..high - low].iter_mut().zip(&from[low - size..high - size]) {
                *to = (*to).max(*from + step.value);
            }
            high = low;
        }
    }
    best
}

/// Looks for a packing worth more than `claim`; `None` when that takes too much work.
pub(super) fn beat(steps: &[Step], capacity: u64, claim: i64, work: &mut Work) -> Option<Option<i64>> {
    let mut pairs: Vec<(u64, i64)> = vec![(0, 0)];
    let mut merged = Vec::new();
    for (i, step) in steps.iter().enumerate() {
        if !work.pairs(2 * pairs.len() as u64) {
            return None;
        }
        let rest = steps.get(i + 1);
        let hopeful = |&(length, value): &(u64, i64)| {
            rest.is_some_and(|rest| {
                let best = Item { size: rest.size, value: rest.value, most: 1 };
                can_beat(value, capacity.saturating_sub(length), &best, claim)
            })
        };
        merged.clear();
        let mut without = pairs.iter().copied().peekable();
        let mut with = pairs
            .iter()
            .map(|&(length, value)| (length.saturating_add(step.size), value.saturating_add(step.value)))
            .take_while(|&(length, _)| length <= capacity)
            .peekable();
        let mut top = -1;
        loop {
            let next = match (without.peek(), with.peek()) {
                // At equal length the more valuable first, so that the other is seen to be dominated.
                (Some(a), Some(b)) if (b.0, -b.1) < (a.0, -a.1) => with.next(),
                (Some(_), _) => without.next(),
                (None, _) => with.next(),
            };
            let Some(pair) = next else { break };
            if pair.1 > claim {
                return Some(Some(pair.1));
            }
            if pair.1 > top {
                top = pair.1;
                if hopeful(&pair) {
                    merged.push(pair);
                }
            }
        }
        if merged.len() > LONGEST_LIST {
            return None;
        }
        std::mem::swap(&mut pairs, &mut merged);
        if pairs.is_empty() {
            break;
        }
    }
    Some(None)
}

/// Whether `value` and what fits into `room` at the ratio of `best` may come to more than `claim`.
fn can_beat(value: i64, room: u64, best: &Item, claim: i64) -> bool {
    // Every factor is below 2^64 and one of each pair below 2^63, so the products are below 2^127.
    let missing = wide(claim) + 1 - wide(value);
    missing <= 0 || wide(best.value) * i128::from(room) >= missing.saturating_mul(best.size.into())
}

fn wide(value: i64) -> i128 {
    value.into()
}
