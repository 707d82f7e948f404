//! What does it cost, exactly? Money as a whole number of minor units (hundredths).
//!
//! A price from a file is never more than [`Money::MAX_PRICE`], 10^10 minor units; an `i64` holds more than 900
//! million such prices, so ordinary sums cannot overflow. Multiplying by a quantity is checked.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Sub, SubAssign};

/// An amount of money in hundredths of whatever the batch's currency is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Money(i64);

impl Money {
    /// Nothing.
    pub const ZERO: Self = Self(0);
    /// The highest price accepted anywhere: a hundred million.
    pub const MAX_PRICE: Self = Self(10_000_000_000);

    /// From hundredths.
    pub const fn from_minor(minor: i64) -> Self {
        Self(minor)
    }

    /// The number of hundredths.
    pub const fn minor(self) -> i64 {
        self.0
    }

    /// Whether this is nothing.
    pub const fn is_zero(self) -> bool {
        self.0 == 0
    }

    /// The sum, or `None` where an `i64` cannot hold it.
    pub const fn checked_add(self, other: Self) -> Option<Self> {
        match self.0.checked_add(other.0) {
            Some(minor) => Some(Self(minor)),
            None => None,
        }
    }

    /// The difference, or `None` where an `i64` cannot hold it.
    pub const fn checked_sub(self, other: Self) -> Option<Self> {
        match self.0.checked_sub(other.0) {
            Some(minor) => Some(Self(minor)),
            None => None,
        }
    }

    /// This amount `count` times, or `None` where an `i64` cannot hold it.
    pub const fn checked_mul(self, count: u64) -> Option<Self> {
        if count > i64::MAX as u64 {
            return if self.0 == 0 { Some(Self::ZERO) } else { None };
        }
        match self.0.checked_mul(count as i64) {
            Some(minor) => Some(Self(minor)),
            None => None,
        }
    }

    /// The sum of many amounts, or `None` where an `i64` cannot hold it.
    pub fn checked_sum(amounts: impl IntoIterator<Item = Self>) -> Option<Self> {
        amounts.into_iter().try_fold(Self::ZERO, Self::checked_add)
    }
}

impl fmt::Display for Money {
    /// With two decimals and without the currency: `86.90`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 < 0 { "-" } else { "" };
        let minor = self.0.unsigned_abs();
        f.pad(&format!("{sign}{}.{:02}", minor / 100, minor % 100))
    }
}

impl Add for Money {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Money {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl AddAssign for Money {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl SubAssign for Money {
    fn sub_assign(&mut self, other: Self) {
        self.0 -= other.0;
    }
}

impl Sum for Money {
    fn sum<I: Iterator<Item = Self>>(amounts: I) -> Self {
        amounts.fold(Self::ZERO, Add::add)
    }
}

impl<'a> Sum<&'a Money> for Money {
    fn sum<I: Iterator<Item = &'a Self>>(amounts: I) -> Self {
        amounts.copied().sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn money_prints_with_two_decimals() {
        for (minor, text) in [(8690, "86.90"), (0, "0.00"), (5, "0.05"), (-5, "-0.05"), (-12_345, "-123.45")]
        {
            assert_eq!(Money(minor).to_string(), text);
        }
        assert_eq!(format!("{:>8}", Money(8690)), "   86.90");
        assert_eq!(Money(i64::MIN).to_string(), "-92233720368547758.08");
    }

    #[test]
    fn sums_are_checked() {
        assert_eq!(Money(8690).checked_mul(11), Some(Money(95_590)));
        assert_eq!(Money::MAX_PRICE.checked_mul(1_000_000_000), None);
        assert!(Money::MAX_PRICE.checked_mul(900_000_000).is_some());
        assert_eq!(Money(i64::MAX).checked_add(Money(1)), None);
        assert_eq!(Money(i64::MIN).checked_sub(Money(1)), None);
        assert_eq!(Money::checked_sum([Money(i64::MAX), Money(1)]), None);
        assert_eq!([Money(1), Money(2)].iter().sum::<Money>(), Money(3));
    }
}
