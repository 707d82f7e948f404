//! A sheet as pricing found it, hung up as a tree.

use super::super::cutting::Cutting;
use super::super::problem::Problem;
use super::rules::{below, may_cut};
use super::{Gap, NONE, Node, Sheet};

impl Sheet {
    /// A sheet cut as pricing found it; `None` where the rules of the saw do not allow that. What begins with cuts that the
    /// rules want second lies in one strip, which is as wide as the sheet only if nothing but such cuts follows.
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
        (whole && sheet.sawable(of)).then_some(sheet)
    }

    /// Whether anything is cut off along the axis of a node.
    fn divided(&self, at: u32) -> bool {
        let node = self.nodes[at as usize];
        node.item == NONE && (node.free > 0 || self.nodes[node.first as usize].next != NONE)
    }

    /// Hangs a cutting into what is free of a node.
    fn grow(&mut self, problem: &Problem, at: u32, cutting: &Cutting) -> Option<()> {
        let kind = &problem.kinds[self.kind()];
        let rules = kind.rules;
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
        let item = match cutting {
            Cutting::Item { item, lay } => Some((*item as u32, *lay)),
            Cutting::Row { .. } => None,
        };
        let whole = item.is_some() && taken == size;
        if !whole {
            // What is cut on is as long as its cuts have to be.
            size[axis] = size[axis].max(rules.cut[1 - axis][0]);
        }
        let fits = taken[1 - axis] <= size[1 - axis] && size[axis] <= parent.free;
        let gap = Gap { size: parent.size, node: at, axis: parent.axis, level: parent.level };
        let level = below(&gap, size[axis], kind);
        let trims = level == rules.stages.saturating_add(1) && rules.trimming && !self.alone(at, kind);
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
                // A grain match is cut into its pieces at a level of its own, unless that is the one of its node.
                let chain = problem.lays(self.kind(), item as usize)[usize::from(lay)].chain;
                let deeper = |chain: u8| chain != parent.axis && parent.level >= rules.stages;
                if chain.is_some_and(|chain| deeper(chain) || parent.level > rules.stages) {
                    return None;
                }
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Batch, PartGrain, Stages};
    use crate::sheet::tests::{part, sheet, shop};

    /// Strips in rows in strips, the innermost of which holds a match whose own cuts go the other way again.
    #[test]
    fn a_match_needs_a_stage_for_its_own_cuts() {
        for (stages, fits) in [(3, false), (4, true)] {
            let mut front = part("front", [100, 200], 2, PartGrain::Length);
            front.match_word = Some("front".into());
            let others =
                [[200, 50], [100, 250], [300, 60]].map(|size| part("part", size, 1, PartGrain::Length));
            let parts = [front].into_iter().chain(others).collect();
            let stock = vec![sheet("sheet", [400, 400], 1)];
            let batch = Batch { parts, stock, shop: shop(0, Stages::Limited(stages)) };
            let problem = Problem::new(&batch.check().unwrap(), 0);
            let sized = |size: [i64; 2]| {
                let size =
                    [0, 1].map(|axis| (size[axis] * i64::from(problem.kinds[0].size[axis]) / 400) as u32);
                let of = |&item: &usize| problem.lays(0, item).iter().any(|lay| lay.size == size);
                Cutting::Item { item: (0..problem.items.len()).find(of).unwrap(), lay: 0 }
            };
            let row = |axis, children| Cutting::Row { axis, children };
            let inner = row(1, vec![sized([200, 200]), sized([200, 50])]);
            let cutting = row(1, vec![row(0, vec![inner, sized([100, 250])]), sized([300, 60])]);
            assert_eq!(Sheet::of(&problem, 0, &cutting).is_some(), fits, "{stages}");
        }
    }
}
