//! What a plan.json states beside its layouts: how each material stands, what to buy, what is left. A reader may take it
//! from there, so it must be what follows from the layouts. What it does not state at all is no fault, nor is the
//! order of its lists.

use crate::input::json::Stated;
use crate::plan_file::{BuyFile, GroupFile, OffcutFile, PlanFile, amount, parse_amount};
use nest_core::model::{GroupKind, Measure};
use nest_core::units::Length;
use serde::Serialize;
use std::collections::BTreeMap;

/// What is not as the same plan would be written here, one sentence each.
pub fn beside(stated: &Stated, found: &PlanFile<'_>) -> Vec<String> {
    let mut faults = Vec::new();
    if !stated.currency.is_empty() {
        let currency = |text: &str| vec![("currency", text.to_owned())];
        compare("", currency(&stated.currency), currency(&found.currency), &mut faults);
    }
    for (index, (one, found)) in stated.groups.iter().zip(&found.groups).enumerate() {
        let fields = |of| group(of, one.kind.is_some(), stated.measure);
        compare(&format!("groups[{index}]."), fields(one), fields(found), &mut faults);
    }
    if let (Some(stated), Some(found)) = (&stated.buy, &found.buy) {
        let what = |line: &BuyFile| format!("{} of stock {}", line.qty, line.stock);
        listed("buy", stated, found, |line| line.stock, what, buy, &mut faults);
    }
    if let (Some(stated), Some(found)) = (&stated.offcuts, &found.offcuts) {
        let key = |offcut: &OffcutFile| (offcut.layout, offcut.at);
        let what = |offcut: &OffcutFile| format!("layout {} at {}", offcut.layout, pair(offcut.at));
        listed("offcuts", stated, found, key, what, offcut, &mut faults);
    }
    faults
}

type Fields = Vec<(&'static str, String)>;

/// Fields of two that should be the same. Equal values have equal texts.
fn compare(place: &str, stated: Fields, found: Fields, faults: &mut Vec<String>) {
    for ((field, stated), (_, found)) in stated.into_iter().zip(found) {
        if stated != found {
            faults.push(format!("`{place}{field}` is {stated}, but it must be {found}"));
        }
    }
}

/// Entries of two lists that should be the same but for their order. No two entries of `found` share a key.
fn listed<T, K: Ord>(
    name: &str,
    stated: &[T],
    found: &[T],
    key: impl Fn(&T) -> K,
    what: impl Fn(&T) -> String,
    fields: impl Fn(&T) -> Fields,
    faults: &mut Vec<String>,
) {
    let mut expected: BTreeMap<K, &T> = found.iter().map(|entry| (key(entry), entry)).collect();
    for (index, entry) in stated.iter().enumerate() {
        match expected.remove(&key(entry)) {
            Some(found) => compare(&format!("{name}[{index}]."), fields(entry), fields(found), faults),
            None => {
                faults.push(format!("`{name}[{index}]` is {}, which the layouts do not give", what(entry)))
            }
        }
    }
    faults.extend(expected.into_values().map(|entry| format!("`{name}` lacks {}", what(entry))));
}

fn group(group: &GroupFile<'_>, kind: bool, measure: Measure) -> Fields {
    let kind = group.kind.filter(|_| kind);
    vec![
        ("material", group.material.to_string()),
        ("kind", kind.map_or_else(nothing, kind_word)),
        ("cost", exact(measure, &group.cost)),
        ("cost_floor", exact(measure, &group.cost_floor)),
        ("status", word(&group.status)),
        ("impossible", group.impossible.to_string()),
    ]
}

fn buy(line: &BuyFile) -> Fields {
    let money =
        |text: &Option<String>| text.as_ref().map_or_else(nothing, |text| exact(Measure::Money, text));
    vec![
        ("qty", line.qty.to_string()),
        ("spare", line.spare.to_string()),
        ("each", money(&line.each)),
        ("total", money(&line.total)),
    ]
}

fn offcut(offcut: &OffcutFile) -> Fields {
    vec![("qty", offcut.qty.to_string()), ("size", pair(offcut.size))]
}

fn pair(pair: [Length; 2]) -> String {
    format!("[{}, {}]", pair[0].mm_decimal(), pair[1].mm_decimal())
}

fn nothing() -> String {
    "nothing".into()
}

fn kind_word(kind: GroupKind) -> String {
    match kind {
        GroupKind::Boards => "boards".into(),
        GroupKind::Sheets => "sheets".into(),
    }
}

/// A word as plan.json writes it.
pub(super) fn word(value: &impl Serialize) -> String {
    let written = serde_json::to_value(value).ok();
    written.and_then(|value| value.as_str().map(str::to_owned)).unwrap_or_default()
}

/// An amount as this program writes it; what is none stays as it is, and then equals none.
fn exact(measure: Measure, text: &str) -> String {
    parse_amount(measure, text).map_or_else(|_| format!("`{text}`"), |found| amount(measure, found))
}
