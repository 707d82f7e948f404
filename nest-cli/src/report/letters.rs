//! The letters that blanks are called by.

/// The letters of a name.
pub(super) fn lot(name: &str) -> &str {
    name.trim_end_matches(|c: char| c.is_ascii_digit())
}

/// `A` for 1, `AA` for 25: letters that no one takes for digits.
pub(super) fn letters(lot: usize) -> String {
    const ALL: &[u8; 24] = b"ABCDEFGHJKLMNPQRSTUVWXYZ";
    let mut left = lot;
    let mut letters = Vec::new();
    while left > 0 {
        letters.push(char::from(ALL[(left - 1) % ALL.len()]));
        left = (left - 1) / ALL.len();
    }
    letters.iter().rev().collect()
}

/// Names from the first to the last: `A`, `A1 and A2`, `A1–A3`.
pub(super) fn span(first: &str, last: &str, count: usize) -> String {
    match count {
        _ if first == last => first.to_string(),
        2 => format!("{first} and {last}"),
        _ => format!("{first}–{last}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_skip_those_that_look_like_digits() {
        let all: Vec<String> = [1, 8, 9, 14, 24, 25, 26, 600].into_iter().map(letters).collect();
        assert_eq!(all, ["A", "H", "J", "P", "Z", "AA", "AB", "ZZ"]);
        assert_eq!(lot("AB12"), "AB");
    }
}
