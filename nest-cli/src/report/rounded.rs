//! Settings that the notation of the papers cannot say exactly: how far off they are, and what prints them finer.
//!
//! A board ripped at `~11 1/2"` from one edge and its sister from the other may differ by what the notation leaves out, and
//! nobody who reads a single setting knows how much that is.

use super::Source;
use super::words::Words;
use nest_core::units::{LengthStyle, Rounding};

/// One sentence; `None` where all settings are exact, or no notation in use is finer.
pub(super) fn rounded(source: &Source<'_>, words: &Words) -> Option<String> {
    let stock = source.batch.stock();
    let settings = || {
        let layouts = source.solution.plan.layouts.iter();
        layouts.flat_map(|layout| layout.cuts(&stock[layout.stock]).map(|cut| cut.setting))
    };
    let style = words.style();
    let most = settings().map(|setting| style.cut_off(setting)).max().filter(|most| most.is_positive())?;
    let finer = finer(style);
    let exact = finer.iter().find(|finer| settings().all(|setting| finer.is_exact(setting)));
    let (best, how) = match (exact, finer.last()) {
        (Some(best), _) => (best, "exactly"),
        (None, Some(finest)) => (finest, "finer"),
        (None, None) => return None,
    };
    let small = match style {
        LengthStyle::DecimalInches { .. } => LengthStyle::DecimalInches { places: MOST_PLACES },
        _ => LengthStyle::FractionalInches { denominator: 64 },
    };
    let most = small.format(most, Rounding::Up);
    Some(format!(
        "Settings marked ~ are printed smaller than they are, by up to {}: `nest draw plan.json --units \"{best}\" -o DIR` \
         prints them {how}",
        most.trim_start_matches('~')
    ))
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
    use nest_core::units::Length;

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
