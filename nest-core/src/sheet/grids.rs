//! Points for pricing, first few and then all that a table can hold.
//!
//! A table over few points misses some layouts, but what it finds can be cut, and it takes a small part of the time: most
//! of the way to the relaxation's optimum is gone with it.

use super::points::Points;
use super::problem::Problem;

/// Most points along an axis.
const MOST_POINTS: usize = 4000;
/// Most work of one table of stages.
const MOST_STAGED: u64 = 150_000_000;
/// Most points along an axis at first; each finer grid has twice as many.
const FEW_POINTS: usize = 200;

/// The grids of all kinds of sheets, and how fine they are at present.
pub(super) struct Grids {
    /// Of each kind from few points to all.
    kinds: Vec<Vec<[Points; 2]>>,
    level: usize,
}

impl Grids {
    /// Runtime: steps along both axes times different sizes.
    pub fn new(problem: &Problem) -> Self {
        let kinds = (0..problem.kinds.len()).map(|kind| levels(problem, kind)).collect();
        Self { kinds, level: 0 }
    }

    /// The points of a kind of sheet.
    pub fn of(&self, kind: usize) -> &[Points; 2] {
        let levels = &self.kinds[kind];
        &levels[self.level.min(levels.len() - 1)]
    }

    /// From now on few points.
    pub fn roughest(&mut self) {
        self.level = 0;
    }

    /// Whether there are no more points to be had.
    pub fn finest(&self) -> bool {
        self.kinds.iter().all(|levels| self.level + 1 >= levels.len())
    }

    /// From now on more points. Returns whether there are any.
    pub fn refine(&mut self) -> bool {
        let more = !self.finest();
        self.level += usize::from(more);
        more
    }
}

fn levels(problem: &Problem, kind: usize) -> Vec<[Points; 2]> {
    let all = [0, 1].map(|axis| {
        let lays = (0..problem.items.len()).flat_map(|item| problem.lays(kind, item));
        Points::new(problem.kinds[kind].size[axis], lays.map(|lay| lay.size[axis]))
    });
    let thinned = |most: usize| [all[0].thinned(most), all[1].thinned(most)];
    let work = |points: &[Points; 2]| {
        points[0].len() as u64 * points[1].len() as u64 * problem.items.len().min(60) as u64
    };
    let mut most = MOST_POINTS;
    let mut finest = thinned(most);
    while work(&finest) > MOST_STAGED {
        most /= 2;
        finest = thinned(most);
    }
    let longest = finest[0].len().max(finest[1].len());
    let few = std::iter::successors(Some(FEW_POINTS), |most| Some(2 * most));
    let mut levels: Vec<[Points; 2]> = few.take_while(|&most| 2 * most <= longest).map(thinned).collect();
    levels.push(finest);
    levels
}
