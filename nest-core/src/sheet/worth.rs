//! How much is a free rectangle worth? More than in proportion to its area: one large one beats two halves.
//!
//! The measure is `area^(6/5)` while parts look for a place, and `area^2` while offcuts are gathered; in whole numbers so
//! that every machine decides alike, at 4097 points between nothing and the largest sheet, with straight lines
//! between them. It never decreases, is 0 for nothing, and being convex never prefers two pieces to the whole.

const POINTS: u64 = 4096;
/// Fraction bits between two points.
const FINE: u32 = 8;

/// The measure for one question.
#[derive(Clone, Debug)]
pub(crate) struct Worth {
    table: Vec<u32>,
    /// Areas are first shifted right by this, then multiplied, then shifted right by 32.
    coarse: u32,
    factor: u64,
}

impl Worth {
    /// The measure for areas up to that of the largest sheet.
    pub fn new(largest: u64) -> Self {
        Self::by(largest, power)
    }

    /// The same with squares of areas.
    pub fn squared(largest: u64) -> Self {
        Self::by(largest, |n| (128 * n * n) as u32)
    }

    fn by(largest: u64, power: fn(u64) -> u32) -> Self {
        let table = (0..=POINTS + 1).map(power).collect();
        let coarse = 64_u32.saturating_sub(largest.leading_zeros()).saturating_sub(31);
        let whole = (largest >> coarse).max(1);
        Self { table, coarse, factor: (POINTS << (FINE + 32)) / whole }
    }

    /// What a rectangle of this area is worth.
    #[inline]
    pub fn of(&self, area: u64) -> i64 {
        let scaled = ((area >> self.coarse) * self.factor) >> 32;
        let at = (scaled >> FINE).min(POINTS) as usize;
        let (low, high) = (self.table[at], self.table[at + 1]);
        let part = (scaled & ((1 << FINE) - 1)) as i64;
        (i64::from(low) << FINE) + i64::from(high - low) * part
    }
}

/// `256 n^(6/5)`, rounded down.
fn power(n: u64) -> u32 {
    let n = u128::from(n);
    let target = n.pow(6) << 40;
    let (mut low, mut high) = (0_u128, 1 << 24);
    while high - low > 1 {
        let middle = (low + high) / 2;
        if middle.pow(5) <= target {
            low = middle;
        } else {
            high = middle;
        }
    }
    low as u32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_worth_nothing_and_more_is_worth_more() {
        for largest in [1, 100, 10_000, 1 << 40, u64::MAX].into_iter().flat_map(|l| [(l, false), (l, true)]) {
            let (largest, squared) = largest;
            let worth = if squared { Worth::squared(largest) } else { Worth::new(largest) };
            assert_eq!(worth.of(0), 0);
            let step = (largest / 500).max(1);
            let all: Vec<i64> = (0..500).map(|n| worth.of((step * n).min(largest))).collect();
            assert!(all.windows(2).all(|pair| pair[0] <= pair[1]), "{largest}");
        }
    }

    #[test]
    fn the_whole_is_worth_more_than_its_parts() {
        let worth = Worth::new(10_000);
        for area in [100, 1000, 10_000] {
            for cut in [1, 2, 5] {
                let part = area / 10 * cut;
                assert!(worth.of(area) > worth.of(part) + worth.of(area - part), "{area} {part}");
            }
        }
    }
}
