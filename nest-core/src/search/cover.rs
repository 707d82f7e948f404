//! The integer cover: the least cost of whole pieces of stock whose values add up to what is asked.

/// One kind of stock in a cover.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Choice {
    pub cost: u64,
    pub value: i64,
    pub least: u64,
    pub most: Option<u64>,
}

/// Nodes after which the fractional bound of what is open has to do.
const NODE_LIMIT: usize = 200_000;
/// More kinds than this get the fractional bound.
const KIND_LIMIT: usize = 300;

/// A lower bound on the cost of whole pieces of stock with `sum value >= wanted`, exact unless the search grows too large;
/// `None` where no number of them is enough. All costs are multiples of `step`.
pub(crate) fn cover(choices: &[Choice], wanted: i128, step: u64) -> Option<u64> {
    cover_within(choices, wanted, step, NODE_LIMIT).0
}

/// The same with so many nodes at the most; returns also how many there were.
pub(crate) fn cover_within(choices: &[Choice], wanted: i128, step: u64, most: usize) -> (Option<u64>, usize) {
    let mut base = 0_u128;
    let mut left = wanted;
    let mut order: Vec<(u64, i64, Option<u64>)> = Vec::new();
    for c in choices {
        base += u128::from(c.cost) * u128::from(c.least);
        left -= i128::from(c.value) * i128::from(c.least);
        let room = c.most.map(|m| m.saturating_sub(c.least));
        if c.value > 0 && room != Some(0) {
            order.push((c.cost, c.value, room));
        }
    }
    // Cheapest a unit of value first.
    order.sort_by(|a, b| {
        (u128::from(a.0) * b.1 as u128).cmp(&(u128::from(b.0) * a.1 as u128)).then(b.1.cmp(&a.1))
    });
    if order.len() > KIND_LIMIT {
        let search = Search { order, step: step.max(1), best: None, nodes: 0, most };
        return (search.bound(0, left, 0).map(|b| u64::try_from(b + base).unwrap_or(u64::MAX)), 0);
    }
    let mut search = Search { order, step: step.max(1), best: None, nodes: 0, most };
    search.go(0, left, 0);
    (search.best.map(|b| u64::try_from(b + base).unwrap_or(u64::MAX)), search.nodes)
}

struct Search {
    order: Vec<(u64, i64, Option<u64>)>,
    step: u64,
    best: Option<u128>,
    nodes: usize,
    most: usize,
}

impl Search {
    /// Fractional bound from kind `k` on, rounded up to a multiple of the step; `None` where it is not enough.
    fn bound(&self, k: usize, mut left: i128, cost: u128) -> Option<u128> {
        let mut total = cost;
        for &(c, v, room) in &self.order[k..] {
            if left <= 0 {
                break;
            }
            let need = (left + i128::from(v) - 1) / i128::from(v);
            if room.is_none_or(|r| i128::from(r) >= need) {
                let part = (left as u128 * u128::from(c)).div_ceil(v as u128);
                total += part;
                left = 0;
            } else if let Some(r) = room {
                total += u128::from(c) * u128::from(r);
                left -= i128::from(v) * i128::from(r);
            }
        }
        (left <= 0).then(|| total.div_ceil(u128::from(self.step)) * u128::from(self.step))
    }

    fn go(&mut self, k: usize, left: i128, cost: u128) {
        if left <= 0 {
            if self.best.is_none_or(|b| cost < b) {
                self.best = Some(cost);
            }
            return;
        }
        let Some(bound) = self.bound(k, left, cost) else { return };
        if self.best.is_some_and(|b| bound >= b) {
            return;
        }
        self.nodes += 1;
        if self.nodes > self.most {
            // What is open is worth its bound at least.
            self.best = Some(bound);
            return;
        }
        let Some(&(c, v, room)) = self.order.get(k) else { return };
        let need = (left + i128::from(v) - 1) / i128::from(v);
        let most = room.map_or(need, |r| need.min(i128::from(r)));
        let mut n = most;
        while n >= 0 {
            self.go(k + 1, left - n * i128::from(v), cost + n as u128 * u128::from(c));
            if n == 0 {
                break;
            }
            // Fewer of this kind: is the rest still of use?
            let open =
                self.bound(k + 1, left - (n - 1) * i128::from(v), cost + (n - 1) as u128 * u128::from(c));
            if open.is_none_or(|o| self.best.is_some_and(|b| o >= b)) {
                break;
            }
            n -= 1;
        }
    }
}
