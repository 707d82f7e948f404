//! A layout as a small drawing inside the report: true to scale along, with the reference corner at the lower left,
//! told apart without colour. The large drawings are files of their own.

use super::super::drawing::lettering;
use crate::report::{Board, Section, What};
use nest_core::units::Length;

/// Width of the longest stock of a material, in units of the drawing.
const WIDE: i64 = 1000;
/// Least and greatest height: room for a number; a sheet and its cuts share a page.
const LOW: i64 = 74;
const HIGH: i64 = 620;

/// A drawing.
pub struct Diagram {
    /// Its width and height.
    pub size: [i64; 2],
    /// The whole piece of stock, for whoever cannot see it.
    pub title: String,
    /// What it is made of, from the back to the front.
    pub rects: Vec<Rect>,
}

/// A rectangle.
pub struct Rect {
    pub x: i64,
    pub y: i64,
    pub w: i64,
    pub h: i64,
    /// How it looks: a class of the style sheet.
    pub class: &'static str,
    /// What is written on it.
    pub texts: Vec<Text>,
}

/// A line of text, centred.
pub struct Text {
    pub x: i64,
    pub y: i64,
    pub size: i64,
    pub text: String,
}

/// What a rectangle of a layout is, before it is drawn.
pub struct Shape {
    pub at: [Length; 2],
    pub size: [Length; 2],
    pub class: &'static str,
    /// What may be written on it, the most important first.
    pub lines: Vec<String>,
}

/// Draws a layout. `longest` is that of the longest stock of the material.
pub fn draw(title: String, size: [Length; 2], longest: Length, shapes: &[Shape]) -> Diagram {
    let scale = |ticks: i64| scaled(ticks, WIDE, longest.ticks());
    let wide = scale(size[0].ticks()).max(1);
    let high = if size[1].is_zero() { LOW } else { scale(size[1].ticks()).clamp(LOW, HIGH) };
    let whole = Rect { x: 0, y: 0, w: wide, h: high, class: "whole", texts: Vec::new() };
    let mut rects = vec![whole];
    for shape in shapes {
        let x = [shape.at[0], shape.at[0] + shape.size[0]].map(|l| scale(l.ticks()));
        let y = match size[1].is_zero() {
            true => [0, high],
            false => {
                [shape.at[1], shape.at[1] + shape.size[1]].map(|l| scaled(l.ticks(), high, size[1].ticks()))
            }
        };
        let (x, y, w, h) = (x[0], high - y[1], x[1] - x[0], y[1] - y[0]);
        let texts = if shape.lines.is_empty() { Vec::new() } else { write(&shape.lines, [x, y], [w, h]) };
        rects.push(Rect { x, y, w, h, class: shape.class, texts });
    }
    Diagram { size: [wide, high], title, rects }
}

/// As many lines as fit, the first one large.
fn write(lines: &[String], [x, y]: [i64; 2], [w, h]: [i64; 2]) -> Vec<Text> {
    let room = w - 8;
    let mut left = h - 6;
    let mut found: Vec<(i64, String)> = Vec::new();
    for (index, line) in lines.iter().enumerate() {
        let sizes: &[i64] = if index == 0 { &[34, 28, 22, 18] } else { &[24, 20, 17] };
        let fits = |size: &&i64| **size * 11 / 10 <= left && lettering::width(line, **size) <= room;
        let Some(&size) = sizes.iter().find(fits) else {
            // A name may be cut short, a number never.
            if index >= 2
                && left >= 19
                && let Some(short) = lettering::shortened(line, 17, room, 5)
            {
                left -= 19;
                found.push((17, short));
            }
            continue;
        };
        left -= size * 11 / 10;
        found.push((size, line.clone()));
    }
    let total: i64 = found.iter().map(|(size, _)| size * 11 / 10).sum();
    let mut at = y + (h - total) / 2;
    let mut texts = Vec::new();
    for (size, text) in found {
        texts.push(Text { x: x + w / 2, y: at + size * 85 / 100, size, text });
        at += size * 11 / 10;
    }
    texts
}

/// `ticks * room / whole`, rounded to the nearest.
fn scaled(ticks: i64, room: i64, whole: i64) -> i64 {
    let (ticks, room, whole) = (i128::from(ticks), i128::from(room), i128::from(whole.max(1)));
    i64::try_from((2 * ticks * room + whole).div_euclid(2 * whole)).unwrap_or(WIDE)
}

/// The drawing of a board.
pub fn board(section: &Section, board: &Board, longest: Length) -> Diagram {
    let shapes: Vec<Shape> = (board.zones.iter())
        .map(|zone| {
            let (class, lines) = match &zone.what {
                What::Piece(piece) => {
                    let label = section.parts.get(&piece.part);
                    let size = match &piece.rip {
                        None => piece.length.clone(),
                        Some(rip) => format!("{} x {rip}", piece.length),
                    };
                    let name = label.map_or(String::new(), |label| label.name.clone());
                    ("piece", vec![(piece.part + 1).to_string(), size, name])
                }
                What::Offcut(size) => ("offcut", vec!["keep".to_string(), size.clone()]),
                What::Waste => ("waste", Vec::new()),
                What::Trim => ("trim", Vec::new()),
                What::Kerf => ("kerf", Vec::new()),
            };
            Shape { at: zone.at, size: zone.size, class, lines }
        })
        .collect();
    draw(format!("Drawing of layout {}", board.number), board.size, longest, &shapes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn everything_lies_inside_the_drawing_and_every_text_inside_its_rectangle() {
        let mm = |a: i64, b: i64| [Length::mm(a), Length::mm(b)];
        let shapes: Vec<Shape> = (0..20)
            .map(|i| Shape {
                at: mm(i / 4 * 480, 300 * (i % 4)),
                size: mm(470, 290),
                class: "piece",
                lines: vec![format!("{}", 100_000 + i), "110 x 290 mm".into(), "a name that is long".into()],
            })
            .collect();
        let drawn = draw("t".into(), mm(2440, 1220), Length::mm(2440), &shapes);
        assert!(drawn.rects.iter().any(|rect| !rect.texts.is_empty()));
        for rect in &drawn.rects {
            assert!(rect.x >= 0 && rect.x + rect.w <= drawn.size[0], "across");
            assert!(rect.y >= 0 && rect.y + rect.h <= drawn.size[1], "up");
            for text in &rect.texts {
                let half = lettering::width(&text.text, text.size) / 2;
                assert!(text.x - half >= rect.x && text.x + half <= rect.x + rect.w, "{}", text.text);
                assert!(text.y <= rect.y + rect.h && text.y - text.size >= rect.y - 4, "{}", text.text);
            }
        }
    }
}
