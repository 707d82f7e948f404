//! Plans in two stages, trimmed: strips ("levels") along the sheet, each as wide as the piece that opens it, and beside
//! that pieces no wider.

use super::problem::{Placed, Problem, Sheets};

/// Pieces by falling width, and where each of them is in that order: one that opens a level goes on a sheet itself, with
/// its level, and one that opens a sheet stands for it.
pub struct Levels {
    /// The pieces by falling width.
    pub order: Vec<usize>,
    /// Who opens the level of each: itself, or one before it.
    pub level: Vec<usize>,
    /// Who opens the sheet of each that opens a level: itself, or one before it.
    pub sheet: Vec<Option<usize>>,
}

/// The pieces by falling width, then falling length.
pub fn order(problem: &Problem) -> Vec<usize> {
    let mut order: Vec<usize> = (0..problem.pieces.len()).collect();
    order.sort_by_key(|&piece| {
        let [length, width] = problem.pieces[piece];
        std::cmp::Reverse((width, length))
    });
    order
}

impl Levels {
    /// Every piece on the first level with room, every level on the first sheet with room.
    pub fn first_fit(problem: &Problem) -> Self {
        let order = order(problem);
        let size = |k: usize| problem.pieces[order[k]];
        let mut room: Vec<(usize, i32)> = Vec::new();
        let level: Vec<usize> =
            (0..order.len()).map(|k| first(&mut room, k, size(k)[0], problem.sheet[0])).collect();
        let mut room: Vec<(usize, i32)> = Vec::new();
        let sheet = (0..order.len())
            .map(|k| (level[k] == k).then(|| first(&mut room, k, size(k)[1], problem.sheet[1])))
            .collect();
        Self { order, level, sheet }
    }

    /// Where everything lies.
    pub fn sheets(&self, problem: &Problem) -> Sheets {
        let mut sheets = Sheets::new();
        for first in (0..self.order.len()).filter(|&k| self.sheet[k] == Some(k)) {
            let mut sheet = Vec::new();
            let mut across = 0;
            for open in (first..self.order.len()).filter(|&k| self.sheet[k] == Some(first)) {
                let mut along = 0;
                for piece in (open..self.order.len()).filter(|&k| self.level[k] == open) {
                    let piece = self.order[piece];
                    sheet.push(Placed { piece, at: [along, across] });
                    along += problem.pieces[piece][0];
                }
                across += problem.pieces[self.order[open]][1];
            }
            sheets.push(sheet);
        }
        sheets
    }
}

/// The first of those open with so much room, which is taken; else opens one.
fn first(open: &mut Vec<(usize, i32)>, number: usize, size: i32, whole: i32) -> usize {
    match open.iter_mut().find(|(_, room)| *room >= size) {
        Some((first, room)) => {
            *room -= size;
            *first
        }
        None => {
            open.push((number, whole - size));
            number
        }
    }
}
