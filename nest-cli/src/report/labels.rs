//! One label a piece, in the order in which the saw frees them.
//!
//! A plan keeps kinds and counts; labels are printed one by one, so here they are counted out. More than
//! [`MOST_LABELS`] are never made: the page then says how many are missing.

use super::Source;
use super::identity::Fingerprint;
use super::matched::matched;
use super::words::Words;
use crate::clean::{clean, isolated};
use crate::papers::{LabelSheet, Paper, measured};
use nest_core::model::{Part, PartGrain, StockGrain, UsableStock};
use nest_core::plan::{Kind, Layout, Node, PlacedNode, PlacedPiece};
use nest_core::units::{Length, System};
use std::collections::BTreeMap;

/// The most labels that are made for one plan.
pub const MOST_LABELS: usize = 5000;

/// All labels of a plan.
#[derive(Clone, Debug)]
pub struct Labels {
    /// The page they are printed on.
    pub sheet: LabelSheet,
    /// Width and height of a label as text.
    pub size: [String; 2],
    /// Places on the first page that are used already.
    pub skip: u32,
    /// The labels.
    pub labels: Vec<Label>,
    /// Pieces that have none, because there are too many; 0 for none.
    pub missing: u64,
}

/// What stands on a label.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// Row of the part in the list, from 1.
    pub number: usize,
    /// Its name.
    pub name: String,
    /// Its job; empty for none.
    pub job: String,
    /// Finished size.
    pub size: String,
    /// Size as it comes off the saw, where it differs; else empty.
    pub cut: String,
    /// What is still to be done with the blank; empty for nothing.
    pub later: String,
    /// Material.
    pub material: String,
    /// Where it comes from: `layout 3, piece 2`, with the board where several are cut alike, and its place in a matched strip.
    pub from: String,
    /// `2 of 4`.
    pub copy: String,
    /// Which edges get which band; empty for none.
    pub band: String,
    /// Which way the grain runs; empty where it does not matter.
    pub grain: String,
    /// Free text of the list; empty for none.
    pub note: String,
    /// The part as a small drawing.
    pub outline: Outline,
    /// The plan it is of, in short.
    pub plan: String,
    /// What a reader reads off it; `None` where nobody wants a code.
    pub code: Option<String>,
}

/// A part as a small drawing, its length across the paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Outline {
    /// Finished length and width; zero width where it is not known.
    pub size: [Length; 2],
    /// Bands on edges along the length and along the width: 0, 1 or 2.
    pub banded: [u8; 2],
    /// Which way the grain runs.
    pub grain: Grain,
}

/// Which dimension of a part the grain follows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grain {
    /// Its length.
    Length,
    /// Its width.
    Width,
    /// There is none, or it may run either way.
    Free,
}

/// The page that labels of this plan are printed on.
///
/// # Errors
/// Labels that do not fit the page.
pub fn sheet(source: &Source<'_>) -> Result<LabelSheet, String> {
    source.papers.labels.on(paper(source), system(source))
}

/// The paper that is in use.
pub fn paper(source: &Source<'_>) -> Paper {
    source.papers.paper.unwrap_or(Paper::usual(system(source)))
}

fn system(source: &Source<'_>) -> System {
    source.batch.batch().shop.style.parse_unit().system()
}

/// Which cut frees a piece, by the numbers of the list and the drawing; in the order of the saw, what falls off first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Freed {
    /// None does: it is all of the board.
    Whole,
    /// The cut of this number, or it is what that cut leaves.
    By(usize, bool),
}

impl Freed {
    fn text(self) -> String {
        match self {
            Self::Whole => String::new(),
            Self::By(number, false) => format!(", cut {number}"),
            Self::By(number, true) => format!(", left by cut {number}"),
        }
    }
}

/// The pieces of a layout, by their indices, in the order in which they are freed.
fn freed(layout: &Layout, stock: &UsableStock) -> Vec<(Freed, usize)> {
    let mut cuts: BTreeMap<*const Node, Freed> = BTreeMap::new();
    for (number, cut) in (1..).zip(layout.cuts(stock)) {
        if let Some(node) = cut.leaves {
            cuts.insert(node, Freed::By(number, true));
        }
        if let Some(node) = cut.frees {
            cuts.insert(node, Freed::By(number, false));
        }
    }
    let piece = |place: PlacedNode<'_>| {
        let at: *const Node = place.node;
        matches!(place.node.kind, Kind::Piece { .. }).then(|| cuts.remove(&at).unwrap_or(Freed::Whole))
    };
    let mut freed: Vec<_> = layout.places(stock).filter_map(piece).zip(0..).collect();
    freed.sort_unstable();
    freed
}

/// All labels. Runtime: linear in the number of pieces, and in no more than [`MOST_LABELS`] of them.
pub(super) fn labels(source: &Source<'_>, plan: Fingerprint, words: &Words) -> Labels {
    let batch = source.batch;
    // Settings that do not fit were refused when they were read.
    let sheet = sheet(source).unwrap_or_else(|_| usual(source));
    let coded = source.papers.labels.code.then(|| plan.to_string()[..8].to_string());
    let plan = plan.short();
    let mut made = vec![0_u64; batch.parts().len()];
    let mut labels = Vec::new();
    let mut missing = 0_u64;
    for (number, layout) in (1..).zip(&source.solution.plan.layouts) {
        let several = layout.copies > 1;
        let matched = matched(layout, batch);
        let stock = &batch.stock()[layout.stock];
        let word = if stock.board { "board" } else { "sheet" };
        let freed = freed(layout, stock);
        for board in 1..=layout.copies {
            if labels.len() >= MOST_LABELS {
                let boards = u64::from(layout.copies - board + 1);
                missing = missing.saturating_add(boards * layout.pieces.len() as u64);
                break;
            }
            for &(freed, at) in &freed {
                let Some(piece) = layout.pieces.get(at) else { continue };
                if labels.len() >= MOST_LABELS {
                    missing += 1;
                    continue;
                }
                made[piece.part] += 1;
                let mut label = label(source, piece, layout.stock, words);
                label.copy = format!("{} of {}", made[piece.part], batch.batch().parts[piece.part].qty);
                let board_of = format!(", {word} {board} of {}", layout.copies);
                label.from = format!(
                    "layout {number}{}{}",
                    freed.text(),
                    if several { board_of.as_str() } else { "" }
                );
                let place = matched.iter().find_map(|strip| strip.place(at));
                label.from.extend(place.map(|place| format!("; {place}")));
                label.plan.clone_from(&plan);
                label.code = coded.as_ref().map(|plan| {
                    let (part, copy) = (piece.part + 1, made[piece.part]);
                    format!("NEST/{plan}/P{part}.{copy}/L{number}.{board}.{}", at + 1)
                });
                labels.push(label);
            }
        }
    }
    let size = sheet.size.map(|side| measured(side, system(source)));
    Labels { sheet, size, skip: source.label_start.saturating_sub(1) % sheet.each().max(1), labels, missing }
}

fn usual(source: &Source<'_>) -> LabelSheet {
    let plain = crate::papers::LabelSettings::default();
    // The usual page fits by construction, as its test shows for both papers.
    plain.on(paper(source), system(source)).unwrap_or(LabelSheet {
        paper: paper(source),
        grid: [1, 1],
        size: [Length::mm(100), Length::mm(50)],
        margin: [Length::mm(10); 2],
        gap: [Length::ZERO; 2],
    })
}

fn label(source: &Source<'_>, piece: &PlacedPiece, stock: usize, words: &Words) -> Label {
    let batch = source.batch;
    let (part, cut) = (&batch.batch().parts[piece.part], &batch.parts()[piece.part]);
    let grain = grain(part, batch.batch().stock[stock].grain, batch.stock()[stock].board);
    let width = part.width.unwrap_or(batch.stock()[stock].size[1]);
    let said = |length: Length, width: Option<Length>| {
        told_apart(source, piece.part, stock, [length, width.unwrap_or_default()], words)
    };
    let (size, sawn) = (said(part.length, part.width), said(cut.length, cut.width));
    Label {
        number: piece.part + 1,
        name: clean(&part.name),
        job: clean(&part.job),
        cut: if sawn == size { String::new() } else { sawn },
        size,
        later: super::board::later(part, words).map_or(String::new(), |later| later.text),
        material: super::names::of_material(source, cut.group),
        from: String::new(),
        copy: String::new(),
        band: band(part, cut.band.map(|band| batch.batch().shop.bands[band].name.as_str())),
        grain: grain_words(grain).into(),
        note: clean(&part.note),
        outline: Outline { size: [part.length, width], banded: [part.length_edges, part.width_edges], grain },
        plan: String::new(),
        code: None,
    }
}

/// The finished size of a part: length and width; the thickness stands with its material.
pub(super) fn finished(part: &Part, words: &Words) -> String {
    words.size([part.length, part.width.unwrap_or(Length::ZERO)])
}

/// A size of a part. One as wide as its board has none across: its section, or else the width, stands beside the length,
/// unless its material says so, because loose pieces of several boards look alike on a list.
pub(super) fn told_apart(
    source: &Source<'_>,
    part: usize,
    stock: usize,
    size: [Length; 2],
    words: &Words,
) -> String {
    let batch = source.batch;
    let wide = batch.stock()[stock].size[1];
    let asked = &batch.batch().stock[stock];
    match asked.section.filter(|_| !asked.ripped) {
        _ if size[1].is_positive() => words.size(size),
        None => words.size([size[0], wide]),
        Some(section) => {
            let material = super::names::of_material(source, batch.parts()[part].group);
            let length = words.length(size[0]);
            let section = section.to_string();
            let told = material.split(' ').any(|word| word == section);
            if told { length } else { format!("{length} of {section}") }
        }
    }
}

pub(super) fn grain(part: &Part, stock: Option<StockGrain>, board: bool) -> Grain {
    match (part.grain, stock) {
        (Some(PartGrain::Any), _) if !board => Grain::Free,
        (_, Some(StockGrain::None)) if !board => Grain::Free,
        (Some(PartGrain::Width), _) => Grain::Width,
        _ => Grain::Length,
    }
}

pub(super) fn grain_words(grain: Grain) -> &'static str {
    match grain {
        Grain::Length => "grain along the length",
        Grain::Width => "grain along the width",
        Grain::Free => "",
    }
}

/// Which edges get band, in words. A part may be wider than it is long, so edges are named by what they run along.
pub(super) fn band(part: &Part, name: Option<&str>) -> String {
    let edges = |count: u8, along: &str| match count {
        0 => None,
        n => Some(format!("{n} along the {along}")),
    };
    let found: Vec<String> = [edges(part.length_edges, "length"), edges(part.width_edges, "width")]
        .into_iter()
        .flatten()
        .collect();
    match (found.is_empty(), name) {
        (true, _) => String::new(),
        (false, None) => format!("band: {}", found.join(", ")),
        (false, Some(name)) => format!("band {}: {}", isolated(&clean(name)), found.join(", ")),
    }
}
