//! Why may a length that was read not be what was meant? Doubts, for a warning beside the line.

use std::fmt;
use std::ops::Range;

use super::fault::{Quoted, part};

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

#[cfg(test)]
mod tests {
    use crate::units::parse_length;

    #[test]
    fn doubts_say_how_it_was_read() {
        for (text, doubtful, message) in [
            ("11/2\"", "11/2", "`11/2` is read as one fraction; was `1 1/2` meant?"),
            ("235/8 in", "235/8", "`235/8` is read as one fraction; was `23 5/8` meant?"),
            ("2315/16 in", "2315/16", "`2315/16` is read as one fraction; was `23 15/16` meant?"),
            ("23 9/8\"", "23 9/8", "the fraction in `23 9/8` is one or more; read as it stands"),
            ("5' 14\"", "5' 14\"", "`5' 14\"` has a foot or more of inches; read as it stands"),
            ("1.220 mm", "1.220", "the point in `1.220` is read as a decimal point; was `1220` meant?"),
            ("⅔ in", "⅔ in", "`⅔ in` is finer than 1/80000 mm; rounded down to `16.933325 mm`"),
        ] {
            let notice = parse_length(text, None).unwrap().notice.unwrap();
            assert_eq!((&text[notice.span()], notice.to_string().as_str()), (doubtful, message));
        }
    }

    #[test]
    fn what_is_common_is_not_doubted() {
        for text in ["9/8 in", "10/8 in", "15/16 in", "3.175 mm", "600.075 mm", "0.794 mm", "1.220 m", "⅓ ft"]
        {
            assert_eq!(
                parse_length(text, None).unwrap().notice.map(|notice| notice.to_string()),
                None,
                "{text}"
            );
        }
    }
}
