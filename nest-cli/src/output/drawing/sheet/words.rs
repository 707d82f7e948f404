//! What is written on a part of a sheet: number, name, size, place in a matched strip and job, as much of it as fits.
//!
//! What says most comes first; of ways that say the same, the one with the largest letters. Letters are turned where the
//! piece is taller than wide and the others have no room. A size is never broken inside a number, and a name inside a word
//! only where even the smallest letters have no room for it. Letters on strips may take the room of the numbers of cuts
//! from them: then the sheet is drawn again with fewer words in a row, see `Rows`.

use super::super::board::LEADING;
use super::super::lettering::{kept, width, wrapped};
use crate::clean::isolated;
use crate::report::{PartLabel, Placed};

/// Font sizes, the most wanted first.
const FONTS: [i64; 4] = [290, 250, 210, 170];
/// What several lines leave free, along and across them.
const AROUND: [i64; 2] = [220, 180];
/// What a line of its own leaves free across it: a little on both sides, or the bands and as much beside them.
const BESIDE: [i64; 2] = [60, 200];

/// What stands in a row on strips that have no room for several lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Rows {
    /// All there is to say, close to the edges.
    Whole,
    /// All but the job.
    Jobless,
    /// As much only where even small letters in several lines have no room, far from the edges.
    Few,
}

/// The words on a piece.
pub(super) struct Words {
    pub lines: Vec<String>,
    pub font: i64,
    pub turned: bool,
    /// Whether they say all there is to say.
    pub complete: bool,
}

/// One way to say something.
struct Way {
    lines: Vec<String>,
    /// How many lines more it may take where words are wrapped.
    more: usize,
}

impl Way {
    fn stacked(lines: impl IntoIterator<Item = String>) -> Self {
        Self { lines: lines.into_iter().collect(), more: 1 }
    }

    fn in_a_row(named: &str, figure: &str) -> Self {
        Self { lines: vec![format!("{named}: {figure}")], more: 0 }
    }

    /// Its lines in letters of a size, where they fit on a piece so large, `turned` or not.
    fn fitted(
        &self,
        font: i64,
        size: [i64; 2],
        turned: bool,
        piece: &Placed,
        rows: Rows,
    ) -> Option<Vec<String>> {
        let [along, across] = if turned { [size[1], size[0]] } else { size };
        let [left, right, lower, upper] = piece.bands;
        let banded = if turned { left || right } else { lower || upper };
        // Under the letters of one line there is no other line to keep away from.
        let alone = self.lines.len() == 1 && rows != Rows::Few;
        let beside = if alone { BESIDE[usize::from(banded)] } else { AROUND[usize::from(!turned)] };
        let (room, high) = (along - AROUND[usize::from(turned)], across - beside);
        let whole = |text: &str| text.split(' ').all(|word| width(word, font) <= room);
        let smallest = font == FONTS[FONTS.len() - 1];
        if !whole(&figure(piece)) || !(smallest || self.lines.iter().all(|line| whole(line))) {
            return None;
        }
        let lines: Vec<String> =
            self.lines.iter().flat_map(|line| wrapped(line, font, room.max(1))).collect();
        let all = if alone { font * 11 / 10 } else { lines.len() as i64 * font * LEADING / 10 };
        let fits = lines.len() <= self.lines.len() + self.more
            && all <= high
            && lines.iter().all(|line| width(line, font) <= room);
        fits.then_some(lines)
    }
}

/// The size, with a mark on what is cut to fit later.
fn figure(piece: &Placed) -> String {
    let size = kept(&piece.size_text);
    piece.later.as_ref().map_or(size.clone(), |later| format!("{size} {}", later.mark))
}

/// As much as fits on a piece of this size on paper; `None` where not even number and size do.
pub(super) fn words(
    piece: &Placed,
    part: &PartLabel,
    job: Option<&str>,
    size: [i64; 2],
    rows: Rows,
) -> Option<Words> {
    let (named, figure) = (format!("{} {}", part.number, isolated(&part.name)), figure(piece));
    let stacked = |job: Option<String>| {
        Way::stacked([named.clone(), figure.clone()].into_iter().chain(piece.matched.clone()).chain(job))
    };
    // The place in a matched strip has no room in a row.
    let row = |named: &str, least: Rows| {
        (piece.matched.is_none() && rows <= least).then(|| Way::in_a_row(named, &figure))
    };
    let with_job = job.map(|job| {
        let ways = [stacked(Some(isolated(job)))].into_iter();
        ways.chain(row(&format!("{named} · {}", isolated(job)), Rows::Whole)).collect()
    });
    // Nothing but its place tells a piece of a strip from its neighbours; its size stands in the key.
    let placed = piece.matched.iter().flat_map(|place| {
        let number = format!("{} ({place})", part.number);
        let both = [format!("{named} ({place})"), number.clone()]
            .map(|placed| vec![Way::in_a_row(&placed, &figure), Way::stacked([placed, figure.clone()])]);
        both.into_iter().chain([vec![Way { lines: vec![number], more: 0 }]])
    });
    let levels: Vec<Vec<Way>> = with_job
        .into_iter()
        .chain([[stacked(None)].into_iter().chain(row(&named, Rows::Jobless)).collect()])
        .chain(placed)
        .chain([vec![Way::in_a_row(&named, &figure)], vec![Way::in_a_row(&part.number.to_string(), &figure)]])
        .collect();
    // Without a job there is no first level: the next two say all there is to say.
    let all = if job.is_some() { 1 } else { 2 };
    let turns: &[bool] = if size[1] > size[0] { &[false, true] } else { &[false] };
    for (level, ways) in levels.iter().enumerate() {
        for (font, turned) in
            FONTS.into_iter().flat_map(|font| turns.iter().map(move |turned| (font, *turned)))
        {
            for way in ways {
                if let Some(lines) = way.fitted(font, size, turned, piece, rows) {
                    let complete = level < all && piece.later.is_none();
                    return Some(Words { lines, font, turned, complete });
                }
            }
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_size_stays_whole_and_in_its_piece() {
        let part = PartLabel { number: 4, name: "bottom".into(), job: "tower".into(), note: String::new() };
        let piece = Placed {
            part: 3,
            turned: true,
            sides: ["3\"".into(), "~15 11/16\"".into()],
            size_text: "~15 11/16\" x 3\"".into(),
            bands: [true, false, false, false],
            later: None,
            matched: None,
        };
        let sides = || (200..3_000).step_by(13);
        let mut said = 0;
        for size in sides().flat_map(|wide| sides().map(move |high| [wide, high])) {
            let Some(words) = words(&piece, &part, Some("tower"), size, Rows::Whole) else { continue };
            said += 1;
            let whole = words.lines.iter().any(|line| line.contains("~15\u{a0}11/16\""));
            assert!(whole, "{size:?}: {:?}", words.lines);
            let [along, across] = if words.turned { [size[1], size[0]] } else { size };
            assert!(
                words.lines.iter().all(|line| width(line, words.font) < along),
                "{size:?}: {:?}",
                words.lines
            );
            assert!(words.lines.len() as i64 * words.font < across, "{size:?}: {:?}", words.lines);
        }
        assert!(said > 1_000, "{said}");
    }

    #[test]
    fn what_says_the_same_is_as_large_as_it_can_be() {
        let part = PartLabel { number: 4, name: "rail".into(), job: "hall".into(), note: String::new() };
        let piece = Placed {
            part: 3,
            turned: false,
            sides: ["864 mm".into(), "100 mm".into()],
            size_text: "864 mm x 100 mm".into(),
            bands: [false; 4],
            later: None,
            matched: None,
        };
        let said = |size, rows| {
            words(&piece, &part, Some("hall"), size, rows).map(|words| (words.lines.len(), words.font))
        };
        assert_eq!(said([6_000, 700], Rows::Whole), Some((1, 290)), "three lines would be smaller");
        assert_eq!(said([6_000, 250], Rows::Whole), Some((1, 170)));
        assert_eq!(said([6_000, 250], Rows::Few), None);
        assert_eq!(said([6_000, 2_000], Rows::Whole), Some((3, 290)));
    }
}
