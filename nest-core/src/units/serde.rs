//! How are lengths and money written in files of other programs? Lengths as millimetres, money and names as text.
//!
//! A length is a JSON number with up to 7 decimals, without any where it is a whole number of millimetres; what is no
//! whole number of ticks is refused, not rounded. Money is text, because a price in a binary float is no price:
//! `"86.90"`. Names are text in their one canonical spelling. What is written is read back as the same value.

use serde::de::{Deserialize, Deserializer, Error};
use serde::ser::{Serialize, Serializer};

use super::fault::Quoted;
use super::{Length, LengthStyle, Money, Nominal, Rate, System, Unit};

impl Serialize for Length {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.ticks() % Self::TICKS_PER_MM == 0 {
            serializer.serialize_i64(self.ticks() / Self::TICKS_PER_MM)
        } else {
            serializer.serialize_f64(self.to_mm_f64())
        }
    }
}

impl<'de> Deserialize<'de> for Length {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let mm = f64::deserialize(deserializer)?;
        Self::from_mm_f64(mm).ok_or_else(|| {
            D::Error::custom(format_args!(
                "expected millimetres in steps of 1/80000 up to {}, but found `{mm}`",
                Self::MAX.mm_decimal()
            ))
        })
    }
}

/// Writes values as the text they display as, and reads that text.
macro_rules! as_text {
    ($($type:ty: $expected:literal),* $(,)?) => { $(
        impl Serialize for $type {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.collect_str(self)
            }
        }

        impl<'de> Deserialize<'de> for $type {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let text = String::deserialize(deserializer)?;
                text.parse().map_err(|_| D::Error::custom(format_args!(
                    "expected {}, but found {}", $expected, Quoted(&text)
                )))
            }
        }
    )* };
}

as_text! {
    Money: "money as text such as \"86.90\"",
    Rate: "a price as text such as \"0.8725\"",
    Nominal: "a nominal size such as \"1x4\"",
    Unit: "one of \"in\", \"ft\", \"mm\", \"cm\", \"m\"",
    System: "\"inch\" or \"metric\"",
    LengthStyle: "a style such as \"1/16 in\", \"ft 1/16 in\", \"0.001 in\", \"mm\", \"cm\", \"m\"",
}

#[cfg(test)]
mod tests {
    use std::fmt::Display;
    use std::str::FromStr;

    use super::*;
    use serde::de::IntoDeserializer;
    use serde::de::value::Error;

    /// The text of a value, written through its `Serialize`.
    struct Written<T>(T);

    impl<T: Serialize> Display for Written<T> {
        fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
            self.0.serialize(f)
        }
    }

    fn read<T: for<'de> Deserialize<'de>>(text: &str) -> Result<T, Error> {
        T::deserialize(text.into_deserializer())
    }

    fn returns<T: Serialize + for<'de> Deserialize<'de> + PartialEq + std::fmt::Debug + Copy>(
        value: T,
        text: &str,
    ) {
        assert_eq!(Written(value).to_string(), text);
        assert_eq!(read::<T>(text), Ok(value));
    }

    #[test]
    fn names_and_money_return() {
        returns(Money::from_minor(8690), "86.90");
        returns(Money::from_minor(-5), "-0.05");
        returns(Money::from_minor(i64::MIN), "-92233720368547758.08");
        returns(Rate::from_millionths(872_500), "0.8725");
        returns(Rate::from_millionths(2_500_000), "2.50");
        returns(System::Metric, "metric");
        returns(LengthStyle::FeetInches { denominator: 32 }, "ft 1/32 in");
        for unit in Unit::ALL {
            returns(unit, unit.symbol());
        }
        let Ok(section) = Nominal::from_str("5/4 x 6") else { panic!("5/4x6 is a nominal size") };
        returns(section, "5/4x6");
    }

    #[test]
    fn lengths_are_millimetres() {
        assert_eq!(Written(Length::mm(600)).to_string(), "600");
        assert_eq!(
            Length::inches(23, 32).map(|length| Written(length).to_string()).as_deref(),
            Some("18.25625")
        );
        let read = |mm: f64| Length::deserialize(IntoDeserializer::<Error>::into_deserializer(mm));
        assert_eq!(read(18.25625).ok(), Length::inches(23, 32));
        assert_eq!(
            read(0.00001).map_err(|error| error.to_string()),
            Err("expected millimetres in steps of 1/80000 up to 13743895.3472, but found `0.00001`"
                .to_owned())
        );
        let whole = Length::deserialize(IntoDeserializer::<Error>::into_deserializer(600_i64));
        assert_eq!(whole.ok(), Some(Length::mm(600)));
    }

    #[test]
    fn other_spellings_are_refused() {
        for text in
            ["", "86,90", "86.9", "86", "+1.00", "1.000", ".50", "--1.00", "1e2", "92233720368547758.08"]
        {
            assert!(read::<Money>(text).is_err(), "{text}");
        }
        assert_eq!(
            read::<Unit>("yd\n").map_err(|error| error.to_string()),
            Err(r#"expected one of "in", "ft", "mm", "cm", "m", but found `yd\n`"#.to_owned())
        );
    }
}
