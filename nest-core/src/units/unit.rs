//! What a bare number counts: the units people write lengths in.

use super::Length;

/// A unit of length.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Unit {
    /// 25.4 mm.
    Inch,
    /// 12 in.
    Foot,
    /// A millimetre.
    Millimetre,
    /// 10 mm.
    Centimetre,
    /// 1000 mm.
    Metre,
}

/// The two families of units: one is divided by halving, the other by ten.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum System {
    /// Inches and feet.
    Inch,
    /// Millimetres, centimetres, metres.
    Metric,
}

impl Unit {
    /// All units.
    pub const ALL: [Self; 5] = [Self::Inch, Self::Foot, Self::Millimetre, Self::Centimetre, Self::Metre];

    /// The ticks in one such unit.
    pub const fn ticks(self) -> i64 {
        match self {
            Self::Inch => Length::TICKS_PER_INCH,
            Self::Foot => 12 * Length::TICKS_PER_INCH,
            Self::Millimetre => Length::TICKS_PER_MM,
            Self::Centimetre => 10 * Length::TICKS_PER_MM,
            Self::Metre => 1000 * Length::TICKS_PER_MM,
        }
    }

    /// One such unit as a length.
    pub const fn length(self) -> Length {
        Length::from_ticks(self.ticks())
    }

    /// The family this unit belongs to.
    pub const fn system(self) -> System {
        match self {
            Self::Inch | Self::Foot => System::Inch,
            Self::Millimetre | Self::Centimetre | Self::Metre => System::Metric,
        }
    }

    /// The short name: `in`, `ft`, `mm`, `cm`, `m`.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Inch => "in",
            Self::Foot => "ft",
            Self::Millimetre => "mm",
            Self::Centimetre => "cm",
            Self::Metre => "m",
        }
    }

    /// The unit a word names, in any case: `in`, `inches`, `ft`, `feet`, `mm`, `cm`, `m`, `metres`.
    pub fn from_word(word: &str) -> Option<Self> {
        const WORDS: [(Unit, &[&str]); 5] = [
            (Unit::Inch, &["in", "inch", "inches"]),
            (Unit::Foot, &["ft", "foot", "feet"]),
            (Unit::Millimetre, &["mm", "millimetre", "millimetres", "millimeter", "millimeters"]),
            (Unit::Centimetre, &["cm", "centimetre", "centimetres", "centimeter", "centimeters"]),
            (Unit::Metre, &["m", "metre", "metres", "meter", "meters"]),
        ];
        let names = |words: &[&str]| words.iter().any(|known| known.eq_ignore_ascii_case(word));
        WORDS.iter().find(|(_, words)| names(words)).map(|&(unit, _)| unit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_symbol_names_its_unit() {
        for unit in Unit::ALL {
            assert_eq!(Unit::from_word(unit.symbol()), Some(unit));
            assert_eq!(Unit::from_word(&unit.symbol().to_uppercase()), Some(unit));
        }
        assert_eq!(Unit::from_word("yd"), None);
        assert_eq!(Unit::from_word(""), None);
    }

    #[test]
    fn a_foot_is_304_8_millimetres() {
        assert_eq!(Unit::Foot.length().mm_decimal(), "304.8");
        assert_eq!(Unit::Metre.length(), Length::mm(1000));
    }
}
