//! Sheets filled with rows, one upon the other.

use super::super::super::blocks::{Block, Blocks};
use super::super::super::cutting::Cutting;
use super::super::super::problem::Problem;

/// What is wasted in a row weighs so many times as much as what no row takes: of that, ruin and recreate wastes a part only.
const WASTED: u64 = 16;

/// A row across a sheet.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pub thick: u32,
    pub block: Block,
    /// How much of it no piece takes.
    pub waste: u64,
    pub pieces: Vec<u16>,
}

/// Rows across a rectangle.
#[derive(Clone, Debug)]
pub(super) struct Stack {
    pub kind: usize,
    /// The axis along which the rows run.
    pub axis: usize,
    pub length: u32,
    /// How much thickness no row takes.
    pub room: u32,
    pub rows: Vec<Row>,
    /// Rows the other way, in what these leave.
    pub inner: Option<Box<Stack>>,
}

impl Stack {
    pub fn new(kind: usize, axis: usize, size: [u32; 2]) -> Self {
        Self { kind, axis, length: size[axis], room: size[1 - axis], rows: Vec::new(), inner: None }
    }

    /// The rectangle that no row takes, if there is one.
    pub fn open(&self) -> Option<[u32; 2]> {
        if let Some(inner) = &self.inner {
            return inner.open();
        }
        let mut size = [self.room; 2];
        size[self.axis] = self.length;
        (self.room > 0).then_some(size)
    }

    /// How it is cut, with what is cut from that rectangle; `None` where it holds nothing.
    pub fn cutting(&self, problem: &Problem, blocks: &Blocks, open: Option<Cutting>) -> Option<Cutting> {
        let rows = self.rows.iter().filter_map(|row| blocks.cutting(problem, self.kind, row.block));
        let rest = match &self.inner {
            Some(inner) => inner.cutting(problem, blocks, open),
            None => open,
        };
        let children: Vec<Cutting> = rows.chain(rest).collect();
        (!children.is_empty()).then_some(Cutting::Row { axis: 1 - self.axis, children })
    }
}

/// Some rectangles with their rows, and which pieces are in none.
#[derive(Clone, Debug)]
pub(super) struct State {
    pub stacks: Vec<Stack>,
    pub free: Vec<bool>,
}

impl State {
    /// Less is better.
    pub fn cost(&self) -> u64 {
        let of = |stack: &Stack| {
            let wasted: u64 = stack.rows.iter().map(|row| row.waste).sum();
            WASTED.saturating_mul(wasted).saturating_add(u64::from(stack.room) * u64::from(stack.length))
        };
        self.stacks.iter().map(of).fold(0, u64::saturating_add)
    }

    pub fn free(&self) -> Vec<u16> {
        (0..).zip(&self.free).filter(|(_, free)| **free).map(|(piece, _)| piece).collect()
    }

    pub fn put(&mut self, at: usize, row: Row) {
        row.pieces.iter().for_each(|&piece| self.free[usize::from(piece)] = false);
        self.stacks[at].room -= row.thick;
        self.stacks[at].rows.push(row);
    }

    /// Takes out one of all rows.
    pub fn take(&mut self, mut which: usize) {
        for stack in &mut self.stacks {
            if which < stack.rows.len() {
                let row = stack.rows.swap_remove(which);
                stack.room += row.thick;
                row.pieces.iter().for_each(|&piece| self.free[usize::from(piece)] = true);
                return;
            }
            which -= stack.rows.len();
        }
    }

    pub fn rows(&self) -> usize {
        self.stacks.iter().map(|stack| stack.rows.len()).sum()
    }
}
