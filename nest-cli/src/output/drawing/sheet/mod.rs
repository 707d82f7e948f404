//! The drawing of one sheet, true to scale with its cuts numbered, and a key to what had no room on the pieces.
//!
//! The reference corner is the lower left one. Labels go first; the number of a cut takes a free place on its line, and
//! where the line is too near the edge of the sheet, a place beside the sheet with a leader. The number of a piece too thin
//! for any letter stands beside it. Text never overlaps: what finds no place is said in the key.

mod dimensions;
mod numbers;
mod taken;
mod thin;
mod words;

use super::board::LEADING;
use super::lettering::width;
use super::{Anchor, Block, Look, MARGIN, Mark, Room, Shape};
use crate::clean::isolated;
use crate::report::words::ranges;
use crate::report::{Grain, Holds, Placed, Section, Sheet};
use nest_core::units::Length;
use std::collections::BTreeMap;
use taken::Taken;
use words::Rows;

/// Room for dimensions on the left, and above.
const LEFT: i64 = 1_500;
const ABOVE: i64 = 950;
/// Room right of the sheet and below it: numbers of cuts near its edges; below, the grain.
const RIGHT: i64 = 750;
const BELOW: i64 = 900;
/// Least width of dust on paper.
const THINNEST: i64 = 30;

/// How many ticks a drawing unit stands for, a round number on paper: tenths of `1 : n`.
pub(super) fn scale(sheet: &Sheet, room: Room) -> i64 {
    let fits = |tenths: i64| {
        on_paper(sheet.size[0], tenths) <= room.wide - LEFT - RIGHT
            && on_paper(sheet.size[1], tenths) <= room.high - ABOVE - BELOW
    };
    let fine = (2..10).map(|n| n * 5);
    let round = (5..40).map(|n| n * 10).chain((0..).map(|n: i64| 400 + n * 50).take_while(|&n| n < 100_000));
    let mut all = fine.chain(round);
    all.find(|&tenths| fits(tenths)).unwrap_or(100_000)
}

/// A length in drawing units, rounded to the nearest; one unit is 1/100 mm, which is 800 ticks.
fn on_paper(length: Length, tenths: i64) -> i64 {
    super::project(length.ticks(), 10, 800 * tenths)
}

/// A sheet, drawn.
pub(super) struct Drawn {
    pub block: Block,
    /// How wide it is, from the margin on.
    pub wide: i64,
    /// `1 : 12.5`.
    pub scale: String,
    /// What had no room on it, part by part.
    pub key: Vec<String>,
}

/// Draws a sheet as large as the room allows. The list of cuts goes by their numbers: words that leave them no room on the
/// drawing stand in the key instead.
pub(super) fn draw(section: &Section, sheet: &Sheet, room: Room) -> Drawn {
    let drawn = |rows| Drawing::new(section, sheet, room, rows).drawn();
    let (mut best, mut lacking) = drawn(Rows::Whole);
    for rows in [Rows::Jobless, Rows::Few] {
        if lacking == 0 {
            break;
        }
        let (other, lacks) = drawn(rows);
        if lacks < lacking {
            (best, lacking) = (other, lacks);
        }
    }
    best
}

struct Drawing<'a> {
    section: &'a Section,
    sheet: &'a Sheet,
    /// Tenths of `1 : n`.
    scale: i64,
    /// How much may stand on strips.
    rows: Rows,
    block: Block,
    /// What the key has to say, by row of the part (0 for what is no part).
    key: BTreeMap<usize, String>,
    /// Where letters stand.
    taken: Taken,
    /// Pieces that not even their numbers fit on.
    thin: Vec<thin::Thin>,
    /// Upper left corner, width and height of the sheet.
    at: [i64; 2],
    size: [i64; 2],
}

impl<'a> Drawing<'a> {
    fn new(section: &'a Section, sheet: &'a Sheet, room: Room, rows: Rows) -> Self {
        let scale = scale(sheet, room);
        let size = sheet.size.map(|side| on_paper(side, scale).max(1));
        Self {
            section,
            sheet,
            scale,
            rows,
            block: Block::default(),
            key: BTreeMap::new(),
            taken: Taken::default(),
            thin: Vec::new(),
            at: [MARGIN + LEFT, 0],
            size,
        }
    }

    /// The drawing, and how many cuts have no number on it.
    fn drawn(mut self) -> (Drawn, usize) {
        self.at[1] = ABOVE;
        self.body();
        self.corner_and_grain();
        let unnumbered = self.numbers();
        self.thin_pieces();
        self.dimensions();
        self.block.height = self.at[1] + self.size[1] + BELOW;
        if !unnumbered.is_empty() {
            let text = match unnumbered.as_slice() {
                [one] => format!("no room for the number of cut {one}"),
                all => format!("no room for the numbers of cuts {}", ranges(all)),
            };
            self.key.insert(usize::MAX, text);
        }
        let drawn = Drawn {
            wide: LEFT + self.size[0] + RIGHT,
            scale: format!("1 : {}.{}", self.scale / 10, self.scale % 10),
            key: self.key.into_values().collect(),
            block: self.block,
        };
        (drawn, unnumbered.len())
    }

    /// Upper left corner and size on paper: rounded edges, so that neighbours meet.
    fn spot(&self, at: [Length; 2], size: [Length; 2]) -> ([i64; 2], [i64; 2]) {
        let [x, x2] = [at[0], at[0] + size[0]].map(|l| on_paper(l, self.scale));
        let [low, high] = [at[1], at[1] + size[1]].map(|l| on_paper(l, self.scale));
        ([self.at[0] + x, self.at[1] + self.size[1] - high], [x2 - x, high - low])
    }

    fn body(&mut self) {
        let (at, size) = (self.at, self.size);
        self.block.rect(at, size, Look::Hatched, Some(Mark::Board(self.sheet.number)));
        let sheet = self.sheet;
        for region in sheet.regions.iter().filter(|region| region.holds != Holds::Kerf) {
            let (at, size) = self.spot(region.at, region.size);
            match &region.holds {
                Holds::Waste => self.block.rect(at, size, Look::Hatched, Some(Mark::Waste)),
                Holds::Trim => self.block.rect(at, size, Look::Crossed, Some(Mark::Trim)),
                Holds::Offcut(..) => self.block.rect(at, size, Look::Dotted, Some(Mark::Offcut)),
                Holds::Piece(piece) => {
                    self.block.rect(at, size, Look::Tinted, Some(Mark::Piece(piece.part + 1)));
                    self.bands(at, size, piece);
                }
                Holds::Kerf => {}
            }
        }
        for region in sheet.regions.iter().filter(|region| region.holds == Holds::Kerf) {
            let (at, size) = self.spot(region.at, region.size);
            self.block.rect(at, size.map(|s| s.max(THINNEST)), Look::Solid, Some(Mark::Kerf));
        }
        self.block.rect(at, size, Look::Frame, None);
        for region in &sheet.regions {
            let (at, size) = self.spot(region.at, region.size);
            match &region.holds {
                Holds::Piece(piece) => self.label(at, size, piece),
                Holds::Offcut(text, edges) => self.offcut(at, size, text, *edges),
                _ => {}
            }
        }
    }

    /// A thick line inside each banded edge.
    fn bands(&mut self, at: [i64; 2], size: [i64; 2], piece: &Placed) {
        let [x, y, x2, y2] = [at[0] + 55, at[1] + 55, at[0] + size[0] - 55, at[1] + size[1] - 55];
        if x2 <= x || y2 <= y {
            return;
        }
        let edges = [([x, y], [x, y2]), ([x2, y], [x2, y2]), ([x, y2], [x2, y2]), ([x, y], [x2, y])];
        for (edge, _) in edges.into_iter().zip(piece.bands).filter(|(_, banded)| *banded) {
            self.block.line(edge.0, edge.1, 50);
        }
    }

    /// As much of number, name, size and job as fits, turned where the piece is taller than wide and that helps.
    fn label(&mut self, at: [i64; 2], size: [i64; 2], piece: &Placed) {
        let Some(part) = self.section.parts.get(&piece.part) else { return };
        let job = Some(part.job.as_str()).filter(|job| self.section.jobs.len() > 1 && !job.is_empty());
        if let Some(words) = words::words(piece, part, job, size, self.rows) {
            self.write(at, size, &words.lines, words.font, words.turned);
            if !words.complete {
                self.explain(piece);
            }
            return;
        }
        self.explain(piece);
        let number = part.number.to_string();
        let (wide, tall) = (size[0] - 60, size[1] - 60);
        let both = [(wide, tall, false), (tall, wide, true)];
        let mut ways: Vec<_> =
            [230, 180, 140].into_iter().flat_map(|font| both.map(|way| (font, way))).collect();
        if wide > tall {
            // Nobody expects a turned number on what lies: rather a small one.
            ways.sort_by_key(|(_, (.., turned))| *turned);
        }
        for (font, (room, high, turned)) in ways {
            if width(&number, font) <= room && font <= high {
                return self.write(at, size, &[number], font, turned);
            }
        }
        self.thin.push(thin::Thin { at, size, number });
    }

    /// Lines in the middle of a rectangle.
    fn write(&mut self, at: [i64; 2], size: [i64; 2], lines: &[String], font: i64, turned: bool) {
        let high = font * LEADING / 10;
        let all = high * lines.len() as i64;
        let middle = [at[0] + size[0] / 2, at[1] + size[1] / 2];
        let widest = lines.iter().map(|line| width(line, font)).max().unwrap_or(0);
        let half = if turned { [all / 2, widest / 2] } else { [widest / 2, all / 2] };
        let mut taken = [middle[0] - half[0], middle[1] - half[1], middle[0] + half[0], middle[1] + half[1]];
        // Above the first line nothing stands, up to its capitals.
        taken[usize::from(!turned)] += font / 5;
        self.taken.push(taken);
        for (i, line) in lines.iter().enumerate() {
            let below = i as i64 * high - all / 2 + font * 98 / 100;
            if turned {
                self.block.turned([middle[0] + below, middle[1]], font, line.as_str());
            } else {
                self.block.text([middle[0], middle[1] + below], font, Anchor::Middle, false, line.as_str());
            }
        }
    }

    /// How large an offcut is, and which factory edges it has: as much of it as fits, else in the key.
    fn offcut(&mut self, at: [i64; 2], size: [i64; 2], text: &str, edges: Option<&str>) {
        let short = vec![format!("keep {text}")];
        let full: Vec<String> = short.iter().cloned().chain(edges.map(str::to_owned)).collect();
        let ways = [(290, false), (210, false), (290, true), (210, true)];
        for (lines, (font, turned)) in [&full, &short].into_iter().flat_map(|l| ways.map(|way| (l, way))) {
            let wide = lines.iter().map(|line| width(line, font)).max().unwrap_or(0);
            let high = font * 3 / 2 + (lines.len() as i64 - 1) * font * LEADING / 10;
            let ground = if turned { [high, wide + 120] } else { [wide + 120, high] };
            let [room, room_high] = if turned { [size[1], size[0]] } else { size };
            if wide + 200 <= room && high + font / 2 <= room_high {
                let corner = [0, 1].map(|i| at[i] + (size[i] - ground[i]) / 2);
                self.block.rect(corner, ground, Look::Blank, None);
                return self.write(at, size, lines, font, turned);
            }
        }
        let line = self.key.entry(0).or_default();
        if !line.is_empty() {
            line.push_str("; ");
        }
        line.push_str(&full.join(", "));
    }

    fn explain(&mut self, piece: &Placed) {
        let Some(part) = self.section.parts.get(&piece.part) else { return };
        let mut text = format!("{} {}: {}", part.number, isolated(&part.name), piece.size_text);
        if self.section.jobs.len() > 1 && !part.job.is_empty() {
            text.push_str(&format!(", {}", isolated(&part.job)));
        }
        if let Some(later) = &piece.later {
            text.push_str(&format!(" ({})", later.text));
        }
        self.key.insert(part.number, text);
    }

    fn corner_and_grain(&mut self) {
        let [x, y] = [self.at[0], self.at[1] + self.size[1]];
        self.block.shapes.push(Shape::Triangle { corners: [[x, y], [x - 330, y], [x, y + 330]] });
        self.block.text([x - 420, y + 330], 260, Anchor::End, true, "R");
        let (y, x) = (y + 620, x + 400);
        let wide = width("no grain", 210).max(width("grain", 210) + 2_500);
        self.taken.push([x, y - 200, x + wide, y + 230]);
        match self.sheet.grain {
            Grain::Along => {
                self.block.text([x, y + 75], 210, Anchor::Start, false, "grain");
                let (from, to) = (x + width("grain", 210) + 150, x + width("grain", 210) + 2_400);
                self.block.line([from, y], [to, y], 20);
                for (tip, back) in [(from, from + 180), (to, to - 180)] {
                    self.block
                        .shapes
                        .push(Shape::Triangle { corners: [[tip, y], [back, y - 70], [back, y + 70]] });
                }
            }
            Grain::Across => {
                self.block.text([x, y + 75], 210, Anchor::Start, false, "grain");
                let x = x + width("grain", 210) + 250;
                let (from, to) = (y - 200, y + 200);
                self.block.line([x, from], [x, to], 20);
                for (tip, back) in [(from, from + 150), (to, to - 150)] {
                    self.block
                        .shapes
                        .push(Shape::Triangle { corners: [[x, tip], [x - 70, back], [x + 70, back]] });
                }
            }
            Grain::None => self.block.text([x, y + 75], 210, Anchor::Start, false, "no grain"),
        }
    }
}
