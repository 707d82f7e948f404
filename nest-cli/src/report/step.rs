//! The cuts of a sheet in words: one by one with numbers and names, and as steps that a person follows.
//!
//! A step is a run of cuts at one setting on rectangles of one lot. The order is that of the walk, which puts what is
//! cut alike side by side; nothing is moved here.

use super::factory::with_edges;
use super::letters::{letters, lot, span};
use super::words::{Words, count};
use crate::clean::{clean, isolated};
use nest_core::model::{Part, UsableStock};
use nest_core::plan::{Blank, Cut, Guide, Kind, Layout, Node, Way};
use nest_core::units::Length;

/// One cut.
#[derive(Clone, Debug)]
pub struct SawCut {
    /// Number on this sheet, from 1.
    pub number: usize,
    /// How deep in the tree of cuts; 0 for edge trim.
    pub depth: usize,
    /// Across the sheet or along it.
    pub way: Way,
    /// Along a line: instead of freeing something, or where the fence does not reach what it frees.
    pub squares: bool,
    /// The line is farther off than the fence reaches.
    pub unreached: bool,
    /// Edge trim that takes a longer cut than the saw makes.
    pub overlong: bool,
    /// What lies beyond it is a factory edge.
    pub factory: bool,
    /// What stop or fence is set to.
    pub setting: Length,
    /// The same as text.
    pub setting_text: String,
    /// The setting is taken from the far side of what is on the saw.
    pub far: bool,
    /// Which side that is: `lower edge`, `left end`.
    pub from: &'static str,
    /// Where the line is, from the factory edge at the reference corner: only a check.
    pub line: Length,
    /// The same as text.
    pub line_text: String,
    /// Whether the blade stands beyond the line, seen from the reference corner.
    pub beyond: bool,
    /// What it turns to dust.
    pub kerf: Length,
    /// Corner and size of what is on the saw.
    pub rect: [[Length; 2]; 2],
    /// What that is called: `sheet`, `A`, `B2`.
    pub on: String,
    /// Its size as text.
    pub on_text: String,
    /// The same, but for which of its lot it is.
    pub lot: usize,
    /// What falls off: between stop or fence and blade, or on one side of the line.
    pub frees: Off,
    /// Its size as text.
    pub off_text: String,
    /// Corner and size of what is measured by the setting: between stop or fence and blade, or before the line.
    pub off: [[Length; 2]; 2],
    /// The same, along and across, as text.
    off_sides: [String; 2],
    /// What is left on the saw and done with, or goes on under another name; `None` while more cuts follow, and where only
    /// dust or edge trim is left.
    pub leaves: Option<Off>,
    /// Its size as text.
    pub left_text: String,
}

impl SawCut {
    /// What is measured by the setting, along the sheet (0) or across it (1), as text.
    pub fn off_side(&self, axis: usize) -> String {
        self.off_sides[axis & 1].clone()
    }
}

/// What comes off the saw.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Off {
    /// A part (index).
    Part(usize),
    /// Something that is cut further: its name, and its size as text.
    Blank(String, String),
    /// Something to keep: what is usable of it, and how large it is with a factory edge that is still on.
    Offcut(String, Option<String>),
    /// Something to throw away.
    Waste,
    /// The factory edge.
    Edge,
}

impl Off {
    /// Whether both are called the same on paper: what is cut further, where it is of one lot.
    pub fn alike(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Blank(a, size), Self::Blank(b, other)) => lot(a) == lot(b) && size == other,
            (a, b) => a == b,
        }
    }
}

/// Cuts at one setting on rectangles of one lot.
#[derive(Clone, Debug)]
pub struct Step {
    /// Number of the step, from 1.
    pub number: usize,
    /// Numbers of its first and its last cut.
    pub cuts: [usize; 2],
    /// How deep in the tree of cuts; 0 for edge trim.
    pub depth: usize,
    /// Across the sheet or along it.
    pub way: Way,
    /// Squares a factory edge off.
    pub squares: bool,
    /// The setting of the step before still stands.
    pub same: bool,
    /// What is on the saw: `sheet`, `A`, `B1–B3`.
    pub on: String,
    /// Its size (of each, as it comes to the saw), as text.
    pub on_text: String,
    /// `rip`, `crosscut`, `square the lower edge off`.
    pub verb: &'static str,
    /// What stop or fence is set to.
    pub setting_text: String,
    /// The side it is taken from: `lower edge`.
    pub from: &'static str,
    /// That is not the reference side, because the fence does not reach so far.
    pub far: bool,
    /// The fence does not reach so far from either side.
    pub unreached: bool,
    /// It is longer than the saw cuts.
    pub overlong: bool,
    /// Whether the blade stands beyond the line.
    pub beyond: bool,
    /// What falls off: `3 × no. 4 shelf`, `A1–A3 48" x 12"`.
    pub off: Vec<String>,
    /// Whether that falls off by turns, and not one kind after the other.
    pub by_turns: bool,
    /// What is left on the saw after it and done with or renamed.
    pub left: Vec<String>,
}

impl Step {
    /// `3`, `3–7`.
    pub fn numbers(&self) -> String {
        match self.cuts {
            [first, last] if first == last => first.to_string(),
            [first, last] => format!("{first}–{last}"),
        }
    }

    /// What is done at which setting: `rip 12"`.
    pub fn verb_text(&self) -> String {
        let line = if self.squares { ", line at" } else { "" };
        format!("{}{line} {}", self.verb, self.setting_text)
    }

    /// From where, and on what: `from the lower edge, same setting, on A (96" x 12")`.
    pub fn rest(&self) -> String {
        let factory = match self.way {
            Way::Rip => "edge",
            Way::Crosscut => "end",
        };
        let side = match (self.squares, self.beyond) {
            (true, false) => format!("from the factory {factory}, blade before the line"),
            (true, true) => format!("from the {}, blade beyond the line", self.from),
            (false, _) => format!("from the {}", self.from),
        };
        let far = match (self.far, self.unreached, self.overlong) {
            (true, ..) => " (the fence does not reach from the other side)",
            (false, true, _) => " (with a guide: the fence does not reach)",
            (false, false, true) => " (with a guide: longer than the saw cuts)",
            (false, false, false) => "",
        };
        let same = if self.same { ", same setting" } else { "" };
        format!("{side}{far}{same}, on {} ({})", self.on, self.on_text)
    }

    /// What falls off, and what is left on the saw: `off: 3 × no. 4 shelf; left: A`.
    pub fn gives(&self) -> String {
        let mut gives = String::new();
        if !self.off.is_empty() {
            let by_turns = if self.by_turns { " by turns" } else { "" };
            gives = format!("off{by_turns}: {}", self.off.join("; "));
        }
        let left: Vec<&str> =
            self.left.iter().map(String::as_str).filter(|left| !left.starts_with("waste")).collect();
        if !left.is_empty() {
            let gap = if gives.is_empty() { "" } else { "; " };
            gives = format!("{gives}{gap}left: {}", left.join("; "));
        }
        gives
    }
}

/// What rectangles are called.
pub(super) struct Names<'a> {
    whole: &'static str,
    /// How many members each lot has.
    members: Vec<usize>,
    words: &'a Words,
    parts: &'a [Part],
    /// Offcuts that are so wide need no second number.
    known_width: Option<Length>,
}

impl<'a> Names<'a> {
    pub(super) fn of(layout: &Layout, stock: &UsableStock, words: &'a Words, parts: &'a [Part]) -> Self {
        let mut members: Vec<usize> = vec![1];
        for cut in layout.cuts(stock) {
            for blank in [Some(cut.on), cut.frees_blank, cut.leaves_blank].into_iter().flatten() {
                if members.len() <= blank.lot {
                    members.resize(blank.lot + 1, 1);
                }
                members[blank.lot] = members[blank.lot].max(blank.member + 1);
            }
        }
        let whole = if stock.board { "board" } else { "sheet" };
        Self { whole, members, words, parts, known_width: None }
    }

    /// The same where offcuts are as wide as their board, unless something is ripped off them.
    pub(super) fn of_whole_widths(self, layout: &Layout) -> Self {
        Self { known_width: Some(layout.root.size[1]), ..self }
    }

    /// `sheet`, `A`, `A2`.
    fn blank(&self, blank: Blank) -> String {
        match (blank.lot, self.members.get(blank.lot)) {
            (0, _) => self.whole.to_string(),
            (lot, Some(2..)) => format!("{}{}", letters(lot), blank.member + 1),
            (lot, _) => letters(lot),
        }
    }

    fn off(&self, node: &Node, blank: Option<Blank>, size: [Length; 2]) -> Off {
        match (blank, &node.kind) {
            (Some(blank), _) => Off::Blank(self.blank(blank), self.words.size(size)),
            (None, Kind::Piece { part, .. }) => Off::Part(*part),
            (None, Kind::Offcut) => {
                let known = self.known_width.is_some_and(|width| width == node.size[1]);
                let [usable, sawn] =
                    [node.size, size].map(|[long, wide]| [long, if known { Length::ZERO } else { wide }]);
                Off::Offcut(self.words.size(usable), with_edges(usable, sawn, self.words))
            }
            (None, Kind::Waste | Kind::Cut { .. }) => Off::Waste,
        }
    }

    /// Things that come off at one setting, equal parts counted, blanks of one lot from first to last.
    fn texts(&self, all: &[&Off]) -> Vec<String> {
        let mut kinds: Vec<(&Off, Vec<&Off>)> = Vec::new();
        for &off in all {
            match kinds.iter_mut().find(|(first, _)| off.alike(first)) {
                Some((_, found)) => found.push(off),
                None => kinds.push((off, vec![off])),
            }
        }
        kinds.into_iter().map(|(first, all)| self.text(first, &all)).collect()
    }

    fn text(&self, off: &Off, all: &[&Off]) -> String {
        let times = if all.len() > 1 { format!("{} × ", all.len()) } else { String::new() };
        match off {
            Off::Part(part) => {
                let name = self.parts.get(*part).map_or(String::new(), |part| isolated(&clean(&part.name)));
                format!("{times}no. {} {name}", part + 1)
            }
            Off::Blank(name, size) => {
                let last = if let Some(Off::Blank(last, _)) = all.last() { last } else { name };
                format!("{}, {size}", span(name, last, all.len()))
            }
            Off::Offcut(size, None) => format!("{times}offcut {size}"),
            Off::Offcut(size, Some(edged)) => format!("{times}offcut {size} ({edged})"),
            Off::Waste if all.len() > 1 => format!("waste, {}", count(all.len() as u128, "strip")),
            Off::Waste => "waste".into(),
            Off::Edge => "edge trim".into(),
        }
    }
}

/// The cuts in order.
pub(super) fn saw_cuts(layout: &Layout, stock: &UsableStock, names: &Names<'_>) -> Vec<SawCut> {
    let words = names.words;
    let one = |(i, cut): (usize, Cut<'_>)| {
        let far = cut.guide == Guide::Far;
        let axis = cut.way.axis();
        let [mut off_at, mut off, mut rest] = [cut.at, cut.size, cut.size];
        off[axis] = cut.setting;
        // Before the line, the dust is of what is cut off.
        rest[axis] = cut.size[axis] - cut.setting - if cut.kerf_beyond { cut.kerf } else { Length::ZERO };
        if far {
            off_at[axis] = cut.line + cut.kerf;
        }
        let [falls, left] =
            if cut.guide == Guide::Line && cut.kerf_beyond { [rest, off] } else { [off, rest] };
        let frees = cut.frees.map_or(Off::Edge, |node| names.off(node, cut.frees_blank, falls));
        let leaves = cut.leaves.map(|node| names.off(node, cut.leaves_blank, left));
        // Of an offcut every paper says what is usable, as the drawing does.
        let usable = |off: &Off, size: [Length; 2]| match off {
            Off::Offcut(usable, _) => usable.clone(),
            _ => words.size(size),
        };
        SawCut {
            number: i + 1,
            depth: cut.depth,
            way: cut.way,
            squares: cut.guide == Guide::Line,
            unreached: cut.guide == Guide::Line
                && cut.kerf_beyond
                && cut.way == Way::Rip
                && stock.reach.is_some_and(|reach| cut.setting > reach),
            overlong: cut.guide == Guide::Line
                && stock.longest[axis].is_some_and(|longest| cut.size[1 - axis] > longest),
            factory: !cut.kerf_beyond || cut.at[axis] + cut.size[axis] == stock.size[axis],
            setting: cut.setting,
            setting_text: words.length(cut.setting),
            far,
            from: side(cut.way, far),
            line: cut.line,
            line_text: words.place(cut.line),
            beyond: cut.kerf_beyond,
            kerf: cut.kerf,
            rect: [cut.at, cut.size],
            on: names.blank(cut.on),
            on_text: words.size(cut.size),
            lot: cut.on.lot,
            off_text: usable(&frees, falls),
            frees,
            off: [off_at, off],
            off_sides: off.map(|side| words.length(side)),
            left_text: leaves.as_ref().map_or(String::new(), |off| usable(off, left)),
            leaves,
        }
    };
    layout.cuts(stock).enumerate().map(one).collect()
}

fn side(way: Way, far: bool) -> &'static str {
    match (way, far) {
        (Way::Rip, false) => "lower edge",
        (Way::Rip, true) => "upper edge",
        (Way::Crosscut, false) => "left end",
        (Way::Crosscut, true) => "right end",
    }
}

/// The cuts as steps.
pub(super) fn steps(cuts: &[SawCut], names: &Names<'_>) -> Vec<Step> {
    let set = |cut: &SawCut| (cut.way, cut.setting, cut.far, cut.squares, cut.beyond);
    // Lines are marked one by one, but for the trim at one end of strips that were just cut off.
    let alone = |cut: &SawCut| cut.squares && cut.beyond;
    let alike = |a: &SawCut, b: &SawCut| set(a) == set(b) && a.lot == b.lot && a.overlong == b.overlong;
    let mut steps = Vec::new();
    let mut before = None;
    for run in cuts.chunk_by(|a, b| alike(a, b) && !alone(a)) {
        let [Some(first), Some(last)] = [run.first(), run.last()] else { continue };
        // Edges, and the waste beside them, are in the verb.
        let frees: Vec<&Off> = run
            .iter()
            .filter(|cut| !cut.squares)
            .map(|cut| &cut.frees)
            .filter(|off| **off != Off::Edge)
            .collect();
        let leaves: Vec<&Off> = run.iter().filter_map(|cut| cut.leaves.as_ref()).collect();
        steps.push(Step {
            number: steps.len() + 1,
            cuts: [first.number, last.number],
            depth: first.depth,
            way: first.way,
            squares: first.squares,
            same: before == Some(set(first)),
            on: on(run),
            on_text: first.on_text.clone(),
            verb: verb(first),
            setting_text: first.setting_text.clone(),
            from: first.from,
            far: first.far,
            unreached: first.unreached,
            overlong: first.overlong,
            beyond: first.beyond,
            off: names.texts(&frees),
            by_turns: by_turns(&frees),
            left: names.texts(&leaves),
        });
        before = Some(set(first));
    }
    steps
}

/// Whether something comes off again after other things did.
fn by_turns(all: &[&Off]) -> bool {
    let first = |off: &&Off| all.iter().position(|other| off.alike(other));
    !all.is_sorted_by_key(first)
}

/// Names and size of the blanks of one lot that come off in a run of cuts, or are left by it.
pub fn blanks<'a>(offs: impl IntoIterator<Item = &'a Off>) -> Option<(String, &'a str)> {
    let blank = |off: &'a Off| if let Off::Blank(name, size) = off { Some((name, size)) } else { None };
    let all: Vec<_> = offs.into_iter().filter_map(blank).collect();
    let [(first, size), .., (last, _)] = all.as_slice() else {
        return all.first().map(|(name, size)| ((*name).clone(), size.as_str()));
    };
    Some((span(first, last, all.len()), size.as_str()))
}

/// Names of what is on the saw, from the first to the last.
pub fn on(run: &[SawCut]) -> String {
    let mut seen: Vec<&str> = Vec::new();
    for cut in run {
        // Members come round in order: the first one again starts the next round.
        if seen.first() == Some(&cut.on.as_str()) {
            break;
        }
        if seen.last() != Some(&cut.on.as_str()) {
            seen.push(&cut.on);
        }
    }
    match seen.as_slice() {
        [] => String::new(),
        [one] => (*one).to_string(),
        [first, .., last] => span(first, last, seen.len()),
    }
}

fn verb(cut: &SawCut) -> &'static str {
    if cut.squares && cut.frees == Off::Waste {
        return "cut the waste away";
    }
    if cut.squares && !cut.factory {
        return match cut.way {
            Way::Rip => "trim the upper edge",
            Way::Crosscut => "trim the right end",
        };
    }
    match (cut.squares, cut.way, cut.beyond) {
        (false, Way::Rip, _) => "rip",
        (false, Way::Crosscut, _) => "crosscut",
        (true, Way::Rip, false) => "square the lower edge off",
        (true, Way::Rip, true) => "square the upper edge off",
        (true, Way::Crosscut, false) => "square the left end off",
        (true, Way::Crosscut, true) => "square the right end off",
    }
}
