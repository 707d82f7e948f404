//! When do two words mean the same, and which word did somebody mean?
//!
//! Names of materials are compared without regard to case and runs of spaces. A name that matches nothing is
//! compared by edits (insert, delete, replace, swap neighbours) with those that exist.

/// Lower case, single spaces, none at the ends.
pub fn fold(text: &str) -> String {
    let mut folded = String::with_capacity(text.len());
    for word in text.split_whitespace() {
        if !folded.is_empty() {
            folded.push(' ');
        }
        folded.extend(word.chars().flat_map(char::to_lowercase));
    }
    folded
}

/// Of the candidates the one that `word` most likely stands for, if any is near enough: at most one edit for every
/// three characters, or one of the two begins with the other. Both sides are folded.
///
/// Runtime: candidates times the product of both lengths; words beyond 64 characters are never near.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word: Vec<char> = fold(word).chars().collect();
    if word.is_empty() || word.len() > LONGEST {
        return None;
    }
    let mut best: Option<(usize, &str)> = None;
    for candidate in candidates {
        let other: Vec<char> = fold(candidate).chars().collect();
        if other.is_empty() || other.len() > LONGEST {
            continue;
        }
        let shorter = word.len().min(other.len());
        let limit = (word.len().max(other.len()) / 3).max(1);
        let begins = shorter >= 3 && word[..shorter] == other[..shorter];
        let distance = if begins { 1 } else { edits(&word, &other) };
        // A word of one or two letters is within one edit of too much.
        if distance <= limit && (shorter > 2 || begins) && best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

/// Whether one name is the other with a letter left out, doubled, swapped with its neighbour or replaced, inside a word of
/// five letters at least. Names that people give on purpose differ in a digit, at an end of a word or in a vowel that stands
/// for another: `Hall A` and `Hall B`, `door` and `doors`, `Parker` and `Barker`, `Hansen` and `Hanson`.
pub fn is_slip(a: &str, b: &str) -> bool {
    let (a, b) = (fold(a), fold(b));
    let (a, b): (Vec<&str>, Vec<&str>) = (a.split(' ').collect(), b.split(' ').collect());
    let mut differ = a.iter().zip(&b).filter(|(a, b)| a != b);
    match (a.len() == b.len(), differ.next(), differ.next()) {
        (true, Some((a, b)), None) => is_slip_of_word(a, b),
        _ => false,
    }
}

fn is_slip_of_word(a: &str, b: &str) -> bool {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let long = a.len().max(b.len());
    if long > LONGEST || a.len().min(b.len()) < 5 || !a.iter().chain(&b).all(|c| c.is_alphabetic()) {
        return false;
    }
    let start = a.iter().zip(&b).take_while(|(a, b)| a == b).count();
    let end = a.iter().rev().zip(b.iter().rev()).take_while(|(a, b)| a == b).count();
    match a.len().abs_diff(b.len()) {
        // What is the same on both sides overlaps where a letter is doubled.
        1 => start > 0 && end > 0 && start + end >= long - 1,
        0 if start + end + 1 == long => start > 0 && end > 0 && !(is_vowel(a[start]) && is_vowel(b[start])),
        0 => start + end + 2 == long && a[start] == b[start + 1] && a[start + 1] == b[start],
        _ => false,
    }
}

fn is_vowel(c: char) -> bool {
    "aeiouyäöüáéíóúàèìòùâêîôûåæø".contains(c)
}

const LONGEST: usize = 64;

/// Least number of insertions, deletions, replacements and swaps of neighbours that turn one word into the other,
/// no place edited twice (optimal string alignment).
fn edits(a: &[char], b: &[char]) -> usize {
    let mut before: Vec<usize> = Vec::new();
    let mut above: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; b.len() + 1];
        for j in 1..=b.len() {
            let replace = above[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            row[j] = replace.min(above[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(before[j - 2] + 1);
            }
        }
        before = std::mem::replace(&mut above, row);
    }
    above[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn case_and_runs_of_spaces_do_not_count() {
        assert_eq!(fold("  Birch\u{a0}  PLY\t3/4 "), "birch ply 3/4");
        assert_eq!(fold(""), "");
    }

    #[test]
    fn a_slip_of_the_keys_finds_its_word() {
        let words = ["birch ply", "poplar 1x2", "mdf"];
        assert_eq!(nearest("brich ply", words), Some("birch ply"));
        assert_eq!(nearest("Birch Plywood", words), Some("birch ply"));
        assert_eq!(nearest("poplar 1x4", words), Some("poplar 1x2"));
        assert_eq!(nearest("mfd", words), Some("mdf"));
        assert_eq!(nearest("walnut", words), None);
        assert_eq!(nearest("", words), None);
    }

    #[test]
    fn slips_are_told_from_names_that_differ() {
        for (a, b) in [
            ("kitchn", "Kitchen"),
            ("kitcehn", "kitchen"),
            ("kittchen", "kitchen"),
            ("kitcjen", "kitchen"),
            ("main kitchrn", "main kitchen"),
            ("Miler  house", "miller house"),
            ("hal closet", "hal cloest"),
        ] {
            assert!(is_slip(a, b) && is_slip(b, a), "{a}, {b}");
        }
        for (a, b) in [
            ("job 1", "job 2"),
            ("job 1", "job 11"),
            ("Hall A", "Hall B"),
            ("Hall", "Halls"),
            ("kitchen", "kitchens"),
            ("Hansen", "Hanson"),
            ("Meier", "Meyer"),
            ("Parker", "Barker"),
            ("unit1", "unit2"),
            ("hall-a", "hall-b"),
            ("kitchea", "kitcheb"),
            ("hall", "hawl"),
            ("kitchen", "Kitchen "),
            ("kitchen", "kitchen hall"),
            ("kit12chen", "kit13chen"),
            ("ktchn", "kitchen"),
            ("attic", "tactic"),
            ("bath", "batth"),
            ("", "kitchen"),
            ("", ""),
            ("abcde", "abxyde"),
        ] {
            assert!(!is_slip(a, b) && !is_slip(b, a), "{a}, {b}");
        }
    }

    #[test]
    fn edits_is_a_distance() {
        let words = ["", "a", "ab", "ba", "birch", "brich", "bitch"].map(|w| w.chars().collect::<Vec<_>>());
        for a in &words {
            for b in &words {
                assert_eq!(edits(a, b), edits(b, a));
                assert_eq!(edits(a, b) == 0, a == b);
            }
        }
        assert_eq!(edits(&words[4], &words[5]), 1);
    }
}
