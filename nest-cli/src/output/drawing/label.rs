//! What is written on a piece: its row number, name, length and job, as much of it as has room.
//!
//! From the most wanted on: the length, the name with its number, the job. A piece that is high enough for one line
//! only gets all in one. What is missing is said in the key under the board; `complete` tells whether it is needed.
//! Nothing is ever wider or higher than its piece.

use super::board::{FIGURE, LEADING, NAME, SMALL};
use super::lettering::{bold_width, shortened, width, wrapped};
use crate::clean::isolated;
use crate::report::{PartLabel, Piece};

/// A line on a piece.
pub(super) struct Line {
    pub text: String,
    pub size: i64,
    pub bold: bool,
}

impl Line {
    /// How much of the piece's height it takes.
    pub(super) fn height(&self) -> i64 {
        self.size * LEADING / 10
    }
}

/// The lines on a piece, from the top.
pub(super) struct Label {
    pub lines: Vec<Line>,
    /// Whether they say everything.
    pub complete: bool,
}

impl Label {
    /// What fits on a piece that is drawn this wide and high.
    pub(super) fn of(piece: &Piece, part: &PartLabel, several_jobs: bool, size: [i64; 2]) -> Self {
        let words = Words::of(piece, part, several_jobs);
        let (room, high) = (size[0] - 100, size[1] - 60);
        let said = if high < (NAME + SMALL) * LEADING / 10 { words.one_line(room, high) } else { None };
        let mut label = said.unwrap_or_else(|| words.lines(room, high));
        // The key tells what is still to be done with the blank.
        label.complete &= piece.later.is_none();
        label
    }
}

/// What there is to say.
struct Words<'a> {
    number: String,
    named: String,
    figure: String,
    job: Option<&'a str>,
}

impl<'a> Words<'a> {
    fn of(piece: &Piece, part: &'a PartLabel, several_jobs: bool) -> Self {
        let mut figure = piece.length.clone();
        if let Some(rip) = &piece.rip {
            figure = format!("{figure} x {rip}");
        }
        if let Some(later) = &piece.later {
            figure = format!("{figure} {}", later.mark);
        }
        Self {
            number: part.number.to_string(),
            named: format!("{} {}", part.number, isolated(&part.name)),
            figure,
            job: Some(part.job.as_str()).filter(|job| several_jobs && !job.is_empty()),
        }
    }

    /// The name with the job behind it, where there is one.
    fn with_job(&self) -> String {
        self.job.map_or_else(|| self.named.clone(), |job| format!("{} · {}", self.named, isolated(job)))
    }

    /// Name and length side by side; `None` where not even number and length fit.
    fn one_line(&self, room: i64, high: i64) -> Option<Label> {
        let wanted = [self.with_job(), self.named.clone(), self.number.clone()];
        let texts = wanted.iter().enumerate().map(|(i, name)| (i, format!("{name}: {}", self.figure)));
        let fits = |text: &str, size: i64| width(text, size) <= room && size * LEADING / 10 <= high;
        for (i, text) in texts {
            if let Some(size) = [NAME, SMALL].into_iter().find(|&size| fits(&text, size)) {
                return Some(Label { lines: vec![Line { text, size, bold: false }], complete: i == 0 });
            }
        }
        None
    }

    /// Name above length above job.
    fn lines(&self, room: i64, high: i64) -> Label {
        let mut lines: Vec<Line> = Vec::new();
        let mut left = high;
        let mut complete = true;
        match [FIGURE, NAME, SMALL].into_iter().find(|&size| bold_width(&self.figure, size) <= room) {
            Some(size) if size * LEADING / 10 + NAME <= left => {
                left -= size * LEADING / 10;
                lines.push(Line { text: self.figure.clone(), size, bold: true });
            }
            _ => complete = false,
        }
        let rows = usize::try_from(left * 10 / (NAME * LEADING)).unwrap_or(0);
        let with_job = self.with_job();
        let job_beside = width(&with_job, NAME) <= room;
        let whole = wrapped(if job_beside { &with_job } else { &self.named }, NAME, room);
        let splits = whole.len() > 1 && whole.iter().any(|line| line.chars().count() < 3);
        if rows > 0 && whole.len() <= rows.min(2) && !splits && width(&whole[0], NAME) <= room {
            left -= whole.len() as i64 * NAME * LEADING / 10;
            for text in whole.into_iter().rev() {
                lines.insert(0, Line { text, size: NAME, bold: false });
            }
        } else {
            complete = false;
            let short = shortened(&self.named, NAME, room, self.number.len() + 4).filter(|_| rows > 0);
            let fits = |size: i64| width(&self.number, size) <= room && size + 40 <= left;
            let alone = [NAME, SMALL].into_iter().find(|&size| fits(size));
            match (short, alone) {
                (Some(text), _) => lines.insert(0, Line { text, size: NAME, bold: false }),
                (_, Some(size)) => lines.insert(0, Line { text: self.number.clone(), size, bold: false }),
                _ => lines.clear(),
            }
            left -= NAME * LEADING / 10;
        }
        if let Some(job) = self.job.filter(|_| !job_beside) {
            if !lines.is_empty() && width(job, SMALL) <= room && SMALL * LEADING / 10 <= left {
                lines.push(Line { text: isolated(job), size: SMALL, bold: false });
            } else {
                complete = false;
            }
        }
        Label { lines, complete }
    }
}
