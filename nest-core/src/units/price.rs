//! What does this price say? Reads an amount of money as people write it, and refuses what has two readings.
//!
//! ```
//! use nest_core::units::{Money, MoneyErrorKind as Refused, parse_money, parse_rate};
//!
//! for (text, minor) in [
//!     ("86.90", 86_90), ("86,90", 86_90), ("86", 86_00), ("86.9", 86_90), ("0", 0), (".5", 50),
//!     ("1234.50", 1234_50), ("1 234.50", 1234_50), ("1,234.50", 1234_50), ("1.234,50", 1234_50),
//!     ("1'234.50", 1234_50), ("1,234,567", 1_234_567_00),
//!     ("$86.90", 86_90), ("86,90 €", 86_90), ("EUR 86.90", 86_90), ("86.90 USD", 86_90), ("US$ 86.90", 86_90),
//!     ("86.90 kr", 86_90),
//! ] {
//!     assert_eq!(parse_money(text).map(Money::minor), Ok(minor), "{text}");
//! }
//!
//! for (text, kind) in [
//!     ("", Refused::Empty), ("-5", Refused::Negative), ("(5)", Refused::Unexpected), ("abc", Refused::NoNumber),
//!     ("1,234", Refused::Ambiguous), ("1.234", Refused::Ambiguous), ("0.8725", Refused::TooManyDecimals),
//!     ("1.2.3", Refused::Marks), ("86.90 per foot", Refused::Unexpected), ("12 ft", Refused::Unexpected),
//!     ("100000000.01", Refused::TooLarge), ("$86 USD", Refused::Unexpected),
//! ] {
//!     assert_eq!(parse_money(text).map_err(|error| error.kind()), Err(kind), "{text}");
//! }
//!
//! assert_eq!(parse_rate("0.8725").map(|rate| rate.millionths()), Ok(872_500));
//! assert_eq!(parse_rate("1.234").map(|rate| rate.millionths()), Ok(1_234_000));
//! assert_eq!(parse_rate("1,234").map_err(|error| error.kind()), Err(Refused::Ambiguous));
//! ```
//!
//! The currency beside the number is not part of the amount: [`currency_in`] tells it to whoever compares it with the
//! batch's. Cost: one pass over at most 4 KiB. It never panics.

use std::fmt;
use std::ops::Range;

use super::fault::{LONGEST_TEXT, Quoted, part};
use super::numeral::{Comma, Fault, joined, numeral};
use super::{Money, Rate};

/// Why a text is no amount of money.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum MoneyErrorKind {
    /// Nothing but spaces.
    Empty,
    /// Longer than any cell of a list.
    TooLong,
    /// Less than nothing.
    Negative,
    /// No number where one must stand.
    NoNumber,
    /// Something beside the number that is no currency.
    Unexpected,
    /// `1,234` may be 1234 or 1.234.
    Ambiguous,
    /// Points and commas that group digits in no known way.
    Marks,
    /// More decimals than an amount (2) or a rate (6) has.
    TooManyDecimals,
    /// More than the highest price, a hundred million.
    TooLarge,
}

/// A text that is no amount of money, and where it goes wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MoneyError {
    kind: MoneyErrorKind,
    span: Range<usize>,
    text: String,
}

impl MoneyError {
    /// Why it was refused.
    pub const fn kind(&self) -> MoneyErrorKind {
        self.kind
    }

    /// The bytes of the text that are to blame.
    pub fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// What to write instead, where there is something to say.
    pub fn hint(&self) -> Option<String> {
        use MoneyErrorKind as K;
        Some(match self.kind {
            K::Ambiguous => {
                let whole = part(&self.text, &self.span).replace([',', '.'], "");
                format!("write `{whole}` if the mark stands for thousands")
            }
            K::Marks => "write thousands without a mark, and one point or comma before decimals".to_owned(),
            K::NoNumber | K::Unexpected => {
                "prices look like `86.90`, `86,90`, `$86.90`, `86.90 EUR`".to_owned()
            }
            K::TooManyDecimals => {
                "a price has up to 2 decimals, a price per length or area up to 6".to_owned()
            }
            K::Negative => "write 0 for what costs nothing; credits are not counted".to_owned(),
            K::Empty | K::TooLong | K::TooLarge => return None,
        })
    }
}

impl fmt::Display for MoneyError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        use MoneyErrorKind as K;
        let (whole, found) = (Quoted(self.text.trim()), Quoted(part(&self.text, &self.span)));
        let expected = match self.kind {
            K::Empty => return f.write_str("expected a price, but found nothing"),
            K::TooLong => return write!(f, "expected a price, but found a very long text starting {whole}"),
            K::Ambiguous => return write!(f, "expected one meaning of {found}, but found two"),
            K::Negative => "a price of zero or more",
            K::NoNumber => "a price",
            K::Unexpected => "a price and at most a currency",
            K::Marks => "a number",
            K::TooManyDecimals => "a number of fewer decimals",
            K::TooLarge => "a price up to 100000000.00",
        };
        write!(f, "expected {expected}, but found {found}")?;
        if part(&self.text, &self.span).len() < self.text.trim().len() {
            write!(f, " in {whole}")
        } else {
            Ok(())
        }
    }
}

impl std::error::Error for MoneyError {}

/// Reads an amount of money with up to 2 decimals, with or without a currency before or after it.
///
/// # Errors
///
/// Says what was expected and found, at which bytes, and what to write instead. See the table above.
pub fn parse_money(text: &str) -> Result<Money, MoneyError> {
    // A point before three digits cannot be two decimals, so it may be a thousands mark.
    let millionths = millionths(text, 2, true)?;
    Ok(Money::from_minor(millionths / 10_000))
}

/// Reads a price per length, area or board foot with up to 6 decimals.
///
/// # Errors
///
/// As [`parse_money`].
pub fn parse_rate(text: &str) -> Result<Rate, MoneyError> {
    millionths(text, 6, false).map(Rate::from_millionths)
}

/// The currency that is written beside an amount: `$`, `EUR`, `kr`.
///
/// ```
/// use nest_core::units::currency_in;
/// assert_eq!(currency_in("86,90 €"), Some("€"));
/// assert_eq!(currency_in("86.90"), None);
/// ```
pub fn currency_in(text: &str) -> Option<&str> {
    let (before, number, after) = split(text);
    let found = |span: Range<usize>| text.get(span).map(str::trim).filter(|word| !word.is_empty());
    let word = if number.is_empty() { None } else { found(before).or_else(|| found(after)) };
    word.filter(|word| is_currency(word))
}

fn millionths(text: &str, places: u32, point_unclear: bool) -> Result<i64, MoneyError> {
    use MoneyErrorKind as K;
    let refuse = |kind, span| Err(MoneyError { kind, span, text: text.to_owned() });
    if text.len() > LONGEST_TEXT {
        let start: String = text.chars().take(80).collect();
        return Err(MoneyError { kind: K::TooLong, span: 0..start.len(), text: start });
    }
    let all = text.len() - text.trim_start().len()..text.trim_end().len();
    if all.is_empty() {
        return refuse(K::Empty, 0..text.len());
    }
    let (before, number, after) = split(text);
    if number.is_empty() {
        return refuse(K::NoNumber, all);
    }
    let slice = |span: &Range<usize>| part(text, span).trim();
    // `-5`, `-$5`, `$-5`
    if slice(&before).contains(['-', '−', '–']) {
        return refuse(K::Negative, all);
    }
    let sides = [slice(&before), slice(&after)];
    let currencies = sides.iter().filter(|side| !side.is_empty()).count();
    if currencies > 1 || !sides.iter().all(|side| side.is_empty() || is_currency(side)) {
        let span = if slice(&after).is_empty() { before } else { after };
        return refuse(K::Unexpected, trimmed(text, span));
    }
    let groups: Vec<&str> = part(text, &number).split(is_gap).collect();
    let digits = match groups.as_slice() {
        [only] => (*only).to_owned(),
        groups => match joined(groups) {
            Some(digits) => digits,
            None => return refuse(K::Marks, number),
        },
    };
    let numeral = match numeral(&digits) {
        Ok(numeral) => numeral,
        Err(Fault::Marks) => return refuse(K::Marks, number),
        Err(Fault::TooManyDigits) => return refuse(K::TooManyDecimals, number),
        Err(Fault::TooLarge) => return refuse(K::TooLarge, number),
    };
    if numeral.comma != Comma::Clear || point_unclear && numeral.point_before_three {
        return refuse(K::Ambiguous, number);
    }
    let value = numeral.value;
    if value.places > places {
        return refuse(K::TooManyDecimals, number);
    }
    // At most (10^10 + 1) * 10^6.
    let millionths = value.digits * 10_u128.pow(6 - value.places);
    match i64::try_from(millionths) {
        Ok(millionths) if millionths <= Rate::MAX.millionths() => Ok(millionths),
        _ => refuse(K::TooLarge, number),
    }
}

/// Before, in and behind the number; the number is empty where there is no digit.
fn split(text: &str) -> (Range<usize>, Range<usize>, Range<usize>) {
    let is_digit = |c: char| c.is_ascii_digit();
    let (Some(first), Some(last)) = (text.find(is_digit), text.rfind(is_digit)) else {
        return (0..text.len(), 0..0, 0..0);
    };
    // A mark in front (`.5`) belongs to the number, and so does one behind, which is then an error.
    let is_mark = |c: char| matches!(c, '.' | ',');
    let before = text.get(..first).unwrap_or_default();
    let start = before.strip_suffix(is_mark).filter(|rest| !rest.ends_with(char::is_alphabetic));
    let start = start.map_or(first, str::len);
    let behind = text.get(last + 1..).unwrap_or_default();
    let end = last + 1 + usize::from(behind.starts_with(is_mark));
    let between = text.get(start..end).unwrap_or_default();
    // `5 ft 3`: the number ends where something else begins.
    let end =
        between.find(|c: char| !c.is_ascii_digit() && !is_mark(c) && !is_gap(c)).map_or(end, |at| start + at);
    (0..start, start..end, end..text.len())
}

/// What stands between groups of digits.
fn is_gap(c: char) -> bool {
    c.is_whitespace() || matches!(c, '\'' | '’')
}

/// A currency sign, with letters before it or not (`$`, `US$`), three capital letters, or a short word of some
/// countries.
fn is_currency(word: &str) -> bool {
    let is_sign = |c: char| matches!(c, '$' | '¢' | '£' | '¤' | '¥' | '\u{20a0}'..='\u{20cf}');
    let code = word.len() == 3 && word.bytes().all(|b| b.is_ascii_uppercase());
    let known = ["kr", "kr.", "Kr", "Kč", "zł", "Fr", "Fr.", "lei", "R", "RM", "Rs", "Rs."].contains(&word);
    let signed = word
        .strip_suffix(is_sign)
        .is_some_and(|country| country.len() <= 3 && country.bytes().all(|b| b.is_ascii_uppercase()));
    code || known || signed
}

/// A span without the spaces at its ends.
fn trimmed(text: &str, span: Range<usize>) -> Range<usize> {
    let inner = part(text, &span);
    let start = span.start + (inner.len() - inner.trim_start().len());
    start..start + inner.trim().len()
}
