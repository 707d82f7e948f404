//! Why does a part fit none of its stock? Names the side that is too large where it comes nearest, and what would do.

use super::super::problem::{Findings, ProblemKind, part as place};
use super::super::{CutPart, Fit, Part, Stock, UsableStock};
use super::groups::says_its_size;
use super::matching::fits;
use super::nearest::Nearest;
use crate::units::{Length, LengthStyle, Rounding};

/// A part that fits nowhere.
pub struct Blank<'a> {
    /// Its row.
    pub row: usize,
    /// As it is asked for.
    pub asked: &'a Part,
    /// As it is cut.
    pub cut: &'a CutPart,
    /// Whether its cut length and width are those that are asked for.
    pub sure: [bool; 2],
    /// Whether what can be cut of each stock is known; else it may be less.
    pub exact: bool,
}

/// Reports a part that is larger than all stock it may come from, as far as its size is known.
pub fn report(
    blank: &Blank<'_>,
    candidates: &[(&Stock, &UsableStock)],
    style: &LengthStyle,
    found: &mut Findings,
) {
    let part = Unfit { blank, candidates, style };
    if part.fits_either_way() {
        let would = if blank.exact { "would" } else { "might" };
        found
            .add(place(blank.row, "width"), ProblemKind::TooWide, part.with_its_grain())
            .hint(format!("it {would} fit the other way round: check its `grain`"));
        return;
    }
    let Some(nearest) = Nearest::of(blank, candidates) else { return };
    // What is too large both ways is told of as too long; the hint tells of both.
    let side = usize::from(!nearest.way.over[0].is_positive());
    let kind = [ProblemKind::TooLong, ProblemKind::TooWide][side];
    let words = TooLarge { part, nearest, side };
    let at = words.allowance().unwrap_or(["length", "width"][side]);
    found.add(place(blank.row, at), kind, words.message()).hint(words.hint());
}

/// Where the blank comes nearest.
struct TooLarge<'a> {
    part: Unfit<'a>,
    nearest: Nearest,
    /// The side of the part that is too large there: its length or its width.
    side: usize,
}

impl TooLarge<'_> {
    fn message(&self) -> String {
        let (side, way) = (self.side, &self.nearest.way);
        let cut = self.part.cut()[side];
        let material = self.part.material();
        if cut <= self.nearest.room[side] {
            let part = &self.part;
            let trim = if way.untrimmed { " after the edge trim" } else { "" };
            return match part.asked() {
                _ if part.is_grown() => {
                    format!("no stock of {material} takes its blank of {}{trim}", part.sizes())
                }
                [length, width] if !way.turned && way.forced => {
                    let (length, width) = (part.near(length), part.near(width));
                    format!("no stock of {material} is {length} long and {width} wide at once{trim}")
                }
                _ => format!("no stock of {material} takes {}{trim}", part.sizes()),
            };
        }
        let asked = self.part.asked()[side];
        // The part itself may be cut: what is added to it is too much.
        let added = asked <= self.nearest.room[side];
        let size = if added { cut } else { asked };
        let shown = self.part.near(size);
        let stock = || self.part.candidates.iter().map(|(_, usable)| usable);
        let than_all = !way.turned && stock().all(|usable| size > usable.usable()[side]);
        let whole = if than_all { stock().map(|usable| usable.size[side]).max() } else { None };
        let trimmed = size <= whole.unwrap_or(self.nearest.whole[side]);
        let trim = if trimmed { " after the edge trim" } else { "" };
        let turning = stock().any(|usable| usable.usable().iter().any(|room| size <= *room));
        let grain = if turning || way.turned && way.forced { " with its grain" } else { "" };
        let name = ["length", "width"][side];
        let subject = match (than_all, added) {
            (true, false) => shown,
            (true, true) => format!("the blank of {shown}"),
            (false, false) => format!("a {name} of {shown}"),
            (false, true) => format!("the blank's {name} of {shown}"),
        };
        let claim = match than_all {
            true => format!("is {} than all stock of {material}", ["longer", "wider"][side]),
            false => format!("is more than any stock of {material} takes{grain}"),
        };
        let asked = self.part.near(asked);
        let part = match (than_all, added) {
            (true, true) => format!(", though its part of {asked} is not"),
            (false, true) => format!(", though the {asked} of its part are not"),
            (_, false) if cut > size => format!(" (its blank is {})", self.part.near(cut)),
            (_, false) => String::new(),
        };
        format!("{subject} {claim}{trim}{part}")
    }

    fn hint(&self) -> String {
        let (side, way) = (self.side, &self.nearest.way);
        let both = way.over[0].is_positive() && way.over[1].is_positive();
        let (most, least) = if self.part.blank.exact { ("", "") } else { ("at most ", "at least ") };
        let lead = match (way.turned, way.forced) {
            (false, _) => "",
            (true, false) => "turned, ",
            (true, true) if both => "turned because of its grain, ",
            (true, true) => {
                ["across the stock, because of its grain, ", "along the stock, because of its grain, "][side]
            }
        };
        let sizes =
            |[length, width]: [Length; 2]| format!("{} x {}", self.part.near(length), self.part.near(width));
        let over = way.over.map(|over| self.part.style.near(over, Rounding::Up));
        let along = (side == 0) != way.turned;
        let largest = ["longest", "widest"][side];
        if way.untrimmed && both {
            return format!(
                "{lead}the nearest is {}, of which {most}{} remain after the edge trim; trim 0 leaves its ends and edges as \
                 they are",
                sizes(way.whole),
                sizes(way.room)
            );
        }
        if way.untrimmed {
            let rank = if way.whole[side] == self.nearest.whole[side] { largest } else { "nearest" };
            return format!(
                "{lead}the {rank} is {}, of which {most}{} remain after the edge trim, {least}{} too little; trim 0 leaves \
                 its {} as they are",
                self.part.near(way.whole[side]),
                self.part.near(way.room[side]),
                over[side],
                if along { "ends" } else { "edges" }
            );
        }
        let of = self.of_stock();
        let check = self.allowance().map(|column| format!("check `{column}`, or "));
        if both {
            return format!(
                "{lead}the nearest that can be cut is {most}{}{of}, {least}{} too short and {least}{} too narrow: {}list \
                 longer and wider stock",
                sizes(way.room),
                over[0],
                over[1],
                check.unwrap_or_default()
            );
        }
        // Elsewhere there may be more, but no room for the other side.
        let beside = match self.nearest.room[side] > way.room[side] {
            true => ["as wide as it is, ", "as long as it is, "][side],
            false => "",
        };
        let list = if along { "list longer stock" } else { "list wider stock" };
        let remedy = match check {
            Some(check) => format!("{check}{list}"),
            None => format!("{list} or {}", ["make the part of two", "glue it up"][side]),
        };
        format!(
            "{lead}{beside}the {largest} piece that can be cut is {most}{}{of}, {least}{} too {}: {remedy}",
            self.part.near(way.room[side]),
            over[side],
            ["short", "narrow"][side]
        )
    }

    /// The column of an allowance without which that side would not be too large.
    fn allowance(&self) -> Option<&'static str> {
        let (asked, room) = (self.part.blank.asked, self.nearest.way.room[self.side]);
        let cut = self.part.cut()[self.side];
        if self.part.asked()[self.side] > room {
            return None;
        }
        match asked.fit {
            Fit::Over(by) if self.side == 0 && cut - by <= room => Some("fit"),
            _ => (cut - asked.oversize <= room).then_some("oversize"),
        }
    }

    /// ` (of fir board)`, the stock where it comes nearest.
    fn of_stock(&self) -> String {
        let named = self.part.candidates.get(self.nearest.way.stock).map(|(stock, _)| stock.name.trim());
        named.filter(|name| !name.is_empty()).map_or(String::new(), |name| format!(" (of {name})"))
    }
}

/// A part and what it does not fit, in words.
struct Unfit<'a> {
    blank: &'a Blank<'a>,
    candidates: &'a [(&'a Stock, &'a UsableStock)],
    style: &'a LengthStyle,
}

impl Unfit<'_> {
    /// Whether some stock would hold the blank, whatever the grain.
    fn fits_either_way(&self) -> bool {
        let either = |usable| [false, true].into_iter().any(|turned| fits(self.blank.cut, usable, turned));
        self.blank.sure == [true; 2] && self.candidates.iter().any(|(_, usable)| either(usable))
    }

    fn with_its_grain(&self) -> String {
        let blank = if self.is_grown() { "the blank of " } else { "" };
        format!("{blank}{} does not fit any stock of {} with its grain", self.sizes(), self.material())
    }

    fn asked(&self) -> [Length; 2] {
        [self.blank.asked.length, self.blank.asked.width.unwrap_or(Length::ZERO)]
    }

    fn cut(&self) -> [Length; 2] {
        [self.blank.cut.length, self.blank.cut.width.unwrap_or(Length::ZERO)]
    }

    /// Whether the blank is larger than the part.
    fn is_grown(&self) -> bool {
        self.cut().iter().zip(self.asked()).any(|(cut, asked)| *cut > asked)
    }

    /// `40" x 80"`, of the blank where that is larger; the length alone of what is as wide as its board.
    fn sizes(&self) -> String {
        let sizes = if self.is_grown() { self.cut() } else { self.asked() };
        let [length, width] = sizes.map(|size| self.near(size));
        if self.blank.cut.width.is_some() { format!("{length} x {width}") } else { length }
    }

    /// As people read it: a third of an inch typed is no row of decimals.
    fn near(&self, length: Length) -> String {
        self.style.near(length, Rounding::Down)
    }

    /// The material as people ask for it: with the section or thickness that the part names, or that all its stock has.
    fn material(&self) -> String {
        let asked = self.blank.asked;
        let thickness = || {
            let mut all = self.candidates.iter().map(|(_, usable)| usable.thickness);
            let first = all.next()??;
            all.all(|other| other == Some(first)).then_some(first)
        };
        let size = match asked.section {
            Some(section) => Some(section.to_string()),
            None => asked.thickness.or_else(thickness).map(|thickness| self.style.exact(thickness)),
        };
        match size.filter(|_| !says_its_size(&asked.material)) {
            Some(size) => format!("{} {size}", asked.material),
            None => asked.material.clone(),
        }
    }
}
