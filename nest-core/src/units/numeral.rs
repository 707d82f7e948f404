//! Which number do these digits, points and commas spell?
//!
//! Half of the world writes 1,220.5 and the other half 1.220,5. A mark is read only where one reading is possible:
//!
//! | written | read |
//! |---|---|
//! | `600`, `23.625`, `.6`, `0,6`, `,6` | one mark: a decimal mark |
//! | `1.220` | a point alone is a decimal mark, also before three digits |
//! | `1,220` | a comma alone before exactly three digits: not decided here ([`Comma::Unclear`]) |
//! | `0,600`, `1220,500` | no thousands could be written like this: a decimal mark |
//! | `1,220.5`, `1.220,5` | the last of two marks is the decimal mark |
//! | `1,220,500`, `1.220.500` | the same mark twice: thousands |
//!
//! Cost: one pass over the text.

/// The most decimals that are looked at; trailing zeros do not count.
const MOST_PLACES: usize = 20;

/// Whole parts beyond this are larger than anything a caller accepts.
const MOST_WHOLE: u128 = 10_000_000_000;

/// `digits / 10^places`, below about 10^30, so that a caller can multiply by 2^26 in 128 bits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Decimal {
    pub(super) digits: u128,
    pub(super) places: u32,
}

impl Decimal {
    /// `10^places`.
    pub(super) fn scale(self) -> u128 {
        10_u128.pow(self.places)
    }
}

/// What a comma was taken for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Comma {
    /// There is one reading, and [`Numeral::value`] is it.
    Clear,
    /// `1,220`: [`Numeral::value`] takes the comma as a decimal mark, this is the reading without it.
    Unclear { thousands: Decimal },
}

/// A number as written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Numeral {
    pub(super) value: Decimal,
    pub(super) comma: Comma,
    /// How many digits stand before the first mark.
    pub(super) lead: usize,
    /// Whether a single point stands before exactly three digits, as a thousands mark would: `1.220`.
    pub(super) point_before_three: bool,
    /// Whether it has no mark at all.
    pub(super) plain: bool,
}

/// Why digits and marks spell no number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Fault {
    /// A mark with no digit after it, or marks that group the digits in no known way.
    Marks,
    /// More decimals than anything can be measured or priced to.
    TooManyDigits,
    /// Too large for anything here.
    TooLarge,
}

/// Reads digits with points and commas; `text` holds nothing else.
pub(super) fn numeral(text: &str) -> Result<Numeral, Fault> {
    let marks: Vec<char> = text.chars().filter(|c| matches!(c, '.' | ',')).collect();
    let groups: Vec<&str> = text.split(['.', ',']).collect();
    let lead = groups.first().map_or(0, |group| group.len());
    let clear = |value, point_before_three, plain| {
        Ok(Numeral { value, comma: Comma::Clear, lead, point_before_three, plain })
    };
    // Every mark needs digits after it, and only a decimal mark at the very start may have none before it.
    if groups.iter().skip(1).any(|group| group.is_empty()) {
        return Err(Fault::Marks);
    }
    match (marks.as_slice(), groups.as_slice()) {
        ([], [whole]) if !whole.is_empty() => clear(decimal(whole, "")?, false, true),
        ([mark], [whole, rest]) => {
            let thousands_shape = groups_of_three(&[whole, rest]);
            let value = decimal(whole, rest)?;
            if *mark == ',' && thousands_shape {
                let thousands = decimal(&format!("{whole}{rest}"), "")?;
                let comma = Comma::Unclear { thousands };
                return Ok(Numeral { value, comma, lead, point_before_three: false, plain: false });
            }
            clear(value, thousands_shape, false)
        }
        ([mark, middle @ .., last_mark], [wholes @ .., rest]) => {
            let same = middle.iter().all(|other| other == mark);
            if same && last_mark == mark && groups_of_three(&groups) {
                return clear(decimal(&groups.concat(), "")?, false, false);
            }
            if same && last_mark != mark && groups_of_three(wholes) {
                return clear(decimal(&wholes.concat(), rest)?, false, false);
            }
            Err(Fault::Marks)
        }
        _ => Err(Fault::Marks),
    }
}

/// Joins groups of digits that stood apart (`1 220,5`): the first of one to three digits, the rest of exactly three,
/// with a decimal part on the last one only. `None` where they are not such groups.
pub(super) fn joined(groups: &[&str]) -> Option<String> {
    let (last, wholes) = groups.split_last()?;
    let whole_of_last = last.split(['.', ',']).next()?;
    let mut digits: Vec<&str> = wholes.to_vec();
    digits.push(whole_of_last);
    let plain = digits.iter().all(|group| group.bytes().all(|b| b.is_ascii_digit()));
    let one_mark = last.matches(['.', ',']).count() <= 1;
    (plain && one_mark && groups_of_three(&digits)).then(|| groups.concat())
}

/// Whether thousands marks could stand between these groups.
fn groups_of_three(groups: &[&str]) -> bool {
    let first = groups.first().is_some_and(|group| (1..=3).contains(&group.len()) && !group.starts_with('0'));
    first && groups.iter().skip(1).all(|group| group.len() == 3)
}

/// The value of `whole.rest`.
fn decimal(whole: &str, rest: &str) -> Result<Decimal, Fault> {
    let rest = rest.trim_end_matches('0');
    if rest.len() > MOST_PLACES {
        return Err(Fault::TooManyDigits);
    }
    let whole = digits(whole)?;
    if whole > MOST_WHOLE {
        return Err(Fault::TooLarge);
    }
    let places = rest.len() as u32;
    // At most (10^10 + 1) * 10^20, far below 2^128.
    let digits = whole * 10_u128.pow(places) + digits(rest)?;
    Ok(Decimal { digits, places })
}

/// The value of plain digits; nothing counts as zero.
pub(super) fn digits(text: &str) -> Result<u128, Fault> {
    let text = text.trim_start_matches('0');
    if text.is_empty() {
        return Ok(0);
    }
    if text.bytes().all(|b| b.is_ascii_digit()) {
        text.parse().map_err(|_| Fault::TooLarge)
    } else {
        Err(Fault::TooLarge)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(text: &str) -> Option<(u128, u32)> {
        let numeral = numeral(text).ok()?;
        (numeral.comma == Comma::Clear).then_some((numeral.value.digits, numeral.value.places))
    }

    #[test]
    fn one_mark_is_a_decimal_mark() {
        for (text, digits, places) in [
            ("600", 600, 0),
            ("000600", 600, 0),
            ("23.625", 23_625, 3),
            (".6", 6, 1),
            (",6", 6, 1),
            ("0,6", 6, 1),
            ("0,600", 6, 1),
            ("1220,500", 12_205, 1),
            ("1.220", 122, 2),
            ("12,3456", 123_456, 4),
            ("12,34", 1_234, 2),
        ] {
            assert_eq!(value(text), Some((digits, places)), "{text}");
        }
    }

    #[test]
    fn two_marks_have_one_reading() {
        for text in ["1,220.5", "1.220,5"] {
            assert_eq!(value(text), Some((12_205, 1)), "{text}");
        }
        for text in ["1,220,500", "1.220.500", "1.220.500,0", "1,220,500.00"] {
            assert_eq!(value(text), Some((1_220_500, 0)), "{text}");
        }
    }

    #[test]
    fn a_comma_before_three_digits_is_unclear() {
        for text in ["1,220", "12,200", "122,000"] {
            assert!(matches!(numeral(text), Ok(Numeral { comma: Comma::Unclear { .. }, .. })), "{text}");
        }
    }

    #[test]
    fn marks_without_a_meaning_are_refused() {
        for text in
            ["", ".", "1.", "1,,2", "1.2.3", "1,22,333", "1,2.3", "1.220,5,5", "1.2,220.5", ".220.5", ",1,2"]
        {
            assert!(matches!(numeral(text), Err(Fault::Marks)), "{text}");
        }
        assert_eq!(numeral(&format!("0.{}", "3".repeat(21))), Err(Fault::TooManyDigits));
        assert_eq!(numeral(&"9".repeat(4000)), Err(Fault::TooLarge));
        assert_eq!(value(&format!("0.{}", "0".repeat(4000))), Some((0, 0)));
    }

    #[test]
    fn groups_apart_are_joined() {
        assert_eq!(joined(&["1", "220"]).as_deref(), Some("1220"));
        assert_eq!(joined(&["1", "220,5"]).as_deref(), Some("1220,5"));
        assert_eq!(joined(&["1", "220", "500.25"]).as_deref(), Some("1220500.25"));
        for groups in
            [&["1", "22"][..], &["1234", "220"], &["0", "220"], &["1,5", "220"], &["1", "220,500.5"], &[]]
        {
            assert_eq!(joined(groups), None, "{groups:?}");
        }
    }
}
