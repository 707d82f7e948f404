//! A beam over states of blocks: of all states with so many blocks, those go on that promise most.
//!
//! Where a plan wastes nothing, blocks that lie beside each other share an edge exactly. Chance seldom makes two sizes
//! alike, so a size that occurs twice is evidence of a join: the logarithm of how much likelier it is by a join than by
//! chance, which depends on how many sizes there are about so large. A join is worth the evidence that the length of its
//! row finds, less what the lengths of its members had, which cannot be true then; the edge at which they meet goes on as
//! an edge of the row.

use std::cmp::Reverse;

use super::super::blocks::{Block, Blocks};
use super::super::problem::Problem;

/// A bit of evidence.
const BIT: i64 = 256;
/// Sizes are about so large if they differ by less than half of it, or by less than the longest through this.
const ABOUT: u32 = 25;
/// Of how many joins that may lead to the same state the best are taken.
const ALIKE: usize = 8;
/// In a group of more faces with one edge, no three are joined at once.
const MOST_FACES: usize = 16;

/// Blocks on the way to whole sheets.
#[derive(Clone, Debug)]
pub(super) struct State {
    pub blocks: Vec<Block>,
    /// What its joins were worth.
    worth: i64,
    /// The same for the same sizes, however they were joined.
    hash: u64,
}

impl State {
    pub fn new(blocks: Vec<Block>) -> Self {
        let hash = blocks.iter().fold(0_u64, |hash, block| hash.wrapping_add(mark(block)));
        Self { blocks, worth: 0, hash }
    }

    fn rank(&self) -> (Reverse<i64>, u64) {
        (Reverse(self.worth), self.hash)
    }
}

/// A number for the size of a block.
fn mark(block: &Block) -> u64 {
    let size = u64::from(block.size[0]) << 32 | u64::from(block.size[1]);
    mix(if block.turns { !size } else { size })
}

/// Spreads a number over all bits: the finalizer of SplitMix64 (Steele, Lea and Flood 2014).
fn mix(number: u64) -> u64 {
    let mixed = (number ^ number >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let mixed = (mixed ^ mixed >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
    mixed ^ mixed >> 31
}

/// The sheets that blocks are to become.
#[derive(Clone, Debug)]
pub(super) struct Wanted {
    sizes: Vec<[u32; 2]>,
    longest: u32,
}

impl Wanted {
    pub fn new(problem: &Problem) -> Self {
        let sizes: Vec<[u32; 2]> = problem.kinds.iter().map(|kind| kind.size).collect();
        let longest = sizes.iter().flatten().copied().max().unwrap_or(1);
        Self { sizes, longest }
    }

    /// Whether some sheet holds a block, given by its sizes across and along an axis.
    fn holds(&self, axis: usize, edge: u32, length: u32, turns: bool) -> bool {
        self.sizes.iter().any(|size| {
            let [across, along] = [size[1 - axis], size[axis]];
            edge <= across && length <= along || turns && edge <= along && length <= across
        })
    }

    /// Whether a sheet is just so long in a direction.
    fn whole(&self, axis: usize, length: u32, turns: bool) -> bool {
        self.sizes.iter().any(|size| size[axis] == length || turns && size[1 - axis] == length)
    }
}

/// A join that might be made.
#[derive(Clone, Copy, Debug)]
struct Join {
    worth: i64,
    hash: u64,
    state: u32,
    axis: u8,
    /// Two or three members: which block, and whether it is turned for this.
    row: [(u16, bool); 3],
}

impl Join {
    fn rank(&self) -> (Reverse<i64>, u64, u32, u8, [(u16, bool); 3]) {
        (Reverse(self.worth), self.hash, self.state, self.axis, self.row)
    }
}

/// No third member.
const NONE: u16 = u16::MAX;

/// A block as it may be joined along an axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Face {
    /// Its size across that axis.
    edge: u32,
    /// Its size along it.
    length: u32,
    turns: bool,
    /// It lies the other way for this.
    turned: bool,
    at: u16,
    /// How often some block or sheet is just as long; of a sheet very often.
    known: usize,
    /// What that is worth.
    evidence: i64,
}

impl Face {
    fn alike(&self, other: &Self) -> bool {
        (self.edge, self.length, self.turns) == (other.edge, other.length, other.turns)
    }

    /// How often its block has a size along the axis.
    fn has(&self, size: u32) -> usize {
        let other = self.turns && self.edge != self.length && self.edge == size;
        usize::from(self.length == size) + usize::from(other)
    }
}

/// All joins along an axis that some blocks offer.
struct Offers<'a> {
    wanted: &'a Wanted,
    axis: usize,
    faces: Vec<Face>,
    /// All sizes along the axis, ascending.
    sizes: Vec<u32>,
}

impl<'a> Offers<'a> {
    fn new(wanted: &'a Wanted, blocks: &[Block], axis: usize) -> Self {
        let mut faces = Vec::with_capacity(2 * blocks.len());
        for (at, block) in (0..).zip(blocks) {
            let (edge, length) = (block.size[1 - axis], block.size[axis]);
            let face = Face { edge, length, turns: block.turns, turned: false, at, known: 0, evidence: 0 };
            faces.push(face);
            if block.turns && edge != length {
                faces.push(Face { edge: length, length: edge, turned: true, ..face });
            }
        }
        let mut sizes: Vec<u32> = faces.iter().map(|face| face.length).collect();
        sizes.sort_unstable();
        faces.sort_unstable();
        let mut offers = Self { wanted, axis, faces: Vec::new(), sizes };
        for alike in faces.chunk_by_mut(|a, b| a.edge == b.edge).filter(|alike| alike.len() > 1) {
            for face in alike {
                face.known = offers.known(face.length, face.turns);
                face.evidence = offers.evidence(face.length);
            }
        }
        offers.faces = faces;
        offers
    }

    /// How often a size is known: of blocks as often as there are, of a sheet always.
    fn known(&self, size: u32, turns: bool) -> usize {
        if self.wanted.whole(self.axis, size, turns) { usize::MAX } else { self.count(size, size) }
    }

    fn count(&self, from: u32, to: u32) -> usize {
        let first = self.sizes.partition_point(|&size| size < from);
        self.sizes[first..].partition_point(|&size| size <= to)
    }

    /// What it says that a size occurs once more.
    fn evidence(&self, size: u32) -> i64 {
        let about = (size / 2).max(self.wanted.longest / ABOUT);
        let [from, to] = [size.saturating_sub(about), size.saturating_add(about)];
        let others = self.count(from, to) - self.count(size, size);
        let chance = 2 * others as u64 + 1;
        logarithm(2 * u64::from(to - from + 1) + chance) - logarithm(chance)
    }

    /// What a row of such a length finds, and what of it remains less what its members had.
    fn worth(&self, row: &[Face], length: u32, turns: bool) -> (i64, i64) {
        let own = |size: u32| row.iter().map(|face| face.has(size)).sum::<usize>();
        let gain = if self.known(length, turns) > own(length) { self.evidence(length) } else { 0 };
        let lost = row.iter().filter(|face| face.known > own(face.length));
        (gain, gain - lost.map(|face| face.evidence).sum::<i64>())
    }

    /// Calls for every join of two, and of three where it finds what two of them do not; with what it is worth.
    fn each(&self, mut found: impl FnMut(&[Face], u32, i64)) {
        for alike in self.faces.chunk_by(|a, b| a.edge == b.edge).filter(|alike| alike.len() > 1) {
            let edge = alike[0].edge;
            // Of those that are all the same, the first will do.
            let fresh = |after: usize, at: usize| at == after || !alike[at].alike(&alike[at - 1]);
            let worth = |row: &[Face], length: u32| {
                let turns = row.iter().all(|face| face.turns);
                let twice = row.iter().enumerate().any(|(i, a)| row[..i].iter().any(|b| a.at == b.at));
                // Where all may turn, both ways of joining are one.
                let again = turns && self.axis == 1;
                if twice || again || !self.wanted.holds(self.axis, edge, length, turns) {
                    return None;
                }
                Some(self.worth(row, length, turns))
            };
            for (i, &a) in alike.iter().enumerate().filter(|&(i, _)| fresh(0, i)) {
                for (j, &b) in alike.iter().enumerate().skip(i + 1).filter(|&(j, _)| fresh(i + 1, j)) {
                    let length = a.length + b.length;
                    if let Some((_, worth)) = worth(&[a, b], length) {
                        found(&[a, b], length, worth);
                    }
                    let third = alike.len() <= MOST_FACES && a.at != b.at;
                    let others =
                        alike.iter().enumerate().skip(j + 1).filter(|&(k, _)| third && fresh(j + 1, k));
                    for (_, &c) in others {
                        let length = length + c.length;
                        match worth(&[a, b, c], length) {
                            Some((gain, worth)) if gain > 0 => found(&[a, b, c], length, worth),
                            _ => {}
                        }
                    }
                }
            }
        }
    }
}

/// Of a number above 0, to base 2, in parts of a bit; between powers along a straight line.
fn logarithm(number: u64) -> i64 {
    let whole = number.max(1).ilog2();
    let rest = (u128::from(number.max(1)) << 8 >> whole) as i64 - BIT;
    i64::from(whole) * BIT + rest
}

/// All joins of a state: of two, and of three.
fn joins(wanted: &Wanted, state: &State, index: u32, noise: u64, into: &mut [Vec<Join>; 2]) {
    let marks: Vec<u64> = state.blocks.iter().map(mark).collect();
    for axis in [0, 1] {
        Offers::new(wanted, &state.blocks, axis).each(|faces, length, worth| {
            let mut size = [length; 2];
            size[1 - axis] = faces[0].edge;
            let joined = Block::new(size, faces.iter().all(|face| face.turns), 0);
            let hash = faces.iter().fold(state.hash.wrapping_add(mark(&joined)), |hash, face| {
                hash.wrapping_sub(marks[usize::from(face.at)])
            });
            // A quarter of a bit of luck, so that no two searches are the same.
            let luck = (mix(hash ^ noise) & 63) as i64;
            let mut row = [(NONE, false); 3];
            for (member, face) in row.iter_mut().zip(faces) {
                *member = (face.at, face.turned);
            }
            let worth = state.worth + worth + luck;
            into[faces.len() - 2].push(Join { worth, hash, state: index, axis: axis as u8, row });
        });
    }
}

/// Joins blocks until nothing is left to join, with so many states of each number of blocks. Returns the first state that
/// is `done`, else one with the fewest blocks; and the work: joins looked at, and blocks of the states that were.
pub(super) fn run(
    wanted: &Wanted,
    blocks: &mut Blocks,
    start: State,
    width: usize,
    noise: u64,
    done: &impl Fn(&Blocks, &State) -> bool,
    stop: &impl Fn() -> bool,
) -> (State, u64) {
    let mut best = start.clone();
    let mut levels: Vec<Vec<State>> = vec![Vec::new(); start.blocks.len() + 1];
    let most = start.blocks.len();
    levels[most].push(start);
    let mut work = 0;
    for level in (1..=most).rev() {
        let states = narrowed(std::mem::take(&mut levels[level]), width, State::rank, |state| state.hash);
        if let Some(state) = states.iter().find(|state| done(blocks, state)) {
            return (state.clone(), work);
        }
        let Some(first) = states.first() else { continue };
        best = first.clone();
        let mut found = [Vec::new(), Vec::new()];
        for (index, state) in (0..).zip(&states) {
            if stop() {
                return (best, work);
            }
            joins(wanted, state, index, noise, &mut found);
            work += level as u64;
            for found in found.iter_mut().filter(|found| found.len() > 100 * width * ALIKE) {
                work += found.len() as u64;
                *found = narrowed(std::mem::take(found), width, Join::rank, |join| join.hash);
                work -= found.len() as u64;
            }
        }
        for found in found {
            work += found.len() as u64;
            for join in narrowed(found, width, Join::rank, |join| join.hash) {
                let next = made(&states[join.state as usize], &join, blocks);
                levels[next.blocks.len()].push(next);
            }
        }
    }
    (best, work)
}

/// Those of the least rank of all that differ, in order.
fn narrowed<T, R: Ord>(mut all: Vec<T>, width: usize, rank: fn(&T) -> R, hash: fn(&T) -> u64) -> Vec<T> {
    let enough = width * ALIKE;
    if all.len() > enough {
        all.select_nth_unstable_by_key(enough, rank);
        all.truncate(enough);
    }
    all.sort_by_key(|one| (hash(one), rank(one)));
    all.dedup_by_key(|one| hash(one));
    all.sort_by_key(rank);
    all.truncate(width);
    all
}

/// A state after a join.
fn made(state: &State, join: &Join, blocks: &mut Blocks) -> State {
    let row = join.row.iter().filter(|&&(at, _)| at != NONE).map(|&(at, turned)| {
        let block = state.blocks[usize::from(at)];
        if turned { block.other_way() } else { block }
    });
    let joined = blocks.join(join.axis.into(), row.collect());
    let gone = |at: usize| join.row.iter().any(|&(member, _)| usize::from(member) == at);
    let rest = state.blocks.iter().enumerate().filter(|&(at, _)| !gone(at)).map(|(_, block)| *block);
    State { blocks: rest.chain([joined]).collect(), worth: join.worth, hash: join.hash }
}
