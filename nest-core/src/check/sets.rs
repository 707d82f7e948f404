//! The most valuable set of parts for one sheet: the judge's own search.
//!
//! A set counts where it passes three tests that every layout passes: its area is at most that of the sheet, so is the sum
//! of its images under a pair of dual-feasible functions, and the largest of its pieces can be cut from the sheet from
//! edge to edge, as stages, first cut, shortest and longest cuts and the cuts inside strips of matched grain allow. Pieces
//! are taken or left one after the other; a branch ends where what is taken, with all that either sum still has room for
//! in steps of a thousandth, is worth no more than claimed. What is worth more is looked at once more, with more of its
//! pieces.

use super::asked::Lie;
use super::bound::Work;
use super::guillotine::Rule;
use super::shapes::{Division, Set, Shapes, Ways};

/// So many pieces of a set are cut in earnest at every step.
const CUT: usize = 7;
/// And so many of a set that is worth more than claimed, or as many as can be parted in two, with all their parts, in so
/// many ways.
const WHOLE: usize = 16;
const MOST_WAYS: u64 = 20_000;
/// Steps of either sum in the tables.
const STEPS: i128 = 1 << 10;
/// A pair of rectangles of those costs as much as so many others.
const DEAR: u64 = 4;
/// More pieces than this are not looked at one by one.
const MOST_PIECES: u64 = 2000;

/// Parts of one price and one set of sizes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Member {
    /// Each way it may lie, kerf included.
    pub lies: Vec<Lie<i64>>,
    /// Its image, turned as it counts least.
    pub image: i128,
    pub price: i64,
    pub most: u32,
}

/// The sheet, kerf included, its image, how it may be cut, and how long cuts that divide either axis may be, at the least and
/// at the most.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sheet {
    pub size: [i64; 2],
    pub image: i128,
    pub rule: Rule,
    pub cuts: [[i64; 2]; 2],
}

/// What became of a claim.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Verdict {
    Holds,
    /// A set is worth so much.
    Beaten(i128),
    TooLarge,
}

/// Whether no set is worth more than claimed.
pub(super) fn judge(members: Vec<Member>, sheet: Sheet, claimed: i64, work: &mut Work) -> Verdict {
    let area = |[x, y]: [i64; 2]| i128::from(x) * i128::from(y);
    let least = |member: &Member| member.lies.iter().map(|lie| area(lie.size)).min().unwrap_or(0);
    let mut members: Vec<(i128, Member)> = members.into_iter().map(|m| (least(&m), m)).collect();
    members.sort_by(|(a, x), (b, y)| b.cmp(a).then_with(|| (&x.lies, x.price).cmp(&(&y.lies, y.price))));
    // What is alike is taken together, so that no set is looked at under two names.
    members.dedup_by(|(_, next), (_, last)| {
        let alike = next.lies == last.lies && next.price == last.price;
        if alike {
            last.most = last.most.saturating_add(next.most);
        }
        alike
    });
    let whole = [area(sheet.size), sheet.image];
    if whole.iter().any(|&whole| whole <= 0 || whole.checked_mul(STEPS).is_none()) {
        return Verdict::TooLarge;
    }
    let mut pieces: Vec<Piece<'_>> = Vec::new();
    for (at, (area, member)) in members.iter().enumerate() {
        let takes = [*area, member.image];
        // More of them than the area holds are in no set.
        let most = whole[0].checked_div(*area).map_or(u64::from(member.most), |most| {
            u64::try_from(most).unwrap_or(u64::MAX).min(member.most.into())
        });
        if pieces.len() as u64 + most > MOST_PIECES {
            return Verdict::TooLarge;
        }
        let mut steps = [0; 2];
        for sum in [0, 1] {
            // What takes more than all there is has no place in any set.
            let share = takes[sum].min(whole[sum]) * STEPS / whole[sum];
            steps[sum] = usize::try_from(share).unwrap_or(usize::MAX);
        }
        pieces.extend((0..most).map(|_| Piece { member: at, of: member, takes, steps }));
    }
    if !work.cells(2 * (STEPS as u64 + 1) * (pieces.len() as u64 + 1)) {
        return Verdict::TooLarge;
    }
    let tables = [0, 1].map(|sum| table(&pieces, sum));
    let shapes = vec![Vec::new(); 1 << CUT];
    let (size, ways) = (sheet.size, Ways::new(sheet.rule, sheet.cuts));
    let (claimed, stack) = (claimed.into(), Vec::new());
    let mut search = Search { pieces, tables, size, ways, claimed, shapes, taken: 0, stack, work };
    search.from(0, 0, whole, whole)
}

#[derive(Clone, Copy, Debug)]
struct Piece<'a> {
    member: usize,
    of: &'a Member,
    /// Of area and image.
    takes: [i128; 2],
    /// The same in whole steps.
    steps: [usize; 2],
}

/// For each piece and steps of room, what it and all behind it are worth at the most.
fn table(pieces: &[Piece<'_>], sum: usize) -> Vec<Vec<i128>> {
    let mut rows = vec![vec![0; STEPS as usize + 1]];
    for piece in pieces.iter().rev() {
        let behind = &rows[rows.len() - 1];
        let value = |room: usize| {
            let with =
                room.checked_sub(piece.steps[sum]).map(|left| behind[left] + i128::from(piece.of.price));
            with.unwrap_or(0).max(behind[room])
        };
        let row = (0..=STEPS as usize).map(value).collect();
        rows.push(row);
    }
    rows.reverse();
    rows
}

struct Search<'a, 'w> {
    pieces: Vec<Piece<'a>>,
    tables: [Vec<Vec<i128>>; 2],
    size: [i64; 2],
    ways: Ways,
    claimed: i128,
    /// For each set of the pieces that are cut, as bits, and each way to begin, the rectangles they can be cut from.
    shapes: Vec<Vec<Shapes>>,
    /// How many of those there are.
    taken: usize,
    /// All that is taken.
    stack: Vec<usize>,
    work: &'w mut Work,
}

impl Search<'_, '_> {
    /// Looks at all sets with what is taken, worth `value`, and any pieces from one on.
    fn from(&mut self, first: usize, value: i128, room: [i128; 2], whole: [i128; 2]) -> Verdict {
        let mut refused = None;
        let steps = [0, 1].map(|sum| (room[sum] * STEPS / whole[sum]) as usize);
        for at in first..self.pieces.len() {
            if !self.work.set() {
                return Verdict::TooLarge;
            }
            let more = self.tables[0][at][steps[0]].min(self.tables[1][at][steps[1]]);
            if value + more <= self.claimed {
                break;
            }
            let piece = self.pieces[at];
            // What was left out, or did not fit, is not taken from its twins either.
            if refused == Some(piece.member) {
                continue;
            }
            refused = Some(piece.member);
            if (0..2).any(|sum| piece.takes[sum] > room[sum]) {
                continue;
            }
            let cut = self.taken < CUT;
            if cut {
                match self.join(&piece.of.lies) {
                    None => return Verdict::TooLarge,
                    Some(false) => continue,
                    Some(true) => self.taken += 1,
                }
            }
            let value = value + i128::from(piece.of.price);
            self.stack.push(at);
            let verdict = if value > self.claimed {
                match self.together() {
                    None => Verdict::TooLarge,
                    Some(true) => Verdict::Beaten(value),
                    Some(false) => Verdict::Holds,
                }
            } else {
                let left = [0, 1].map(|sum| room[sum] - piece.takes[sum]);
                self.from(at + 1, value, left, whole)
            };
            self.stack.pop();
            self.taken -= usize::from(cut);
            if verdict != Verdict::Holds {
                return verdict;
            }
        }
        Verdict::Holds
    }

    /// Works out from what all sets with one piece more can be cut. Whether they can; `None` where that is too much work.
    fn join(&mut self, lies: &[Lie<i64>]) -> Option<bool> {
        let piece = 1_usize << self.taken;
        for others in 0..piece {
            let mut divisions = Vec::new();
            let mut near = others;
            while near != 0 {
                near = (near - 1) & others;
                divisions.push(Division { near: piece | near, far: others ^ near, again: false });
            }
            let set = Set { lies, others, divisions: &divisions, dear: 1 };
            let shapes = self.ways.shapes(&set, &self.shapes, self.size, self.work)?;
            if !self.ways.any(&shapes) {
                return Some(false);
            }
            self.shapes[piece | others] = shapes;
        }
        Some(true)
    }

    /// Whether the largest of all that is taken can be cut from the sheet; `None` where that is too much work. For every
    /// number of pieces of each size, whatever they are worth, the rectangles from which so many can be cut.
    fn together(&mut self) -> Option<bool> {
        if self.stack.len() <= CUT {
            return Some(true);
        }
        let mut kinds: Vec<(usize, usize)> = Vec::new();
        for &at in self.stack.iter().take(WHOLE) {
            let fewer = kinds.clone();
            match kinds.last_mut() {
                Some((of, count)) if self.pieces[*of].of.lies == self.pieces[at].of.lies => *count += 1,
                _ => kinds.push((at, 1)),
            }
            let ways = |&(_, count): &(usize, usize)| (count as u64 + 1) * (count as u64 + 2) / 2;
            if kinds.iter().map(ways).fold(1, u64::saturating_mul) > MOST_WAYS {
                kinds = fewer;
                break;
            }
        }
        // Numbers of pieces as one number, with a place for each kind.
        let mut places = Vec::new();
        let mut all = 1;
        for &(_, count) in &kinds {
            places.push(all);
            all *= count + 1;
        }
        let mut shapes: Vec<Vec<Shapes>> = vec![Vec::new(); all];
        for held in 1..all {
            let of = |part: usize, kind: usize| part / places[kind] % (kinds[kind].1 + 1);
            let Some(first) = (0..kinds.len()).find(|&kind| of(held, kind) > 0) else { continue };
            let mut parts = vec![0];
            for (kind, place) in places.iter().enumerate() {
                let fewer = parts.len();
                for some in 1..=of(held, kind) {
                    parts.extend_from_within(..fewer);
                    parts[some * fewer..].iter_mut().for_each(|part| *part += some * place);
                }
            }
            let with = parts.into_iter().filter(|&near| near < held && of(near, first) > 0);
            let division = |near: usize| {
                let far = held - near;
                Division { near, far, again: far < near && of(far, first) > 0 }
            };
            let divisions: Vec<Division> = with.map(division).collect();
            let lies = &self.pieces[kinds[first].0].of.lies;
            let set = Set { lies, others: held - places[first], divisions: &divisions, dear: DEAR };
            let found = self.ways.shapes(&set, &shapes, self.size, self.work)?;
            if !self.ways.any(&found) {
                return Some(false);
            }
            shapes[held] = found;
        }
        Some(true)
    }
}
