//! One board: what it is, the drawing with its cuts numbered in order, the stop settings, and a key to what had no
//! room on the pieces.
//!
//! The reference end is on the left. A piece's label is its row number, name, length and job, as much of it as
//! fits; what does not fit goes to the key under the board. Labels never overlap: each stays inside its piece.

use super::flow::{Word, flow};
use super::label::{Label, Line};
use super::lettering::{bold_width, shortened, width, wrapped};
use super::{Anchor, Block, Look, MARGIN, Mark, ROOM, Scale, Shape, project};
use crate::clean::isolated;
use crate::report::names::titled;
use crate::report::{Board, Off, Piece, SawCut, Section, What, Zone, blanks, on};
use nest_core::plan::Way;
use std::collections::BTreeMap;

/// Font sizes: a board's title, a setting, a name, a remark.
const TITLE: i64 = 400;
pub(super) const FIGURE: i64 = 330;
pub(super) const NAME: i64 = 290;
pub(super) const SMALL: i64 = 230;
/// Between two lines of a font size, in tenths of it.
pub(super) const LEADING: i64 = 13;
/// Least width of dust on paper: what is thinner would vanish in print.
const THINNEST: i64 = 30;
/// Radius of a cut's number, and how far such numbers must be apart.
const NUMBER: i64 = 160;
const APART: i64 = 2 * NUMBER + 30;
/// How far the number of a cut at the end of a board, and the side that its blade takes, go beyond that end.
pub(super) const BESIDE: i64 = NUMBER + 20;

/// A board as blocks that follow each other; more than one only where it would be too high for a page.
pub(super) fn blocks(section: &Section, board: &Board, scale: Scale, most: i64) -> Vec<Block> {
    let mut block = title(board);
    let (drawn, key) = draw(section, board, scale);
    block.append(drawn);
    let note = board.note.iter().flat_map(|note| wrapped(note, SMALL + 20, ROOM));
    let note = note.map(|line| vec![Word { text: line, bold: false, gap: 0 }]);
    let mut lines = flow(note.collect(), SMALL + 20, SMALL + 20, ROOM);
    lines.extend(settings(board));
    let key = key.into_iter().map(|text| vec![Word { text, bold: false, gap: 0 }]);
    lines.extend(flow(key.collect(), SMALL + 20, SMALL + 20, ROOM));
    let mut blocks = Vec::new();
    for line in lines {
        if block.height + line.height + 300 > most {
            blocks.push(std::mem::take(&mut block));
        }
        block.append(line);
    }
    block.height += 260;
    blocks.push(block);
    for block in &mut blocks {
        block.layouts = Some([board.number; 2]);
    }
    blocks
}

/// A board without title and settings: its drawing, and what had no room on it.
pub(super) fn draw(section: &Section, board: &Board, scale: Scale) -> (Block, Vec<String>) {
    let mut drawing =
        Drawing { section, board, scale, block: Block::default(), key: BTreeMap::new(), top: 0 };
    drawing.markers();
    drawing.body();
    drawing.positions();
    (drawing.block, drawing.key.into_values().collect())
}

struct Drawing<'a> {
    section: &'a Section,
    board: &'a Board,
    scale: Scale,
    block: Block,
    /// What the key has to say, by row of the part (0 for what is no part).
    key: BTreeMap<usize, String>,
    /// Upper edge of the board.
    top: i64,
}

impl<'a> Drawing<'a> {
    fn height(&self) -> i64 {
        self.scale.high(self.board.size[1].ticks())
    }

    /// Where a place of the board lies on the page: the reference edge is below.
    fn spot(&self, zone: &Zone) -> ([i64; 2], [i64; 2]) {
        let [x, x2] = [zone.at[0], zone.at[0] + zone.size[0]].map(|l| MARGIN + self.scale.along(l.ticks()));
        let whole = self.board.size[1].ticks();
        let height = self.height();
        if whole == 0 {
            return ([x, self.top], [x2 - x, height]);
        }
        let [low, high] = [zone.at[1], zone.at[1] + zone.size[1]].map(|l| project(l.ticks(), height, whole));
        ([x, self.top + height - high], [x2 - x, high - low])
    }

    /// Where a crosscut's line is on the page.
    fn tick(&self, cut: &SawCut) -> i64 {
        MARGIN + self.scale.along(cut.line.ticks())
    }

    /// The crosscuts, and whether each gets its number: all of them, but of a run of equal cuts that are too close
    /// together only the first and the last, and no more than a row holds.
    fn numbered(&self) -> Vec<(&'a SawCut, bool)> {
        let mut cuts: Vec<&'a SawCut> =
            self.board.cuts.iter().filter(|cut| cut.way == Way::Crosscut).collect();
        cuts.sort_by_key(|cut| cut.line);
        let like = |a: usize, b: usize| {
            cuts.get(b).is_some_and(|b| b.setting == cuts[a].setting && b.frees.alike(&cuts[a].frees))
        };
        let inner = |i: usize| {
            i > 0 && like(i, i - 1) && like(i, i + 1) && self.tick(cuts[i]) - self.tick(cuts[i - 1]) < APART
        };
        let wanted = (0..cuts.len()).filter(|&i| !inner(i)).count();
        let holds = usize::try_from(self.scale.room / APART).unwrap_or(1);
        let step = wanted.div_ceil(holds).max(1);
        let mut seen = 0;
        let mut marked = Vec::new();
        for (i, cut) in cuts.iter().enumerate() {
            let turn = !inner(i) && seen % step == 0;
            seen += usize::from(!inner(i));
            marked.push((*cut, turn));
        }
        marked
    }

    /// Above the board: the number of each cut, and the side of the line that the blade takes.
    fn markers(&mut self) {
        let cuts = self.numbered();
        // Numbers that are too close are spread to the right, and back to the left from the end of the page.
        let mut spots: Vec<i64> =
            cuts.iter().filter(|(_, numbered)| *numbered).map(|(cut, _)| self.tick(cut)).collect();
        for i in 1..spots.len() {
            spots[i] = spots[i].max(spots[i - 1] + APART);
        }
        let mut most = MARGIN + self.scale.room;
        for spot in spots.iter_mut().rev() {
            *spot = (*spot).min(most);
            most = *spot - APART;
        }
        let mut spots = spots.into_iter();
        let places: Vec<(&SawCut, i64, Option<i64>)> = (cuts.into_iter())
            .map(|(cut, numbered)| (cut, self.tick(cut), if numbered { spots.next() } else { None }))
            .collect();
        let shifted = places.iter().any(|(_, x, spot)| spot.is_some_and(|spot| (spot - x).abs() > 60));
        let leader = if shifted { 400 } else { 190 };
        let upper = self.block.height;
        self.top = upper + APART + leader;
        let mut last = i64::MIN / 2;
        for (cut, x, spot) in places {
            // Down to where the cut begins: a cut of a strip lies deeper in the board.
            let dust = Zone { at: cut.rect[0], size: cut.rect[1], what: What::Kerf };
            self.block.line([x, self.top - 190], [x, self.spot(&dust).0[1]], 15);
            if x - last >= 160 {
                let tip = if cut.beyond { x + 150 } else { x - 150 };
                let (high, low) = (self.top - 170, self.top - 30);
                let corners = [[x, high], [x, low], [tip, (high + low) / 2]];
                self.block.shapes.push(Shape::Triangle { corners });
            }
            last = x;
            if let Some(spot) = spot {
                let centre = upper + NUMBER + 10;
                self.block.line([spot, centre + NUMBER], [x, self.top - 190], 15);
                self.number([spot, centre], cut.number);
            }
        }
    }

    fn number(&mut self, at: [i64; 2], number: usize) {
        let text = number.to_string();
        let size = if text.len() > 2 { 160 } else { 220 };
        self.block.shapes.push(Shape::Circle { at, r: NUMBER });
        self.block.text([at[0], at[1] + size * 36 / 100], size, Anchor::Middle, false, text);
    }

    fn body(&mut self) {
        let board = self.board;
        let whole = Zone { at: Default::default(), size: board.size, what: What::Waste };
        let (at, size) = self.spot(&whole);
        // What no zone covers is dust of the last cut or waste: it shows as waste.
        self.block.rect(at, size, Look::Hatched, Some(Mark::Board(board.number)));
        for zone in &board.zones {
            let (at, size) = self.spot(zone);
            match &zone.what {
                What::Waste => self.block.rect(at, size, Look::Hatched, Some(Mark::Waste)),
                What::Trim => self.block.rect(at, size, Look::Crossed, Some(Mark::Trim)),
                What::Offcut(text, edges) => {
                    self.block.rect(at, size, Look::Dotted, Some(Mark::Offcut));
                    self.offcut(at, size, text, *edges);
                }
                What::Piece(piece) => {
                    self.block.rect(at, size, Look::Tinted, Some(Mark::Piece(piece.part + 1)));
                    self.label(at, size, piece);
                }
                What::Kerf => {}
            }
        }
        for zone in board.zones.iter().filter(|zone| zone.what == What::Kerf) {
            let (at, size) = self.spot(zone);
            let size = size.map(|s| s.max(THINNEST));
            self.block.rect(at, size, Look::Solid, Some(Mark::Kerf));
        }
        for cut in board.cuts.iter().filter(|cut| cut.way == Way::Rip) {
            self.rip_number(cut);
        }
        let (at, size) = self.spot(&whole);
        self.block.rect(at, size, Look::Frame, None);
        self.block.height = self.top + self.height();
    }

    /// The number of a rip stands on what is left beside it, where there is room.
    fn rip_number(&mut self, cut: &SawCut) {
        let [mut at, mut size] = cut.rect;
        let beside = size[1] - cut.setting - cut.kerf;
        at[1] = cut.line + cut.kerf;
        size[1] = beside;
        let (spot, room) = self.spot(&Zone { at, size, what: What::Waste });
        if room[0] >= APART && room[1] >= APART {
            self.number([spot[0] + APART / 2 + 60, spot[1] + room[1] - NUMBER - 20], cut.number);
        }
    }

    fn offcut(&mut self, at: [i64; 2], size: [i64; 2], text: &str, edges: Option<&str>) {
        let short = format!("keep {text}");
        let full = edges.map(|edges| format!("{short}, {edges}"));
        let fits = |text: &String| width(text, NAME) + 120 <= size[0] && NAME + 100 <= size[1];
        let text = full.filter(|full| fits(full) || !fits(&short)).unwrap_or(short);
        if fits(&text) {
            let wide = width(&text, NAME);
            let [x, y] = [at[0] + size[0] / 2, at[1] + size[1] / 2];
            self.block.rect(
                [x - wide / 2 - 40, y - NAME / 2 - 40],
                [wide + 80, NAME + 80],
                Look::Blank,
                None,
            );
            self.block.text([x, y + NAME * 36 / 100], NAME, Anchor::Middle, false, text);
        } else {
            let line = self.key.entry(0).or_default();
            if !line.is_empty() {
                line.push_str("; ");
            }
            line.push_str(&text);
        }
    }

    /// As much of number, name, length and job as fits into the piece; the rest goes to the key.
    fn label(&mut self, at: [i64; 2], size: [i64; 2], piece: &Piece) {
        let Some(part) = self.section.parts.get(&piece.part) else { return };
        let label = Label::of(piece, part, self.section.jobs.len() > 1, size);
        if !label.complete {
            self.explain(piece);
        }
        let high: i64 = label.lines.iter().map(Line::height).sum();
        let mut y = at[1] + (size[1] - high) / 2;
        for line in label.lines {
            let baseline = y + line.size * 105 / 100;
            y += line.height();
            self.block.text([at[0] + size[0] / 2, baseline], line.size, Anchor::Middle, line.bold, line.text);
        }
    }

    /// Puts a part into the key.
    fn explain(&mut self, piece: &Piece) {
        let Some(part) = self.section.parts.get(&piece.part) else { return };
        let mut text = format!("{} {}: {}", part.number, isolated(&part.name), piece.length);
        if let Some(rip) = &piece.rip {
            text.push_str(&format!(" x {rip}"));
        }
        if self.section.jobs.len() > 1 && !part.job.is_empty() {
            text.push_str(&format!(", {}", isolated(&part.job)));
        }
        if let Some(later) = &piece.later {
            text.push_str(&format!(" ({})", later.text));
        }
        self.key.insert(part.number, text);
    }

    /// Under the board: where each line is from the end, small, to check.
    fn positions(&mut self) {
        let mut ends = [i64::MIN / 2; 2];
        let mut found = false;
        for (cut, _) in self.numbered().into_iter().filter(|(_, numbered)| *numbered) {
            let (text, x) = (&cut.line_text, self.tick(cut));
            let half = width(text, SMALL) / 2;
            let right = MARGIN + self.scale.room;
            let middle = x.min(right - half).max(MARGIN + half);
            let Some(row) = ends.iter().position(|&end| middle - half >= end + 80) else { continue };
            ends[row] = middle + half;
            found = true;
            let y = self.block.height + (row as i64 + 1) * SMALL * LEADING / 10;
            self.block.text([middle, y], SMALL, Anchor::Middle, false, text.as_str());
        }
        let rows = i64::from(found) + i64::from(ends[1] > 0);
        self.block.height += rows * SMALL * LEADING / 10 + 80;
    }
}

/// What the board is, and what is to spare.
fn title(board: &Board) -> Block {
    let mut block = Block::default();
    let y = 400;
    let name = format!("Layout {}", board.number);
    block.text([MARGIN, y], TITLE, Anchor::Start, true, name.as_str());
    let mut x = MARGIN + bold_width(&name, TITLE) + 200;
    if board.copies > 1 {
        let times = format!("× {}", board.copies);
        block.text([x, y], TITLE, Anchor::Start, true, times.as_str());
        x += bold_width(&times, TITLE) + 200;
    }
    let spare = if board.spare.tight {
        let left = if board.spare.none { "Nothing".into() } else { format!("Only {}", board.spare.text) };
        format!("{left} to spare: measure this board before the first cut")
    } else {
        format!("{} to spare", board.spare.text)
    };
    let end = MARGIN + ROOM;
    let room = bold_width(&spare, NAME) + 200;
    if board.spare.tight {
        block.rect([end - room, y - 330], [room, 420], Look::Cell, None);
    }
    block.text([end - 100, y], NAME, Anchor::End, board.spare.tight, spare);
    let [name, size] = titled(&board.stock, &board.size_text);
    let size = if size.is_empty() { String::new() } else { format!(" ({size})") };
    let room = end - x - room - 300;
    let stock = shortened(name, NAME, room - width(&size, NAME), 1).unwrap_or_default();
    block.text([x, y], NAME, Anchor::Start, false, format!("{stock}{size}"));
    block.height = 500;
    block
}

/// The stop settings in cutting order.
fn settings(board: &Board) -> Vec<Block> {
    let plain = |text: String| Word { text, bold: false, gap: 0 };
    let mut items = vec![vec![plain("Stop settings in order".into())]];
    for run in board.runs() {
        let [Some(cut), Some(last)] = [run.first(), run.last()] else { continue };
        let number = match last.number {
            last if last == cut.number => format!("{last}:"),
            last => format!("{}–{last}:", cut.number),
        };
        let mut item = vec![Word { text: number, bold: false, gap: 100 }];
        if cut.squares {
            let (side, other) = if cut.beyond { ("far", "beyond") } else { ("near", "before") };
            let text = format!("square the {side} {} off, blade {other} the line at", edge(cut.way));
            item.push(Word { text, bold: false, gap: 80 });
        } else if cut.way == Way::Rip {
            item.push(Word { text: "rip".into(), bold: false, gap: 80 });
        }
        item.push(Word { text: cut.setting_text.clone(), bold: true, gap: 80 });
        if cut.lot > 0 {
            item.push(Word { text: format!("on {}", on(run)), bold: false, gap: 80 });
        }
        match &cut.frees {
            Off::Part(part) => item.push(plain(format!("no. {}", part + 1))),
            Off::Blank(..) => item.extend(
                blanks(run.iter().map(|cut| &cut.frees)).map(|(name, _)| plain(format!("blank {name}"))),
            ),
            Off::Offcut(..) => item.push(plain("to keep".into())),
            Off::Waste => item.push(plain("waste".into())),
            Off::Edge => {}
        }
        if let Some((name, _)) = blanks(run.iter().filter_map(|cut| cut.leaves.as_ref())) {
            let comma = item.last_mut().filter(|_| cut.frees != Off::Edge);
            comma.into_iter().for_each(|word| word.text.push(','));
            item.push(plain(format!("left: blank {name}")));
        }
        items.push(item);
    }
    if board.cuts.is_empty() {
        items = vec![vec![plain("No cut: the whole board is the part".into())]];
    }
    flow(items, FIGURE, NAME, ROOM)
}

fn edge(way: Way) -> &'static str {
    match way {
        Way::Crosscut => "end",
        Way::Rip => "edge",
    }
}
