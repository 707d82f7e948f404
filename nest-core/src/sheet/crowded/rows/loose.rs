//! Loose pieces, and the blocks without waste that a few of them make.

use super::super::super::blocks::{Block, Blocks};
use crate::search::Dice;

/// Most pieces of one block.
const MOST: usize = 10;
/// No blocks of more pieces are looked for where there are so many already.
const ENOUGH: usize = 20_000;
/// Of more blocks of so many pieces, as many are kept.
const CROWD: usize = 60_000;
/// Joins looked at of two lists of blocks, and found for blocks of so many pieces: with more, the rest does without.
const LOOKS: u64 = 1_000_000;
const MOST_FOUND: usize = 4 * CROWD;

/// Blocks of so many thicknesses stand in a row.
const WINDOW: usize = 4;

/// How much thinner something may be, if it is so long at least.
pub(super) fn window(thick: u32, length: u32, slack: u64) -> u32 {
    u32::try_from(slack / u64::from(length)).unwrap_or(u32::MAX).min(thick / 16)
}

/// Some of the pieces, in ascending order.
#[derive(Clone, Copy, Debug)]
struct Few {
    count: u8,
    at: [u16; MOST],
}

impl Few {
    fn one(piece: u16) -> Self {
        let mut at = [u16::MAX; MOST];
        at[0] = piece;
        Self { count: 1, at }
    }

    fn all(&self) -> &[u16] {
        &self.at[..usize::from(self.count)]
    }

    /// Both, unless they share a piece.
    fn with(&self, other: &Self) -> Option<Self> {
        let mut at = [u16::MAX; MOST];
        let (mut a, mut b) = (self.all(), other.all());
        for slot in &mut at[..a.len() + b.len()] {
            let (from, first) = match (a, b) {
                ([x, ..], [y, ..]) if x == y => return None,
                ([x, ..], [y, ..]) if x > y => (&mut b, *y),
                ([x, ..], _) => (&mut a, *x),
                ([], [y, ..]) => (&mut b, *y),
                ([], []) => break,
            };
            *slot = first;
            *from = &from[1..];
        }
        Some(Self { count: self.count + other.count, at })
    }
}

/// A block that might be made.
#[derive(Clone, Copy, Debug)]
struct Candidate {
    block: Block,
    pieces: Few,
    /// A number that those of other pieces do not have, but by chance.
    mark: u64,
    /// How much of its area no piece takes.
    waste: u64,
    /// The axis along which two others are joined, and whether each lies the other way for it.
    made: Option<(usize, [(u32, bool); 2])>,
}

impl Candidate {
    /// The same for the same pieces and size, else another number but by chance.
    fn key(&self) -> u64 {
        let size = u64::from(self.block.size[0]) << 32 | u64::from(self.block.size[1]);
        self.mark ^ size.wrapping_mul(0x9e37_79b9_7f4a_7c15)
    }
}

/// How long a block may be along each axis, and how much of it may be wasted.
#[derive(Clone, Copy)]
struct Limits {
    most: [u32; 2],
    slack: u64,
}

/// A candidate as it may stand in a row.
#[derive(Clone, Copy, Debug)]
pub(super) struct Face {
    /// Its size across the row.
    pub thick: u32,
    /// Its size along it.
    pub length: u32,
    /// How much of it no piece takes.
    pub waste: u64,
    pub candidate: u32,
    /// It lies the other way for this.
    pub turned: bool,
}

impl Face {
    fn key(&self) -> (u32, u32, u32, bool) {
        (self.thick, self.length, self.candidate, self.turned)
    }
}

/// Blocks that loose pieces make.
#[derive(Clone, Debug, Default)]
pub(super) struct Loose {
    candidates: Vec<Candidate>,
    /// For rows along each axis, by thickness, then length.
    faces: [Vec<Face>; 2],
    /// The faces that a piece has a part in, for each axis: `holders[axis][first[axis][piece]..first[axis][piece + 1]]`.
    holders: [Vec<u32>; 2],
    first: [Vec<u32>; 2],
    /// How many pairs each piece is one of.
    pub pairs: Vec<u32>,
}

impl Loose {
    /// Of some of the pieces, no block longer than `most` on its axis or with more waste than `slack`; and the work done:
    /// joins looked at.
    pub fn new(
        pieces: &[Block],
        loose: &[u16],
        most: [u32; 2],
        slack: u64,
        dice: &mut Dice,
        stop: &impl Fn() -> bool,
    ) -> (Self, u64) {
        let mut found = Self { pairs: vec![0; pieces.len()], ..Self::default() };
        for &piece in loose {
            let block = pieces[usize::from(piece)];
            let mark = u64::from(dice.bits()) << 32 | u64::from(dice.bits());
            found.candidates.push(Candidate { block, pieces: Few::one(piece), mark, waste: 0, made: None });
        }
        let limits = Limits { most, slack };
        // Sides of blocks of each number of pieces, and how many blocks there were before.
        let mut sides = vec![Default::default(), found.sides(0)];
        let mut work = 0;
        while sides.len() <= MOST && found.candidates.len() < ENOUGH && !stop() {
            let count = sides.len();
            let begin = found.candidates.len();
            let mut next = Vec::new();
            for few in 1..=count / 2 {
                for axis in [0, 1] {
                    let of: [&[Face]; 2] = [&sides[few][axis], &sides[count - few][axis]];
                    work += found.joins(axis, of, limits, dice.bits(), &mut next);
                }
            }
            work += next.len() as u64;
            // Those of the same pieces and size are one; which of them comes first is left to chance.
            let mut order: Vec<(u64, u32)> = (0..).zip(&next).map(|(at, one)| (one.key(), at)).collect();
            order.sort_unstable();
            order.dedup_by_key(|&mut (key, _)| key);
            order.truncate(CROWD);
            if order.is_empty() {
                break;
            }
            found.candidates.extend(order.iter().map(|&(_, at)| next[at as usize]));
            if count == 2 {
                for &piece in found.candidates[begin..].iter().flat_map(|one| one.pieces.all()) {
                    found.pairs[usize::from(piece)] += 1;
                }
            }
            sides.push(found.sides(begin));
        }
        found.list(pieces.len(), sides);
        (found, work)
    }

    /// Joins of two candidates along an axis, given by their sides; where not all are looked at, from some place on.
    fn joins(
        &self,
        axis: usize,
        [few, more]: [&[Face]; 2],
        limits: Limits,
        first: u32,
        found: &mut Vec<Candidate>,
    ) -> u64 {
        let Limits { most, slack } = limits;
        let same = std::ptr::eq(few, more);
        let mut work = (few.len() + more.len()) as u64;
        let shortest = few.iter().chain(more).map(|face| face.length).min().unwrap_or(1).max(1);
        let (before, after) = few.split_at(first as usize % few.len().max(1));
        for a in after.iter().chain(before) {
            if work > LOOKS || found.len() > MOST_FOUND {
                break;
            }
            let off = window(a.thick, shortest, slack);
            let begin = more.partition_point(|face| face.thick < a.thick - off);
            let others = more[begin..].iter().take_while(|face| face.thick <= a.thick + off);
            for b in others.filter(|b| !same || a.candidate < b.candidate) {
                work += 1;
                let [x, y] = [a, b].map(|face| &self.candidates[face.candidate as usize]);
                let thinner = if a.thick < b.thick { a } else { b };
                let thick = a.thick.max(b.thick);
                let waste = x.waste + y.waste + u64::from(thick - thinner.thick) * u64::from(thinner.length);
                let turns = x.block.turns && y.block.turns;
                let mut size = [thick; 2];
                size[axis] = a.length + b.length;
                let fits = |size: [u32; 2]| size[0] <= most[0] && size[1] <= most[1];
                let fits = fits(size) || turns && fits([size[1], size[0]]);
                // Where all may turn, both ways of joining are one.
                let again = turns && axis == 1;
                if waste > slack || again || !fits {
                    continue;
                }
                if let Some(pieces) = x.pieces.with(&y.pieces) {
                    let made = [a, b].map(|face| (face.candidate, face.turned));
                    let block = Block::new(size, turns, 0);
                    let mark = x.mark.wrapping_add(y.mark);
                    found.push(Candidate { block, pieces, mark, waste, made: Some((axis, made)) });
                }
            }
        }
        work
    }

    /// How the candidates from one on may stand in rows along each axis, by thickness and length.
    fn sides(&self, begin: usize) -> [Vec<Face>; 2] {
        [0, 1].map(|axis| {
            let mut faces = Vec::with_capacity(self.candidates.len() - begin);
            for (candidate, of) in self.candidates.iter().enumerate().skip(begin) {
                let (thick, length) = (of.block.size[1 - axis], of.block.size[axis]);
                let waste = of.waste;
                let face = Face { thick, length, waste, candidate: candidate as u32, turned: false };
                faces.push(face);
                if of.block.turns && thick != length {
                    faces.push(Face { thick: length, length: thick, turned: true, ..face });
                }
            }
            faces.sort_unstable_by_key(Face::key);
            faces
        })
    }

    fn list(&mut self, pieces: usize, sides: Vec<[Vec<Face>; 2]>) {
        for axis in [0, 1] {
            let mut faces: Vec<Face> = sides.iter().flat_map(|sides| &sides[axis]).copied().collect();
            // Stable: it finds the runs that are sorted already.
            faces.sort_by_key(Face::key);
            // Counting sort by piece.
            let mut first = vec![0_u32; pieces + 1];
            for face in &faces {
                for &piece in self.pieces(face) {
                    first[usize::from(piece) + 1] += 1;
                }
            }
            for piece in 0..pieces {
                first[piece + 1] += first[piece];
            }
            let mut next = first.clone();
            let mut holders = vec![0; first[pieces] as usize];
            for (at, face) in (0..).zip(&faces) {
                for &piece in self.pieces(face) {
                    let slot = &mut next[usize::from(piece)];
                    holders[*slot as usize] = at;
                    *slot += 1;
                }
            }
            (self.first[axis], self.holders[axis], self.faces[axis]) = (first, holders, faces);
        }
    }

    /// The pieces of a face.
    pub fn pieces(&self, face: &Face) -> &[u16] {
        self.candidates[face.candidate as usize].pieces.all()
    }

    /// The faces that a piece has a part in, in rows along an axis.
    pub fn holders(&self, axis: usize, piece: u16) -> &[u32] {
        let [first, end] = [0, 1].map(|more| self.first[axis][usize::from(piece) + more] as usize);
        &self.holders[axis][first..end]
    }

    pub fn face(&self, axis: usize, at: u32) -> Face {
        self.faces[axis][at as usize]
    }

    /// All faces that may stand in a row of a thickness along an axis, by thickness: the thickest first, in each by length.
    pub fn thick(&self, axis: usize, thick: u32, slack: u64) -> Vec<&[Face]> {
        let faces = &self.faces[axis];
        let mut faces = &faces[..faces.partition_point(|face| face.thick <= thick)];
        let mut all = Vec::new();
        let off = window(thick, 1, slack);
        while let Some(last) = faces.last().filter(|last| last.thick >= thick - off && all.len() < WINDOW) {
            let (thinner, alike) = faces.split_at(faces.partition_point(|face| face.thick < last.thick));
            all.push(alike);
            faces = thinner;
        }
        all
    }

    /// Makes the block of a face.
    pub fn made(&self, face: &Face, pieces: &[Block], blocks: &mut Blocks) -> Block {
        let made = self.make(face.candidate, pieces, blocks);
        if face.turned { made.other_way() } else { made }
    }

    fn make(&self, candidate: u32, pieces: &[Block], blocks: &mut Blocks) -> Block {
        let candidate = &self.candidates[candidate as usize];
        match candidate.made {
            None => pieces[usize::from(candidate.pieces.at[0])],
            Some((axis, of)) => {
                let row = of.map(|(of, turned)| {
                    let block = self.make(of, pieces, blocks);
                    if turned { block.other_way() } else { block }
                });
                blocks.join(axis, row.to_vec())
            }
        }
    }
}
