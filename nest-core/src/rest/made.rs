//! Which of the pieces that were made are wanted as they are?
//!
//! A piece is still that piece where name, job, material, section, sizes, grain, edge band, match, fit and oversize agree.
//! Pieces of one strip of matched grain are made together or not at all: where one of them changed, the grain of the
//! others would not run on into a new one.

use std::collections::BTreeMap;

use super::Made;
use crate::model::{MatchWay, Part, PartGrain, fold};
use crate::units::Length;

/// Takes what is made off the quantities of the parts, in the order of the list: what was counted, and what is
/// not wanted.
pub(super) fn count_off(parts: &mut [Part], all: Vec<Made>) -> (Vec<Made>, Vec<Made>) {
    let wanted = strips(parts.iter());
    let there = strips(all.iter().map(|made| &made.part));
    let broken = |part: &Part| {
        strip(part).is_some_and(|strip| {
            // One piece alone is no strip.
            let pieces = |strips: &Strips| {
                strips.get(&strip).map_or(0, |rows| rows.iter().map(|(_, qty)| u64::from(*qty)).sum())
            };
            let (now, then) = (pieces(&wanted), pieces(&there));
            now.max(then) > 1 && wanted.get(&strip) != there.get(&strip)
        })
    };
    let mut rows: BTreeMap<Part, Vec<usize>> = BTreeMap::new();
    for (row, part) in parts.iter().enumerate().filter(|(_, part)| !broken(part)) {
        rows.entry(same(part)).or_default().push(row);
    }
    let (mut made, mut unwanted) = (Vec::new(), Vec::new());
    for Made { part, piece } in all {
        let mut left = part.qty;
        if !broken(&part) {
            for &row in rows.get(&same(&part)).into_iter().flatten() {
                let counted = left.min(parts[row].qty);
                parts[row].qty -= counted;
                left -= counted;
            }
        }
        for (qty, list) in [(part.qty - left, &mut made), (left, &mut unwanted)] {
            if qty > 0 {
                list.push(Made { part: Part { qty, ..part.clone() }, piece: piece.clone() });
            }
        }
    }
    (made, unwanted)
}

/// What makes a part that part: two that are the same in all of it share the result.
pub(super) fn same(part: &Part) -> Part {
    let banded = part.length_edges > 0 || part.width_edges > 0;
    Part {
        name: fold(&part.name),
        material: fold(&part.material),
        job: fold(&part.job),
        qty: 0,
        grain: Some(part.grain.unwrap_or(PartGrain::Length)),
        band: part.band.as_ref().filter(|_| banded).map(|band| fold(band)),
        match_word: part.match_word.as_ref().map(|word| fold(word)),
        match_way: if part.match_word.is_some() { part.match_way } else { MatchWay::Along },
        optional: false,
        note: String::new(),
        extra: Vec::new(),
        ..part.clone()
    }
}

/// What parts of one strip share: job, material, thickness and word.
type Strip = (String, String, Option<Length>, String);

/// The parts of each strip in their order, with how many pieces.
type Strips = BTreeMap<Strip, Vec<(Part, u32)>>;

fn strip(part: &Part) -> Option<Strip> {
    let word = part.match_word.as_ref()?;
    Some((fold(&part.job), fold(&part.material), part.thickness, fold(word)))
}

fn strips<'a>(parts: impl Iterator<Item = &'a Part>) -> Strips {
    let mut strips = Strips::new();
    for part in parts.filter(|part| part.qty > 0) {
        let Some(strip) = strip(part) else { continue };
        let rows = strips.entry(strip).or_default();
        let part = (same(part), part.qty);
        match rows.last_mut().filter(|last| last.0 == part.0) {
            Some(last) => last.1 = last.1.saturating_add(part.1),
            None => rows.push(part),
        }
    }
    strips
}
