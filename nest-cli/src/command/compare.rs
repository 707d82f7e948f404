//! Is the question inside a plan the one that stands in the lists? Everything that changes a plan is compared, row by
//! row in the order of the lists; jobs, notes and further columns are not.

use crate::input::{FIRST_CUTS, FORMS, PART_GRAIN, PER, STOCK_GRAIN, WAYS};
use crate::report::words::Words;
use nest_core::model::{Batch, CheckedBatch, Fit, Part, Shop, Stages, Stock, fold};
use nest_core::units::Length;
use std::collections::BTreeSet;

/// What differs, one sentence each.
pub fn questions(asked: &CheckedBatch, answered: &CheckedBatch) -> Vec<String> {
    let words = &Words::of(&answered.batch().shop, answered.measure());
    let (asked, answered): (&Batch, &Batch) = (asked.batch(), answered.batch());
    let mut found = Vec::new();
    rows("part", &asked.parts, &answered.parts, |p| &p.name, |p| part(p, words), &mut found);
    rows("stock", &asked.stock, &answered.stock, |s| &s.name, |s| stock(s, words), &mut found);
    let (asked, answered) = (shop(&asked.shop, words), shop(&answered.shop, words));
    for ((field, asked), (_, answered)) in asked.iter().zip(&answered) {
        if asked != answered {
            found.push(format!("{field} of the shop is {answered} in the plan, but {asked} in the files"));
        }
    }
    found
}

/// So many names that only one side has are given.
const MOST_NAMES: usize = 8;

type Fields = Vec<(&'static str, String)>;

fn rows<T>(
    what: &str,
    asked: &[T],
    answered: &[T],
    name: impl Fn(&T) -> &String,
    fields: impl Fn(&T) -> Fields,
    found: &mut Vec<String>,
) {
    if asked.len() != answered.len() {
        found.push(format!(
            "the plan has {} rows of {what}, but the files have {}",
            answered.len(),
            asked.len()
        ));
        // Row by row nothing would be where it was.
        let named = |row: &T| Some(name(row).clone()).filter(|name| !name.is_empty());
        let names = |rows: &[T]| rows.iter().filter_map(named).collect::<BTreeSet<_>>();
        let (asked, answered) = (names(asked), names(answered));
        for (only, where_) in [(&answered - &asked, "plan"), (&asked - &answered, "files")] {
            found.extend(only.iter().take(MOST_NAMES).map(|name| format!("{name} is in the {where_} alone")));
            let more = only.len().saturating_sub(MOST_NAMES);
            if more > 0 {
                found.push(format!("and {more} more names are in the {where_} alone"));
            }
        }
        return;
    }
    for (row, (asked, answered)) in asked.iter().zip(answered).enumerate() {
        for ((field, asked_value), (_, answered_value)) in fields(asked).iter().zip(&fields(answered)) {
            if asked_value != answered_value {
                let name = name(asked);
                let number = row + 1;
                found.push(format!(
                    "{field} of {what} {number} ({name}) is {answered_value} in the plan, but {asked_value} in the files"
                ));
            }
        }
    }
}

/// A value by its word in the lists, the first where there are several.
fn word<V: PartialEq>(words: &[(&str, V)], value: &V) -> String {
    words.iter().find(|(_, of)| of == value).map_or_else(String::new, |(word, _)| (*word).to_owned())
}

fn opt_word<V: PartialEq>(words: &[(&str, V)], value: Option<V>) -> String {
    value.map_or_else(|| "empty".to_owned(), |value| word(words, &value))
}

fn yes(is: bool) -> &'static str {
    if is { "yes" } else { "no" }
}

fn opt_length(length: Option<Length>, words: &Words) -> String {
    length.map_or_else(|| "empty".to_owned(), |length| words.exact(length))
}

fn opt(text: Option<impl ToString>) -> String {
    text.map_or_else(|| "empty".to_owned(), |text| text.to_string())
}

fn part(p: &Part, words: &Words) -> Fields {
    vec![
        ("name", p.name.clone()),
        ("material", fold(&p.material)),
        ("section", opt(p.section)),
        ("thickness", opt_length(p.thickness, words)),
        ("length", words.exact(p.length)),
        ("width", opt_length(p.width, words)),
        ("qty", p.qty.to_string()),
        ("grain", opt_word(PART_GRAIN, p.grain)),
        ("edges", format!("{} and {}", p.length_edges, p.width_edges)),
        ("band", opt(p.band.as_deref())),
        ("match", opt(p.match_word.as_deref())),
        ("match_way", word(WAYS, &p.match_way)),
        (
            "fit",
            match p.fit {
                Fit::Over(length) => words.exact(length),
                fit => yes(fit == Fit::Yes).into(),
            },
        ),
        ("optional", yes(p.optional).into()),
        ("oversize", words.exact(p.oversize)),
    ]
}

fn stock(s: &Stock, words: &Words) -> Fields {
    let mut called: Vec<String> = s.called.iter().map(|&length| words.exact(length)).collect();
    called.sort();
    vec![
        ("name", s.name.clone()),
        ("material", fold(&s.material)),
        ("form", opt_word(FORMS, s.form)),
        ("section", opt(s.section)),
        ("thickness", opt_length(s.thickness, words)),
        ("called", called.join(", ")),
        ("length", words.exact(s.length)),
        ("width", opt_length(s.width, words)),
        ("price", opt(s.price)),
        ("per", word(PER, &s.per)),
        ("qty", opt(s.qty)),
        ("grain", opt_word(STOCK_GRAIN, s.grain)),
        ("on_hand", yes(s.on_hand).into()),
        ("factory_edges", yes(s.factory_edges).into()),
        ("ripped", yes(s.ripped).into()),
        ("trim", s.trim.map_or_else(|| "empty".to_owned(), |trim| words.trim(trim.brief()))),
    ]
}

fn shop(s: &Shop, words: &Words) -> Fields {
    let all =
        |lengths: &[Length]| lengths.iter().map(|&length| words.exact(length)).collect::<Vec<_>>().join(", ");
    let (boards, sheets) = (&s.boards, &s.sheets);
    let bands = s.bands.iter().map(|band| {
        format!("{} {} {}", fold(&band.name), words.exact(band.deduct), words.exact(band.pre_mill))
    });
    vec![
        ("boards.kerf", words.exact(boards.kerf)),
        ("boards.trim", all(&boards.trim)),
        ("boards.keep", words.exact(boards.keep)),
        ("boards.shortest_rip", words.exact(boards.shortest_rip)),
        ("sheets.kerf", words.exact(sheets.kerf)),
        ("sheets.trim", all(&sheets.trim)),
        ("sheets.keep", all(&sheets.keep)),
        (
            "sheets.stages",
            match sheets.stages {
                Stages::Limited(number) => number.to_string(),
                Stages::Any => "any".into(),
            },
        ),
        ("sheets.trimming", sheets.trimming.to_string()),
        ("sheets.first_cut", word(FIRST_CUTS, &sheets.first_cut)),
        ("sheets.longest_rip", opt_length(sheets.longest_rip, words)),
        ("sheets.longest_crosscut", opt_length(sheets.longest_crosscut, words)),
        ("sheets.fence_reach", opt_length(sheets.fence_reach, words)),
        ("bands", bands.collect::<Vec<_>>().join(", ")),
    ]
}
