//! What is each stock: board or sheet, how large in fact, cut with which kerf and edge trim?
//!
//! A section fills in thickness and width with the actual dry size; sizes given beside it win, since somebody
//! measured them, unless they are larger than the name. What somebody owns has no factory edge to trim, unless the list
//! says so: rack pieces count as clean all round. Edge trim that a row states is that of the row, bought or owned.

use super::super::problem::{Findings, ProblemKind, shop as of_shop, stock as place};
use super::super::{Batch, Form, Shop, Stock, StockGrain, Trim, UsableStock};
use super::form::hangs_on_length;
use super::limits::holds_kerf;
use crate::units::{Length, actual_size};

/// `None` for rows of which nobody knows what they are. Cost and price are filled in later.
pub fn stock(batch: &Batch, boards: &[bool], found: &mut Findings) -> Vec<Option<UsableStock>> {
    let rows = batch.stock.iter().zip(boards).enumerate();
    rows.map(|(row, (stock, &board))| resolve(row, stock, board, batch, found)).collect()
}

/// Whether nobody can say what the row is: board or sheet, and of which section.
fn is_unknown(row: usize, s: &Stock, found: &Findings) -> bool {
    let told = found.sure(place(row, "length")) || !hangs_on_length(s);
    !told || !found.sure_of(place(row, ""), &["material", "form", "section", "thickness", "called", "width"])
}

/// Whether the size of a row is as it is taken here.
pub fn is_sure(row: usize, found: &Findings) -> bool {
    found.sure_of(place(row, ""), &["length", "grain", "factory_edges", "trim"])
        && found.sure_of(place(row, ""), &OWNER)
}

/// Whether what the saw leaves of a row is as it is taken here.
pub fn is_exact(row: usize, found: &Findings) -> bool {
    is_sure(row, found) && found.sure_of_saws()
}

/// Cells that tell whether a row is owned.
const OWNER: [&str; 3] = ["on_hand", "price", "qty"];

/// Where a size, an edge or an owner is in doubt, what holds more is taken: what does not fit then, never does.
fn resolve(row: usize, s: &Stock, board: bool, batch: &Batch, found: &mut Findings) -> Option<UsableStock> {
    if is_unknown(row, s, found) {
        return None;
    }
    let before = found.len();
    let actual = s.section.and_then(|section| actual_size(&section));
    let thickness = s.thickness.or(actual.map(|(thickness, _)| thickness));
    let width = s.width.or(actual.map(|(_, width)| width));
    if s.form == Some(Form::Sheet) && s.section.is_some() {
        // Nor do its sizes have to agree with the section.
        found
            .add(place(row, "section"), ProblemKind::Contradiction, "a sheet has no section")
            .hint("leave `section` empty, or write `board` in the `form` column");
    } else if !board && width.is_none() {
        found.add(place(row, "width"), ProblemKind::Missing, "a sheet needs a width");
    } else {
        look_at_section(row, s, found);
    }
    if board && s.grain == Some(StockGrain::Width) {
        found
            .add(
                place(row, "grain"),
                ProblemKind::Contradiction,
                "the grain of a board runs along its length",
            )
            .hint("write `sheet` in the `form` column if it is a panel with the grain across");
    }
    let shop = &batch.shop;
    let kerf = if board { shop.boards.kerf } else { shop.sheets.kerf };
    let trim = trim(row, s, board, shop, found);
    let length = if found.sure(place(row, "length")) { s.length } else { Length::MAX };
    let usable = UsableStock {
        cost: 0,
        each: None,
        kerf,
        trim,
        reach: shop.sheets.fence_reach.filter(|_| !board),
        longest: [shop.sheets.longest_crosscut, shop.sheets.longest_rip].map(|most| most.filter(|_| !board)),
        qty: s.qty,
        size: [length, width.unwrap_or(Length::ZERO)],
        board,
        on_hand: s.on_hand,
        thickness,
    };
    let [length, clean_width] = usable.usable();
    if !length.is_positive() || (width.is_some() && !clean_width.is_positive()) {
        let (field, hint) = match (s.trim, length.is_positive()) {
            (Some(_), _) => ("trim", "check it and the size, and their units"),
            (None, true) => ("width", "check the size and its unit"),
            (None, false) => ("length", "check the size and its unit"),
        };
        if found.sure(place(row, field)) {
            found
                .add(place(row, field), ProblemKind::Trim, "nothing remains of it after the edge trim")
                .hint(hint);
        }
    }
    (found.len() == before).then_some(usable)
}

/// Edge trim of a row: its own, else the shop's where it has factory edges. Where that is in doubt it is none.
fn trim(row: usize, s: &Stock, board: bool, shop: &Shop, found: &mut Findings) -> [Length; 4] {
    const CLEAN: [Length; 4] = [Length::ZERO; 4];
    let own = place(row, "trim");
    if !found.sure(own) {
        return CLEAN;
    }
    if let Some(trim) = &s.trim {
        let Some(sides) = trim.sides(board) else {
            let (expected, count) = (Trim::expected(board), trim.values().len());
            let hint = if board {
                "it counts as a board, whose long edges are clean; write `sheet` in the `form` column if it is one"
            } else {
                "it counts as a sheet, which has four edges; write `board` in the `form` column if it is one"
            };
            let message = format!("expected {expected}, but found {count} values");
            found.add(own, ProblemKind::Contradiction, message).hint(hint);
            return CLEAN;
        };
        let (field, kerf) =
            if board { ("boards.kerf", shop.boards.kerf) } else { ("sheets.kerf", shop.sheets.kerf) };
        holds_kerf(own, &sides, (field, kerf), shop, found);
        return sides;
    }
    let edges = found.sure(of_shop(if board { "boards.trim" } else { "sheets.trim" }));
    // All that is bought has its factory edges.
    let told = !s.on_hand || found.sure(place(row, "factory_edges"));
    let trimmed = edges && told && found.sure_of(place(row, ""), &OWNER);
    match (s.on_hand && !s.factory_edges || !trimmed, board) {
        (true, _) => CLEAN,
        (false, true) => [shop.boards.trim[0], shop.boards.trim[1], Length::ZERO, Length::ZERO],
        (false, false) => shop.sheets.trim,
    }
}

/// A measured size beside a section may be smaller than its name, never larger; a section outside the tables has no
/// size but the one that is measured, nor has a board that a rip has left narrower.
fn look_at_section(row: usize, s: &Stock, found: &mut Findings) {
    let Some(section) = s.section else { return };
    let (top, bottom) = section.thickness();
    let nominal = [
        ("thickness", s.thickness, Length::inches(top.into(), bottom.into())),
        ("width", s.width, Length::inches(section.width().into(), 1)),
    ];
    let tabled = actual_size(&section).is_some();
    if s.ripped && s.width.is_none() && found.sure(place(row, "ripped")) {
        found
            .add(
                place(row, "width"),
                ProblemKind::Missing,
                format!("a board that is ripped is narrower than a {section}"),
            )
            .hint("fill in `width` as measured, or leave `ripped` empty");
    }
    for (field, measured, nominal) in nominal {
        if !tabled && measured.is_none() {
            found
                .add(
                    place(row, field),
                    ProblemKind::Missing,
                    format!("no table says how large a {section} is in fact"),
                )
                .hint("fill in `thickness` and `width` as measured");
        }
        if tabled && measured > nominal {
            found
                .add(
                    place(row, field),
                    ProblemKind::Contradiction,
                    format!("the {field} is larger than a {section} is by name"),
                )
                .hint("leave it empty: the section sets it");
        }
    }
}
