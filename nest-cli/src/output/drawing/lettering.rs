//! How wide a text will be, and what to do where it is too wide.
//!
//! Nobody knows which font a viewer picks, so widths are those of a wide sans-serif: a text that fits here fits
//! with any usual font. All sizes are in drawing units (1/100 mm), all arithmetic in whole numbers, so that a
//! drawing has the same bytes on every machine.

use crate::clean::{BEGIN, END};
use unicode_width::UnicodeWidthChar;

/// Width of a character in thousandths of the font size.
fn advance(c: char) -> i64 {
    match c {
        'i' | 'j' | 'l' | '\'' | '|' => 290,
        ' ' | '\u{a0}' | '.' | ',' | ':' | ';' | '!' | 'I' | '/' | '"' => 360,
        'f' | 't' | 'r' | '(' | ')' | '[' | ']' | '-' => 410,
        'm' | 'w' | 'M' | 'W' | '@' | '%' => 980,
        'a'..='z' | '0'..='9' => 640,
        'A'..='Z' => 770,
        _ => match c.width() {
            None | Some(0) => 0,
            Some(1) => 800,
            _ => 1400,
        },
    }
}

/// Estimated width of a text at a font size.
pub fn width(text: &str, size: i64) -> i64 {
    // A name has at most some thousands of characters.
    text.chars().map(advance).sum::<i64>() * size / 1000
}

/// Estimated width of a bold text.
pub fn bold_width(text: &str, size: i64) -> i64 {
    width(text, size) * 112 / 100
}

/// The text itself where it fits, else its beginning and an ellipsis. `None` where less than `least` characters
/// would be left of it.
pub fn shortened(text: &str, size: i64, room: i64, least: usize) -> Option<String> {
    if width(text, size) <= room {
        return Some(text.to_string());
    }
    let room = room - width("…", size);
    let (mut used, mut kept) = (0, String::new());
    for c in text.chars() {
        used += width(c.encode_utf8(&mut [0; 4]), size);
        if used > room {
            break;
        }
        kept.push(c);
    }
    let kept = kept.trim_end();
    (kept.chars().count() >= least).then(|| closed(vec![format!("{kept}…")]).concat())
}

/// Words that say what follows, and mean nothing at the end of a line.
const SAY_NEXT: [&str; 3] = ["off:", "turns:", "left:"];

/// A text in which no line breaks inside a size, `47 3/4"`, `1220 mm`, between a number and what it counts or names,
/// `2 ×`, `no. 1`, or behind `off:`.
pub fn kept(text: &str) -> String {
    let parts: Vec<&str> = text.split(' ').collect();
    let mut kept = String::with_capacity(text.len() + 8);
    for (i, part) in parts.iter().enumerate() {
        if i > 0 {
            let digit = |c: char| c.is_ascii_digit();
            let unit = ["mm", "cm", "m", "%"].contains(&part.trim_end_matches([')', ';', ',', '.']));
            let feet = parts[i - 1].ends_with('\'');
            let size = (parts[i - 1].ends_with(digit) || feet) && (part.starts_with(digit) || unit);
            let number = parts[i - 1] == "no." && part.starts_with(digit);
            let said = SAY_NEXT.contains(&parts[i - 1]);
            let together = size || number || said || (parts[i - 1].ends_with(digit) && *part == "×");
            kept.push(if together { '\u{a0}' } else { ' ' });
        }
        kept.push_str(part);
    }
    kept
}

/// The same for lists, which have room for both sides of a size on one line: `47 3/4" x 24"`.
pub fn whole(text: &str) -> String {
    let text = kept(text);
    let mut whole = String::with_capacity(text.len() + 8);
    for (i, side) in text.split(" x ").enumerate() {
        if i > 0 {
            let measured = ['"', '\'', 'm'].into_iter().any(|unit| whole.ends_with(unit));
            let number = side.trim_start_matches('~').starts_with(|c: char| c.is_ascii_digit());
            let size = number && (measured || whole.ends_with(|c: char| c.is_ascii_digit()));
            whole.push_str(if size { "\u{a0}x\u{a0}" } else { " x " });
        }
        whole.push_str(side);
    }
    whole
}

/// Lines no wider than `room`, broken between words; a word that is too wide alone is broken where it must be.
pub fn wrapped(text: &str, size: i64, room: i64) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split(' ') {
        // Widths are rounded: that of the line with the word in it counts, not the sum of both.
        match lines.last_mut() {
            Some(line) if width(line, size) == 0 => {}
            Some(line) if width(&format!("{line} {word}"), size) <= room => line.push(' '),
            _ => lines.push(String::new()),
        }
        for c in word.chars() {
            let mut next = String::from(c);
            if let Some(line) = lines.last_mut() {
                next.insert_str(0, line);
                if line.is_empty() || width(&next, size) <= room {
                    *line = next;
                    continue;
                }
            }
            lines.push(String::from(c));
        }
    }
    closed(lines)
}

/// A text of its own that goes on in the next line ends with the line and begins again.
pub fn closed(lines: Vec<String>) -> Vec<String> {
    let mut open = false;
    let close = |line: String| {
        let line = if open { format!("{BEGIN}{line}") } else { line };
        open = line.rfind(BEGIN) > line.rfind(END);
        if open { format!("{line}{END}") } else { line }
    };
    lines.into_iter().map(close).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_fits_is_not_touched() {
        assert_eq!(shortened("shelf", 300, 10_000, 3), Some("shelf".into()));
        assert_eq!(wrapped("left tower shelf", 300, 10_000), ["left tower shelf"]);
    }

    #[test]
    fn no_line_breaks_inside_a_size() {
        let kept = |text: &str| super::kept(text).replace('\u{a0}', "_");
        assert_eq!(
            kept("on A (95 3/4\" x 14 7/8\"); off: 2 × no. 1 side"),
            "on A (95_3/4\" x 14_7/8\"); off:_2_× no._1 side"
        );
        assert_eq!(
            kept("rip 70 mm, 8' 0 1/2\" (1220 mm) m a 2 x 3"),
            "rip 70_mm, 8'_0_1/2\" (1220_mm) m a 2 x 3"
        );
    }

    #[test]
    fn no_line_of_a_list_breaks_inside_both_sides_of_a_size() {
        let whole = |text: &str| super::whole(text).replace('\u{a0}', "_");
        assert_eq!(whole("on A (95 3/4\" x ~14 7/8\"), 8' x 4'"), "on A (95_3/4\"_x_~14_7/8\"), 8'_x_4'");
        assert_eq!(whole("off: B, 1240 mm x 45.5 mm; 2 x 3"), "off:_B, 1240_mm_x_45.5_mm; 2_x_3");
        assert_eq!(whole("off by turns: 2 × no. 1 side"), "off by turns:_2_× no._1 side");
        assert_eq!(whole("mdf (8' 1\" x 4' 1\", about 66 lb)"), "mdf (8'_1\"_x_4'_1\", about 66 lb)");
        assert_eq!(whole("side x back, 2 x side, size x 2"), "side x back, 2 x side, size x 2");
    }

    #[test]
    fn long_names_keep_their_beginning() {
        let short = shortened("adjustable shelf", 300, 1_500, 3).unwrap();
        assert!(short.starts_with("adju") && short.ends_with('…'), "{short}");
        assert_eq!(shortened("adjustable shelf", 300, 300, 3), None);
        assert_eq!(wrapped("left tower shelf", 300, 1_100), ["left", "tower", "shelf"]);
    }

    #[test]
    fn no_word_is_broken_that_has_room() {
        let text = super::kept("34 1/2\" x ~15 11/16\"");
        let words: Vec<&str> = text.split(' ').collect();
        for size in 150..300 {
            let widest = words.iter().map(|word| width(word, size)).max().unwrap();
            for room in widest..width(&text, size) + 3 {
                assert_eq!(wrapped(&text, size, room).join(" "), text, "{size} {room}");
            }
        }
    }

    proptest! {
        #[test]
        fn lines_fit_and_lose_no_letter(text in "[a-zA-Z 0-9]{0,60}", room in 400..4_000_i64) {
            let lines = wrapped(&text, 300, room);
            prop_assert!(lines.iter().all(|line| width(line, 300) <= room));
            let letters = |t: &str| t.chars().filter(|c| *c != ' ').collect::<String>();
            prop_assert_eq!(letters(&lines.concat()), letters(&text));
        }

        #[test]
        fn a_shortened_text_fits(text in any::<String>(), room in 0..4_000_i64) {
            if let Some(short) = shortened(&text, 300, room, 1) {
                prop_assert!(width(&short, 300) <= room);
            }
        }
    }
}
