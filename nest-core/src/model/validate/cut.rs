//! What does the saw have to produce for one part?
//!
//! Cut size = finished size, less what the band deducts at each banded edge, plus what the machine mills off there,
//! plus `oversize` in both directions, plus the `fit` allowance along the length. Edges that run along the length
//! bound the width, so a band on a length edge changes the width.

use super::super::fold::{fold, nearest};
use super::super::problem::{Findings, ProblemKind, part, shop as of_shop};
use super::super::{Batch, Fit, Part, Shop, Table};
use crate::units::Length;

/// Cut length, and cut width where the part has one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CutSize {
    pub length: Length,
    pub width: Option<Length>,
    /// Whether length and width are those that are asked for; else next to nothing, which fits everywhere.
    pub sure: [bool; 2],
    /// Index of the band that its banded edges get.
    pub band: Option<usize>,
}

/// Stands for a size that nobody knows.
const LEAST: Length = Length::from_ticks(1);

/// One for each part.
pub fn sizes(batch: &Batch, found: &mut Findings) -> Vec<CutSize> {
    let rows = batch.parts.iter().enumerate();
    rows.map(|(row, part)| size(row, part, &batch.shop, found)).collect()
}

fn size(row: usize, p: &Part, shop: &Shop, found: &mut Findings) -> CutSize {
    // Whoever writes edges and a band means some, even where nobody can read how many.
    let edges = found.sure_of(part(row, ""), &["length_edges", "width_edges"]);
    let band = match banded(p) || !edges && p.band.is_some() {
        true => band_of(row, p, shop, found),
        false => Ok(None),
    };
    let known = match band {
        Ok(Some(band)) => found.sure_of_band(band),
        Ok(None) => true,
        Err(Unknown) => false,
    };
    let band = band.ok().flatten();
    let taken = band.filter(|_| known).and_then(|b| shop.bands.get(b));
    let edge = taken.map_or(Length::ZERO, |band| band.pre_mill - band.deduct);
    let grown = |finished: Length, edges: u8, fit: Length| {
        // All terms are at most `Length::MAX`, 2^40 ticks.
        let banded = (0..edges).fold(finished, |size, _| size + edge);
        banded + p.oversize + fit
    };
    let fit = match p.fit {
        Fit::Over(by) => by,
        Fit::No | Fit::Yes => Length::ZERO,
    };
    let at = |field| part(row, field);
    let mut sure = [
        found.sure_of(at(""), &["length", "width_edges", "oversize", "fit"]) && (known || p.width_edges == 0),
        found.sure_of(at(""), &["width", "length_edges", "oversize"]) && (known || p.length_edges == 0),
    ];
    let mut length = if sure[0] { grown(p.length, p.width_edges, fit) } else { LEAST };
    // A width that cannot be read is one.
    let mut width = match p.width {
        Some(width) if sure[1] => Some(grown(width, p.length_edges, Length::ZERO)),
        None if found.sure(at("width")) => None,
        _ => Some(LEAST),
    };
    for (axis, what, cut) in [(0, "length", Some(&mut length)), (1, "width", width.as_mut())] {
        let Some(cut) = cut else { continue };
        if !cut.is_positive() {
            found
                .add(
                    at("band"),
                    ProblemKind::NotPositive,
                    format!("nothing remains of the {what} after what the band takes off"),
                )
                .hint("check the deduction of the band in the shop file");
        } else if *cut > Length::MAX {
            found.add(at(what), ProblemKind::Limit, format!("the {what} of the blank is beyond 13.7 km"));
        } else {
            continue;
        }
        (sure[axis], *cut) = (false, LEAST);
    }
    CutSize { length, width, sure, band }
}

fn banded(p: &Part) -> bool {
    p.length_edges > 0 || p.width_edges > 0
}

/// Nobody knows which band is meant.
struct Unknown;

/// The band of a part with banded edges; `Ok(None)` in a shop without bands, where nothing is deducted.
fn band_of(row: usize, p: &Part, shop: &Shop, found: &mut Findings) -> Result<Option<usize>, Unknown> {
    if !(found.sure(part(row, "band")) && found.sure_rows(Table::Shop) && found.sure(of_shop("band"))) {
        return Err(Unknown);
    }
    let Some(name) = &p.band else {
        return match shop.bands.as_slice() {
            [] => Ok(None),
            [_] => Ok(Some(0)),
            several => {
                let names: Vec<_> = several.iter().take(5).map(|band| format!("`{}`", band.name)).collect();
                found
                    .add(
                        part(row, "band"),
                        ProblemKind::Ambiguous,
                        "the part has banded edges, but does not say which band",
                    )
                    .hint(format!("name one in the `band` column: {}", names.join(", ")));
                Err(Unknown)
            }
        };
    };
    let folded = fold(name);
    if let Some(band) = shop.bands.iter().position(|band| fold(&band.name) == folded) {
        return Ok(Some(band));
    }
    let near =
        found.may_search().then(|| nearest(name, shop.bands.iter().map(|band| band.name.as_str()))).flatten();
    let problem =
        found.add(part(row, "band"), ProblemKind::Band, format!("the shop has no edge band `{name}`"));
    match near {
        Some(near) => problem.hint(format!("did you mean `{near}`?")),
        None => problem.hint(format!("describe it in the shop file under [band.{name:?}]")),
    }
    Err(Unknown)
}
