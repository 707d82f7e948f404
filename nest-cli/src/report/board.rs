//! One layout as a board that somebody cuts: its zones for the drawing, its cuts for the list.
//!
//! The zones keep exact lengths, because a drawing is true to scale; everything to be read is text already.

use super::factory;
use super::spare::{self, Spare};
use super::step::{Names, SawCut, Step, saw_cuts, steps};
use super::words::Words;
use nest_core::model::{Fit, Part, Stock, UsableStock};
use nest_core::plan::{Kind, Layout, Node};
use nest_core::units::Length;
use std::collections::BTreeSet;

/// A layout, ready to be drawn and listed.
#[derive(Clone, Debug)]
pub struct Board {
    /// Number of the layout, counted from 1 over the whole plan.
    pub number: usize,
    /// How many pieces of stock are cut this way.
    pub copies: u32,
    /// Name of the stock.
    pub stock: String,
    /// What the list notes on it, where it is on hand.
    pub note: Option<String>,
    /// Its size as text.
    pub size_text: String,
    /// Its size along and across; zero across where the width does not matter.
    pub size: [Length; 2],
    /// What becomes of it, rectangle by rectangle; what no zone covers is dust or waste.
    pub zones: Vec<Zone>,
    /// The cuts in order.
    pub cuts: Vec<SawCut>,
    /// The same, repeated cuts at one setting together.
    pub steps: Vec<Step>,
    /// What no cut frees: it remains when all else is off. What is left of a blank stands beside its last cut.
    pub left: Vec<Left>,
    /// What is to spare along the board beyond the pieces and their kerfs, and whether that is so little that the
    /// board should be measured before the first cut.
    pub spare: Spare,
}

/// What remains on the saw.
#[derive(Clone, Debug)]
pub enum Left {
    /// A part.
    Part(Piece),
    /// Something to keep: what is usable of it, and how large it is with a factory edge that is still on.
    Offcut(String, Option<String>),
}

/// A rectangle of a board, measured from the factory edges.
#[derive(Clone, Debug)]
pub struct Zone {
    /// Corner nearest the reference corner.
    pub at: [Length; 2],
    /// Along and across.
    pub size: [Length; 2],
    /// What it is.
    pub what: What,
}

/// What a zone is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum What {
    /// A part.
    Piece(Piece),
    /// Kept: what is usable of it, and its factory edges.
    Offcut(String, Option<&'static str>),
    /// Thrown away.
    Waste,
    /// Between the factory edge and the clean edge.
    Trim,
    /// Turned to dust.
    Kerf,
}

/// What is written on a part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// Index of the part.
    pub part: usize,
    /// Cut size along the board.
    pub exact: Length,
    /// The same as text.
    pub length: String,
    /// Cut size across, where it is ripped narrower than its board.
    pub rip: Option<String>,
    /// What is still to be done with the blank: a word for the drawing, and a sentence.
    pub later: Option<Later>,
}

/// What is still to be done with a blank.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Later {
    /// Beside the length: `fit` or `over`.
    pub mark: &'static str,
    /// In words.
    pub text: String,
}

impl Board {
    /// Looks at one layout. `number` is its index in the plan.
    pub fn of(
        index: usize,
        layout: &Layout,
        (stock, asked): (&UsableStock, &Stock),
        parts: &[Part],
        words: &Words,
    ) -> Self {
        let mut zones: Vec<Zone> =
            trims(stock).into_iter().map(|[at, size]| Zone { at, size, what: What::Trim }).collect();
        let cuts = || layout.cuts(stock);
        let left_of_blanks = cuts().filter(|cut| cut.on.lot > 0).filter_map(|cut| cut.leaves);
        let named: Vec<&Node> = cuts().filter_map(|cut| cut.frees).chain(left_of_blanks).collect();
        let mut left = Vec::new();
        for place in layout.places(stock) {
            let remains = !named.iter().any(|node| std::ptr::eq(*node, place.node));
            let what = match place.node.kind {
                Kind::Cut { .. } => continue,
                Kind::Piece { part, .. } => {
                    let whole = layout.root.size[1];
                    let rip = (place.node.size[1] != whole).then(|| words.length(place.node.size[1]));
                    let later = parts.get(part).and_then(|p| later(p, words));
                    let exact = place.node.size[0];
                    let piece = Piece { part, exact, length: words.length(exact), rip, later };
                    left.extend(remains.then(|| Left::Part(piece.clone())));
                    What::Piece(piece)
                }
                Kind::Offcut => {
                    let [usable, sawn] =
                        [place.node.size, place.with_edges()].map(|size| kept_size(size, stock.size));
                    let size = words.size(usable);
                    let with_edges = factory::with_edges(usable, sawn, words);
                    left.extend(remains.then(|| Left::Offcut(size.clone(), with_edges)));
                    What::Offcut(size, factory::edges(usable, sawn))
                }
                Kind::Waste => What::Waste,
            };
            zones.push(Zone { at: place.at, size: place.node.size, what });
        }
        let names = Names::of(layout, stock, words, parts).of_whole_widths(layout);
        let cuts = saw_cuts(layout, stock, &names);
        zones.extend(cuts.iter().map(dust).map(|[at, size]| Zone { at, size, what: What::Kerf }));
        Self {
            number: index + 1,
            copies: layout.copies,
            stock: super::names::of_stock(asked),
            note: super::names::noted(asked),
            size_text: words.stock(stock, asked),
            size: stock.size,
            zones,
            steps: steps(&cuts, &names),
            cuts,
            left,
            spare: spare::of_board(&layout.root, stock.kerf, words),
        }
    }
}

impl Board {
    /// The parts on it, by index.
    pub fn parts(&self) -> BTreeSet<usize> {
        let part = |zone: &Zone| match &zone.what {
            What::Piece(piece) => Some(piece.part),
            What::Offcut(..) | What::Waste | What::Trim | What::Kerf => None,
        };
        self.zones.iter().filter_map(part).collect()
    }

    /// The cuts in runs of one setting on pieces of one lot that free the same thing.
    pub fn runs(&self) -> impl Iterator<Item = &[SawCut]> {
        self.cuts.chunk_by(|a, b| {
            (a.way, a.setting, a.lot, a.squares) == (b.way, b.setting, b.lot, b.squares)
                && a.frees.alike(&b.frees)
                && (!a.squares || a.beyond == b.beyond)
        })
    }
}

/// The four strips between factory edge and clean edge: corner and size.
pub(super) fn trims(stock: &UsableStock) -> Vec<[[Length; 2]; 2]> {
    let [near, far, low, high] = stock.trim;
    let [length, width] = stock.size;
    let zero = Length::ZERO;
    let strips = [
        ([zero, zero], [near, width]),
        ([length - far, zero], [far, width]),
        ([near, zero], [length - near - far, low]),
        ([near, width - high], [length - near - far, high]),
    ];
    let thick = [near, far, low, high];
    (strips.into_iter().zip(thick))
        .filter(|(_, thick)| thick.is_positive())
        .map(|((at, size), _)| [at, size])
        .collect()
}

/// What one cut turns to dust: corner and size.
pub(super) fn dust(cut: &SawCut) -> [[Length; 2]; 2] {
    let axis = cut.way.axis();
    let [mut at, mut size] = cut.rect;
    at[axis] = if cut.beyond { cut.line } else { cut.line - cut.kerf };
    size[axis] = cut.kerf;
    [at, size]
}

/// Across, an offcut as wide as its board needs no second number.
fn kept_size(size: [Length; 2], board: [Length; 2]) -> [Length; 2] {
    if size[1] == board[1] { [size[0], Length::ZERO] } else { size }
}

pub(super) fn later(part: &Part, words: &Words) -> Option<Later> {
    // Without a width it is as wide as its board.
    let ways = if part.width.is_some() { "in both directions" } else { "in length" };
    let over = part
        .oversize
        .is_positive()
        .then(|| format!("{} over {ways}, to be trimmed later", words.length(part.oversize)));
    let fit = match part.fit {
        Fit::No => None,
        Fit::Yes => Some("cut to fit: this is the most it can be".to_string()),
        Fit::Over(more) => Some(format!("cut to fit: {} longer than the part", words.exact(more))),
    };
    let mark = if fit.is_some() { "fit" } else { "over" };
    let texts: Vec<String> = fit.into_iter().chain(over).collect();
    (!texts.is_empty()).then(|| Later { mark, text: texts.join("; ") })
}
