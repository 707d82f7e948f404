//! The most that one sheet can collect, cut from edge to edge: the judge's own recursion.
//!
//! Sizes arrive in whole steps with the kerf included. Any number of copies of a part may lie on the sheet, which only
//! raises the result. Cuts need only be looked at where sums of sizes lie (Herz 1972); everything between two
//! such places is worth what the lower one is.

use super::bound::Work;

/// A part as it may lie, in steps, and its price.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Tile {
    pub size: [usize; 2],
    pub price: i64,
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

/// Most steps along a side.
const MOST_STEPS: usize = 1 << 22;

/// The most value, `None` where finding it is too much work. Sizes must be positive.
pub(super) fn most(tiles: &[Tile], sheet: [usize; 2], rule: Rule, work: &mut Work) -> Option<i64> {
    if sheet.iter().any(|&side| side > MOST_STEPS) {
        return None;
    }
    let tiles: Vec<Tile> =
        tiles.iter().copied().filter(|t| t.size[0] <= sheet[0] && t.size[1] <= sheet[1]).collect();
    let lines = [0, 1].map(|axis| Line::new(sheet[axis], tiles.iter().map(|tile| tile.size[axis])));
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
    fn new(side: usize, sizes: impl Iterator<Item = usize>) -> Self {
        let mut sizes: Vec<usize> = sizes.collect();
        sizes.sort_unstable();
        sizes.dedup();
        let mut sums = vec![false; side + 1];
        sums[0] = true;
        for size in sizes {
            for step in size..=side {
                sums[step] |= sums[step - size];
            }
        }
        sums[side] = true;
        Self::of(&sums)
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

    /// Best sums of gains for lengths up to each place.
    fn sums(&self, gains: &[(usize, i64)]) -> Vec<i64> {
        let mut best = vec![0_i64; self.len()];
        for place in 1..self.len() {
            let mut most = best[place - 1];
            for &(steps, gain) in gains {
                if let Some(left) = self.after(place, steps) {
                    most = most.max(best[left].saturating_add(gain));
                }
            }
            best[place] = most;
        }
        best
    }
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
    // The axis of the pieces' own row, and the axis across it.
    let (row, across) = if stages >= 3 { (a, b) } else { (b, a) };
    let mut sizes: Vec<usize> = tiles.iter().map(|tile| tile.size[across]).collect();
    sizes.sort_unstable();
    sizes.dedup();
    let mut rows: Vec<(usize, Vec<i64>)> = Vec::new();
    for &size in &sizes {
        let able =
            tiles.iter().filter(|t| if trimming { t.size[across] <= size } else { t.size[across] == size });
        let gains: Vec<(usize, i64)> = able.map(|tile| (tile.size[row], tile.price)).collect();
        if !work.cells((lines[row].len() * gains.len()) as u64) {
            return None;
        }
        rows.push((size, lines[row].sums(&gains)));
    }
    if stages < 3 {
        let strips: Vec<(usize, i64)> = rows.iter().map(|(size, sums)| (*size, last(sums))).collect();
        return Some(last(&lines[a].sums(&strips)));
    }
    let mut strips: Vec<(usize, i64)> = Vec::new();
    for width in 1..lines[a].len() {
        let stacks: Vec<(usize, i64)> = rows.iter().map(|(size, sums)| (*size, sums[width])).collect();
        if !work.cells((lines[b].len() * stacks.len()) as u64) {
            return None;
        }
        let value = last(&lines[b].sums(&stacks));
        if strips.last().map_or(0, |strip| strip.1) < value {
            strips.push((lines[a].places[width], value));
        }
    }
    if !work.cells((lines[a].len() * strips.len()) as u64) {
        return None;
    }
    Some(last(&lines[a].sums(&strips)))
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

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]

        #[test]
        fn recursion_over_every_cut_finds_the_same(
            sizes in proptest::collection::vec((1_usize..5, 1_usize..5, 1_i64..20), 1..4),
            sheet in (1_usize..7, 1_usize..7),
            trimming: bool,
            first in proptest::option::of(0_usize..2),
        ) {
            let tiles: Vec<Tile> = sizes.into_iter().map(|(x, y, price)| Tile { size: [x, y], price }).collect();
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
            let tile = |(x, y, worth)| Tile { size: [x, y], price: price(x, y, worth) };
            let tiles: Vec<Tile> = sizes.into_iter().map(tile).collect();
            let tiles: Vec<Tile> =
                tiles.into_iter().filter(|t| t.size[0] <= sheet.0 && t.size[1] <= sheet.1).collect();
            let sheet = [sheet.0, sheet.1];
            let all = [0, 1].map(|axis| Line::new(sheet[axis], tiles.iter().map(|tile| tile.size[axis])));
            let few = [all[0].raster(), all[1].raster()];
            prop_assert!(few[0].len() <= all[0].len());
            prop_assert_eq!(free(&tiles, &few, &mut Work::new()), free(&tiles, &all, &mut Work::new()));
        }
    }
}
