//! How much of everything does a plan hold? Counts and exact amounts, for papers and for tests.
//!
//! Amounts are areas where all stock of a group has a width, and lengths where some of it has none. What is opened
//! is the whole stock, edge trim and all; it splits without remainder:
//! `opened = parts + offcuts + waste + dust`, where waste includes the edge trim, and dust is what the cuts between
//! pieces turn to. A leftover strip beside a piece counts nothing where lengths are counted.
//! Runtime: linear in the plan.

use super::{Kind, Layout, Node, Plan, Way};
use crate::model::{CheckedBatch, Part, UsableStock};
use crate::units::Length;

/// Counts and amounts of a plan.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// One entry for each group of the batch, same index.
    pub groups: Vec<GroupTally>,
    /// How many of each part are made.
    pub made: Vec<u64>,
    /// How many of each stock are used.
    pub used: Vec<u64>,
}

/// Counts and amounts of one group.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct GroupTally {
    /// What the amounts are.
    pub extent: Extent,
    /// All stock that is cut, whole.
    pub opened: i128,
    /// Pieces as cut.
    pub parts: i128,
    /// What of the pieces ends in finished parts: without allowances for fitting and gluing, and without the edge band that
    /// is glued on later.
    pub finished: i128,
    /// Leftovers worth keeping.
    pub offcuts: i128,
    /// Leftovers not worth keeping, and edge trim.
    pub waste: i128,
    /// What the blade turns to dust, edge trim excepted.
    pub dust: i128,
    /// How many pieces of stock are cut.
    pub stock: u64,
    /// How many pieces are made.
    pub pieces: u64,
    /// How many different layouts there are.
    pub layouts: u64,
    /// How many cuts are made.
    pub cuts: u64,
    /// How often a stop or fence is set, when equal layouts are cut together: runs of equal settings.
    pub settings: u64,
}

/// What an amount counts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Extent {
    /// Ticks of length.
    #[default]
    Length,
    /// Square ticks of area.
    Area,
}

impl GroupTally {
    /// Finished parts over stock opened, exactly: the yield. `None` where nothing is opened.
    pub fn yield_fraction(&self) -> Option<(i128, i128)> {
        (self.opened > 0).then_some((self.finished, self.opened))
    }
}

impl Tally {
    /// Counts a plan. Whatever names a stock or a part that does not exist counts as nothing.
    pub fn of(batch: &CheckedBatch, plan: &Plan) -> Self {
        let mut tally = Self {
            groups: vec![GroupTally::default(); batch.groups().len()],
            made: vec![0; batch.parts().len()],
            used: vec![0; batch.stock().len()],
        };
        let mut group_of = vec![None; batch.stock().len()];
        for (g, group) in batch.groups().iter().enumerate() {
            let stock = || group.stock.iter().filter_map(|&s| batch.stock().get(s));
            if stock().all(|stock| stock.size[1].is_positive()) {
                tally.groups[g].extent = Extent::Area;
            }
            for &s in &group.stock {
                if let Some(entry) = group_of.get_mut(s) {
                    *entry = Some(g);
                }
            }
        }
        for layout in &plan.layouts {
            let Some(stock) = batch.stock().get(layout.stock) else { continue };
            tally.used[layout.stock] = tally.used[layout.stock].saturating_add(layout.copies.into());
            for piece in &layout.pieces {
                if let Some(made) = tally.made.get_mut(piece.part) {
                    *made = made.saturating_add(layout.copies.into());
                }
            }
            if let Some(group) = group_of[layout.stock].and_then(|g| tally.groups.get_mut(g)) {
                add(batch, stock, layout, group);
            }
        }
        tally
    }

    /// All groups together; `None` where some count areas and others lengths.
    pub fn total(&self) -> Option<GroupTally> {
        let mut groups = self.groups.iter();
        let first = *groups.next()?;
        groups.try_fold(first, |sum, group| {
            (sum.extent == group.extent).then(|| GroupTally {
                extent: sum.extent,
                opened: sum.opened.saturating_add(group.opened),
                parts: sum.parts.saturating_add(group.parts),
                finished: sum.finished.saturating_add(group.finished),
                offcuts: sum.offcuts.saturating_add(group.offcuts),
                waste: sum.waste.saturating_add(group.waste),
                dust: sum.dust.saturating_add(group.dust),
                stock: sum.stock.saturating_add(group.stock),
                pieces: sum.pieces.saturating_add(group.pieces),
                layouts: sum.layouts.saturating_add(group.layouts),
                cuts: sum.cuts.saturating_add(group.cuts),
                settings: sum.settings.saturating_add(group.settings),
            })
        })
    }
}

fn add(batch: &CheckedBatch, stock: &UsableStock, layout: &Layout, group: &mut GroupTally) {
    let extent = group.extent;
    let amount = |size: [Length; 2]| {
        let [along, across] = size.map(|side| i128::from(side.ticks()));
        match extent {
            Extent::Length => along,
            Extent::Area => along.saturating_mul(across),
        }
    };
    let copies = i128::from(layout.copies);
    let grow = |sum: &mut i128, amount: i128| *sum = sum.saturating_add(amount.saturating_mul(copies));
    let [clean, opened] = [amount(stock.usable()), amount(stock.size)];
    let mut leaves: i128 = 0;
    grow(&mut group.opened, opened);
    grow(&mut group.waste, opened.saturating_sub(clean));
    for (node, beside) in leaves_of(&layout.root) {
        let size = if beside && extent == Extent::Length { 0 } else { amount(node.size) };
        leaves = leaves.saturating_add(size);
        match node.kind {
            Kind::Piece { part, turned } => {
                grow(&mut group.parts, size);
                group.pieces = group.pieces.saturating_add(layout.copies.into());
                if let Some(part) = batch.batch().parts.get(part) {
                    grow(&mut group.finished, amount(finished(part, node.size, turned)));
                }
            }
            Kind::Offcut => grow(&mut group.offcuts, size),
            Kind::Waste => grow(&mut group.waste, size),
            Kind::Cut { .. } => {}
        }
    }
    grow(&mut group.dust, clean.saturating_sub(leaves));
    group.stock = group.stock.saturating_add(layout.copies.into());
    group.layouts = group.layouts.saturating_add(1);
    let mut last = None;
    for cut in layout.cuts(stock) {
        group.cuts = group.cuts.saturating_add(layout.copies.into());
        let setting = Some((cut.way, cut.guide, cut.setting));
        group.settings = group.settings.saturating_add(u64::from(last != setting));
        last = setting;
    }
}

/// What of a piece of such a size ends in the finished part, along its length and width.
pub fn finished(part: &Part, size: [Length; 2], turned: bool) -> [Length; 2] {
    let [long, wide] = if turned { [size[1], size[0]] } else { size };
    [part.length.min(long), part.width.map_or(wide, |width| width.min(wide))]
}

/// The leaves of a tree, and whether each is a leftover beside something else.
fn leaves_of(root: &Node) -> impl Iterator<Item = (&Node, bool)> {
    let mut todo = vec![(root, false)];
    std::iter::from_fn(move || {
        loop {
            let (node, beside) = todo.pop()?;
            match &node.kind {
                Kind::Cut { way, children } => {
                    let rip = *way == Way::Rip;
                    todo.extend(children.iter().map(|child| (child, rip && child.kind.is_leftover())));
                }
                _ => return Some((node, beside)),
            }
        }
    })
}
