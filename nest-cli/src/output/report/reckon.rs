//! How much of a printed page a text will take.
//!
//! In a drawing no letter may leave its box in any font, so `lettering` takes every letter for a wide one. A page that
//! is reckoned so is a fifth larger than it comes out, and its letters are made small for nothing. Here letters are as
//! wide as in the fonts that the page asks for first (Helvetica, Arial and Liberation Sans are equally wide), lines
//! break as a browser breaks them, and a fiftieth is added. With a wider font a page still prints whole: a list of
//! cuts goes on overleaf. All sizes are in 1/100 mm.

use unicode_width::UnicodeWidthChar;

/// Width of a character in thousandths of the size of its letters.
fn advance(c: char) -> i64 {
    match c {
        'i' | 'j' | 'l' | '\'' => 222,
        ' ' | '\u{a0}' | '.' | ',' | ':' | ';' | '!' | '/' | '[' | ']' | '\\' | 'f' | 't' | 'I' | '|' => 278,
        '(' | ')' | '{' | '}' | '-' | 'r' => 334,
        '"' => 355,
        'c' | 'k' | 's' | 'v' | 'x' | 'y' | 'z' | 'J' => 500,
        'w' | 'C' | 'D' | 'H' | 'N' | 'R' | 'U' => 722,
        'm' | 'M' => 833,
        'W' => 944,
        'G' | 'O' | 'Q' => 778,
        '%' | '@' => 1015,
        'a'..='z' | '0'..='9' | '–' => 556,
        'A'..='Z' => 667,
        _ => match c.width() {
            None | Some(0) => 0,
            Some(1) => 750,
            _ => 1300,
        },
    }
}

/// Tenths of a point in 1/100 mm.
pub fn points(tenths: i64) -> i64 {
    tenths * 3_528 / 1_000
}

/// Width of a text.
pub fn width(text: &str, bold: bool, font: i64) -> i64 {
    let all = text.chars().map(advance).sum::<i64>() * font / 1000;
    all * if bold { 112 } else { 102 } / 100
}

/// Lines that these runs of letters, bold or regular, need one after the other; none for no letters.
pub fn lines(runs: &[(&str, bool)], font: i64, room: i64) -> i64 {
    let (mut lines, mut used) = (0, 0);
    for (text, bold) in runs {
        let space = width(" ", *bold, font);
        for word in text.split(' ').filter(|word| !word.is_empty()) {
            let wide = width(word, *bold, font);
            let beside = used + space + wide;
            if lines > 0 && beside <= room {
                used = beside;
                continue;
            }
            // A word that is wider than a line goes on in the next ones.
            let more = (wide - 1).max(0) / room.max(1);
            lines += 1 + more;
            used = wide - more * room;
        }
    }
    lines
}

/// The least height of so many columns in which items of these heights stand one under the other.
pub fn columns(heights: &[i64], columns: usize) -> i64 {
    let fits = |high: i64| {
        let (mut column, mut used) = (1, 0);
        heights.iter().all(|item| {
            if used + item > high {
                (column, used) = (column + 1, 0);
            }
            used += item;
            column <= columns && used <= high
        })
    };
    let all: i64 = heights.iter().sum();
    let (mut low, mut high) = (all / columns.max(1) as i64, all);
    while low < high {
        let middle = (low + high) / 2;
        if fits(middle) { high = middle } else { low = middle + 1 }
    }
    high
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn lines_break_between_words_and_inside_words_that_are_too_long() {
        assert_eq!(lines(&[], 350, 5_000), 0);
        assert_eq!(lines(&[("rip 30\u{a0}mm", true), ("", false)], 350, 5_000), 1);
        let words = "from the lower edge, on A and B";
        let room = width("from the lower edge,", false, 350);
        assert_eq!(lines(&[(words, false)], 350, room), 2);
        assert_eq!(lines(&[("from the lower edge,", false)], 350, room), 1);
        let runs = [("rip", true), ("from the lower edge,", false)];
        assert_eq!(lines(&runs, 350, room), 2, "the first word takes room");
        assert_eq!(lines(&[(&"x".repeat(60), false)], 350, width(&"x".repeat(21), false, 350)), 3);
    }

    #[test]
    fn columns_are_as_equal_as_whole_items_allow() {
        assert_eq!(columns(&[], 2), 0);
        assert_eq!(columns(&[5, 5, 5, 5], 2), 10);
        assert_eq!(columns(&[5, 5, 5], 2), 10);
        assert_eq!(columns(&[9, 1, 1, 1], 2), 9);
        assert_eq!(columns(&[1, 2, 3], 1), 6);
    }

    proptest! {
        #[test]
        fn no_lower_columns_hold_all(heights in prop::collection::vec(1..9_i64, 1..12)) {
            // Slow twin: every place where the second column may begin.
            let least = (0..=heights.len())
                .map(|at| heights[..at].iter().sum::<i64>().max(heights[at..].iter().sum()))
                .min();
            prop_assert_eq!(Some(columns(&heights, 2)), least);
        }
    }
}
