//! How is a length written for somebody who reads a tape? Six styles, marked `~` where the exact length has no short
//! name in the style.
//!
//! Law: what is printed without a `~` is read back by [`parse_length`](super::parse_length) as the same length.
//! Everything is integer arithmetic: a length is divided once by the step of its style.

use super::{Length, System, Unit, gcd};

/// How lengths are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LengthStyle {
    /// Inches with reduced fractions: `23 5/8"`.
    FractionalInches {
        /// The finest fraction: 16, 32 or 64.
        denominator: u32,
    },
    /// Feet, and inches with reduced fractions: `5' 11 1/2"`.
    FeetInches {
        /// The finest fraction: 16, 32 or 64.
        denominator: u32,
    },
    /// Inches with decimals: `23.625"`.
    DecimalInches {
        /// The most decimals, usually 3 (at most 9).
        places: u8,
    },
    /// Millimetres to a tenth: `600 mm`.
    Millimetres,
    /// Centimetres to a tenth of a millimetre: `60 cm`.
    Centimetres,
    /// Metres to a tenth of a millimetre: `0.6 m`.
    Metres,
}

/// Which way a length is rounded for print.
///
/// A part that goes into an opening is rounded down, so that it still goes in; stock is rounded down, so that nobody
/// counts on wood that is not there; kerf is rounded up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rounding {
    /// To the smaller number.
    Down,
    /// To the larger number.
    Up,
    /// To the nearer number, halves away from zero.
    Nearest,
}

impl LengthStyle {
    /// Those in use.
    pub const USUAL: [Self; 10] = [
        Self::FractionalInches { denominator: 16 },
        Self::FractionalInches { denominator: 32 },
        Self::FractionalInches { denominator: 64 },
        Self::FeetInches { denominator: 16 },
        Self::FeetInches { denominator: 32 },
        Self::FeetInches { denominator: 64 },
        Self::DecimalInches { places: 3 },
        Self::Millimetres,
        Self::Centimetres,
        Self::Metres,
    ];

    /// The usual style of a family of units: inches to a sixteenth, or millimetres.
    pub const fn default_for(system: System) -> Self {
        match system {
            System::Inch => Self::FractionalInches { denominator: 16 },
            System::Metric => Self::Millimetres,
        }
    }

    /// The usual style of somebody whose bare numbers are in this unit.
    pub const fn of(unit: Unit) -> Self {
        match unit {
            Unit::Inch => Self::FractionalInches { denominator: 16 },
            Unit::Foot => Self::FeetInches { denominator: 16 },
            Unit::Millimetre => Self::Millimetres,
            Unit::Centimetre => Self::Centimetres,
            Unit::Metre => Self::Metres,
        }
    }

    /// The unit that bare numbers have for somebody who reads this style.
    pub const fn parse_unit(self) -> Unit {
        match self {
            Self::FractionalInches { .. } | Self::FeetInches { .. } | Self::DecimalInches { .. } => {
                Unit::Inch
            }
            Self::Millimetres => Unit::Millimetre,
            Self::Centimetres => Unit::Centimetre,
            Self::Metres => Unit::Metre,
        }
    }

    /// Whether the style writes this length without rounding.
    pub fn is_exact(self, length: Length) -> bool {
        self.steps(length, Rounding::Down).1
    }

    /// Writes a length, with a `~` in front where it had to be rounded.
    ///
    /// ```
    /// use nest_core::units::{Length, LengthStyle, Rounding};
    /// let inches = LengthStyle::FractionalInches { denominator: 16 };
    /// assert_eq!(inches.format(Length::mm(600), Rounding::Nearest), "~23 5/8\"");
    /// assert_eq!(LengthStyle::Millimetres.format(Length::mm(600), Rounding::Nearest), "600 mm");
    /// ```
    pub fn format(self, length: Length, rounding: Rounding) -> String {
        let (steps, exact) = self.steps(length, rounding);
        let sign = if steps < 0 { "-" } else { "" };
        let mark = if exact { "" } else { "~" };
        let steps = steps.unsigned_abs();
        let digits = match self {
            Self::FractionalInches { denominator } => fractional(steps, denominator),
            Self::FeetInches { denominator } => {
                let foot = 12 * u128::from(denominator.max(1));
                let inches = fractional(steps % foot, denominator);
                if steps < foot { inches } else { format!("{}' {inches}", steps / foot) }
            }
            Self::DecimalInches { places } => format!("{}\"", decimal(steps, places.min(MOST_PLACES))),
            Self::Millimetres => format!("{} mm", decimal(steps, 1)),
            Self::Centimetres => format!("{} cm", decimal(steps, 2)),
            Self::Metres => format!("{} m", decimal(steps, 4)),
        };
        format!("{mark}{sign}{digits}")
    }

    /// Writes a length where its exact size matters: a sheet of 23/32 in is not 3/4 in, although a tape marked in
    /// sixteenths reads so. In this style if that is exact, else in the coarsest fraction or decimal of an inch that is
    /// read as it, else in millimetres.
    ///
    /// ```
    /// use nest_core::units::{Length, LengthStyle};
    /// let thin = Length::inches(23, 32).unwrap();
    /// assert_eq!(LengthStyle::FractionalInches { denominator: 16 }.exact(thin), "23/32\"");
    /// assert_eq!(LengthStyle::Millimetres.exact(thin), "18.25625 mm");
    /// ```
    pub fn exact(self, length: Length) -> String {
        self.exact_in_style(length, MOST_PLACES).unwrap_or_else(|| format!("{} mm", length.mm_decimal()))
    }

    /// Writes a length that somebody compares with one of their own: exactly where that is short in units of the style,
    /// else rounded.
    ///
    /// ```
    /// use nest_core::units::{Length, LengthStyle, Rounding};
    /// let inches = LengthStyle::FractionalInches { denominator: 16 };
    /// assert_eq!(inches.near(Length::inches(37, 10).unwrap(), Rounding::Down), "3.7\"");
    /// assert_eq!(inches.near(Length::mm(94), Rounding::Down), "~3 11/16\"");
    /// ```
    pub fn near(self, length: Length, rounding: Rounding) -> String {
        self.exact_in_style(length, 4).unwrap_or_else(|| self.format(length, rounding))
    }

    fn exact_in_style(self, length: Length, places: u8) -> Option<String> {
        if self.is_exact(length) {
            return Some(self.format(length, Rounding::Nearest));
        }
        if self.parse_unit().system() == System::Metric {
            return None;
        }
        let finer = [Self::FractionalInches { denominator: 64 }, Self::DecimalInches { places: 3 }];
        let finer = finer.into_iter().find(|style| style.is_exact(length));
        finer.map(|style| style.format(length, Rounding::Nearest)).or_else(|| decimal_inches(length, places))
    }

    /// By how much a length is written smaller when it is rounded down: less than a step, and itself rounded up to a tick.
    ///
    /// ```
    /// use nest_core::units::{Length, LengthStyle};
    /// let inches = LengthStyle::FractionalInches { denominator: 16 };
    /// assert_eq!(inches.cut_off(Length::inches(37 * 32 + 5, 32).unwrap()), Length::inches(1, 32).unwrap());
    /// ```
    pub fn cut_off(self, length: Length) -> Length {
        let (unit, parts) = self.step();
        let rest = (i128::from(length.ticks()) * parts).rem_euclid(unit);
        // Less than an inch, so that it fits.
        Length::from_ticks(i64::try_from((rest + parts - 1) / parts).unwrap_or(i64::MAX))
    }

    /// One step of the style is `unit / parts` ticks.
    fn step(self) -> (i128, i128) {
        let inch = i128::from(Length::TICKS_PER_INCH);
        match self {
            Self::FractionalInches { denominator } | Self::FeetInches { denominator } => {
                (inch, i128::from(denominator.max(1)))
            }
            Self::DecimalInches { places } => (inch, 10_i128.pow(u32::from(places.min(MOST_PLACES)))),
            Self::Millimetres | Self::Centimetres | Self::Metres => (i128::from(Length::TICKS_PER_MM), 10),
        }
    }

    /// The length in the smallest steps the style writes, and whether it is a whole number of them.
    fn steps(self, length: Length, rounding: Rounding) -> (i128, bool) {
        let (unit, parts) = self.step();
        let scaled = i128::from(length.ticks()) * parts;
        let (down, rest) = (scaled.div_euclid(unit), scaled.rem_euclid(unit));
        let up = match rounding {
            Rounding::Down => false,
            Rounding::Up => rest > 0,
            Rounding::Nearest if scaled < 0 => 2 * rest > unit,
            Rounding::Nearest => 2 * rest >= unit,
        };
        (down + i128::from(up), rest == 0)
    }
}

/// A decimal of an inch that is read as this length, of at most so many places, and not of more than the millimetres have:
/// what is finer than thousandths is hardly ever a whole number of ticks, and is read rounded down.
fn decimal_inches(length: Length, places: u8) -> Option<String> {
    let millimetres = length.mm_decimal();
    let most = millimetres.split_once('.').map_or(0, |(_, decimals)| decimals.len()).min(places.into());
    let mut styles =
        (4..=MOST_PLACES).map(|places| LengthStyle::DecimalInches { places }).take(most.saturating_sub(3));
    styles.find_map(|style| {
        let ((unit, parts), (up, _)) = (style.step(), style.steps(length, Rounding::Up));
        let is_read = up > 0 && (up * unit).div_euclid(parts) == length.ticks().into();
        is_read.then(|| style.format(length, Rounding::Up).trim_start_matches('~').to_owned())
    })
}

/// The most decimals of an inch that are printed: a tick is about 5 in the seventh.
const MOST_PLACES: u8 = 9;

/// `steps / denominator` inches as a whole number and a reduced fraction.
fn fractional(steps: u128, denominator: u32) -> String {
    let denominator = denominator.max(1);
    let (whole, top) = (steps / u128::from(denominator), (steps % u128::from(denominator)) as u64);
    let common = gcd(top, u64::from(denominator));
    let (top, bottom) = (top / common, u64::from(denominator) / common);
    match (whole, top) {
        (_, 0) => format!("{whole}\""),
        (0, _) => format!("{top}/{bottom}\""),
        _ => format!("{whole} {top}/{bottom}\""),
    }
}

/// `steps / 10^places` without trailing zeros.
fn decimal(steps: u128, places: u8) -> String {
    let scale = 10_u128.pow(u32::from(places));
    let width = usize::from(places);
    let rest = format!("{:0width$}", steps % scale);
    let (whole, rest) = (steps / scale, rest.trim_end_matches('0'));
    if rest.is_empty() { whole.to_string() } else { format!("{whole}.{rest}") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use LengthStyle::{Centimetres, DecimalInches, FeetInches, FractionalInches, Metres, Millimetres};

    fn inches(numerator: i64, denominator: i64) -> Length {
        Length::inches(numerator, denominator).unwrap()
    }

    #[test]
    fn each_style_writes_as_its_reader_does() {
        let sixteenths = FractionalInches { denominator: 16 };
        let feet = FeetInches { denominator: 16 };
        for (style, length, text) in [
            (sixteenths, inches(189, 8), "23 5/8\""),
            (sixteenths, inches(3, 4), "3/4\""),
            (sixteenths, inches(24, 1), "24\""),
            (sixteenths, Length::ZERO, "0\""),
            (sixteenths, -inches(189, 8), "-23 5/8\""),
            (feet, inches(143, 2), "5' 11 1/2\""),
            (feet, inches(337, 4), "7' 1/4\""),
            (feet, inches(84, 1), "7' 0\""),
            (feet, inches(23, 2), "11 1/2\""),
            (feet, Length::ZERO, "0\""),
            (feet, -inches(143, 2), "-5' 11 1/2\""),
            (DecimalInches { places: 3 }, inches(189, 8), "23.625\""),
            (DecimalInches { places: 3 }, inches(24, 1), "24\""),
            (DecimalInches { places: 0 }, inches(24, 1), "24\""),
            (Millimetres, Length::mm(600), "600 mm"),
            (Millimetres, Length::from_ticks(8_000), "0.1 mm"),
            (Millimetres, Length::ZERO, "0 mm"),
            (Centimetres, Length::mm(605), "60.5 cm"),
            (Metres, Length::mm(600), "0.6 m"),
            (Metres, Length::mm(2440), "2.44 m"),
        ] {
            assert!(style.is_exact(length), "{text}");
            for rounding in [Rounding::Down, Rounding::Up, Rounding::Nearest] {
                assert_eq!(style.format(length, rounding), text);
            }
        }
    }

    #[test]
    fn thin_differences_are_shown() {
        let inches = LengthStyle::FractionalInches { denominator: 16 };
        let shown = |top, bottom| inches.exact(Length::inches(top, bottom).unwrap());
        assert_eq!([shown(3, 4), shown(23, 32), shown(709, 1000)], ["3/4\"", "23/32\"", "0.709\""]);
        assert_eq!(inches.exact(Length::mm(18)), "18 mm");
        // Read rounded down to a tick, and written as it was; what is shorter in millimetres was most likely those.
        for text in ["0.7031\"", "13.1234\"", "0.12345\"", "2.4 mm", "18.25 mm"] {
            let length = crate::units::parse_length(text, None).unwrap().length;
            assert_eq!(inches.exact(length), text);
        }
        let third = crate::units::parse_length("100 1/3 in", None).unwrap().length;
        assert_eq!(inches.near(third, Rounding::Down), "~100 5/16\"");
        assert_eq!(inches.near(third, Rounding::Up), "~100 3/8\"");
        for style in [LengthStyle::Millimetres, LengthStyle::Centimetres, LengthStyle::Metres] {
            assert_eq!(style.exact(Length::inches(3, 4).unwrap()), "19.05 mm");
        }
    }

    /// Computed from 1 in = 25.4 mm.
    #[test]
    fn metric_sheets_and_parts_have_these_names_in_inches() {
        for (mm, denominator, text) in [
            (600, 16, "~23 5/8\""),
            (600, 32, "~23 5/8\""),
            (600, 64, "~23 5/8\""),
            (2440, 16, "~96 1/16\""),
            (1220, 32, "~48 1/32\""),
        ] {
            let style = FractionalInches { denominator };
            assert_eq!(style.format(Length::mm(mm), Rounding::Nearest), text);
            assert!(!style.is_exact(Length::mm(mm)));
        }
    }

    #[test]
    fn parts_round_down_and_kerf_rounds_up() {
        let sixteenths = FractionalInches { denominator: 16 };
        assert_eq!(sixteenths.format(Length::mm(600), Rounding::Down), "~23 9/16\"");
        assert_eq!(sixteenths.format(Length::mm(600), Rounding::Up), "~23 5/8\"");
        assert_eq!(Millimetres.format(inches(1, 8), Rounding::Up), "~3.2 mm");
        assert_eq!(Millimetres.format(inches(1, 8), Rounding::Down), "~3.1 mm");
        assert_eq!(sixteenths.format(inches(1, 64), Rounding::Nearest), "~0\"");
        assert_eq!(sixteenths.format(inches(1, 32), Rounding::Nearest), "~1/16\"");
        let feet = FeetInches { denominator: 16 };
        assert_eq!(feet.format(inches(12, 1) - Length::from_ticks(1), Rounding::Up), "~1' 0\"");
    }

    #[test]
    fn negative_lengths_round_along_the_number_line() {
        let sixteenths = FractionalInches { denominator: 16 };
        assert_eq!(sixteenths.format(-inches(1, 64), Rounding::Down), "~-1/16\"");
        assert_eq!(sixteenths.format(-inches(1, 64), Rounding::Up), "~0\"");
        assert_eq!(sixteenths.format(-inches(1, 32), Rounding::Nearest), "~-1/16\"");
        assert_eq!(sixteenths.format(-inches(1, 64), Rounding::Nearest), "~0\"");
    }

    #[test]
    fn odd_settings_do_no_harm() {
        assert_eq!(FractionalInches { denominator: 0 }.format(inches(3, 2), Rounding::Down), "~1\"");
        assert_eq!(FeetInches { denominator: 0 }.format(inches(14, 1), Rounding::Down), "1' 2\"");
        let most = Length::from_ticks(i64::MIN);
        for style in [FeetInches { denominator: u32::MAX }, DecimalInches { places: u8::MAX }, Metres] {
            for rounding in [Rounding::Down, Rounding::Up, Rounding::Nearest] {
                assert!(style.format(most, rounding).contains('-'));
            }
        }
    }
}
