//! Dimensions beside a sheet: its own, and those of the strips that the first cuts leave.
//!
//! A size stands on its line; that of a strip too narrow for it stands small beside the line, once for neighbours of one
//! size where there is no room for each.

use super::super::lettering::width;
use super::super::{Anchor, Look};
use super::Drawing;
use crate::report::{Off, SawCut};
use nest_core::plan::Way;

const FONT: i64 = 210;
const SMALL: i64 = 150;
/// From the edge of the sheet to the line of its strips, above it and on its left.
const STRIPS: [i64; 2] = [250, 450];
/// From the line of the strips to small sizes, and how much room is left before the next line.
const BESIDE: i64 = 110;
const ROOM: i64 = 460;
/// A small size stands at most so far from the middle of its strip.
const FAR: i64 = 3 * SMALL;

/// A strip on paper: from where to where, and its size.
pub(super) type Strip = ([i64; 2], String);

impl Drawing<'_> {
    pub(super) fn dimensions(&mut self) {
        let ([x, y], [w, h]) = (self.at, self.size);
        let [length, width_text] = self.sheet.sides.clone();
        self.along([x, x + w], y - 700, &length);
        self.across(x - 1_150, [y, y + h], &width_text);
        let narrow = width(&width_text, FONT) + 180 > h;
        if narrow {
            // Of a narrow board it stands beside its line.
            let spot = [x - 1_020, y + h / 2 + 75];
            self.block.text(spot, FONT, Anchor::Start, false, width_text.as_str());
        }
        let sheet = self.sheet;
        let first: Vec<&SawCut> = sheet
            .cuts
            .iter()
            .filter(|cut| cut.depth == 1 && cut.lot == 0)
            // What an edge is cut off from is on the near side of the line, as if it fell off.
            .filter(|cut| !cut.squares && cut.frees != Off::Edge || cut.leaves.is_some())
            .collect();
        let mut small: [Vec<Strip>; 2] = Default::default();
        for cut in first {
            let (spot, size) = self.spot(cut.off[0], cut.off[1]);
            let axis = cut.way.axis();
            let (strip, text) = ([spot[axis], spot[axis] + size[axis]], cut.off_side(axis));
            let written = match cut.way {
                Way::Crosscut => self.along(strip, y - STRIPS[0], &text),
                Way::Rip => self.across(x - STRIPS[1], strip, &text),
            };
            if !written {
                small[axis].push((strip, bare(&text).to_owned()));
            }
        }
        let [along, across] = small;
        for (middle, text) in spread(along, |text| width(text, SMALL) + 60, FAR, [x, x + w + 400]) {
            let spot = [middle, y - STRIPS[0] - BESIDE - 20];
            self.block.text(spot, SMALL, Anchor::Middle, false, text);
        }
        let fits = |(_, text): &Strip| !narrow && width(text, SMALL) <= ROOM;
        let across = across.into_iter().filter(fits).collect();
        // Below them is the letter of the reference corner.
        for (middle, text) in spread(across, |_| SMALL, FAR, [y, y + h + SMALL * 4 / 5]) {
            let spot = [x - STRIPS[1] - BESIDE, middle + SMALL * 36 / 100];
            self.block.text(spot, SMALL, Anchor::End, false, text);
        }
    }

    /// A line above the sheet, and whether there was room for the size on it.
    fn along(&mut self, [from, to]: [i64; 2], y: i64, text: &str) -> bool {
        self.block.line([from, y], [to, y], 10);
        for x in [from, to] {
            self.block.line([x, y - 90], [x, y + 90], 10);
        }
        let wide = width(text, FONT) + 120;
        let fits = wide + 60 <= to - from;
        if fits {
            let middle = (from + to) / 2;
            self.block.rect([middle - wide / 2, y - 120], [wide, 240], Look::Blank, None);
            self.block.text([middle, y + FONT * 36 / 100], FONT, Anchor::Middle, false, text);
        }
        fits
    }

    /// A line on the left of the sheet, and whether there was room for the size on it.
    fn across(&mut self, x: i64, [from, to]: [i64; 2], text: &str) -> bool {
        self.block.line([x, from], [x, to], 10);
        for y in [from, to] {
            self.block.line([x - 90, y], [x + 90, y], 10);
        }
        let wide = width(text, FONT) + 120;
        let fits = wide + 60 <= to - from;
        if fits {
            let middle = (from + to) / 2;
            self.block.rect([x - 120, middle - wide / 2], [240, wide], Look::Blank, None);
            self.block.turned([x + FONT * 36 / 100, middle], FONT, text);
        }
        fits
    }
}

/// A size without its unit, which the page says, where that is a word: a mark stays.
fn bare(size: &str) -> &str {
    [" mm", " cm", " m"].iter().find_map(|unit| size.strip_suffix(unit)).unwrap_or(size)
}

/// Where small letters stand: beside the middles of their strips, or at most so far from there where others stand in the
/// way, all of them between two ends. Said once for neighbours where there is no room for each; what is said already gives
/// way to what is not.
pub(super) fn spread(
    mut strips: Vec<Strip>,
    needs: impl Fn(&str) -> i64,
    far: i64,
    [start, end]: [i64; 2],
) -> Vec<(i64, String)> {
    strips.sort_unstable();
    // Each as early as it may stand beside those before it.
    let mut kept: Vec<Letters> = Vec::new();
    for ([from, to], text) in strips {
        let (own, half) = ((from + to) / 2, (needs(&text) + 1) / 2);
        let fitted = |before: Option<&Letters>, text: &str| {
            let free = before.map_or(start, |last| last.earliest + last.half);
            let said = before.is_some_and(|last| last.text == text && last.own + last.half + half > own);
            let earliest = (free + half).max(own - far);
            (!said && earliest <= own + far && earliest + half <= end).then_some(earliest)
        };
        let repeats = |kept: &[Letters]| matches!(kept, [.., a, b] if a.text == b.text && b.text != text);
        let mut earliest = fitted(kept.last(), &text);
        if earliest.is_none() && repeats(&kept) {
            earliest = fitted(kept.get(kept.len() - 2), &text);
            kept.truncate(kept.len() - usize::from(earliest.is_some()));
        }
        kept.extend(earliest.map(|earliest| Letters { own, half, earliest, text }));
    }
    // Then each as near to its strip as those before and behind it allow.
    let mut latest = end;
    let mut last: Vec<i64> = kept
        .iter()
        .rev()
        .map(|letters| {
            let most = (latest - letters.half).min(letters.own + far);
            latest = most - letters.half;
            most
        })
        .collect();
    last.reverse();
    let mut free = i64::MIN / 2;
    let near = |(letters, latest): (Letters, i64)| {
        let middle = letters.own.max(free + letters.half).min(latest);
        free = middle + letters.half;
        (middle, letters.text)
    };
    kept.into_iter().zip(last).map(near).collect()
}

/// Letters that will stand somewhere about the middle of their strip.
struct Letters {
    own: i64,
    half: i64,
    earliest: i64,
    text: String,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn placed(strips: &[(i64, i64, &str)]) -> Vec<(i64, String)> {
        let strips = strips.iter().map(|&(from, to, text)| ([from, to], text.to_owned()));
        spread(strips.collect(), |_| 100, FAR, [0, 1_000])
    }

    #[test]
    fn units_that_are_words_are_left_out() {
        assert_eq!(["~19 mm", "1.9 cm", "0.019 m", "1 1/4\""].map(bare), ["~19", "1.9", "0.019", "1 1/4\""]);
    }

    #[test]
    fn small_sizes_stand_beside_their_strips_and_never_on_each_other() {
        let at = |middle, text: &str| (middle, text.to_owned());
        assert_eq!(placed(&[(300, 400, "b"), (100, 200, "a")]), [at(150, "a"), at(350, "b")]);
        assert_eq!(placed(&[(100, 120, "a"), (130, 150, "b")]), [at(110, "a"), at(210, "b")]);
        assert_eq!(placed(&[(100, 120, "a"), (130, 150, "a")]), [at(110, "a")], "said already");
        assert_eq!(placed(&[(100, 200, "a"), (210, 310, "a")]), [at(150, "a"), at(260, "a")]);
        let near = |strips: &[(i64, i64, &str)]| {
            let strips = strips.iter().map(|&(from, to, text)| ([from, to], text.to_owned()));
            spread(strips.collect(), |_| 100, 20, [0, 1_000])
        };
        // No room below for the second: the first gives way by what it must.
        assert_eq!(near(&[(100, 120, "a"), (170, 190, "b")]), [at(100, "a"), at(200, "b")]);
        assert_eq!(near(&[(100, 120, "a"), (160, 180, "b")]), [at(90, "a"), at(190, "b")]);
        assert_eq!(near(&[(100, 120, "a"), (159, 179, "b")]), [at(110, "a")], "too near");
        // A size that was said gives way altogether.
        let three = [(100, 120, "a"), (200, 220, "a"), (250, 270, "b")];
        assert_eq!(near(&three), [at(110, "a"), at(260, "b")]);
        assert_eq!(placed(&[(960, 990, "a")]), [at(950, "a")], "not beyond the end");
        assert_eq!(placed(&[(1_500, 1_520, "a")]), [], "nor far from its strip");
    }
}
