//! A most valuable cutting of one sheet that holds no item more often than it is there.
//!
//! The recursion of [`free`](super::free), but of every rectangle between points several cuttings are kept, the most
//! valuable of those that differ in what they hold; two are put together where both hold no more of an item than there
//! is. With all of them kept this is the state space of Christofides and Hadjiconstantinou (1995), and exact; with few it
//! is a guess that is hardly ever wrong, because what is best for a large rectangle is seldom made of what is bad for a
//! small one. Runtime: points along times points across times half of their sum, times the square of how many are kept at
//! the worst; memory: a byte for every item, point along, point across and cutting kept.

use super::cutting::Cutting;
use super::offers::{Offer, Priced};
use super::points::Points;

/// More of an item are not told apart from so many.
const MOST: u32 = 100;
/// Bytes of a table.
const MOST_BYTES: usize = 200_000_000;

/// How a cutting that is kept was made.
#[derive(Clone, Copy, Debug)]
enum Choice {
    Offer(u32),
    /// Of one that fits into less.
    Same(u32),
    /// Of two that follow each other along an axis.
    Pair(u8, u32, u32),
}

/// The cuttings kept of some rectangles, those of one rectangle most valuable first.
#[derive(Debug, Default)]
struct Kept {
    values: Vec<i64>,
    choices: Vec<Choice>,
    /// How many each holds of each item.
    counts: Vec<u8>,
}

impl Kept {
    fn counts(&self, at: usize, items: usize) -> &[u8] {
        &self.counts[at * items..(at + 1) * items]
    }
}

/// The cuttings found for one rectangle so far, most valuable first.
#[derive(Debug)]
struct Found {
    width: usize,
    kept: Vec<(i64, Choice, Vec<u8>)>,
}

impl Found {
    /// What must be beaten.
    fn least(&self) -> i64 {
        if self.kept.len() < self.width { 0 } else { self.kept[self.width - 1].0 }
    }

    /// Adds what is worth more than the least, unless it holds the same as another.
    fn add(&mut self, value: i64, choice: Choice, counts: impl Iterator<Item = u8>) {
        let counts: Vec<u8> = counts.collect();
        let at = self.kept.partition_point(|kept| kept.0 > value);
        let mut equals = self.kept[at..].iter().take_while(|kept| kept.0 == value);
        if equals.all(|kept| kept.2 != counts) {
            self.kept.insert(at, (value, choice, counts));
            self.kept.truncate(self.width);
        }
    }
}

/// The table of one sheet.
#[derive(Debug)]
struct Table<'a> {
    offers: &'a [Offer],
    /// How many there are of each item.
    most: Vec<u8>,
    /// The place of the item of each offer among them.
    place: Vec<usize>,
    kept: Kept,
    /// Where those of each rectangle begin.
    first: Vec<u32>,
}

/// The best cutting that was found with so many kept for a rectangle, fewer where they would fill too much memory, and how
/// much was looked at. `left` is how many there are of each item. Nothing when told to stop.
pub(super) fn best(
    offers: &[Offer],
    left: &[u32],
    points: [&Points; 2],
    width: usize,
    stop: &impl Fn() -> bool,
) -> (Option<Priced>, u64) {
    let items = items(offers);
    let most = items.iter().map(|&item| left[item].min(MOST) as u8).collect();
    let place = offers.iter().map(|offer| items.partition_point(|&item| item < offer.item)).collect();
    let cells = points.map(Points::len).iter().product::<usize>();
    let width = width.min(MOST_BYTES / bytes(points, items.len()).max(1)).max(1);
    let mut table = Table { offers, most, place, kept: Kept::default(), first: vec![0] };
    let mut work = 0;
    let whole = table.fill(points, width, &mut work, stop);
    let last = whole.and_then(|()| table.of(cells.checked_sub(1)?).next());
    let priced = last.map(|at| Priced { value: table.kept.values[at], cutting: table.cutting(at as u32) });
    (priced, work)
}

/// Whether a table over such points can keep at least one cutting of every rectangle.
pub(super) fn fits(offers: &[Offer], points: [&Points; 2]) -> bool {
    bytes(points, items(offers).len()) <= MOST_BYTES
}

/// Bytes of a table that keeps one cutting of every rectangle.
fn bytes(points: [&Points; 2], items: usize) -> usize {
    points.map(Points::len).iter().product::<usize>() * (items + 16)
}

/// The items on offer, ascending.
fn items(offers: &[Offer]) -> Vec<usize> {
    let mut items: Vec<usize> = offers.iter().map(|offer| offer.item).collect();
    items.sort_unstable();
    items.dedup();
    items
}

impl Table<'_> {
    /// All of it; `None` when told to stop.
    fn fill(
        &mut self,
        points: [&Points; 2],
        width: usize,
        work: &mut u64,
        stop: &impl Fn() -> bool,
    ) -> Option<()> {
        let [nx, ny] = points.map(Points::len);
        let mut offers: Vec<(usize, usize)> = (self.offers.iter().enumerate())
            .filter_map(|(o, offer)| {
                let [x, y] = [0, 1].map(|axis| points[axis].first(offer.size[axis]));
                Some((y? * nx + x?, o))
            })
            .collect();
        offers.sort_unstable();
        let mut offers = offers.into_iter().peekable();
        let rests = [0, 1].map(|axis| {
            let rests = |p: usize| points[axis].rests(p).map(|rest| rest as u32).collect::<Vec<u32>>();
            (0..points[axis].len()).map(rests).collect::<Vec<_>>()
        });
        let items = self.most.len();
        let mut found = Found { width, kept: Vec::new() };
        for (y, x) in (0..ny).flat_map(|y| (0..nx).map(move |x| (y, x))) {
            // A row of a narrow sheet takes long.
            if stop() {
                return None;
            }
            let here = y * nx + x;
            found.kept.clear();
            while let Some((_, o)) = offers.next_if(|&(cell, _)| cell == here) {
                let price = self.offers[o].price;
                if self.most[self.place[o]] > 0 && price > found.least() {
                    let counts = (0..items).map(|item| u8::from(item == self.place[o]));
                    found.add(price, Choice::Offer(o as u32), counts);
                }
            }
            let less = [(x > 0).then(|| here - 1), (y > 0).then(|| here - nx)];
            for at in less.into_iter().flatten().flat_map(|cell| self.of(cell)) {
                let value = self.kept.values[at];
                if value > found.least() {
                    let counts = self.kept.counts(at, items).iter().copied();
                    found.add(value, Choice::Same(at as u32), counts);
                }
            }
            for (axis, rest) in [&rests[0][x], &rests[1][y]].into_iter().enumerate() {
                let cell = |p: usize| if axis == 0 { y * nx + p } else { p * nx + x };
                let half = rest.iter().enumerate().skip(1).take_while(|&(p, &rest)| rest as usize >= p);
                for (p, &rest) in half {
                    *work += 1;
                    self.pair(axis as u8, self.of(cell(p)), self.of(cell(rest as usize)), &mut found, work);
                }
            }
            for (value, choice, counts) in &found.kept {
                self.kept.values.push(*value);
                self.kept.choices.push(*choice);
                self.kept.counts.extend_from_slice(counts);
            }
            self.first.push(self.kept.values.len() as u32);
        }
        Some(())
    }

    /// Those that are kept of a rectangle.
    fn of(&self, cell: usize) -> std::ops::Range<usize> {
        self.first[cell] as usize..self.first[cell + 1] as usize
    }

    /// Puts together what is worth more than the least found.
    fn pair(
        &self,
        axis: u8,
        near: std::ops::Range<usize>,
        far: std::ops::Range<usize>,
        found: &mut Found,
        work: &mut u64,
    ) {
        let (kept, items) = (&self.kept, self.most.len());
        for a in near {
            for b in far.clone() {
                let value = kept.values[a] + kept.values[b];
                if value <= found.least() {
                    // The others are worth less, and if this is the first of them, all with less of the near one too.
                    if b == far.start {
                        return;
                    }
                    break;
                }
                *work += 1;
                let both = || kept.counts(a, items).iter().zip(kept.counts(b, items)).map(|(a, b)| a + b);
                if both().zip(&self.most).fold(true, |fits, (count, &most)| fits & (count <= most)) {
                    found.add(value, Choice::Pair(axis, a as u32, b as u32), both());
                }
            }
        }
    }

    /// A cutting that was kept. Each of a pair is smaller than both together, so the depth is at most that of the points.
    fn cutting(&self, mut at: u32) -> Cutting {
        loop {
            match self.kept.choices[at as usize] {
                Choice::Same(other) => at = other,
                Choice::Offer(o) => {
                    let offer = &self.offers[o as usize];
                    return Cutting::Item { item: offer.item, lay: offer.lay };
                }
                Choice::Pair(axis, near, far) => {
                    let children = vec![self.cutting(near), self.cutting(far)];
                    return Cutting::Row { axis: axis.into(), children };
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::search::Dice;
    use std::collections::BTreeMap;

    /// Length, width, price and how many there are.
    type Parts = Vec<(u32, u32, i64, u32)>;

    fn value(size: [u32; 2], parts: &Parts, turn: bool, width: usize) -> i64 {
        let mut offers = Vec::new();
        for (item, &(l, w, price, _)) in parts.iter().enumerate() {
            offers.push(Offer { item, lay: 0, size: [l, w], price, most: u64::MAX });
            if turn && l != w {
                offers.push(Offer { item, lay: 1, size: [w, l], price, most: u64::MAX });
            }
        }
        let left: Vec<u32> = parts.iter().map(|part| part.3).collect();
        let all =
            [0, 1].map(|axis| Points::new(size[axis], offers.iter().map(|offer| offer.size[axis])).raster());
        let (priced, _) = best(&offers, &left, [&all[0], &all[1]], width, &|| false);
        priced.map_or(0, |priced| {
            let mut counts = vec![0; parts.len()];
            let needs = held(&priced.cutting, &offers, &mut counts);
            assert!(needs[0] <= size[0] && needs[1] <= size[1], "{priced:?}");
            assert!(counts.iter().zip(&left).all(|(count, left)| count <= left), "{priced:?}");
            assert_eq!(
                counts.iter().zip(parts).map(|(&n, part)| i64::from(n) * part.2).sum::<i64>(),
                priced.value
            );
            priced.value
        })
    }

    /// Size of a cutting, counting what it holds.
    fn held(cutting: &Cutting, offers: &[Offer], counts: &mut [u32]) -> [u32; 2] {
        match cutting {
            Cutting::Item { item, lay } => {
                counts[*item] += 1;
                offers.iter().find(|offer| (offer.item, offer.lay) == (*item, *lay)).unwrap().size
            }
            Cutting::Row { axis, children } => children.iter().fold([0; 2], |mut all, child| {
                let inner = held(child, offers, counts);
                all[*axis] += inner[*axis];
                all[1 - axis] = all[1 - axis].max(inner[1 - axis]);
                all
            }),
        }
    }

    type Known = BTreeMap<([u32; 2], Vec<u32>), i64>;

    /// The most by trying every cut and every way to share out what there is.
    fn plain(size: [u32; 2], parts: &Parts, left: &[u32], known: &mut Known) -> i64 {
        if let Some(&value) = known.get(&(size, left.to_vec())) {
            return value;
        }
        let fits = |(i, part): (usize, &(u32, u32, i64, u32))| {
            (left[i] > 0 && part.0 <= size[0] && part.1 <= size[1]).then_some(part.2)
        };
        let mut best = parts.iter().enumerate().filter_map(fits).max().unwrap_or(0);
        for axis in [0, 1] {
            for at in 1..size[axis] {
                let (mut near, mut far) = (size, size);
                (near[axis], far[axis]) = (at, size[axis] - at);
                let mut share = vec![0; left.len()];
                loop {
                    let rest: Vec<u32> = left.iter().zip(&share).map(|(left, share)| left - share).collect();
                    best = best.max(plain(near, parts, &share, known) + plain(far, parts, &rest, known));
                    let Some(digit) = (0..left.len()).find(|&i| share[i] < left[i]) else { break };
                    share[digit] += 1;
                    share[..digit].fill(0);
                }
            }
        }
        known.insert((size, left.to_vec()), best);
        best
    }

    #[test]
    fn trying_everything_finds_no_more() {
        for seed in 0..40 {
            let mut dice = Dice::new(seed, 0);
            let size = [4 + dice.below(4), 3 + dice.below(4)];
            let mut side = |most: u32| 1 + dice.below(most);
            let mut parts: Parts =
                (0..3).map(|_| (side(size[0]), side(size[1]), side(20).into(), side(2))).collect();
            parts.iter_mut().filter(|_| seed % 2 == 0).for_each(|part| part.2 = i64::from(part.0 * part.1));
            let left: Vec<u32> = parts.iter().map(|part| part.3).collect();
            let most = plain(size, &parts, &left, &mut BTreeMap::new());
            assert_eq!(value(size, &parts, false, 100), most, "{seed}");
            assert!(value(size, &parts, false, 1) <= most, "{seed}");
        }
    }

    #[test]
    fn a_table_of_a_narrow_sheet_asks_often_whether_to_stop() {
        let lengths = (0..40).map(|i| 31 + 7 * i);
        let offers: Vec<Offer> = lengths
            .enumerate()
            .map(|(item, l)| Offer { item, lay: 0, size: [l, 2], price: l.into(), most: u64::MAX })
            .collect();
        let points =
            [3000, 2].map(|side| Points::new(side, offers.iter().map(|o| o.size[usize::from(side == 2)])));
        let asked = std::cell::Cell::new(0);
        let stop = || {
            asked.set(asked.get() + 1);
            asked.get() > 1000
        };
        let (priced, work) = best(&offers, &[2; 40], [&points[0], &points[1]], 10, &stop);
        assert!(priced.is_none());
        assert!(work / asked.get() < 100_000, "{work} looked at, asked {} times", asked.get());
    }

    /// N. Christofides, C. Whitlock, Oper. Res. 25 (1977), first problem, as printed; where parts may turn computed elsewhere
    /// by exact enumeration.
    #[test]
    fn published_problems_of_few_copies() {
        let first = vec![
            (8, 4, 66, 2),
            (3, 7, 35, 1),
            (8, 2, 24, 3),
            (3, 4, 17, 5),
            (3, 3, 11, 2),
            (3, 2, 8, 2),
            (2, 1, 2, 1),
        ];
        assert_eq!([false, true].map(|turn| value([15, 10], &first, turn, 30)), [244, 260]);
        assert!(value([15, 10], &first, false, 1) < 244);
    }

    /// J. E. Beasley, Oper. Res. 33 (1985), problems 1, 4 and 10, cut from edge to edge; values computed elsewhere by exact
    /// enumeration.
    #[test]
    fn problems_of_beasley_with_few_copies() {
        let first = vec![(3, 7, 35, 2), (8, 2, 40, 2), (10, 2, 27, 1), (5, 4, 23, 3), (2, 9, 43, 2)];
        assert_eq!([false, true].map(|turn| value([10, 10], &first, turn, 30)), [164, 193]);
        let fourth = vec![(15, 2, 34, 2), (7, 3, 27, 1), (9, 1, 14, 1), (8, 3, 71, 1), (12, 2, 61, 2)];
        assert_eq!([false, true].map(|turn| value([15, 10], &fourth, turn, 30)), [268, 268]);
        let tenth = vec![(1, 30, 75, 3), (25, 7, 279, 1), (27, 9, 409, 3), (30, 2, 65, 3), (26, 7, 235, 3)];
        assert_eq!([false, true].map(|turn| value([30, 30], &tenth, turn, 30)), [1452, 1452]);
    }

    /// The problems that S. Dolatabadi, A. Lodi, M. Monaci and others use (`fmt_knapsack`), with their proven optima, where the
    /// files are at hand.
    #[test]
    fn proven_problems_of_few_copies() {
        let Some(folder) = std::env::var_os("NEST_INSTANCES") else {
            println!("skipped: NEST_INSTANCES does not name the instances");
            return;
        };
        let folder = std::path::Path::new(&folder).join("2d/fmt_knapsack");
        let proven = std::fs::read_to_string(folder.join("best.csv")).unwrap();
        let mut seen = 0;
        for row in proven.lines().filter(|row| row.contains(",max_value;constrained;O;G;unlimited,")) {
            let cells: Vec<&str> = row.split(',').collect();
            let Ok(text) = std::fs::read_to_string(folder.join(cells[0])) else { continue };
            let n: Vec<u32> = text.split_whitespace().map(|word| word.parse().unwrap()).collect();
            let parts: Parts = n[3..].chunks(4).map(|c| (c[0], c[1], c[2].into(), c[3])).collect();
            let found = value([n[0], n[1]], &parts, false, 30);
            assert_eq!(found, cells[2].parse::<i64>().unwrap(), "{row}");
            seen += 1;
        }
        assert!(seen > 30);
    }
}
