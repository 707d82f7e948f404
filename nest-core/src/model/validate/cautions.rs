//! What is odd about a sound question? One warning a cause, however many rows share it.

use std::collections::{BTreeMap, BTreeSet};

use super::super::fold::{fold, is_slip};
use super::super::problem::shop;
use super::super::{Batch, Fit, Group, MatchWay, Part, Shop, Stock, Strip, UsableStock, Warning};
use crate::units::{Length, Money, Nominal};

/// All warnings, in the order in which a reader wants them: what changes the plan first.
pub fn look(batch: &Batch, stock: &[UsableStock], groups: &[Group], strips: &[Strip]) -> Vec<Warning> {
    let mut warnings = Vec::new();
    wide_kerf(&batch.shop, stock, groups, &mut warnings);
    long_stock(&batch.stock, &mut warnings);
    free_without_limit(batch, stock, groups, &mut warnings);
    on_hand_twice(batch, &mut warnings);
    edges_of_bought(&batch.stock, &mut warnings);
    grain_unstated(batch, stock, groups, &mut warnings);
    warnings.extend(super::grains::doubt(batch, stock, groups));
    matched_alone(&batch.parts, strips, &mut warnings);
    band_without_edges(&batch.parts, &mut warnings);
    nothing_to_make(&batch.parts, &mut warnings);
    repeated(&batch.parts, &mut warnings);
    shared_names(&batch.parts, &mut warnings);
    near_jobs(&batch.parts, &mut warnings);
    super::looks::look(batch, &mut warnings);
    unused(batch, &mut warnings);
    warnings
}

/// Wider than any saw for wood cuts, chain saws of mills included (common practice: 3 to 10 mm).
const WIDE_KERF: Length = Length::from_ticks(Length::TICKS_PER_INCH / 2);

fn wide_kerf(rules: &Shop, stock: &[UsableStock], groups: &[Group], warnings: &mut Vec<Warning>) {
    for (board, kerf, field) in
        [(true, rules.boards.kerf, "boards.kerf"), (false, rules.sheets.kerf, "sheets.kerf")]
    {
        let cut = || groups.iter().flat_map(|group| &group.stock).any(|&index| stock[index].board == board);
        if kerf > WIDE_KERF && cut() {
            warnings.push(Warning::WideKerf { place: shop(field) });
            // One flag sets both.
            return;
        }
    }
}

/// Longer than glued beams are sold as a rule (common practice: 12 to 18 m); a sheet of 1220 mm read as inches is 31 m.
const LONG_STOCK: Length = Length::mm(20_000);

fn long_stock(stock: &[Stock], warnings: &mut Vec<Warning>) {
    let mut rows = stock.iter().enumerate().filter(|(_, stock)| stock.length > LONG_STOCK);
    if let Some((index, stock)) = rows.next() {
        warnings.push(Warning::LongStock { stock: index, name: stock.name.clone(), more: rows.count() });
    }
}

/// A list of stock that names what is on hand, and the rack that an earlier plan made of it. Who gave no name has one that
/// was made here, with a number where another row has it already.
fn on_hand_twice(batch: &Batch, warnings: &mut Vec<Warning>) {
    let mut seen = BTreeSet::new();
    let mut again = batch.stock.iter().enumerate().filter(|(_, s)| {
        let unnamed = super::names::is_made(&s.name, s, batch.shop.style);
        let name = if unnamed { String::new() } else { fold(&s.name) };
        let piece = (name, fold(&s.material), s.section, [s.thickness, Some(s.length), s.width]);
        s.on_hand && s.qty != Some(0) && !seen.insert(piece)
    });
    if let Some((index, s)) = again.next() {
        warnings.push(Warning::OnHandTwice { stock: index, name: s.name.clone(), more: again.count() });
    }
}

fn free_without_limit(batch: &Batch, stock: &[UsableStock], groups: &[Group], warnings: &mut Vec<Warning>) {
    for &index in groups.iter().flat_map(|group| &group.stock) {
        if stock[index].qty.is_none() && stock[index].each == Some(Money::ZERO) && !stock[index].on_hand {
            warnings.push(Warning::FreeWithoutLimit { stock: index, name: batch.stock[index].name.clone() });
        }
    }
}

fn edges_of_bought(stock: &[Stock], warnings: &mut Vec<Warning>) {
    let mut rows = stock.iter().enumerate().filter(|(_, stock)| stock.factory_edges && !stock.on_hand);
    if let Some((index, stock)) = rows.next() {
        warnings.push(Warning::EdgesOfBought { stock: index, name: stock.name.clone(), more: rows.count() });
    }
}

fn grain_unstated(batch: &Batch, stock: &[UsableStock], groups: &[Group], warnings: &mut Vec<Warning>) {
    // Whether anybody stated the grain of a material that comes in sheets, with its name as written.
    let mut materials: BTreeMap<String, (bool, &str)> = BTreeMap::new();
    for group in groups {
        for &index in group.stock.iter().filter(|&&index| !stock[index].board) {
            let s = &batch.stock[index];
            materials.entry(fold(&s.material)).or_insert((false, &s.material)).0 |= s.grain.is_some();
        }
        for &index in &group.parts {
            if let Some(entry) = materials.get_mut(&fold(&batch.parts[index].material)) {
                entry.0 |= batch.parts[index].grain.is_some();
            }
        }
    }
    for (stated, material) in materials.into_values() {
        if !stated {
            warnings.push(Warning::GrainUnstated { material: material.to_owned() });
        }
    }
}

fn matched_alone(parts: &[Part], strips: &[Strip], warnings: &mut Vec<Warning>) {
    let matched: BTreeSet<usize> = strips.iter().flat_map(|strip| &strip.parts).copied().collect();
    let mut alone = parts.iter().enumerate().filter_map(|(row, part)| {
        let word = part.match_word.as_ref().filter(|_| part.qty > 0 && !matched.contains(&row))?;
        Some((row, &part.name, word))
    });
    if let Some((first, name, word)) = alone.next() {
        let (name, word) = (name.clone(), word.clone());
        warnings.push(Warning::MatchAlone { first, name, word, count: 1 + alone.count() });
    }
}

fn band_without_edges(parts: &[Part], warnings: &mut Vec<Warning>) {
    let none =
        |part: &Part| part.qty > 0 && part.band.is_some() && [part.length_edges, part.width_edges] == [0; 2];
    let mut rows = parts.iter().enumerate().filter(|(_, part)| none(part));
    if let Some((first, part)) = rows.next() {
        warnings.push(Warning::BandWithoutEdges { first, name: part.name.clone(), count: 1 + rows.count() });
    }
}

fn nothing_to_make(parts: &[Part], warnings: &mut Vec<Warning>) {
    let mut rows = parts.iter().enumerate().filter(|(_, p)| p.qty == 0);
    if let Some((first, part)) = rows.next() {
        warnings.push(Warning::NothingToMake { first, name: part.name.clone(), count: 1 + rows.count() });
    }
}

/// Everything that tells one row from another, except what is free text, and how many: who writes a part down twice
/// seldom counts it the same.
type Row<'a> = (&'a str, &'a str, String, Option<Nominal>, [Option<Length>; 3], (MatchWay, Fit), [u8; 2]);

fn repeated(parts: &[Part], warnings: &mut Vec<Warning>) {
    let mut seen: BTreeSet<(Row<'_>, usize)> = BTreeSet::new();
    let mut first: Option<(usize, usize)> = None;
    let mut more = 0;
    // In a strip what is alike may have to be several rows, for the sake of the order.
    for (index, p) in parts.iter().enumerate().filter(|(_, p)| p.match_word.is_none()) {
        let row: Row<'_> = (
            &p.name,
            &p.job,
            fold(&p.material),
            p.section,
            [p.thickness, Some(p.length), p.width],
            (p.match_way, p.fit),
            [p.length_edges, p.width_edges],
        );
        match seen.range((row.clone(), 0)..).next() {
            // Other notes mean that somebody told the two apart.
            Some((earlier, of))
                if *earlier == row && parts[*of].note == p.note && parts[*of].extra == p.extra =>
            {
                match first {
                    None => first = Some((index, *of)),
                    Some(_) => more += 1,
                }
            }
            _ => {
                seen.insert((row, index));
            }
        }
    }
    if let Some((part, of)) = first {
        warnings.push(Warning::RepeatedPart { part, of, name: parts[part].name.clone(), more });
    }
}

fn shared_names(parts: &[Part], warnings: &mut Vec<Warning>) {
    let mut seen: BTreeMap<(&str, &str, String), &Part> = BTreeMap::new();
    let sizes = |p: &Part| (p.section, p.thickness, p.length, p.width);
    let mut shared = parts.iter().enumerate().filter(|(_, p)| {
        let first = *seen.entry((p.name.as_str(), p.job.as_str(), fold(&p.material))).or_insert(p);
        sizes(first) != sizes(p) && first.note == p.note && first.extra == p.extra
    });
    if let Some((part, p)) = shared.next() {
        let name = p.name.clone();
        warnings.push(Warning::SharedName { part, name, more: shared.count() });
    }
}

/// Most jobs that are compared with each other.
const MOST_JOBS: usize = 200;
/// Most rows of a job that may be a slip.
const FEW: usize = 2;
/// How many times as many rows the one has that was meant.
const MANY: usize = 3;

/// Jobs that are most likely one, of which somebody mistyped a row or two.
fn near_jobs(parts: &[Part], warnings: &mut Vec<Warning>) {
    let mut jobs: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    for (row, part) in parts.iter().enumerate() {
        jobs.entry(&part.job).or_insert((row, 0)).1 += 1;
    }
    if jobs.len() > MOST_JOBS {
        return;
    }
    let few = jobs.iter().filter(|(_, (_, rows))| *rows <= FEW);
    for (job, &(part, rows)) in few {
        let meant = jobs.iter().find(|(near, (_, many))| *many >= rows * MANY && is_slip(job, near));
        if let Some((near, _)) = meant {
            let (job, near) = ((*job).to_owned(), (*near).to_owned());
            warnings.push(Warning::NearJob { part, job, rows, near });
        }
    }
}

fn unused(batch: &Batch, warnings: &mut Vec<Warning>) {
    let asked: BTreeSet<String> = batch.parts.iter().map(|p| fold(&p.material)).collect();
    let mut seen = BTreeSet::new();
    let mut materials = Vec::new();
    for stock in &batch.stock {
        let folded = fold(&stock.material);
        if !asked.contains(&folded) && seen.insert(folded) {
            materials.push(stock.material.clone());
        }
    }
    let count = materials.len();
    materials.truncate(3);
    if count > 0 {
        warnings.push(Warning::Unused { materials, count });
    }
}
