//! Plans that waste nothing: pieces that share an edge exactly are joined into blocks, blocks into larger ones,
//! until every block is a whole sheet.
//!
//! Tried only where some sheets have just the area of all parts. Such a plan is one among very many, which chains that
//! move pieces about hardly meet; but its joins show, because sizes are seldom alike by chance. After a run of the
//! [beam] ends with blocks that nothing fits, some of them are taken apart again, and the beam goes on from there.

mod beam;
#[cfg(test)]
mod tests;

use super::blocks::{Block, Blocks};
use super::packed::Packed;
use super::problem::{Kind, Problem};
use super::tree::Sheet;
use crate::search::{Dice, parallel};
use beam::{State, Wanted};

/// Searches side by side, whatever the number of threads: states of so many blocks that go on in each. Narrow beams take
/// more apart and join it again in the same time, which finds most plans many times sooner; some only wide ones find.
const WIDTHS: [usize; 4] = [30, 60, 30, 100];
/// Work of a chain, for each piece, before it is seen whether one has found something.
const EPOCH: u64 = 5000;
/// Whoever found nothing in so many rounds finds nothing.
const ROUNDS: u32 = 5000;
/// Orders of more pieces have too many edges alike by chance.
const MOST_PIECES: u64 = 150;
/// So many blocks more than before taking apart are at hand after it.
const LOOSE: std::ops::Range<usize> = 8..40;
/// A chain goes on from a state with so many blocks more than before.
const FORGIVEN: usize = 1;
/// Among more kinds of sheets some have the right area by chance.
const MOST_KINDS: usize = 100;
/// Nodes of the hunt for sheets of just the right area.
const NODES: u32 = 1_000_000;

/// A plan that costs less than `below` and wastes nothing, if one is found with so much work; and the work done: joins
/// looked at.
pub(super) fn join(
    problem: &Problem,
    below: i128,
    seed: u64,
    work: u64,
    stop: &(impl Fn() -> bool + Sync),
) -> (Option<Packed>, u64) {
    let mut blocks = Blocks::default();
    if problem.required_pieces() > MOST_PIECES || problem.kinds.len() > MOST_KINDS || !exact(problem, below) {
        return (None, 0);
    }
    let Some(pieces) = blocks.pieces(problem) else { return (None, 0) };
    let dice = |chain: u64| Dice::new(seed, 0x1014 + chain);
    let chain = |(chain, width)| Chain::new(problem, below, &blocks, &pieces, width, dice(chain));
    let mut chains: Vec<Chain<'_>> = (0..).zip(WIDTHS).map(chain).collect();
    let epoch = EPOCH * pieces.len().max(1) as u64;
    let (mut spent, mut target) = (0, 0);
    while spent < work && chains.iter().any(|chain| chain.rounds < ROUNDS) && !stop() {
        target += epoch;
        chains = parallel::each(chains, |mut chain| {
            while chain.work < target && chain.rounds < ROUNDS && chain.found.is_none() && !stop() {
                chain.round(stop);
            }
            chain
        });
        spent = chains.iter().map(|chain| chain.work).sum();
        if let Some(found) = chains.iter().find_map(|chain| chain.found.clone()) {
            return (Some(found), spent);
        }
    }
    (None, spent)
}

/// Whether some sheets that cost less have just the area of all that must be made.
fn exact(problem: &Problem, below: i128) -> bool {
    fn any(kinds: &[Kind], area: u128, below: i128, nodes: &mut u32) -> bool {
        if area == 0 || below <= 0 {
            return below > 0;
        }
        // Of a small sheet there may be millions: each number of them is a node.
        *nodes = nodes.saturating_sub(1);
        let Some((of, others)) = kinds.split_first() else { return false };
        let room = (area / u128::from(of.area())).min(of.supply.unwrap_or(u32::MAX).into());
        let money = (below - 1).checked_div(of.cost).and_then(|most| u128::try_from(most).ok());
        let most = money.map_or(room, |money| money.min(room));
        for count in (0..=most).rev() {
            let cost = of.cost.saturating_mul(count as i128);
            if any(others, area - count * u128::from(of.area()), below - cost, nodes) {
                return true;
            }
            if *nodes == 0 {
                break;
            }
        }
        false
    }
    let need = super::filling::need(problem, &problem.demand());
    let mut nodes = NODES;
    any(&problem.kinds, need, below, &mut nodes)
}

/// One search.
struct Chain<'p> {
    problem: &'p Problem,
    below: i128,
    wanted: Wanted,
    blocks: Blocks,
    /// How many there are if all are taken apart.
    pieces: usize,
    width: usize,
    /// Where it goes on from.
    now: State,
    dice: Dice,
    work: u64,
    rounds: u32,
    found: Option<Packed>,
}

impl<'p> Chain<'p> {
    fn new(
        problem: &'p Problem,
        below: i128,
        blocks: &Blocks,
        pieces: &[Block],
        width: usize,
        dice: Dice,
    ) -> Self {
        Self {
            problem,
            below,
            wanted: Wanted::new(problem),
            blocks: blocks.clone(),
            pieces: pieces.len(),
            width,
            now: State::new(pieces.to_vec()),
            dice,
            work: 0,
            rounds: 0,
            found: None,
        }
    }

    /// Takes some blocks apart, and joins anew.
    fn round(&mut self, stop: &impl Fn() -> bool) {
        let start = self.apart();
        let noise = u64::from(self.dice.bits());
        let (problem, below) = (self.problem, self.below);
        let plan = |blocks: &Blocks, state: &State| plan(problem, below, blocks, &state.blocks);
        let done = |blocks: &Blocks, state: &State| plan(blocks, state).is_some();
        let (end, work) = beam::run(&self.wanted, &mut self.blocks, start, self.width, noise, &done, stop);
        self.work += work;
        self.rounds += 1;
        self.found = plan(&self.blocks, &end);
        if end.blocks.len() <= self.now.blocks.len() + FORGIVEN {
            self.now = end;
        }
        self.blocks.keep(&mut self.now.blocks);
    }

    /// Some of its blocks in pieces, or a few joins undone.
    fn apart(&mut self) -> State {
        let mut blocks = self.now.blocks.clone();
        let loose = blocks.len() + LOOSE.start + self.dice.below((LOOSE.end - LOOSE.start) as u32) as usize;
        let whole = self.dice.once_in(2);
        while blocks.len() < loose.min(self.pieces) {
            let at = self.dice.below(blocks.len() as u32) as usize;
            let Some(mut parts) = self.blocks.parts(blocks[at]) else { continue };
            blocks.swap_remove(at);
            while let Some(part) = parts.pop() {
                match self.blocks.parts(part).filter(|_| whole) {
                    Some(inner) => parts.extend(inner),
                    None => blocks.push(part),
                }
            }
        }
        State::new(blocks)
    }
}

/// The plan of blocks that are all sheets, if it costs less than `below` and can be cut.
fn plan(problem: &Problem, below: i128, blocks: &Blocks, of: &[Block]) -> Option<Packed> {
    let mut left: Vec<u32> = problem.kinds.iter().map(|kind| kind.supply.unwrap_or(u32::MAX)).collect();
    let mut kinds = Vec::new();
    let mut cost = 0_i128;
    for block in of {
        let kind = (0..problem.kinds.len())
            .filter(|&kind| left[kind] > 0 && block.fills(problem.kinds[kind].size))
            .min_by_key(|&kind| problem.kinds[kind].cost)?;
        left[kind] -= 1;
        cost = cost.saturating_add(problem.kinds[kind].cost);
        kinds.push(kind);
    }
    if cost >= below {
        return None;
    }
    let mut left = problem.demand();
    let mut sheets = Vec::new();
    for (block, kind) in of.iter().zip(kinds) {
        let straight = block.size == problem.kinds[kind].size;
        let cutting = blocks.cutting(problem, kind, if straight { *block } else { block.other_way() })?;
        let sheet = Sheet::of(problem, kind, &cutting)?;
        for item in sheet.items() {
            left[item] = left[item].checked_sub(1)?;
        }
        sheets.push((sheet, 1));
    }
    Some(Packed::new(problem, sheets, left))
}
