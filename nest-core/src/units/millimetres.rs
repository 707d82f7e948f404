//! Lengths as `f64` millimetres: the one place in this module where a float is calculated with.
//!
//! JSON has only one kind of number, and most programs read it as an `f64`. For every length up to [`Length::MAX`]
//! the way out and back is exact, and the shortest decimal that names the float is the exact decimal of the length.
//!
//! Proof. Let t be ticks, |t| <= 2^40, and x = t / 80 000, so |x| < 2^24 and 10^7 x = 125 t is whole.
//!
//! - Out: t is exact as a float, and one division rounds x to the nearest float y, so |y - x| <= 2^-30 (half the
//!   distance of floats below 2^24). The decimal x has at most 8 + 7 = 15 digits, and an `f64` tells all decimals of
//!   15 digits apart, so no other decimal as short as x names y.
//! - Back: |10^7 y - 125 t| <= 10^7 / 2^30 < 0.01, and the product, below 2^47, is rounded by at most 2^-7 < 0.01. So
//!   the nearest whole number is 125 t.
#![allow(clippy::float_arithmetic, reason = "the named exception, with the proof above")]

use super::Length;

/// Units of the seventh decimal of a millimetre in a tick.
const SEVENTHS_PER_TICK: i64 = 125;

impl Length {
    /// In millimetres; exact in the sense above up to [`Length::MAX`].
    ///
    /// ```
    /// use nest_core::units::Length;
    /// assert_eq!(Length::inches(23, 32).map(Length::to_mm_f64), Some(18.25625));
    /// ```
    pub fn to_mm_f64(self) -> f64 {
        self.ticks() as f64 / Self::TICKS_PER_MM as f64
    }

    /// From millimetres, rounded to 7 decimals first. `None` where that is no whole number of ticks, is beyond
    /// [`Length::MAX`] on either side, or is not a number.
    ///
    /// ```
    /// use nest_core::units::Length;
    /// assert_eq!(Length::from_mm_f64(18.25625), Length::inches(23, 32));
    /// assert_eq!(Length::from_mm_f64(0.1 + 0.2), Length::from_mm_f64(0.3));
    /// assert_eq!(Length::from_mm_f64(0.00001), None);
    /// ```
    ///
    /// What a program has calculated is no whole number of ticks as a rule. Rounded to thousandths it is one:
    ///
    /// ```
    /// # use nest_core::units::Length;
    /// let drawn = 1000.0 / 3.0;
    /// assert_eq!(Length::from_mm_f64(drawn), None);
    /// let rounded = Length::from_mm_f64((drawn * 1000.0).round() / 1000.0);
    /// assert_eq!(rounded.map(Length::mm_decimal).as_deref(), Some("333.333"));
    /// ```
    pub fn from_mm_f64(mm: f64) -> Option<Self> {
        // Written so that a NaN fails it too; a little above the longest, which is checked exactly below.
        let in_reach = mm.abs() <= Self::MAX.to_mm_f64() + 1.0;
        if !in_reach {
            return None;
        }
        let sevenths = (mm * 1e7).round() as i64;
        let length = Self::from_ticks(sevenths / SEVENTHS_PER_TICK);
        let whole = sevenths % SEVENTHS_PER_TICK == 0;
        (whole && length.ticks().abs() <= Self::MAX.ticks()).then_some(length)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_is_no_length_is_refused() {
        for mm in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300, -1e300, 13_743_895.347_3, 1.234_567_8] {
            assert_eq!(Length::from_mm_f64(mm), None, "{mm}");
        }
        assert_eq!(Length::from_mm_f64(-0.0), Some(Length::ZERO));
        assert_eq!(Length::from_mm_f64(Length::MAX.to_mm_f64()), Some(Length::MAX));
    }

    proptest! {
        #[test]
        fn floats_lose_nothing(ticks in -Length::MAX.ticks()..=Length::MAX.ticks()) {
            let length = Length::from_ticks(ticks);
            prop_assert_eq!(Length::from_mm_f64(length.to_mm_f64()), Some(length));
        }

        #[test]
        fn the_shortest_name_of_the_float_is_the_exact_decimal(ticks in -Length::MAX.ticks()..=Length::MAX.ticks()) {
            let length = Length::from_ticks(ticks);
            prop_assert_eq!(format!("{}", length.to_mm_f64()), length.mm_decimal());
        }

        #[test]
        fn any_float_is_read_or_refused(bits: u64) {
            if let Some(length) = Length::from_mm_f64(f64::from_bits(bits)) {
                prop_assert!(length.ticks().abs() <= Length::MAX.ticks());
            }
        }
    }
}
