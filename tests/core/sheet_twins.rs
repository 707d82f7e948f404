//! Solving sheets beside plain recursion over all edge-to-edge cuts, on tiny questions.

use super::build::solve;
use super::build_sheets::Sheets;
use nest_core::model::{FirstCut, Stages};
use nest_core::search::{Effort, Options};
use nest_core::solution::Status;
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::time::Duration;

/// Sizes in millimetres. Sheets: length, width, cost, supply. Pieces: length, width, whether they may turn.
#[derive(Clone, Debug)]
struct Tiny {
    sheets: Vec<(i64, i64, i64, Option<u32>)>,
    pieces: Vec<(i64, i64, bool)>,
    kerf: i64,
    /// `None` for any number.
    stages: Option<u8>,
    trimming: bool,
    first: FirstCut,
}

/// Which sets of pieces can be cut from a rectangle of a size, kerf folded in.
struct Cutter<'a> {
    tiny: &'a Tiny,
    known: BTreeMap<(usize, [i64; 2], usize, u8), bool>,
}

/// No cut yet.
const NONE: usize = 2;
/// And an axis: the first cut ran the wrong way, so that more of the same may follow alone.
const ONLY: usize = 3;

impl Cutter<'_> {
    /// Whether a set can be cut from a rectangle that cuts along axis `last` have freed, with so many more changes of
    /// direction.
    fn fits(&mut self, set: usize, size: [i64; 2], last: usize, left: u8) -> bool {
        if set == 0 {
            return true;
        }
        let key = (set, size, last, left);
        if let Some(&known) = self.known.get(&key) {
            return known;
        }
        let found = if set.count_ones() == 1 {
            self.one(set.trailing_zeros() as usize, size, last, left)
        } else {
            (0..2).any(|axis| self.divided(set, size, last, left, axis))
        };
        self.known.insert(key, found);
        found
    }

    /// What comes after a cut along an axis, if it is allowed.
    fn after(&self, last: usize, left: u8, axis: usize) -> Option<(usize, u8)> {
        if last >= ONLY {
            return (last == ONLY + axis).then_some((last, left));
        }
        let allowed = match self.tiny.first {
            FirstCut::Rip => axis == 1,
            FirstCut::Crosscut => axis == 0,
            FirstCut::Either => true,
        };
        let next = if last == NONE && !allowed { ONLY + axis } else { axis };
        let left = if last == axis { left } else { left.checked_sub(1)? };
        Some((next, left))
    }

    /// One piece: at most a cut along each axis, in either order; beyond the stages, one may trim.
    fn one(&self, piece: usize, size: [i64; 2], last: usize, left: u8) -> bool {
        let (length, width, turns) = self.tiny.pieces[piece];
        let k = self.tiny.kerf;
        let lays = [[length + k, width + k], [width + k, length + k]];
        lays.iter().take(if turns { 2 } else { 1 }).any(|lay| {
            if lay[0] > size[0] || lay[1] > size[1] {
                return false;
            }
            let cuts: Vec<usize> = (0..2).filter(|&axis| lay[axis] < size[axis]).collect();
            let orders = [cuts.clone(), cuts.iter().rev().copied().collect()];
            orders.iter().any(|order| {
                let (mut last, mut left, mut trims) = (last, left, 0);
                for &axis in order {
                    match self.after(last, left, axis) {
                        Some(after) => (last, left) = after,
                        // The stages are used up.
                        None if last < ONLY && self.tiny.trimming => (last, trims) = (axis, trims + 1),
                        None => return false,
                    }
                }
                trims <= 1
            })
        })
    }

    fn divided(&mut self, set: usize, size: [i64; 2], last: usize, left: u8, axis: usize) -> bool {
        let Some((next, left)) = self.after(last, left, axis) else { return false };
        let lowest = set & set.wrapping_neg();
        let rest = set ^ lowest;
        let mut others = rest;
        // All ways to divide the set in two; the part with the lowest piece comes first, which mirrors the rest.
        loop {
            let (first, second) = (lowest | (rest ^ others), others);
            for at in 1..size[axis] {
                // Cutting off nothing but waste helps only where the first cut must run this way.
                if second == 0 && last != NONE {
                    break;
                }
                let (mut near, mut far) = (size, size);
                (near[axis], far[axis]) = (at, size[axis] - at);
                if self.fits(first, near, next, left) && self.fits(second, far, next, left) {
                    return true;
                }
            }
            if others == 0 {
                return false;
            }
            others = (others - 1) & rest;
        }
    }
}

impl Tiny {
    fn question(&self) -> Sheets {
        let mut sheets = Sheets::new().kerf(self.kerf).first(self.first);
        sheets.batch.shop.sheets.stages = self.stages.map_or(Stages::Any, Stages::Limited);
        sheets.batch.shop.sheets.trimming = self.trimming;
        for &(length, width, cost, qty) in &self.sheets {
            sheets = sheets.sheet([length, width], cost);
            sheets.batch.stock.last_mut().unwrap().qty = qty;
        }
        // Pieces that are all the same are one part.
        let mut parts: BTreeMap<(i64, i64, bool), u32> = BTreeMap::new();
        for &piece in &self.pieces {
            *parts.entry(piece).or_default() += 1;
        }
        for ((length, width, turns), qty) in parts {
            sheets = sheets.part([length, width], qty);
            if turns {
                sheets.batch.parts.last_mut().unwrap().grain = Some(nest_core::model::PartGrain::Any);
            }
        }
        sheets
    }

    /// The least cost of all pieces; `None` where the sheets are not enough.
    fn least(&self) -> Option<i64> {
        let all = (1_usize << self.pieces.len()) - 1;
        let mut least: Vec<Option<i64>> = vec![None; all + 1];
        least[0] = Some(0);
        let mut cutter = Cutter { tiny: self, known: BTreeMap::new() };
        let stages = self.stages.unwrap_or(u8::MAX);
        for &(length, width, cost, qty) in &self.sheets {
            let size = [length + self.kerf, width + self.kerf];
            let fits: Vec<bool> = (0..=all).map(|set| cutter.fits(set, size, NONE, stages)).collect();
            for _ in 0..qty.map_or(self.pieces.len(), |qty| self.pieces.len().min(qty as usize)) {
                let before = least.clone();
                for set in 1..=all {
                    let mut part = set;
                    while part > 0 {
                        if let (true, Some(rest)) = (fits[part], before[set ^ part]) {
                            let with = rest + cost;
                            least[set] = Some(least[set].map_or(with, |best| best.min(with)));
                        }
                        part = (part - 1) & set;
                    }
                }
            }
        }
        least[all]
    }
}

fn tiny() -> impl Strategy<Value = Tiny> {
    let first =
        prop::sample::select(vec![FirstCut::Either, FirstCut::Either, FirstCut::Rip, FirstCut::Crosscut]);
    let stages = prop::sample::select(vec![None, Some(2), Some(2), Some(3)]);
    (
        prop::collection::vec((6_i64..10, 5_i64..9, 1_i64..9, prop::option::weighted(0.3, 0_u32..3)), 1..3),
        prop::collection::vec(((1_i64..7, 1_i64..6, any::<bool>()), 1_usize..4), 2..7),
        0_i64..2,
        stages,
        any::<bool>(),
        first,
    )
        .prop_map(|(sheets, pieces, kerf, stages, trimming, first)| Tiny {
            sheets,
            pieces: pieces.into_iter().flat_map(|(piece, qty)| vec![piece; qty]).take(6).collect(),
            kerf,
            stages,
            trimming,
            first,
        })
}

#[test]
fn recursion_by_hand() {
    let tiny = |stages, trimming, pieces: &[(i64, i64, bool)]| Tiny {
        sheets: vec![(3, 3, 1, None)],
        pieces: pieces.to_vec(),
        kerf: 0,
        stages,
        trimming,
        first: FirstCut::Either,
    };
    let pinwheel = [(2, 1, false), (2, 1, false), (1, 2, false), (1, 2, false), (1, 1, false)];
    assert_eq!(tiny(None, false, &pinwheel).least(), Some(2));
    assert_eq!(tiny(None, false, &pinwheel[..4]).least(), Some(2));
    assert_eq!(tiny(None, false, &pinwheel[1..]).least(), Some(1));
    // A strip of 2 x 2 and 1 x 1: the small one needs a third cut, which trims.
    let trimmed = [(3, 1, false), (2, 2, false), (1, 1, false)];
    assert_eq!([false, true].map(|trimming| tiny(Some(2), trimming, &trimmed).least()), [Some(2), Some(1)]);
    // Two below each other in the strip are no trimming.
    let two = [(3, 1, false), (2, 2, false), (1, 1, false), (1, 1, false)];
    assert_eq!(tiny(Some(2), true, &two).least(), Some(2));
    assert_eq!(tiny(Some(3), false, &two).least(), Some(1));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn the_cost_is_what_recursion_finds(tiny in tiny()) {
        let Ok(batch) = tiny.question().batch.check() else { return Ok(()) };
        let least = tiny.least();
        let time_limit = Some(Duration::from_millis(150));
        for (effort, time_limit) in [(Effort::None, None), (Effort::Quick, time_limit)] {
            let mut solution = solve(&batch, Options { effort, time_limit, ..Options::default() });
            // A busy machine may not get far in so little time: then the search may take as long as it wants.
            if least.is_some_and(|least| solution.cost != i128::from(least) * 100) && time_limit.is_some() {
                solution = solve(&batch, Options { effort, ..Options::default() });
            }
            let Some(best) = least.map(|cost| i128::from(cost) * 100) else {
                prop_assert_eq!(solution.status, Status::Partial);
                continue;
            };
            prop_assert!(solution.floor <= best, "floor {} above the optimum {best}", solution.floor);
            prop_assert!(!solution.groups[0].impossible);
            if solution.status != Status::Partial {
                prop_assert!(solution.cost >= best, "cost {} below the optimum {best}", solution.cost);
            }
            if effort == Effort::Quick || solution.status == Status::Proven {
                prop_assert_eq!(solution.cost, best);
                prop_assert!(solution.plan.unplaced.is_empty());
            }
        }
    }
}
