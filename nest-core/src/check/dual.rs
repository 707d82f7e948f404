//! Dual-feasible functions, evaluated in whole numbers.
//!
//! The definitions stand at [`Dual`](crate::plan::Dual). Why each keeps what fits fitting, in short: of sizes that add up
//! to at most `C`, at most one is above `C / 2`, and for `Cut`, `Steps` and `Count` that one takes exactly as much
//! as the others give up beside it; `Shares` rounds so that rounding up needs a multiple of `C / (n + 1)`, of which
//! `n + 1` would have to come together. The tests try all sets of small sizes.

use crate::plan::Dual;

/// A function for one capacity.
#[derive(Clone, Debug)]
pub(super) struct Function {
    dual: Dual,
    capacity: i128,
    /// For `Count`: how long the smallest one, two, three ... of the counted sizes are together.
    sums: Vec<(i128, i128)>,
}

impl Function {
    /// The function for a capacity; `sizes` with their quantities are those that `Count` counts. `None` where the
    /// parameter is out of range.
    pub fn new(dual: Dual, capacity: i128, mut sizes: Vec<(i128, u32)>) -> Option<Self> {
        let half = |t: i128| t > 0 && t.checked_mul(2).is_some_and(|twice| twice <= capacity);
        let fine = match dual {
            Dual::Plain => capacity > 0,
            Dual::Shares(n) => capacity > 0 && n > 0,
            Dual::Cut(t) | Dual::Steps(t) | Dual::Count(t) => half(t.ticks().into()),
        };
        if !fine {
            return None;
        }
        if let Dual::Count(t) = dual {
            sizes.retain(|&(size, _)| size >= t.ticks().into() && size * 2 <= capacity);
            sizes.sort_unstable();
        } else {
            sizes.clear();
        }
        let sums = sizes.into_iter().map(|(size, count)| (size, count.into())).collect();
        Some(Self { dual, capacity, sums })
    }

    /// The image of a size between 0 and the capacity; `None` where it leaves the range of an `i128`.
    pub fn of(&self, x: i128) -> Option<i128> {
        let c = self.capacity;
        let above = |twice: i128| twice.cmp(&c);
        match self.dual {
            Dual::Plain => Some(x),
            Dual::Cut(t) => {
                let t = i128::from(t.ticks());
                Some(if x > c - t {
                    c
                } else if x >= t {
                    x
                } else {
                    0
                })
            }
            Dual::Steps(t) => {
                let t = i128::from(t.ticks());
                Some(match above(x.checked_mul(2)?) {
                    std::cmp::Ordering::Less => 2 * (x / t),
                    std::cmp::Ordering::Equal => c / t,
                    std::cmp::Ordering::Greater => 2 * (c / t - (c - x) / t),
                })
            }
            Dual::Shares(n) => {
                let n = i128::from(n);
                let many = x.checked_mul(n + 1)?;
                if many % c == 0 { x.checked_mul(n) } else { (many / c).checked_mul(c) }
            }
            Dual::Count(t) => {
                if x < t.ticks().into() {
                    return Some(0);
                }
                if above(x.checked_mul(2)?).is_le() {
                    return Some(1);
                }
                Some(self.fit(c) - self.fit(c - x))
            }
        }
    }

    /// How many of the counted sizes fit into a length, the smallest first.
    fn fit(&self, mut length: i128) -> i128 {
        let mut count = 0;
        for &(size, most) in &self.sums {
            let here = (length / size).min(most);
            count += here;
            length -= here * size;
            if here < most {
                break;
            }
        }
        count
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    /// All multisets of sizes that add up to at most the capacity, sizes not decreasing.
    fn packings(capacity: i128, least: i128, sizes: &mut Vec<i128>, see: &mut dyn FnMut(&[i128])) {
        see(sizes);
        for size in least..=capacity {
            sizes.push(size);
            packings(capacity - size, size, sizes, see);
            sizes.pop();
        }
    }

    #[test]
    fn what_fits_still_fits_after_any_function() {
        for capacity in 1_i128..=15 {
            let mut duals = vec![Dual::Plain];
            duals.extend((1..=12).map(Dual::Shares));
            for t in 1..=capacity as i64 / 2 {
                let t = Length::from_ticks(t);
                duals.extend([Dual::Cut(t), Dual::Steps(t)]);
            }
            for dual in duals {
                let function = Function::new(dual, capacity, Vec::new()).unwrap();
                let whole = function.of(capacity).unwrap();
                packings(capacity, 1, &mut Vec::new(), &mut |sizes| {
                    let sum: i128 = sizes.iter().map(|&size| function.of(size).unwrap()).sum();
                    assert!(sum <= whole, "{dual:?} of {sizes:?} in {capacity}");
                });
            }
        }
    }

    #[test]
    fn what_fits_still_fits_after_counting() {
        for capacity in 2_i128..=13 {
            packings(2 * capacity, 1, &mut Vec::new(), &mut |all| {
                if all.len() > 6 || all.iter().any(|&size| size > capacity) {
                    return;
                }
                for t in 1..=capacity as i64 / 2 {
                    let sizes = all.iter().map(|&size| (size, 1)).collect();
                    let dual = Dual::Count(Length::from_ticks(t));
                    let function = Function::new(dual, capacity, sizes).unwrap();
                    let whole = function.of(capacity).unwrap();
                    for set in 0..1_u32 << all.len() {
                        let chosen = || (0..all.len()).filter(move |i| set >> i & 1 == 1).map(|i| all[i]);
                        if chosen().sum::<i128>() <= capacity {
                            let sum: i128 = chosen().map(|size| function.of(size).unwrap()).sum();
                            assert!(sum <= whole, "{t} of {all:?} in {capacity}");
                        }
                    }
                }
            });
        }
    }

    #[test]
    fn a_parameter_out_of_range_is_no_function() {
        let new = |dual| Function::new(dual, 10, Vec::new()).is_some();
        let t = Length::from_ticks;
        assert!(
            new(Dual::Cut(t(5))) && new(Dual::Steps(t(5))) && new(Dual::Count(t(5))) && new(Dual::Shares(1))
        );
        for dual in [Dual::Cut(t(6)), Dual::Steps(t(6)), Dual::Count(t(6)), Dual::Shares(0)] {
            assert!(!new(dual), "{dual:?}");
        }
        for dual in [Dual::Cut(t(0)), Dual::Steps(t(-1)), Dual::Count(t(0))] {
            assert!(!new(dual), "{dual:?}");
        }
    }
}
