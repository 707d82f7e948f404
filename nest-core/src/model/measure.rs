//! What is a cost? A whole number of something, which one measure names for all of a batch.

use crate::units::{Area, AreaUnit, Length, LengthStyle, Money, Rounding, System};

/// What cost is counted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "lowercase"))]
pub enum Measure {
    /// Hundredths of the currency.
    Money,
    /// Ticks of bought length: a batch of boards without any price.
    Length,
    /// Square ticks of bought area: a batch with sheets and without any price.
    Area,
}

impl Measure {
    /// A cost as money; `None` where cost is counted in wood, and for more than [`Money`] holds, which is far beyond every
    /// plan that passed the check.
    ///
    /// ```
    /// use nest_core::model::Measure;
    /// use nest_core::units::Money;
    /// assert_eq!(Measure::Money.money(8690), Some(Money::from_minor(8690)));
    /// assert_eq!(Measure::Length.money(8690), None);
    /// ```
    pub fn money(self, cost: i128) -> Option<Money> {
        match self {
            Self::Money => i64::try_from(cost).ok().map(Money::from_minor),
            Self::Length | Self::Area => None,
        }
    }

    /// A cost in words: money with two decimals and without the currency, a length in the style, rounded down, an area in
    /// square feet or square metres with two decimals.
    ///
    /// ```
    /// use nest_core::model::Measure;
    /// use nest_core::units::{Area, Length, LengthStyle, System};
    /// let style = LengthStyle::default_for(System::Inch);
    /// let (long, wide) = (Length::inches(96, 1).unwrap(), Length::inches(48, 1).unwrap());
    /// assert_eq!(Measure::Money.format(8690, style), "86.90");
    /// assert_eq!(Measure::Length.format(long.ticks().into(), style), "96\"");
    /// assert_eq!(Measure::Area.format(Area::of(long, wide).square_ticks(), style), "32.00 sq ft");
    /// ```
    pub fn format(self, cost: i128, style: LengthStyle) -> String {
        match (self, i64::try_from(cost)) {
            (Self::Money, Ok(minor)) => Money::from_minor(minor).to_string(),
            (Self::Length, Ok(ticks)) => style.format(Length::from_ticks(ticks), Rounding::Down),
            (Self::Area, _) => {
                let unit = match style.parse_unit().system() {
                    System::Inch => AreaUnit::SquareFoot,
                    System::Metric => AreaUnit::SquareMetre,
                };
                unit.format(Area::from_square_ticks(cost), 2)
            }
            // More than all the wood there is: whole units will do.
            (Self::Money, Err(_)) => (cost / 100).to_string(),
            (Self::Length, Err(_)) => format!("{} mm", cost / i128::from(Length::TICKS_PER_MM)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn costs_beyond_all_have_words_and_are_no_money() {
        let style = LengthStyle::default_for(System::Metric);
        let words = |measure: Measure, cost| measure.format(cost, style);
        assert_eq!(words(Measure::Money, i128::from(i64::MAX)), "92233720368547758.07");
        assert_eq!(words(Measure::Money, i128::from(i64::MAX) + 1), "92233720368547758");
        assert_eq!(words(Measure::Length, 80_000 * (1 << 60)), format!("{} mm", 1_i64 << 60));
        assert_eq!(words(Measure::Area, 80_000 * 80_000 * 1_000_000), "1.00 m2");
        assert_eq!(Measure::Money.money(i128::from(i64::MAX) + 1), None);
        assert_eq!(Measure::Area.money(1), None);
    }
}
