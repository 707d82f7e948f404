//! labels.html: one label a piece, on pages as the shop buys them.
//!
//! Every line of a label has a box of its own and gets the largest letters that fit it: a long name shrinks, then
//! wraps, and only then ends in an ellipsis; nothing leaves its box. Widths are estimated for a wide font. All
//! lengths are in units of 1/100 mm, which a narrow screen makes smaller.

use super::drawing::lettering;
use super::qr::{self, Code};
use crate::report::labels::{Grain, Label, Labels, Outline};
use askama::Template;
use nest_core::units::Length;

/// The page.
#[derive(Template)]
#[template(path = "labels.html")]
struct LabelsPage {
    /// Width and height of the paper in millimetres.
    page: [String; 2],
    /// A little less than its height, so that no viewer adds an empty page.
    high: i64,
    /// Width and height of a label.
    size: [i64; 2],
    inside: i64,
    text: i64,
    art: i64,
    count: usize,
    about: String,
    missing: u64,
    pages: Vec<Vec<Placed>>,
}

/// A label at its place.
struct Placed {
    at: [i64; 2],
    title: String,
    boxes: Vec<TextBox>,
    drawing: Drawing,
    code: Option<Code>,
    code_side: i64,
}

/// One text of a label: how high its box is, how large its letters, and its lines.
struct TextBox {
    class: &'static str,
    height: i64,
    font: i64,
    lines: Vec<String>,
}

/// A part as shapes in a box of this size.
struct Drawing {
    size: [i64; 2],
    part: [i64; 4],
    /// Left, upper, width, height of each banded edge.
    bands: Vec<[i64; 4]>,
    grain: String,
    words: String,
}

fn units(length: Length) -> i64 {
    length.ticks() / (Length::TICKS_PER_MM / 100)
}

fn mm(units: i64) -> String {
    format!("{}.{:02}", units / 100, units % 100)
}

/// Between the edge of a label and what is printed on it.
const INSIDE: i64 = 200;
/// Between words and drawing.
const GAP: i64 = 150;
/// The largest and the smallest letters; words are broken in letters up to the third size only.
const LARGEST: i64 = 560;
const SMALLEST: i64 = 150;
const BREAKING: i64 = 220;

/// All labels as one file.
pub fn render(labels: &Labels) -> Vec<u8> {
    let sheet = labels.sheet;
    let columns = i64::from(sheet.grid[0].max(1));
    let (size, margin, gap) = (sheet.size.map(units), sheet.margin.map(units), sheet.gap.map(units));
    let [wide, high] = size.map(|side| side - 2 * INSIDE);
    let art = (wide * 30 / 100).min(high);
    let text = wide - art - GAP;
    let each = sheet.each().max(1) as usize;
    let mut pages: Vec<Vec<Placed>> = Vec::new();
    for (place, label) in (labels.skip as usize..).zip(&labels.labels) {
        while pages.len() <= place / each {
            pages.push(Vec::new());
        }
        let nth = i64::try_from(place % each).unwrap_or(0);
        let cell = [nth % columns, nth / columns];
        let at = [0, 1].map(|axis| margin[axis] + cell[axis] * (size[axis] + gap[axis]));
        if let Some(page) = pages.last_mut() {
            page.push(placed(label, at, [text, high], art));
        }
    }
    let page = LabelsPage {
        page: sheet.paper.size().map(units).map(mm),
        high: units(sheet.paper.size()[1]) - 20,
        size,
        inside: INSIDE,
        text,
        art,
        count: labels.labels.len(),
        about: format!(
            "{} x {} labels of {} x {} mm on {}",
            sheet.grid[0],
            sheet.grid[1],
            mm(size[0]),
            mm(size[1]),
            sheet.paper.name()
        ),
        missing: labels.missing,
        pages,
    };
    // It writes to memory, and nothing in it can fail.
    page.render().unwrap_or_default().into_bytes()
}

fn placed(label: &Label, at: [i64; 2], [text, high]: [i64; 2], art: i64) -> Placed {
    let join = |texts: &[&str]| {
        let found: Vec<&str> = texts.iter().copied().filter(|text| !text.is_empty()).collect();
        found.join("; ")
    };
    let number = format!("part {} – {}", label.number, label.copy);
    // The number first: a name that is read from right to left would turn the line around.
    // What is still to be done takes room from the name. Share of the height, whether bold, and what it says.
    let later = if label.later.is_empty() { 0 } else { 10 };
    let rows: [(i64, &'static str, bool, String); 7] = [
        (28 - later, "name", true, label.name.clone()),
        (18, "size", true, label.size.clone()),
        (later, "size", true, label.later.clone()),
        (12, "", false, label.material.clone()),
        (12, "", false, join(&[&number, &label.job])),
        (12, "", false, label.from.clone()),
        (18, "", false, join(&[&label.band, &label.grain])),
    ];
    let rows = rows.into_iter().filter(|(share, ..)| *share > 0);
    let boxes = rows.map(|(share, class, bold, words)| {
        let height = high * share / 100;
        // Name and size stand out; all else is of one size where it can be.
        let most = if bold { LARGEST } else { high * 12 / 100 * 80 / 100 };
        let (font, lines) = fit(&words, [text, height], bold, most);
        TextBox { class, height, font, lines }
    });
    let code = label.code.as_deref().and_then(qr::code);
    let code_side = if code.is_some() { art.min(high * 62 / 100) } else { 0 };
    Placed {
        at,
        title: format!("part {}, {}", label.number, label.copy),
        boxes: boxes.collect(),
        drawing: draw(label, [art, high - code_side]),
        code,
        code_side,
    }
}

/// The largest letters with which a text fits a box, and its lines. Where even the smallest are too large, the text
/// ends in an ellipsis.
fn fit(text: &str, [wide, high]: [i64; 2], bold: bool, largest: i64) -> (i64, Vec<String>) {
    let wide = if bold { wide * 100 / 112 } else { wide };
    let most = |font: i64| usize::try_from(high * 100 / (font * 118)).unwrap_or(0);
    let mut font = (high * 80 / 100).min(largest).clamp(SMALLEST, LARGEST);
    loop {
        let lines = lettering::wrapped(text, font, wide);
        // A word broken in two is worse than smaller letters, unless it is no word that people use.
        let word = |word: &str| word.chars().count() <= 24 && lettering::width(word, font) > wide;
        let broken = lines.len() > 1 && text.split(' ').any(word);
        if lines.len() <= most(font) && (!broken || font <= BREAKING) {
            return (font, lines);
        }
        if font == SMALLEST {
            let mut lines = lines;
            lines.truncate(most(font).max(1));
            if let Some(last) = lines.last_mut() {
                let room = wide - lettering::width("…", font);
                while lettering::width(last, font) > room && last.pop().is_some() {}
                last.push('…');
            }
            return (font, lines);
        }
        font = (font * 94 / 100).max(SMALLEST);
    }
}

fn draw(label: &Label, size: [i64; 2]) -> Drawing {
    let Outline { size: part, banded, grain } = label.outline;
    let [wide, high] = size.map(|side| (side - 120).max(1));
    let [length, width] = part.map(|side| i128::from(side.ticks().max(1)));
    // True to shape as far as a long thin part can still be seen.
    let scaled = |side: i128, other: i128, room: i64| {
        i64::try_from(side * i128::from(room) / other.max(1)).unwrap_or(room)
    };
    let (w, h) = match length * i128::from(high) >= width * i128::from(wide) {
        true => (wide, scaled(width, length, wide).clamp((high / 8).min(260), high)),
        false => (scaled(length, width, high).clamp((wide / 8).min(260), wide), high),
    };
    let (x, y) = ((size[0] - w) / 2, (size[1] - h) / 2);
    let thick = (h.min(w) / 5).clamp(40, 90);
    let along = [[x, y + h - thick, w, thick], [x, y, w, thick]];
    let across = [[x, y, thick, h], [x + w - thick, y, thick, h]];
    let bands =
        (along.into_iter().take(banded[0].into())).chain(across.into_iter().take(banded[1].into())).collect();
    let (cx, cy) = (x + w / 2, y + h / 2);
    // A line with a head at both ends: figure runs both ways.
    let grain = match grain {
        Grain::Free => String::new(),
        Grain::Length => {
            let (half, tip) = (w * 32 / 100, (h / 5).min(70));
            let (a, b) = (cx - half, cx + half);
            format!(
                "M{a} {cy}H{b}M{} {}L{a} {cy}L{} {}M{} {}L{b} {cy}L{} {}",
                a + tip,
                cy - tip,
                a + tip,
                cy + tip,
                b - tip,
                cy - tip,
                b - tip,
                cy + tip
            )
        }
        Grain::Width => {
            let (half, tip) = (h * 32 / 100, (w / 5).min(70));
            let (a, b) = (cy - half, cy + half);
            format!(
                "M{cx} {a}V{b}M{} {}L{cx} {a}L{} {}M{} {}L{cx} {b}L{} {}",
                cx - tip,
                a + tip,
                cx + tip,
                a + tip,
                cx - tip,
                b - tip,
                cx + tip,
                b - tip
            )
        }
    };
    let words = match (label.band.as_str(), label.grain.as_str()) {
        ("", grain) => grain.to_string(),
        (band, "") => band.to_string(),
        (band, grain) => format!("{band}; {grain}"),
    };
    Drawing { size, part: [x, y, w, h], bands, grain, words }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn long_names_get_smaller_letters_and_then_lines() {
        let room = [4_000, 900];
        let sizes: Vec<(i64, usize)> =
            ["side", "left tower side", "left tower side, lower part behind the drawers"]
                .iter()
                .map(|text| fit(text, room, true, LARGEST))
                .map(|(font, lines)| (font, lines.len()))
                .collect();
        assert!(sizes[0].0 > sizes[1].0 && sizes[1].0 > sizes[2].0, "{sizes:?}");
        assert_eq!(sizes[0].1, 1, "{sizes:?}");
        assert!(sizes[2].1 > 1, "{sizes:?}");
        let (font, lines) = fit(&"very long ".repeat(40), [2_000, 300], false, LARGEST);
        assert_eq!(font, SMALLEST);
        assert!(lines.last().unwrap().ends_with('…'), "{lines:?}");
    }

    proptest! {
        #[test]
        fn no_text_leaves_its_box(text in any::<String>(), wide in 1_500..9_000_i64, high in 260..2_000_i64) {
            let (font, lines) = fit(&crate::clean::clean(&text), [wide, high], false, LARGEST);
            prop_assert!(font * 118 * lines.len() as i64 <= high * 100);
            for line in lines {
                prop_assert!(lettering::width(&line, font) <= wide);
            }
        }
    }
}
