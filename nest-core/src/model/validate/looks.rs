//! Does a name look like another that it is not? Letters of two alphabets in one word (a Cyrillic `а` in a Latin word),
//! and characters that nobody sees. People who read both alphabets write them in different words.

use super::super::problem::{Table, TableCell};
use super::super::{Batch, Warning};

/// Names of parts and of stock that are not what they look like: one warning for each list.
pub fn look(batch: &Batch, warnings: &mut Vec<Warning>) {
    let parts = batch.parts.iter().map(|p| [("part", &p.name), ("material", &p.material), ("job", &p.job)]);
    warnings.extend(first(Table::Parts, parts));
    let stock = batch.stock.iter().map(|s| [("name", &s.name), ("material", &s.material)]);
    warnings.extend(first(Table::Stock, stock));
}

fn first<'a, const N: usize>(
    table: Table,
    rows: impl Iterator<Item = [(&'static str, &'a String); N]>,
) -> Option<Warning> {
    let mut odd = rows.enumerate().filter_map(|(row, cells)| {
        let (field, name) = cells.into_iter().find(|(_, name)| is_odd(name))?;
        Some((TableCell { table, row, field }, name))
    });
    let (place, name) = odd.next()?;
    Some(Warning::LooksLikeAnother { place, name: name.clone(), more: odd.count() })
}

fn is_odd(name: &str) -> bool {
    if name.is_ascii() {
        return false;
    }
    let from_the_right = name.chars().any(|c| matches!(c, '\u{590}'..='\u{8FF}' | '\u{FB1D}'..='\u{FEFC}'));
    let mut before = ' ';
    let mut word = None;
    for c in name.chars() {
        let unseen = match c {
            '\u{AD}' | '\u{180E}' | '\u{200B}' | '\u{2060}'..='\u{2064}' | '\u{FEFF}' => true,
            // Marks of direction belong to scripts that are read from the right.
            '\u{61C}' | '\u{200E}' | '\u{200F}' => !from_the_right,
            // Joiners belong to scripts whose letters join, and to emoji.
            '\u{200C}' | '\u{200D}' => alphabet(before).is_some(),
            _ => false,
        };
        match (alphabet(c), word) {
            (Some(this), Some(other)) if this != other => return true,
            (Some(this), _) => word = Some(this),
            (None, _) if !c.is_alphanumeric() => word = None,
            (None, _) => {}
        }
        if unseen {
            return true;
        }
        before = c;
    }
    false
}

/// The three alphabets that share shapes of letters.
fn alphabet(c: char) -> Option<u8> {
    match c {
        'a'..='z' | 'A'..='Z' | '\u{C0}'..='\u{D6}' | '\u{D8}'..='\u{F6}' | '\u{F8}'..='\u{24F}' => Some(0),
        '\u{370}'..='\u{3FF}' | '\u{1F00}'..='\u{1FFF}' => Some(1),
        '\u{400}'..='\u{52F}' => Some(2),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::is_odd;

    #[test]
    fn names_that_are_not_what_they_look_like() {
        for name in ["sh\u{435}lf", "\u{3bf}ak", "oak\u{200b}", "o\u{ad}ak", "a\u{200d}b", "shelf\u{200e}"] {
            assert!(is_odd(name), "{name:?}");
        }
    }

    #[test]
    fn names_that_people_write() {
        let names = [
            "shelf",
            "tablette n\u{b0} 3",
            "\u{442}\u{443}\u{43c}\u{431}\u{430} A-2",
            "\u{3c9}-profile \u{442}",
            "\u{1f469}\u{200d}\u{1f527} bench",
            "\u{5de}\u{5d3}\u{5e3}\u{200f} 3",
            "\u{645}\u{6cc}\u{200c}\u{62e}",
            "18 \u{b5}m film",
            "\u{e9}tag\u{e8}re",
        ];
        for name in names {
            assert!(!is_odd(name), "{name:?}");
        }
    }
}
