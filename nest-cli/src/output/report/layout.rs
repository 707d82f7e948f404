//! One layout in the report: its drawing and its numbered cuts, on one printed page where they fit.
//!
//! What fits is reckoned here, with widths of letters that are wide rather than narrow: letters and drawing get smaller
//! step by step until a page holds all. Where none does, the arrangement with the fewest pages is taken.

use super::super::drawing::lettering::{bold_width, kept, width};
use super::super::drawing::{Figure, Room, board_figure, sheet_figure};
use super::super::svg;
use crate::clean::isolated;
use crate::report::{Board, CutStep, Frees, Section, Sheet, Step, What};
use nest_core::plan::Way;

/// Boxes to tick beyond these are not drawn.
const MOST_BOXES: u32 = 60;

/// Room on a page in 1/100 mm: as wide as A4 allows, as high as Letter does, and a little less.
const WIDE: i64 = 18_500;
const HIGH: i64 = 24_300;

/// Sizes of letters and drawings, the most wanted first: class of the style sheet, font size in tenths of a point,
/// columns of the list, the height that a sheet may have with its dimensions.
const SIZES: [(&str, i64, i64, i64); 8] = [
    ("large", 100, 1, 13_000),
    ("large", 100, 1, 11_000),
    ("middle", 90, 2, 11_000),
    ("middle", 90, 2, 9_500),
    ("middle", 90, 2, 8_200),
    ("small", 80, 2, 9_500),
    ("small", 80, 2, 8_000),
    ("tiny", 72, 2, 7_000),
];
/// Between two columns.
const GAP: i64 = 600;
/// A last page with less than this on it is not worth its paper.
const THIN: i64 = 4_000;

/// One layout.
pub struct Layout {
    pub number: usize,
    pub copies: u32,
    pub stock: String,
    pub size: String,
    pub facts: String,
    pub tight: bool,
    /// The drawing, as markup.
    pub drawing: String,
    /// What had no room on the drawing.
    pub key: Vec<String>,
    pub cuts: Vec<Line>,
    pub as_left: Vec<String>,
    pub boxes: Vec<u32>,
    pub more: u32,
    /// How large the letters of the list are: a class of the style sheet.
    pub letters: &'static str,
    /// Whether it fits on one page.
    pub whole: bool,
}

/// One line of the cut list.
pub struct Line {
    pub number: String,
    /// What is done, at which setting.
    pub verb: String,
    /// From where, and on what.
    pub rest: String,
    /// What comes of it.
    pub gives: String,
}

impl Layout {
    pub fn of_sheet(section: &Section, sheet: &Sheet) -> Self {
        let mut facts = format!("{}, yield {}", sheet.spare_text(), sheet.yields);
        if let Some(usable) = &sheet.usable {
            facts = format!("usable {usable}, {facts}");
        }
        if sheet.tight() {
            facts.push_str(": measure it before the first cut");
        }
        let layout = Self {
            number: sheet.number,
            stock: sheet.stock.clone(),
            size: without(&sheet.size_text, &sheet.stock),
            facts,
            tight: sheet.tight(),
            cuts: sheet.steps.iter().map(line).collect(),
            ..Self::empty(sheet.copies)
        };
        layout.arranged(|high| sheet_figure(section, sheet, Room { wide: WIDE - 100, high }))
    }

    pub fn of_board(section: &Section, board: &Board) -> Self {
        let facts = match (board.spare.none, board.spare.tight) {
            (true, _) => "nothing to spare: measure it before the first cut".to_string(),
            (false, true) => format!("only {} to spare: measure it before the first cut", board.spare.text),
            (false, false) => format!("{} to spare", board.spare.text),
        };
        let layout = Self {
            number: board.number,
            stock: board.stock.clone(),
            size: without(&board.size_text, &board.stock),
            facts,
            tight: board.spare.tight,
            cuts: board.runs().map(|run| of_run(section, run)).collect(),
            as_left: as_left(section, board),
            ..Self::empty(board.copies)
        };
        layout.arranged(|_| board_figure(section, board, WIDE - 100))
    }

    fn empty(copies: u32) -> Self {
        Self {
            number: 0,
            copies,
            stock: String::new(),
            size: String::new(),
            facts: String::new(),
            tight: false,
            drawing: String::new(),
            key: Vec::new(),
            cuts: Vec::new(),
            as_left: Vec::new(),
            boxes: (1..=copies.min(MOST_BOXES)).collect(),
            more: copies.saturating_sub(MOST_BOXES),
            letters: "",
            whole: true,
        }
    }

    /// With letters and a drawing such that it needs as few pages as it can.
    fn arranged(mut self, draw: impl Fn(i64) -> Figure) -> Self {
        let mut best: Option<(i64, bool, &'static str, Figure)> = None;
        for (letters, font, columns, high) in SIZES {
            let figure = draw(high);
            let left =
                HIGH - self.head() - figure.size[1] - 300 - paragraph(&figure.key.join("; "), 85, WIDE);
            let over = (self.list(font, columns) - left.max(0)).max(0);
            let pages = 1 + (over + HIGH - 1) / HIGH;
            let thin = over > 0 && over % HIGH < THIN;
            if best.as_ref().is_none_or(|(count, was_thin, ..)| (pages, thin) < (*count, *was_thin)) {
                best = Some((pages, thin, letters, figure));
            }
            if pages == 1 {
                break;
            }
        }
        if let Some((pages, _, letters, figure)) = best {
            self.whole = pages == 1;
            self.letters = letters;
            self.drawing = svg::inline(&figure);
            self.key = figure.key;
        }
        self
    }

    /// Height of what stands above the drawing.
    fn head(&self) -> i64 {
        let title = format!("Layout {}: {} × {} {}", self.number, self.copies, self.stock, self.size);
        let boxes = self.boxes.len() as i64 + i64::from(self.more > 0);
        let a_box = 1_100 + width(&format!("cut {} of {}", self.copies, self.copies), 370);
        let in_row = (WIDE / a_box).max(1);
        paragraph(&title, 125, WIDE)
            + 400
            + paragraph(&self.facts, 110, WIDE)
            + 500
            + (boxes + in_row - 1) / in_row * 620
            + 200
    }

    /// Whether some cuts are `98–104`.
    pub fn wide_numbers(&self) -> bool {
        self.cuts.iter().any(|cut| cut.number.chars().count() > 5)
    }

    /// Height of the list of cuts.
    fn list(&self, font: i64, columns: i64) -> i64 {
        // What the number of a cut takes: 4.2 or 3.4 times the size of its letters.
        let number = points(font) * if self.wide_numbers() { 42 } else { 34 } / 10;
        let room = (WIDE - (columns - 1) * GAP) / columns - number;
        let line = |cut: &Line| {
            let verb = bold_width(&cut.verb, points(font));
            let rest = width(&format!(" {} {}", cut.rest, cut.gives), points(font));
            // Reckoned widths are a tenth more than usual fonts have, and words leave a little of each line empty.
            (verb + rest) * 94 / 100 / room + 1
        };
        let lines: i64 = self.cuts.iter().map(line).sum();
        let high = points(font) * 125 / 100;
        let all = lines * high + self.cuts.len() as i64 * 40 + self.as_left.len() as i64 * 700;
        // Two columns are never quite equal.
        if columns == 1 { all } else { all / columns + 3 * high }
    }
}

/// Tenths of a point in 1/100 mm.
fn points(tenths: i64) -> i64 {
    tenths * 3_528 / 1_000
}

/// Height of a text; 0 for none.
fn paragraph(text: &str, font: i64, room: i64) -> i64 {
    if text.is_empty() {
        return 0;
    }
    (bold_width(text, points(font)) / room + 1) * points(font) * 130 / 100 + 200
}

/// A size, unless the name says it already.
fn without(size: &str, name: &str) -> String {
    if name.contains(size) { String::new() } else { size.to_string() }
}

fn line(step: &Step) -> Line {
    let [verb, rest, gives] = [step.verb_text(), step.rest(), step.gives()].map(|text| kept(&text));
    Line { number: step.numbers(), verb, rest, gives }
}

/// Cuts of a board at one setting.
fn of_run(section: &Section, run: &[CutStep]) -> Line {
    let [Some(first), Some(last)] = [run.first(), run.last()] else {
        return Line {
            number: String::new(),
            verb: String::new(),
            rest: String::new(),
            gives: String::new(),
        };
    };
    let number = match last.number {
        last if last == first.number => last.to_string(),
        last => format!("{}–{last}", first.number),
    };
    let text = &first.setting_text;
    let (verb, rest) = match (first.squares, first.way) {
        (true, way) => {
            let what = if way == Way::Rip { "edge" } else { "end" };
            let (side, blade) = if first.beyond { ("far", "beyond") } else { ("near", "before") };
            (format!("square the {side} {what} off"), format!("at {text}, blade {blade} the line"))
        }
        (false, Way::Crosscut) => (format!("crosscut, stop {text}"), String::new()),
        (false, Way::Rip) => (format!("rip, fence {text}"), String::new()),
    };
    let times = if run.len() > 1 { format!("{} × ", run.len()) } else { String::new() };
    let gives = match first.frees {
        Frees::Part(part) => format!("off: {times}{}", named(section, part)),
        Frees::Blank => format!("off: {times}a blank that is cut further, next"),
        Frees::Offcut => format!("off: {times}an offcut, keep it"),
        Frees::Waste => format!("off: {times}waste"),
        Frees::Edge => String::new(),
    };
    let [verb, rest, gives] = [verb, rest, gives].map(|text| kept(&text));
    Line { number, verb, rest, gives }
}

fn named(section: &Section, part: usize) -> String {
    section
        .parts
        .get(&part)
        .map_or(String::new(), |label| format!("no. {} {}", label.number, isolated(&label.name)))
}

/// Parts that no cut frees: what remains when all else is off.
fn as_left(section: &Section, board: &Board) -> Vec<String> {
    let mut freed: Vec<usize> = board.cuts.iter().filter_map(|cut| part_of(cut.frees)).collect();
    let mut left = Vec::new();
    for zone in &board.zones {
        let What::Piece(piece) = &zone.what else { continue };
        match freed.iter().position(|&part| part == piece.part) {
            Some(at) => drop(freed.swap_remove(at)),
            None => left.push(named(section, piece.part)),
        }
    }
    left
}

fn part_of(frees: Frees) -> Option<usize> {
    if let Frees::Part(part) = frees { Some(part) } else { None }
}
