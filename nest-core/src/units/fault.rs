//! What is shown of a text that was refused: short, on one line, and harmless to a terminal.

use std::fmt;
use std::ops::Range;

/// The longest text any reader of this module looks at, in bytes. A cell of a parts list is never this long.
pub(super) const LONGEST_TEXT: usize = 4096;

/// The longest quotation in a message, in characters.
const LONGEST_QUOTE: usize = 40;

/// Quotes a text in a message. Control and invisible characters are spelled out, quotation marks are not: they are
/// inch marks here.
pub(super) struct Quoted<'a>(pub(super) &'a str);

impl fmt::Display for Quoted<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("`")?;
        for (count, c) in self.0.chars().enumerate() {
            match c {
                _ if count == LONGEST_QUOTE => {
                    f.write_str("...")?;
                    break;
                }
                '"' | '\'' | '\\' => write!(f, "{c}")?,
                '`' => f.write_str("'")?,
                _ => write!(f, "{}", c.escape_debug())?,
            }
        }
        f.write_str("`")
    }
}

/// The part of `text` a span names, and the whole text where the span names no part of it.
pub(super) fn part<'a>(text: &'a str, span: &Range<usize>) -> &'a str {
    text.get(span.clone()).unwrap_or(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quotations_are_harmless_and_short() {
        assert_eq!(Quoted("5' 11\"").to_string(), "`5' 11\"`");
        assert_eq!(Quoted("a\x1b[31m\n\u{202e}b").to_string(), r"`a\u{1b}[31m\n\u{202e}b`");
        assert_eq!(Quoted(&"9".repeat(100)).to_string(), format!("`{}...`", "9".repeat(40)));
        assert_eq!(Quoted("`").to_string(), "`'`");
    }

    #[test]
    fn a_span_outside_the_text_names_all_of_it() {
        assert_eq!(part("5'", &(0..1)), "5");
        assert_eq!(part("½", &(1..2)), "½");
        assert_eq!(part("5", &(4..9)), "5");
    }
}
