//! A part that fits nowhere: which stock, and which way to lie on it, comes nearest to holding it?
//!
//! That where the whole piece would hold it, before its edge trim; then that where the blank is too large by the least,
//! counted along both sides together; then that where fewer sides are too large; then lying straight; then the first
//! listed. So where one side alone is too large there, nothing that holds the other side leaves more room for it.

use super::super::{Stock, UsableStock};
use super::matching::lies;
use super::unfit::Blank;
use crate::units::Length;

/// A blank on one stock, in one of the orientations that its grain allows. Both sides are those of the part: its length,
/// then its width.
#[derive(Clone, Copy, Debug)]
pub struct Way {
    /// Which of the candidates.
    pub stock: usize,
    /// Whether the part's length lies across the stock.
    pub turned: bool,
    /// Whether the grain forbids to lie the other way.
    pub forced: bool,
    /// The most that can be cut.
    pub room: [Length; 2],
    /// The same before the edge trim.
    pub whole: [Length; 2],
    /// By how much the blank is larger than its room.
    pub over: [Length; 2],
    /// Whether it would fit before the edge trim.
    pub untrimmed: bool,
}

/// The way that comes nearest, among all.
pub struct Nearest {
    pub way: Way,
    /// The most over all ways, for each side alone.
    pub room: [Length; 2],
    pub whole: [Length; 2],
}

impl Nearest {
    /// `None` where it may fit: sizes that nobody knows always do.
    pub fn of(blank: &Blank<'_>, candidates: &[(&Stock, &UsableStock)]) -> Option<Self> {
        let mut best: Option<Self> = None;
        for way in ways(blank, candidates) {
            let found = best.get_or_insert(Self { way, room: way.room, whole: way.whole });
            for side in [0, 1] {
                found.room[side] = found.room[side].max(way.room[side]);
                found.whole[side] = found.whole[side].max(way.whole[side]);
            }
            if rank(&way) < rank(&found.way) {
                found.way = way;
            }
        }
        best.filter(|nearest| nearest.way.over.iter().any(|over| over.is_positive()))
    }
}

fn rank(way: &Way) -> (bool, Length, usize, bool) {
    let sides = way.over.iter().filter(|over| over.is_positive()).count();
    // What fits at all comes before what would without its trim.
    (!way.untrimmed && sides > 0, way.over[0] + way.over[1], sides, way.turned)
}

fn ways<'a>(
    blank: &'a Blank<'_>,
    candidates: &'a [(&Stock, &UsableStock)],
) -> impl Iterator<Item = Way> + use<'a> {
    let known = |side: usize, size: Length| if blank.sure[side] { size } else { Length::ZERO };
    let size = [known(0, blank.cut.length), known(1, blank.cut.width.unwrap_or(Length::ZERO))];
    candidates.iter().enumerate().flat_map(move |(stock, (row, usable))| {
        let lying = lies(blank.asked, row.grain, usable.board);
        [false, true].into_iter().filter(move |&turned| lying[usize::from(turned)]).map(move |turned| {
            let seen = |[along, across]: [Length; 2]| if turned { [across, along] } else { [along, across] };
            let (room, whole) = (seen(usable.usable()), seen(usable.size));
            let over = [0, 1]
                .map(|side| if size[side] > room[side] { size[side] - room[side] } else { Length::ZERO });
            let untrimmed = (0..2).all(|side| size[side] <= whole[side]);
            Way { stock, turned, forced: !lying[usize::from(!turned)], room, whole, over, untrimmed }
        })
    })
}
