//! One layout as a sheet that somebody cuts: its regions for the drawing, its cuts numbered in order, and the same cuts
//! as steps, in which repeated cuts at one setting stand together.
//!
//! The reference corner is the lower left one of the drawing: rips are set from the lower edge, crosscuts from the
//! left end. A rectangle that goes to the saw again has a letter; several that are cut alike have letter and number.
//! Regions keep exact lengths, because a drawing is true to scale; everything to be read is text already.

use super::board::{Later, dust, later, trims};
use super::factory;
use super::matched::matched;
use super::spare::{self, Spare};
use super::step::{Names, SawCut, Step, saw_cuts, steps};
use super::words::{Words, share};
use nest_core::model::{CheckedBatch, Part, StockGrain, UsableStock};
use nest_core::plan::{Kind, Layout};
use nest_core::units::Length;
use std::collections::BTreeSet;

/// A layout, ready to be drawn and listed.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// Number of the layout, counted from 1 over the whole plan.
    pub number: usize,
    /// How many pieces of stock are cut this way.
    pub copies: u32,
    /// How many of them are cut at a time, as a stack.
    pub stack: u32,
    /// It is a board of which strips lie side by side.
    pub board: bool,
    /// Name of the stock.
    pub stock: String,
    /// What the list notes on it, where it is on hand.
    pub note: Option<String>,
    /// Its length and width.
    pub size: [Length; 2],
    /// The same as text, each alone.
    pub sides: [String; 2],
    /// Length by width as text, without a width that its section tells.
    pub size_text: String,
    /// What is left of it after edge trim; `None` where all of it counts as clean.
    pub usable: Option<String>,
    /// Which way the grain runs.
    pub grain: Grain,
    /// Share of it that ends in parts: `81.2 %`.
    pub yields: String,
    /// What becomes of it, rectangle by rectangle; what no region covers is dust or waste.
    pub regions: Vec<Region>,
    /// The cuts in order.
    pub cuts: Vec<SawCut>,
    /// The same, repeated cuts at one setting together.
    pub steps: Vec<Step>,
    /// How often stop or fence is set.
    pub settings: usize,
    /// What is to spare along it, and across.
    pub spare: Vec<Spare>,
    /// Strips of a grain match, and in which order their pieces lie.
    pub matched: Vec<String>,
}

/// Which way the grain runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grain {
    /// Along the length.
    Along,
    /// Across it.
    Across,
    /// There is none.
    None,
}

/// A rectangle of a sheet, measured from the factory edges at the reference corner.
#[derive(Clone, Debug)]
pub struct Region {
    /// Corner nearest the reference corner.
    pub at: [Length; 2],
    /// Along and across.
    pub size: [Length; 2],
    /// What it is.
    pub holds: Holds,
}

/// What a region is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Holds {
    /// A part.
    Piece(Placed),
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
pub struct Placed {
    /// Index of the part.
    pub part: usize,
    /// The part's length lies across the sheet.
    pub turned: bool,
    /// Cut size along the sheet and across it, as text.
    pub sides: [String; 2],
    /// Cut size, the part's length first: `30" x 12"`.
    pub size_text: String,
    /// Which of its edges get edge band: left, right, lower, upper.
    pub bands: [bool; 4],
    /// What is still to be done with the blank.
    pub later: Option<Later>,
    /// Where in a strip of a grain match it is: `fronts 2 of 4`.
    pub matched: Option<String>,
}

impl Sheet {
    /// How to read settings and drawing.
    pub const NOTE: &str = "R is the reference corner: rips are set from the lower edge, crosscuts from the left end, unless \
                            the list says otherwise. Good face: up on a table saw; with a hand-held saw see its manual.";

    /// What a mark before a length means.
    pub const ROUNDED: &str = "~ is rounded: sizes and settings down, places on a tape to the nearest mark.";

    /// Whether a cut has a setting or a line that is rounded.
    pub fn rounded(&self) -> bool {
        self.cuts.iter().any(|cut| cut.setting_text.contains('~') || cut.line_text.contains('~'))
    }

    /// Looks at one layout. `index` is its index in the plan.
    pub fn of(index: usize, layout: &Layout, checked: &CheckedBatch, words: &Words) -> Self {
        let (batch, stock) = (checked.batch(), &checked.stock()[layout.stock]);
        let matched = matched(layout, checked);
        let asked = &batch.stock[layout.stock];
        let mut regions: Vec<Region> =
            trims(stock).into_iter().map(|[at, size]| Region { at, size, holds: Holds::Trim }).collect();
        let mut pieces = 0;
        for place in layout.places(stock) {
            let size = place.node.size;
            let holds = match place.node.kind {
                Kind::Cut { .. } => continue,
                Kind::Piece { part, turned } => {
                    let mut placed = placed(part, turned, size, batch.parts.get(part), words);
                    placed.matched = matched.iter().find_map(|strip| strip.place(pieces));
                    pieces += 1;
                    Holds::Piece(placed)
                }
                Kind::Offcut => Holds::Offcut(words.size(size), factory::edges(size, place.with_edges())),
                Kind::Waste => Holds::Waste,
            };
            regions.push(Region { at: place.at, size, holds });
        }
        let names = Names::of(layout, stock, words, &batch.parts);
        let cuts = saw_cuts(layout, stock, &names);
        regions.extend(cuts.iter().map(dust).map(|[at, size]| Region { at, size, holds: Holds::Kerf }));
        let steps = steps(&cuts, &names);
        let usable = (stock.usable() != stock.size).then(|| words.size(stock.usable()));
        Self {
            number: index + 1,
            copies: layout.copies,
            stack: stack(layout, stock, batch.shop.sheets.stack_height),
            board: stock.board,
            stock: super::names::of_stock(asked),
            note: super::names::noted(asked),
            size: stock.size,
            sides: stock.size.map(|side| words.length(side)),
            size_text: words.stock(stock, asked),
            usable,
            grain: match asked.grain {
                Some(StockGrain::None) => Grain::None,
                Some(StockGrain::Width) => Grain::Across,
                Some(StockGrain::Length) | None => Grain::Along,
            },
            yields: yields(layout, stock, &batch.parts),
            regions,
            settings: steps.iter().filter(|step| !step.same).count(),
            cuts,
            steps,
            spare: spare::of_sheet(&layout.root, stock, words),
            matched: matched.iter().map(|strip| strip.text(layout)).collect(),
        }
    }

    /// How many are cut at a time, in words, where it is more than one.
    pub fn stack_text(&self) -> Option<String> {
        let high = self.stack;
        (high > 1).then(|| format!("cut {high} at a time, as a stack, if the manual of the saw allows it"))
    }

    /// The parts on it, by index.
    pub fn parts(&self) -> BTreeSet<usize> {
        let part = |region: &Region| match &region.holds {
            Holds::Piece(placed) => Some(placed.part),
            Holds::Offcut(..) | Holds::Waste | Holds::Trim | Holds::Kerf => None,
        };
        self.regions.iter().filter_map(part).collect()
    }

    /// Whether it should be measured before the first cut.
    pub fn tight(&self) -> bool {
        self.spare.iter().any(|spare| spare.tight)
    }

    /// What is to spare, in words: `1/2" to spare along, only 1/32" across`.
    pub fn spare_text(&self) -> String {
        let said = |spare: &Spare| match (spare.none, spare.tight) {
            (true, _) => "nothing".to_string(),
            (false, true) => format!("only {}", spare.text),
            (false, false) => spare.text.clone(),
        };
        match self.spare.as_slice() {
            [along, across] => format!("{} to spare along, {} across", said(along), said(across)),
            [along] => format!("{} to spare", said(along)),
            _ => String::new(),
        }
    }
}

/// How many sheets of one layout lie on each other.
fn stack(layout: &Layout, stock: &UsableStock, most: Option<Length>) -> u32 {
    let (false, Some(most), Some(thickness)) = (stock.board, most, stock.thickness) else { return 1 };
    let high = u32::try_from(most.ticks() / thickness.ticks().max(1)).unwrap_or(u32::MAX);
    high.min(layout.copies).max(1)
}

fn placed(part: usize, turned: bool, size: [Length; 2], of: Option<&Part>, words: &Words) -> Placed {
    let sides = size.map(|side| words.length(side));
    let own = if turned { [size[1], size[0]] } else { size };
    let edges = of.map_or([0, 0], |part| [part.length_edges, part.width_edges]);
    // One banded edge lies nearest the reference corner.
    let [long, short] = edges.map(|count| [count >= 1, count >= 2]);
    let bands =
        if turned { [long[0], long[1], short[0], short[1]] } else { [short[0], short[1], long[0], long[1]] };
    let later = of.and_then(|part| later(part, words));
    Placed { part, turned, sides, size_text: words.size(own), bands, later, matched: None }
}

/// Finished parts over the whole sheet.
fn yields(layout: &Layout, stock: &UsableStock, parts: &[Part]) -> String {
    let area = |size: [Length; 2]| i128::from(size[0].ticks()) * i128::from(size[1].ticks());
    let finished = |piece: &nest_core::plan::PlacedPiece| {
        let part = parts.get(piece.part)?;
        Some(area(nest_core::plan::finished(part, piece.size, piece.turned)))
    };
    let sum: i128 = layout.pieces.iter().filter_map(finished).sum();
    share((sum, area(stock.size)))
}
