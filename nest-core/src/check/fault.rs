//! What can be wrong with a plan: the place, what was expected and what was found.

use std::fmt;

use super::{Refusal, Which};
use crate::plan::{PlacedPiece, Way};
use crate::units::Length;

/// A rectangle of a plan: the layout, and which child of which child, both counted from 0.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Spot {
    /// Index of the layout.
    pub layout: usize,
    /// Indices of children, from the root on.
    pub path: Vec<usize>,
}

impl fmt::Display for Spot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "layouts[{}]", self.layout)?;
        for (i, child) in self.path.iter().enumerate() {
            write!(f, "{}{child}", if i == 0 { " child " } else { "." })?;
        }
        Ok(())
    }
}

/// One thing that is wrong with a plan. Sizes are along the length of the stock, and across.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Fault {
    /// A layout cuts stock that does not exist.
    NoStock {
        /// The layout.
        layout: usize,
        /// The index it names.
        found: usize,
    },
    /// A layout is cut no times.
    NoCopies {
        /// The layout.
        layout: usize,
    },
    /// A layout makes no piece.
    NoPieces {
        /// The layout.
        layout: usize,
    },
    /// The whole of a layout is not the clean size of its stock.
    RootSize {
        /// The layout.
        layout: usize,
        /// The stock.
        stock: Which,
        /// The clean size.
        expected: [Length; 2],
        /// The size of the root.
        found: [Length; 2],
    },
    /// A tree is deeper than any saw needs.
    TooDeep {
        /// Where the limit is passed.
        at: Spot,
        /// The limit.
        most: usize,
    },
    /// A rectangle has a side of nothing or less, or a width on stock without one.
    NoSize {
        /// The rectangle.
        at: Spot,
        /// Its size.
        found: [Length; 2],
    },
    /// A divided rectangle has no children.
    NoChildren {
        /// The rectangle.
        at: Spot,
    },
    /// A rip on stock without a width.
    NothingToRip {
        /// The rectangle.
        at: Spot,
        /// The stock.
        stock: Which,
    },
    /// A child is not as wide (or long) as the cut that makes it.
    NotThrough {
        /// The child.
        at: Spot,
        /// Size of the parent along the cut.
        expected: Length,
        /// Size of the child along the cut.
        found: Length,
    },
    /// Children and kerfs together are more than their rectangle.
    Overfull {
        /// The rectangle.
        at: Spot,
        /// Its size along the cut axis.
        expected: Length,
        /// Children and the kerfs between them, in ticks.
        found: i128,
    },
    /// Children and kerfs leave more than a kerf that belongs to nobody.
    Underfull {
        /// The rectangle.
        at: Spot,
        /// The kerf.
        kerf: Length,
        /// What is left after the last child, in ticks.
        found: i128,
    },
    /// A cut has only leftovers on both sides.
    SplitsLeftover {
        /// The rectangle after the cut, or the divided rectangle that holds no piece.
        at: Spot,
    },
    /// A leftover is marked worth keeping, or not, against the shop's limits.
    WrongMark {
        /// The leftover.
        at: Spot,
        /// Its size.
        size: [Length; 2],
        /// Whether it is worth keeping.
        keep: bool,
    },
    /// A piece is of a part that does not exist.
    NoPart {
        /// The piece.
        at: Spot,
        /// The index it names.
        found: usize,
    },
    /// A part may not come from this stock.
    ForeignPart {
        /// The piece.
        at: Spot,
        /// The part.
        part: Which,
        /// The stock.
        stock: Which,
    },
    /// A part may not lie this way on this stock.
    WrongWay {
        /// The piece.
        at: Spot,
        /// The part.
        part: Which,
        /// The stock.
        stock: Which,
        /// Whether it is turned.
        turned: bool,
    },
    /// A piece does not have the cut size of its part.
    PieceSize {
        /// The piece.
        at: Spot,
        /// The part.
        part: Which,
        /// The cut size.
        expected: [Length; 2],
        /// The size of the piece.
        found: [Length; 2],
    },
    /// The flat list of pieces does not agree with the tree.
    Pieces {
        /// The layout.
        layout: usize,
        /// A piece of the tree that the list lacks.
        expected: Option<PlacedPiece>,
        /// A piece of the list that the tree lacks.
        found: Option<PlacedPiece>,
    },
    /// Parts that are cut as one strip, for their grain to run on, do not follow each other in the order of the list, or
    /// not all of them.
    Strip {
        /// The layout.
        layout: usize,
        /// The first part of the strip.
        part: Which,
        /// How many pieces the strip has.
        expected: usize,
        /// How many of them follow each other rightly, from the first one on.
        found: usize,
    },
    /// A rip of a board is shorter than is safe.
    ShortRip {
        /// The ripped rectangle.
        at: Spot,
        /// The least length.
        expected: Length,
        /// Its length.
        found: Length,
    },
    /// A cut changes direction once more than the shop allows.
    Stages {
        /// The divided rectangle.
        at: Spot,
        /// The most.
        most: u8,
    },
    /// The first cut runs the wrong way, and others follow than more of the same.
    FirstCut {
        /// The rectangle that the first other one divides.
        at: Spot,
        /// The way the shop wants.
        expected: Way,
    },
    /// A cut is longer than the saw takes.
    TooLong {
        /// The divided rectangle.
        at: Spot,
        /// The way of the cut.
        way: Way,
        /// The most.
        most: Length,
        /// The length of the cut.
        found: Length,
    },
    /// A rip is beyond the fence from both sides.
    BeyondFence {
        /// The strip that the rip frees.
        at: Spot,
        /// The most between fence and blade.
        most: Length,
        /// From the blade to the nearer edge, in ticks.
        found: i128,
    },
    /// More of a stock is cut than there is.
    Supply {
        /// The stock.
        stock: Which,
        /// How many there are.
        most: u32,
        /// How many are cut.
        found: u64,
    },
    /// More of a part is made than is asked for.
    TooMany {
        /// The part.
        part: Which,
        /// How many are asked for.
        most: u32,
        /// How many are made.
        found: u64,
    },
    /// Pieces made and pieces left over do not add up to what is asked for.
    Unplaced {
        /// The part.
        part: Which,
        /// How many are not made.
        expected: u64,
        /// How many the plan says are not made.
        found: u64,
    },
    /// The list of parts left over names one that does not exist.
    UnplacedUnknown {
        /// The index it names.
        found: usize,
    },
    /// The list of parts left over is not ascending, or holds an entry of 0.
    UnplacedOrder {
        /// The place in the list.
        entry: usize,
    },
    /// The plan does not speak of each group once.
    Groups {
        /// How many groups there are.
        expected: usize,
        /// How many the plan has.
        found: usize,
    },
    /// A floor below nothing, or above nothing without a certificate.
    FloorUnproven {
        /// The group.
        group: usize,
        /// The floor.
        found: i128,
    },
    /// A floor above what its certificate proves.
    FloorTooHigh {
        /// The group.
        group: usize,
        /// What the certificate proves; 0 where it proves that the stock is not enough.
        proven: i128,
        /// The floor.
        found: i128,
    },
    /// A certificate that does not hold.
    Certificate {
        /// The group.
        group: usize,
        /// Why not.
        refusal: Refusal,
    },
    /// Everything is made for less than a certificate, which seems to hold, says is possible.
    Contradiction {
        /// The group.
        group: usize,
    },
    /// Sums that no real job has.
    TooLarge {
        /// What was being added up.
        what: &'static str,
    },
    /// There is more, not listed.
    More,
}

/// More faults than this are not listed.
const MOST_FAULTS: usize = 1000;

/// Everything that is wrong with a plan, as far as it is listed; one fault a line when it is displayed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Faults(Vec<Fault>);

impl Faults {
    /// The faults, at least one.
    pub fn as_slice(&self) -> &[Fault] {
        &self.0
    }

    /// The faults, at least one.
    pub fn into_vec(self) -> Vec<Fault> {
        self.0
    }

    /// None yet.
    pub(super) fn none() -> Self {
        Self(Vec::new())
    }

    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    pub(super) fn push(&mut self, fault: Fault) {
        match self.0.len() {
            ..MOST_FAULTS => self.0.push(fault),
            MOST_FAULTS => self.0.push(Fault::More),
            _ => {}
        }
    }
}

impl std::error::Error for Fault {}
impl std::error::Error for Faults {}
