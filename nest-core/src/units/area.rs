//! How much surface is it, exactly? An area as a whole number of square ticks, and how it is printed.
//!
//! The largest rectangle that can be asked for has 2^80 square ticks, so an `i128` holds 2^47 of them: no sum of
//! areas in this program comes near. Printing divides integers once and rounds half up.

use std::iter::Sum;
use std::ops::{Add, AddAssign, Sub, SubAssign};

use super::{Length, Unit};

/// An area in square ticks, or a sum of areas.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Area(i128);

impl Area {
    /// Nothing.
    pub const ZERO: Self = Self(0);

    /// The area of a rectangle.
    pub const fn of(length: Length, width: Length) -> Self {
        Self(length.ticks() as i128 * width.ticks() as i128)
    }

    /// From a count of square ticks.
    pub const fn from_square_ticks(square_ticks: i128) -> Self {
        Self(square_ticks)
    }

    /// The count of square ticks.
    pub const fn square_ticks(self) -> i128 {
        self.0
    }

    /// The sum, or `None` where an `i128` cannot hold it.
    pub const fn checked_add(self, other: Self) -> Option<Self> {
        match self.0.checked_add(other.0) {
            Some(area) => Some(Self(area)),
            None => None,
        }
    }

    /// This area `count` times, or `None` where an `i128` cannot hold it.
    pub const fn checked_mul(self, count: u64) -> Option<Self> {
        match self.0.checked_mul(count as i128) {
            Some(area) => Some(Self(area)),
            None => None,
        }
    }
}

impl Add for Area {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Area {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl AddAssign for Area {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl SubAssign for Area {
    fn sub_assign(&mut self, other: Self) {
        self.0 -= other.0;
    }
}

impl Sum for Area {
    fn sum<I: Iterator<Item = Self>>(areas: I) -> Self {
        areas.fold(Self::ZERO, Add::add)
    }
}

impl<'a> Sum<&'a Area> for Area {
    fn sum<I: Iterator<Item = &'a Self>>(areas: I) -> Self {
        areas.copied().sum()
    }
}

/// What an area is counted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum AreaUnit {
    /// Square inches.
    SquareInch,
    /// Square feet.
    SquareFoot,
    /// Square metres.
    SquareMetre,
}

impl AreaUnit {
    /// The area of one such unit.
    pub const fn area(self) -> Area {
        let side = match self {
            Self::SquareInch => Unit::Inch,
            Self::SquareFoot => Unit::Foot,
            Self::SquareMetre => Unit::Metre,
        };
        Area::of(side.length(), side.length())
    }

    /// How the unit is written after a number.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::SquareInch => "sq in",
            Self::SquareFoot => "sq ft",
            Self::SquareMetre => "m2",
        }
    }

    /// Prints an area with a fixed number of decimals (at most 9), rounded half away from zero.
    ///
    /// ```
    /// use nest_core::units::{Area, AreaUnit, Length};
    /// let sheet = Area::of(Length::mm(2440), Length::mm(1220));
    /// assert_eq!(AreaUnit::SquareMetre.format(sheet, 2), "2.98 m2");
    /// assert_eq!(AreaUnit::SquareFoot.format(sheet, 1), "32.0 sq ft");
    /// ```
    pub fn format(self, area: Area, places: u8) -> String {
        let places = usize::from(places.min(9));
        let scale = 10_u128.pow(places as u32);
        let unit = self.area().0.unsigned_abs();
        let whole = area.0.unsigned_abs() / unit;
        // The rest is below 2^53 and the scale below 2^30, so nothing overflows.
        let rest = (area.0.unsigned_abs() % unit * scale * 2 + unit) / (unit * 2);
        let (whole, rest) = (whole + rest / scale, rest % scale);
        let sign = if area.0 < 0 && whole + rest > 0 { "-" } else { "" };
        let symbol = self.symbol();
        if places == 0 {
            format!("{sign}{whole} {symbol}")
        } else {
            format!("{sign}{whole}.{rest:0places$} {symbol}")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inches(length: i64, width: i64) -> Area {
        Area::of(Length::inches(length, 1).unwrap(), Length::inches(width, 1).unwrap())
    }

    #[test]
    fn a_sheet_of_four_by_eight_feet_has_32_square_feet() {
        assert_eq!(AreaUnit::SquareFoot.format(inches(96, 48), 0), "32 sq ft");
        assert_eq!(AreaUnit::SquareInch.format(inches(96, 48), 1), "4608.0 sq in");
        assert_eq!(AreaUnit::SquareMetre.format(inches(96, 48), 6), "2.972897 m2");
    }

    #[test]
    fn halves_round_away_from_zero_and_carry() {
        let foot = AreaUnit::SquareFoot.area().square_ticks();
        let print = |square_ticks| AreaUnit::SquareFoot.format(Area::from_square_ticks(square_ticks), 1);
        assert_eq!(print(foot / 20), "0.1 sq ft");
        assert_eq!(print(foot / 20 - 1), "0.0 sq ft");
        assert_eq!(print(-(foot / 20)), "-0.1 sq ft");
        assert_eq!(print(1 - foot / 20), "0.0 sq ft");
        assert_eq!(print(foot - 1), "1.0 sq ft");
        assert_eq!(print(i128::MIN).chars().next(), Some('-'));
    }

    #[test]
    fn sums_are_exact_and_checked() {
        let sheet = inches(96, 48);
        assert_eq!([sheet; 3].iter().sum::<Area>(), sheet.checked_mul(3).unwrap());
        assert!(inches(97, 49) > sheet);
        assert_eq!(Area::from_square_ticks(i128::MAX).checked_add(sheet), None);
        assert_eq!(Area::from_square_ticks(i128::MAX).checked_mul(2), None);
        let largest = Area::of(Length::MAX, Length::MAX);
        assert!(largest.checked_mul(1 << 46).is_some());
    }
}
