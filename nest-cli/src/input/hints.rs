//! Cells in which something stands where a number belongs: what people write there, and what to write instead.

use nest_core::units::Unit;

/// Words for a value that is not there, or not yet.
const NO_VALUE: [&str; 15] = [
    "n/a", "na", "n.a.", "n.a", "none", "nil", "null", "no", "tbd", "tba", "tbc", "tbm", "todo", "unknown",
    "open",
];

/// Whether a cell says that there is no value.
pub fn is_no_value(text: &str) -> bool {
    let text = text.trim();
    let mark = |c: char| ['-', '–', '—', '?', '.'].contains(&c);
    !text.is_empty() && (text.chars().all(mark) || NO_VALUE.contains(&text.to_lowercase().as_str()))
}

/// What to write in a column of lengths that have no value.
pub fn no_length(column: &str) -> &'static str {
    match column {
        "length" => "every row needs one: leave out a row that is not measured yet",
        "trim" => "write 0 for clean edges; an empty cell leaves them to the `trim` of the shop",
        "oversize" => "write 0, or leave the cell empty",
        "fit" => "write `yes`, how much longer to cut it, or leave the cell empty",
        _ => "write a length, or leave the cell empty where the list allows it",
    }
}

/// What to do about a cell that a spreadsheet did not work out.
pub fn not_worked_out(text: &str) -> Option<&'static str> {
    match text.chars().next()? {
        '=' => Some("this is a formula: a list holds what it comes to"),
        '#' => Some("the spreadsheet could not work this out: mend it there"),
        _ => None,
    }
}

/// What to write for a quantity. Where a column says what an empty cell means, that goes for words as well.
pub fn quantity(text: &str, empty: Option<&str>) -> String {
    match (not_worked_out(text), lone_number(text).or_else(|| number_word(text))) {
        (Some(hint), _) => hint.to_owned(),
        (None, Some(number)) => format!("write the number alone: `{number}`"),
        (None, None) if is_no_value(text) => {
            empty.unwrap_or("write how many; an empty cell is one piece").to_owned()
        }
        (None, None) => match empty.filter(|_| !text.contains(char::is_numeric)) {
            Some(empty) => empty.to_owned(),
            None => "a quantity counts pieces: 1, 2, 3".to_owned(),
        },
    }
}

/// What a number that is written out says: `two`, `a pair`, `two pieces`.
fn number_word(text: &str) -> Option<&'static str> {
    const WORDS: [(&str, &str); 17] = [
        ("one", "1"),
        ("single", "1"),
        ("two", "2"),
        ("pair", "2"),
        ("couple", "2"),
        ("three", "3"),
        ("four", "4"),
        ("five", "5"),
        ("six", "6"),
        ("seven", "7"),
        ("eight", "8"),
        ("nine", "9"),
        ("ten", "10"),
        ("eleven", "11"),
        ("twelve", "12"),
        ("dozen", "12"),
        ("twenty", "20"),
    ];
    let mut words =
        text.split(|c: char| !c.is_alphanumeric()).map(str::to_lowercase).filter(|w| !w.is_empty());
    let mut first = words.next()?;
    if first == "a" {
        first = words.next()?;
    }
    let number_of = |word: &str| WORDS.iter().find(|(name, _)| *name == word).map(|(_, number)| *number);
    // `two dozen`, `two or three` and `a pair of 4` are no one number.
    let found = number_of(&first)?;
    words.all(|word| number_of(&word).is_none() && word.chars().all(char::is_alphabetic)).then_some(found)
}

/// The one number between words, as in `2 pcs` and `x2`. What has a unit is a length, in the wrong column.
fn lone_number(text: &str) -> Option<&str> {
    let digit = |c: char| c.is_ascii_digit();
    let (start, end) = (text.find(digit)?, text.rfind(digit)? + 1);
    let (before, number, behind) = (text.get(..start)?, text.get(start..end)?, text.get(end..)?);
    let word = |c: char| c.is_alphabetic() || ['×', '*', '~', '(', ')', ':', ' ', '\u{a0}'].contains(&c);
    let words = |text: &str| text.trim_end_matches('.').chars().all(word);
    let measured = Unit::from_word(behind.trim()).is_some();
    (number.bytes().all(|byte| byte.is_ascii_digit()) && words(before) && words(behind) && !measured)
        .then_some(number)
}

/// A text cut down to what a message can hold.
pub fn shortened(text: &str) -> String {
    match text.char_indices().nth(60) {
        Some((end, _)) => format!("{}...", text.get(..end).unwrap_or_default()),
        None => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_between_words_is_found_and_no_length() {
        for (text, number) in [
            ("2 pcs", Some("2")),
            ("x2", Some("2")),
            ("12×", Some("12")),
            ("2 ea.", Some("2")),
            ("~3", Some("3")),
            ("2.5", None),
            ("-2", None),
            ("2-3", None),
            ("1/2", None),
            ("1x4", None),
            ("30 mm", None),
            ("30\"", None),
            ("two", None),
            ("", None),
        ] {
            assert_eq!(lone_number(text), number, "{text}");
        }
    }

    #[test]
    fn a_number_that_is_written_out_is_read_where_it_is_one() {
        for (text, number) in [
            ("two", Some("2")),
            ("A pair", Some("2")),
            ("a dozen", Some("12")),
            ("three pieces", Some("3")),
            ("two dozen", None),
            ("two or three", None),
            ("a pair of 4", None),
            ("twenty-one", None),
            ("a few", None),
            ("a", None),
            ("", None),
        ] {
            assert_eq!(number_word(text), number, "{text}");
        }
    }
}
