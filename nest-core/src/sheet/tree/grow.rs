//! A sheet as pricing found it, hung up as a tree.

use super::super::cutting::Cutting;
use super::super::problem::Problem;
use super::rules::may_cut;
use super::{NONE, Node, Sheet};

impl Sheet {
    /// A sheet cut as pricing found it; `None` where the rules of the saw do not allow that.
    pub fn of(problem: &Problem, kind: usize, cutting: &Cutting) -> Option<Self> {
        let mut sheet = Self::empty(problem, kind);
        let of = &problem.kinds[kind];
        let axis = match (of.rules.first, cutting) {
            (Some(axis), _) => axis.into(),
            (None, Cutting::Row { axis, .. }) => *axis,
            (None, Cutting::Item { .. }) => 0,
        };
        sheet.nodes[0].axis = axis as u8;
        sheet.nodes[0].free = of.size[axis];
        sheet.grow(problem, 0, cutting)?;
        sheet.list_gaps(of);
        let whole = sheet.nodes.iter().enumerate().all(|(at, node)| {
            let axis = usize::from(node.axis);
            !sheet.divided(at as u32) || may_cut(&of.rules, axis, node.size[1 - axis])
        });
        // Where one strip is as wide as the sheet, the first cut is one across it.
        let strip = sheet.nodes.get(sheet.nodes[0].first as usize);
        let other = of.rules.first.is_some() && !sheet.divided(0) && strip.is_some_and(|s| s.item == NONE);
        (whole && !other && sheet.sawable(of)).then_some(sheet)
    }

    /// Whether anything is cut off along the axis of a node.
    fn divided(&self, at: u32) -> bool {
        let node = self.nodes[at as usize];
        node.item == NONE && (node.free > 0 || self.nodes[node.first as usize].next != NONE)
    }

    /// Hangs a cutting into what is free of a node.
    fn grow(&mut self, problem: &Problem, at: u32, cutting: &Cutting) -> Option<()> {
        let rules = problem.kinds[self.kind()].rules;
        let parent = self.nodes[at as usize];
        let axis = usize::from(parent.axis);
        if let Cutting::Row { axis: along, children } = cutting
            && (*along == axis || children.len() == 1)
        {
            return children.iter().try_for_each(|child| self.grow(problem, at, child));
        }
        let taken = cutting.size(problem, self.kind());
        let mut size = parent.size;
        size[axis] = taken[axis];
        let fits = taken[1 - axis] <= size[1 - axis] && size[axis] <= parent.free;
        let level = parent.level.checked_add(1)?;
        let trims = level == rules.stages.saturating_add(1) && rules.trimming;
        let item = match cutting {
            Cutting::Item { item, lay } => Some((*item as u32, *lay)),
            Cutting::Row { .. } => None,
        };
        let whole = item.is_some() && taken == size;
        if !fits || !whole && level > rules.stages && !(trims && item.is_some()) {
            return None;
        }
        self.nodes[at as usize].free -= size[axis];
        let blank = Node {
            size,
            free: size[1 - axis],
            item: NONE,
            parent: at,
            first: NONE,
            next: NONE,
            axis: 1 - parent.axis,
            level,
            lay: 0,
            sealed: level > rules.stages,
            gap: NONE,
        };
        match (item, whole) {
            (Some((item, lay)), true) => {
                let leaf = Node {
                    free: 0,
                    item,
                    axis: parent.axis,
                    level: parent.level,
                    lay,
                    sealed: false,
                    ..blank
                };
                self.hang(at, leaf);
                self.count += 1;
                self.used += problem.items[item as usize].area;
            }
            _ => {
                let node = self.hang(at, blank);
                self.grow(problem, node, cutting)?;
            }
        }
        Some(())
    }
}
