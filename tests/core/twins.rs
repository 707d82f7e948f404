//! Solving beside enumeration: on tiny questions the cost is the least there is, and no floor is above it.

use super::build::Boards;
use nest_core::search::Effort;
use nest_core::solution::Status;
use proptest::prelude::*;

/// All lengths in millimetres. Stock: length, cost, supply. Parts: length, quantity.
#[derive(Clone, Debug)]
struct Tiny {
    stock: Vec<(i64, i64, Option<u32>)>,
    parts: Vec<(i64, u32)>,
    kerf: i64,
    trim: i64,
}

/// Up to 4 lengths, 7 pieces and 3 kinds of stock, each of which may be limited: some have no whole plan.
fn tiny() -> impl Strategy<Value = Tiny> {
    (
        proptest::collection::vec((10_i64..16, 0_i64..9, proptest::option::of(0_u32..4)), 1..4),
        proptest::collection::vec((1_i64..9, 1_u32..4), 1..5),
        0_i64..3,
        // Edge trim is nothing or at least the kerf.
        prop_oneof![Just(0_i64), Just(2)],
    )
        .prop_map(|(stock, mut parts, kerf, trim)| {
            let mut room = 7;
            for (_, qty) in &mut parts {
                *qty = (*qty).min(room);
                room -= *qty;
            }
            parts.retain(|part| part.1 > 0);
            Tiny { stock, parts, kerf, trim }
        })
}

impl Tiny {
    fn boards(&self) -> Boards {
        let mut boards = Boards::new().kerf(self.kerf * 1000).trim(self.trim * 1000);
        for &(length, cost, qty) in &self.stock {
            boards = boards.stock(length * 1000, cost);
            if let Some(qty) = qty {
                boards = boards.limited(qty);
            }
        }
        self.parts.iter().fold(boards, |boards, &(length, qty)| boards.part(length * 1000, qty))
    }

    fn pieces(&self) -> Vec<i64> {
        self.parts.iter().flat_map(|&(length, qty)| std::iter::repeat_n(length, qty as usize)).collect()
    }

    /// What is between the clean ends. So many that cost nothing are owned, and what is owned has no factory ends.
    fn clean(&self, (length, cost, qty): (i64, i64, Option<u32>)) -> i64 {
        if cost == 0 && qty.is_some() { length } else { length - 2 * self.trim }
    }

    /// Whether the pieces of a set can be cut from a clean length: all of them, and a kerf between each two.
    fn fits(&self, pieces: &[i64], set: usize, clean: i64) -> bool {
        let sum: i64 = pieces.iter().enumerate().filter(|(i, _)| set >> i & 1 == 1).map(|p| p.1).sum();
        sum + (i64::from(set.count_ones()) - 1) * self.kerf <= clean
    }

    /// The least cost of every set of pieces, whole stock by whole stock, by trying every subset; `None` where the
    /// stock is not enough.
    fn least(&self) -> Vec<Option<i64>> {
        let pieces = self.pieces();
        let mut least = vec![None; 1 << pieces.len()];
        least[0] = Some(0);
        for &(length, cost, qty) in &self.stock {
            let clean = self.clean((length, cost, qty));
            // One more of this stock at a time; more than one for each piece is never needed.
            for _ in 0..qty.map_or(pieces.len(), |qty| pieces.len().min(qty as usize)) {
                let before = least.clone();
                for set in 1..least.len() {
                    let mut part = set;
                    while part > 0 {
                        if let (true, Some(rest)) = (self.fits(&pieces, part, clean), before[set ^ part]) {
                            let with = rest + cost;
                            least[set] = Some(least[set].map_or(with, |best: i64| best.min(with)));
                        }
                        part = (part - 1) & set;
                    }
                }
            }
        }
        least
    }
}

#[test]
fn enumeration_by_hand() {
    // 6 + 1 + 3 fills 10; 6 and 4 need the dearer stock, of which there is one.
    let tiny = |parts: &[(i64, u32)]| Tiny {
        stock: vec![(10, 2, Some(2)), (11, 3, Some(1))],
        parts: parts.to_vec(),
        kerf: 1,
        trim: 0,
    };
    let least = |parts: &[(i64, u32)]| *tiny(parts).least().last().unwrap();
    assert_eq!(least(&[(6, 1), (3, 1)]), Some(2));
    assert_eq!(least(&[(6, 1), (4, 1)]), Some(3));
    assert_eq!(least(&[(6, 2), (3, 2)]), Some(4));
    assert_eq!(least(&[(6, 3), (4, 1)]), Some(7));
    assert_eq!(least(&[(6, 3), (4, 2)]), None);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn the_cost_is_what_enumeration_finds(tiny in tiny()) {
        let least = tiny.least();
        // A part longer than every stock is refused before anybody solves.
        let longest = tiny.stock.iter().map(|&stock| tiny.clean(stock)).max().unwrap();
        prop_assume!(tiny.parts.iter().all(|part| part.0 <= longest));
        for effort in [Effort::None, Effort::Normal] {
            let solution = tiny.boards().solve(effort);
            match least[least.len() - 1].map(|cost| i128::from(cost) * 100) {
                Some(best) => {
                    prop_assert!(solution.floor <= best, "floor {} above the optimum {best}", solution.floor);
                    prop_assert!(!solution.groups[0].impossible);
                    if solution.status != Status::Partial {
                        prop_assert!(solution.cost >= best, "cost {} below the optimum {best}", solution.cost);
                    }
                    if effort == Effort::Normal || solution.status == Status::Proven {
                        prop_assert_eq!(solution.cost, best);
                        prop_assert!(solution.plan.unplaced.is_empty());
                    }
                }
                None => prop_assert_eq!(solution.status, Status::Partial),
            }
        }
    }

    #[test]
    fn of_the_optional_parts_as_many_are_made_as_cost_nothing(
        tiny in tiny(),
        optional in proptest::array::uniform4(any::<bool>()),
    ) {
        let longest = tiny.stock.iter().map(|&stock| tiny.clean(stock)).max().unwrap();
        prop_assume!(tiny.parts.iter().all(|part| part.0 <= longest));
        let mut boards = tiny.boards();
        for (part, optional) in boards.batch.parts.iter_mut().zip(optional) {
            part.optional = optional;
        }
        let spare: Vec<bool> = (tiny.parts.iter().zip(optional))
            .flat_map(|(part, optional)| std::iter::repeat_n(optional, part.1 as usize))
            .collect();
        let without = |set: usize| (0..spare.len()).filter(move |piece| set >> piece & 1 == 0);
        let plans = tiny.least().into_iter().enumerate().filter(|&(set, _)| without(set).all(|piece| spare[piece]));
        let best = plans.filter_map(|(set, cost)| Some((i128::from(cost?) * 100, without(set).count()))).min();
        let solution = boards.solve(Effort::Normal);
        let left: u32 = solution.plan.unplaced.iter().map(|unplaced| unplaced.1).sum();
        match best {
            Some(best) => prop_assert_eq!((solution.cost, left as usize), best),
            None => prop_assert_eq!(solution.status, Status::Partial),
        }
    }
}
