//! Settings that the notation of the papers cannot say exactly: how far off they are, which parts come out smaller by that, and
//! what prints them finer.
//!
//! A board ripped at `~11 1/2"` from one edge and its sister from the other may differ by what the notation leaves out, and
//! nobody who reads a single setting knows how much that is.

use super::words::Words;
use super::{About, Source};
use crate::clean::clean;
use nest_core::model::Fit;
use nest_core::units::{Length, LengthStyle, Rounding};
use std::cmp::Reverse;
use std::collections::BTreeMap;

/// What is to be known of marks that are rounded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rounded {
    /// By how much settings are off at the most, and what prints them exactly, or at least finer.
    pub said: String,
    /// Parts that come out smaller than listed by those settings, the worst first, with how much each.
    pub(super) parts: Vec<About>,
}

/// `None` where all settings are exact, or no notation in use is finer.
pub(super) fn rounded(source: &Source<'_>, words: &Words) -> Option<Rounded> {
    let stock = source.batch.stock();
    let settings = || {
        let layouts = source.solution.plan.layouts.iter();
        layouts.flat_map(|layout| layout.cuts(&stock[layout.stock]).map(|cut| cut.setting))
    };
    let style = words.style();
    let most = settings().map(|setting| style.cut_off(setting)).max().filter(|most| most.is_positive())?;
    let finer = finer(style);
    // A list in millimetres is exact in those and in no fraction of an inch.
    let metric = Some(LengthStyle::Millimetres).filter(|_| !finer.is_empty() || in_fractions(style));
    let exact = finer.iter().chain(&metric).find(|finer| settings().all(|setting| finer.is_exact(setting)));
    let (best, how) = match (exact, finer.last()) {
        (Some(best), _) => (best, "exactly"),
        (None, Some(finest)) => (finest, "finer"),
        (None, None) => return None,
    };
    let small = match style {
        LengthStyle::DecimalInches { .. } => LengthStyle::DecimalInches { places: MOST_PLACES },
        _ => LengthStyle::FractionalInches { denominator: 64 },
    };
    let shown = |off: Length| small.format(off, Rounding::Up).trim_start_matches('~').to_owned();
    let name = best.to_string();
    let name = if name.contains(' ') { format!("\"{name}\"") } else { name };
    let always = match best {
        LengthStyle::Millimetres => ", as `style = \"mm\"` in the shop file always does",
        _ => "",
    };
    let said = format!(
        "Settings marked ~ are printed smaller than they are, by up to {}: `nest draw plan.json --units {name} -o DIR` \
         prints them {how}{always}",
        shown(most)
    );
    let say = |(part, off): (usize, Length)| About {
        number: format!("no. {}", part + 1),
        name: clean(&source.batch.batch().parts[part].name),
        detail: format!("({} small)", shown(off)),
    };
    Some(Rounded { said, parts: small_parts(source, style).into_iter().map(say).collect() })
}

fn in_fractions(style: LengthStyle) -> bool {
    matches!(style, LengthStyle::FractionalInches { .. } | LengthStyle::FeetInches { .. })
}

/// Parts with how much a cut at the printed setting takes off them, in the worse direction, the worst first. As wide as its
/// stock is what nobody rips.
fn small_parts(source: &Source<'_>, style: LengthStyle) -> Vec<(usize, Length)> {
    let mut found: BTreeMap<usize, Length> = BTreeMap::new();
    for layout in &source.solution.plan.layouts {
        let whole = source.batch.stock()[layout.stock].usable();
        for piece in &layout.pieces {
            let asked = &source.batch.batch().parts[piece.part];
            let length = source.batch.parts()[piece.part].length;
            // What is cut larger, to be cut again, comes out as it is to be.
            let spare = |side: Length| match asked.fit {
                Fit::Over(more) if side == length => asked.oversize + more,
                _ => asked.oversize,
            };
            let sides = piece.size.into_iter().zip(whole).filter(|(side, whole)| side != whole);
            let off = sides.map(|(side, _)| (style.cut_off(side), spare(side)));
            let off = off.filter(|(off, spare)| off > spare).map(|(off, _)| off).max().unwrap_or_default();
            let most = found.entry(piece.part).or_default();
            *most = off.max(*most);
        }
    }
    let mut found: Vec<(usize, Length)> = found.into_iter().filter(|(_, off)| off.is_positive()).collect();
    found.sort_by_key(|&(part, off)| (Reverse(off), part));
    found
}

/// Nobody sets a saw to more decimals of an inch.
const MOST_PLACES: u8 = 3;

/// The notations of the same kind that say more, the coarsest first.
fn finer(style: LengthStyle) -> Vec<LengthStyle> {
    let finer = |than: u32| [32, 64].into_iter().filter(move |&denominator| denominator > than);
    match style {
        LengthStyle::FractionalInches { denominator } => {
            finer(denominator).map(|denominator| LengthStyle::FractionalInches { denominator }).collect()
        }
        LengthStyle::FeetInches { denominator } => {
            finer(denominator).map(|denominator| LengthStyle::FeetInches { denominator }).collect()
        }
        LengthStyle::DecimalInches { places } => (places.saturating_add(1)..=MOST_PLACES)
            .map(|places| LengthStyle::DecimalInches { places })
            .collect(),
        LengthStyle::Millimetres | LengthStyle::Centimetres | LengthStyle::Metres => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inches_have_finer_marks_and_decimals() {
        let inches = |denominator| LengthStyle::FractionalInches { denominator };
        assert_eq!(finer(inches(16)), [inches(32), inches(64)]);
        assert_eq!(
            finer(LengthStyle::FeetInches { denominator: 32 }),
            [LengthStyle::FeetInches { denominator: 64 }]
        );
        assert_eq!(finer(inches(64)), []);
        let decimals = |places| LengthStyle::DecimalInches { places };
        assert_eq!(finer(decimals(1)), [decimals(2), decimals(3)]);
        assert_eq!(finer(decimals(3)), []);
        assert_eq!(finer(LengthStyle::Millimetres), []);
        assert_eq!(inches(16).cut_off(Length::inches(37, 32).unwrap()), Length::inches(1, 32).unwrap());
    }
}
