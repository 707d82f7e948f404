//! A length as a whole number of ticks, an area as a whole number of square ticks.
//!
//! One tick is 1/80 000 mm. It is the largest unit in which 1/128 in (15 875 ticks), 0.001 in (2 032) and
//! 0.001 mm (80) are all whole, so nothing people write drifts.

use std::ops::{Add, AddAssign, Neg, Sub, SubAssign};

/// A length in ticks of 1/80 000 mm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Length(i64);

impl Length {
    /// Nothing.
    pub const ZERO: Self = Self(0);
    /// Ticks in a millimetre.
    pub const TICKS_PER_MM: i64 = 80_000;
    /// Ticks in an inch.
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

    /// From whole millimetres.
    pub const fn mm(mm: i64) -> Self {
        Self(mm * Self::TICKS_PER_MM)
    }

    /// From a fraction of an inch, `inches(189, 8)` being 23 5/8 in. `None` where it is no whole number of ticks.
    pub const fn inches(numerator: i64, denominator: i64) -> Option<Self> {
        let ticks = numerator * Self::TICKS_PER_INCH;
        if denominator > 0 && ticks % denominator == 0 { Some(Self(ticks / denominator)) } else { None }
    }

    /// Whether this is more than nothing.
    pub const fn is_positive(self) -> bool {
        self.0 > 0
    }
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

/// An area in square ticks, or a sum of areas.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Area(i128);

impl Area {
    /// The area of a rectangle.
    pub const fn of(length: Length, width: Length) -> Self {
        Self(length.0 as i128 * width.0 as i128)
    }

    /// From a count of square ticks.
    pub const fn from_square_ticks(square_ticks: i128) -> Self {
        Self(square_ticks)
    }

    /// The count of square ticks.
    pub const fn square_ticks(self) -> i128 {
        self.0
    }
}
