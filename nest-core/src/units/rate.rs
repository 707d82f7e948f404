//! What does this much of it cost? A price per length, area or board foot, rounded once.
//!
//! A rate has up to 6 decimals and stays exact; the product with an exact length or area is divided once and rounded
//! half up to a hundredth. Whoever buys several pieces rounds a piece and multiplies: that is how they are sold.

use super::{Area, AreaUnit, BoardFeet, Length, Money, Unit};

/// A price per unit, in millionths of the currency.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Rate(i64);

/// Millionths in a hundredth.
const PER_MINOR: i128 = 10_000;

impl Rate {
    /// The highest rate accepted anywhere, as [`Money::MAX_PRICE`].
    pub const MAX: Self = Self(Money::MAX_PRICE.minor() * PER_MINOR as i64);

    /// From millionths.
    pub const fn from_millionths(millionths: i64) -> Self {
        Self(millionths)
    }

    /// The number of millionths.
    pub const fn millionths(self) -> i64 {
        self.0
    }

    /// The price of a length; `None` where it is less than nothing or above [`Money::MAX_PRICE`].
    ///
    /// ```
    /// use nest_core::units::{Rate, Unit, parse_rate};
    /// let rate = parse_rate("0.8725")?;
    /// let eight_feet = Unit::Foot.length().checked_mul(8).unwrap();
    /// assert_eq!(rate.for_length(eight_feet, Unit::Foot).unwrap().to_string(), "6.98");
    /// # Ok::<(), nest_core::units::MoneyError>(())
    /// ```
    pub fn for_length(self, length: Length, per: Unit) -> Option<Money> {
        self.times(i128::from(length.ticks()), i128::from(per.ticks()))
    }

    /// The price of an area; `None` where it is less than nothing or above [`Money::MAX_PRICE`].
    pub fn for_area(self, area: Area, per: AreaUnit) -> Option<Money> {
        self.times(area.square_ticks(), per.area().square_ticks())
    }

    /// The price of an amount of wood; `None` where it is less than nothing or above [`Money::MAX_PRICE`].
    pub fn for_board_feet(self, board_feet: BoardFeet) -> Option<Money> {
        let (numerator, denominator) = board_feet.fraction();
        self.times(numerator, denominator)
    }

    /// The price of one unit; `None` where it is less than nothing or above [`Money::MAX_PRICE`].
    pub fn for_one(self) -> Option<Money> {
        self.times(1, 1)
    }

    /// `self * count / unit` in hundredths, rounded half up. The units are below 2^53.
    fn times(self, count: i128, unit: i128) -> Option<Money> {
        let product = i128::from(self.0).checked_mul(count)?.checked_mul(2)?;
        let divisor = unit * PER_MINOR;
        let minor = product.checked_add(divisor)?.div_euclid(divisor * 2);
        let money = Money::from_minor(i64::try_from(minor).ok()?);
        (product >= 0 && money <= Money::MAX_PRICE).then_some(money)
    }
}

impl From<Money> for Rate {
    /// The same amount per unit; what is beyond [`Rate::MAX`] becomes that, and finds no price.
    fn from(money: Money) -> Self {
        let limit = Money::MAX_PRICE.minor();
        Self(money.minor().clamp(-limit, limit) * PER_MINOR as i64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prices_are_rounded_half_up_once() {
        let foot = Unit::Foot.length();
        let rate = |millionths| Rate::from_millionths(millionths);
        assert_eq!(rate(5_000).for_length(foot, Unit::Foot), Some(Money::from_minor(1)));
        assert_eq!(rate(4_999).for_length(foot, Unit::Foot), Some(Money::ZERO));
        assert_eq!(rate(1_000_000).for_length(Length::mm(2440), Unit::Metre), Some(Money::from_minor(244)));
        // 1/3 a foot, three feet: one unit, not 0.99.
        assert_eq!(
            rate(333_333).for_length(foot.checked_mul(3).unwrap(), Unit::Foot),
            Some(Money::from_minor(100))
        );
    }

    #[test]
    fn sheets_and_board_feet_have_prices() {
        let sheet = Area::of(Length::inches(96, 1).unwrap(), Length::inches(48, 1).unwrap());
        let rate = Rate::from(Money::from_minor(250));
        assert_eq!(rate.for_area(sheet, AreaUnit::SquareFoot), Some(Money::from_minor(8000)));
        let two_by_four = "2x4".parse::<super::super::Nominal>().unwrap();
        let wood = two_by_four.board_feet(Length::inches(96, 1).unwrap());
        // 5 1/3 board feet at 3.00
        assert_eq!(Rate::from(Money::from_minor(300)).for_board_feet(wood), Some(Money::from_minor(1600)));
        assert_eq!(Rate::from(Money::from_minor(100)).for_board_feet(wood), Some(Money::from_minor(533)));
        assert_eq!(rate.for_one(), Some(Money::from_minor(250)));
    }

    #[test]
    fn what_has_no_price_is_none() {
        assert_eq!(Rate::MAX.for_length(Length::mm(1001), Unit::Metre), None);
        assert_eq!(Rate::MAX.for_length(Length::mm(1000), Unit::Metre), Some(Money::MAX_PRICE));
        assert_eq!(Rate::from_millionths(1).for_length(Length::mm(-1), Unit::Metre), None);
        assert_eq!(Rate::from_millionths(-1).for_length(Length::mm(1), Unit::Metre), None);
        let most = Area::from_square_ticks(i128::MAX);
        assert_eq!(Rate::MAX.for_area(most, AreaUnit::SquareInch), None);
        assert_eq!(Rate::from(Money::from_minor(i64::MAX)), Rate::MAX);
    }
}
