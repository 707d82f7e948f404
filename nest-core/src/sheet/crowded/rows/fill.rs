//! Given sheets, filled with rows as far as they go.

use super::super::super::blocks::{Block, Blocks};
use super::super::super::cutting::Cutting;
use super::super::super::filling::Filling;
use super::super::super::packed::Packed;
use super::super::super::problem::Problem;
use super::super::super::ruin::Chain;
use super::super::super::tree::{Sheet, may_cut};
use super::super::super::worth::Worth;
use super::loose::{Loose, window};
use super::row::{Found, Maker, Wanted};
use super::stack::{Row, Stack, State};
use crate::search::Dice;

/// Tries for one row, and of how many found the best is taken.
const TRIES: u32 = 3000;
const ENOUGH: u32 = 40;
/// Where rows without waste end: what may be wasted in a block, one of so many parts of a piece, and in a row, one of so
/// many parts of it.
const SLACK: [(u64, u64); 4] = [(0, 0), (64, 256), (32, 128), (16, 40)];
/// Rows across the sheet, then across what they leave, and again.
const TURNS: usize = 3;
/// What rows leave is no narrower than so many halves of a piece, at each turn.
const NARROW: [u32; TURNS] = [6, 4, 3];
/// Work at each turn, one of so many parts.
const PARTS: [u64; TURNS] = [4, 6, 12];
/// At most so many rows are taken out in a round.
const OUT: u32 = 4;

/// What a row must keep to.
#[derive(Clone, Copy)]
struct Limits {
    /// What it leaves is nothing, or so wide at least.
    narrow: u32,
    /// How much of a block may be wasted.
    block: u64,
    /// How much of the row: one of so many parts; nothing for 0.
    row: u64,
}

/// Fills sheets, the same again for the same dice.
pub(super) struct Filler<'p> {
    problem: &'p Problem,
    blocks: Blocks,
    /// Every piece, and its item.
    pieces: Vec<Block>,
    items: Vec<usize>,
    /// Area of a piece on average.
    mean: u64,
    dice: Dice,
    pub work: u64,
}

impl<'p> Filler<'p> {
    /// `None` where pieces cannot be joined.
    pub fn new(problem: &'p Problem, dice: Dice) -> Option<Self> {
        let mut blocks = Blocks::default();
        let pieces = blocks.pieces(problem)?;
        let items: Vec<usize> = (problem.items.iter().enumerate())
            .filter(|(_, item)| !item.optional)
            .flat_map(|(at, item)| std::iter::repeat_n(at, item.demand as usize))
            .collect();
        let all: u128 = pieces.iter().map(|piece| u128::from(area(piece))).sum();
        // No more than that of the largest.
        let mean = all.checked_div(pieces.len() as u128)? as u64;
        Some(Self { problem, blocks, pieces, items, mean, dice, work: 0 })
    }

    /// So many sheets of each kind, filled with about so much work; what does not go in is left.
    pub fn fill(&mut self, goal: &[u32], work: u64, stop: &impl Fn() -> bool) -> Packed {
        let mut stacks = Vec::new();
        for (kind, &count) in goal.iter().enumerate() {
            let of = &self.problem.kinds[kind];
            for _ in 0..count {
                let axis =
                    of.rules.first.map_or_else(|| self.dice.below(2) as usize, |axis| 1 - usize::from(axis));
                // Where the saws cannot cut between such rows, they run the other way.
                let other = of.rules.first.is_none() && !may_cut(&of.rules, 1 - axis, of.size[axis]);
                stacks.push(Stack::new(kind, if other { 1 - axis } else { axis }, of.size));
            }
        }
        let mut state = State { stacks, free: vec![true; self.pieces.len()] };
        self.settle(&mut state, 0, work, stop);
        self.packed(&state, work / 4, stop)
    }

    /// Rows in all rectangles, then the other way in what they leave.
    fn settle(&mut self, now: &mut State, turn: usize, work: u64, stop: &impl Fn() -> bool) {
        if now.stacks.is_empty() {
            return;
        }
        let end = self.work + work / PARTS[turn];
        self.put(now, turn, stop);
        while self.work < end && !stop() {
            let mut next = now.clone();
            for _ in 0..=self.dice.below(OUT) {
                next.take(self.dice.below(next.rows() as u32) as usize);
            }
            self.put(&mut next, turn, stop);
            if next.cost() <= now.cost() {
                *now = next;
            }
            self.work += 1;
        }
        if turn + 1 == TURNS {
            return;
        }
        let open: Vec<usize> = (0..now.stacks.len()).filter(|&at| now.stacks[at].room > 0).collect();
        let across = open.iter().map(|&at| {
            let Stack { kind, axis, length, room, .. } = now.stacks[at];
            let mut size = [room; 2];
            size[axis] = length;
            Stack::new(kind, 1 - axis, size)
        });
        let mut inner = State { stacks: across.collect(), free: std::mem::take(&mut now.free) };
        self.settle(&mut inner, turn + 1, work, stop);
        now.free = inner.free;
        for (at, stack) in open.into_iter().zip(inner.stacks) {
            now.stacks[at].inner = Some(Box::new(stack));
        }
    }

    /// Puts rows in until none is found.
    fn put(&mut self, state: &mut State, turn: usize, stop: &impl Fn() -> bool) {
        let narrow = u32::try_from(self.mean.isqrt()).unwrap_or(u32::MAX) / 2 * NARROW[turn];
        for slack in SLACK {
            loop {
                let free = state.free();
                let most = [0, 1].map(|axis| {
                    let sides = state.stacks.iter().map(|s| if s.axis == axis { s.length } else { s.room });
                    sides.max().unwrap_or(0)
                });
                let limits =
                    Limits { narrow, block: self.mean.checked_div(slack.0).unwrap_or(0), row: slack.1 };
                let (loose, work) = Loose::new(&self.pieces, &free, most, limits.block, &mut self.dice, stop);
                self.work += work;
                let worth = self.worth(&loose);
                let mut order = free.clone();
                order.sort_by_key(|&piece| std::cmp::Reverse(worth[usize::from(piece)]));
                // With a quarter of the pieces gone, blocks of more pieces may be looked at.
                while 4 * order.len() > 3 * free.len() && !stop() {
                    let Some((at, row)) = self.best(state, &loose, &worth, &order, limits, stop) else {
                        break;
                    };
                    state.put(at, row);
                    order.retain(|&piece| state.free[usize::from(piece)]);
                }
                if stop() {
                    return;
                }
                if order.len() == free.len() {
                    break;
                }
            }
        }
    }

    /// The best row of some that are found.
    fn best(
        &mut self,
        state: &mut State,
        loose: &Loose,
        worth: &[i64],
        order: &[u16],
        limits: Limits,
        stop: &impl Fn() -> bool,
    ) -> Option<(usize, Row)> {
        let State { stacks, free } = state;
        let sum = order.iter().map(|&piece| worth[usize::from(piece)]).sum();
        let area = order.iter().map(|&piece| u128::from(area(&self.pieces[usize::from(piece)]))).sum();
        let mut maker = Maker { loose, free, worth, mean: (sum, area), slack: limits.block, work: 0 };
        let mut best: Option<(i128, usize, Wanted, Found)> = None;
        let mut found = 0;
        for tried in 0..TRIES {
            if found >= ENOUGH || order.is_empty() || tried % 64 == 0 && stop() {
                break;
            }
            maker.work += 1;
            // Mostly one that is worth much.
            let which = (0..3).map(|_| self.dice.below(order.len() as u32)).min().unwrap_or(0);
            let at = self.dice.below(stacks.len() as u32) as usize;
            let stack = &stacks[at];
            let holders = loose.holders(stack.axis, order[which as usize]);
            let first = holders.get(self.dice.below(holders.len() as u32) as usize);
            let Some(first) = first.map(|&first| loose.face(stack.axis, first)) else { continue };
            let Some(room) = stack.room.checked_sub(first.thick).filter(|_| stack.room > 0) else { continue };
            // A little less than all that is left is all of it.
            let last = room <= window(stack.room, stack.length, 4 * limits.block);
            let least = self.problem.kinds[stack.kind].least[1 - stack.axis].max(limits.narrow);
            if !last && room < least || !maker.is_free(&first) {
                continue;
            }
            let thick = if last { stack.room } else { first.thick };
            let area = u64::from(thick) * u64::from(stack.length);
            let waste = area.checked_div(limits.row).unwrap_or(0);
            let wanted = Wanted { axis: stack.axis, length: stack.length, thick, waste };
            let Some(row) = maker.row(wanted, first, &mut self.dice) else { continue };
            found += 1;
            let value = (i128::from(row.value) << 32) / i128::from(area);
            if best.as_ref().is_none_or(|best| value > best.0) {
                best = Some((value, at, wanted, row));
            }
        }
        self.work += maker.work;
        let (_, at, Wanted { axis, thick, .. }, Found { faces, waste, .. }) = best?;
        let pieces = faces.iter().flat_map(|face| loose.pieces(face).iter().copied()).collect();
        let row: Vec<Block> =
            faces.iter().map(|face| loose.made(face, &self.pieces, &mut self.blocks)).collect();
        let thickest = row.iter().map(|block| block.size[1 - axis]).max();
        let mut block = self.blocks.join(axis, row);
        if Some(block.size[1 - axis]) != thickest {
            block = block.other_way();
        }
        Some((at, Row { thick, block, waste, pieces }))
    }

    /// What it is worth to place each piece: more of a large one, and of one that few others go with.
    fn worth(&self, loose: &Loose) -> Vec<i64> {
        let most = self.pieces.iter().map(area).max().unwrap_or(1).max(1);
        let worth = |(piece, &pairs): (&Block, &u32)| {
            // In parts of 65536 of the largest.
            let part = (u128::from(area(piece)) << 16) / u128::from(most);
            let part = u64::try_from(part).unwrap_or(u64::MAX);
            (part * (part << 16).isqrt() / (1 + u64::from(pairs))) as i64
        };
        self.pieces.iter().zip(&loose.pairs).map(worth).collect()
    }

    /// The plan, with what no row holds cut from what they leave.
    fn packed(&mut self, state: &State, work: u64, stop: &impl Fn() -> bool) -> Packed {
        let problem = self.problem;
        let mut left = vec![0; problem.items.len()];
        for piece in state.free() {
            left[self.items[usize::from(piece)]] += 1;
        }
        let open: Vec<(usize, [u32; 2])> =
            state.stacks.iter().filter_map(|stack| Some((stack.kind, stack.open()?))).collect();
        let rest = problem.rest(&open, &left);
        let worth = Worth::new(rest.largest());
        let mut chain = Chain::new(Filling::new(&rest, &worth, left), self.dice.bits().into(), 0);
        // Whatever it costs: the sheets are given.
        chain.run(work, i128::MAX, stop);
        self.work += chain.filling.work;
        let mut cut: Vec<Option<Cutting>> = vec![None; open.len()];
        for sheet in chain.best.sheets.iter().filter(|sheet| sheet.count > 0) {
            cut[sheet.kind()] = Some(sheet.cutting());
        }
        let mut cut = cut.into_iter();
        let mut left = problem.demand();
        let mut sheets = Vec::new();
        for stack in &state.stacks {
            let open = stack.open().and_then(|_| cut.next().flatten());
            let cutting = stack.cutting(problem, &self.blocks, open);
            let sheet = cutting.and_then(|cutting| Sheet::of(problem, stack.kind, &cutting));
            if let Some(sheet) = sheet.filter(|sheet| sheet.count > 0) {
                sheet.items().for_each(|item| left[item] -= 1);
                sheets.push((sheet, 1));
            }
        }
        Packed::new(problem, sheets, left)
    }
}

fn area(block: &Block) -> u64 {
    u64::from(block.size[0]) * u64::from(block.size[1])
}
