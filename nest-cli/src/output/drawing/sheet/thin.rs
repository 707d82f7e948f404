//! Numbers of pieces that are too thin for any letter: beside the sheet where they begin at its edge, else across all of
//! one number that lie side by side, else beside the piece with a leader. They are bold, so that nobody takes them for the
//! dimensions there.

use super::super::lettering::bold_width;
use super::super::{Anchor, Look};
use super::Drawing;
use super::dimensions::spread;
use super::numbers::NEAR;
use super::taken::Taken;

const FONT: i64 = 150;
/// Behind a leader there is more room.
const LED: i64 = 200;
/// Gap between the sheet and a number outside it: between its left edge and the end of a number that stands left of it,
/// and between its upper edge and the baseline of one that stands above.
const OUTSIDE: [i64; 2] = [50, 20];
/// A wider number would run into the dimensions on the left.
const WIDEST: i64 = 270;
/// A number that had to stand farther from the middle of its piece might be taken for that of the next one.
const FAR: i64 = 60;
/// Pieces so near each other have nothing but dust between them.
const DUST: i64 = 120;
/// Places that are tried on either side of a piece.
const TRIES: i64 = 6;
/// Half of a dot at the end of a line.
const DOT: i64 = 25;

/// A piece without any letter: where it is on paper, and its number.
#[derive(Clone)]
pub(super) struct Thin {
    pub at: [i64; 2],
    pub size: [i64; 2],
    pub number: String,
}

impl Thin {
    /// The axis along which it is longer.
    fn long(&self) -> usize {
        usize::from(self.size[1] > self.size[0])
    }

    /// Whether the other one lies beside it, its equal but for where it lies and perhaps for its thickness.
    fn beside(&self, other: &Self) -> bool {
        let (long, short) = (self.long(), 1 - self.long());
        let gap = other.at[short] - self.at[short] - self.size[short];
        let alike = other.long() == long && other.number == self.number;
        alike && [self.at[long], self.size[long]] == [other.at[long], other.size[long]] && gap <= DUST
    }

    fn box_of(&self) -> [i64; 4] {
        let ([x, y], [w, h]) = (self.at, self.size);
        [x, y, x + w, y + h]
    }
}

impl Drawing<'_> {
    /// Each number where there is a place for it; one place for neighbours that share it.
    pub(super) fn thin_pieces(&mut self) {
        let all = std::mem::take(&mut self.thin);
        let corner = self.at;
        let at_edge = |piece: &Thin| {
            let long = piece.long();
            let room = long == 1 || bold_width(&piece.number, FONT) <= WIDEST;
            room && piece.at[long] - corner[long] <= NEAR
        };
        let [left, above] = [0, 1].map(|axis| {
            let strip = |piece: &Thin| {
                let from = piece.at[1 - axis];
                ([from, from + piece.size[1 - axis]], piece.number.clone())
            };
            all.iter().filter(|piece| piece.long() == axis && at_edge(piece)).map(strip).collect()
        });
        let ([x, y], [w, h]) = (self.at, self.size);
        for (middle, number) in spread(left, |_| FONT, FAR, [y - FONT, y + h + FONT]) {
            let spot = [x - OUTSIDE[0], middle + FONT * 36 / 100];
            self.block.text(spot, FONT, Anchor::End, true, number);
        }
        let wide = |number: &str| bold_width(number, FONT) + 40;
        for (middle, number) in spread(above, wide, FAR, [x - FONT, x + w + FONT]) {
            self.block.text([middle, y - OUTSIDE[1]], FONT, Anchor::Middle, true, number);
        }
        let mut inner: Vec<Thin> = all.iter().filter(|piece| !at_edge(piece)).cloned().collect();
        inner.sort_by_key(|piece| {
            let long = piece.long();
            (long, piece.at[long], piece.size[long], piece.at[1 - long])
        });
        let places: Taken = all.iter().map(Thin::box_of).collect();
        for run in inner.chunk_by(Thin::beside) {
            if self.spanned(run) {
                continue;
            }
            for piece in run {
                self.pointed(piece, &places);
            }
        }
    }

    /// One number for several that lie side by side, on a line from the first to the last of them, where that has room;
    /// whether it has.
    fn spanned(&mut self, run: &[Thin]) -> bool {
        let [first, .., last] = run else { return false };
        let (long, short) = (first.long(), 1 - first.long());
        let ends = [first, last].map(|piece| piece.at[short] + piece.size[short] / 2);
        let half = [bold_width(&first.number, LED) / 2 + 30, LED / 2 + 20];
        if 2 * half[short] + 100 > ends[1] - ends[0] {
            return false;
        }
        // The line needs room for its dots.
        let mut around = half;
        around[short] = (ends[1] - ends[0]) / 2 + DOT;
        let spot = |along: i64| {
            let mut middle = [(ends[0] + ends[1]) / 2; 2];
            middle[long] = first.at[long] + first.size[long] / 2 + along;
            let mut line = [middle; 2];
            (line[0][short], line[1][short]) = (ends[0], ends[1]);
            let [[x, y], [w, h]] = [middle, around];
            let ground = [x - w, y - h, x + w, y + h];
            self.taken.is_free(&ground).then_some((middle, line, ground))
        };
        let reach = (first.size[long] / 2 - half[long]).max(0);
        let mut steps = (0..=reach / 100).flat_map(|step| [step * 100, -step * 100]);
        let Some((middle, line, ground)) = steps.find_map(spot) else { return false };
        self.taken.push(ground);
        self.block.line(line[0], line[1], 15);
        for [x, y] in line {
            self.block.rect([x - DOT, y - DOT], [2 * DOT; 2], Look::Solid, None);
        }
        self.block.rect([0, 1].map(|i| middle[i] - half[i]), half.map(|half| 2 * half), Look::Blank, None);
        let spot = [middle[0] - half[0] + 30, middle[1] + LED * 36 / 100];
        self.block.text(spot, LED, Anchor::Start, true, first.number.as_str());
        true
    }

    /// A free place beside the piece, nearest first, whose leader crosses no letters and no other thin piece: nobody could
    /// tell which of them it means.
    fn pointed(&mut self, piece: &Thin, all: &Taken) {
        let long = piece.long();
        let middle = [0, 1].map(|axis| piece.at[axis] + piece.size[axis] / 2);
        let half = [bold_width(&piece.number, LED) / 2 + 30, LED / 2 + 20];
        let steps = (piece.size[long] / 2 / 200).min(12);
        let aside = |n: i64| half[1 - long] + piece.size[1 - long] / 2 + 60 + n * 120;
        let own = piece.box_of();
        let free = |away: i64, along: i64| {
            let mut from = middle;
            from[long] += along;
            let mut place = from;
            place[1 - long] += away;
            let ground = [place[0] - half[0], place[1] - half[1], place[0] + half[0], place[1] + half[1]];
            let leader = [0, 1].map(|i| [place[i].min(from[i]) - 10, place[i].max(from[i]) + 10]);
            let leader = [leader[0][0], leader[1][0], leader[0][1], leader[1][1]];
            let inside =
                (0..2).all(|i| ground[i] >= self.at[i] && ground[i + 2] <= self.at[i] + self.size[i]);
            let clear = [ground, leader]
                .iter()
                .all(|place| self.taken.is_free(place) && all.under(place).all(|other| *other == own));
            (inside && clear).then_some((from, place, ground))
        };
        let mut aways = (0..TRIES).flat_map(|n| [aside(n), -aside(n)]);
        let found = aways.find_map(|away| {
            (0..=steps).flat_map(|step| [step * 200, -step * 200]).find_map(|along| free(away, along))
        });
        let Some((from, place, ground)) = found else { return };
        self.taken.push(ground);
        self.block.line(from, place, 15);
        let size = half.map(|half| 2 * half);
        self.block.rect([ground[0], ground[1]], size, Look::Blank, None);
        let spot = [ground[0] + 30, place[1] + LED * 36 / 100];
        self.block.text(spot, LED, Anchor::Start, true, piece.number.as_str());
    }
}
