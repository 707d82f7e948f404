//! The pages of one sheet: a title, the drawing, and the steps of the cut list in two columns.
//!
//! One page where it fits: the drawing gives way to the list, down to a least size, or moves beside it, which leaves a square
//! sheet larger. Where nothing fits, the arrangement with the fewest pages is taken, and no last page holds a few steps only.

use super::board::{LEADING, NAME, SMALL};
use super::flow::{Word, flow};
use super::lettering::{bold_width, shortened, whole, width, wrapped};
use super::sheet::{Drawn, draw, scale};
use super::{Anchor, Block, Look, MARGIN, ROOM, Room, Run, Shape};
use crate::report::names::titled;
use crate::report::{Section, Sheet, Step};

/// Font size of the list.
const LIST: i64 = 240;
/// Heights that a drawing above its list may have, the most wanted first.
const HEIGHTS: [i64; 6] = [12_200, 11_200, 10_200, 9_200, 8_200, 7_400];
/// The same beside it.
const BESIDE: [i64; 4] = [12_000, 11_000, 10_000, 9_000];
/// Between the two columns.
const GAP: i64 = 400;
const COLUMN: i64 = (ROOM - GAP) / 2;
/// A last page with fewer steps than these is not worth its paper.
const FEW: usize = 4;

/// A sheet as blocks, one a page.
pub(super) fn blocks(section: &Section, sheet: &Sheet, most: i64) -> Vec<Block> {
    let numbers = sheet.steps.iter().map(|step| bold_width(&step.numbers(), LIST));
    let number_room = numbers.max().unwrap_or(0) + 200;
    let rows: Vec<Block> = sheet.steps.iter().map(|one| step(one, number_room)).collect();
    let above = HEIGHTS.into_iter().map(|high| (Room { wide: ROOM, high }, false));
    let beside = BESIDE.into_iter().map(|high| (Room { wide: COLUMN, high }, true));
    let mut rooms: Vec<(Room, bool)> = above.chain(beside).collect();
    // The largest drawing first.
    rooms.sort_by_key(|(room, _)| scale(sheet, *room));
    let mut best: Option<(usize, bool, Vec<Block>)> = None;
    for (room, beside) in rooms {
        let (pages, on_last) = composed(section, sheet, &rows, most, room, beside);
        let thin = pages.len() > 1 && on_last < FEW;
        if best.as_ref().is_none_or(|(count, was_thin, _)| (pages.len(), thin) < (*count, *was_thin)) {
            best = Some((pages.len(), thin, pages));
        }
        if best.as_ref().is_some_and(|(count, ..)| *count == 1) {
            break;
        }
    }
    let mut pages = best.map_or_else(Vec::new, |(_, _, pages)| pages);
    for page in &mut pages {
        page.layouts = Some([sheet.number; 2]);
    }
    pages
}

/// The pages with a drawing of this size, and how many steps the last one holds.
fn composed(
    section: &Section,
    sheet: &Sheet,
    rows: &[Block],
    most: i64,
    room: Room,
    beside: bool,
) -> (Vec<Block>, usize) {
    let drawn = draw(section, sheet, room);
    let mut page = title(sheet, &drawn);
    let top = page.height;
    page.append(drawn.block);
    let items = drawn.key.into_iter().map(|text| vec![Word { text, bold: false, gap: 0 }]);
    let mut key = flow(items.collect(), SMALL, SMALL, room.wide).into_iter().peekable();
    let mut other = top;
    let mut left = rows;
    let mut pages: Vec<Block> = Vec::new();
    loop {
        // What the drawing leaves no room for goes on overleaf, at least a line a page.
        let mut owed = !pages.is_empty();
        while let Some(line) = key.next_if(|line| owed || page.height + line.height + 120 <= most) {
            page.append(line);
            owed = false;
        }
        page.height += 120;
        let tops = if beside { [page.height, other] } else { [page.height; 2] };
        // A list that waits for the end of the key beside it need not begin here; else every page holds some of it.
        let taken = fill(&mut page, left, tops, most, key.peek().is_none());
        left = &left[taken..];
        if rows.is_empty() && key.peek().is_none() {
            let text = "No cut: all of it is the part";
            page.text([MARGIN, page.height + 300], NAME, Anchor::Start, false, text);
            page.height += 450;
        }
        pages.push(std::mem::take(&mut page));
        if left.is_empty() && key.peek().is_none() {
            return (pages, taken);
        }
        let what = if key.peek().is_some() { "" } else { ": cuts" };
        let title = format!("Layout {}{what}, continued", sheet.number);
        page.text([MARGIN, 400], 400, Anchor::Start, true, title);
        (page.height, other) = (580, 700);
    }
}

/// Sets as many rows as fit into two columns of about one height; returns how many: at least one, if `some` has
/// to be.
fn fill(page: &mut Block, rows: &[Block], tops: [i64; 2], most: i64, some: bool) -> usize {
    let all: i64 = rows.iter().map(|row| row.height).sum();
    let mut end = ((tops[0] + tops[1] + all) / 2).max(tops[0]).min(most);
    let placed = |end: i64| {
        let mut columns = [0, 0];
        let mut next = 0;
        for (column, top) in tops.into_iter().enumerate() {
            let mut y = top;
            while let Some(row) = rows.get(next).filter(|row| y + row.height <= end) {
                y += row.height;
                next += 1;
                columns[column] += 1;
            }
        }
        columns
    };
    let mut columns = placed(end);
    while columns[0] + columns[1] < rows.len() && end < most {
        end = (end + 150).min(most);
        columns = placed(end);
    }
    if columns == [0, 0] && some && !rows.is_empty() {
        columns[0] = 1;
    }
    let mut rows = rows.iter();
    for ((column, count), top) in columns.into_iter().enumerate().zip(tops) {
        let mut y = top;
        for row in rows.by_ref().take(count) {
            let mut row = row.clone();
            row.shift(y);
            row.aside(column as i64 * (COLUMN + GAP));
            y += row.height;
            page.shapes.append(&mut row.shapes);
        }
        page.height = page.height.max(y);
    }
    columns[0] + columns[1]
}

/// What the sheet is, and how to read its drawing.
fn title(sheet: &Sheet, drawn: &Drawn) -> Block {
    let mut block = Block::default();
    let y = 400;
    let mut name = format!("Layout {}", sheet.number);
    if sheet.copies > 1 {
        name.push_str(&format!(" × {}", sheet.copies));
    }
    block.text([MARGIN, y], 400, Anchor::Start, true, name.as_str());
    let x = MARGIN + bold_width(&name, 400) + 200;
    let spare =
        if sheet.tight() { format!("{}: measure first", sheet.spare_text()) } else { sheet.spare_text() };
    let end = MARGIN + ROOM;
    let room = bold_width(&spare, SMALL) + 200;
    if sheet.tight() {
        block.rect([end - room, y - 300], [room, 390], Look::Cell, None);
    }
    block.text([end - 100, y], SMALL, Anchor::End, sheet.tight(), spare);
    let usable = sheet.usable.as_ref().map_or(String::new(), |u| format!(", usable {u}"));
    let scale = format!(", yield {}, scale {}", sheet.yields, drawn.scale);
    let [name, size] = titled(&sheet.stock, &sheet.size_text);
    let size = if size.is_empty() { String::new() } else { format!(" ({size})") };
    let tail = format!("{size}{usable}{scale}");
    let room = end - x - room - 300;
    let stock = shortened(name, SMALL, room - width(&tail, SMALL), 1).unwrap_or_default();
    let text = shortened(&format!("{stock}{tail}"), SMALL, room, 1).unwrap_or_default();
    block.text([x, y], SMALL, Anchor::Start, false, text);
    let stack = sheet.stack_text();
    let notes = std::iter::once(Sheet::NOTE)
        .chain(sheet.rounded().then_some(Sheet::ROUNDED))
        .chain(stack.iter().chain(&sheet.matched).chain(&sheet.note).map(String::as_str));
    let lines: Vec<String> = notes.flat_map(|note| wrapped(note, 190, ROOM)).collect();
    for (i, line) in lines.iter().enumerate() {
        block.text([MARGIN, 730 + 250 * i as i64], 190, Anchor::Start, false, line.as_str());
    }
    block.height = 560 + 250 * lines.len() as i64;
    block
}

/// One step, as wide as a column.
fn step(step: &Step, number_room: i64) -> Block {
    let indent = number_room + 180 * (step.depth.saturating_sub(1).min(6) as i64);
    let room = COLUMN - indent;
    let [verb, rest, gives] = [step.verb_text(), step.rest(), step.gives()].map(|text| whole(&text));
    let high = LIST * LEADING / 10;
    let mut block = Block { height: high, ..Block::default() };
    block.text([MARGIN, LIST], LIST, Anchor::Start, true, step.numbers());
    let bold = |text: String| Run { text, size: LIST, bold: true, gap: 0 };
    let mut words = vec![bold(verb.clone())];
    let mut lines = Vec::new();
    if bold_width(&verb, LIST) + 80 + width(&rest, LIST) <= room {
        words.push(Run { text: rest, size: LIST, bold: false, gap: 80 });
    } else {
        lines.extend(wrapped(&rest, LIST, room));
    }
    block.shapes.push(Shape::Words { at: [MARGIN + indent, LIST], words });
    if !gives.is_empty() {
        lines.extend(wrapped(&gives, LIST, room));
    }
    for line in lines {
        block.text([MARGIN + indent, block.height + LIST], LIST, Anchor::Start, false, line);
        block.height += high;
    }
    block.height += 70;
    block
}
