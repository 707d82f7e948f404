//! The sheets that are in question: all of a kind together, or every one by itself.

use super::share::Share;
use crate::plan::{self, Leaf, Reason, StockValue};
use crate::sheet::problem::Problem;

/// So many sheets, as kinds of their own.
#[derive(Clone, Debug)]
pub(super) struct Berths {
    /// The same question with these kinds alone.
    pub problem: Problem,
    /// Which kind each was.
    pub of: Vec<usize>,
    /// How many there are of each.
    pub uses: Vec<u32>,
    /// Which sheet of its kind each is, where it is a single one of several.
    piece: Vec<Option<u32>>,
}

impl Berths {
    /// The kinds in use.
    pub fn kinds(problem: &Problem, uses: &[u32]) -> Self {
        let of: Vec<usize> = (0..uses.len()).filter(|&kind| uses[kind] > 0).collect();
        let piece = vec![None; of.len()];
        Self::new(problem, of.iter().map(|&kind| uses[kind]).collect(), of, piece)
    }

    /// Every sheet.
    pub fn each(problem: &Problem, uses: &[u32]) -> Self {
        let (mut of, mut piece) = (Vec::new(), Vec::new());
        for (kind, &count) in uses.iter().enumerate() {
            of.extend((0..count).map(|_| kind));
            piece.extend((0..count).map(|at| (count > 1).then_some(at)));
        }
        Self::new(problem, vec![1; of.len()], of, piece)
    }

    fn new(problem: &Problem, uses: Vec<u32>, of: Vec<usize>, piece: Vec<Option<u32>>) -> Self {
        let sheets: Vec<(usize, [u32; 2])> =
            of.iter().map(|&kind| (kind, problem.kinds[kind].size)).collect();
        Self { problem: problem.rest(&sheets, &problem.demand()), of, uses, piece }
    }

    /// What prices prove of these sheets, for a box of any limits that allows no more of them: prices of items, what the items
    /// with shares count there, and the most that each sheet collects.
    pub fn leaf(&self, prices: &[i64], shares: &[(Share, i64)], values: &[(i64, Reason)]) -> Leaf {
        let mut leaf = Leaf::default();
        for (item, &price) in self.problem.items.iter().zip(prices).filter(|&(_, &price)| price > 0) {
            leaf.prices.extend(item.named().map(|(part, _)| (part, price)));
        }
        leaf.prices.sort_unstable();
        let stock = |berth: usize| self.problem.kinds[berth].stock;
        leaf.values = (values.iter().enumerate())
            .map(|(at, &(value, reason))| StockValue {
                stock: stock(at),
                piece: self.piece[at],
                value,
                reason,
            })
            .collect();
        leaf.shares = (shares.iter())
            .map(|&(Share { berth, item, least, most }, price)| {
                let mut parts: Vec<usize> = self.problem.items[item].named().map(|(part, _)| part).collect();
                parts.sort_unstable();
                let (least, most) = (least.into(), most.into());
                plan::PartShare { stock: stock(berth), piece: self.piece[berth], parts, least, most, price }
            })
            .collect();
        leaf
    }
}
