//! The most that one sheet can collect, cut from edge to edge: the judge's own recursion.
//!
//! Sizes arrive in whole steps with the kerf included. Any number of copies of a part may lie on the sheet, which only
//! raises the result; but with two stages no more than are asked for in any one row, and no more rows of a thickness
//! than there are pieces of it. Cuts need only be looked at where sums of sizes lie (Herz 1972); everything between two
//! such places is worth what the lower one is.

use std::collections::BTreeMap;

use super::bound::Work;

/// A part as it may lie, in steps, its price, and how many are asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Tile {
    pub part: usize,
    pub size: [usize; 2],
    pub price: i64,
    pub most: u64,
}

/// How a sheet may be cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Rule {
    /// 2 or 3 directions one after the other; `None` for any number.
    pub stages: Option<u8>,
    /// Whether one cut more may free a piece.
    pub trimming: bool,
    /// The axis that the first cuts divide, where it is fixed.
    pub first: Option<usize>,
}

/// Most places in all rows together: they are kept.
const MOST_CELLS: usize = 1 << 25;
/// Most steps along a side.
const MOST_STEPS: usize = 1 << 22;

/// The most value, `None` where finding it is too much work. Sizes must be positive.
pub(super) fn most(tiles: &[Tile], sheet: [usize; 2], rule: Rule, work: &mut Work) -> Option<i64> {
    if sheet.iter().any(|&side| side > MOST_STEPS) {
        return None;
    }
    let tiles: Vec<Tile> =
        tiles.iter().copied().filter(|t| t.size[0] <= sheet[0] && t.size[1] <= sheet[1]).collect();
    let mut line = |axis: usize| Line::new(sheet[axis], tiles.iter().map(|tile| tile.size[axis]), work);
    let lines = [line(0)?, line(1)?];
    let Some(stages) = rule.stages else { return free(&tiles, &lines.map(|line| line.raster()), work) };
    let mut best = 0;
    for first in [0, 1] {
        if rule.first.is_none_or(|axis| axis == first) {
            best = best.max(staged(&tiles, &lines, first, stages, rule.trimming, work)?);
        }
    }
    Some(best)
}

/// The places along one side where cuts matter.
struct Line {
    /// Ascending, from 0; the last is the whole side.
    places: Vec<usize>,
    /// For each step the last place that is not beyond it.
    before: Vec<u32>,
}

impl Line {
    /// `None` where that is too much work.
    fn new(side: usize, sizes: impl Iterator<Item = usize>, work: &mut Work) -> Option<Self> {
        let mut sizes: Vec<usize> = sizes.collect();
        sizes.sort_unstable();
        sizes.dedup();
        if !work.cells((side as u64 + 1).saturating_mul(sizes.len() as u64 + 1)) {
            return None;
        }
        let mut sums = vec![false; side + 1];
        sums[0] = true;
        for size in sizes {
            for step in size..=side {
                sums[step] |= sums[step - size];
            }
        }
        sums[side] = true;
        Some(Self::of(&sums))
    }

    /// The steps that are marked, 0 among them.
    fn of(marked: &[bool]) -> Self {
        let mut line = Self { places: Vec::new(), before: Vec::new() };
        for (step, &marked) in marked.iter().enumerate() {
            if marked {
                line.places.push(step);
            }
            line.before.push(line.places.len() as u32 - 1);
        }
        line
    }

    /// Those places alone that are as far from the end as a place is from the start, rounded down to a place. With any
    /// number of stages no more are needed (Scheithauer and Terno 1996): of what follows each other along the side, the
    /// first can grow to the last place that leaves room for all others, which is one of these; then the next.
    fn raster(&self) -> Self {
        let side = self.before.len() - 1;
        let mut kept = vec![false; side + 1];
        for &place in self.places.iter().chain([&side]) {
            kept[self.places[self.before[side - place] as usize]] = true;
        }
        kept[side] = true;
        Self::of(&kept)
    }

    fn len(&self) -> usize {
        self.places.len()
    }

    /// The place of what is left of a place after so many steps.
    fn after(&self, place: usize, steps: usize) -> Option<usize> {
        self.places[place].checked_sub(steps).map(|left| self.before[left] as usize)
    }

    /// Best sums of gains for lengths up to each place; `None` where that is too much work.
    fn sums(&self, gains: &[Gain], work: &mut Work) -> Option<Vec<i64>> {
        let mut best = vec![0_i64; self.len()];
        for &Gain { steps, value, most } in gains {
            let fits = (self.before.len() / steps.max(1)) as u64;
            // One after the other, or 1, 2, 4 and so on at once: with the rest they make every number up to the most.
            let (mut left, mut chunk) = (most.min(fits), 1);
            while left > 0 {
                if !work.cells(self.len() as u64) {
                    return None;
                }
                let count = left.min(chunk);
                let (steps, value) = (steps * count as usize, value.saturating_mul(count as i64));
                let mut best = |place: usize| {
                    if let Some(left) = self.after(place, steps) {
                        best[place] = best[place].max(best[left].saturating_add(value));
                    }
                };
                if most >= fits {
                    (1..self.len()).for_each(&mut best);
                    break;
                }
                (1..self.len()).rev().for_each(best);
                left -= count;
                chunk *= 2;
            }
        }
        Some(best)
    }
}

/// What may follow each other along a side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Gain {
    steps: usize,
    value: i64,
    /// How often.
    most: u64,
}

/// Two or three stages, the first of which divides axis `a`.
fn staged(
    tiles: &[Tile],
    lines: &[Line; 2],
    a: usize,
    stages: u8,
    trimming: bool,
    work: &mut Work,
) -> Option<i64> {
    let b = 1 - a;
    let often = |tile: &Tile| if stages < 3 { tile.most } else { u64::MAX };
    // The axis of the pieces' own row, and the axis across it.
    let (row, across) = if stages >= 3 { (a, b) } else { (b, a) };
    let mut sizes: Vec<usize> = tiles.iter().map(|tile| tile.size[across]).collect();
    sizes.sort_unstable();
    sizes.dedup();
    if sizes.len().saturating_mul(lines[row].len()) > MOST_CELLS {
        return None;
    }
    let mut rows: Vec<Row> = Vec::new();
    for &size in &sizes {
        let able = |t: &&Tile| if trimming { t.size[across] <= size } else { t.size[across] == size };
        // Of a part that may lie in a row in two ways, each copy does so in the shorter.
        let mut parts: BTreeMap<usize, Gain> = BTreeMap::new();
        for tile in tiles.iter().filter(able) {
            let gain = Gain { steps: tile.size[row], value: tile.price, most: often(tile) };
            let shortest = parts.entry(tile.part).or_insert(gain);
            shortest.steps = shortest.steps.min(gain.steps);
        }
        // Parts that are all the same are one.
        let mut alike: BTreeMap<(usize, i64), u64> = BTreeMap::new();
        for Gain { steps, value, most } in parts.into_values() {
            let all = alike.entry((steps, value)).or_default();
            *all = all.saturating_add(most);
        }
        let gains: Vec<Gain> =
            alike.into_iter().map(|((steps, value), most)| Gain { steps, value, most }).collect();
        // A row is as thick as some piece in it: there are no more of them.
        let thick = tiles.iter().filter(|tile| tile.size[across] == size);
        let most = thick.fold(0, |sum: u64, tile| sum.saturating_add(often(tile)));
        rows.push(Row { size, most, sums: lines[row].sums(&gains, work)? });
    }
    let gains = |place: usize| -> Vec<Gain> {
        let gain = |row: &Row| Gain { steps: row.size, value: row.sums[place], most: row.most };
        rows.iter().map(gain).collect()
    };
    if stages < 3 {
        return lines[a].sums(&gains(lines[row].len() - 1), work).map(|sums| last(&sums));
    }
    let mut strips: Vec<Gain> = Vec::new();
    for width in 1..lines[a].len() {
        let value = last(&lines[b].sums(&gains(width), work)?);
        if strips.last().map_or(0, |strip| strip.value) < value {
            strips.push(Gain { steps: lines[a].places[width], value, most: u64::MAX });
        }
    }
    lines[a].sums(&strips, work).map(|sums| last(&sums))
}

/// Pieces side by side, all at most so thick, and the best of them up to each place.
struct Row {
    size: usize,
    /// How many there may be.
    most: u64,
    sums: Vec<i64>,
}

/// Any number of stages.
fn free(tiles: &[Tile], lines: &[Line; 2], work: &mut Work) -> Option<i64> {
    let [nx, ny] = [lines[0].len(), lines[1].len()];
    if !work.cells((nx as u64 * ny as u64).saturating_mul((nx + ny) as u64) / 2) {
        return None;
    }
    let mut best = vec![vec![0_i64; ny]; nx];
    for tile in tiles {
        let at = |axis: usize| lines[axis].places.partition_point(|&place| place < tile.size[axis]);
        let cell = &mut best[at(0)][at(1)];
        *cell = (*cell).max(tile.price);
    }
    for x in 0..nx {
        for y in 0..ny {
            let mut most = best[x][y];
            if x > 0 {
                most = most.max(best[x - 1][y]);
            }
            if y > 0 {
                most = most.max(best[x][y - 1]);
            }
            for cut in 1..x {
                let left = lines[0].after(x, lines[0].places[cut]).unwrap_or(0);
                if left < cut {
                    break;
                }
                most = most.max(best[cut][y].saturating_add(best[left][y]));
            }
            let line = &best[x];
            for cut in 1..y {
                let left = lines[1].after(y, lines[1].places[cut]).unwrap_or(0);
                if left < cut {
                    break;
                }
                most = most.max(line[cut].saturating_add(line[left]));
            }
            best[x][y] = most;
        }
    }
    best.last().and_then(|line| line.last()).copied()
}

fn last(sums: &[i64]) -> i64 {
    sums.last().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// As often as it fits.
    const ANY: u64 = 1000;

    fn tiles(sizes: Vec<(usize, usize, i64)>, most: u64) -> Vec<Tile> {
        let tile = |(part, (x, y, price))| Tile { part, size: [x, y], price, most };
        sizes.into_iter().enumerate().map(tile).collect()
    }

    /// Places along the sides are work too.
    #[test]
    fn many_sizes_on_a_long_side_are_too_much_work() {
        let tiles = tiles((0..100).map(|n| (50 + n, 30, 1)).collect(), ANY);
        let rule = Rule { stages: Some(3), trimming: false, first: None };
        assert_eq!(most(&tiles, [1000, 40], rule, &mut Work::of(50_000, 0, 0)), None);
        assert!(Line::new(1000, 50..150, &mut Work::of(100_000, 0, 0)).is_none());
        assert!(Line::new(1000, 50..150, &mut Work::of(200_000, 0, 0)).is_some());
    }

    /// The best of a rectangle by trying every cut at every step.
    fn plain(tiles: &[Tile], sheet: [usize; 2], stages: u32, first: Option<usize>, trimming: bool) -> i64 {
        let fits = |tile: &&Tile| tile.size == sheet;
        let mut best = tiles.iter().filter(fits).map(|tile| tile.price).max().unwrap_or(0);
        if stages == 0 {
            // One cut more that only frees a piece: as long as the rectangle in one direction.
            let trims = |t: &&Tile| {
                trimming
                    && first.is_none_or(|axis| t.size[1 - axis] == sheet[1 - axis])
                    && t.size[0] <= sheet[0]
                    && t.size[1] <= sheet[1]
            };
            return tiles.iter().filter(trims).map(|tile| tile.price).max().unwrap_or(0).max(best);
        }
        for axis in [0, 1] {
            if first.is_some_and(|first| first != axis) {
                continue;
            }
            // A row: one child after the other, each cut in the other direction next.
            let mut row = vec![0_i64; sheet[axis] + 1];
            for end in 1..=sheet[axis] {
                row[end] = row[end - 1];
                for from in 0..end {
                    let mut child = sheet;
                    child[axis] = end - from;
                    let value = row[from] + plain(tiles, child, stages - 1, Some(1 - axis), trimming);
                    row[end] = row[end].max(value);
                }
            }
            best = best.max(row[sheet[axis]]);
        }
        best
    }

    /// The most of rows one upon the other from a list of rows still to come, each with what is best in it.
    fn stacked(rows: &[(usize, u64, i64)], room: usize) -> i64 {
        let Some((&(size, most, value), others)) = rows.split_first() else { return 0 };
        let counts = (0..=most).take_while(|&count| size * count as usize <= room);
        let best =
            counts.map(|count| value * count as i64 + stacked(others, room - size * count as usize)).max();
        best.unwrap_or(0)
    }

    /// The most of a row: every number of each part, in each way that is no thicker.
    fn in_row(parts: &[Vec<Tile>], row: usize, thick: usize, trimming: bool, room: usize) -> i64 {
        let Some((lies, others)) = parts.split_first() else { return 0 };
        let mut best = in_row(others, row, thick, trimming, room);
        for tile in lies {
            let [long, across] = [tile.size[row], tile.size[1 - row]];
            let may = tile.most > 0 && long <= room && (across == thick || trimming && across < thick);
            if may {
                let fewer = |tile: &Tile| Tile { most: tile.most - 1, ..*tile };
                let mut parts = parts.to_vec();
                parts[0] = parts[0].iter().map(fewer).collect();
                best = best.max(tile.price + in_row(&parts, row, thick, trimming, room - long));
            }
        }
        best
    }

    /// The most of rows along an axis in a rectangle.
    fn of_rows(parts: &[Vec<Tile>], row: usize, size: [usize; 2], trimming: bool) -> i64 {
        let thick = |thick: usize| {
            let just = parts.iter().flatten().filter(|tile| tile.size[1 - row] == thick);
            (thick, just.map(|tile| tile.most).sum(), in_row(parts, row, thick, trimming, size[row]))
        };
        let rows: Vec<_> = (1..=size[1 - row]).map(thick).filter(|row| row.1 > 0).collect();
        stacked(&rows, size[1 - row])
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]

        #[test]
        fn rows_hold_no_part_more_often_than_it_is_asked_for(
            parts in proptest::collection::vec((1_usize..5, 1_usize..5, 1_i64..20, 1_u64..6, any::<bool>()), 1..4),
            sheet in (1_usize..9, 1_usize..9),
            trimming: bool,
        ) {
            let mut lies = Vec::new();
            for (part, (x, y, price, most, turns)) in parts.into_iter().enumerate() {
                let turned = (turns && x != y).then_some([y, x]);
                // What does not go on the sheet counts nowhere.
                let sizes = std::iter::once([x, y]).chain(turned);
                let on = sizes.filter(|size| size[0] <= sheet.0 && size[1] <= sheet.1);
                lies.push(on.map(|size| Tile { part, size, price, most }).collect::<Vec<_>>());
            }
            let sheet = [sheet.0, sheet.1];
            let tiles: Vec<Tile> = lies.concat();
            for first in [0, 1] {
                let mut lies = lies.clone();
                let rule = |stages| Rule { stages: Some(stages), trimming, first: Some(first) };
                let two = of_rows(&lies, 1 - first, sheet, trimming);
                prop_assert_eq!(most(&tiles, sheet, rule(2), &mut Work::new()), Some(two));
                // Three stages: strips of every width, as many as fit, and in them pieces and rows as many as fit.
                for tile in lies.iter_mut().flatten() {
                    tile.most = ANY;
                }
                let strips = (1..=sheet[first]).map(|width| {
                    let mut size = sheet;
                    size[first] = width;
                    (width, ANY, of_rows(&lies, first, size, trimming))
                });
                let three = stacked(&strips.collect::<Vec<_>>(), sheet[first]);
                prop_assert_eq!(most(&tiles, sheet, rule(3), &mut Work::new()), Some(three));
            }
        }

        #[test]
        fn recursion_over_every_cut_finds_the_same(
            sizes in proptest::collection::vec((1_usize..5, 1_usize..5, 1_i64..20), 1..4),
            sheet in (1_usize..7, 1_usize..7),
            trimming: bool,
            first in proptest::option::of(0_usize..2),
        ) {
            let tiles = tiles(sizes, ANY);
            let sheet = [sheet.0, sheet.1];
            for stages in [2, 3] {
                let rule = Rule { stages: Some(stages), trimming, first };
                let found = most(&tiles, sheet, rule, &mut Work::new());
                prop_assert_eq!(found, Some(plain(&tiles, sheet, stages.into(), first, trimming)));
            }
            let rule = Rule { stages: None, trimming, first: None };
            prop_assert_eq!(most(&tiles, sheet, rule, &mut Work::new()), Some(plain(&tiles, sheet, 8, None, false)));
        }

        #[test]
        fn few_places_say_as_much_as_all(
            sizes in proptest::collection::vec((1_usize..60, 1_usize..60, 1_i64..2000), 1..8),
            sheet in (30_usize..150, 30_usize..150),
            by_area: bool,
        ) {
            let price = |x: usize, y: usize, price: i64| if by_area { (x * y) as i64 } else { price };
            let sizes = sizes.into_iter().map(|(x, y, worth)| (x, y, price(x, y, worth))).collect();
            let tiles = tiles(sizes, ANY);
            let tiles: Vec<Tile> =
                tiles.into_iter().filter(|t| t.size[0] <= sheet.0 && t.size[1] <= sheet.1).collect();
            let sheet = [sheet.0, sheet.1];
            let line = |axis: usize| {
                Line::new(sheet[axis], tiles.iter().map(|tile| tile.size[axis]), &mut Work::new()).unwrap()
            };
            let all = [line(0), line(1)];
            let few = [all[0].raster(), all[1].raster()];
            prop_assert!(few[0].len() <= all[0].len());
            prop_assert_eq!(free(&tiles, &few, &mut Work::new()), free(&tiles, &all, &mut Work::new()));
        }
    }
}
