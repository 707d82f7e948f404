//! Is the question inside a plan the one that stands in the lists? Everything that changes a plan is compared, row by
//! row in the order of the lists; jobs, notes and further columns are not.

use nest_core::model::{Batch, CheckedBatch, Part, Shop, Stock, fold};

/// What differs, one sentence each.
pub fn questions(asked: &CheckedBatch, answered: &CheckedBatch) -> Vec<String> {
    let (asked, answered): (&Batch, &Batch) = (asked.batch(), answered.batch());
    let mut found = Vec::new();
    rows("part", &asked.parts, &answered.parts, |p| &p.name, part, &mut found);
    rows("stock", &asked.stock, &answered.stock, |s| &s.name, stock, &mut found);
    let (asked, answered) = (shop(&asked.shop), shop(&answered.shop));
    for ((field, asked), (_, answered)) in asked.iter().zip(&answered) {
        if asked != answered {
            found.push(format!("{field} of the shop is {answered} in the plan, but {asked} in the files"));
        }
    }
    found
}

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

/// A value as text that two equal values share.
fn say(value: &impl std::fmt::Debug) -> String {
    format!("{value:?}").to_lowercase()
}

fn mm(length: nest_core::units::Length) -> String {
    format!("{} mm", length.mm_decimal())
}

fn opt_mm(length: Option<nest_core::units::Length>) -> String {
    length.map_or_else(|| "empty".to_owned(), mm)
}

fn opt(text: Option<impl ToString>) -> String {
    text.map_or_else(|| "empty".to_owned(), |text| text.to_string())
}

fn part(p: &Part) -> Fields {
    vec![
        ("name", p.name.clone()),
        ("material", fold(&p.material)),
        ("section", opt(p.section)),
        ("thickness", opt_mm(p.thickness)),
        ("length", mm(p.length)),
        ("width", opt_mm(p.width)),
        ("qty", p.qty.to_string()),
        ("grain", p.grain.map_or_else(|| "empty".to_owned(), |grain| say(&grain))),
        ("edges", format!("{} and {}", p.length_edges, p.width_edges)),
        ("band", opt(p.band.as_deref())),
        ("match", opt(p.match_word.as_deref())),
        ("match_way", say(&p.match_way)),
        ("fit", say(&p.fit)),
        ("optional", p.optional.to_string()),
        ("oversize", mm(p.oversize)),
    ]
}

fn stock(s: &Stock) -> Fields {
    let mut called: Vec<String> = s.called.iter().copied().map(mm).collect();
    called.sort();
    vec![
        ("name", s.name.clone()),
        ("material", fold(&s.material)),
        ("form", s.form.map_or_else(|| "empty".to_owned(), |form| say(&form))),
        ("section", opt(s.section)),
        ("thickness", opt_mm(s.thickness)),
        ("called", called.join(", ")),
        ("length", mm(s.length)),
        ("width", opt_mm(s.width)),
        ("price", opt(s.price)),
        ("per", say(&s.per)),
        ("qty", opt(s.qty)),
        ("grain", s.grain.map_or_else(|| "empty".to_owned(), |grain| say(&grain))),
        ("on_hand", s.on_hand.to_string()),
    ]
}

fn shop(s: &Shop) -> Fields {
    let all =
        |lengths: &[nest_core::units::Length]| lengths.iter().copied().map(mm).collect::<Vec<_>>().join(", ");
    let (boards, sheets) = (&s.boards, &s.sheets);
    let bands =
        s.bands.iter().map(|band| format!("{} {} {}", fold(&band.name), mm(band.deduct), mm(band.pre_mill)));
    vec![
        ("boards.kerf", mm(boards.kerf)),
        ("boards.trim", all(&boards.trim)),
        ("boards.shortest_rip", mm(boards.shortest_rip)),
        ("sheets.kerf", mm(sheets.kerf)),
        ("sheets.trim", all(&sheets.trim)),
        ("sheets.stages", say(&sheets.stages)),
        ("sheets.trimming", sheets.trimming.to_string()),
        ("sheets.first_cut", say(&sheets.first_cut)),
        ("sheets.longest_rip", opt_mm(sheets.longest_rip)),
        ("sheets.longest_crosscut", opt_mm(sheets.longest_crosscut)),
        ("sheets.fence_reach", opt_mm(sheets.fence_reach)),
        ("bands", bands.collect::<Vec<_>>().join(", ")),
    ]
}
