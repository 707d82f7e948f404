//! Shapes as SVG: a page as a file, or a drawing inside a page of HTML.
//!
//! Looks become patterns and line widths, so that the drawing is told apart without colour and prints in black. No
//! script, no link, nothing loaded; text is escaped by the writer and was cleaned before; no user text in comments.

use super::drawing::{Anchor, Figure, Look, Mark, Page, Shape, WIDTH};
use svg::node::element::{
    Circle, Definitions, Line, Path, Pattern, Polygon, Rectangle, SVG, TSpan, Text, Title,
};
use svg::{Document, Node};

/// Fonts that are everywhere, the widest last.
const FONT: &str = "Helvetica, Arial, 'Liberation Sans', 'DejaVu Sans Condensed', 'DejaVu Sans', sans-serif";

/// One page, a file of its own.
pub fn render(page: &Page) -> Vec<u8> {
    let mut document = Document::new()
        .set("width", format!("{}mm", decimal(WIDTH)))
        .set("height", format!("{}mm", decimal(page.height)))
        .set("viewBox", (0, 0, WIDTH, page.height))
        .set("font-family", FONT)
        .set("fill", "black")
        .add(Title::new(page.title.as_str()))
        .add(patterns())
        .add(Rectangle::new().set("width", WIDTH).set("height", page.height).set("fill", "white"));
    for shape in &page.shapes {
        document.append(element(shape));
    }
    let mut out = b"<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n".to_vec();
    out.extend_from_slice(document.to_string().as_bytes());
    out.push(b'\n');
    out
}

/// One drawing, part of a page of HTML that has [`patterns_once`]. What it shows is said by that page.
pub fn inline(figure: &Figure) -> String {
    let [wide, high] = figure.size;
    let mut document = SVG::new()
        .set("width", format!("{}mm", decimal(wide)))
        .set("viewBox", (0, 0, wide, high))
        .set("font-family", FONT)
        .set("fill", "black")
        .set("aria-hidden", "true");
    for shape in &figure.shapes {
        document.append(element(shape));
    }
    document.to_string()
}

/// The patterns that all drawings of a page of HTML use.
pub fn patterns_once() -> String {
    let hidden = "position:absolute";
    let svg = SVG::new().set("width", 0).set("height", 0).set("style", hidden).set("aria-hidden", "true");
    svg.add(patterns()).to_string()
}

fn element(shape: &Shape) -> Box<dyn Node> {
    match shape {
        Shape::Rect { x, y, w, h, look, of } => Box::new(rect([*x, *y], [*w, *h], *look, *of)),
        Shape::Line { from, to, thick } => Box::new(
            Line::new()
                .set("x1", from[0])
                .set("y1", from[1])
                .set("x2", to[0])
                .set("y2", to[1])
                .set("stroke", "black")
                .set("stroke-width", *thick),
        ),
        Shape::Triangle { corners } => {
            let points: Vec<String> = corners.iter().map(|[x, y]| format!("{x},{y}")).collect();
            Box::new(Polygon::new().set("points", points.join(" ")))
        }
        Shape::Circle { at, r } => Box::new(
            Circle::new()
                .set("cx", at[0])
                .set("cy", at[1])
                .set("r", *r)
                .set("fill", "white")
                .set("stroke", "black")
                .set("stroke-width", 15),
        ),
        Shape::Words { at, words } => {
            let mut element = Text::new("").set("x", at[0]).set("y", at[1]);
            for word in words {
                let mut span = TSpan::new(word.text.as_str()).set("font-size", word.size);
                if word.gap > 0 {
                    span = span.set("dx", word.gap);
                }
                element = element.add(if word.bold { span.set("font-weight", "bold") } else { span });
            }
            Box::new(element)
        }
        Shape::Text { at, size, anchor, bold, turned, text } => {
            let element = letters(*at, *size, *anchor, *bold, text);
            let turn = format!("rotate(-90 {} {})", at[0], at[1]);
            Box::new(if *turned { element.set("transform", turn) } else { element })
        }
    }
}

/// Hundredths as a decimal.
pub(super) fn decimal(units: i64) -> String {
    format!("{}.{:02}", units / 100, units % 100)
}

fn rect(at: [i64; 2], size: [i64; 2], look: Look, of: Option<Mark>) -> Rectangle {
    let fill = match look {
        Look::Plain | Look::Blank => "white",
        Look::Tinted => "#f4f1ea",
        Look::Solid => "black",
        Look::Hatched => "url(#waste)",
        Look::Crossed => "url(#trim)",
        Look::Dotted => "url(#offcut)",
        Look::Frame | Look::Cell => "none",
    };
    let mut rect = Rectangle::new()
        .set("x", at[0])
        .set("y", at[1])
        .set("width", size[0].max(0))
        .set("height", size[1].max(0))
        .set("fill", fill);
    let thick = match look {
        Look::Blank | Look::Solid => 0,
        Look::Frame => 35,
        Look::Plain | Look::Tinted | Look::Hatched | Look::Crossed | Look::Dotted | Look::Cell => 15,
    };
    if thick > 0 {
        rect = rect.set("stroke", "black").set("stroke-width", thick);
    }
    if look == Look::Dotted {
        rect = rect.set("stroke-dasharray", "80 50");
    }
    match of {
        None => rect,
        Some(Mark::Board(number)) => rect.set("class", "board").set("data-board", number),
        Some(Mark::Piece(number)) => rect.set("class", "piece").set("data-part", number),
        Some(Mark::Offcut) => rect.set("class", "offcut"),
        Some(Mark::Waste) => rect.set("class", "waste"),
        Some(Mark::Trim) => rect.set("class", "trim"),
        Some(Mark::Kerf) => rect.set("class", "kerf"),
    }
}

fn letters(at: [i64; 2], size: i64, anchor: Anchor, bold: bool, text: &str) -> Text {
    // No `unicode-bidi` and no `direction`: each text is a paragraph of its own already, its anchor on the left.
    let mut element = Text::new(text).set("x", at[0]).set("y", at[1]).set("font-size", size);
    match anchor {
        Anchor::Start => {}
        Anchor::Middle => element = element.set("text-anchor", "middle"),
        Anchor::End => element = element.set("text-anchor", "end"),
    }
    if bold { element.set("font-weight", "bold") } else { element }
}

/// Waste: lines one way. Trim: lines both ways, closer. Offcut: dots.
fn patterns() -> Definitions {
    let pattern = |id: &str, step: i64| {
        Pattern::new()
            .set("id", id)
            .set("width", step)
            .set("height", step)
            .set("patternUnits", "userSpaceOnUse")
    };
    let stroke = |points: &str| {
        Path::new().set("d", points).set("stroke", "black").set("stroke-width", 12).set("fill", "none")
    };
    let ground = |step: i64| Rectangle::new().set("width", step).set("height", step).set("fill", "white");
    // A diagonal through the tile and its two corners, so that lines meet across tiles.
    let rising = "M-30,30 L30,-30 M0,160 L160,0 M130,190 L190,130";
    let both = "M0,100 L100,0 M0,0 L100,100";
    Definitions::new()
        .add(pattern("waste", 160).add(ground(160)).add(stroke(rising)))
        .add(pattern("trim", 100).add(ground(100)).add(stroke(both)))
        .add(
            pattern("offcut", 180)
                .add(ground(180))
                .add(Circle::new().set("cx", 90).set("cy", 90).set("r", 14)),
        )
}
