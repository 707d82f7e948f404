//! cuts.csv: every cut of every board and sheet in the order of the saw.
//!
//! `cut` is its number, as on the drawing and as `--cut` takes it; cuts of one `step` are made at one setting. `kind` says
//! what it is: `rip`, `crosscut`, `square` (an edge off), `with a guide` (an edge or waste off where the fence does not
//! reach). A line `as left` follows the last cut of a rectangle: what is then on the saw is done with, or goes on under
//! another name; waste that is left so has no line. `stack` sheets of the `copies` lie on each other, cut at a time.

use super::{Table, text};
use crate::report::{Board, Holds, Later, Left, Off, Report, SawCut, Section, Sheet, Step, What};
use nest_core::plan::Way;

/// The file.
pub fn render(report: &Report) -> Vec<u8> {
    let mut table = Table::new(&[
        "layout",
        "copies",
        "stock",
        "stock_size",
        "cut",
        "kind",
        "setting",
        "setting_mm",
        "blade",
        "line",
        "line_mm",
        "kerf_mm",
        "frees",
        "part",
        "name",
        "job",
        "note",
        "form",
        "depth",
        "step",
        "from",
        "on",
        "on_size",
        "off",
        "off_size",
        "stack",
    ]);
    for section in &report.sections {
        let boards = section.boards.iter().map(|board| Piece::of_board(section, board));
        let sheets = section.sheets.iter().map(|sheet| Piece::of_sheet(section, sheet));
        boards.chain(sheets).for_each(|piece| piece.rows(&mut table));
    }
    table.bytes()
}

/// A piece of stock that is cut, be it a board or a sheet.
struct Piece<'a> {
    section: &'a Section,
    /// The cells that every line of it has.
    number: usize,
    copies: u32,
    stack: u32,
    stock: &'a str,
    size: &'a str,
    form: &'static str,
    cuts: &'a [SawCut],
    steps: &'a [Step],
    /// Its parts, each with what is still to be done with it.
    parts: Vec<(usize, Option<&'a Later>)>,
    /// What it is as a whole, where nothing is cut.
    whole: String,
}

impl<'a> Piece<'a> {
    fn of_board(section: &'a Section, board: &'a Board) -> Self {
        let part = |what: &'a What| match what {
            What::Piece(piece) => Some((piece.part, piece.later.as_ref())),
            _ => None,
        };
        let whole = |left: &Left| match left {
            Left::Part(piece) => Some(piece.length.clone()),
            Left::Offcut(..) => None,
        };
        Self {
            section,
            number: board.number,
            copies: board.copies,
            stack: 1,
            stock: &board.stock,
            size: &board.size_text,
            form: "board",
            cuts: &board.cuts,
            steps: &board.steps,
            parts: board.zones.iter().filter_map(|zone| part(&zone.what)).collect(),
            whole: board.left.iter().find_map(whole).unwrap_or_default(),
        }
    }

    fn of_sheet(section: &'a Section, sheet: &'a Sheet) -> Self {
        let part = |holds: &'a Holds| match holds {
            Holds::Piece(placed) => Some((placed.part, placed.later.as_ref())),
            _ => None,
        };
        Self {
            section,
            number: sheet.number,
            copies: sheet.copies,
            stack: sheet.stack,
            stock: &sheet.stock,
            size: &sheet.size_text,
            form: if sheet.board { "board" } else { "sheet" },
            cuts: &sheet.cuts,
            steps: &sheet.steps,
            parts: sheet.regions.iter().filter_map(|region| part(&region.holds)).collect(),
            whole: sheet.sides.join(" x "),
        }
    }

    fn rows(&self, table: &mut Table) {
        let mut steps = self.steps.iter().peekable();
        for cut in self.cuts {
            while steps.peek().is_some_and(|step| step.cuts[1] < cut.number) {
                steps.next();
            }
            let step = steps.peek().map_or(String::new(), |step| step.number.to_string());
            table.row(self.cut_row(cut, step));
            if let Some(left) = cut.leaves.as_ref().filter(|left| **left != Off::Waste) {
                let mut row = self.as_left(left);
                row[18] = cut.depth.to_string();
                row[21] = text(&cut.on);
                row[24] = text(&cut.left_text);
                table.row(row);
            }
        }
        if self.cuts.is_empty() {
            for &(part, _) in &self.parts {
                let mut row = self.as_left(&Off::Part(part));
                row[22] = text(&self.whole);
                table.row(row);
            }
        }
    }

    fn cut_row(&self, cut: &SawCut, step: String) -> [String; 26] {
        let kind = match (cut.unreached || cut.overlong, cut.squares, cut.way) {
            (true, ..) => "with a guide",
            (_, true, _) => "square",
            (_, _, Way::Crosscut) => "crosscut",
            (_, _, Way::Rip) => "rip",
        };
        let mut row = self.row(&cut.frees);
        row[4] = cut.number.to_string();
        row[5] = kind.into();
        row[6] = text(&cut.setting_text);
        row[7] = cut.setting.mm_decimal();
        row[8] = if cut.beyond { "beyond the line" } else { "before the line" }.into();
        row[9] = text(&cut.line_text);
        row[10] = cut.line.mm_decimal();
        row[11] = cut.kerf.mm_decimal();
        row[18] = cut.depth.to_string();
        row[19] = step;
        row[20] = cut.from.into();
        row[21] = text(&cut.on);
        row[22] = text(&cut.on_text);
        row[24] = if cut.frees == Off::Edge { String::new() } else { text(&cut.off_text) };
        row
    }

    fn as_left(&self, off: &Off) -> [String; 26] {
        let mut row = self.row(off);
        row[5] = "as left".into();
        row
    }

    /// The cells that every line has, and those that tell what comes off.
    fn row(&self, off: &Off) -> [String; 26] {
        let (frees, part) = match off {
            Off::Part(part) => ("part", Some(*part)),
            Off::Blank(..) => ("blank", None),
            Off::Offcut(..) => ("offcut", None),
            Off::Waste => ("waste", None),
            Off::Edge => ("edge", None),
        };
        let mut row: [String; 26] = Default::default();
        row[0] = self.number.to_string();
        row[1] = self.copies.to_string();
        row[2] = text(self.stock);
        row[3] = text(self.size);
        row[12] = frees.into();
        let label = part.and_then(|part| self.section.parts.get(&part));
        if let Some(label) = label {
            [row[13], row[14], row[15]] = [label.number.to_string(), text(&label.name), text(&label.job)];
        }
        let said = match off {
            Off::Offcut(_, edged) => edged.as_deref(),
            _ => part.and_then(|part| self.later(part)).map(|later| later.text.as_str()),
        };
        // What is still to be done comes before what the list of parts says.
        let noted = label.map(|label| label.note.as_str()).filter(|note| !note.is_empty());
        let notes: Vec<&str> = said.into_iter().chain(noted).collect();
        row[16] = text(&notes.join("; "));
        row[17] = self.form.into();
        if let Off::Blank(name, _) = off {
            row[23] = text(name);
        }
        row[25] = self.stack.to_string();
        row
    }

    /// What is still to be done with a part.
    fn later(&self, part: usize) -> Option<&'a Later> {
        self.parts.iter().find(|(of, _)| *of == part)?.1
    }
}
