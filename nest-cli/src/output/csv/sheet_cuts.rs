//! The cuts of a sheet as lines of cuts.csv.
//!
//! A line `as left` follows the last cut of a rectangle: what is then on the saw is done with, or goes on under another
//! name; waste that is left so has no line. Lines with one number in `together` are made at one setting.

use super::{Table, label, of_layout, text};
use crate::report::{Holds, Off, Placed, SawCut, Section, Sheet};
use nest_core::plan::Way;

pub(super) fn rows(section: &Section, sheet: &Sheet, table: &mut Table) {
    let mut steps = sheet.steps.iter().peekable();
    for cut in &sheet.cuts {
        while steps.peek().is_some_and(|step| step.cuts[1] < cut.number) {
            steps.next();
        }
        let together = steps.peek().map_or(String::new(), |step| step.number.to_string());
        table.row(cut_row(section, sheet, cut, together));
        if let Some(left) = cut.leaves.as_ref().filter(|left| **left != Off::Waste) {
            table.row(left_row(section, sheet, cut, left));
        }
    }
    if sheet.cuts.is_empty() {
        let pieces = sheet.regions.iter().filter_map(|region| match &region.holds {
            Holds::Piece(piece) => Some(piece.part),
            _ => None,
        });
        for part in pieces {
            let mut row = left(section, sheet, &Off::Part(part));
            row[22] = text(&sheet.sides.join(" x "));
            table.row(row);
        }
    }
}

fn cut_row(section: &Section, sheet: &Sheet, cut: &SawCut, together: String) -> [String; 26] {
    let kind = match (cut.unreached || cut.overlong, cut.squares, cut.way) {
        (true, ..) => "with a guide",
        (_, true, _) => "square",
        (_, _, Way::Crosscut) => "crosscut",
        (_, _, Way::Rip) => "rip",
    };
    let mut row = whole(section, sheet, &cut.frees);
    row[4] = cut.number.to_string();
    row[5] = kind.into();
    row[6] = text(&cut.setting_text);
    row[7] = cut.setting.mm_decimal();
    row[8] = if cut.beyond { "beyond the line" } else { "before the line" }.into();
    row[9] = text(&cut.line_text);
    row[10] = cut.line.mm_decimal();
    row[11] = cut.kerf.mm_decimal();
    row[18] = cut.depth.to_string();
    row[19] = together;
    row[20] = cut.from.into();
    row[21] = text(&cut.on);
    row[22] = text(&cut.on_text);
    row[24] = if cut.frees == Off::Edge { String::new() } else { text(&cut.off_text) };
    row
}

fn left_row(section: &Section, sheet: &Sheet, cut: &SawCut, off: &Off) -> [String; 26] {
    let mut row = left(section, sheet, off);
    row[18] = cut.depth.to_string();
    row[21] = text(&cut.on);
    row[24] = text(&cut.left_text);
    row
}

fn left(section: &Section, sheet: &Sheet, off: &Off) -> [String; 26] {
    let mut row = whole(section, sheet, off);
    row[5] = "as left".into();
    row
}

/// The cells that every line of a sheet has.
fn whole(section: &Section, sheet: &Sheet, off: &Off) -> [String; 26] {
    let mut row = of_layout(sheet.number, sheet.copies, &sheet.stock, &sheet.size_text);
    let (frees, part) = match off {
        Off::Part(part) => ("part", Some(*part)),
        Off::Blank(..) => ("blank", None),
        Off::Offcut(..) => ("offcut", None),
        Off::Waste => ("waste", None),
        Off::Edge => ("edge", None),
    };
    row[12] = frees.into();
    [row[13], row[14], row[15]] = label(section, part);
    row[16] = match off {
        Off::Offcut(_, Some(edged)) => text(edged),
        _ => part.and_then(|part| note(sheet, part)).unwrap_or_default(),
    };
    row[17] = if sheet.board { "board" } else { "sheet" }.into();
    if let Off::Blank(name, _) = off {
        row[23] = text(name);
    }
    row[25] = sheet.stack.to_string();
    row
}

/// What is still to be done with a part.
fn note(sheet: &Sheet, part: usize) -> Option<String> {
    let placed = |region: &crate::report::Region| match &region.holds {
        Holds::Piece(Placed { part: of, later, .. }) if *of == part => later.clone(),
        _ => None,
    };
    sheet.regions.iter().find_map(placed).map(|later| text(&later.text))
}
