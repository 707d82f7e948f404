//! The most valuable set of parts for one sheet: the judge's own search.
//!
//! A set counts where it passes three tests that every layout passes: its area is at most that of the sheet, so is the sum
//! of its images under a pair of dual-feasible functions, and the largest of its pieces can be cut from the sheet from
//! edge to edge. Pieces are taken or left one after the other; a branch ends where what is taken, with all that
//! either sum still has room for in steps of a thousandth, is worth no more than claimed. What is worth more is looked at
//! once more, with more of its pieces.

use super::bound::Work;

/// So many pieces of a set are cut in earnest at every step.
const CUT: usize = 7;
/// And so many of a set that is worth more than claimed.
const WHOLE: usize = 12;
/// Steps of either sum in the tables.
const STEPS: i128 = 1 << 10;
/// A pair of rectangles of those costs as much as so many others.
const DEAR: u64 = 4;
/// So many rectangles are kept until those that contain others are taken out.
const MOST_FOUND: usize = 4096;
/// More pieces than this are not looked at one by one.
const MOST_PIECES: u64 = 2000;

/// Parts of one price and one set of sizes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Member {
    /// Each way it may lie, kerf included.
    pub lies: Vec<[i64; 2]>,
    /// Its image, turned as it counts least.
    pub image: i128,
    pub price: i64,
    pub most: u32,
}

/// The sheet, kerf included, and its image.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sheet {
    pub size: [i64; 2],
    pub image: i128,
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
    let least = |member: &Member| member.lies.iter().map(|&size| area(size)).min().unwrap_or(0);
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
    let (size, claimed, stack) = (sheet.size, claimed.into(), Vec::new());
    let mut search = Search { pieces, tables, size, claimed, shapes, taken: 0, stack, work };
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
    claimed: i128,
    /// For each set of the pieces that are cut, as bits, the rectangles they can be cut from, the narrow and long first.
    shapes: Vec<Vec<[i64; 2]>>,
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
    fn join(&mut self, lies: &[[i64; 2]]) -> Option<bool> {
        let piece = 1_usize << self.taken;
        for others in 0..piece {
            let mut found: Vec<[i64; 2]> = if others == 0 { lies.to_vec() } else { Vec::new() };
            // The first cut leaves the piece on one side, with some of the others.
            let mut near = others;
            while near != 0 {
                near = (near - 1) & others;
                let (with, without) = (&self.shapes[piece | near], &self.shapes[others ^ near]);
                if !self.work.pairs((with.len() * without.len()) as u64) {
                    return None;
                }
                for &[a, b] in with {
                    for &[c, d] in without {
                        found.extend([[a + c, b.max(d)], [a.max(c), b + d]]);
                    }
                }
            }
            least(&mut found, self.size);
            if found.is_empty() {
                return Some(false);
            }
            self.shapes[piece | others] = found;
        }
        Some(true)
    }

    /// Whether the largest of all that is taken can be cut from the sheet; `None` where that is too much work. For every
    /// number of each kind of piece, the rectangles from which so many can be cut.
    fn together(&mut self) -> Option<bool> {
        if self.stack.len() <= CUT {
            return Some(true);
        }
        let mut kinds: Vec<(usize, usize)> = Vec::new();
        for &at in self.stack.iter().take(WHOLE) {
            match kinds.last_mut() {
                Some((of, count)) if self.pieces[*of].member == self.pieces[at].member => *count += 1,
                _ => kinds.push((at, 1)),
            }
        }
        // Numbers of pieces as one number, with a place for each kind.
        let mut places = Vec::new();
        let mut all = 1;
        for &(_, count) in &kinds {
            places.push(all);
            all *= count + 1;
        }
        let mut shapes: Vec<Vec<[i64; 2]>> = vec![Vec::new(); all];
        for held in 1..all {
            let mut found: Vec<[i64; 2]> = Vec::new();
            if let Some(kind) = places.iter().position(|&place| place == held) {
                found.clone_from(&self.pieces[kinds[kind].0].of.lies);
            }
            let mut parts = vec![0];
            for (&place, &(_, count)) in places.iter().zip(&kinds) {
                let most = held / place % (count + 1);
                let fewer = parts.len();
                for some in 1..=most {
                    parts.extend_from_within(..fewer);
                    parts[some * fewer..].iter_mut().for_each(|part| *part += some * place);
                }
            }
            for near in parts.into_iter().filter(|&near| near > 0 && near <= held - near) {
                let (near, far) = (&shapes[near], &shapes[held - near]);
                if !self.work.pairs(DEAR * (near.len() * far.len()) as u64) {
                    return None;
                }
                for &[a, b] in near {
                    let joined = far.iter().flat_map(|&[c, d]| [[a + c, b.max(d)], [a.max(c), b + d]]);
                    let fits = |shape: &[i64; 2]| shape[0] <= self.size[0] && shape[1] <= self.size[1];
                    found.extend(joined.filter(fits));
                }
                if found.len() > MOST_FOUND {
                    least(&mut found, self.size);
                }
            }
            least(&mut found, self.size);
            if found.is_empty() {
                return Some(false);
            }
            shapes[held] = found;
        }
        Some(true)
    }
}

/// Leaves of rectangles those that fit on a sheet and contain no other, the narrow and long first.
fn least(found: &mut Vec<[i64; 2]>, size: [i64; 2]) {
    found.retain(|shape| shape[0] <= size[0] && shape[1] <= size[1]);
    found.sort_unstable();
    let mut lowest = i64::MAX;
    found.retain(|&[_, high]| {
        let lower = high < lowest;
        lowest = lowest.min(high);
        lower
    });
}
