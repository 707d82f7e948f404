//! What the list notes on the parts of one layout: said where they are cut, each note once, and no more than leaves the
//! drawing in charge of its page.

use crate::clean::isolated;
use crate::report::Section;
use crate::report::words::list;
use std::collections::BTreeSet;

/// Letters of a note, and of all notes of a layout; the list of parts has the rest.
const LONGEST: usize = 160;
const TOGETHER: usize = 600;

/// `no. 3 and 5: good face out`, in the order of the list.
pub fn notes(section: &Section, parts: BTreeSet<usize>) -> Vec<String> {
    let mut found: Vec<(&str, Vec<String>)> = Vec::new();
    for label in parts.iter().filter_map(|part| section.parts.get(part)) {
        match found.iter_mut().find(|(note, _)| *note == label.note) {
            _ if label.note.is_empty() => {}
            Some((_, numbers)) => numbers.push(label.number.to_string()),
            None => found.push((&label.note, vec![label.number.to_string()])),
        }
    }
    let (mut said, mut used) = (Vec::new(), 0);
    for (note, numbers) in found {
        let short = shortened(note.trim_end_matches('.'), LONGEST);
        used += short.chars().count();
        if used > TOGETHER {
            said.push("more notes stand in the list of parts".to_owned());
            break;
        }
        said.push(format!("no. {}: {}", list(&numbers, 4), isolated(&short)));
    }
    said
}

/// The first letters, with an ellipsis where there are more.
fn shortened(text: &str, most: usize) -> String {
    match text.char_indices().nth(most) {
        Some((end, _)) => format!("{}…", text[..end].trim_end()),
        None => text.to_owned(),
    }
}
