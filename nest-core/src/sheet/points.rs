//! Where cuts can lie along one axis: sums of sizes (normal patterns, Herz 1972; Christofides and Whitlock 1977).
//!
//! Between two neighbouring points nothing more fits than at the lower one, so a table over points says as much as one
//! over all positions. Where there are too many, some are left out: what is looked up then is rounded
//! down to a point that is there, which only ever wastes room.

/// Longer axes are measured in coarser units.
const MOST_UNITS: u32 = 60_000;

/// The points of an axis.
#[derive(Clone, Debug)]
pub(super) struct Points {
    /// Ascending, in units; the first is 0, the last the capacity.
    at: Vec<u32>,
    /// For each unit the last point at or before it.
    floor: Vec<u32>,
    /// Grid steps in a unit.
    unit: u32,
    /// Whether nothing was rounded or left out.
    pub exact: bool,
}

impl Points {
    /// The points of so long an axis for these sizes.
    pub fn new(capacity: u32, sizes: impl Iterator<Item = u32>) -> Self {
        let unit = capacity.div_ceil(MOST_UNITS).max(1);
        let units = capacity / unit;
        let mut sizes: Vec<u32> = sizes.map(|size| size.div_ceil(unit)).filter(|&s| s <= units).collect();
        sizes.sort_unstable();
        sizes.dedup();
        let mut reached = vec![false; units as usize + 1];
        reached[0] = true;
        for p in 0..reached.len() {
            if reached[p] {
                for &size in &sizes {
                    match reached.get_mut(p + size as usize) {
                        Some(there) => *there = true,
                        None => break,
                    }
                }
            }
        }
        let at = (0..=units).filter(|&p| reached[p as usize] || p == units).collect();
        Self::of(at, unit, unit == 1)
    }

    /// Only some of them, evenly, at most `most` beside the last.
    pub fn thinned(&self, most: usize) -> Self {
        let thin = self.at.len().div_ceil(most.max(2));
        let last = self.at.len() - 1;
        let kept = self.at.iter().enumerate().filter(|&(i, _)| i % thin == 0 || i == last);
        Self::of(kept.map(|(_, &p)| p).collect(), self.unit, self.exact && thin == 1)
    }

    /// Only those that are as far from the end as a point is from the beginning, rounded down: the same can be cut with
    /// the others left out (raster points, Scheithauer and Terno 1996).
    pub fn raster(&self) -> Self {
        let units = self.at.last().copied().unwrap_or(0);
        let mut kept: Vec<u32> =
            self.at.iter().map(|&p| self.at[self.floor[(units - p) as usize] as usize]).collect();
        kept.extend([0, units]);
        kept.sort_unstable();
        kept.dedup();
        Self::of(kept, self.unit, self.exact)
    }

    fn of(at: Vec<u32>, unit: u32, exact: bool) -> Self {
        let units = at.last().copied().unwrap_or(0);
        let mut floor = Vec::with_capacity(units as usize + 1);
        let mut point = 0;
        for p in 0..=units {
            if at.get(point + 1).is_some_and(|&next| next <= p) {
                point += 1;
            }
            floor.push(point as u32);
        }
        Self { at, floor, unit, exact }
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.at.len()
    }

    /// A point in units.
    pub fn at(&self, point: usize) -> u32 {
        self.at[point]
    }

    /// A size in units.
    pub fn units(&self, size: u32) -> u32 {
        size.div_ceil(self.unit)
    }

    /// The point that remains at `point` when so many units are taken; `None` where they are more than there are.
    pub fn less(&self, point: usize, units: u32) -> Option<usize> {
        let left = self.at[point].checked_sub(units)?;
        Some(self.floor[left as usize] as usize)
    }

    /// The first point at which a size fits.
    pub fn first(&self, size: u32) -> Option<usize> {
        let units = self.units(size);
        let point = self.at.partition_point(|&p| p < units);
        (point < self.at.len()).then_some(point)
    }

    /// For each point and each smaller one, where the rest of it lies: `rest[q]` for `q` up to `point`.
    pub fn rests<'a>(&'a self, point: usize) -> impl Iterator<Item = usize> + 'a {
        let here = self.at[point];
        self.at[..=point].iter().map(move |&p| self.floor[(here - p) as usize] as usize)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_are_the_sums_of_sizes() {
        let points = Points::new(12, [5, 3].into_iter());
        assert_eq!(points.at, [0, 3, 5, 6, 8, 9, 10, 11, 12]);
        assert_eq!((points.less(7, 3), points.less(1, 5)), (Some(4), None));
        assert!(points.exact);
    }

    #[test]
    fn where_points_are_left_out_less_fits() {
        let all = Points::new(1000, [7, 11].into_iter());
        let few = all.thinned(50);
        assert!(!few.exact && few.len() <= 51 && few.at.last() == Some(&1000));
        for size in [1, 7, 500] {
            let left = |p: &Points| p.less(p.len() - 1, size).map(|at| p.at[at]);
            assert!(left(&few) <= left(&all));
        }
    }
}
