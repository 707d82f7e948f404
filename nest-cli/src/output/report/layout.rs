//! One layout in the report: its drawing and its numbered cuts, in every size that they may be printed in.

use super::super::drawing::lettering::whole;
use super::super::drawing::{Figure, Room, board_figure, sheet_figure};
use super::super::svg;
use super::notes::notes;
use super::pages::PageRoom;
use super::reckon::{columns, lines, points, width};
use crate::clean::{bare, isolated};
use crate::report::names::titled;
use crate::report::{Board, Left, Off, SawCut, Section, Sheet, Step, blanks, on};
use nest_core::plan::Way;
use std::cell::RefCell;
use std::rc::Rc;

/// Boxes to tick beyond these are not drawn.
const MOST_BOXES: u32 = 60;

/// Sizes of the letters of a list, the most wanted first.
const SIZES: [Size; 4] = [
    Size { letters: "large", font: 100, columns: 1, drawings: &[13_000, 12_000, 11_000, 10_000] },
    Size {
        letters: "middle",
        font: 90,
        columns: 2,
        drawings: &[12_000, 11_000, 10_000, 9_000, 8_000, 7_000, 6_500],
    },
    Size { letters: "small", font: 80, columns: 2, drawings: &[10_000, 9_000, 8_000, 7_000] },
    Size { letters: "tiny", font: 72, columns: 2, drawings: &[9_000, 8_000, 7_000, 6_000] },
];
/// Between two columns.
const GAP: i64 = 600;
/// Letters of the title, of facts and boxes, and of the key, in tenths of a point.
const TITLE: i64 = 120;
const FACTS: i64 = 100;
const KEY: i64 = 85;
/// Between facts and boxes that stand below them.
const BELOW_FACTS: i64 = 100;

/// A size of letters.
struct Size {
    /// A class of the style sheet.
    letters: &'static str,
    /// Tenths of a point.
    font: i64,
    columns: usize,
    /// How high the drawing of a sheet may be beside them, with its dimensions.
    drawings: &'static [i64],
}

/// A layout before it is known how large it is printed.
pub struct Draft<'a> {
    layout: Layout,
    draw: Box<dyn Fn(i64, PageRoom) -> Figure + 'a>,
    /// What was drawn, and how high it might have been.
    drawings: RefCell<Vec<(i64, Rc<Figure>)>>,
}

/// One way to print a layout.
#[derive(Default)]
pub struct Arrangement {
    pub high: i64,
    /// Size of the letters of its list, in tenths of a point.
    pub font: i64,
    letters: &'static str,
    figure: Rc<Figure>,
}

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
    /// What had no room on the drawing, and what the list notes on its parts.
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

impl<'a> Draft<'a> {
    pub fn of_sheet(section: &'a Section, sheet: &'a Sheet) -> Self {
        let mut facts = format!("{}, yield {}", sheet.spare_text(), sheet.yields);
        if let Some(usable) = &sheet.usable {
            facts = format!("usable {usable}, {facts}");
        }
        if sheet.tight() {
            facts.push_str(": measure it before the first cut");
        }
        for more in sheet.stack_text().iter().chain(&sheet.matched).chain(&sheet.note) {
            facts = format!("{facts}; {more}");
        }
        let [stock, size] = titled(&sheet.stock, &sheet.size_text);
        let layout = Layout {
            number: sheet.number,
            stock: stock.to_owned(),
            size: whole(size),
            facts: whole(&facts),
            tight: sheet.tight(),
            key: notes(section, sheet.parts()),
            cuts: sheet.steps.iter().map(line).collect(),
            ..Layout::empty(sheet.copies)
        };
        let draw = |high, room: PageRoom| sheet_figure(section, sheet, Room { wide: room.wide - 100, high });
        Self { layout, draw: Box::new(draw), drawings: RefCell::default() }
    }

    pub fn of_board(section: &'a Section, board: &'a Board) -> Self {
        let mut facts = match (board.spare.none, board.spare.tight) {
            (true, _) => "nothing to spare: measure it before the first cut".to_string(),
            (false, true) => format!("only {} to spare: measure it before the first cut", board.spare.text),
            (false, false) => format!("{} to spare", board.spare.text),
        };
        if let Some(note) = &board.note {
            facts = format!("{facts}; {note}");
        }
        let [stock, size] = titled(&board.stock, &board.size_text);
        let layout = Layout {
            number: board.number,
            stock: stock.to_owned(),
            size: whole(size),
            facts: whole(&facts),
            tight: board.spare.tight,
            key: notes(section, board.parts()),
            cuts: board.runs().map(|run| of_run(section, run)).collect(),
            as_left: board.left.iter().map(|left| as_left(section, left)).collect(),
            ..Layout::empty(board.copies)
        };
        let draw = |_, room: PageRoom| board_figure(section, board, room.wide - 100);
        Self { layout, draw: Box::new(draw), drawings: RefCell::default() }
    }

    /// All ways to print it, the most wanted first; each is drawn when it is looked at.
    pub fn arrangements(&self, room: PageRoom) -> impl Iterator<Item = Arrangement> {
        let head = self.layout.head(room);
        SIZES.iter().flat_map(move |size| {
            let list = self.layout.list(room, size);
            let arranged = move |&high: &i64| {
                let figure = self.figure(high, room);
                let key = lines(&[(&self.key(&figure).join("; "), false)], points(KEY), room.wide);
                let key = if key > 0 { key * points(KEY) * 125 / 100 + 100 } else { 0 };
                let high = head + figure.size[1] + 300 + key + list;
                Arrangement { high, font: size.font, letters: size.letters, figure }
            };
            size.drawings.iter().map(arranged)
        })
    }

    /// The drawing of this height. One that might have been higher and is not is the same.
    fn figure(&self, high: i64, room: PageRoom) -> Rc<Figure> {
        let mut drawings = self.drawings.borrow_mut();
        let same = |(most, figure): &&(i64, Rc<Figure>)| *most >= high && figure.size[1] <= high;
        if let Some((_, figure)) = drawings.iter().find(same) {
            return Rc::clone(figure);
        }
        let figure = Rc::new((self.draw)(high, room));
        drawings.push((high, Rc::clone(&figure)));
        figure
    }

    /// What stands below a drawing.
    fn key(&self, figure: &Figure) -> Vec<String> {
        figure.key.iter().chain(&self.layout.key).cloned().collect()
    }

    /// Printed so.
    pub fn drawn(self, found: Arrangement, whole: bool) -> Layout {
        Layout {
            whole,
            letters: found.letters,
            drawing: svg::inline(&found.figure),
            key: self.key(&found.figure),
            ..self.layout
        }
    }
}

impl Layout {
    /// What ends the sentence of the key.
    pub fn key_end(&self) -> &'static str {
        let ended = self.key.last().is_some_and(|text| bare(text).ends_with(['…', '?', '!', '.']));
        if ended { "" } else { "." }
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

    /// Height of what stands above the drawing.
    fn head(&self, room: PageRoom) -> i64 {
        let title = format!("Layout {}: {} × {} ({})", self.number, self.copies, self.stock, self.size);
        let boxes = self.boxes.len() as i64 + i64::from(self.more > 0);
        let font = points(FACTS);
        let a_box = 1_150 + width(&format!("cut {} of {}", self.copies, self.copies), false, font);
        let facts = width(&self.facts, self.tight, font) + 800;
        // The boxes stand beside the facts if there is room for all of them.
        let rows = if facts + boxes * a_box <= room.wide {
            480
        } else {
            let in_row = (room.wide / a_box).max(1);
            let lines = lines(&[(&self.facts, self.tight)], font, room.wide - 300);
            (lines + (boxes + in_row - 1) / in_row) * 480 + BELOW_FACTS
        };
        lines(&[(&title, true)], points(TITLE), room.wide) * points(TITLE) * 125 / 100 + 100 + rows
    }

    /// Whether some cuts are `98–104`.
    pub fn wide_numbers(&self) -> bool {
        self.cuts.iter().any(|cut| cut.number.chars().count() > 5)
    }

    /// Height of the list of cuts.
    fn list(&self, room: PageRoom, size: &Size) -> i64 {
        let (font, count) = (points(size.font), size.columns);
        // What the number of a cut takes: 4.2 or 3.4 times the size of its letters.
        let number = font * if self.wide_numbers() { 42 } else { 34 } / 10;
        let gaps = (count as i64 - 1) * GAP;
        let wide = (room.wide - gaps) / count as i64 - number;
        let row = |cut: &Line| {
            let runs = [(cut.verb.as_str(), true), (&cut.rest, false), (&cut.gives, false)];
            lines(&runs, font, wide) * font * 125 / 100 + 45
        };
        let rows: Vec<i64> = self.cuts.iter().map(row).collect();
        columns(&rows, count) + 200 + self.as_left.len() as i64 * 700
    }
}

fn line(step: &Step) -> Line {
    let [verb, rest, gives] = [step.verb_text(), step.rest(), step.gives()].map(|text| whole(&text));
    Line { number: step.numbers(), verb, rest, gives }
}

/// Cuts of a board at one setting.
fn of_run(section: &Section, run: &[SawCut]) -> Line {
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
    let on_blank = if first.lot == 0 { String::new() } else { format!("on {}", on(run)) };
    let (verb, rest) = match (first.squares, first.way) {
        (true, way) => {
            let what = if way == Way::Rip { "edge" } else { "end" };
            let (side, blade) = if first.beyond { ("far", "beyond") } else { ("near", "before") };
            (format!("square the {side} {what} off"), format!("at {text}, blade {blade} the line"))
        }
        (false, Way::Crosscut) => (format!("crosscut, stop {text}"), on_blank),
        (false, Way::Rip) => (format!("rip, fence {text}"), on_blank),
    };
    let times = |count: usize| if count > 1 { format!("{count} × ") } else { String::new() };
    let all = times(run.len());
    let off = match &first.frees {
        Off::Part(part) => Some(format!("off: {all}{}", named(section, *part))),
        Off::Blank(..) => blanks(run.iter().map(|cut| &cut.frees)).map(|blank| cut_further("off", blank)),
        Off::Offcut(..) => Some(format!("off: {all}an offcut, keep it")),
        Off::Waste => Some(format!("off: {all}waste")),
        Off::Edge => None,
    };
    let left =
        blanks(run.iter().filter_map(|cut| cut.leaves.as_ref())).map(|blank| cut_further("left", blank));
    // What is left of the board itself stands below all cuts.
    let done: Vec<&Off> =
        run.iter().filter(|cut| cut.lot > 0).filter_map(|cut| cut.leaves.as_ref()).collect();
    let done = done.chunk_by(|a, b| a == b).filter_map(|alike| {
        let what = match alike.first()? {
            Off::Part(part) => named(section, *part),
            Off::Offcut(size, edged) => to_keep(size, edged.as_deref()),
            Off::Blank(..) | Off::Waste | Off::Edge => return None,
        };
        Some(format!("left: {}{what}", times(alike.len())))
    });
    let gives = off.into_iter().chain(left).chain(done).collect::<Vec<_>>().join("; ");
    let [verb, rest, gives] = [verb, rest, gives].map(|text| whole(&text));
    Line { number, verb, rest, gives }
}

/// Blanks by their names, which later cuts tell.
fn cut_further(word: &str, (name, size): (String, &str)) -> String {
    format!("{word}: {name}, {size}, to be cut further")
}

fn named(section: &Section, part: usize) -> String {
    section
        .parts
        .get(&part)
        .map_or(String::new(), |label| format!("no. {} {}", label.number, isolated(&label.name)))
}

/// What remains when all else is off.
fn as_left(section: &Section, left: &Left) -> String {
    match left {
        Left::Part(piece) => named(section, piece.part),
        Left::Offcut(size, edged) => to_keep(size, edged.as_deref()),
    }
}

fn to_keep(size: &str, edged: Option<&str>) -> String {
    let edged = edged.map_or(String::new(), |edged| format!(", {edged}"));
    format!("{size} to keep{edged}")
}
