//! One sheet: what it is, the drawing true to scale with its cuts numbered, the steps of the cut list, and a key to what
//! had no room on the pieces.
//!
//! The reference corner is the lower left one. Labels go first; the number of a cut takes a free place on its line. Text
//! never overlaps: what finds no place is said under the drawing.

use super::board::{LEADING, NAME, SMALL};
use super::flow::{Word, flow};
use super::lettering::{bold_width, width, wrapped};
use super::{Anchor, Block, Look, MARGIN, Mark, ROOM, Shape};
use crate::report::{Grain, Holds, Placed, SawCut, Section, Sheet, Step};
use nest_core::plan::Way;
use nest_core::units::Length;
use std::collections::BTreeMap;

/// Room for dimensions on the left, and above.
const LEFT: i64 = 1_500;
const ABOVE: i64 = 950;
/// Room right of the sheet, and between it and the list.
const RIGHT: i64 = 300;
const BELOW: i64 = 620;
/// The highest that a sheet is drawn: the list needs room too.
const HIGHEST: i64 = 10_400;
/// Least width of dust on paper.
const THINNEST: i64 = 30;
/// Font sizes of labels, the most wanted first.
const LABELS: [i64; 4] = [290, 250, 210, 170];
/// Font size of the list.
const LIST: i64 = 240;
/// Radius and font size of a cut's number.
const NUMBERS: [(i64, i64); 2] = [(150, 200), (115, 150)];
/// More cuts than these are not all numbered on the drawing: nobody could read it.
const MOST: usize = 600;

/// How many ticks a drawing unit stands for, a round number on paper: tenths of `1 : n`.
pub(super) fn scale(sheet: &Sheet) -> i64 {
    let fits = |tenths: i64| {
        on_paper(sheet.size[0], tenths) <= ROOM - LEFT - RIGHT && on_paper(sheet.size[1], tenths) <= HIGHEST
    };
    let fine = (1..10).map(|n| n * 5);
    let round = (5..25).map(|n| n * 10).chain((1..).map(|n: i64| 250 + n * 50).take_while(|&n| n < 100_000));
    let mut all = fine.filter(|&n| n >= 10).chain(round);
    all.find(|&tenths| fits(tenths)).unwrap_or(100_000)
}

/// A length in drawing units, rounded to the nearest; one unit is 1/100 mm, which is 800 ticks.
fn on_paper(length: Length, tenths: i64) -> i64 {
    super::project(length.ticks(), 10, 800 * tenths)
}

/// A sheet as blocks, one a page.
pub(super) fn blocks(section: &Section, sheet: &Sheet, most: i64) -> Vec<Block> {
    let mut block = Drawing::new(section, sheet).drawn();
    let numbers = sheet.steps.iter().map(|step| bold_width(&step.numbers(), LIST));
    let number_room = numbers.max().unwrap_or(0) + 200;
    let rows: Vec<Vec<Block>> = sheet.steps.iter().map(|one| step(one, number_room)).collect();
    let mut blocks = Vec::new();
    let mut rows = rows.into_iter().peekable();
    if sheet.steps.is_empty() {
        block.text([MARGIN, block.height + 300], NAME, Anchor::Start, false, "No cut: all of it is the part");
        block.height += 450;
    }
    while rows.peek().is_some() {
        let top = block.height;
        for column in 0..2 {
            let mut y = top;
            while let Some(row) = rows.peek() {
                let high: i64 = row.iter().map(|line| line.height).sum();
                if y + high > most && (y > top || top > 900) {
                    break;
                }
                for mut line in rows.next().into_iter().flatten() {
                    line.shift(y);
                    line.aside(column * (ROOM / 2));
                    y += line.height;
                    block.shapes.append(&mut line.shapes);
                }
            }
            block.height = block.height.max(y);
        }
        if rows.peek().is_some() {
            blocks.push(std::mem::take(&mut block));
            let title = format!("{} {}: cuts, continued", sheet.word(), sheet.number);
            block.text([MARGIN, 400], 400, Anchor::Start, true, title);
            block.height = 700;
        }
    }
    blocks.push(block);
    blocks
}

/// The lines of one step, as wide as half a page.
fn step(step: &Step, number_room: i64) -> Vec<Block> {
    const SIZE: i64 = LIST;
    let indent = number_room + 180 * (step.depth.saturating_sub(1).min(6) as i64);
    let room = ROOM / 2 - indent - 350;
    let verb = if step.squares {
        format!("{}, line at {}", step.verb, step.setting_text)
    } else {
        format!("{} {}", step.verb, step.setting_text)
    };
    let side = match (step.squares, step.beyond) {
        (true, false) => format!(" from the factory {}, blade before the line", side_of(step)),
        (true, true) => format!(" from the {}, blade beyond the line", step.from),
        (false, _) => format!(" from the {}", step.from),
    };
    let far = if step.far { " (the fence does not reach from the other side)" } else { "" };
    let same = if step.same { ", same setting" } else { "" };
    let rest = format!("{side}{far}{same}, on {} ({})", step.on, step.on_text);
    let mut gives = String::new();
    if !step.off.is_empty() {
        gives = format!("off: {}", step.off.join("; "));
    }
    let left: Vec<&str> =
        step.left.iter().map(String::as_str).filter(|left| !left.starts_with("waste")).collect();
    if !left.is_empty() {
        let gap = if gives.is_empty() { "" } else { ". " };
        gives = format!("{gives}{gap}Left: {}", left.join("; "));
    }
    let high = SIZE * LEADING / 10;
    let mut lines = Vec::new();
    let mut first = Block { height: high, ..Block::default() };
    first.text([MARGIN, SIZE], SIZE, Anchor::Start, true, step.numbers());
    first.text([MARGIN + indent, SIZE], SIZE, Anchor::Start, true, verb.as_str());
    let used = bold_width(&verb, SIZE) + 60;
    let rest = rest.trim_start();
    if used + width(rest, SIZE) <= room {
        first.text([MARGIN + indent + used, SIZE], SIZE, Anchor::Start, false, rest);
        lines.push(first);
    } else {
        lines.push(first);
        lines.extend(paragraph(rest, SIZE, indent, room));
    }
    if !gives.is_empty() {
        lines.extend(paragraph(&gives, SIZE, indent, room));
    }
    if let Some(last) = lines.last_mut() {
        last.height += 70;
    }
    lines
}

fn paragraph(text: &str, size: i64, indent: i64, room: i64) -> impl Iterator<Item = Block> {
    wrapped(text, size, room).into_iter().map(move |line| {
        let mut block = Block { height: size * LEADING / 10, ..Block::default() };
        block.text([MARGIN + indent, size], size, Anchor::Start, false, line);
        block
    })
}

fn side_of(step: &Step) -> &'static str {
    if step.way == Way::Rip { "edge" } else { "end" }
}

struct Drawing<'a> {
    section: &'a Section,
    sheet: &'a Sheet,
    /// Tenths of `1 : n`.
    scale: i64,
    block: Block,
    /// What the key has to say, by row of the part (0 for what is no part).
    key: BTreeMap<usize, String>,
    /// Where letters stand.
    taken: Vec<[i64; 4]>,
    /// Upper left corner, width and height of the sheet.
    at: [i64; 2],
    size: [i64; 2],
}

impl<'a> Drawing<'a> {
    fn new(section: &'a Section, sheet: &'a Sheet) -> Self {
        let scale = scale(sheet);
        let size = sheet.size.map(|side| on_paper(side, scale).max(1));
        Self {
            section,
            sheet,
            scale,
            block: Block::default(),
            key: BTreeMap::new(),
            taken: Vec::new(),
            at: [MARGIN + LEFT, 0],
            size,
        }
    }

    fn drawn(mut self) -> Block {
        self.title();
        self.at[1] = self.block.height + ABOVE;
        self.body();
        let unnumbered = self.numbers();
        self.dimensions();
        self.corner_and_grain();
        self.block.height = self.at[1] + self.size[1] + BELOW;
        if !unnumbered.is_empty() {
            let text = match unnumbered.as_slice() {
                [one] => format!("no room for the number of cut {one}"),
                all => format!("no room for the numbers of cuts {}", ranges(all)),
            };
            self.key.insert(usize::MAX, text);
        }
        let items = self.key.values().map(|text| vec![Word { text: text.clone(), bold: false, gap: 0 }]);
        for line in flow(items.collect(), SMALL, SMALL) {
            self.block.append(line);
        }
        self.block.height += 120;
        self.block
    }

    fn title(&mut self) {
        let sheet = self.sheet;
        let y = 400;
        let mut name = format!("{} {}", sheet.word(), sheet.number);
        if sheet.copies > 1 {
            name.push_str(&format!(" × {}", sheet.copies));
        }
        self.block.text([MARGIN, y], 400, Anchor::Start, true, name.as_str());
        let x = MARGIN + bold_width(&name, 400) + 200;
        let spare =
            if sheet.tight() { format!("{}: measure first", sheet.spare_text()) } else { sheet.spare_text() };
        let end = MARGIN + ROOM;
        let room = bold_width(&spare, SMALL) + 200;
        if sheet.tight() {
            self.block.rect([end - room, y - 300], [room, 390], Look::Cell, None);
        }
        self.block.text([end - 100, y], SMALL, Anchor::End, sheet.tight(), spare);
        let usable = sheet.usable.as_ref().map_or(String::new(), |u| format!(", usable {u}"));
        let scale = format!(", yield {}, scale 1 : {}.{}", sheet.yields, self.scale / 10, self.scale % 10);
        let size = if sheet.stock.contains(&sheet.size_text) {
            String::new()
        } else {
            format!(" ({})", sheet.size_text)
        };
        let tail = format!("{size}{usable}{scale}");
        let room = end - x - room - 300;
        let stock = super::lettering::shortened(&sheet.stock, SMALL, room - width(&tail, SMALL), 1)
            .unwrap_or_default();
        let text = super::lettering::shortened(&format!("{stock}{tail}"), SMALL, room, 1).unwrap_or_default();
        self.block.text([x, y], SMALL, Anchor::Start, false, text);
        let note = "R is the reference corner: rips are set from the lower edge, crosscuts from the left end, unless \
                    the list says otherwise. Good face: up on a table saw, down under a hand-held saw.";
        let lines = wrapped(note, 190, ROOM);
        for (i, line) in lines.iter().enumerate() {
            self.block.text([MARGIN, 730 + 250 * i as i64], 190, Anchor::Start, false, line.as_str());
        }
        self.block.height = 560 + 250 * lines.len() as i64;
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
                Holds::Offcut(_) => self.block.rect(at, size, Look::Dotted, Some(Mark::Offcut)),
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
                Holds::Offcut(text) => self.offcut(at, size, text),
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
        let mut figure = piece.size_text.clone();
        if let Some(later) = &piece.later {
            figure = format!("{figure} {}", later.mark);
        }
        let named = format!("{} {}", part.number, part.name);
        let job = Some(&part.job).filter(|job| self.section.jobs.len() > 1 && !job.is_empty());
        let full: Vec<String> = [named.clone(), figure.clone()].into_iter().chain(job.cloned()).collect();
        let (wide, tall) = (size[0] - 220, size[1] - 180);
        let ways = if size[1] > size[0] {
            [(wide, tall, false), (tall, wide, true)]
        } else {
            [(wide, tall, false); 2]
        };
        // Turned letters are for where the others have no room.
        let tries: [Vec<String>; 4] = [
            full,
            vec![named.clone(), figure.clone()],
            vec![format!("{named}: {figure}")],
            vec![format!("{}: {figure}", part.number)],
        ];
        for (t, lines) in tries.iter().enumerate() {
            for &font in &LABELS {
                for (room, high, turned) in ways {
                    let lines: Vec<String> =
                        lines.iter().flat_map(|line| wrapped(line, font, room.max(1))).collect();
                    let words_whole = lines.len() <= tries[t].len() + usize::from(t < 2);
                    let fits = lines.iter().all(|line| width(line, font) <= room)
                        && lines.len() as i64 * font * LEADING / 10 <= high;
                    if fits && words_whole {
                        self.write(at, size, &lines, font, turned);
                        if t == 3 || (t > 0 && job.is_some()) || piece.later.is_some() {
                            self.explain(piece);
                        }
                        return;
                    }
                }
            }
        }
        self.explain(piece);
        let number = part.number.to_string();
        let (wide, tall) = (size[0] - 60, size[1] - 60);
        for font in [230, 180, 140] {
            for (room, high, turned) in [(wide, tall, false), (tall, wide, true)] {
                if width(&number, font) <= room && font <= high {
                    return self.write(at, size, &[number], font, turned);
                }
            }
        }
    }

    /// Lines in the middle of a rectangle.
    fn write(&mut self, at: [i64; 2], size: [i64; 2], lines: &[String], font: i64, turned: bool) {
        let high = font * LEADING / 10;
        let all = high * lines.len() as i64;
        let middle = [at[0] + size[0] / 2, at[1] + size[1] / 2];
        let widest = lines.iter().map(|line| width(line, font)).max().unwrap_or(0);
        let half = if turned { [all / 2, widest / 2] } else { [widest / 2, all / 2] };
        self.taken.push([middle[0] - half[0], middle[1] - half[1], middle[0] + half[0], middle[1] + half[1]]);
        for (i, line) in lines.iter().enumerate() {
            let below = i as i64 * high - all / 2 + font * 98 / 100;
            if turned {
                self.block.turned([middle[0] + below, middle[1]], font, line.as_str());
            } else {
                self.block.text([middle[0], middle[1] + below], font, Anchor::Middle, false, line.as_str());
            }
        }
    }

    fn offcut(&mut self, at: [i64; 2], size: [i64; 2], text: &str) {
        let text = format!("keep {text}");
        for font in [290, 210] {
            let wide = width(&text, font);
            for turned in [false, true] {
                let (room, high) = if turned { (size[1], size[0]) } else { (size[0], size[1]) };
                if wide + 200 <= room && font * 2 <= high {
                    let half =
                        if turned { [font * 3 / 4, wide / 2 + 60] } else { [wide / 2 + 60, font * 3 / 4] };
                    let corner = [at[0] + size[0] / 2 - half[0], at[1] + size[1] / 2 - half[1]];
                    self.block.rect(corner, half.map(|h| 2 * h), Look::Blank, None);
                    return self.write(at, size, &[text], font, turned);
                }
            }
        }
        let line = self.key.entry(0).or_default();
        if !line.is_empty() {
            line.push_str("; ");
        }
        line.push_str(&text);
    }

    fn explain(&mut self, piece: &Placed) {
        let Some(part) = self.section.parts.get(&piece.part) else { return };
        let mut text = format!("{} {}: {}", part.number, part.name, piece.size_text);
        if self.section.jobs.len() > 1 && !part.job.is_empty() {
            text.push_str(&format!(", {}", part.job));
        }
        if let Some(later) = &piece.later {
            text.push_str(&format!(" ({})", later.text));
        }
        self.key.insert(part.number, text);
    }

    /// Numbers on the lines of the cuts; returns those that found no place.
    fn numbers(&mut self) -> Vec<usize> {
        let mut none = Vec::new();
        let sheet = self.sheet;
        for cut in &sheet.cuts {
            let place = if cut.number <= MOST { self.free(cut) } else { None };
            let Some((at, r, font)) = place else {
                none.push(cut.number);
                continue;
            };
            let text = cut.number.to_string();
            let font = if text.len() > 2 { font * 3 / 4 } else { font };
            self.taken.push([at[0] - r - 20, at[1] - r - 20, at[0] + r + 20, at[1] + r + 20]);
            self.block.shapes.push(Shape::Circle { at, r });
            let left = at[0] - width(&text, font) / 2;
            self.block.text([left, at[1] + font * 36 / 100], font, Anchor::Start, false, text);
        }
        none
    }

    /// A free place on the line of a cut, from its end towards its middle and on.
    fn free(&self, cut: &SawCut) -> Option<([i64; 2], i64, i64)> {
        let axis = cut.way.axis();
        let [mut at, mut size] = cut.rect;
        at[axis] = cut.line;
        size[axis] = Length::ZERO;
        let (spot, long) = self.spot(at, size);
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
                let box_of = [x - r - 20, y - r - 20, x + r + 20, y + r + 20];
                if inside && from <= length - r && self.taken.iter().all(|other| apart(&box_of, other)) {
                    return Some((middle, r, font));
                }
            }
        }
        None
    }

    /// Outer dimensions, and those of the strips that the first cuts leave.
    fn dimensions(&mut self) {
        let ([x, y], [w, h]) = (self.at, self.size);
        let [length, width_text] = self.sheet.sides.clone();
        self.along([x, x + w], y - 700, &length);
        self.across(x - 1_150, [y, y + h], &width_text);
        let sheet = self.sheet;
        let first: Vec<&SawCut> =
            sheet.cuts.iter().filter(|cut| cut.depth == 1 && !cut.squares && cut.lot == 0).collect();
        for cut in first {
            let axis = cut.way.axis();
            let mut size = cut.rect[1];
            size[axis] = cut.line - cut.rect[0][axis];
            let (spot, size) = self.spot(cut.rect[0], size);
            // What the cut frees, whichever side the fence is on.
            if axis == 0 {
                self.along([spot[0], spot[0] + size[0]], y - 250, &cut.off_side(0));
            } else {
                self.across(x - 450, [spot[1], spot[1] + size[1]], &cut.off_side(1));
            }
        }
    }

    fn along(&mut self, [from, to]: [i64; 2], y: i64, text: &str) {
        const FONT: i64 = 210;
        self.block.line([from, y], [to, y], 10);
        for x in [from, to] {
            self.block.line([x, y - 90], [x, y + 90], 10);
        }
        let wide = width(text, FONT) + 120;
        if wide + 60 <= to - from {
            let middle = (from + to) / 2;
            self.block.rect([middle - wide / 2, y - 120], [wide, 240], Look::Blank, None);
            self.block.text([middle, y + FONT * 36 / 100], FONT, Anchor::Middle, false, text);
        }
    }

    fn across(&mut self, x: i64, [from, to]: [i64; 2], text: &str) {
        const FONT: i64 = 210;
        self.block.line([x, from], [x, to], 10);
        for y in [from, to] {
            self.block.line([x - 90, y], [x + 90, y], 10);
        }
        let wide = width(text, FONT) + 120;
        if wide + 60 <= to - from {
            let middle = (from + to) / 2;
            self.block.rect([x - 120, middle - wide / 2], [240, wide], Look::Blank, None);
            self.block.turned([x + FONT * 36 / 100, middle], FONT, text);
        }
    }

    fn corner_and_grain(&mut self) {
        let [x, y] = [self.at[0], self.at[1] + self.size[1]];
        self.block.shapes.push(Shape::Triangle { corners: [[x, y], [x - 330, y], [x, y + 330]] });
        self.block.text([x - 420, y + 330], 260, Anchor::End, true, "R");
        let (y, x) = (y + 330, x + 400);
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
                let (from, to) = (y - 230, y + 230);
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

fn apart(a: &[i64; 4], b: &[i64; 4]) -> bool {
    a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1]
}

/// `1–4, 7`.
fn ranges(numbers: &[usize]) -> String {
    super::frame::ranges(numbers)
}
