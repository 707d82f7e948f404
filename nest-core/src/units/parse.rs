//! What length did they mean? Reads every spelling of a length that people use, and refuses what has two readings.
//!
//! Invariant: a length that is returned is the exact value of the text, rounded down to a whole tick of 1/80 000 mm
//! where the text is finer (a third of an inch), and then a [`Notice`] says so. Rounding down keeps sums honest: the
//! rounded-down parts of a sum never add up to more than the rounded-down sum, so what fits on paper still fits.
//! Cost: one pass over at most 4 KiB. It never panics.
//!
//! Both tables are checked as they stand here:
//!
//! ```
//! use nest_core::units::{LengthErrorKind as Refused, NoticeKind as Doubt, Unit, parse_length};
//! use Unit::{Inch, Millimetre};
//!
//! // what is written, what bare numbers are, millimetres
//! for (text, bare, mm) in [
//!     // inches
//!     ("23 5/8\"",         None,             "600.075"),
//!     ("23 5/8 in",        None,             "600.075"),
//!     ("23 5/8 in.",       None,             "600.075"),
//!     ("23 5/8 inches",    None,             "600.075"),
//!     ("23 5/8''",         None,             "600.075"),
//!     ("23 5/8”",          None,             "600.075"),
//!     ("23⅝\"",            None,             "600.075"),
//!     ("23.625\"",         None,             "600.075"),
//!     ("23-5/8",           Some(Inch),       "600.075"),
//!     ("23–5/8",           Some(Inch),       "600.075"),
//!     ("23 ⅝",             Some(Inch),       "600.075"),
//!     ("23 5⁄8",           Some(Inch),       "600.075"),
//!     ("23\u{a0}5/8",      Some(Inch),       "600.075"),
//!     ("92 5/8",           Some(Inch),       "2352.675"),
//!     ("3/4",              Some(Inch),       "19.05"),
//!     ("23/32",            Some(Inch),       "18.25625"),
//!     ("1 1/2",            Some(Inch),       "38.1"),
//!     (".5",               Some(Inch),       "12.7"),
//!     ("600 mm",           Some(Inch),       "600"),
//!     // feet and inches
//!     ("7'",               None,             "2133.6"),
//!     ("7 1/2 ft",         None,             "2286"),
//!     ("7' 1/4\"",         None,             "2139.95"),
//!     ("5' 11 1/2\"",      None,             "1816.1"),
//!     ("5'-11 1/2\"",      None,             "1816.1"),
//!     ("5' 11-1/2\"",      None,             "1816.1"),
//!     ("5'11.5\"",         None,             "1816.1"),
//!     ("5ft 11.5in",       None,             "1816.1"),
//!     ("5 ft 11 1/2 in",   None,             "1816.1"),
//!     ("5 Feet 11½ Inches", None,            "1816.1"),
//!     ("5’ 11 1/2”",       None,             "1816.1"),
//!     ("5′ 11 1/2″",       None,             "1816.1"),
//!     ("5'11",             None,             "1803.4"),
//!     // metric
//!     ("600",              Some(Millimetre), "600"),
//!     ("600mm",            None,             "600"),
//!     ("60 cm",            None,             "600"),
//!     ("60cm",             None,             "600"),
//!     ("0.6 m",            None,             "600"),
//!     ("0.6m",             None,             "600"),
//!     (".6 m",             None,             "600"),
//!     ("0,6 m",            None,             "600"),
//!     ("1220,5",           Some(Millimetre), "1220.5"),
//!     ("½ m",              None,             "500"),
//!     // thousands marks, where there is one reading
//!     ("1,220 mm",         None,             "1220"),
//!     ("1 220 mm",         None,             "1220"),
//!     ("1\u{202f}220",     Some(Millimetre), "1220"),
//!     ("1.220,5 mm",       None,             "1220.5"),
//!     ("1,220.5",          Some(Millimetre), "1220.5"),
//!     ("3 5/8\"",          Some(Millimetre), "92.075"),
//! ] {
//!     let parsed = parse_length(text, bare).unwrap_or_else(|error| panic!("{error}"));
//!     assert_eq!(parsed.length.mm_decimal(), mm, "{text}");
//!     assert_eq!(parsed.notice, None, "{text}");
//! }
//!
//! // read, with a doubt
//! for (text, bare, mm, doubt) in [
//!     ("11/2",             Some(Inch),       "139.7",       Doubt::SpaceForgotten),
//!     ("23 9/8",           Some(Inch),       "612.775",     Doubt::FractionPastOne),
//!     ("5' 14\"",          None,             "1879.6",      Doubt::InchesPastFoot),
//!     ("1.220 mm",         None,             "1.22",        Doubt::PointOrThousands),
//!     ("⅓ in",             None,             "8.4666625",   Doubt::FinerThanTick),
//!     ("31.91666667 in",   None,             "810.683325",  Doubt::FinerThanTick),
//! ] {
//!     let parsed = parse_length(text, bare).unwrap_or_else(|error| panic!("{error}"));
//!     assert_eq!(parsed.length.mm_decimal(), mm, "{text}");
//!     assert_eq!(parsed.notice.map(|notice| notice.kind()), Some(doubt), "{text}");
//! }
//!
//! // refused
//! for (text, bare, kind) in [
//!     ("",                 Some(Inch),       Refused::Empty),
//!     ("0",                Some(Inch),       Refused::Zero),
//!     ("-5",               Some(Inch),       Refused::Negative),
//!     ("5/0",              Some(Inch),       Refused::ZeroDenominator),
//!     ("1/2/3",            Some(Inch),       Refused::Unexpected),
//!     ("23 5/8/2",         Some(Inch),       Refused::Unexpected),
//!     ("23 1/",            Some(Inch),       Refused::Unexpected),
//!     ("23-",              Some(Inch),       Refused::Unexpected),
//!     ("23 24",            Some(Inch),       Refused::Unexpected),
//!     ("1 220 in",         None,             Refused::Unexpected),
//!     ("600 mm 5",         None,             Refused::Unexpected),
//!     ("12\"6'",           None,             Refused::InchesBeforeFeet),
//!     ("23.5 1/2 in",      None,             Refused::DecimalInFraction),
//!     ("5.5' 3\"",         None,             Refused::PartOfFootTwice),
//!     ("abc",              Some(Inch),       Refused::NoNumber),
//!     ("NaN",              Some(Inch),       Refused::NoNumber),
//!     ("inf",              Some(Inch),       Refused::NoNumber),
//!     ("23 in in",         None,             Refused::Unexpected),
//!     ("1e3 mm",           None,             Refused::UnknownUnit),
//!     ("3/4 ply",          Some(Inch),       Refused::UnknownUnit),
//!     ("2x4",              Some(Inch),       Refused::NominalSize),
//!     ("1,220",            Some(Millimetre), Refused::Ambiguous),
//!     ("1,220",            Some(Inch),       Refused::Ambiguous),
//!     ("1,220 m",          None,             Refused::Ambiguous),
//!     ("18,256 mm",        None,             Refused::Ambiguous),
//!     ("1.2.3 mm",         None,             Refused::Marks),
//!     ("600",              None,             Refused::NoUnit),
//!     ("3/4",              Some(Millimetre), Refused::FractionInMetric),
//!     ("~23 5/8\"",        None,             Refused::Rounded),
//!     ("1/999999999 mm",   None,             Refused::TooSmall),
//!     ("14 000 m",         None,             Refused::TooLarge),
//! ] {
//!     let error = parse_length(text, bare).map(|parsed| parsed.length).unwrap_err();
//!     assert_eq!(error.kind(), kind, "{text}: {error}");
//! }
//! ```

use std::ops::Range;

use super::fault::LONGEST_TEXT;
use super::length_error::{LengthError, LengthErrorKind};
use super::notice::{Notice, NoticeKind};
use super::number::{Measure, Number, number, span_of};
use super::scan::{Kind, Token, scan};
use super::{Length, System, Unit};

/// A length that was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Parsed {
    /// The length.
    pub length: Length,
    /// Why it may not be what was meant, for a warning.
    pub notice: Option<Notice>,
}

/// Reads a length of more than nothing; `bare` is the unit of numbers that are written without one.
///
/// # Errors
///
/// Says what was expected and found, at which bytes, and what to write instead. See the tables above.
pub fn parse_length(text: &str, bare: Option<Unit>) -> Result<Parsed, LengthError> {
    let parsed = parse_length_or_zero(text, bare)?;
    if parsed.length.is_zero() {
        let start = text.len() - text.trim_start().len();
        return Err(LengthError::new(LengthErrorKind::Zero, start..text.trim_end().len(), text));
    }
    Ok(parsed)
}

/// Reads a length that may be nothing, such as a kerf or an edge trim. A bare `0` needs no unit.
///
/// # Errors
///
/// As [`parse_length`], except for zero.
pub fn parse_length_or_zero(text: &str, bare: Option<Unit>) -> Result<Parsed, LengthError> {
    let refuse = |kind, span| Err(LengthError::new(kind, span, text));
    if text.len() > LONGEST_TEXT {
        let start: String = text.chars().take(80).collect();
        return Err(LengthError::new(LengthErrorKind::TooLong, 0..start.len(), &start));
    }
    let tokens = scan(text);
    let Some(first) = tokens.first() else { return refuse(LengthErrorKind::Empty, 0..text.len()) };
    if first.kind == Kind::Dash {
        return refuse(LengthErrorKind::Negative, span_of(&tokens));
    }
    if text.get(first.span.clone()) == Some("~") {
        return refuse(LengthErrorKind::Rounded, first.span.clone());
    }
    if tokens.iter().any(|token| token.kind == Kind::By) && first.kind == Kind::Numeral {
        return refuse(LengthErrorKind::NominalSize, span_of(&tokens));
    }
    let quantities = quantities(text, &tokens)?;
    let (feet, last) = match quantities.as_slice() {
        [only] => (None, only),
        [feet, inches] if feet.is(Unit::Foot) && (inches.unit.is_none() || inches.is(Unit::Inch)) => {
            (Some(feet), inches)
        }
        [inches, feet, ..] if inches.is(Unit::Inch) && feet.is(Unit::Foot) => {
            return refuse(LengthErrorKind::InchesBeforeFeet, span_of(&tokens));
        }
        [_, second, ..] => {
            let span = second.span().start..span_of(&tokens).end;
            return refuse(LengthErrorKind::Unexpected, span);
        }
        [] => return refuse(LengthErrorKind::Empty, 0..text.len()),
    };
    match feet {
        Some(feet) => feet_and_inches(text, feet, last),
        None => alone(text, last, bare),
    }
}

/// A number and its unit, as written.
struct Quantity<'a> {
    number: &'a [Token],
    unit: Option<(Unit, Range<usize>)>,
}

impl Quantity<'_> {
    fn is(&self, unit: Unit) -> bool {
        self.unit.as_ref().is_some_and(|(own, _)| *own == unit)
    }

    fn span(&self) -> Range<usize> {
        let number = span_of(self.number);
        let end = self.unit.as_ref().map_or(number.end, |(_, span)| span.end);
        number.start..end
    }
}

/// Splits the tokens behind each unit.
fn quantities<'a>(text: &str, tokens: &'a [Token]) -> Result<Vec<Quantity<'a>>, LengthError> {
    let mut quantities = Vec::new();
    let mut rest = tokens;
    while !rest.is_empty() {
        let end = rest.iter().position(|token| !is_numeric(token.kind)).unwrap_or(rest.len());
        let (number, behind) = rest.split_at(end);
        let (unit, behind) = match behind.split_first() {
            None => (None, behind),
            Some((token, _)) if number.is_empty() => {
                let first = quantities.is_empty();
                let kind = if first { LengthErrorKind::NoNumber } else { LengthErrorKind::Unexpected };
                return Err(LengthError::new(kind, token.span.clone(), text));
            }
            Some((Token { kind: Kind::Unit(unit), span }, behind)) => (Some((*unit, span.clone())), behind),
            Some((token, _)) => {
                let word =
                    text.get(token.span.clone()).is_some_and(|word| word.starts_with(char::is_alphabetic));
                let kind = if word { LengthErrorKind::UnknownUnit } else { LengthErrorKind::Unexpected };
                return Err(LengthError::new(kind, token.span.clone(), text));
            }
        };
        quantities.push(Quantity { number, unit });
        rest = behind;
    }
    Ok(quantities)
}

fn is_numeric(kind: Kind) -> bool {
    matches!(kind, Kind::Numeral | Kind::Vulgar(..) | Kind::Slash | Kind::Dash)
}

/// One number with one unit.
fn alone(text: &str, quantity: &Quantity<'_>, bare: Option<Unit>) -> Result<Parsed, LengthError> {
    let span = quantity.span();
    let (unit, written) = match (&quantity.unit, bare) {
        (Some((unit, _)), _) => (*unit, true),
        (None, Some(unit)) => (unit, false),
        (None, None) => {
            // Nothing is nothing in every unit, and what is no number in any unit is told first.
            let read = number(text, quantity.number, Measure { unit: Unit::Metre, written: false })?;
            if read.numerator == 0 {
                return Ok(Parsed { length: Length::ZERO, notice: None });
            }
            return Err(LengthError::new(LengthErrorKind::NoUnit, span, text));
        }
    };
    let number = number(text, quantity.number, Measure { unit, written })?;
    if number.fraction && !written && unit.system() == System::Metric {
        return Err(LengthError::new(LengthErrorKind::FractionInMetric, span, text));
    }
    total(text, span, 0, unit, number)
}

/// Whole feet, and inches with or without their mark.
fn feet_and_inches(text: &str, feet: &Quantity<'_>, inches: &Quantity<'_>) -> Result<Parsed, LengthError> {
    // The dash of 5'-11 joins.
    let digits = match inches.number.split_first() {
        Some((Token { kind: Kind::Dash, .. }, digits)) if !digits.is_empty() => digits,
        _ => inches.number,
    };
    let whole = number(text, feet.number, Measure { unit: Unit::Foot, written: true })?;
    if whole.fraction || whole.denominator != 1 {
        return Err(LengthError::new(LengthErrorKind::PartOfFootTwice, feet.span(), text));
    }
    let span = feet.span().start..inches.span().end;
    let mut rest = number(text, digits, Measure { unit: Unit::Inch, written: true })?;
    if rest.numerator >= 12 * rest.denominator && rest.notice.is_none() {
        rest.notice = Some(Notice::new(NoticeKind::InchesPastFoot, span.clone(), text, String::new()));
    }
    total(text, span, whole.numerator, Unit::Inch, rest)
}

/// The sum in ticks, rounded down.
fn total(
    text: &str,
    span: Range<usize>,
    feet: u128,
    unit: Unit,
    number: Number,
) -> Result<Parsed, LengthError> {
    // Numerals stop at 10^30, units at 2^27, and feet at 10^10: all fit u128.
    let product = number.numerator * u128::from(unit.ticks().unsigned_abs());
    let (rest, finer) = (product / number.denominator, !product.is_multiple_of(number.denominator));
    let ticks = feet * u128::from(Unit::Foot.ticks().unsigned_abs()) + rest;
    let length = i64::try_from(ticks).ok().map(Length::from_ticks).filter(|length| *length <= Length::MAX);
    let Some(length) = length else { return Err(LengthError::new(LengthErrorKind::TooLarge, span, text)) };
    if finer && length.is_zero() {
        return Err(LengthError::new(LengthErrorKind::TooSmall, span, text));
    }
    let rounded =
        || Notice::new(NoticeKind::FinerThanTick, span, text, format!("{} mm", length.mm_decimal()));
    Ok(Parsed { length, notice: number.notice.or_else(|| finer.then(rounded)) })
}
