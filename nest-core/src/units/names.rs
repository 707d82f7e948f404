//! What are units, styles and exact amounts called in files and settings? One canonical text each, read back exactly.
//!
//! | value | text |
//! |---|---|
//! | [`Unit`] | `in`, `ft`, `mm`, `cm`, `m`; long names are read too |
//! | [`System`] | `inch`, `metric` |
//! | [`LengthStyle`] | the finest step it prints: `1/16 in`, `ft 1/16 in`, `0.001 in`, `mm`, `cm`, `m` |
//! | [`Money`] | `86.90`, always two decimals |
//! | [`Rate`] | `0.8725`, two to six decimals |
//!
//! What people type as a price goes through [`parse_money`](super::parse_money) instead, which is more forgiving.

use std::fmt;
use std::str::FromStr;

use super::fault::{LONGEST_TEXT, Quoted};
use super::{LengthStyle, Money, Rate, System, Unit};

/// A text that names no such thing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NameError {
    expected: &'static str,
    text: String,
}

impl NameError {
    fn new(expected: &'static str, text: &str) -> Self {
        Self { expected, text: text.chars().take(80).collect() }
    }
}

impl fmt::Display for NameError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "expected {}, but found {}", self.expected, Quoted(&self.text))
    }
}

impl std::error::Error for NameError {}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.symbol())
    }
}

impl FromStr for Unit {
    type Err = NameError;

    fn from_str(text: &str) -> Result<Self, NameError> {
        Self::from_word(text.trim()).ok_or_else(|| NameError::new("one of in, ft, mm, cm, m", text))
    }
}

impl fmt::Display for System {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Inch => "inch",
            Self::Metric => "metric",
        })
    }
}

impl FromStr for System {
    type Err = NameError;

    fn from_str(text: &str) -> Result<Self, NameError> {
        match text.trim().to_ascii_lowercase().as_str() {
            "inch" => Ok(Self::Inch),
            "metric" => Ok(Self::Metric),
            _ => Err(NameError::new("inch or metric", text)),
        }
    }
}

impl fmt::Display for LengthStyle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = match self {
            Self::FractionalInches { denominator } => format!("1/{denominator} in"),
            Self::FeetInches { denominator } => format!("ft 1/{denominator} in"),
            Self::DecimalInches { places: 0 } => "1 in".to_owned(),
            Self::DecimalInches { places } => format!("0.{:0>1$} in", 1, usize::from(*places)),
            Self::Millimetres => "mm".to_owned(),
            Self::Centimetres => "cm".to_owned(),
            Self::Metres => "m".to_owned(),
        };
        f.pad(&name)
    }
}

impl FromStr for LengthStyle {
    type Err = NameError;

    /// Reads the names above; the fractions of a style are those of a tape, 1/2 to 1/128, its decimals at most 9.
    fn from_str(text: &str) -> Result<Self, NameError> {
        let read = || {
            let name = text.trim();
            match Unit::from_word(name) {
                Some(Unit::Inch) => return Some(Self::default_for(System::Inch)),
                Some(Unit::Millimetre) => return Some(Self::Millimetres),
                Some(Unit::Centimetre) => return Some(Self::Centimetres),
                Some(Unit::Metre) => return Some(Self::Metres),
                Some(Unit::Foot) => return Some(Self::FeetInches { denominator: 16 }),
                None => {}
            }
            let step = name.strip_suffix("in")?.trim_end();
            if let Some(step) = step.strip_prefix("ft") {
                return fraction(step.trim_start()).map(|denominator| Self::FeetInches { denominator });
            }
            let decimals = step.strip_prefix("0.").and_then(|places| places.strip_suffix('1'));
            match decimals {
                _ if step == "1" => Some(Self::DecimalInches { places: 0 }),
                Some(zeros) if zeros.len() < 9 && zeros.bytes().all(|b| b == b'0') => {
                    Some(Self::DecimalInches { places: zeros.len() as u8 + 1 })
                }
                _ => fraction(step).map(|denominator| Self::FractionalInches { denominator }),
            }
        };
        let expected = "a style such as 1/16 in, ft 1/16 in, 0.001 in, mm, cm, m";
        read().ok_or_else(|| NameError::new(expected, text))
    }
}

/// The denominator of `1/16`, if a tape has it.
fn fraction(text: &str) -> Option<u32> {
    let denominator = text.strip_prefix("1/")?;
    [2, 4, 8, 16, 32, 64, 128].into_iter().find(|known| known.to_string() == denominator)
}

impl FromStr for Money {
    type Err = NameError;

    /// Reads what `Display` writes, and nothing else.
    fn from_str(text: &str) -> Result<Self, NameError> {
        let minor = exact(text, 2..=2);
        minor.map(Self::from_minor).ok_or_else(|| NameError::new("an amount such as 86.90", text))
    }
}

impl fmt::Display for Rate {
    /// With two to six decimals and without the currency: `0.8725`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.millionths() < 0 { "-" } else { "" };
        let millionths = self.millionths().unsigned_abs();
        let (whole, rest) = (millionths / 1_000_000, format!("{:06}", millionths % 1_000_000));
        f.pad(&format!("{sign}{whole}.{:0<2}", rest.trim_end_matches('0')))
    }
}

impl FromStr for Rate {
    type Err = NameError;

    /// Reads what `Display` writes, and nothing else but further zeros.
    fn from_str(text: &str) -> Result<Self, NameError> {
        let millionths = exact(text, 2..=6);
        millionths.map(Self::from_millionths).ok_or_else(|| NameError::new("a price such as 0.8725", text))
    }
}

/// Reads `-123.45` into the smallest of its possible decimals.
fn exact(text: &str, places: std::ops::RangeInclusive<usize>) -> Option<i64> {
    if text.len() > LONGEST_TEXT {
        return None;
    }
    let (negative, digits) = text.strip_prefix('-').map_or((false, text), |digits| (true, digits));
    let (whole, rest) = digits.split_once('.')?;
    let plain = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
    if whole.is_empty() || !plain(whole) || !plain(rest) || !places.contains(&rest.len()) {
        return None;
    }
    let most = *places.end();
    let value: i128 = format!("{whole}{rest:0<most$}").parse().ok()?;
    i64::try_from(if negative { -value } else { value }).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_style_has_a_name_that_is_read_back() {
        for (style, name) in [
            (LengthStyle::FractionalInches { denominator: 16 }, "1/16 in"),
            (LengthStyle::FractionalInches { denominator: 128 }, "1/128 in"),
            (LengthStyle::FeetInches { denominator: 64 }, "ft 1/64 in"),
            (LengthStyle::DecimalInches { places: 0 }, "1 in"),
            (LengthStyle::DecimalInches { places: 1 }, "0.1 in"),
            (LengthStyle::DecimalInches { places: 3 }, "0.001 in"),
            (LengthStyle::Millimetres, "mm"),
            (LengthStyle::Centimetres, "cm"),
            (LengthStyle::Metres, "m"),
        ] {
            assert_eq!(style.to_string(), name);
            assert_eq!(name.parse(), Ok(style));
        }
        assert_eq!("in".parse(), Ok(LengthStyle::FractionalInches { denominator: 16 }));
        assert_eq!("feet".parse(), Ok(LengthStyle::FeetInches { denominator: 16 }));
        for name in
            ["", "1/3 in", "1/0 in", "1/16", "0.002 in", "0.0000000001 in", "ft in", "yd", "2/16 in", "0.1"]
        {
            assert!(name.parse::<LengthStyle>().is_err(), "{name}");
        }
    }

    #[test]
    fn amounts_return_from_their_text() {
        for minor in [0, 5, -5, 8690, i64::MAX, i64::MIN] {
            assert_eq!(Money::from_minor(minor).to_string().parse(), Ok(Money::from_minor(minor)));
        }
        for (millionths, text) in
            [(0, "0.00"), (872_500, "0.8725"), (2_500_000, "2.50"), (1, "0.000001"), (-1_230_000, "-1.23")]
        {
            let rate = Rate::from_millionths(millionths);
            assert_eq!(rate.to_string(), text);
            assert_eq!(text.parse(), Ok(rate));
        }
        for text in
            ["", "-", "86.9", "86", "86,90", "+1.00", " 1.00", ".50", "1.", "--1.00", "92233720368547758.08"]
        {
            assert!(text.parse::<Money>().is_err(), "{text}");
        }
    }

    #[test]
    fn units_and_systems_return_from_their_names() {
        for unit in Unit::ALL {
            assert_eq!(unit.to_string().parse(), Ok(unit));
        }
        for system in [System::Inch, System::Metric] {
            assert_eq!(system.to_string().parse(), Ok(system));
        }
        let message = "yd".parse::<Unit>().map_err(|error| error.to_string());
        assert_eq!(message, Err("expected one of in, ft, mm, cm, m, but found `yd`".to_owned()));
    }
}
