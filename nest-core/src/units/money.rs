//! Money as a whole number of minor units (hundredths).

/// An amount of money in hundredths of whatever the batch's currency is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Money(i64);

impl Money {
    /// Nothing.
    pub const ZERO: Self = Self(0);

    /// From hundredths.
    pub const fn from_minor(minor: i64) -> Self {
        Self(minor)
    }

    /// The number of hundredths.
    pub const fn minor(self) -> i64 {
        self.0
    }
}
