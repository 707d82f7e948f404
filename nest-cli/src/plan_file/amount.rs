//! Costs as decimal text: exact both ways, whatever the cost is counted in.
//!
//! Money has two decimals. A length is written in millimetres: a tick is 1/80 000 mm = 125 / 10^7, so seven
//! decimals are exact. An area is written in square millimetres: a square tick is 15 625 / 10^14.

use nest_core::model::Measure;

/// Decimals of the text, and how many units of its last place one unit of the measure is.
const fn scale(measure: Measure) -> (usize, i128) {
    match measure {
        Measure::Money => (2, 1),
        Measure::Length => (7, 125),
        Measure::Area => (14, 15_625),
    }
}

/// A cost as decimal text: `86.90`, `29260.8`, `1486.4`.
pub fn amount(measure: Measure, cost: i128) -> String {
    let (decimals, factor) = scale(measure);
    let Some(scaled) = cost.checked_mul(factor) else {
        // Not reached by validated sizes and counts; saying it in ticks would be a lie, so say the limit.
        return amount(measure, if cost < 0 { i128::MIN / factor } else { i128::MAX / factor });
    };
    let digits = format!("{:0>width$}", scaled.unsigned_abs(), width = decimals + 1);
    let (whole, part) = digits.split_at(digits.len() - decimals);
    let part = if measure == Measure::Money { part } else { part.trim_end_matches('0') };
    let sign = if cost < 0 { "-" } else { "" };
    if part.is_empty() { format!("{sign}{whole}") } else { format!("{sign}{whole}.{part}") }
}

/// A cost from decimal text.
///
/// # Errors
/// Text that is not digits with at most one point, has more decimals than the measure can hold, or is too large.
pub fn parse_amount(measure: Measure, text: &str) -> Result<i128, String> {
    let (decimals, factor) = scale(measure);
    let wrong = || format!("expected an amount such as \"86.90\", but found {text:?}");
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    let digits = |t: &str| t.bytes().all(|b| b.is_ascii_digit());
    if whole.is_empty() || !digits(whole) || !digits(part) || text.ends_with('.') || part.len() > decimals {
        return Err(wrong());
    }
    let padded = format!("{whole}{part:0<decimals$}");
    let scaled: i128 = padded.parse().map_err(|_| wrong())?;
    if scaled % factor == 0 { Ok(scaled / factor) } else { Err(wrong()) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn write_then_read_is_identity(cost in 0..i128::from(i64::MAX) * 1_000, which in 0..3_usize) {
            let measure = [Measure::Money, Measure::Length, Measure::Area][which];
            prop_assert_eq!(parse_amount(measure, &amount(measure, cost)), Ok(cost));
        }
    }

    #[test]
    fn money_keeps_its_cents_and_lengths_drop_their_zeros() {
        assert_eq!(amount(Measure::Money, 8_690), "86.90");
        assert_eq!(amount(Measure::Money, 5), "0.05");
        assert_eq!(amount(Measure::Length, 96 * 2_032_000), "2438.4");
        assert_eq!(amount(Measure::Length, 1), "0.0000125");
        assert_eq!(amount(Measure::Area, 80_000 * 80_000), "1");
    }

    #[test]
    fn what_is_no_amount_is_refused() {
        for text in ["", ".", "1.", ".5", "-1", "+1", "1e3", "1,5", "1.234", "NaN", " 1", "\u{0661}"] {
            assert!(parse_amount(Measure::Money, text).is_err(), "{text:?} was read");
        }
        assert!(parse_amount(Measure::Length, "0.00000001").is_err());
        assert!(parse_amount(Measure::Length, "0.0000001").is_err(), "no whole number of ticks");
        assert!(parse_amount(Measure::Money, &"9".repeat(60)).is_err());
    }
}
