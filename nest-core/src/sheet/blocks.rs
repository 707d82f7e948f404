//! Blocks: pieces joined along edges that are alike, so that nothing is wasted between them, or next to nothing.

use super::cutting::Cutting;
use super::problem::{Lay, Problem};

/// A rectangle that pieces fill.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Block {
    /// Size along the sheet and across as it lies now; of one that may turn, the longer side first.
    pub size: [u32; 2],
    /// Whether it may lie the other way just as well.
    pub turns: bool,
    /// How it was made.
    pub made: u32,
    /// Whether it lies the other way than it was made.
    pub turned: bool,
}

impl Block {
    pub fn new(size: [u32; 2], turns: bool, made: u32) -> Self {
        Self { size, turns, made, turned: false }.upright()
    }

    fn upright(self) -> Self {
        if self.turns && self.size[0] < self.size[1] { self.other_way() } else { self }
    }

    /// The same lying the other way.
    pub fn other_way(self) -> Self {
        Self { size: [self.size[1], self.size[0]], turned: !self.turned, ..self }
    }

    /// Whether it is a rectangle of that size.
    pub fn fills(&self, size: [u32; 2]) -> bool {
        self.size == size || self.turns && self.other_way().size == size
    }
}

/// How blocks were made.
#[derive(Clone, Debug)]
enum Made {
    Piece(usize),
    /// One after the other along an axis.
    Row(usize, Vec<Block>),
}

/// Everything that was joined so far.
#[derive(Clone, Debug, Default)]
pub(crate) struct Blocks {
    made: Vec<Made>,
}

impl Blocks {
    /// Every piece that must be made, for itself. `None` where a piece has no way to lie that every sheet with room for it
    /// allows.
    pub fn pieces(&mut self, problem: &Problem) -> Option<Vec<Block>> {
        let mut pieces = Vec::new();
        for (index, item) in problem.items.iter().enumerate().filter(|(_, item)| !item.optional) {
            let of = |kind: usize| problem.lays(kind, index);
            let lays = (0..problem.kinds.len()).map(of).max_by_key(|lays| lays.len())?;
            // Grain may let it turn on some sheets alone.
            let everywhere = |lay: &&Lay| {
                let room = |kind: usize| (0..2).all(|axis| lay.size[axis] <= problem.kinds[kind].size[axis]);
                (0..problem.kinds.len()).all(|kind| !room(kind) || of(kind).contains(lay))
            };
            let lays: Vec<&Lay> = lays.iter().filter(everywhere).collect();
            let size = lays.first()?.size;
            let turns = lays.iter().any(|lay| lay.size == [size[1], size[0]]);
            for _ in 0..item.demand {
                pieces.push(Block::new(size, turns, self.add(Made::Piece(index))));
            }
        }
        Some(pieces)
    }

    fn add(&mut self, made: Made) -> u32 {
        self.made.push(made);
        self.made.len() as u32 - 1
    }

    /// Joins blocks along an axis; where their sizes across it differ, something is wasted.
    pub fn join(&mut self, axis: usize, row: Vec<Block>) -> Block {
        let mut size = [row.iter().map(|block| block.size[1 - axis]).max().unwrap_or(0); 2];
        size[axis] = row.iter().map(|block| block.size[axis]).sum();
        let turns = row.iter().all(|block| block.turns);
        Block::new(size, turns, self.add(Made::Row(axis, row)))
    }

    /// What a block was joined of; nothing for a piece.
    pub fn parts(&self, block: Block) -> Option<Vec<Block>> {
        match &self.made[block.made as usize] {
            Made::Piece(_) => None,
            Made::Row(_, row) => Some(row.iter().map(|&part| part.upright()).collect()),
        }
    }

    /// Forgets all but what some blocks are made of.
    pub fn keep(&mut self, blocks: &mut [Block]) {
        let mut kept = Self::default();
        for block in blocks {
            block.made = self.copy(block.made, &mut kept);
        }
        *self = kept;
    }

    fn copy(&self, made: u32, to: &mut Self) -> u32 {
        let made = match &self.made[made as usize] {
            Made::Piece(item) => Made::Piece(*item),
            Made::Row(axis, row) => {
                let copy = |&part: &Block| Block { made: self.copy(part.made, to), ..part };
                Made::Row(*axis, row.iter().map(copy).collect())
            }
        };
        to.add(made)
    }

    /// A block as it is cut from a kind of sheet. `None` where a piece may not come from it like that.
    pub fn cutting(&self, problem: &Problem, kind: usize, block: Block) -> Option<Cutting> {
        match &self.made[block.made as usize] {
            &Made::Piece(item) => {
                let lay = problem.lays(kind, item).iter().position(|lay| lay.size == block.size)?;
                Some(Cutting::Item { item, lay: u8::try_from(lay).ok()? })
            }
            Made::Row(axis, row) => {
                let turned = |&part: &Block| if block.turned { part.other_way() } else { part };
                let children = row.iter().map(|part| self.cutting(problem, kind, turned(part)));
                let axis = if block.turned { 1 - axis } else { *axis };
                Some(Cutting::Row { axis, children: children.collect::<Option<_>>()? })
            }
        }
    }
}
