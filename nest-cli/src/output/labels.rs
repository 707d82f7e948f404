//! labels.html: one label a piece, on pages as the shop buys them.
//!
//! Name and size get the largest letters that fit their boxes; all else shares a box and one size of letters, and takes
//! room from the name before its letters get too small to read; a long note makes them smaller, then its own. A long
//! text wraps, anywhere if it must, then shrinks, and only then ends in an ellipsis; nothing leaves its box. Widths are
//! estimated for a wide font. All lengths are in units of 1/100 mm, which a narrow screen makes smaller.

use super::drawing::lettering::{self, kept, whole};
use super::qr::{self, Code};
use super::svg::decimal;
use crate::clean::isolated;
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
    plan: i64,
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
    /// The plan it is of, below the drawing; `None` where there is no room.
    plan: Option<String>,
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

/// Between the edge of a label and what is printed on it.
const INSIDE: i64 = 200;
/// Between words and drawing.
const GAP: i64 = 150;
/// The largest and the smallest letters; words that people use are broken in letters up to the third size only; larger
/// ones than the last are read without effort.
const LARGEST: i64 = 560;
const SMALLEST: i64 = 150;
const BREAKING: i64 = 220;
const LEGIBLE: i64 = 270;
/// Letters of the number of the plan, which somebody who sorts labels looks for.
const PLAN: i64 = 250;
/// A note longer than this is to be read in the report.
const NOTE_LINES: usize = 3;

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
        page: sheet.paper.size().map(units).map(decimal),
        high: units(sheet.paper.size()[1]) - 20,
        size,
        inside: INSIDE,
        text,
        art,
        plan: PLAN,
        count: labels.labels.len(),
        about: format!(
            "{} x {} labels of {} x {} on {}",
            sheet.grid[0],
            sheet.grid[1],
            labels.size[0],
            labels.size[1],
            sheet.paper.name()
        ),
        missing: labels.missing,
        pages,
    };
    // It writes to memory, and nothing in it can fail.
    page.render().unwrap_or_default().into_bytes()
}

fn placed(label: &Label, at: [i64; 2], [text, high]: [i64; 2], art: i64) -> Placed {
    let code = label.code.as_deref().and_then(qr::code);
    let code_side = if code.is_some() { art.min(high * 62 / 100) } else { 0 };
    let drawn = high - code_side;
    // The drawing gives a line to the number of the plan, unless little would be left of it.
    let words = [format!("plan {}", label.plan), label.plan.clone()];
    let room = |words: &String| lettering::width(words, PLAN) <= art && line_height(PLAN) <= drawn / 4;
    let plan = words.into_iter().find(room);
    let drawn = drawn - plan.as_ref().map_or(0, |_| line_height(PLAN));
    Placed {
        at,
        title: format!("part {}, {}", label.number, label.copy),
        boxes: boxes(label, [text, high]),
        drawing: draw(label, [art, drawn]),
        code,
        code_side,
        plan,
    }
}

/// All words of a label: its name has the height that the others leave.
fn boxes(label: &Label, [text, high]: [i64; 2]) -> Vec<TextBox> {
    let size = large("size", &kept(&label.size), [text, high * 16 / 100]);
    let later = (!label.later.is_empty()).then(|| {
        let words = kept(&label.later);
        let one_line = large("size", &words, [text, high * 10 / 100]);
        if one_line.font < LEGIBLE { large("size", &words, [text, high * 18 / 100]) } else { one_line }
    });
    let large_rows = size.height + later.as_ref().map_or(0, |later| later.height);
    let small = Small::of(label, [text, high], high * 80 / 100 - large_rows);
    let (name, below) = small.beside(&label.name, high - large_rows);
    let mut boxes = vec![name, size];
    boxes.extend(later);
    boxes.extend(below.into_iter().filter(|below| below.lines.iter().any(|line| !line.is_empty())));
    boxes
}

/// A text in the largest letters that fit its box.
fn large(class: &'static str, words: &str, [wide, height]: [i64; 2]) -> TextBox {
    let (font, lines) = fit(&[words.to_owned()], [wide, height], true, LARGEST);
    TextBox { class, height, font, lines: lines.concat() }
}

/// What lines take.
fn taken(font: i64, lines: usize) -> i64 {
    line_height(font) * i64::try_from(lines).unwrap_or(0)
}

fn lines_of(texts: &[Vec<String>]) -> usize {
    texts.iter().map(Vec::len).sum()
}

/// What is small on a label: material and cut size, job, where it comes from, band and grain; then its note.
struct Small {
    texts: [String; 4],
    /// Empty for none.
    note: String,
    wide: i64,
    /// The most that all of it may take.
    room: i64,
    /// Letters of the texts where nothing is left out for the note, and their lines.
    font: i64,
    lines: Vec<Vec<String>>,
}

impl Small {
    /// With the cut size if it can be whole, which matters more than the material: half of it would be taken for a size.
    fn of(label: &Label, size: [i64; 2], room: i64) -> Self {
        let of = |first: &str| Self::new(label, first, size, room);
        let cut = format!("cut\u{a0}{}", whole(&label.cut));
        let is_whole = |small: &Self| small.lines.iter().flatten().any(|line| line.contains(&cut));
        let with_cut = [&format!("{}; {cut}", label.material), &cut];
        let mut tried = with_cut.into_iter().filter(|_| !label.cut.is_empty()).map(|first| of(first));
        tried.find(is_whole).unwrap_or_else(|| of(&label.material))
    }

    fn new(label: &Label, first: &str, [wide, high]: [i64; 2], room: i64) -> Self {
        let join = |texts: &[&str]| {
            let found: Vec<&str> = texts.iter().copied().filter(|text| !text.is_empty()).collect();
            found.join("; ")
        };
        let number = format!("part {} – {}", label.number, label.copy);
        let texts = [
            first.to_owned(),
            join(&[&number, &isolated(&label.job)]),
            label.from.clone(),
            join(&[&label.band, &label.grain]),
        ]
        .map(|text| kept(&text));
        let noted = !label.note.is_empty();
        let most = high * 12 / 100 * 80 / 100;
        let fits = |height: i64| fit(&texts, [wide, height], false, most);
        // It may take a larger share of the height where its letters would not be legible. A note has what the rest leaves: to
        // give it one line, letters may get smaller, but not too small to read.
        let (font, lines) = Some(fits(high * 52 / 100))
            .filter(|(font, _)| *font >= LEGIBLE)
            .filter(|(font, lines)| !noted || taken(*font, lines_of(lines) + 1) <= room)
            .unwrap_or_else(|| {
                let all = fits(room);
                // A fifth of the height, or as little as one line is of several.
                let less = (4..7).map(|of| (of, fits(room * of / (of + 1)))).find(|(of, (font, lines))| {
                    let fits = *of == 4 || taken(*font, lines_of(lines) + 1) <= room;
                    noted && fits && *font >= BREAKING.min(all.0)
                });
                less.map_or(all, |(_, less)| less)
            });
        Self { texts, note: kept(&isolated(&label.note)), wide, room, font, lines }
    }

    /// The name, and all that is small below it; both share this height.
    fn beside(&self, name: &str, high: i64) -> (TextBox, Vec<TextBox>) {
        let sizes = || {
            let smaller = |size: &i64| Some(size * 94 / 100).filter(|&size| size >= BREAKING);
            std::iter::successors(Some(self.font), smaller)
        };
        // To show a whole note, all letters get smaller while they are legible, then its own alone.
        sizes()
            .filter(|&size| !breaks(&self.note, size, self.wide))
            .map(|size| self.with_note((name, high), size.max(LEGIBLE.min(self.font)), size))
            .find(|(whole, _)| *whole)
            .unwrap_or_else(|| self.with_note((name, high), self.font, sizes().last().unwrap_or(self.font)))
            .1
    }

    /// The same with texts and note in letters of these sizes, and whether it shows the whole note.
    fn with_note(&self, (name, high): (&str, i64), font: i64, size: i64) -> (bool, (TextBox, Vec<TextBox>)) {
        let smaller = || self.texts.iter().map(|words| lettering::wrapped(words, font, self.wide)).collect();
        let lines: Vec<Vec<String>> = if font == self.font { self.lines.clone() } else { smaller() };
        let all =
            if self.note.is_empty() { Vec::new() } else { lettering::wrapped(&self.note, size, self.wide) };
        let above = taken(font, lines_of(&lines));
        let most = usize::try_from((self.room - above) / line_height(size)).unwrap_or(0);
        let shown = |most: usize| {
            let note = first_lines(&all, most, size, self.wide);
            let left = high - above - taken(size, note.len());
            (large("name", name, [self.wide, left]), note)
        };
        // Further lines of a note do not cost the name its size.
        let (name, note) = (2..=most.min(NOTE_LINES).min(all.len()))
            .rev()
            .map(shown)
            .find(|(name, _)| name.font >= LEGIBLE)
            .unwrap_or_else(|| shown(most.min(1)));
        let whole = note.len() == all.len();
        let below = lines.into_iter().map(|lines| ("", font, lines)).chain([("remark", size, note)]);
        let a_box = |(class, font, lines): (&'static str, i64, Vec<String>)| TextBox {
            class,
            height: taken(font, lines.len()),
            font,
            lines,
        };
        (whole, (name, below.map(a_box).collect()))
    }
}

/// The first lines of a text, no more than `most`.
fn first_lines(all: &[String], most: usize, font: i64, wide: i64) -> Vec<String> {
    let mut lines = all.to_vec();
    while lines.len() > most {
        drop_line(&mut lines, font, wide);
    }
    lines
}

/// Whether a word that people use would be broken in two, which is worse than smaller letters.
fn breaks(text: &str, font: i64, wide: i64) -> bool {
    let long = |word: &str| word.chars().count() <= 24 && lettering::width(word, font) > wide;
    font > BREAKING && text.split(' ').any(long)
}

/// Leaves the last line out; an ellipsis says so.
fn drop_line(lines: &mut Vec<String>, font: i64, wide: i64) {
    lines.pop();
    if let Some(last) = lines.last_mut() {
        let room = wide - lettering::width("…", font);
        while lettering::width(last, font) > room && last.pop().is_some() {}
        last.push('…');
        *last = lettering::closed(vec![std::mem::take(last)]).concat();
    }
}

/// What a line takes.
fn line_height(font: i64) -> i64 {
    font * 118 / 100 + 1
}

/// The largest letters with which texts fit a box one under the other, and their lines. Where even the smallest are too
/// large, the longest texts end in an ellipsis.
fn fit(texts: &[String], [wide, high]: [i64; 2], bold: bool, largest: i64) -> (i64, Vec<Vec<String>>) {
    let wide = if bold { wide * 100 / 112 } else { wide };
    let most = |font: i64| usize::try_from(high / line_height(font)).unwrap_or(0);
    let mut font = (high * 80 / 100).min(largest).clamp(SMALLEST, LARGEST);
    loop {
        let mut lines: Vec<Vec<String>> =
            texts.iter().map(|text| lettering::wrapped(text, font, wide)).collect();
        let count = |lines: &[Vec<String>]| lines.iter().map(Vec::len).sum::<usize>();
        if count(&lines) <= most(font) && !texts.iter().any(|text| breaks(text, font, wide)) {
            return (font, lines);
        }
        if font == SMALLEST {
            while count(&lines) > most(font)
                && let Some(longest) =
                    lines.iter_mut().max_by_key(|lines| lines.len()).filter(|l| l.len() > 1)
            {
                drop_line(longest, font, wide);
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
                .map(|text| fit(&[text.to_string()], room, true, LARGEST))
                .map(|(font, lines)| (font, lines[0].len()))
                .collect();
        assert!(sizes[0].0 > sizes[1].0 && sizes[1].0 > sizes[2].0, "{sizes:?}");
        assert_eq!(sizes[0].1, 1, "{sizes:?}");
        assert!(sizes[2].1 > 1, "{sizes:?}");
        let (font, lines) = fit(&["very long ".repeat(40)], [2_000, 300], false, LARGEST);
        assert_eq!(font, SMALLEST);
        assert!(lines[0].last().unwrap().ends_with('…'), "{lines:?}");
    }

    #[test]
    fn words_without_end_are_wrapped_before_they_get_too_small_to_read() {
        // As much as a label of 99 x 38 mm has for all that is small.
        let texts =
            ["w".repeat(60), format!("part 7 – 1 of 2; {}", "x".repeat(60)), "layout 3, piece 2".into()];
        let (font, lines) = fit(&texts, [6_500, 2_000], false, LARGEST);
        // 6 pt.
        assert!(font >= 212, "{font}: {lines:?}");
        let whole: Vec<String> = lines.iter().map(|lines| lines.concat()).collect();
        assert_eq!(whole[0], texts[0], "nothing is left out");
        assert_eq!(whole[1].matches('x').count(), 60, "{lines:?}");
    }

    proptest! {
        #[test]
        fn no_text_leaves_its_box(text in any::<String>(), wide in 1_500..9_000_i64, high in 260..2_000_i64) {
            let text = isolated(&crate::clean::clean(&text));
            let (font, lines) = fit(&[text.clone(), text], [wide, 2 * high], false, LARGEST);
            let lines = lines.concat();
            prop_assert!(line_height(font) * lines.len() as i64 <= 2 * high);
            for line in lines {
                prop_assert!(lettering::width(&line, font) <= wide);
            }
        }
    }
}
