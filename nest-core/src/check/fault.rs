//! What is wrong with a plan, in words that name the place, what was expected and what was found.

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
    /// The first cut runs the wrong way.
    FirstCut {
        /// The divided rectangle.
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

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoStock { layout, found } => {
                write!(f, "layouts[{layout}] cuts stock[{found}], which does not exist")
            }
            Self::NoCopies { layout } => write!(f, "layouts[{layout}]: expected 1 copy or more, but found 0"),
            Self::NoPieces { layout } => write!(f, "layouts[{layout}] makes no piece"),
            Self::RootSize { layout, stock, expected, found } => write!(
                f,
                "layouts[{layout}]: expected the clean size of {stock}, {}, but found {}",
                Size(*expected),
                Size(*found)
            ),
            Self::TooDeep { at, most } => write!(f, "{at}: expected at most {most} levels of cuts"),
            Self::NoSize { at, found } => {
                write!(f, "{at}: expected a size that its stock can have, but found {}", Size(*found))
            }
            Self::NoChildren { at } => write!(f, "{at} is cut into nothing"),
            Self::NothingToRip { at, stock } => write!(f, "{at} is ripped, but {stock} has no width"),
            Self::NotThrough { at, expected, found } => write!(
                f,
                "{at}: expected {} along the cut that frees it, from edge to edge, but found {}",
                mm(*expected),
                mm(*found)
            ),
            Self::Overfull { at, expected, found } => {
                write!(
                    f,
                    "{at}: expected parts and kerfs of {} at most, but found {}",
                    mm(*expected),
                    ticks(*found)
                )
            }
            Self::Underfull { at, kerf, found } => write!(
                f,
                "{at}: expected at most one kerf of {} after the last part, but found {}",
                mm(*kerf),
                ticks(*found)
            ),
            Self::SplitsLeftover { at } => write!(f, "{at}: a cut only splits what is left over"),
            Self::WrongMark { at, size, keep: true } => {
                write!(f, "{at}: expected {} to be marked as offcut, but found waste", Size(*size))
            }
            Self::WrongMark { at, size, keep: false } => {
                write!(f, "{at}: expected {} to be marked as waste, but found offcut", Size(*size))
            }
            Self::NoPart { at, found } => write!(f, "{at} is parts[{found}], which does not exist"),
            Self::ForeignPart { at, part, stock } => write!(f, "{at}: {part} may not be cut from {stock}"),
            Self::WrongWay { at, part, stock, turned } => write!(
                f,
                "{at}: {part} may not lie {} {stock}",
                if *turned { "across the length of" } else { "along the length of" }
            ),
            Self::PieceSize { at, part, expected, found } => {
                write!(f, "{at}: expected {} for {part}, but found {}", Size(*expected), Size(*found))
            }
            Self::Pieces { layout, expected, found } => {
                write!(f, "layouts[{layout}]: pieces do not agree with the tree:")?;
                match expected {
                    Some(piece) => write!(f, " expected {}", Piece(piece))?,
                    None => f.write_str(" expected none")?,
                }
                match found {
                    Some(piece) => write!(f, ", but found {}", Piece(piece)),
                    None => f.write_str(", but found none"),
                }
            }
            Self::ShortRip { at, expected, found } => write!(
                f,
                "{at}: expected a blank of {} or longer to be ripped, but found {}",
                mm(*expected),
                mm(*found)
            ),
            Self::Stages { at, most } => write!(f, "{at}: expected at most {most} stages of cuts"),
            Self::FirstCut { at, expected: Way::Rip } => {
                write!(f, "{at}: expected a rip as the first cut, but found a crosscut")
            }
            Self::FirstCut { at, expected: Way::Crosscut } => {
                write!(f, "{at}: expected a crosscut as the first cut, but found a rip")
            }
            Self::TooLong { at, way, most, found } => write!(
                f,
                "{at}: expected a {} of {} at most, but found {}",
                if *way == Way::Rip { "rip" } else { "crosscut" },
                mm(*most),
                mm(*found)
            ),
            Self::BeyondFence { at, most, found } => {
                write!(
                    f,
                    "{at}: expected at most {} between fence and blade, but found {}",
                    mm(*most),
                    ticks(*found)
                )
            }
            Self::Supply { stock, most, found } => {
                write!(f, "expected at most {most} of {stock} to be cut, but found {found}")
            }
            Self::TooMany { part, most, found } => {
                write!(f, "expected at most {most} of {part} to be made, but found {found}")
            }
            Self::Unplaced { part, expected, found } => {
                write!(f, "expected {expected} of {part} to be named as not made, but found {found}")
            }
            Self::UnplacedUnknown { found } => {
                write!(f, "parts[{found}], named as not made, does not exist")
            }
            Self::UnplacedOrder { entry } => {
                write!(f, "unplaced[{entry}]: expected parts in ascending order, each once, none with 0")
            }
            Self::Groups { expected, found } => write!(f, "expected {expected} groups, but found {found}"),
            Self::FloorUnproven { group, found } => {
                write!(f, "groups[{group}]: expected a floor of 0 without a certificate, but found {found}")
            }
            Self::FloorTooHigh { group, proven, found } => write!(
                f,
                "groups[{group}]: expected a floor between 0 and {proven}, which its certificate proves, but found {found}"
            ),
            Self::Certificate { group, refusal } => {
                write!(f, "groups[{group}]: certificate refused: {refusal}")
            }
            Self::Contradiction { group } => {
                write!(f, "groups[{group}] costs less than its certificate says is possible")
            }
            Self::TooLarge { what } => write!(f, "{what} is too large to add up"),
            Self::More => f.write_str("there are more faults, not listed"),
        }
    }
}

impl std::error::Error for Fault {}

fn mm(length: Length) -> String {
    format!("{} mm", length.mm_decimal())
}

fn ticks(count: i128) -> String {
    match i64::try_from(count) {
        Ok(count) => mm(Length::from_ticks(count)),
        Err(_) => format!("{count} ticks"),
    }
}

/// A size in millimetres; the second number is left out where it is 0.
struct Size([Length; 2]);

impl fmt::Display for Size {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            [along, Length::ZERO] => f.write_str(&mm(along)),
            [along, across] => write!(f, "{} x {}", along.mm_decimal(), mm(across)),
        }
    }
}

struct Piece<'a>(&'a PlacedPiece);

impl fmt::Display for Piece<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let PlacedPiece { part, at, size, turned } = self.0;
        let [along, across] = at.map(Length::mm_decimal);
        let turned = if *turned { ", turned" } else { "" };
        write!(f, "parts[{part}] of {} at {along}, {across}{turned}", Size(*size))
    }
}
