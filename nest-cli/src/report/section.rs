//! One material on paper: its boards and the stop settings that all of them need.

use super::board::{Board, Frees};
use super::words::Words;
use crate::clean::clean;
use nest_core::model::{Batch, Group, UsableStock};
use nest_core::plan::{Layout, Way};
use nest_core::units::Length;
use std::cmp::Reverse;
use std::collections::BTreeMap;

/// One material.
#[derive(Clone, Debug)]
pub struct Section {
    /// Material and section or thickness.
    pub name: String,
    /// Jobs that need it, in the order of the list; empty where no part names one.
    pub jobs: Vec<String>,
    /// Its parts, by index.
    pub parts: BTreeMap<usize, PartLabel>,
    /// How it is cut.
    pub boards: Vec<Board>,
    /// Stop and fence settings of all its boards, crosscuts first, the longest first.
    pub stops: Vec<Stop>,
    /// Blade, trim, units, counts: name and value.
    pub facts: Vec<(&'static str, String)>,
}

/// What identifies a part on paper.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartLabel {
    /// Row of the part in the list, from 1.
    pub number: usize,
    /// Its name.
    pub name: String,
    /// Its job; empty for none.
    pub job: String,
}

/// A setting of stop or fence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stop {
    /// Stop for crosscuts, fence for rips.
    pub way: Way,
    /// The setting.
    pub setting: String,
    /// Cuts at this setting, on all boards.
    pub cuts: u64,
    /// Numbers of the boards.
    pub boards: Vec<usize>,
}

impl Stop {
    /// What is set: a stop for crosscuts, the fence for rips.
    pub fn word(&self) -> &'static str {
        match self.way {
            Way::Crosscut => "crosscuts (stop)",
            Way::Rip => "rips (fence)",
        }
    }
}

impl Section {
    /// One material of a plan. `layouts` are those of the group, with their indices.
    pub fn of(
        batch: &Batch,
        stock: &[UsableStock],
        group: &Group,
        layouts: &[(usize, &Layout)],
        words: &Words,
    ) -> Self {
        let boards: Vec<Board> = (layouts.iter())
            .map(|(index, layout)| {
                let stock = (&stock[layout.stock], &batch.stock[layout.stock]);
                Board::of(*index, layout, stock, &batch.parts, words)
            })
            .collect();
        let label = |&index: &usize| {
            let part = &batch.parts[index];
            (index, PartLabel { number: index + 1, name: clean(&part.name), job: clean(&part.job) })
        };
        let parts: BTreeMap<usize, PartLabel> = group.parts.iter().map(label).collect();
        let mut jobs: Vec<String> = Vec::new();
        for part in parts.values().filter(|p| !p.job.is_empty()) {
            if jobs.iter().all(|job| *job != part.job) {
                jobs.push(part.job.clone());
            }
        }
        let stops = stops(&boards);
        let facts = facts(stock, layouts, words);
        Self { name: clean(&group.name), jobs, parts, boards, stops, facts }
    }
}

fn stops(boards: &[Board]) -> Vec<Stop> {
    let mut found: BTreeMap<(Way, Reverse<Length>), Stop> = BTreeMap::new();
    for board in boards {
        for cut in board.cuts.iter().filter(|cut| cut.frees != Frees::Edge) {
            let stop = found.entry((cut.way, Reverse(cut.setting))).or_insert_with(|| Stop {
                way: cut.way,
                setting: cut.setting_text.clone(),
                cuts: 0,
                boards: Vec::new(),
            });
            stop.cuts += u64::from(board.copies);
            if stop.boards.last() != Some(&board.number) {
                stop.boards.push(board.number);
            }
        }
    }
    found.into_values().collect()
}

fn facts(stock: &[UsableStock], layouts: &[(usize, &Layout)], words: &Words) -> Vec<(&'static str, String)> {
    let boards: u128 = layouts.iter().map(|(_, l)| u128::from(l.copies)).sum();
    let pieces: u128 = layouts.iter().map(|(_, l)| u128::from(l.copies) * l.pieces.len() as u128).sum();
    let mut kerfs: Vec<String> = Vec::new();
    let mut trims: Vec<String> = Vec::new();
    // What is cut, not all that might have been; what is bought first.
    let mut used: Vec<(bool, usize)> =
        layouts.iter().map(|(_, layout)| (stock[layout.stock].on_hand, layout.stock)).collect();
    used.sort_unstable();
    used.dedup();
    let bought = used.iter().any(|(on_hand, _)| !on_hand);
    for (on_hand, index) in used {
        let entry = &stock[index];
        let kerf = words.kerf(entry.kerf);
        if !kerfs.contains(&kerf) {
            kerfs.push(kerf);
        }
        let mut trim = trim_text(entry.trim, words);
        if trims.contains(&trim) {
            continue;
        }
        if on_hand && bought {
            trim.push_str(" on the rack");
        }
        if !trims.contains(&trim) {
            trims.push(trim);
        }
    }
    vec![
        ("Kerf", kerfs.join(", ")),
        ("Edge trim", trims.join("; ")),
        ("Lengths in", words.notation()),
        ("Boards", boards.to_string()),
        ("Pieces", pieces.to_string()),
    ]
}

/// Edge trim in words: `none`, `1/4" each end`, `1/4" and 1/2" at the ends`.
pub fn trim_text(trim: [Length; 4], words: &Words) -> String {
    let [near, far, low, high] = trim;
    let pair = |a: Length, b: Length, one: &str, both: &str| match (a.is_positive(), b.is_positive()) {
        (false, false) => None,
        _ if a == b => Some(format!("{} each {one}", words.kerf(a))),
        (true, false) => Some(format!("{} at the near {one}", words.kerf(a))),
        (false, true) => Some(format!("{} at the far {one}", words.kerf(b))),
        _ => Some(format!("{} and {} at the {both}", words.kerf(a), words.kerf(b))),
    };
    let found = [pair(near, far, "end", "ends"), pair(low, high, "edge", "edges")];
    let found: Vec<String> = found.into_iter().flatten().collect();
    if found.is_empty() { "none".into() } else { found.join(", ") }
}
