//! How far was a plan followed, and what came of it?

use std::fmt;

use crate::model::{CheckedBatch, UsableStock};
use crate::plan::{Kind, Layout, Plan};
use crate::units::Length;

/// What became of some boards or sheets of one layout.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct Done {
    /// Index of the layout.
    pub layout: usize,
    /// How many of its copies; `None` for all.
    pub copies: Option<u32>,
    /// What became of them.
    pub how: How,
}

/// What became of a board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "lowercase"))]
pub enum How {
    /// It is cut as planned, to the end.
    Cut,
    /// So many of its cuts are made, from 1 to all of them, in the order of [`Layout::cuts`].
    Begun(usize),
    /// So many of its cuts are made, from 1 to all of them, and what was then still to be cut is gone.
    Lost(usize),
    /// It is gone, and nothing was made of it.
    Spoiled,
}

/// An entry that does not fit the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Misfit {
    /// Index of the entry.
    pub entry: usize,
    /// What is wrong with it.
    pub wrong: Wrong,
}

/// Every entry that does not fit the plan, in their order; one a line when they are displayed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Misfits(Vec<Misfit>);

impl Misfits {
    /// The entries, at least one.
    pub fn as_slice(&self) -> &[Misfit] {
        &self.0
    }

    /// The entries, at least one.
    pub fn into_vec(self) -> Vec<Misfit> {
        self.0
    }
}

/// Why an entry does not fit the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wrong {
    /// There is no such layout.
    Layout {
        /// How many there are.
        layouts: usize,
    },
    /// With this entry more copies of the layout are named than there are.
    Copies {
        /// How many there are.
        copies: u32,
        /// How many are named up to here.
        named: u64,
    },
    /// The layout has no cut of that number.
    Cut {
        /// How many cuts it has.
        cuts: usize,
    },
}

impl fmt::Display for Misfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "done[{}]: {}", self.entry, self.wrong)
    }
}

impl fmt::Display for Wrong {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Layout { layouts } => {
                write!(f, "expected the index of one of {layouts} layouts, but there is no such layout")
            }
            Self::Copies { copies, named } => {
                write!(f, "expected at most {copies} copies of the layout, but found {named} with this entry")
            }
            Self::Cut { cuts: 0 } => f.write_str("expected no number of cuts, since the layout has none"),
            Self::Cut { cuts } => write!(f, "expected a number of cuts from 1 to {cuts}, but found another"),
        }
    }
}

impl fmt::Display for Misfits {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        crate::model::lines(&self.0, f)
    }
}

impl std::error::Error for Misfit {}
impl std::error::Error for Misfits {}

/// An entry that fits the plan.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    pub layout: usize,
    pub copies: u32,
    pub how: How,
}

pub(super) fn steps(batch: &CheckedBatch, plan: &Plan, done: &[Done]) -> Result<Vec<Step>, Misfits> {
    let mut named = vec![0_u64; plan.layouts.len()];
    let mut step = |&Done { layout: index, copies, how }: &Done| {
        let layouts = plan.layouts.len();
        let Some(layout) = plan.layouts.get(index) else { return Err(Wrong::Layout { layouts }) };
        if let (How::Begun(cut) | How::Lost(cut), Some(stock)) = (how, batch.stock().get(layout.stock)) {
            let cuts = layout.cuts(stock).count();
            if cut == 0 || cut > cuts {
                return Err(Wrong::Cut { cuts });
            }
        }
        let copies = copies.unwrap_or(layout.copies);
        let named = &mut named[index];
        *named = named.saturating_add(copies.into());
        if *named > layout.copies.into() {
            return Err(Wrong::Copies { copies: layout.copies, named: *named });
        }
        Ok(Step { layout: index, copies, how })
    };
    let (mut steps, mut misfits) = (Vec::new(), Vec::new());
    for (entry, done) in done.iter().enumerate() {
        match step(done) {
            Ok(step) => steps.push(step),
            Err(wrong) => misfits.push(Misfit { entry, wrong }),
        }
    }
    if misfits.is_empty() { Ok(steps) } else { Err(Misfits(misfits)) }
}

/// What came off the saw of one board.
#[derive(Debug, Default)]
pub(super) struct Came {
    /// Part, whether it lay turned, and size as cut.
    pub pieces: Vec<(usize, bool, [Length; 2])>,
    /// Usable size, and with factory edges that are still on.
    pub offcuts: Vec<[[Length; 2]; 2]>,
    /// Clean size of what is to go to the saw again, and which factory edges are still on it.
    pub begun: Vec<([Length; 2], FactoryEdges)>,
    /// The parts that are still to be cut from it.
    pub waiting: Vec<usize>,
}

/// Whether near and far end, near and far edge are as they came from the factory.
pub(super) type FactoryEdges = [bool; 4];

/// Corner and size.
type Rect = [[Length; 2]; 2];

impl Came {
    /// All of it.
    pub fn all(layout: &Layout, stock: &UsableStock) -> Self {
        Self::free(layout, stock, &[])
    }

    /// What came off after so many cuts, and what was then on the saw or beside it, waiting.
    pub fn after(layout: &Layout, stock: &UsableStock, cuts: usize) -> Self {
        // A rectangle is cut before what comes off it, so the first cut to come shows all of it.
        let mut open: Vec<Rect> = Vec::new();
        for cut in layout.cuts(stock).skip(cuts) {
            let rect = [cut.at, cut.size];
            if !open.iter().any(|whole| holds(*whole, rect)) {
                open.push(rect);
            }
        }
        let clean = [[stock.trim[0], stock.trim[2]], layout.root.size];
        let begun =
            open.iter().filter_map(|rect| Some((common(*rect, clean)?, beyond(*rect, clean)))).collect();
        Self { begun, ..Self::free(layout, stock, &open) }
    }

    /// Pieces and offcuts that lie in none of these, and pieces that do.
    fn free(layout: &Layout, stock: &UsableStock, open: &[Rect]) -> Self {
        let mut came = Self::default();
        for place in layout.places(stock) {
            let size = place.node.size;
            let is_open = open.iter().any(|whole| holds(*whole, [place.at, size]));
            match place.node.kind {
                Kind::Piece { part, .. } if is_open => came.waiting.push(part),
                _ if is_open => {}
                Kind::Piece { part, turned } => came.pieces.push((part, turned, size)),
                Kind::Offcut => came.offcuts.push([size, place.with_edges()]),
                Kind::Cut { .. } | Kind::Waste => {}
            }
        }
        came
    }
}

/// The far corner.
fn end([at, size]: Rect, axis: usize) -> i64 {
    at[axis].ticks().saturating_add(size[axis].ticks())
}

fn holds(whole: Rect, part: Rect) -> bool {
    (0..2).all(|axis| whole[0][axis] <= part[0][axis] && end(part, axis) <= end(whole, axis))
}

/// On which sides a rectangle goes beyond what is clean.
fn beyond(rect: Rect, clean: Rect) -> FactoryEdges {
    let [ends, edges] =
        [0, 1].map(|axis| [rect[0][axis] < clean[0][axis], end(rect, axis) > end(clean, axis)]);
    [ends[0], ends[1], edges[0], edges[1]]
}

/// The size of what two have in common, if it is anything; across, boards without a width have none.
fn common(a: Rect, b: Rect) -> Option<[Length; 2]> {
    let size = [0, 1].map(|axis| {
        let at = a[0][axis].max(b[0][axis]).ticks();
        Length::from_ticks(end(a, axis).min(end(b, axis)).saturating_sub(at))
    });
    let flat = b[1][1].is_zero() && size[1].is_zero();
    (size[0].is_positive() && (flat || size[1].is_positive())).then_some(size)
}
