//! What does a board called 2x4 measure, and how much wood is it sold as?
//!
//! A nominal size is a name, not a pair of lengths. The sizes are the dry, surfaced ones of the American Softwood
//! Lumber Standard, DOC PS 20-20, for which the trade's tables give:
//!
//! | nominal thickness | actual | nominal width | actual |
//! |---|---|---|---|
//! | 1 | 3/4 in | 2, 3, 4, 5, 6 | 1/2 in less |
//! | 5/4 | 1 in | 8 to 16 | 3/4 in less |
//! | 6/4 | 1 1/4 in | | |
//! | 2, 3, 4 | 1/2 in less | | |
//!
//! Timbers, whose least dimension is 5 in or more, lose 1/2 in both ways. From memory of the standard, not from a
//! table that was read again: 5/4 and 6/4 boards, thickness 3, widths 5 and above 12, 2x2, 2x3, and the timbers.
//!
//! Board feet count the nominal size: 1 board foot is 1 in x 12 in x 12 in.

use std::fmt;
use std::str::FromStr;

use super::fault::{LONGEST_TEXT, Quoted};
use super::{Length, Unit, gcd};

/// The name of a board's cross-section: `1x4`, `5/4x6`. The thinner number comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Nominal {
    thickness: (u32, u32),
    width: u32,
}

impl Nominal {
    /// From a thickness in inches, as a fraction, and a width in inches: `new((5, 4), 6)`.
    ///
    /// `None` unless the thickness is counted in whole or quarter inches and both are at least 1 and below 1000 in.
    /// The thickness keeps the form it is given in: `4/4` is a hardwood board, `1` is a softwood board.
    pub const fn new(thickness: (u32, u32), width: u32) -> Option<Self> {
        let (top, bottom) = thickness;
        let known = (bottom == 1 || bottom == 4) && top >= bottom && top < 1000 && width >= 1 && width < 1000;
        if known && top <= width * bottom { Some(Self { thickness, width }) } else { None }
    }

    /// The nominal thickness in inches, as a fraction: `(5, 4)`.
    pub const fn thickness(&self) -> (u32, u32) {
        self.thickness
    }

    /// The nominal width in inches.
    pub const fn width(&self) -> u32 {
        self.width
    }

    /// Board feet in each foot of length, as a reduced fraction: `(2, 3)` for a 2x4.
    pub fn board_feet_per_foot(&self) -> (u64, u64) {
        let (top, bottom) = (self.thickness.0 as u64 * self.width as u64, self.thickness.1 as u64 * 12);
        let common = gcd(top, bottom);
        (top / common, bottom / common)
    }

    /// Board feet in a board of this length.
    pub fn board_feet(&self, length: Length) -> BoardFeet {
        let (top, bottom) = self.board_feet_per_foot();
        BoardFeet {
            numerator: top as i128 * length.ticks() as i128,
            denominator: bottom as i128 * Unit::Foot.ticks() as i128,
        }
    }
}

/// The actual thickness and width of a dry, surfaced board; `None` where the tables name no such board.
///
/// ```
/// use nest_core::units::{Length, Nominal, actual_size};
/// let two_by_four: Nominal = "2x4".parse()?;
/// assert_eq!(actual_size(&two_by_four), Length::inches(3, 2).zip(Length::inches(7, 2)));
/// # Ok::<(), nest_core::units::NominalError>(())
/// ```
pub fn actual_size(nominal: &Nominal) -> Option<(Length, Length)> {
    let width = i64::from(nominal.width);
    // In quarter inches.
    let (thickness, width) = match nominal.thickness {
        (5.., 1) if nominal.width <= 16 => (i64::from(nominal.thickness.0) * 4 - 2, width * 4 - 2),
        (thickness, parts) => {
            let thickness = match (thickness, parts) {
                (1, 1) => 3,
                (5, 4) => 4,
                (6, 4) => 5,
                (2..=4, 1) => i64::from(thickness) * 4 - 2,
                _ => return None,
            };
            let width = match width {
                2..=6 => width * 4 - 2,
                8..=16 => width * 4 - 3,
                _ => return None,
            };
            (thickness, width)
        }
    };
    Length::inches(thickness, 4).zip(Length::inches(width, 4))
}

impl fmt::Display for Nominal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = match self.thickness {
            (top, 1) => format!("{top}x{}", self.width),
            (top, bottom) => format!("{top}/{bottom}x{}", self.width),
        };
        f.pad(&text)
    }
}

/// A text that is no nominal size.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NominalError {
    text: String,
}

impl NominalError {
    /// What to write instead.
    pub fn hint(&self) -> Option<String> {
        Some("a nominal size is two numbers with an x between: `1x4`, `2 x 4`, `5/4x6`".to_owned())
    }
}

impl fmt::Display for NominalError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.text.trim() {
            "" => f.write_str("expected a nominal size, but found nothing"),
            text => write!(f, "expected a nominal size, but found {}", Quoted(text)),
        }
    }
}

impl std::error::Error for NominalError {}

impl FromStr for Nominal {
    type Err = NominalError;

    /// Reads `2x4`, `1 X 12`, `5/4 × 6`, `2 by 4`; `4x2` is 2x4.
    fn from_str(text: &str) -> Result<Self, NominalError> {
        let refused = || NominalError { text: text.chars().take(80).collect() };
        let read = || {
            let short = if text.len() <= LONGEST_TEXT { text } else { return None };
            let (left, right) =
                ["x", "X", "×", "by", "By", "BY"].iter().find_map(|by| short.split_once(by))?;
            let (left, right) = (dimension(left)?, dimension(right)?);
            let whole = |(top, bottom): (u32, u32)| (bottom == 1).then_some(top);
            let thin_first = whole(right).and_then(|width| Self::new(left, width));
            thin_first.or_else(|| whole(left).and_then(|width| Self::new(right, width)))
        };
        read().ok_or_else(refused)
    }
}

/// `2` or `5/4`.
fn dimension(text: &str) -> Option<(u32, u32)> {
    let plain = |text: &str| {
        let text = text.trim();
        // Without this, `+2` would be a number.
        let digits = (1..=3).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
        text.parse().ok().filter(|_| digits)
    };
    match text.split_once(['/', '⁄', '∕']) {
        Some((top, bottom)) => Some((plain(top)?, plain(bottom)?)),
        None => Some((plain(text)?, 1)),
    }
}

/// An amount of wood as it is sold: nominal inches thick, nominal inches wide, feet long, over 12. Exact.
#[derive(Clone, Copy, Debug)]
pub struct BoardFeet {
    numerator: i128,
    denominator: i128,
}

impl BoardFeet {
    /// As a fraction that need not be reduced; the denominator is positive.
    pub const fn fraction(self) -> (i128, i128) {
        (self.numerator, self.denominator)
    }

    /// With a fixed number of decimals (at most 9), rounded half up: `5.33`. Less than nothing prints as nothing.
    pub fn decimal(self, places: u8) -> String {
        let places = usize::from(places.min(9));
        let scale = 10_u128.pow(places as u32);
        let (top, bottom) = (self.numerator.max(0).unsigned_abs(), self.denominator.unsigned_abs());
        // The numerator is below 2^20 * 2^63 and the scale below 2^30.
        let steps = (top * scale * 2 + bottom) / (bottom * 2);
        let (whole, rest) = (steps / scale, steps % scale);
        if places == 0 { whole.to_string() } else { format!("{whole}.{rest:0places$}") }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn nominal(text: &str) -> Nominal {
        text.parse().unwrap()
    }

    /// The trade's tables, as printed by lumber dealers after DOC PS 20.
    #[test]
    fn actual_sizes_are_those_of_the_trade() {
        for (name, thickness, width) in [
            ("1x2", (3, 4), (3, 2)),
            ("1x3", (3, 4), (5, 2)),
            ("1x4", (3, 4), (7, 2)),
            ("1x6", (3, 4), (11, 2)),
            ("1x8", (3, 4), (29, 4)),
            ("1x10", (3, 4), (37, 4)),
            ("1x12", (3, 4), (45, 4)),
            ("2x2", (3, 2), (3, 2)),
            ("2x3", (3, 2), (5, 2)),
            ("2x4", (3, 2), (7, 2)),
            ("2x6", (3, 2), (11, 2)),
            ("2x8", (3, 2), (29, 4)),
            ("2x10", (3, 2), (37, 4)),
            ("2x12", (3, 2), (45, 4)),
            ("4x4", (7, 2), (7, 2)),
            ("5/4x4", (1, 1), (7, 2)),
            ("5/4x6", (1, 1), (11, 2)),
            ("6x6", (11, 2), (11, 2)),
            ("6x8", (11, 2), (15, 2)),
        ] {
            let inches = |(top, bottom)| Length::inches(top, bottom).unwrap();
            assert_eq!(actual_size(&nominal(name)), Some((inches(thickness), inches(width))), "{name}");
        }
        for name in ["1x1", "1x7", "2x18", "4/4x6", "8/4x8", "38x89"] {
            assert_eq!(actual_size(&nominal(name)), None, "{name}");
        }
    }

    #[test]
    fn board_feet_count_the_nominal_size() {
        for (name, feet, expected) in [
            ("2x4", 8, "5.3333"),
            ("1x12", 8, "8.0000"),
            ("2x6", 10, "10.0000"),
            ("1x2", 8, "1.3333"),
            ("5/4x6", 12, "7.5000"),
            ("1x4", 10, "3.3333"),
        ] {
            let length = Unit::Foot.length().checked_mul(feet).unwrap();
            assert_eq!(nominal(name).board_feet(length).decimal(4), expected, "{name}");
        }
        assert_eq!(nominal("2x4").board_feet_per_foot(), (2, 3));
        assert_eq!(nominal("5/4x6").board_feet_per_foot(), (5, 8));
        assert_eq!(nominal("999x999").board_feet(Length::from_ticks(i64::MAX)).decimal(9).len(), 27);
    }

    #[test]
    fn names_are_read_in_every_spelling_and_printed_in_one() {
        for (text, canonical) in [
            ("2x4", "2x4"),
            (" 2 X 4 ", "2x4"),
            ("2×4", "2x4"),
            ("2 by 4", "2x4"),
            ("4x2", "2x4"),
            ("5/4 x 6", "5/4x6"),
            ("6x5/4", "5/4x6"),
            ("5⁄4x6", "5/4x6"),
            ("4/4x6", "4/4x6"),
            ("1 x 12", "1x12"),
        ] {
            assert_eq!(nominal(text).to_string(), canonical, "{text}");
            assert_eq!(nominal(canonical).to_string(), canonical);
        }
        for text in [
            "", "x", "2", "2x", "x4", "0x4", "2x4x8", "+2x4", "-2x4", "3/4x6", "5/3x6", "5/0x6", "1x5/4x",
            "2\"x4\"",
        ] {
            assert!(text.parse::<Nominal>().is_err(), "{text}");
        }
        let message = "two by four\x07".parse::<Nominal>().unwrap_err().to_string();
        assert_eq!(message, r"expected a nominal size, but found `two by four\u{7}`");
    }
}
