//! What does the saw have to produce for one part?
//!
//! Cut size = finished size, less what the band deducts at each banded edge, plus what the machine mills off there,
//! plus `oversize` in both directions, plus the `fit` allowance along the length. Edges that run along the length
//! bound the width, so a band on a length edge changes the width.

use super::super::fold::{fold, nearest};
use super::super::problem::{Findings, ProblemKind, part};
use super::super::{Batch, Fit, Part, Shop};
use super::limits::Sound;
use crate::units::Length;

/// Cut length, and cut width where the part has one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CutSize {
    pub length: Length,
    pub width: Option<Length>,
    /// Index of the band that its banded edges get.
    pub band: Option<usize>,
}

/// `None` for rows with a problem.
pub fn sizes(batch: &Batch, sound: &Sound, found: &mut Findings) -> Vec<Option<CutSize>> {
    let rows = batch.parts.iter().zip(&sound.parts).enumerate();
    rows.map(|(row, (part, sound))| if *sound { size(row, part, &batch.shop, found) } else { None }).collect()
}

fn size(row: usize, p: &Part, shop: &Shop, found: &mut Findings) -> Option<CutSize> {
    let band = match banded(p) {
        false => None,
        true => match band_of(row, p, shop, found) {
            Ok(band) => band,
            Err(Reported) => return None,
        },
    };
    let field = "band";
    let edge = band.and_then(|b| shop.bands.get(b)).map_or(Length::ZERO, |band| band.pre_mill - band.deduct);
    let grown = |finished: Length, edges: u8, fit: Length| {
        // All terms are at most `Length::MAX`, 2^40 ticks.
        let banded = (0..edges).fold(finished, |size, _| size + edge);
        banded + p.oversize + fit
    };
    let fit = match p.fit {
        Fit::Over(by) => by,
        Fit::No | Fit::Yes => Length::ZERO,
    };
    let size = CutSize {
        length: grown(p.length, p.width_edges, fit),
        width: p.width.map(|width| grown(width, p.length_edges, Length::ZERO)),
        band,
    };
    let mut accepted = true;
    for (what, cut) in [("length", Some(size.length)), ("width", size.width)] {
        let Some(cut) = cut else { continue };
        if !cut.is_positive() {
            found
                .add(
                    part(row, field),
                    ProblemKind::NotPositive,
                    format!("nothing remains of the {what} after what the band takes off"),
                )
                .hint("check the deduction of the band in the shop file");
            accepted = false;
        } else if cut > Length::MAX {
            found.add(
                part(row, what),
                ProblemKind::Limit,
                format!("the {what} of the blank is beyond 13.7 km"),
            );
            accepted = false;
        }
    }
    accepted.then_some(size)
}

fn banded(p: &Part) -> bool {
    p.length_edges > 0 || p.width_edges > 0
}

struct Reported;

/// The band of a part with banded edges; `Ok(None)` in a shop without bands, where nothing is deducted.
fn band_of(row: usize, p: &Part, shop: &Shop, found: &mut Findings) -> Result<Option<usize>, Reported> {
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
                Err(Reported)
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
    Err(Reported)
}
