//! Which of the pieces that were made are wanted as they are?
//!
//! A piece is still that piece where name, job, material, section, sizes, grain, edge band, match, fit and oversize agree.
//! One that was cut longer or larger, to be cut to its size later, is also any other that it still holds. Pieces of one
//! strip of matched grain are made together or not at all: where one of them changed, the grain of the others would not
//! run on into a new one.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::RangeInclusive;

use super::Made;
use super::hand::Hand;
use crate::model::{Fit, MatchWay, Part, PartGrain, fold};
use crate::units::Length;

/// What was made, told apart.
#[derive(Debug, Default)]
pub(super) struct Counted {
    /// What is wanted.
    pub made: Vec<Made>,
    /// What is not.
    pub unwanted: Vec<Made>,
    /// What of the wanted was cut for another size than the part has now, with that part.
    pub other: Vec<(Made, Part)>,
    /// The words of strips of which some pieces are made, and the others are still on the saw.
    pub parted: Vec<String>,
}

/// Takes what is made off the quantities of the parts, in the order of the list; of those that wait on the saw, nothing is.
pub(super) fn count_off(parts: &mut [Part], all: Vec<Made>, waiting: &[&Part]) -> Counted {
    let (wanted, there) = (strips(parts.iter()), strips(all.iter().map(|made| &made.part)));
    let broken = broken(&wanted, &there);
    let whole = |part: &Part| strip(part).is_none_or(|strip| !broken.contains(&strip));
    let mut rows: BTreeMap<Part, Hand> = BTreeMap::new();
    for (row, part) in parts.iter().enumerate().filter(|(_, part)| whole(part)) {
        rows.entry(same(part)).or_default().push(row);
    }
    let parted = parted(&wanted, &there, waiting);
    let mut counted = Counted { parted, ..Counted::default() };
    let mut over = Vec::new();
    for mut made in all {
        let mut left = made.part.qty;
        if let Some(rows) = rows.get_mut(&same(&made.part)).filter(|_| whole(&made.part)) {
            while left > 0 {
                let Some(row) = rows.first(|row| parts[row].qty > 0) else { break };
                take(&mut parts[row], &mut left);
            }
        }
        let qty = made.part.qty - left;
        if left > 0 {
            over.push(Made { part: Part { qty: left, ..made.part.clone() }, piece: made.piece.clone() });
        }
        if qty > 0 {
            made.part.qty = qty;
            counted.made.push(made);
        }
    }
    let mut others: BTreeMap<Part, Vec<usize>> = BTreeMap::new();
    for (row, part) in parts.iter().enumerate().filter(|(_, part)| part.qty > 0 && whole(part)) {
        others.entry(of_any_size(part)).or_default().push(row);
    }
    // What takes the most of a blank first.
    others
        .values_mut()
        .for_each(|rows| rows.sort_by_key(|&row| Reverse((parts[row].length, parts[row].width))));
    for mut made in over {
        let mut left = made.part.qty;
        let rows = others.get(&of_any_size(&made.part)).filter(|_| whole(&made.part));
        let rows = rows.map_or(&[][..], Vec::as_slice);
        let lengths = lengths(&made.part);
        let longer = rows.partition_point(|&row| parts[row].length > *lengths.end());
        for &row in rows[longer..].iter().take(MOST_SIZES) {
            if left == 0 || parts[row].length < *lengths.start() {
                break;
            }
            if !holds(&made.part, &parts[row]) {
                continue;
            }
            let qty = take(&mut parts[row], &mut left);
            if qty > 0 {
                let part = Part { qty, ..made.part.clone() };
                let made = Made { part, piece: made.piece.clone() };
                counted.made.push(made.clone());
                if (made.part.length, made.part.width) != (parts[row].length, parts[row].width) {
                    counted.other.push((made, parts[row].clone()));
                }
            }
        }
        made.part.qty = left;
        counted.unwanted.extend((left > 0).then_some(made));
    }
    counted
}

/// Sizes of one part that are looked at for a blank.
const MOST_SIZES: usize = 1000;

/// Takes what is there off what is asked for; how much that was.
fn take(part: &mut Part, left: &mut u32) -> u32 {
    let taken = part.qty.min(*left);
    part.qty -= taken;
    *left -= taken;
    taken
}

/// The lengths that a blank may still get.
pub(super) fn lengths(blank: &Part) -> RangeInclusive<Length> {
    let [along, _] = beyond(blank);
    let longest = Length::from_ticks(blank.length.ticks().saturating_add(along));
    if waits(blank)[0] { Length::ZERO..=longest } else { blank.length..=longest }
}

/// What a blank has beyond its length and width.
pub(super) fn beyond(part: &Part) -> [i64; 2] {
    let fit = if let Fit::Over(fit) = part.fit { fit } else { Length::ZERO };
    [fit.ticks().saturating_add(part.oversize.ticks()), part.oversize.ticks()]
}

/// Whether its length, and its width, waits for a last cut: it may become shorter as well.
fn waits(blank: &Part) -> [bool; 2] {
    let [along, across] = beyond(blank);
    [blank.fit != Fit::No || along > 0, across > 0]
}

/// A part whatever its size, and what its blank has beyond that.
pub(super) fn of_any_size(part: &Part) -> Part {
    Part { length: Length::ZERO, width: None, fit: Fit::No, oversize: Length::ZERO, ..same(part) }
}

/// Whether the blank of a part, all else being alike, can be cut to another one.
pub(super) fn holds(blank: &Part, wanted: &Part) -> bool {
    let (has, wants, later) = (beyond(blank), beyond(wanted), waits(blank));
    let holds = |axis: usize, is: Length, becomes: Length| {
        is == becomes && has[axis] >= wants[axis]
            || later[axis] && becomes.ticks() <= is.ticks().saturating_add(has[axis])
    };
    let wide = match (blank.width, wanted.width) {
        (Some(is), Some(becomes)) => holds(1, is, becomes),
        (is, becomes) => is == becomes,
    };
    wide && holds(0, blank.length, wanted.length)
}

/// Whether it waits for a last cut.
pub(super) fn is_blank(part: &Part) -> bool {
    part.fit != Fit::No || part.oversize.is_positive()
}

/// Whether any edge gets a band.
pub(super) fn is_banded(part: &Part) -> bool {
    part.length_edges > 0 || part.width_edges > 0
}

/// What makes a part that part: two that are the same in all of it share the result.
pub(super) fn same(part: &Part) -> Part {
    Part {
        name: fold(&part.name),
        material: fold(&part.material),
        job: fold(&part.job),
        qty: 0,
        grain: Some(part.grain.unwrap_or(PartGrain::Length)),
        band: part.band.as_ref().filter(|_| is_banded(part)).map(|band| fold(band)),
        match_word: part.match_word.as_ref().map(|word| fold(word)),
        match_way: if part.match_word.is_some() { part.match_way } else { MatchWay::Along },
        optional: false,
        note: String::new(),
        extra: Vec::new(),
        ..part.clone()
    }
}

/// What parts of one strip share: job, material, thickness and word.
pub(super) type Strip = (String, String, Option<Length>, String);

/// The parts of each strip in their order, with how many pieces.
type Strips = BTreeMap<Strip, Vec<(Part, u32)>>;

/// The strip that a part belongs to.
pub(super) fn strip(part: &Part) -> Option<Strip> {
    let word = part.match_word.as_ref()?;
    Some((fold(&part.job), fold(&part.material), part.thickness, fold(word)))
}

/// The strips of which not all was made as it is wanted. One piece alone is no strip.
fn broken(wanted: &Strips, there: &Strips) -> BTreeSet<Strip> {
    let pieces = |rows: &Vec<(Part, u32)>| rows.iter().map(|(_, qty)| u64::from(*qty)).sum::<u64>();
    let broken = |strip: &&Strip| {
        let (now, then) = (wanted.get(*strip), there.get(*strip));
        now != then && now.map_or(0, pieces).max(then.map_or(0, pieces)) > 1
    };
    wanted.keys().chain(there.keys()).filter(broken).cloned().collect()
}

/// The strips that would be made as they are wanted with what waits on the saw, by their words.
fn parted(wanted: &Strips, there: &Strips, waiting: &[&Part]) -> Vec<String> {
    let mut waiting: Vec<(Strip, &Part)> =
        waiting.iter().filter_map(|part| Some((strip(part)?, *part))).collect();
    waiting.sort_by(|a, b| a.0.cmp(&b.0));
    let parted = waiting.chunk_by(|a, b| a.0 == b.0).filter_map(|rest| {
        let (strip, first) = rest.first()?;
        let then = there.get(strip)?.iter().cloned();
        let all = counts(then.chain(rest.iter().map(|(_, part)| (same(part), 1))));
        (all == counts(wanted.get(strip)?.iter().cloned())).then(|| first.match_word.clone())?
    });
    parted.collect()
}

/// How many there are of each part, wherever they stand.
fn counts(rows: impl Iterator<Item = (Part, u32)>) -> BTreeMap<Part, u64> {
    let mut counts = BTreeMap::new();
    for (part, qty) in rows {
        *counts.entry(part).or_default() += u64::from(qty);
    }
    counts
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
