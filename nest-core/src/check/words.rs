//! How is a fault said? In words that name the place, what was expected and what was found.

use std::fmt;

use super::{Fault, Faults};
use crate::plan::{PlacedPiece, Way};
use crate::units::Length;

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
            Self::Strip { layout, part, expected, found } => write!(
                f,
                "layouts[{layout}]: expected the {expected} pieces whose grain is matched, from {part} on, as one strip in the \
                 order of the list, but found {found} that follow each other"
            ),
            Self::ShortRip { at, expected, found } => write!(
                f,
                "{at}: expected a blank of {} or longer to be ripped, but found {}",
                mm(*expected),
                mm(*found)
            ),
            Self::Stages { at, most } => write!(f, "{at}: expected at most {most} stages of cuts"),
            Self::FirstCut { at, expected: Way::Rip } => {
                write!(
                    f,
                    "{at}: expected no rip here, since the sheet's first cut is a crosscut and not a rip"
                )
            }
            Self::FirstCut { at, expected: Way::Crosscut } => {
                write!(
                    f,
                    "{at}: expected no crosscut here, since the sheet's first cut is a rip and not a crosscut"
                )
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

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        crate::model::lines(self.as_slice(), f)
    }
}

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
