//! How is a length written in a message where its exact size matters?

use crate::units::{Length, LengthStyle, Rounding, System};

/// In the user's style if that is exact, else in the coarsest fraction or decimal of the same system that is: a sheet
/// of 23/32 in is not 3/4 in, although a tape marked in sixteenths reads so.
pub(super) fn exact(style: LengthStyle, length: Length) -> String {
    let finer: &[LengthStyle] = match style.parse_unit().system() {
        System::Inch => &[
            LengthStyle::FractionalInches { denominator: 64 },
            LengthStyle::DecimalInches { places: 3 },
            LengthStyle::Millimetres,
        ],
        System::Metric => &[LengthStyle::Millimetres, LengthStyle::FractionalInches { denominator: 64 }],
    };
    let style = std::iter::once(&style).chain(finer).find(|style| style.is_exact(length)).unwrap_or(&style);
    style.format(length, Rounding::Nearest)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thin_differences_are_shown() {
        let inches = LengthStyle::FractionalInches { denominator: 16 };
        let shown = |top, bottom| exact(inches, Length::inches(top, bottom).unwrap());
        assert_eq!([shown(3, 4), shown(23, 32), shown(709, 1000)], ["3/4\"", "23/32\"", "0.709\""]);
        assert_eq!(exact(inches, Length::mm(18)), "18 mm");
        assert_eq!(exact(LengthStyle::Millimetres, Length::inches(23, 32).unwrap()), "23/32\"");
    }
}
