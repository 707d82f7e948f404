//! Why was a length refused? A kind, the bytes for a caret, a message, and what to write instead.

use std::fmt;
use std::ops::Range;

use super::actual_size;
use super::fault::{Quoted, part};

/// Why a text is no length.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum LengthErrorKind {
    /// Nothing but spaces.
    Empty,
    /// Longer than any cell of a list.
    TooLong,
    /// `0`, where a length must be more than nothing.
    Zero,
    /// `-5`.
    Negative,
    /// A number without a unit, and no unit was given for the whole batch.
    NoUnit,
    /// A word that is no unit: `3/4 ply`.
    UnknownUnit,
    /// No number where a length starts: `abc`.
    NoNumber,
    /// Something that no length goes on with: `1/2/3`.
    Unexpected,
    /// `1,220` may be 1220 or 1.22.
    Ambiguous,
    /// Points and commas that group digits in no known way: `1.2.3`.
    Marks,
    /// `5/0`.
    ZeroDenominator,
    /// `3/4` where bare numbers are metric.
    FractionInMetric,
    /// `12" 6'`: inches before feet.
    InchesBeforeFeet,
    /// `5.5' 3"`: a part of a foot twice.
    PartOfFootTwice,
    /// `2x4`: a nominal size, or two lengths in one.
    NominalSize,
    /// `1.5/2`, `23.5 1/2`: a decimal in or before a fraction.
    DecimalInFraction,
    /// `~23 5/8"`: marked as rounded.
    Rounded,
    /// More digits than anything can be measured to.
    TooManyDigits,
    /// Less than the finest length, 1/80 000 mm.
    TooSmall,
    /// Longer than the longest length, about 13.7 km.
    TooLarge,
}

/// A text that is no length, and where it goes wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LengthError {
    kind: LengthErrorKind,
    span: Range<usize>,
    text: String,
}

impl LengthError {
    pub(super) fn new(kind: LengthErrorKind, span: Range<usize>, text: &str) -> Self {
        Self { kind, span, text: text.to_owned() }
    }

    /// Why it was refused.
    pub const fn kind(&self) -> LengthErrorKind {
        self.kind
    }

    /// The bytes of the text that are to blame; empty at the end of the text where something is missing.
    pub fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// What to write instead, where there is something to say.
    pub fn hint(&self) -> Option<String> {
        use LengthErrorKind as K;
        let text = Quoted(self.text.trim());
        Some(match self.kind {
            K::NoUnit => {
                "write the unit after the number (`600 mm`, `23 5/8 in`), or say once which units bare numbers have"
                    .to_owned()
            }
            K::UnknownUnit => "units are in or \", ft or ', mm, cm, m".to_owned(),
            K::Ambiguous => {
                let digits = part(&self.text, &self.span);
                let decimal = digits.replace(',', ".");
                let decimal = decimal.trim_end_matches('0').trim_end_matches('.');
                format!("write `{}` or `{decimal}`", digits.replace(',', ""))
            }
            K::Marks => "write thousands without a mark, and one point or comma before decimals".to_owned(),
            K::FractionInMetric => {
                format!("bare numbers are metric here; for inches write the inch mark: {}", Inches(self.text.trim()))
            }
            K::InchesBeforeFeet => "write feet first: `6' 12\"`".to_owned(),
            K::PartOfFootTwice => "write whole feet before inches, or decimal feet alone: `5' 6\"`, `5.5'`".to_owned(),
            K::NominalSize if self.text.parse().is_ok_and(|nominal| actual_size(&nominal).is_some()) => {
                format!("{text} names a section; give it as the section, or write the actual size as two lengths")
            }
            K::NominalSize => "write length and width as two values".to_owned(),
            K::DecimalInFraction => "write a decimal or a fraction: `23.625`, `23 5/8`".to_owned(),
            K::Rounded => "a length marked ~ was rounded for print; take the exact one, or leave the ~ out".to_owned(),
            K::Negative => "write it without the dash in front; within a length a dash joins a number and a fraction: `23-5/8`".to_owned(),
            K::TooManyDigits => "a thousandth of an inch or of a millimetre is fine enough: `23.625 in`".to_owned(),
            K::Unexpected => "lengths look like `23 5/8\"`, `5' 11 1/2\"`, `600 mm`, `0.6 m`".to_owned(),
            K::ZeroDenominator => "behind the slash stands a number above zero: `3/4`".to_owned(),
            K::NoNumber | K::Empty => "a length starts with a number: `23 5/8\"`, `600 mm`".to_owned(),
            K::TooLarge => "is the unit right? the longest length is 13.7 km".to_owned(),
            K::TooLong | K::Zero | K::TooSmall => return None,
        })
    }
}

/// A bare number of inches with its mark.
struct Inches<'a>(&'a str);

impl fmt::Display for Inches<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        Quoted(&format!("{}\"", self.0)).fmt(f)
    }
}

impl fmt::Display for LengthError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        use LengthErrorKind as K;
        let (whole, found) = (Quoted(self.text.trim()), Quoted(part(&self.text, &self.span)));
        let expected = match self.kind {
            K::Empty => return f.write_str("expected a length, but found nothing"),
            K::TooLong => return write!(f, "expected a length, but found a very long text starting {whole}"),
            K::NoUnit => return write!(f, "expected a unit after {found}, but found none"),
            K::Ambiguous => return write!(f, "expected one meaning of {found}, but found two"),
            K::ZeroDenominator => {
                return write!(f, "expected a fraction, but found {found}, which divides by zero");
            }
            K::Unexpected if self.span.is_empty() => {
                return write!(f, "expected the rest of a fraction, but found the end of {whole}");
            }
            K::Zero | K::Negative => "a length above zero",
            K::UnknownUnit => "a unit of length",
            K::NoNumber => "a number",
            K::Unexpected => "the end of the length",
            K::Marks => "a number",
            K::FractionInMetric => "a decimal number of millimetres, centimetres or metres",
            K::InchesBeforeFeet => "feet before inches",
            K::PartOfFootTwice => "a whole number of feet before inches",
            K::NominalSize => "one length",
            K::DecimalInFraction => "a fraction of whole numbers",
            K::Rounded => "an exact length",
            K::TooManyDigits => "a number of fewer digits",
            K::TooSmall => "a length of at least 1/80000 mm",
            K::TooLarge => "a length up to 13.7 km",
        };
        write!(f, "expected {expected}, but found {found}")?;
        // Where the part to blame is nearly all of the text, saying it twice helps nobody.
        if part(&self.text, &self.span).len() < self.text.trim().len() {
            write!(f, " in {whole}")
        } else {
            Ok(())
        }
    }
}

impl std::error::Error for LengthError {}

#[cfg(test)]
mod tests {
    use crate::units::{Unit, parse_length};

    #[test]
    fn refusals_say_what_was_expected_and_found_and_where() {
        for (text, bare, blamed, message) in [
            ("", None, "", "expected a length, but found nothing"),
            (" 0 mm ", None, "0 mm", "expected a length above zero, but found `0 mm`"),
            ("-5", Some(Unit::Inch), "-5", "expected a length above zero, but found `-5`"),
            ("600", None, "600", "expected a unit after `600`, but found none"),
            ("3/4 ply", None, "ply", "expected a unit of length, but found `ply` in `3/4 ply`"),
            ("abc", None, "abc", "expected a number, but found `abc`"),
            ("/2 in", None, "/", "expected a number, but found `/` in `/2 in`"),
            ("1/2/3 in", None, "/", "expected the end of the length, but found `/` in `1/2/3 in`"),
            ("23 1/", Some(Unit::Inch), "", "expected the rest of a fraction, but found the end of `23 1/`"),
            ("1,220", Some(Unit::Inch), "1,220", "expected one meaning of `1,220`, but found two"),
            ("1.2.3 mm", None, "1.2.3", "expected a number, but found `1.2.3` in `1.2.3 mm`"),
            ("1.5/2 in", None, "1.5", "expected a fraction of whole numbers, but found `1.5` in `1.5/2 in`"),
            ("5/0 in", None, "5/0", "expected a fraction, but found `5/0`, which divides by zero"),
            ("12\"6'", None, "12\"6'", "expected feet before inches, but found `12\"6'`"),
            ("2x4", None, "2x4", "expected one length, but found `2x4`"),
            ("~5 in", None, "~", "expected an exact length, but found `~` in `~5 in`"),
            ("14 km", None, "km", "expected a unit of length, but found `km` in `14 km`"),
            (
                "5\u{7}",
                Some(Unit::Inch),
                "\u{7}",
                "expected the end of the length, but found `\\u{7}` in `5\\u{7}`",
            ),
        ] {
            let error = parse_length(text, bare).map(|parsed| parsed.length).unwrap_err();
            assert_eq!((&text[error.span()], error.to_string().as_str()), (blamed, message));
        }
    }

    #[test]
    fn hints_say_what_to_write() {
        let hint = |text, bare| parse_length(text, bare).unwrap_err().hint();
        for (text, bare, expected) in [
            ("1,220", Some(Unit::Inch), "write `1220` or `1.22`"),
            (
                "3/4",
                Some(Unit::Metre),
                "bare numbers are metric here; for inches write the inch mark: `3/4\"`",
            ),
            ("600 x 400", Some(Unit::Millimetre), "write length and width as two values"),
            ("12\"6'", None, "write feet first: `6' 12\"`"),
            ("3/0", Some(Unit::Inch), "behind the slash stands a number above zero: `3/4`"),
            ("", None, "a length starts with a number: `23 5/8\"`, `600 mm`"),
        ] {
            assert_eq!(hint(text, bare).as_deref(), Some(expected));
        }
        let section =
            "`2x4` names a section; give it as the section, or write the actual size as two lengths";
        assert_eq!(hint("2x4", None).as_deref(), Some(section));
        assert_eq!(hint("0 in", None), None);
    }
}
