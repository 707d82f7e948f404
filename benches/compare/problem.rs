//! A question in plain whole numbers, and what makes an answer right: no packer and no solver is believed.

use super::published::Case;
use nest_core::units::Length;

/// One kind of sheet, as many as wanted, and every piece on its own; length and width, oriented.
pub struct Problem {
    pub sheet: [i32; 2],
    pub pieces: Vec<[i32; 2]>,
}

/// A piece and where its corner lies, along the length and along the width.
pub struct Placed {
    pub piece: usize,
    pub at: [i32; 2],
}

/// The pieces of every sheet.
pub type Sheets = Vec<Vec<Placed>>;

impl Problem {
    /// The question of a case; nothing where it has several kinds of sheets or few of them, which others cannot tell.
    pub fn of(case: &Case) -> Option<Self> {
        let [sheet] = case.batch.stock.as_slice() else { return None };
        if sheet.qty.is_some() {
            return None;
        }
        let mut pieces = Vec::new();
        for part in &case.batch.parts {
            let size = whole(part.length, part.width?)?;
            pieces.extend((0..part.qty).map(|_| size));
        }
        Some(Self { sheet: whole(sheet.length, sheet.width?)?, pieces })
    }

    /// Whether every piece lies on a sheet once, inside, and cuts from edge to edge part them all.
    pub fn check(&self, sheets: &[Vec<Placed>]) -> Result<(), String> {
        let mut seen = vec![false; self.pieces.len()];
        for sheet in sheets {
            let mut boxes = Vec::new();
            for &Placed { piece, at } in sheet {
                if std::mem::replace(&mut seen[piece], true) {
                    return Err(format!("piece {piece} lies on the sheets twice"));
                }
                let end = [at[0] + self.pieces[piece][0], at[1] + self.pieces[piece][1]];
                if (0..2).any(|axis| at[axis] < 0 || end[axis] > self.sheet[axis]) {
                    return Err(format!("piece {piece} is not inside its sheet"));
                }
                boxes.push([at, end]);
            }
            if !parted(boxes) {
                return Err("no cut from edge to edge parts some pieces, or they overlap".to_owned());
            }
        }
        if seen.contains(&false) { Err("a piece is left over".to_owned()) } else { Ok(()) }
    }
}

/// Whole millimetres.
fn whole(length: Length, width: Length) -> Option<[i32; 2]> {
    let mm = |length: Length| i32::try_from(length.ticks() / Length::TICKS_PER_MM).ok();
    Some([mm(length)?, mm(width)?])
}

/// Whether cuts from edge to edge part all these boxes (start and end). A cut that can be made does no harm to any
/// other, so the first that is found will do; boxes that overlap are never parted.
fn parted(mut boxes: Vec<[[i32; 2]; 2]>) -> bool {
    if boxes.len() < 2 {
        return true;
    }
    for axis in 0..2 {
        boxes.sort_by_key(|&[start, _]| start[axis]);
        let mut end = 0;
        for k in 0..boxes.len() {
            if k > 0 && boxes[k][0][axis] >= end {
                let rest = boxes.split_off(k);
                return parted(boxes) && parted(rest);
            }
            end = end.max(boxes[k][1][axis]);
        }
    }
    false
}
