//! The laws that tie reading and printing together, on random values and random texts.

use proptest::prelude::*;

use super::*;

/// Styles in which every number they print is a whole number of ticks.
fn tape_styles() -> impl Strategy<Value = LengthStyle> {
    let denominators = prop::sample::select(vec![1_u32, 2, 4, 8, 10, 16, 32, 64, 128]);
    prop_oneof![
        denominators.clone().prop_map(|denominator| LengthStyle::FractionalInches { denominator }),
        denominators.prop_map(|denominator| LengthStyle::FeetInches { denominator }),
        (0_u8..=3).prop_map(|places| LengthStyle::DecimalInches { places }),
        Just(LengthStyle::Millimetres),
        Just(LengthStyle::Centimetres),
        Just(LengthStyle::Metres),
    ]
}

/// All styles, those too whose numbers can be finer than a tick.
fn styles() -> impl Strategy<Value = LengthStyle> {
    prop_oneof![
        3 => tape_styles(),
        1 => (1_u32..=1000).prop_map(|denominator| LengthStyle::FractionalInches { denominator }),
        1 => (1_u32..=1000).prop_map(|denominator| LengthStyle::FeetInches { denominator }),
        1 => (0_u8..=9).prop_map(|places| LengthStyle::DecimalInches { places }),
    ]
}

/// Lengths of a workshop in the steps people use, and now and then any length at all.
fn lengths() -> impl Strategy<Value = Length> {
    prop_oneof![
        (1_i64..=20_000).prop_map(|n| Length::from_ticks(n * (Length::TICKS_PER_INCH / 64))),
        (1_i64..=200_000).prop_map(|n| Length::from_ticks(n * (Length::TICKS_PER_INCH / 1000))),
        (1_i64..=100_000).prop_map(|n| Length::from_ticks(n * (Length::TICKS_PER_MM / 10))),
        (1_i64..=Length::MAX.ticks()).prop_map(Length::from_ticks),
    ]
}

fn roundings() -> impl Strategy<Value = Rounding> {
    prop_oneof![Just(Rounding::Down), Just(Rounding::Up), Just(Rounding::Nearest)]
}

/// Texts that look like lengths and prices from afar.
fn near_misses() -> impl Strategy<Value = String> {
    "[0-9]{0,4}[-–0-9 .,/⁄'’\"″½⅓⅝x~$€\u{a0}]{0,8}(in|ft|mm|cm|m|by|x|EUR|kr|e|)[-0-9 .,/'\"½]{0,6}(in|mm|m|\\.|'|\"|)"
}

fn read(text: &str, bare: Option<Unit>) -> Option<Length> {
    parse_length_or_zero(text, bare).ok().map(|parsed| parsed.length)
}

/// What every reader owes, whatever the text.
fn is_sound(
    text: &str,
    span: std::ops::Range<usize>,
    message: &str,
    hint: Option<String>,
) -> Result<(), TestCaseError> {
    let cut = text.len() > fault::LONGEST_TEXT;
    prop_assert!(cut || text.get(span.clone()).is_some(), "{text:?} has no {span:?}");
    for shown in [Some(message.to_owned()), hint].into_iter().flatten() {
        prop_assert!(!shown.chars().any(char::is_control), "{shown:?}");
        prop_assert!(!shown.ends_with('.') && shown.starts_with(|c: char| !c.is_uppercase()), "{shown:?}");
    }
    Ok(())
}

fn all_readers_are_sound(text: &str) -> Result<(), TestCaseError> {
    for bare in [None, Some(Unit::Inch), Some(Unit::Foot), Some(Unit::Millimetre), Some(Unit::Metre)] {
        match parse_length_or_zero(text, bare) {
            Ok(parsed) => {
                prop_assert!((Length::ZERO..=Length::MAX).contains(&parsed.length));
                if let Some(notice) = parsed.notice {
                    is_sound(text, notice.span(), &notice.to_string(), None)?;
                }
            }
            Err(error) => is_sound(text, error.span(), &error.to_string(), error.hint())?,
        }
        if let Ok(parsed) = parse_length(text, bare) {
            prop_assert!(parsed.length.is_positive());
        }
    }
    for error in [parse_money(text).err(), parse_rate(text).err()].into_iter().flatten() {
        is_sound(text, error.span(), &error.to_string(), error.hint())?;
    }
    let _ = currency_in(text);
    match text.parse::<Nominal>() {
        Ok(nominal) => {
            prop_assert_eq!(nominal.to_string().parse::<Nominal>(), Ok(nominal));
            let actual = actual_size(&nominal);
            prop_assert!(
                actual.is_none_or(|(thickness, width)| thickness.is_positive() && thickness <= width)
            );
        }
        Err(error) => is_sound(text, 0..0, &error.to_string(), error.hint())?,
    }
    let _ =
        (text.parse::<Money>(), text.parse::<Rate>(), text.parse::<LengthStyle>(), text.parse::<System>());
    Ok(())
}

proptest! {
    #[test]
    fn print_then_parse_is_identity(style in styles(), length in lengths(), rounding in roundings()) {
        if style.is_exact(length) {
            let text = style.format(length, rounding);
            // Millimetres of one to ten metres are never written with a thousands mark, so there is nothing to doubt.
            prop_assert_eq!(parse_length(&text, None), Ok(Parsed { length, notice: None }), "{}", text);
        }
    }

    #[test]
    fn parse_then_print_is_identity(style in tape_styles(), length in lengths(), rounding in roundings()) {
        prop_assume!(length < Length::MAX - Length::inches(1, 1).unwrap());
        let text = style.format(length, rounding);
        let name = text.trim_start_matches('~');
        let again = read(name, None).map(|again| style.format(again, rounding));
        prop_assert_eq!(again.as_deref(), Some(name));
    }

    #[test]
    fn what_is_rounded_is_marked_and_near(style in styles(), length in lengths()) {
        prop_assume!(length < Length::MAX - Length::inches(2, 1).unwrap());
        let text = |rounding| style.format(length, rounding);
        let value = |rounding| read(text(rounding).trim_start_matches('~'), None).unwrap();
        let tick = Length::from_ticks(1);
        let (down, up, nearest) = (value(Rounding::Down), value(Rounding::Up), value(Rounding::Nearest));
        prop_assert_eq!(style.is_exact(length), !text(Rounding::Nearest).starts_with('~'));
        // A name finer than a tick is itself read one tick lower.
        prop_assert!(down <= length && length <= up + tick, "{down:?} {length:?} {up:?}");
        prop_assert!(nearest == down || nearest == up);
        let error = |other: Length| (other - length).ticks().abs();
        prop_assert!(error(nearest) <= error(down).min(error(up)) + 2);
    }

    #[test]
    fn exact_millimetres_are_read_back(ticks in 1_i64..=Length::MAX.ticks()) {
        let length = Length::from_ticks(ticks);
        prop_assert_eq!(read(&length.mm_decimal(), Some(Unit::Millimetre)), Some(length));
        prop_assert_eq!(read(&format!("{} mm", length.mm_decimal()), None), Some(length));
    }

    #[test]
    fn a_fraction_has_one_value_in_every_spelling(whole in 1_i64..=999, power in 1_u32..=6, top in 1_i64..64) {
        let bottom = 1_i64 << power;
        let top = 1 + top % (bottom - 1);
        let length = Length::inches(whole * bottom + top, bottom);
        let decimal = {
            let millionths = top * 1_000_000 / bottom;
            format!("{whole}.{millionths:06}")
        };
        for text in [
            format!("{whole} {top}/{bottom}"),
            format!("{whole}-{top}/{bottom}"),
            format!("{whole} - {top} / {bottom}"),
            format!("{whole}\u{a0}{top}⁄{bottom}"),
            format!("  {whole}—{top}∕{bottom}  "),
            decimal.clone(),
            decimal.replace('.', ","),
        ] {
            prop_assert_eq!(read(&text, Some(Unit::Inch)), length, "{}", text);
            for mark in ["\"", "”", "″", "''", "′′", " in", "in.", " Inch", " inches"] {
                prop_assert_eq!(read(&format!("{text}{mark}"), None), length, "{}{}", text, mark);
            }
        }
    }

    #[test]
    fn feet_and_inches_add_up_in_every_spelling(feet in 0_i64..=99, eighths in 0_i64..96) {
        let length = Length::inches(feet * 96 + eighths, 8);
        let inches = format!("{} {}/8", eighths / 8, eighths % 8);
        for foot in ["'", "’", "′", "ft", " ft ", "ft.", " foot", " Feet"] {
            for join in ["", " ", "-", " - ", "–", "\u{202f}"] {
                for inch in ["", "\"", "”", "″", "''", "in", " in.", " inches"] {
                    let text = format!("{feet}{foot}{join}{inches}{inch}");
                    prop_assert_eq!(read(&text, None), length, "{}", text);
                }
            }
        }
    }

    #[test]
    fn metric_units_agree(tenths in 1_i64..=999_999) {
        let length = Length::from_ticks(tenths * 8_000);
        let (mm, m) = (format!("{}.{}", tenths / 10, tenths % 10), format!("{}.{:04}", tenths / 10_000, tenths % 10_000));
        for text in [format!("{mm}mm"), format!("{m} m"), format!("{m} Metres")] {
            prop_assert_eq!(read(&text, Some(Unit::Inch)), Some(length));
            prop_assert_eq!(read(&text.replace('.', ","), None), Some(length));
        }
        prop_assert_eq!(read(&mm, Some(Unit::Millimetre)), Some(length));
        let cm = format!("{}.{:02}", tenths / 100, tenths % 100);
        prop_assert_eq!(read(&cm, Some(Unit::Centimetre)), Some(length));
    }

    #[test]
    fn thousands_marks_change_nothing(whole in 1_000_i64..=9_999_999, tenths in 1_i64..=9) {
        let groups = |mark: &str| match whole {
            1_000_000.. => format!("{}{mark}{:03}{mark}{:03}", whole / 1_000_000, whole / 1000 % 1000, whole % 1000),
            _ => format!("{}{mark}{:03}", whole / 1000, whole % 1000),
        };
        let length = Length::from_ticks((whole * 10 + tenths) * 8_000);
        for (thousands, point) in [(",", "."), (".", ","), (" ", "."), (" ", ","), ("\u{a0}", ","), ("", "."), ("", ",")] {
            let text = format!("{}{point}{tenths}", groups(thousands));
            prop_assert_eq!(read(&text, Some(Unit::Millimetre)), Some(length), "{}", text);
            let minor = Money::from_minor(whole * 100 + tenths * 10);
            prop_assert_eq!(parse_money(&text), Ok(minor));
        }
    }

    #[test]
    fn what_fits_exactly_still_fits_when_read(parts in prop::collection::vec((1_u64..500, 1_u64..50), 1..6)) {
        // The exact sum as one fraction, against the sum of the parts as read.
        let bottom: u64 = parts.iter().map(|(_, bottom)| bottom).product();
        let top: u64 = parts.iter().map(|(top, own)| top * (bottom / own)).sum();
        let whole = u128::from(top) * u128::from(Unit::Inch.ticks().unsigned_abs()) / u128::from(bottom);
        let read = parts.iter().map(|(top, bottom)| read(&format!("{top}/{bottom} in"), None).unwrap());
        let sum = read.sum::<Length>();
        prop_assert!(sum.ticks() as u128 <= whole);
        prop_assert!(sum.ticks() as u128 + parts.len() as u128 > whole);
    }

    #[test]
    fn random_texts_never_panic(text in any::<String>(), near in near_misses()) {
        all_readers_are_sound(&text)?;
        all_readers_are_sound(&near)?;
    }

    #[test]
    fn long_texts_never_panic(start in near_misses(), unit in near_misses(), times in 1_usize..3000) {
        all_readers_are_sound(&start.repeat(times))?;
        all_readers_are_sound(&format!("{}{unit}", "9".repeat(times)))?;
        all_readers_are_sound(&format!("0.{}{unit}", "3".repeat(times)))?;
    }

    #[test]
    fn money_is_read_back(minor in 0..=Money::MAX_PRICE.minor()) {
        let money = Money::from_minor(minor);
        prop_assert_eq!(parse_money(&money.to_string()), Ok(money));
        prop_assert_eq!(parse_money(&format!("{money} EUR")), Ok(money));
        prop_assert_eq!(parse_money(&format!("${}", money.to_string().replace('.', ","))), Ok(money));
        prop_assert_eq!(parse_rate(&money.to_string()), Ok(Rate::from(money)));
        prop_assert_eq!(Rate::from(money).for_one(), Some(money));
    }

    #[test]
    fn rates_are_read_back(millionths in 0..=Rate::MAX.millionths()) {
        let rate = Rate::from_millionths(millionths);
        let text = rate.to_string();
        let unclear = text.split_once('.').is_some_and(|(_, places)| places.len() == 3);
        prop_assert_eq!(parse_rate(&text), Ok(rate));
        prop_assert!(unclear || parse_rate(&text.replace('.', ",")) == Ok(rate));
    }

    #[test]
    fn a_price_is_within_half_a_hundredth(millionths in 0_i64..=100_000_000, ticks in 0_i64..=80_000_000_000) {
        let price = Rate::from_millionths(millionths).for_length(Length::from_ticks(ticks), Unit::Foot).unwrap();
        let exact = i128::from(millionths) * i128::from(ticks);
        let unit = i128::from(Unit::Foot.ticks()) * 10_000;
        let error = 2 * (i128::from(price.minor()) * unit - exact);
        prop_assert!(-unit < error && error <= unit);
    }

    #[test]
    fn board_feet_are_nominal_volume(thickness in 1_u32..=12, extra in 0_u32..=12, sixteenths in 1_i64..=5000) {
        let nominal = Nominal::new((thickness, 1), thickness + extra).unwrap();
        let length = Length::inches(sixteenths, 16).unwrap();
        let (top, bottom) = nominal.board_feet(length).fraction();
        // 144 cubic inches each
        let volume = i128::from(thickness * (thickness + extra)) * i128::from(sixteenths);
        prop_assert_eq!(top * 144 * 16, volume * bottom);
    }
}

/// National Bureau of Standards, 1 July 1959: 1 in = 25.4 mm. The rest is computed from that.
#[test]
fn facts_of_the_trade_hold() {
    let mm = |text: &str| read(text, Some(Unit::Inch)).unwrap().mm_decimal();
    for (text, expected) in [
        ("1", "25.4"),
        ("1/64", "0.396875"),
        ("1/8", "3.175"),
        ("3/32", "2.38125"),
        ("15/32", "11.90625"),
        ("23/32", "18.25625"),
        ("3/4", "19.05"),
        ("1 ft", "304.8"),
        ("48", "1219.2"),
        ("96", "2438.4"),
        ("49", "1244.6"),
        ("97", "2463.8"),
        ("92 5/8", "2352.675"),
        ("92 5/8 in", "2352.675"),
    ] {
        assert_eq!(mm(text), expected, "{text}");
    }
    // A metric sheet of 4 x 8 feet is larger than one in feet, by 1.6 x 0.8 mm.
    let larger = |metric: i64, text: &str| (Length::mm(metric) - read(text, None).unwrap()).mm_decimal();
    assert_eq!((larger(2440, "8 ft"), larger(1220, "4 ft")), ("1.6".to_owned(), "0.8".to_owned()));
    // Three plates of 1 1/2 and a stud of 92 5/8 make a frame of 97 1/8.
    let frame =
        read("92 5/8\"", None).zip(read("1 1/2\"", None)).map(|(stud, plate)| stud + plate + plate + plate);
    assert_eq!(frame, read("97 1/8\"", None));
    // A board foot is 144 cubic inches, 0.002359737216 m3.
    let inch_in_tenths = Unit::Inch.ticks() / (Length::TICKS_PER_MM / 10);
    assert_eq!(144 * inch_in_tenths.pow(3), 2_359_737_216);
}
