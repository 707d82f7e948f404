//! One material on paper: its boards or sheets, and the settings that all of them need.

use super::board::Board;
use super::identity::Fingerprint;
use super::sheet::Sheet;
use super::step::Off;
use super::trim;
use super::words::Words;
use crate::clean::clean;
use nest_core::model::{CheckedBatch, Group, GroupKind, Stock, UsableStock};
use nest_core::plan::{Layout, Way};
use nest_core::units::Length;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

/// One material.
#[derive(Clone, Debug)]
pub struct Section {
    /// Material and section or thickness.
    pub name: String,
    /// The plan it is of, in short.
    pub plan: String,
    /// Jobs that need it, in the order of the list; empty where no part names one.
    pub jobs: Vec<String>,
    /// Its parts, by index.
    pub parts: BTreeMap<usize, PartLabel>,
    /// How it is cut, where one piece lies across a board at a time; else empty.
    pub boards: Vec<Board>,
    /// How it is cut, where pieces lie side by side too; else empty.
    pub sheets: Vec<Sheet>,
    /// Stop and fence settings of all its boards or sheets, crosscuts first, the longest first.
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
    /// Free text of the list; empty for none.
    pub note: String,
}

/// A setting of stop or fence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stop {
    /// Stop for crosscuts, fence for rips.
    pub way: Way,
    /// The setting.
    pub setting: String,
    /// It is taken from the far side, because the fence does not reach so far.
    pub far: bool,
    /// Cuts at this setting, on all boards or sheets.
    pub cuts: u64,
    /// Numbers of the boards or sheets.
    pub boards: Vec<usize>,
}

impl Stop {
    /// What is set, a stop for crosscuts and the fence for rips, and from where.
    pub fn word(&self) -> &'static str {
        match (self.way, self.far) {
            (Way::Crosscut, false) => "crosscuts (stop)",
            (Way::Crosscut, true) => "crosscuts (stop), far end",
            (Way::Rip, false) => "rips (fence)",
            (Way::Rip, true) => "rips (fence), far edge",
        }
    }
}

impl Section {
    /// One material of a plan. `layouts` are those of the group, with their indices.
    pub fn of(
        checked: &CheckedBatch,
        plan: Fingerprint,
        group: &Group,
        layouts: &[(usize, &Layout)],
        words: &Words,
    ) -> Self {
        let (batch, stock) = (checked.batch(), checked.stock());
        let as_sheets = as_sheets(group, stock);
        let of_sheets = |&(index, layout): &(usize, &Layout)| Sheet::of(index, layout, checked, words);
        let of_boards = |&(index, layout): &(usize, &Layout)| {
            let stock = (&stock[layout.stock], &batch.stock[layout.stock]);
            Board::of(index, layout, stock, &batch.parts, words)
        };
        let (boards, sheets): (Vec<Board>, Vec<Sheet>) = if as_sheets {
            (Vec::new(), layouts.iter().map(of_sheets).collect())
        } else {
            (layouts.iter().map(of_boards).collect(), Vec::new())
        };
        let label = |&index: &usize| {
            let part = &batch.parts[index];
            let [name, job, note] = [&part.name, &part.job, &part.note].map(|text| clean(text));
            (index, PartLabel { number: index + 1, name, job, note })
        };
        let parts: BTreeMap<usize, PartLabel> = group.parts.iter().map(label).collect();
        let named = parts.values().map(|part| part.job.as_str()).filter(|job| !job.is_empty());
        let mut seen = BTreeSet::new();
        let jobs: Vec<String> = named.filter(|job| seen.insert(*job)).map(str::to_owned).collect();
        let mut stops = Stops::default();
        for board in &boards {
            for cut in board.cuts.iter().filter(|cut| cut.frees != Off::Edge) {
                stops.add((cut.way, false, cut.setting), &cut.setting_text, (board.number, board.copies));
            }
        }
        for sheet in &sheets {
            for cut in sheet.cuts.iter().filter(|cut| !cut.squares) {
                stops.add((cut.way, cut.far, cut.setting), &cut.setting_text, (sheet.number, sheet.copies));
            }
        }
        let stops = stops.found.into_values().collect();
        let facts = facts((stock, &batch.stock), layouts, words);
        let (name, plan) = (super::names::of_group(batch, group), plan.short());
        Self { name, plan, jobs, parts, boards, sheets, stops, facts }
    }

    /// Numbers of its layouts.
    pub fn numbers(&self) -> impl Iterator<Item = usize> {
        let boards = self.boards.iter().map(|board| board.number);
        boards.chain(self.sheets.iter().map(|sheet| sheet.number))
    }

    /// How to read its drawings and settings; empty where they say it themselves.
    pub fn note(&self) -> String {
        let mut boards = self.boards.iter().flat_map(|board| &board.cuts);
        let rounded = self.sheets.iter().any(Sheet::rounded)
            || boards.any(|cut| cut.setting_text.contains('~') || cut.line_text.contains('~'));
        let said = [(!self.sheets.is_empty(), Sheet::NOTE), (rounded, Sheet::ROUNDED)];
        let said: Vec<&str> = said.into_iter().filter_map(|(is, note)| is.then_some(note)).collect();
        said.join(" ")
    }

    /// `Board` or `Sheet`, for all of it together.
    pub fn word(&self) -> &'static str {
        if self.sheets.iter().any(|sheet| !sheet.board) { "Sheet" } else { "Board" }
    }
}

/// Whether the layouts of a group are shown as sheets: pieces lie side by side, or it is sheets that are cut.
pub(super) fn as_sheets(group: &Group, stock: &[UsableStock]) -> bool {
    group.kind == GroupKind::Sheets || group.stock.iter().any(|&s| stock.get(s).is_some_and(|s| !s.board))
}

/// Settings as they are found.
#[derive(Default)]
struct Stops {
    found: BTreeMap<(Way, bool, Reverse<Length>), Stop>,
}

impl Stops {
    fn add(&mut self, (way, far, setting): (Way, bool, Length), text: &str, (board, copies): (usize, u32)) {
        let stop = self.found.entry((way, far, Reverse(setting))).or_insert_with(|| Stop {
            way,
            setting: text.to_string(),
            far,
            cuts: 0,
            boards: Vec::new(),
        });
        stop.cuts += u64::from(copies);
        if stop.boards.last() != Some(&board) {
            stop.boards.push(board);
        }
    }
}

fn facts(
    (stock, asked): (&[UsableStock], &[Stock]),
    layouts: &[(usize, &Layout)],
    words: &Words,
) -> Vec<(&'static str, String)> {
    let count = |board: bool| -> u128 {
        let of = layouts.iter().filter(|(_, l)| stock[l.stock].board == board);
        of.map(|(_, l)| u128::from(l.copies)).sum()
    };
    let pieces: u128 = layouts.iter().map(|(_, l)| u128::from(l.copies) * l.pieces.len() as u128).sum();
    // What is cut, not all that might have been; what is bought first.
    let mut used: Vec<(bool, usize)> =
        layouts.iter().map(|(_, layout)| (stock[layout.stock].on_hand, layout.stock)).collect();
    used.sort_unstable();
    used.dedup();
    let own = used.iter().any(|&(_, index)| asked[index].trim.is_some());
    let used: Vec<&UsableStock> = used.into_iter().map(|(_, index)| &stock[index]).collect();
    let kerfs = used.iter().map(|entry| (words.kerf(entry.kerf), Some(entry.board)));
    let mut facts = vec![
        ("Kerf", settings(kerfs.collect())),
        ("Edge trim", if own { trim::by_stock(&used, words) } else { trim::by_shop(&used, words) }),
        ("Lengths in", words.notation()),
    ];
    let counts = [("Boards", count(true)), ("Sheets", count(false))];
    facts.extend(counts.into_iter().filter(|(_, n)| *n > 0).map(|(name, n)| (name, n.to_string())));
    facts.push(("Pieces", pieces.to_string()));
    facts
}

/// Each setting once; with what it is for, boards or sheets, where the two differ. What says so itself is for neither.
pub(super) fn settings(all: Vec<(String, Option<bool>)>) -> String {
    let of = |board: bool| -> Vec<&str> {
        all.iter().filter(|(_, of)| *of == Some(board)).map(|(text, _)| text.as_str()).collect()
    };
    let [boards, sheets] = [of(true), of(false)];
    let differ = boards.iter().any(|text| sheets.iter().any(|other| other != text));
    let mut said: Vec<String> = Vec::new();
    for (text, board) in &all {
        let of = match board.filter(|_| differ) {
            Some(true) => " for boards",
            Some(false) => " for sheets",
            None => "",
        };
        let text = format!("{text}{of}");
        if !said.contains(&text) {
            said.push(text);
        }
    }
    said.join("; ")
}
