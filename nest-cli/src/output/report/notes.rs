//! What the list notes on the parts of one layout: said where they are cut, each note once, and no more than leaves the
//! drawing in charge of its page.

use crate::clean::isolated;
use crate::report::Section;
use crate::report::words::ranges;
use std::collections::{BTreeMap, BTreeSet};

/// Letters of a note, and of all notes of a layout; the list of parts has the rest.
const LONGEST: usize = 160;
const TOGETHER: usize = 600;

/// `no. 3 and 5: good face out`, in the order of the list.
pub fn notes(section: &Section, parts: BTreeSet<usize>) -> Vec<String> {
    let mut found: Vec<(&str, Vec<usize>)> = Vec::new();
    let mut nth: BTreeMap<&str, usize> = BTreeMap::new();
    for label in
        parts.iter().filter_map(|part| section.parts.get(part)).filter(|label| !label.note.is_empty())
    {
        let at = *nth.entry(&label.note).or_insert(found.len());
        match found.get_mut(at) {
            Some((_, numbers)) => numbers.push(label.number),
            None => found.push((&label.note, vec![label.number])),
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
        said.push(format!("no. {}: {}", ranges(&numbers), isolated(&short)));
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
