//! A material as a workshop drawing: pages of plain shapes in drawing units, without any markup. The drawing of one
//! layout alone is a [`Figure`]; pages and the report show the same one, each at the size it has room for.
//!
//! One drawing unit is 1/100 mm on paper; a page is 259 x 190 mm, which fits on Letter and on A4 laid across. Lengths
//! along the boards are true to scale. Everything is told apart without colour: a piece is white, dust is black,
//! waste is hatched, edge trim is crossed, an offcut to keep is dotted. All arithmetic is in whole numbers.

mod board;
mod flow;
mod frame;
mod label;
pub mod lettering;
mod sheet;
mod sheet_pages;

use crate::report::{Board, Section, Sheet};

/// Width of a page.
pub const WIDTH: i64 = 25_900;
/// Greatest height of a page.
pub const HEIGHT: i64 = 19_000;
/// Between the edge of a page and what is drawn on it.
const MARGIN: i64 = 500;
/// What is drawn on is this wide.
const ROOM: i64 = WIDTH - 2 * MARGIN;

/// A page of shapes.
#[derive(Clone, Debug)]
pub struct Page {
    /// What it shows, for whoever cannot see it.
    pub title: String,
    /// The first and the last layout on it; `None` where there are settings alone.
    pub layouts: Option<[usize; 2]>,
    /// Height; the width is [`WIDTH`].
    pub height: i64,
    /// What is drawn, later shapes above earlier ones.
    pub shapes: Vec<Shape>,
}

/// The drawing of one layout, without title and list.
#[derive(Clone, Debug, Default)]
pub struct Figure {
    /// Width and height.
    pub size: [i64; 2],
    /// What is drawn, later shapes above earlier ones.
    pub shapes: Vec<Shape>,
    /// What had no room on the pieces.
    pub key: Vec<String>,
}

/// How large a drawing may be.
#[derive(Clone, Copy, Debug)]
pub struct Room {
    /// Width.
    pub wide: i64,
    /// Height; boards are as high as they are.
    pub high: i64,
}

/// One shape. Positions count from the upper left corner of the page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Shape {
    /// A rectangle.
    Rect {
        /// Left edge.
        x: i64,
        /// Upper edge.
        y: i64,
        /// Width.
        w: i64,
        /// Height.
        h: i64,
        /// How it is filled and outlined.
        look: Look,
        /// What it stands for.
        of: Option<Mark>,
    },
    /// A line.
    Line {
        /// From.
        from: [i64; 2],
        /// To.
        to: [i64; 2],
        /// How thick.
        thick: i64,
    },
    /// A filled triangle.
    Triangle {
        /// Its corners.
        corners: [[i64; 2]; 3],
    },
    /// A circle with a white inside.
    Circle {
        /// Centre.
        at: [i64; 2],
        /// Radius.
        r: i64,
    },
    /// Words of several looks one after the other.
    Words {
        /// Where the baseline begins.
        at: [i64; 2],
        /// The words.
        words: Vec<Run>,
    },
    /// A line of text.
    Text {
        /// Where its baseline begins, is centred, or ends.
        at: [i64; 2],
        /// Font size.
        size: i64,
        /// Which of the three.
        anchor: Anchor,
        /// Bold or regular.
        bold: bool,
        /// Read from below to above.
        turned: bool,
        /// The text: clean.
        text: String,
    },
}

/// A word of a line that changes its look.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Run {
    /// The text: clean.
    pub text: String,
    /// Font size.
    pub size: i64,
    /// Bold or regular.
    pub bold: bool,
    /// Space before it: given apart, since readers differ in what they do with spaces at the ends of words.
    pub gap: i64,
}

/// How a rectangle looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// White with a thin outline.
    Plain,
    /// Lightly tinted with a thin outline.
    Tinted,
    /// White without an outline: a place for letters on a pattern.
    Blank,
    /// Black.
    Solid,
    /// Diagonal lines.
    Hatched,
    /// Crossed lines.
    Crossed,
    /// Dots, with a dashed outline.
    Dotted,
    /// An outline alone, thick.
    Frame,
    /// An outline alone, thin.
    Cell,
}

/// What a rectangle stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// A whole board, by its number.
    Board(usize),
    /// A part, by its row in the list, from 1.
    Piece(usize),
    /// Kept.
    Offcut,
    /// Thrown away.
    Waste,
    /// Between factory edge and clean edge.
    Trim,
    /// Turned to dust.
    Kerf,
}

/// Which point of a text is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Its beginning.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// Shapes that belong together, drawn as if the page began at their upper edge, and their height.
#[derive(Clone, Debug, Default)]
struct Block {
    shapes: Vec<Shape>,
    height: i64,
    /// The first and the last layout they are about.
    layouts: Option<[usize; 2]>,
}

/// The drawing of a sheet, as large as the room allows.
pub fn sheet_figure(section: &Section, sheet: &Sheet, room: Room) -> Figure {
    let drawn = sheet::draw(section, sheet, room);
    figure(drawn.block, drawn.wide, AROUND, drawn.key)
}

/// The drawing of a board; the longest of its section is as wide as the room.
pub fn board_figure(section: &Section, board: &Board, wide: i64) -> Figure {
    let beside = board::BESIDE;
    let scale = Scale::of(section, wide - 2 * (beside - AROUND));
    let (block, key) = board::draw(section, board, scale);
    // Numbers and places spread over all of the room, past the end of a short board.
    figure(block, scale.room, beside, key)
}

/// What is left free around a figure, half a millimetre.
const AROUND: i64 = 50;

/// A block that begins at the margin, with so much at its sides.
fn figure(mut block: Block, wide: i64, beside: i64, key: Vec<String>) -> Figure {
    block.shift_by([beside - MARGIN, AROUND]);
    Figure { size: [wide + 2 * beside, block.height + 2 * AROUND], shapes: block.shapes, key }
}

/// The pages of a material.
pub fn pages(section: &Section) -> Vec<Page> {
    if !section.sheets.is_empty() {
        return sheet_pages(section);
    }
    let scale = Scale::of(section, ROOM);
    let foot = frame::foot(section, scale);
    let most = HEIGHT - 2 * MARGIN - frame::HEAD - foot.height;
    let boards = section.boards.iter().flat_map(|board| board::blocks(section, board, scale, most));
    let all = packed(boards.chain(frame::stops(section)).collect(), most);
    let count = all.len();
    (all.into_iter().enumerate()).map(|(i, sheet)| frame::page(section, sheet, &foot, i + 1, count)).collect()
}

/// One sheet a page, its list going on where it must; the settings of all of them at the end. The last drawing gives way
/// to them before they get a page; those of a sheet alone get no room that is not there, since its list has them all.
fn sheet_pages(section: &Section) -> Vec<Page> {
    let Some((last, others)) = section.sheets.split_last() else { return Vec::new() };
    let foot = frame::sheet_foot(section);
    let most = HEIGHT - 2 * MARGIN - frame::HEAD - foot.height - 200;
    let mut all: Vec<Block> =
        others.iter().flat_map(|sheet| sheet_pages::blocks(section, sheet, most)).collect();
    let stops = frame::stops(section);
    let high: i64 = stops.iter().map(|block| block.height).sum();
    let own = sheet_pages::blocks(section, last, most);
    let fits = |pages: &Vec<Block>| {
        pages.len() == own.len() && pages.last().is_some_and(|page| page.height + high <= most)
    };
    let several = !others.is_empty();
    let pages = if fits(&own) {
        Some(own.clone())
    } else {
        (several && high < most).then(|| sheet_pages::blocks(section, last, most - high)).filter(fits)
    };
    match pages {
        Some(pages) => {
            all.extend(pages);
            if let Some(page) = all.last_mut() {
                stops.into_iter().for_each(|block| page.append(block));
            }
        }
        None => {
            all.extend(own);
            all.extend(several.then(|| packed(stops, most)).into_iter().flatten());
        }
    }
    let count = all.len();
    (all.into_iter().enumerate())
        .map(|(i, mut block)| {
            block.height += 200;
            frame::page(section, block, &foot, i + 1, count)
        })
        .collect()
}

/// Blocks one under the other on as few pages as they need.
fn packed(blocks: Vec<Block>, most: i64) -> Vec<Block> {
    let mut pages: Vec<Block> = Vec::new();
    for block in blocks {
        match pages.last_mut().filter(|page| page.height + block.height <= most) {
            Some(page) => page.append(block),
            None => pages.push(block),
        }
    }
    pages
}

/// How long a drawing unit is: along the boards, and across where that leaves room for letters.
#[derive(Clone, Copy, Debug)]
struct Scale {
    /// How wide the drawing is.
    room: i64,
    /// The longest board of the section, in ticks; it is as wide as the drawing.
    longest: i64,
    /// The narrowest and the widest board, in ticks; zero where the width does not matter.
    widths: [i64; 2],
}

impl Scale {
    /// Least and greatest height of a board on paper: room for a name and a length; several boards a page.
    const LEAST: i64 = 1_000;
    const MOST: i64 = 4_000;

    fn of(section: &Section, room: i64) -> Self {
        let longest = section.boards.iter().map(|b| b.size[0].ticks()).max().unwrap_or(1).max(1);
        let widths = section.boards.iter().map(|b| b.size[1].ticks());
        let narrowest = widths.clone().min().unwrap_or(0);
        Self { room, longest, widths: [narrowest, widths.max().unwrap_or(0)] }
    }

    /// A place along a board.
    fn along(&self, ticks: i64) -> i64 {
        project(ticks, self.room, self.longest)
    }

    /// The height of a board of this width.
    fn high(&self, ticks: i64) -> i64 {
        self.along(ticks).clamp(Self::LEAST, Self::MOST)
    }

    /// Whether boards are as high as they should be.
    fn true_height(&self) -> bool {
        self.widths.iter().all(|&w| w == 0 || self.high(w) == self.along(w))
    }

    /// `1 : 9.8`, printed at full size.
    fn text(&self) -> String {
        // A drawing unit is 1/100 mm, which is 800 ticks.
        let tenths = (i128::from(self.longest) * 10) / (i128::from(self.room) * 800);
        format!("1 : {}.{}", tenths / 10, tenths % 10)
    }
}

/// `ticks * room / whole`, rounded to the nearest.
fn project(ticks: i64, room: i64, whole: i64) -> i64 {
    let scaled = i128::from(ticks) * i128::from(room);
    let whole = i128::from(whole.max(1));
    i64::try_from((2 * scaled + whole).div_euclid(2 * whole)).unwrap_or(i64::MAX)
}

impl Block {
    fn append(&mut self, mut other: Self) {
        other.shift(self.height);
        self.height += other.height;
        self.shapes.append(&mut other.shapes);
        self.layouts = match (self.layouts, other.layouts) {
            (Some([first, _]), Some([_, last])) => Some([first, last]),
            (one, other) => one.or(other),
        };
    }

    /// Moves everything down.
    fn shift(&mut self, by: i64) {
        self.shift_by([0, by]);
    }

    /// Moves everything to the right.
    fn aside(&mut self, by: i64) {
        self.shift_by([by, 0]);
    }

    fn shift_by(&mut self, by: [i64; 2]) {
        let moved = |at: &mut [i64; 2]| *at = [at[0] + by[0], at[1] + by[1]];
        for shape in &mut self.shapes {
            match shape {
                Shape::Rect { x, y, .. } => {
                    *x += by[0];
                    *y += by[1];
                }
                Shape::Line { from, to, .. } => [from, to].into_iter().for_each(moved),
                Shape::Triangle { corners } => corners.iter_mut().for_each(moved),
                Shape::Circle { at, .. } | Shape::Words { at, .. } | Shape::Text { at, .. } => moved(at),
            }
        }
    }

    fn text(&mut self, at: [i64; 2], size: i64, anchor: Anchor, bold: bool, text: impl Into<String>) {
        self.shapes.push(Shape::Text { at, size, anchor, bold, turned: false, text: text.into() });
    }

    /// A text that is read from below to above, its middle given.
    fn turned(&mut self, at: [i64; 2], size: i64, text: impl Into<String>) {
        let text = text.into();
        self.shapes.push(Shape::Text { at, size, anchor: Anchor::Middle, bold: false, turned: true, text });
    }

    fn rect(&mut self, at: [i64; 2], size: [i64; 2], look: Look, of: Option<Mark>) {
        let ([x, y], [w, h]) = (at, size);
        self.shapes.push(Shape::Rect { x, y, w, h, look, of });
    }

    fn line(&mut self, from: [i64; 2], to: [i64; 2], thick: i64) {
        self.shapes.push(Shape::Line { from, to, thick });
    }
}
