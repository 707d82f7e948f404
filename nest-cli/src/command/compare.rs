//! Is the question inside a plan the one that stands in the lists? Everything that changes a plan is compared, row by
//! row in the order of the lists; jobs, notes and further columns are not. A plan that carries another on asks for what the
//! lists of the whole job do, less what was done before it.

use super::saved::restyled;
use crate::input::{FIRST_CUTS, FORMS, PART_GRAIN, PER, STOCK_GRAIN, WAYS};
use crate::report::words::{Words, list};
use nest_core::model::{Batch, CheckedBatch, Fit, Part, Shop, Stages, Stock, fold};
use nest_core::rest::{Before, Of, Unlike};
use nest_core::units::Length;
use std::collections::BTreeSet;

/// What differs, one sentence each. A plan that carries another on has the `whole` lists as they were before [`left`], and
/// in `before` what was done: quantities are what is left of those, and the rows of stock that no list names are left out.
pub fn questions(
    asked: &CheckedBatch,
    whole: Option<&Batch>,
    answered: &CheckedBatch,
    before: &Before,
) -> Vec<String> {
    let words = &Words::of(&answered.batch().shop, answered.measure());
    // The lists are in other units than a plan that was drawn in those of its reader, and so are names that nobody gave.
    let style = answered.batch().shop.style;
    let restyled = (asked.batch().shop.style != style).then(|| restyled(asked, style));
    let (asked, answered): (&Batch, &Batch) = (restyled.as_ref().unwrap_or(asked).batch(), answered.batch());
    let is_rest = whole.is_some();
    let part = |p: &Part| {
        let mut fields = part(p, words);
        fields.retain(|(field, _)| !is_rest || *field != "qty");
        fields
    };
    let stock = |s: &Stock| {
        let mut fields = stock(s, words);
        let many = fields.iter_mut().find(|(field, _)| is_rest && *field == "qty" && s.qty.is_some());
        many.into_iter().for_each(|(_, value)| "limited".clone_into(value));
        fields
    };
    let mut found = Vec::new();
    let say = |unlike: Vec<Unlike>| {
        unlike.into_iter().map(|unlike| say(&unlike, answered, before)).collect::<Vec<_>>()
    };
    let in_place = rows("part", &asked.parts, &answered.parts, |p| &p.name, part, &mut found);
    if let Some(whole) = whole.filter(|_| in_place) {
        found.extend(say(before.unlike_parts(&whole.parts, &answered.parts)));
    }
    let [listed, used] = [asked, answered].map(|batch| in_lists(&batch.stock, before));
    let in_place = rows("stock", listed, used, |s| &s.name, stock, &mut found);
    if let Some(whole) = whole.filter(|_| in_place) {
        found.extend(say(before.unlike_stock(whole, answered)));
    }
    let (asked, answered) = (shop(&asked.shop, words), shop(&answered.shop, words));
    for ((field, asked), (_, answered)) in asked.iter().zip(&answered) {
        if asked != answered {
            found.push(format!("{field} of the shop is {answered} in the plan, but {asked} in the files"));
        }
    }
    found
}

/// The stock of a plan that its lists name.
pub fn in_lists<'a>(stock: &'a [Stock], before: &Before) -> &'a [Stock] {
    &stock[..stock.len().saturating_sub(before.carried)]
}

/// What is left of the lists of a whole job by the account of a plan that carries it on: how many of each, which is what
/// the plan asks for, and what no list names.
pub fn left(lists: &Batch, plan: &Batch, before: &Before) -> Batch {
    let mut left = lists.clone();
    // Where rows are not where they were, `questions` says so, and nobody knows which quantity is whose.
    let names = |parts: &[Part]| parts.iter().map(|part| part.name.clone()).collect::<Vec<_>>();
    if names(&lists.parts) == names(&plan.parts) {
        left.parts.iter_mut().zip(&plan.parts).for_each(|(left, asked)| left.qty = asked.qty);
    }
    let listed = in_lists(&plan.stock, before);
    let called = |batch: &Batch| batch.stock_as_named().map(|stock| stock.name).collect::<Vec<_>>();
    if called(lists) == called(plan)[..listed.len()] {
        for (left, used) in left.stock.iter_mut().zip(listed) {
            left.qty = left.qty.and(used.qty).or(left.qty);
        }
    }
    left.stock.extend_from_slice(&plan.stock[listed.len()..]);
    left
}

fn say(Unlike { of, listed, before: done, asked }: &Unlike, plan: &Batch, before: &Before) -> String {
    let beside =
        |how: &str| if *done == 0 { String::new() } else { format!(" beside {done} {how} before it") };
    let numbers = |rows: &[usize]| {
        let numbers: Vec<String> = rows.iter().map(|row| (row + 1).to_string()).collect();
        list(&numbers, MOST_NAMES)
    };
    let parts = |rows: &[usize]| rows.first().and_then(|&row| plan.parts.get(row));
    match of {
        Of::Part(rows) => format!(
            "the plan asks for {asked} of part{} {} ({}){}, but the files for {listed}",
            if rows.len() == 1 { "" } else { "s" },
            numbers(rows),
            parts(rows).map_or("", |part| &part.name),
            beside("made")
        ),
        Of::Made(made) => format!(
            "{done} of {} were made before the plan by its account, but the files have no such part",
            before.made.get(*made).map_or("", |made| &made.part.name)
        ),
        Of::Strip(rows) => format!(
            "the plan asks for {asked} of strip `{}`{}, but a strip of matched grain is made as a whole or not at all",
            parts(rows).and_then(|part| part.match_word.as_deref()).unwrap_or(""),
            beside("made")
        ),
        Of::Stock(rows) => format!(
            "the plan counts on {asked} of stock {} ({}){}, but the files have {listed}",
            numbers(rows),
            rows.first().and_then(|&row| plan.stock.get(row)).map_or("", |stock| &stock.name),
            beside("gone")
        ),
    }
}

/// So many names that only one side has, and numbers of rows that are alike, are given.
const MOST_NAMES: usize = 8;

type Fields = Vec<(&'static str, String)>;

/// Compares rows of the same place. Tells whether they are those of the same place.
fn rows<T>(
    what: &str,
    asked: &[T],
    answered: &[T],
    name: impl Fn(&T) -> &String,
    fields: impl Fn(&T) -> Fields,
    found: &mut Vec<String>,
) -> bool {
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
        return false;
    }
    if in_another_order(asked, answered, &fields) {
        found.push(format!(
            "the rows of {what} stand in another order in the files: give the lists in the order in which they were planned"
        ));
        return false;
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
    asked.iter().zip(answered).all(|(asked, answered)| name(asked) == name(answered))
}

/// Whether the rows are the same, but not where they were.
fn in_another_order<T>(asked: &[T], answered: &[T], fields: &impl Fn(&T) -> Fields) -> bool {
    if asked.iter().zip(answered).all(|(asked, answered)| fields(asked) == fields(answered)) {
        return false;
    }
    let [mut asked, mut answered]: [Vec<Fields>; 2] =
        [asked, answered].map(|rows| rows.iter().map(fields).collect());
    asked.sort();
    answered.sort();
    asked == answered
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
