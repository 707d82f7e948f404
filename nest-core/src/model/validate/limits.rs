//! Rules that concern one row alone: counts and sizes within their limits, cells that must be filled.
//!
//! Limits stand before anything is allocated in proportion to a number from a file: quantities are never expanded.

use super::super::problem::{Findings, ProblemKind, TableCell, part, shop, stock};
use super::super::{Band, Batch, Fit, MatchWay, Part, Shop, Stages, Stock, Table, Trim};
use super::{LONGEST_NAME, LONGEST_TEXT, MOST_BANDS, MOST_PIECES, MOST_PIECES_A_ROW, MOST_ROWS};
use crate::units::Length;

/// Whether anything further can be said: not where a table is too large, or empty.
pub fn look(batch: &Batch, found: &mut Findings) -> bool {
    for (rows, what, column) in
        [(batch.parts.len(), "parts", "part"), (batch.stock.len(), "stock", "material")]
    {
        if rows > MOST_ROWS {
            let place = if what == "parts" { part(MOST_ROWS, column) } else { stock(MOST_ROWS, column) };
            found
                .add(
                    place,
                    ProblemKind::Limit,
                    format!("expected at most {MOST_ROWS} rows of {what}, but found {rows}"),
                )
                .hint("split the list");
        }
    }
    if batch.parts.is_empty() && found.sure_rows(Table::Parts) {
        found
            .add(None, ProblemKind::Empty, "there are no parts")
            .hint("list at least one part with its length and material");
    }
    if batch.stock.is_empty() && found.sure_rows(Table::Stock) {
        found
            .add(None, ProblemKind::Empty, "there is no stock")
            .hint("list at least one board or sheet that can be bought");
    }
    if !found.is_empty() {
        return false;
    }
    look_at_shop(&batch.shop, found);
    for (row, part) in batch.parts.iter().enumerate() {
        look_at_part(row, part, found);
    }
    for (row, stock) in batch.stock.iter().enumerate() {
        look_at_stock(row, stock, found);
    }
    look_at_total(&batch.parts, found);
    true
}

fn look_at_part(row: usize, p: &Part, found: &mut Findings) {
    let at = |field| part(row, field);
    text(at("part"), &p.name, LONGEST_NAME, found);
    text(at("material"), &p.material, LONGEST_NAME, found);
    text(at("job"), &p.job, LONGEST_NAME, found);
    text(at("note"), &p.note, LONGEST_TEXT, found);
    text(at("match"), p.match_word.as_deref().unwrap_or(""), LONGEST_NAME, found);
    text(at("band"), p.band.as_deref().unwrap_or(""), LONGEST_NAME, found);
    extra(at("extra"), &p.extra, found);
    filled(at("part"), &p.name, "every part needs a name", found);
    filled(at("material"), &p.material, "say what the part is made of, in the words of the stock", found);
    positive(at("length"), "length", p.length, found);
    optional(at("width"), "width", p.width, found);
    optional(at("thickness"), "thickness", p.thickness, found);
    allowance(at("oversize"), "oversize", p.oversize, found);
    if let Fit::Over(by) = p.fit {
        positive(at("fit"), "fit", by, found);
    }
    for (field, edges) in [("length_edges", p.length_edges), ("width_edges", p.width_edges)] {
        if edges > 2 && found.sure(at(field)) {
            found
                .add(at(field), ProblemKind::Limit, format!("expected 0, 1 or 2 edges, but found {edges}"))
                .hint("a part has two edges along its length and two along its width");
        }
    }
    if p.qty > MOST_PIECES_A_ROW && found.sure(at("qty")) {
        found
            .add(
                at("qty"),
                ProblemKind::Limit,
                format!("expected a quantity of at most {MOST_PIECES_A_ROW}, but found {}", p.qty),
            )
            .hint("check for a slip of the keys");
    }
    let across = p.match_way == MatchWay::Across && p.match_word.is_none();
    if across && found.sure_of(at(""), &["match", "match_way"]) {
        found
            .add(
                at("match_way"),
                ProblemKind::Contradiction,
                "`match_way` says across, but no `match` word says with which parts",
            )
            .hint("give the parts of one strip the same word in the `match` column");
    }
}

fn look_at_stock(row: usize, s: &Stock, found: &mut Findings) {
    let at = |field| stock(row, field);
    text(at("name"), &s.name, LONGEST_NAME, found);
    text(at("material"), &s.material, LONGEST_NAME, found);
    extra(at("extra"), &s.extra, found);
    filled(at("material"), &s.material, "say what the stock is made of, in the words of the parts", found);
    positive(at("length"), "length", s.length, found);
    optional(at("width"), "width", s.width, found);
    optional(at("thickness"), "thickness", s.thickness, found);
    for &called in &s.called {
        positive(at("called"), "thickness", called, found);
    }
    for &trim in s.trim.iter().flat_map(Trim::values) {
        allowance(at("trim"), "edge trim", trim, found);
    }
    if s.called.len() > 100 && found.sure(at("called")) {
        found.add(at("called"), ProblemKind::Limit, "expected at most 100 thicknesses");
    }
    if s.qty.is_some_and(|qty| qty > MOST_PIECES_A_ROW) && found.sure(at("qty")) {
        found
            .add(at("qty"), ProblemKind::Limit, format!("expected a quantity of at most {MOST_PIECES_A_ROW}"))
            .hint("leave `qty` empty for as many as wanted");
    }
}

/// Rules of the shop.
fn look_at_shop(s: &Shop, found: &mut Findings) {
    let (boards, sheets) = (&s.boards, &s.sheets);
    text(shop("currency"), &s.currency, LONGEST_NAME, found);
    allowance(shop("boards.kerf"), "kerf", boards.kerf, found);
    allowance(shop("sheets.kerf"), "kerf", sheets.kerf, found);
    for (field, trims, kerf) in [
        ("boards.trim", &boards.trim[..], ("boards.kerf", boards.kerf)),
        ("sheets.trim", &sheets.trim[..], ("sheets.kerf", sheets.kerf)),
    ] {
        trims.iter().for_each(|&trim| allowance(shop(field), "edge trim", trim, found));
        holds_kerf(shop(field), trims, kerf, s, found);
    }
    allowance(shop("boards.keep"), "smallest offcut", boards.keep, found);
    allowance(shop("boards.shortest_rip"), "shortest rip", boards.shortest_rip, found);
    for keep in sheets.keep {
        allowance(shop("sheets.keep"), "smallest offcut", keep, found);
    }
    optional(shop("sheets.longest_rip"), "longest rip", sheets.longest_rip, found);
    optional(shop("sheets.longest_crosscut"), "longest crosscut", sheets.longest_crosscut, found);
    optional(shop("sheets.fence_reach"), "fence reach", sheets.fence_reach, found);
    // Of a kerf in doubt nobody knows that two of them add up.
    if found.sure(shop("sheets.kerf"))
        && let Some(reach) =
            sheets.fence_reach.filter(|reach| reach.is_positive() && *reach <= sheets.kerf + sheets.kerf)
    {
        let (reach, kerf) = (s.style.exact(reach), s.style.exact(sheets.kerf));
        found
            .add(
                shop("sheets.fence_reach"),
                ProblemKind::Limit,
                format!("expected a fence that reaches farther than two kerfs of {kerf}, but found {reach}"),
            )
            .hint("leave it out where there is no fence, as with a track saw");
    }
    optional(shop("sheets.stack_height"), "stack height", sheets.stack_height, found);
    if matches!(sheets.stages, Stages::Limited(..2)) && found.sure(shop("sheets.stages")) {
        found
            .add(shop("sheets.stages"), ProblemKind::Limit, "expected at least 2 stages")
            .hint("a rip and a crosscut are two stages; write `any` for no limit");
    }
    if let Some(vehicle) = &s.vehicle {
        positive(shop("vehicle.length"), "length", vehicle.length, found);
        optional(shop("vehicle.width"), "width", vehicle.width, found);
    }
    if s.bands.len() > MOST_BANDS {
        found.add(shop("band"), ProblemKind::Limit, format!("expected at most {MOST_BANDS} edge bands"));
    }
    for (row, band) in s.bands.iter().enumerate().take(MOST_BANDS) {
        look_at_band(row, band, found);
    }
}

fn look_at_band(row: usize, band: &Band, found: &mut Findings) {
    let at = |field| TableCell { row, ..shop(field) };
    text(at("band"), &band.name, LONGEST_NAME, found);
    filled(at("band"), &band.name, "every edge band needs a name", found);
    allowance(at("band.thickness"), "thickness", band.thickness, found);
    allowance(at("band.deduct"), "deduction", band.deduct, found);
    allowance(at("band.pre_mill"), "pre-mill", band.pre_mill, found);
}

fn look_at_total(parts: &[Part], found: &mut Findings) {
    let mut total = 0_u64;
    for (row, p) in parts.iter().enumerate() {
        let place = part(row, "qty");
        // At most 10^5 rows of 10^6 pieces.
        total += if found.sure(place) { u64::from(p.qty) } else { 0 };
        if total > MOST_PIECES {
            found
                .add(
                    place,
                    ProblemKind::Limit,
                    format!("expected at most {MOST_PIECES} pieces in all, but this row exceeds it"),
                )
                .hint("split the list");
            return;
        }
    }
}

/// Each edge trim is nothing at all, or holds the kerf of the cut that takes the edge off.
pub fn holds_kerf(
    place: TableCell,
    trims: &[Length],
    (kerf_field, kerf): (&'static str, Length),
    s: &Shop,
    found: &mut Findings,
) {
    let sure = found.sure(place) && found.sure_of_setting(kerf_field);
    if sure && trims.iter().any(|&trim| trim.is_positive() && trim < kerf) {
        let kerf = s.style.exact(kerf);
        found
            .add(
                place,
                ProblemKind::Trim,
                "the edge trim is thinner than the kerf, but the kerf is part of it",
            )
            .hint(format!("0 leaves the factory edge as it is; all else is at least the kerf, {kerf}"));
    }
}

fn text(place: TableCell, text: &str, most: usize, found: &mut Findings) {
    // A character has at most four bytes, so short texts need no count.
    if text.len() > most && text.chars().count() > most && found.sure(place) {
        found.add(place, ProblemKind::Limit, format!("expected at most {most} characters"));
    }
}

fn extra(place: TableCell, columns: &[(String, String)], found: &mut Findings) {
    for (header, value) in columns {
        text(place, header, LONGEST_NAME, found);
        text(place, value, LONGEST_TEXT, found);
    }
}

fn filled(place: TableCell, text: &str, hint: &str, found: &mut Findings) {
    if text.trim().is_empty() && found.sure(place) {
        found.add(place, ProblemKind::Missing, format!("`{}` is empty", place.field)).hint(hint);
    }
}

fn optional(place: TableCell, what: &str, length: Option<Length>, found: &mut Findings) {
    if let Some(length) = length {
        positive(place, what, length, found);
    }
}

fn positive(place: TableCell, what: &str, length: Length, found: &mut Findings) {
    if length.is_positive() {
        allowance(place, what, length, found);
    } else if found.sure(place) {
        found.add(place, ProblemKind::NotPositive, format!("the {what} must be more than 0"));
    }
}

fn allowance(place: TableCell, what: &str, length: Length, found: &mut Findings) {
    if !found.sure(place) {
        return;
    }
    if length < Length::ZERO {
        found.add(place, ProblemKind::NotPositive, format!("the {what} must not be less than 0"));
    } else if length > Length::MAX {
        found.add(place, ProblemKind::Limit, format!("the {what} is beyond 13.7 km")).hint("check the unit");
    }
}
