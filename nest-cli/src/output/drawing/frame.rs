//! What surrounds the boards of a page: heading, legend, title block; and the list of stop settings at the end.

use super::lettering::{bold_width, shortened, width};
use super::{Anchor, Block, HEIGHT, Look, MARGIN, Page, ROOM, Scale, Shape};
use crate::clean::isolated;
use crate::report::Section;
use crate::report::words::ranges;
use nest_core::plan::Way;

/// Height of the heading.
pub(super) const HEAD: i64 = 900;
const TEXT: i64 = 270;
const SMALL: i64 = 210;

/// A page: heading above, what is on it, legend and title block below.
pub(super) fn page(section: &Section, sheet: Block, foot: &Block, number: usize, count: usize) -> Page {
    let mut page = Block::default();
    let of = if count > 1 { format!("page {number} of {count}") } else { String::new() };
    let end = MARGIN + ROOM;
    page.text([end, MARGIN + 420], TEXT, Anchor::End, false, of.as_str());
    let room = ROOM - width(&of, TEXT) - 400;
    let name = shortened(&section.name, 520, room * 100 / 112, 1).unwrap_or_default();
    page.text([MARGIN, MARGIN + 450], 520, Anchor::Start, true, name);
    page.line([MARGIN, MARGIN + 620], [end, MARGIN + 620], 40);
    page.height = MARGIN + HEAD;
    let layouts = sheet.layouts;
    page.append(sheet);
    page.append(foot.clone());
    let title = if count > 1 { format!("{}, {of}", section.name) } else { section.name.clone() };
    Page { title, layouts, height: (page.height + MARGIN).min(HEIGHT), shapes: page.shapes }
}

/// Legend and title block.
pub(super) fn foot(section: &Section, scale: Scale) -> Block {
    let mut foot = Block::default();
    foot.append(legend(false));
    let mut more = vec![("Scale along", scale.text())];
    if !scale.true_height() {
        more.push(("Across", "not to scale".into()));
    }
    foot.append(title_block(section, more));
    foot
}

/// Legend and title block for sheets: each drawing states its scale.
pub(super) fn sheet_foot(section: &Section) -> Block {
    let mut foot = Block::default();
    foot.append(legend(true));
    foot.append(title_block(section, Vec::new()));
    foot
}

/// What the looks mean.
fn legend(sheets: bool) -> Block {
    let mut block = Block { height: 620, ..Block::default() };
    let mut x = MARGIN;
    let (y, high) = (120, 300);
    for (look, text) in [
        (Look::Tinted, "part"),
        (Look::Solid, "dust of a cut"),
        (Look::Crossed, "edge trim"),
        (Look::Hatched, "waste"),
        (Look::Dotted, "offcut to keep"),
    ] {
        let wide = if look == Look::Solid { 60 } else { 550 };
        block.rect([x, y], [wide, high], look, None);
        x += wide + 120;
        block.text([x, y + 230], SMALL, Anchor::Start, false, text);
        x += width(text, SMALL) + 450;
    }
    if sheets {
        block.line([x, y + high / 2], [x + 550, y + high / 2], 50);
        block.text([x + 670, y + 230], SMALL, Anchor::Start, false, "edge band");
        x += 670 + width("edge band", SMALL) + 450;
        block.shapes.push(Shape::Circle { at: [x + 150, y + 150], r: 150 });
        let text = "number of a cut: the blade goes beyond the line, seen from R";
        block.text([x + 420, y + 230], SMALL, Anchor::Start, false, text);
        return block;
    }
    block.line([x, y - 20], [x, y + high], 15);
    block.shapes.push(Shape::Triangle { corners: [[x, y + 40], [x, y + 200], [x + 170, y + 120]] });
    block.text([x + 260, y + 230], SMALL, Anchor::Start, false, "side of the line that the blade takes");
    let end = MARGIN + ROOM;
    let text = "small figures: running positions, only to check";
    block.text([end, y + 230], SMALL, Anchor::End, false, text);
    block
}

/// The cells of the title block.
fn title_block(section: &Section, more: Vec<(&'static str, String)>) -> Block {
    let jobs: Vec<String> = section.jobs.iter().map(|job| isolated(job)).collect();
    let jobs = if jobs.is_empty() { "-".to_string() } else { jobs.join(", ") };
    let mut cells: Vec<(&str, String)> = vec![("Material", section.name.clone()), ("Jobs", jobs)];
    cells.extend(section.facts.iter().map(|(name, value)| (*name, value.clone())));
    cells.extend(more);
    // Last, in the lower right corner, where numbers of drawings stand.
    cells.push(("Plan", section.plan.clone()));
    // Each cell gets what it needs; material and jobs share the rest, or a row of their own where little is left.
    let need = |(name, value): &(&str, String)| width(name, SMALL).max(bold_width(value, TEXT)) + 240;
    let fixed: i64 = cells[2..].iter().map(need).sum();
    let rest = if ROOM - fixed < 4_000 { ROOM } else { ROOM - fixed };
    let wanted: Vec<i64> = cells[..2].iter().map(need).collect();
    let first =
        if wanted[0] + wanted[1] <= rest { rest * wanted[0] / (wanted[0] + wanted[1]) } else { rest / 2 };
    let mut rows: Vec<Vec<(&(&str, String), i64)>> = vec![Vec::new()];
    let (mut left, mut sizes) = (ROOM, vec![first, rest - first]);
    sizes.extend(cells[2..].iter().map(|cell| need(cell).min(ROOM)));
    for (cell, wide) in cells.iter().zip(sizes) {
        if wide > left {
            left = ROOM;
            rows.push(Vec::new());
        }
        left -= wide;
        rows.last_mut().into_iter().for_each(|row| row.push((cell, wide)));
    }
    let high = 900;
    let mut block = Block::default();
    for row in &rows {
        let (mut x, y) = (MARGIN, block.height);
        for (i, (cell, wide)) in row.iter().enumerate() {
            // The last cell of a row takes what is left.
            let wide = if i + 1 == row.len() { MARGIN + ROOM - x } else { *wide };
            block.rect([x, y], [wide, high], Look::Cell, None);
            block.text([x + 120, y + 300], SMALL, Anchor::Start, false, cell.0);
            let value = shortened(&cell.1, TEXT, wide - 200, 1).unwrap_or_default();
            let bold = y == 0 && i == 0 || cell.0 == "Plan";
            block.text([x + 120, y + 700], TEXT, Anchor::Start, bold, value);
            x += wide;
        }
        block.rect([MARGIN, y], [ROOM, high], Look::Frame, None);
        block.height += high;
    }
    block
}

/// The list of stop settings, a block a row of columns.
pub(super) fn stops(section: &Section) -> Vec<Block> {
    const COLUMNS: i64 = 3;
    const ROW: i64 = 430;
    if section.stops.is_empty() {
        return Vec::new();
    }
    let wide = ROOM / COLUMNS;
    let heading = match (section.sheets.is_empty(), section.word()) {
        (true, _) => "Stop settings, all boards",
        (false, "Board") => "Stop and fence settings, all boards",
        (false, _) => "Settings, all sheets: fence for rips, fence or track for crosscuts",
    };
    let lead = if section.sheets.is_empty() { 2_600 } else { 3_200 };
    let mut head = Block { height: 700, ..Block::default() };
    head.text([MARGIN, 420], 350, Anchor::Start, true, heading);
    let mut blocks: Vec<Block> = Vec::new();
    // Down the columns: the order is that of the lengths.
    let rows = section.stops.len().div_ceil(COLUMNS as usize);
    for row in 0..rows {
        let mut block = Block { height: ROW, ..Block::default() };
        for (column, stop) in section.stops.iter().skip(row).step_by(rows).enumerate() {
            let x = MARGIN + column as i64 * wide;
            let cuts = if stop.cuts == 1 { "1 cut".to_string() } else { format!("{} cuts", stop.cuts) };
            let way = match (stop.way, section.sheets.is_empty()) {
                (Way::Rip, _) => "rip ",
                (Way::Crosscut, true) => "",
                (Way::Crosscut, false) => "cross ",
            };
            let name = format!("{way}{}", stop.setting);
            block.text([x + lead, 300], TEXT + 30, Anchor::End, true, name);
            block.text([x + lead + 200, 300], TEXT, Anchor::Start, false, cuts.as_str());
            let from = lead + 200 + width(&cuts, TEXT).max(1_300) + 150;
            let boards =
                format!("layout{} {}", if stop.boards.len() == 1 { "" } else { "s" }, ranges(&stop.boards));
            let boards = if stop.far { format!("far side, {boards}") } else { boards };
            if let Some(text) = shortened(&boards, TEXT, wide - from - 300, 5) {
                block.text([x + from, 300], TEXT, Anchor::Start, false, text);
            }
            block.line([x, ROW - 20], [x + wide - 300, ROW - 20], 10);
        }
        // A heading does not stand alone at the end of a page.
        if row == 0 {
            head.append(std::mem::take(&mut block));
            block = std::mem::take(&mut head);
        }
        blocks.push(block);
    }
    if let Some(last) = blocks.last_mut() {
        last.height += 300;
    }
    blocks
}
