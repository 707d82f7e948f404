//! The cheapest sheets that have room enough.

use super::super::problem::{Kind, Problem};

/// Nodes after which the best so far has to do.
const NODES: u32 = 200_000;

/// How many of each kind, no more than `most`: of at least so much area, for less than `below`, at the least cost.
pub(super) fn cheapest(problem: &Problem, most: &[u32], area: u128, below: i128) -> Option<Vec<u32>> {
    let mut order: Vec<usize> = (0..problem.kinds.len()).collect();
    // Cheapest by area first; the larger of equals.
    order.sort_by(|&a, &b| {
        let [a, b] = [a, b].map(|at| &problem.kinds[at]);
        let by_area = |one: &Kind, other: &Kind| one.cost.saturating_mul(i128::from(other.area()));
        by_area(a, b).cmp(&by_area(b, a)).then(b.area().cmp(&a.area()))
    });
    let mut search = Search {
        problem,
        most,
        order,
        counts: vec![0; problem.kinds.len()],
        below,
        best: None,
        nodes: NODES,
    };
    search.go(0, i128::try_from(area).unwrap_or(i128::MAX), 0);
    search.best
}

struct Search<'p> {
    problem: &'p Problem,
    most: &'p [u32],
    order: Vec<usize>,
    counts: Vec<u32>,
    below: i128,
    best: Option<Vec<u32>>,
    nodes: u32,
}

impl Search<'_> {
    fn go(&mut self, at: usize, left: i128, cost: i128) {
        if left <= 0 {
            if cost < self.below {
                self.below = cost;
                self.best = Some(self.counts.clone());
            }
            return;
        }
        let Some(&kind) = self.order.get(at) else { return };
        let of = &self.problem.kinds[kind];
        let area = i128::from(of.area());
        // Nothing that is still to come has more area for its cost.
        let least = left.saturating_mul(of.cost).div_euclid(area);
        self.nodes = self.nodes.saturating_sub(1);
        if self.nodes == 0 || cost.saturating_add(least) >= self.below {
            return;
        }
        let enough = u32::try_from((left + area - 1) / area).unwrap_or(u32::MAX);
        let most = enough.min(self.most[kind]);
        for count in (0..=most).rev() {
            self.counts[kind] = count;
            let count = i128::from(count);
            self.go(at + 1, left - count * area, cost.saturating_add(of.cost.saturating_mul(count)));
            if self.nodes == 0 {
                break;
            }
        }
        self.counts[kind] = 0;
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::problem::{Kind, Rules};
    use super::*;

    fn problem(kinds: &[(u32, i128)]) -> Problem {
        let any = [0, u32::MAX];
        let rules =
            Rules { stages: 60, trimming: false, first: None, cut: [any; 2], reach: None, spare: u32::MAX };
        let kinds = kinds.iter().map(|&(length, cost)| Kind {
            stock: 0,
            size: [length, 10],
            kerf: 0,
            cost,
            supply: None,
            least: [1, 1],
            rules,
        });
        let mut problem = Problem::default();
        problem.kinds = kinds.collect();
        problem
    }

    #[test]
    fn the_cheapest_sheets_with_room_are_found() {
        let shop = problem(&[(7, 7), (10, 11), (3, 2)]);
        // By every number of each: 100 in area is 10 in length.
        for area in (0..300).step_by(7) {
            for below in [5, 12, 40] {
                let mut best: Option<i128> = None;
                for (a, b, c) in (0..=2_u32)
                    .flat_map(|a| (0..=4_u32).flat_map(move |b| (0..=1_u32).map(move |c| (a, b, c))))
                {
                    let (room, cost) = (70 * a + 100 * b + 30 * c, i128::from(7 * a + 11 * b + 2 * c));
                    if u128::from(room) >= area && cost < below && best.is_none_or(|best| cost < best) {
                        best = Some(cost);
                    }
                }
                let found = cheapest(&shop, &[2, u32::MAX, 1], area, below);
                let cost = |counts: Vec<u32>| {
                    counts
                        .iter()
                        .zip(&shop.kinds)
                        .map(|(&count, kind)| kind.cost * i128::from(count))
                        .sum::<i128>()
                };
                assert_eq!(found.map(cost), best, "{area} {below}");
            }
        }
    }
}
