//! How long is it, exactly? A length as a whole number of ticks.
//!
//! One tick is 1/80 000 mm. It is the largest unit in which 1/128 in (15 875 ticks), 0.001 in (2 032) and 0.001 mm
//! (80) are all whole, so nothing people write drifts.
//!
//! A length given by a user is never more than [`Length::MAX`]. The operators `+`, `-` and `sum` are for such lengths
//! and for sums of up to some millions of them, which an `i64` holds; whoever multiplies by a quantity from a file
//! takes the `checked_` methods.

use std::iter::Sum;
use std::ops::{Add, AddAssign, Neg, Rem, Sub, SubAssign};

/// A length in ticks of 1/80 000 mm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Length(i64);

impl Length {
    /// Nothing.
    pub const ZERO: Self = Self(0);
    /// Ticks in a millimetre.
    pub const TICKS_PER_MM: i64 = 80_000;
    /// Ticks in an inch: 25.4 mm exactly (agreement of the national standards laboratories, 1959).
    pub const TICKS_PER_INCH: i64 = 2_032_000;
    /// The longest length accepted anywhere: 2^40 ticks, about 13.7 km.
    pub const MAX: Self = Self(1 << 40);

    /// From a count of ticks.
    pub const fn from_ticks(ticks: i64) -> Self {
        Self(ticks)
    }

    /// The count of ticks.
    pub const fn ticks(self) -> i64 {
        self.0
    }

    /// From whole millimetres, for lengths written in the source: it does not check for overflow.
    pub const fn mm(mm: i64) -> Self {
        Self(mm * Self::TICKS_PER_MM)
    }

    /// From a fraction of an inch, `inches(189, 8)` being 23 5/8 in. `None` where it is no whole number of ticks,
    /// where the denominator is not positive, or where an `i64` cannot hold it.
    pub const fn inches(numerator: i64, denominator: i64) -> Option<Self> {
        if denominator <= 0 {
            return None;
        }
        // In 128 bits, because a numerator that overflows alone may be fine once divided.
        let ticks = numerator as i128 * Self::TICKS_PER_INCH as i128;
        let whole = ticks / denominator as i128;
        if ticks % denominator as i128 != 0 || whole > i64::MAX as i128 || whole < i64::MIN as i128 {
            return None;
        }
        Some(Self(whole as i64))
    }

    /// Whether this is more than nothing.
    pub const fn is_positive(self) -> bool {
        self.0 > 0
    }

    /// Whether this is nothing.
    pub const fn is_zero(self) -> bool {
        self.0 == 0
    }

    /// The sum, or `None` where an `i64` cannot hold it.
    pub const fn checked_add(self, other: Self) -> Option<Self> {
        match self.0.checked_add(other.0) {
            Some(ticks) => Some(Self(ticks)),
            None => None,
        }
    }

    /// The difference, or `None` where an `i64` cannot hold it.
    pub const fn checked_sub(self, other: Self) -> Option<Self> {
        match self.0.checked_sub(other.0) {
            Some(ticks) => Some(Self(ticks)),
            None => None,
        }
    }

    /// The sum, or the longest or shortest length there is where an `i64` cannot hold it.
    #[must_use]
    pub const fn saturating_add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }

    /// The difference, or the longest or shortest length there is where an `i64` cannot hold it.
    #[must_use]
    pub const fn saturating_sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }

    /// This length `count` times, or `None` where an `i64` cannot hold it.
    pub const fn checked_mul(self, count: u64) -> Option<Self> {
        if count > i64::MAX as u64 {
            return if self.0 == 0 { Some(Self::ZERO) } else { None };
        }
        match self.0.checked_mul(count as i64) {
            Some(ticks) => Some(Self(ticks)),
            None => None,
        }
    }

    /// The sum of many lengths, or `None` where an `i64` cannot hold it.
    pub fn checked_sum(lengths: impl IntoIterator<Item = Self>) -> Option<Self> {
        lengths.into_iter().try_fold(Self::ZERO, Self::checked_add)
    }

    /// The longest length that both are whole multiples of; the sign does not count, and zero is a multiple of all.
    ///
    /// Problems of cutting are scaled by this: with parts in sixteenths, tables are indexed by sixteenths.
    pub fn gcd(self, other: Self) -> Self {
        // Below 2^63 unless both are zero or i64::MIN, which no sum of accepted lengths is.
        Self(gcd(self.0.unsigned_abs(), other.0.unsigned_abs()) as i64)
    }

    /// Exactly, in millimetres, as a decimal with a point and up to 7 places: `600.075`.
    ///
    /// Seven places always do, since a tick is 0.0000125 mm.
    ///
    /// ```
    /// use nest_core::units::Length;
    /// assert_eq!(Length::inches(189, 8).map(Length::mm_decimal).as_deref(), Some("600.075"));
    /// assert_eq!(Length::from_ticks(-1).mm_decimal(), "-0.0000125");
    /// ```
    pub fn mm_decimal(self) -> String {
        let sign = if self.0 < 0 { "-" } else { "" };
        let ticks = self.0.unsigned_abs();
        let (whole, rest) = (ticks / Self::TICKS_PER_MM as u64, ticks % Self::TICKS_PER_MM as u64);
        // 1 / 80 000 = 125 / 10 000 000
        let places = format!("{:07}", rest * 125);
        match places.trim_end_matches('0') {
            "" => format!("{sign}{whole}"),
            places => format!("{sign}{whole}.{places}"),
        }
    }
}

/// The greatest common divisor of two whole numbers that are not negative; `gcd(0, n)` is `n`. At most some ninety divisions of
/// an `u64`, twice as many of an `u128`.
pub fn gcd<T: Copy + Default + PartialEq + Rem<Output = T>>(mut a: T, mut b: T) -> T {
    while b != T::default() {
        (a, b) = (b, a % b);
    }
    a
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl SubAssign for Length {
    fn sub_assign(&mut self, other: Self) {
        self.0 -= other.0;
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Self>>(lengths: I) -> Self {
        lengths.fold(Self::ZERO, Add::add)
    }
}

impl<'a> Sum<&'a Length> for Length {
    fn sum<I: Iterator<Item = &'a Self>>(lengths: I) -> Self {
        lengths.copied().sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// National Bureau of Standards, announcement of the international yard, 1 July 1959: 1 yd = 0.9144 m.
    #[test]
    fn an_inch_is_25_4_millimetres() {
        assert_eq!(36 * Length::TICKS_PER_INCH * 10_000, 9144 * 1000 * Length::TICKS_PER_MM);
        assert_eq!(Length::inches(5, 127), Some(Length::mm(1)));
        assert_eq!(Length::inches(1, 64).map(Length::mm_decimal).as_deref(), Some("0.396875"));
        assert_eq!(Length::inches(1, 1).map(Length::mm_decimal).as_deref(), Some("25.4"));
    }

    #[test]
    fn the_notations_people_use_are_whole_ticks() {
        assert_eq!(Length::inches(1, 128), Some(Length(15_875)));
        assert_eq!(Length::inches(1, 1000), Some(Length(2_032)));
        assert_eq!(Length::inches(1, 3), None);
        assert_eq!(Length::inches(1, 0), None);
        assert_eq!(Length::inches(i64::MAX, 1), None);
        assert_eq!(Length::inches(i64::MAX, i64::MAX), Some(Length(2_032_000)));
    }

    #[test]
    fn thirty_two_pieces_of_a_sixty_fourth_make_half_an_inch() {
        let piece = Length::inches(1, 64).unwrap();
        assert_eq!(piece.checked_mul(32), Length::inches(1, 2));
        assert_eq!(std::iter::repeat_n(piece, 32).sum::<Length>(), Length::inches(1, 2).unwrap());
    }

    #[test]
    fn checked_operations_refuse_what_does_not_fit() {
        let most = Length::from_ticks(i64::MAX);
        assert_eq!(most.checked_add(Length(1)), None);
        assert_eq!(Length(i64::MIN).checked_sub(Length(1)), None);
        assert_eq!(most.saturating_add(Length(1)), most);
        assert_eq!(Length(i64::MIN).saturating_sub(Length(1)), Length(i64::MIN));
        assert_eq!(Length(2).checked_mul(u64::MAX), None);
        assert_eq!(Length(0).checked_mul(u64::MAX), Some(Length::ZERO));
        assert_eq!(Length::MAX.checked_mul(1 << 23), None);
        assert_eq!(Length::checked_sum([most, Length(1)]), None);
        assert_eq!(Length::checked_sum([Length(2), Length(-5)]), Some(Length(-3)));
    }

    #[test]
    fn the_common_measure_of_sixteenths_is_a_sixteenth() {
        let sixteenths = [(189, 8), (37, 16), (12, 1)];
        let common =
            sixteenths.iter().filter_map(|&(n, d)| Length::inches(n, d)).fold(Length::ZERO, Length::gcd);
        assert_eq!(Some(common), Length::inches(1, 16));
        assert_eq!(Length(-12).gcd(Length(18)), Length(6));
        assert_eq!(Length::ZERO.gcd(Length::ZERO), Length::ZERO);
    }
}
