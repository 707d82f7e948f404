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
            .filter(|cut| cut.frees != Off::Edge || cut.leaves.is_some())
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
        for (middle, text) in spread(along, |text| width(text, SMALL) + 60, FAR, x + w + 400) {
            let spot = [middle, y - STRIPS[0] - BESIDE - 20];
            self.block.text(spot, SMALL, Anchor::Middle, false, text);
        }
        let fits = |(_, text): &Strip| !narrow && width(text, SMALL) <= ROOM;
        for (middle, text) in spread(across.into_iter().filter(fits).collect(), |_| SMALL, FAR, y + h + SMALL)
        {
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

/// Where small letters stand: beside the middles of their strips, or at most so far on where others stand there. Said once
/// for neighbours where there is no room for each.
pub(super) fn spread(
    mut strips: Vec<Strip>,
    needs: impl Fn(&str) -> i64,
    far: i64,
    end: i64,
) -> Vec<(i64, String)> {
    strips.sort_unstable();
    let mut placed: Vec<(i64, String)> = Vec::new();
    let mut free = i64::MIN / 2;
    for ([from, to], text) in strips {
        let (own, half) = ((from + to) / 2, (needs(&text) + 1) / 2);
        let middle = own.max(free + half);
        let said = middle > own && placed.last().is_some_and(|(_, last)| *last == text);
        if !said && middle - own <= far && middle + half <= end {
            free = middle + half;
            placed.push((middle, text));
        }
    }
    placed
}

#[cfg(test)]
mod tests {
    use super::*;

    fn placed(strips: &[(i64, i64, &str)]) -> Vec<(i64, String)> {
        let strips = strips.iter().map(|&(from, to, text)| ([from, to], text.to_owned()));
        spread(strips.collect(), |_| 100, FAR, 1_000)
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
        assert_eq!(placed(&[(960, 990, "a")]), [], "beyond the end");
    }
}
