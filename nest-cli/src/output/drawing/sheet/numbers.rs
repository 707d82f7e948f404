//! Where the numbers of cuts stand on the drawing of a sheet.

use super::super::lettering::width;
use super::super::{Anchor, Shape};
use super::Drawing;
use super::taken::apart;
use crate::report::SawCut;
use nest_core::units::Length;

/// Radius and font size of a cut's number.
const NUMBERS: [(i64, i64); 2] = [(150, 200), (115, 150)];
/// A line that ends so near the edge of the sheet ends at it: edge trim is between.
pub(super) const NEAR: i64 = 250;
/// A leader so near another line runs along it.
const NEXT: i64 = 100;
/// More cuts than these are not all numbered on the drawing: nobody could read it.
const MOST: usize = 600;

/// Where a number stands, its radius, and where its leader begins.
type Led = ([i64; 2], i64, [i64; 2]);

impl Drawing<'_> {
    /// Numbers on the lines of the cuts; returns those that found no place.
    pub(super) fn numbers(&mut self) -> Vec<usize> {
        let mut none = Vec::new();
        let sheet = self.sheet;
        for cut in &sheet.cuts {
            if cut.number > MOST {
                none.push(cut.number);
            } else if let Some((at, r, font)) = self.free(cut) {
                self.number(cut.number, at, r, font);
            } else if let Some((at, r, line)) = self.led_to(cut) {
                let font = if r == NUMBERS[0].0 { NUMBERS[0].1 } else { NUMBERS[1].1 };
                // The circle that comes after it is white inside.
                self.block.line(line, at, 15);
                self.number(cut.number, at, r, font);
            } else {
                none.push(cut.number);
            }
        }
        none
    }

    /// A place off the line, one that is clear if there is any.
    fn led_to(&self, cut: &SawCut) -> Option<Led> {
        let clear = |place: &Led| self.is_clear(cut, place);
        let places = || self.near(cut);
        self.beside(cut).or_else(|| places().chain(self.ahead(cut)).find(clear)).or_else(|| places().next())
    }

    fn number(&mut self, number: usize, at: [i64; 2], r: i64, font: i64) {
        let text = number.to_string();
        let font = if text.len() > 2 { font * 3 / 4 } else { font };
        self.taken.push(around(at, r));
        self.block.shapes.push(Shape::Circle { at, r });
        let left = at[0] - width(&text, font) / 2;
        self.block.text([left, at[1] + font * 36 / 100], font, Anchor::Start, false, text);
    }

    /// A place beside the sheet for the number of a cut that runs out at its right or lower edge, and where the line of
    /// the cut meets that edge: nearest to the line, two rows deep.
    fn beside(&self, cut: &SawCut) -> Option<Led> {
        const ROWS: [i64; 2] = [80, 400];
        let (r, _) = NUMBERS[0];
        let axis = cut.way.axis();
        let (spot, long) = self.line(cut);
        let mut line = spot;
        let edge = self.at[1 - axis] + self.size[1 - axis];
        line[1 - axis] = spot[1 - axis] + long[1 - axis];
        // Nothing but edge trim may lie between the end of the line and the edge.
        if edge - line[1 - axis] > NEAR {
            return None;
        }
        line[1 - axis] = edge;
        let rows = if axis == 1 { &ROWS[..] } else { &ROWS[..1] };
        for away in (0..8).map(|n| n * 170) {
            for &row in rows {
                for middle in [line[axis] - away, line[axis] + away] {
                    let mut place = line;
                    place[1 - axis] = edge + row + r;
                    place[axis] = middle;
                    let room = middle >= self.at[axis] && middle <= self.at[axis] + self.size[axis];
                    let box_of = around(place, r);
                    if room && self.taken.is_free(&box_of) {
                        return Some((place, r, line));
                    }
                }
            }
        }
        None
    }

    /// A free place on the line of a cut, from its end towards its middle and on.
    fn free(&self, cut: &SawCut) -> Option<([i64; 2], i64, i64)> {
        let axis = cut.way.axis();
        let (spot, long) = self.line(cut);
        let length = long[1 - axis];
        for (r, font) in NUMBERS {
            let steps = ((length - 2 * r) / (r + 10)).min(48);
            for step in 0..=steps.max(0) {
                if length < 2 * r {
                    break;
                }
                // Rips from the right end, crosscuts from the upper one.
                let from = r + 20 + step * (r + 10);
                let mut middle = spot;
                middle[1 - axis] = if axis == 1 { spot[0] + length - from } else { spot[1] + from };
                let [x, y] = middle;
                let inside = x - r >= self.at[0]
                    && x + r <= self.at[0] + self.size[0]
                    && y - r >= self.at[1]
                    && y + r <= self.at[1] + self.size[1];
                let box_of = around(middle, r);
                if inside && from <= length - r && self.taken.is_free(&box_of) {
                    return Some((middle, r, font));
                }
            }
        }
        None
    }

    /// Places beside the line, inside the sheet, with a short leader that crosses no letters, from its end towards its
    /// middle and on.
    fn near(&self, cut: &SawCut) -> impl Iterator<Item = Led> {
        let axis = cut.way.axis();
        let (spot, long) = self.line(cut);
        let length = long[1 - axis];
        let far = |r: i64| (0..6).map(move |n| (r, r + 60 + n * 120));
        let all = NUMBERS.into_iter().flat_map(move |(r, _)| far(r)).flat_map(move |(r, away)| {
            let steps = (0..=(length / 150).min(24)).flat_map(move |step| [(step, -away), (step, away)]);
            steps.map(move |(step, side)| {
                let mut line = spot;
                line[1 - axis] += (length - step * 150).max(0);
                let mut place = line;
                place[axis] += side;
                (place, r, line)
            })
        });
        all.filter(|led| self.is_free(led))
    }

    /// Places ahead of either end of the line, where it would go on into what was cut off before.
    fn ahead(&self, cut: &SawCut) -> impl Iterator<Item = Led> {
        let axis = cut.way.axis();
        let (spot, long) = self.line(cut);
        let ends = [(0, -1), (long[1 - axis], 1)];
        let all = NUMBERS.into_iter().flat_map(move |(r, _)| {
            ends.map(|(end, away)| {
                let (mut line, mut place) = (spot, spot);
                line[1 - axis] += end;
                place[1 - axis] += end + away * (r + 80);
                (place, r, line)
            })
        });
        all.filter(|led| self.is_free(led))
    }

    /// Whether a number with its leader is inside the sheet and on no letters.
    fn is_free(&self, &(place, r, from): &Led) -> bool {
        let box_of = around(place, r);
        let inside = (0..2).all(|i| box_of[i] >= self.at[i] && box_of[i + 2] <= self.at[i] + self.size[i]);
        let leader = [0, 1].map(|i| [place[i].min(from[i]) - 10, place[i].max(from[i]) + 10]);
        let leader = [leader[0][0], leader[1][0], leader[0][1], leader[1][1]];
        inside && self.taken.is_free(&box_of) && self.taken.is_free(&leader)
    }

    /// Whether a number is on the line of no other cut, and its leader off the ends of its own line, where others run: it
    /// would be taken for the number of one of those.
    fn is_clear(&self, cut: &SawCut, &(place, r, from): &Led) -> bool {
        let (axis, box_of) = (cut.way.axis(), around(place, r));
        let (spot, long) = self.line(cut);
        let along = from[1 - axis] - spot[1 - axis];
        let off = place[axis] == from[axis] || along >= NEXT && long[1 - axis] - along >= NEXT;
        let mut others = self.sheet.cuts.iter().filter(|other| other.number != cut.number);
        off && others.all(|other| {
            let ([x, y], [wide, high]) = self.line(other);
            apart(&box_of, &[x, y, x + wide.max(1), y + high.max(1)])
        })
    }

    /// The line of a cut on paper: its left or upper end, and how far it goes both ways.
    fn line(&self, cut: &SawCut) -> ([i64; 2], [i64; 2]) {
        let axis = cut.way.axis();
        let [mut at, mut size] = cut.rect;
        at[axis] = cut.line;
        size[axis] = Length::ZERO;
        self.spot(at, size)
    }
}

/// The box of a number with some air about it.
fn around([x, y]: [i64; 2], r: i64) -> [i64; 4] {
    [x - r - 20, y - r - 20, x + r + 20, y + r + 20]
}
