//! Text from files, made harmless where it enters a paper or a terminal: once, here, for every writer.
//!
//! Control characters would act on a terminal and are not XML; characters that turn the reading direction would show
//! a name as something it is not. Both are replaced by a sign that can be seen. The text of plan.json stays as it
//! was: JSON escapes what needs it, and the file has to carry the question unchanged.

/// A line of text without anything that acts: control characters as their pictures, marks that override the reading
/// direction as a replacement sign, every kind of white space as one space, ends trimmed.
pub fn clean(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            c if c.is_whitespace() => {
                if !out.ends_with(' ') && !out.is_empty() {
                    out.push(' ');
                }
            }
            // Control pictures follow the order of the control characters.
            '\0'..='\x1F' => out.push(char::from_u32(0x2400 + u32::from(c)).unwrap_or(BAD)),
            '\x7F' => out.push('\u{2421}'),
            '\u{80}'..='\u{9F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' => out.push(BAD),
            // Not to be seen, or not to be written in XML.
            '\u{200B}' | '\u{200E}' | '\u{200F}' | '\u{061C}' | '\u{2060}' | '\u{FEFF}' | '\u{AD}' => {}
            '\u{FFF9}'..='\u{FFFB}' | '\u{FFFE}' | '\u{FFFF}' => out.push(BAD),
            c => out.push(c),
        }
    }
    out.truncate(out.trim_end().len());
    out
}

const BAD: char = '\u{FFFD}';

/// A mark that nobody sees: what follows is read from left to right. `clean` lets none of these marks through.
const LEFT: char = '\u{200E}';
/// A text of its own begins, and is read as its first letter is.
pub const BEGIN: char = '\u{2068}';
/// It ends.
pub const END: char = '\u{2069}';

/// A clean name that stands in one line with other text. A name that is read from right to left is made a text of its
/// own, or numbers in it and after it (a size, say) would be shown in another order.
pub fn isolated(name: &str) -> String {
    if name.chars().any(from_the_right) { format!("{LEFT}{BEGIN}{name}{END}") } else { name.to_string() }
}

/// A clean name that was made of a material and of what the program says behind it (`birch ply 18 mm`): only the
/// material is a text of its own.
pub fn composed(name: &str, material: &str) -> String {
    match name.strip_prefix(material) {
        Some(sizes) if sizes.starts_with([' ', ',']) => format!("{}{sizes}", isolated(material)),
        _ => isolated(name),
    }
}

/// A clean sentence of the program with names in it: each stretch of letters from the right is a text of its own.
pub fn sentence(text: &str) -> String {
    let Some(first) = text.find(from_the_right) else { return text.to_string() };
    let (before, rest) = text.split_at(first);
    let stop = rest.find(|c: char| c.is_ascii_alphabetic()).unwrap_or(rest.len());
    let last = rest[..stop].char_indices().rfind(|(_, c)| from_the_right(*c));
    let end = last.map_or(0, |(at, c)| at + c.len_utf8());
    format!("{LEFT}{before}{BEGIN}{}{END}{}", &rest[..end], sentence(&rest[end..]))
}

/// The same text without such marks: for a spreadsheet, where it may be looked up.
pub fn bare(text: &str) -> String {
    text.chars().filter(|c| ![LEFT, BEGIN, END].contains(c)).collect()
}

/// For a terminal: most do not know how to begin a text of its own.
pub fn on_terminal(text: &str) -> String {
    text.replace([BEGIN, END], "")
}

/// Letters and digits of scripts that are read from right to left: the blocks that Unicode sets aside for them.
fn from_the_right(c: char) -> bool {
    matches!(c, '\u{590}'..='\u{8FF}' | '\u{FB1D}'..='\u{FDFF}' | '\u{FE70}'..='\u{FEFE}' | '\u{10800}'..='\u{10FFF}'
        | '\u{1E800}'..='\u{1EFFF}')
}

/// A name that any file system takes: `a` to `z`, `0` to `9` and single dashes, 1 to 40 of them, without a dash at
/// either end. Several names may give the same one; whoever uses it adds a number, which also keeps it off the names
/// that some systems reserve (`con`, `nul`).
pub fn slug(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars().flat_map(char::to_lowercase) {
        if out.len() >= 40 {
            break;
        }
        match c {
            'a'..='z' | '0'..='9' => out.push(c),
            _ if out.is_empty() || out.ends_with('-') => {}
            _ => out.push('-'),
        }
    }
    out.truncate(out.trim_end_matches('-').len());
    if out.is_empty() { "material".into() } else { out }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn nothing_that_acts_remains() {
        assert_eq!(clean("a\x1b]52;c;x\x07b"), "a\u{241b}]52;c;x\u{2407}b");
        assert_eq!(clean("gnp\u{202e}exe"), "gnp\u{fffd}exe");
        assert_eq!(clean("  two\t\r\n words \u{2028} here\u{a0}"), "two words here");
        assert_eq!(clean("\u{9b}31m\u{7f}"), "\u{fffd}31m\u{2421}");
        assert_eq!(clean("zero\u{200b}width\u{feff}"), "zerowidth");
    }

    #[test]
    fn names_people_write_stay_as_they_are() {
        for name in ["tablette n° 3", "полка", "مدرج", "引き出し", "👩\u{200d}🔧 bench", "<&\"'>", "30 1/2\""]
        {
            assert_eq!(clean(name), name);
        }
    }

    #[test]
    fn names_from_the_right_leave_what_follows_alone() {
        assert_eq!(isolated("shelf 3"), "shelf 3");
        assert_eq!(isolated("полка, 引き出し, 👩\u{200d}🔧"), "полка, 引き出し, 👩\u{200d}🔧");
        assert_eq!(isolated("רף 5"), "\u{200e}\u{2068}רף 5\u{2069}");
        assert_eq!(isolated("a رف"), "\u{200e}\u{2068}a رف\u{2069}");
        assert_eq!(bare(&isolated("רף 5")), "רף 5");
    }

    #[test]
    fn sizes_behind_a_material_are_no_part_of_its_name() {
        assert_eq!(composed("birch ply 18 mm", "birch ply"), "birch ply 18 mm");
        assert_eq!(composed("رف 18 mm, 2440 mm", "رف"), "\u{200e}\u{2068}رف\u{2069} 18 mm, 2440 mm");
        // Here somebody wrote all of it.
        assert_eq!(composed("رف 18 mm", "رف 18 mm"), "\u{200e}\u{2068}رف 18 mm\u{2069}");
        assert_eq!(composed("رفوف 18", "رف"), "\u{200e}\u{2068}رفوف 18\u{2069}");
    }

    #[test]
    fn names_in_a_sentence_are_texts_of_their_own() {
        assert_eq!(sentence("no part is made of birch"), "no part is made of birch");
        assert_eq!(
            sentence("רף עליון, 2 and رف mix"),
            "\u{200e}\u{2068}רף עליון\u{2069}\u{200e}, 2 and \u{2068}رف\u{2069} mix"
        );
    }

    #[test]
    fn slugs_stay_inside_their_folder() {
        assert_eq!(slug("../../.bashrc"), "bashrc");
        assert_eq!(slug("C:\\x"), "c-x");
        assert_eq!(slug("Poplar 1x2"), "poplar-1x2");
        assert_eq!(slug("дуб"), "material");
        assert_eq!(slug(&"long ".repeat(20)), "long-long-long-long-long-long-long-long");
    }

    proptest! {
        #[test]
        fn clean_text_is_clean_already(text in any::<String>()) {
            let once = clean(&text);
            prop_assert_eq!(clean(&once), once.clone());
            prop_assert!(once.chars().all(|c| !c.is_control()));
        }

        #[test]
        fn a_slug_is_a_slug(text in any::<String>()) {
            let name = slug(&text);
            prop_assert!((1..=40).contains(&name.len()));
            prop_assert!(name.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-'));
            prop_assert!(!name.starts_with('-') && !name.ends_with('-'));
        }
    }
}
