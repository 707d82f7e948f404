//! Why was a length refused, or read with a doubt? Kinds, bytes for a caret, and what to write instead.

use std::fmt;
use std::ops::Range;

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
    /// No number where one must stand: `abc`, `23 in in`.
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
    /// `2x4`: a nominal size.
    NominalSize,
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
                format!("write `{}` or `{}`", digits.replace(',', ""), digits.replace(',', "."))
            }
            K::Marks => "write thousands without a mark, and one point or comma before decimals".to_owned(),
            K::FractionInMetric => {
                format!("bare numbers are metric here; for inches write the inch mark: {}", Inches(self.text.trim()))
            }
            K::InchesBeforeFeet => "write feet first: `6' 12\"`".to_owned(),
            K::PartOfFootTwice => "write whole feet before inches, or decimal feet alone: `5' 6\"`, `5.5'`".to_owned(),
            K::NominalSize => {
                format!("{text} names a section; give it as the section, or write the actual size as length and width")
            }
            K::Rounded => "a length marked ~ was rounded for print; take the exact one, or leave the ~ out".to_owned(),
            K::Negative => "a dash joins a whole number and a fraction: `23-5/8`".to_owned(),
            K::TooManyDigits => "a thousandth of an inch or of a millimetre is fine enough: `23.625 in`".to_owned(),
            K::Unexpected => "lengths look like `23 5/8\"`, `5' 11 1/2\"`, `600 mm`, `0.6 m`".to_owned(),
            K::NoNumber => "a length starts with a number: `23 5/8\"`, `600 mm`".to_owned(),
            K::TooLarge => "is the unit right? the longest length is 13.7 km".to_owned(),
            K::Empty | K::TooLong | K::Zero | K::ZeroDenominator | K::TooSmall => return None,
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
            K::NominalSize => "a length",
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

/// Why a length that was read may not be what was meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum NoticeKind {
    /// `11/2`: probably 1 1/2 with the space forgotten.
    SpaceForgotten,
    /// `23 9/8`: a fraction of more than one.
    FractionPastOne,
    /// `5' 14"`: more inches than a foot has.
    InchesPastFoot,
    /// `1.220 mm`: a little over a millimetre, or 1220 mm with a thousands mark.
    PointOrThousands,
    /// `31.91666667 in`, `1/3 in`: no whole number of ticks, rounded down by less than 1/80 000 mm.
    FinerThanTick,
}

/// A doubt about a length that was read, for a warning.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    kind: NoticeKind,
    span: Range<usize>,
    text: String,
    other: String,
}

impl Notice {
    /// `other` is what was perhaps meant.
    pub(super) fn new(kind: NoticeKind, span: Range<usize>, text: &str, other: String) -> Self {
        Self { kind, text: part(text, &span).to_owned(), span, other }
    }

    /// Why it is doubtful.
    pub const fn kind(&self) -> NoticeKind {
        self.kind
    }

    /// The bytes of the text that are doubtful.
    pub fn span(&self) -> Range<usize> {
        self.span.clone()
    }
}

impl fmt::Display for Notice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (found, other) = (Quoted(&self.text), Quoted(&self.other));
        match self.kind {
            NoticeKind::SpaceForgotten => write!(f, "{found} is read as one fraction; was {other} meant?"),
            NoticeKind::FractionPastOne => {
                write!(f, "the fraction in {found} is one or more; read as it stands")
            }
            NoticeKind::InchesPastFoot => {
                write!(f, "{found} has a foot or more of inches; read as it stands")
            }
            NoticeKind::PointOrThousands => {
                write!(f, "the point in {found} is read as a decimal point; was {other} meant?")
            }
            NoticeKind::FinerThanTick => {
                write!(f, "{found} is finer than 1/80000 mm; rounded down to {other}")
            }
        }
    }
}
