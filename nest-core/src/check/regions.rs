//! Do the leaves of a certificate leave any use of the stock out?
//!
//! A leaf speaks for the boxes `least_s <= x_s <= most_s`. Starting from the whole box (nothing up to the supply of
//! every stock), what a leaf covers is cut away and what is left, at most two boxes a stock, is handed to the
//! leaves after it. Something left after the last leaf is a gap. Exact; the number of boxes is capped, and so is
//! what they take together.

/// Limits in all boxes made before the answer is "too large".
const MOST_LIMITS: usize = 10_000_000;

/// Least and most of each stock, both included; `u64::MAX` for no limit, as no plan can hold more pieces.
pub(super) type Region = Vec<(u64, u64)>;

/// What is left of `whole`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Gap {
    /// Nothing.
    None,
    /// These numbers of stock among others.
    At(Vec<u64>),
    /// Not decided within the limits.
    TooLarge,
}

/// What of `whole` no leaf covers. All regions have the same number of entries.
pub(super) fn gap(whole: &Region, leaves: &[Region]) -> Gap {
    let mut todo = vec![(whole.clone(), 0)];
    let mut left = MOST_LIMITS / whole.len().max(1);
    while let Some((mut region, start)) = todo.pop() {
        let Some(next) = (start..leaves.len()).find(|&leaf| overlap(&region, &leaves[leaf])) else {
            return Gap::At(region.iter().map(|&(least, _)| least).collect());
        };
        for (axis, &(least, most)) in leaves[next].iter().enumerate() {
            let (low, high) = region[axis];
            if left < 2 {
                return Gap::TooLarge;
            }
            left -= usize::from(low < least) + usize::from(most < high);
            if low < least {
                let mut below = region.clone();
                below[axis] = (low, least - 1);
                todo.push((below, next + 1));
            }
            if most < high {
                let mut above = region.clone();
                above[axis] = (most + 1, high);
                todo.push((above, next + 1));
            }
            region[axis] = (low.max(least), high.min(most));
        }
    }
    Gap::None
}

fn overlap(a: &Region, b: &Region) -> bool {
    a.iter().zip(b).all(|(a, b)| a.0.max(b.0) <= a.1.min(b.1))
}
