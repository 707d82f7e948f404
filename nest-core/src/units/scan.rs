//! What marks is a length written with? Cuts a text into numerals, fractions, marks and words.
//!
//! Nothing is judged here: every character of the text ends up in exactly one token or is space between tokens, and
//! each token knows its bytes. All the looks of one mark (straight, curly, prime; hyphen, dash; slash, fraction slash)
//! become one token here and nowhere else. Cost: one pass.

use std::ops::Range;

use super::Unit;

/// What a token is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// Digits, with points and commas between or before them.
    Numeral,
    /// A fraction in one character: `⅝`.
    Vulgar(u8, u8),
    /// `/` and its kin.
    Slash,
    /// `-` and its kin.
    Dash,
    /// A word or a mark that names a unit.
    Unit(Unit),
    /// `x` or `×`, as in `2x4`.
    By,
    /// Anything else.
    Other,
}

/// A token and the bytes it stands in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Token {
    pub(super) kind: Kind,
    pub(super) span: Range<usize>,
}

/// Cuts a text into tokens; spaces of every kind (also those that do not break) only separate.
pub(super) fn scan(text: &str) -> Vec<Token> {
    let mut tokens = Vec::new();
    let mut at = 0;
    while let Some(rest) = text.get(at..) {
        let Some(c) = rest.chars().next() else { break };
        let (kind, length) = match c {
            _ if c.is_whitespace() => (None, c.len_utf8()),
            '0'..='9' => (Some(Kind::Numeral), numeral_length(rest)),
            '.' | ',' if rest[1..].starts_with(|next: char| next.is_ascii_digit()) => {
                (Some(Kind::Numeral), numeral_length(rest))
            }
            '"' | '“' | '”' | '‟' | '″' | 'ʺ' => (Some(Kind::Unit(Unit::Inch)), c.len_utf8()),
            _ if is_foot_mark(c) => match rest[c.len_utf8()..].chars().next() {
                // Two foot marks that touch are an inch mark: 5''
                Some(next) if is_foot_mark(next) => {
                    (Some(Kind::Unit(Unit::Inch)), c.len_utf8() + next.len_utf8())
                }
                _ => (Some(Kind::Unit(Unit::Foot)), c.len_utf8()),
            },
            '/' | '⁄' | '∕' => (Some(Kind::Slash), c.len_utf8()),
            '-' | '‐' | '‑' | '‒' | '–' | '—' | '−' => (Some(Kind::Dash), c.len_utf8()),
            '×' => (Some(Kind::By), c.len_utf8()),
            _ if c.is_alphabetic() => word(rest),
            _ => match vulgar(c) {
                Some((numerator, denominator)) => (Some(Kind::Vulgar(numerator, denominator)), c.len_utf8()),
                None => (Some(Kind::Other), c.len_utf8()),
            },
        };
        if let Some(kind) = kind {
            tokens.push(Token { kind, span: at..at + length });
        }
        at += length;
    }
    tokens
}

/// Straight, curly and prime.
fn is_foot_mark(c: char) -> bool {
    matches!(c, '\'' | '‘' | '’' | '′' | 'ʹ' | 'ʼ')
}

/// The bytes of digits, points and commas at the start of `text`.
fn numeral_length(text: &str) -> usize {
    text.find(|c: char| !c.is_ascii_digit() && c != '.' && c != ',').unwrap_or(text.len())
}

/// The word at the start of `text`, with the point of an abbreviated unit (`in.`).
fn word(text: &str) -> (Option<Kind>, usize) {
    let length = text.find(|c: char| !c.is_alphabetic()).unwrap_or(text.len());
    let (word, rest) = text.split_at(length);
    match Unit::from_word(word) {
        Some(unit) => (Some(Kind::Unit(unit)), length + usize::from(rest.starts_with('.'))),
        None if word.eq_ignore_ascii_case("x") => (Some(Kind::By), length),
        None => (Some(Kind::Other), length),
    }
}

/// The fractions that Unicode has as one character.
fn vulgar(c: char) -> Option<(u8, u8)> {
    Some(match c {
        '½' => (1, 2),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅕' => (1, 5),
        '⅖' => (2, 5),
        '⅗' => (3, 5),
        '⅘' => (4, 5),
        '⅙' => (1, 6),
        '⅚' => (5, 6),
        '⅐' => (1, 7),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        '⅑' => (1, 9),
        '⅒' => (1, 10),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kinds(text: &str) -> Vec<Kind> {
        scan(text).into_iter().map(|token| token.kind).collect()
    }

    #[test]
    fn every_look_of_a_mark_is_one_mark() {
        let feet_and_inches = [Kind::Numeral, Kind::Unit(Unit::Foot), Kind::Numeral, Kind::Unit(Unit::Inch)];
        for text in
            ["5'11\"", "5’11”", "5′11″", "5‘11“", "5ft11in", "5 FT. 11 Inches", "5'11''", "5'11’’", "5′11′′"]
        {
            assert_eq!(kinds(text), feet_and_inches, "{text}");
        }
        for text in ["5/8", "5⁄8", "5∕8", "5 / 8", "5\u{a0}/\u{202f}8"] {
            assert_eq!(kinds(text), [Kind::Numeral, Kind::Slash, Kind::Numeral], "{text}");
        }
        for text in ["5-8", "5–8", "5—8", "5‑8", "5−8"] {
            assert_eq!(kinds(text), [Kind::Numeral, Kind::Dash, Kind::Numeral], "{text}");
        }
    }

    #[test]
    fn tokens_know_their_bytes() {
        let text = "\u{a0}23⅝ in.";
        let parts: Vec<&str> = scan(text).into_iter().map(|token| &text[token.span]).collect();
        assert_eq!(parts, ["23", "⅝", "in."]);
        assert_eq!(kinds(".6 m"), [Kind::Numeral, Kind::Unit(Unit::Metre)]);
        assert_eq!(kinds("2x4"), [Kind::Numeral, Kind::By, Kind::Numeral]);
        assert_eq!(kinds(". ~ abc"), [Kind::Other; 3]);
    }
}
