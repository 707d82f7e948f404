//! One sheet while it is being filled: a tree of cuts that can grow and lose branches.
//!
//! A node divides its rectangle along one axis into children of any number; what no child takes is its gap. The
//! order of children does not matter, so all that is free beside them is one gap: taking a branch out heals the
//! rectangle it stood in, and a node that lost its last child is free as a whole and goes to its parent.
//! Invariants: children and gap add up to the node; a node other than the root has a child; a child that is divided
//! again is divided along the other axis; a piece fills the width of its parent.
//!
//! Costs: placing and removing touch the branch and the gaps beside it; what is too small for every item is no gap.

mod grow;
mod rules;
mod view;

pub(super) use rules::may_cut;
pub(crate) use view::View;

use super::problem::{Kind, Problem};

const NONE: u32 = u32::MAX;
/// Marks nodes that are not in use.
const VACANT: u32 = u32::MAX - 1;

/// A rectangle of the tree.
#[derive(Clone, Copy, Debug)]
struct Node {
    size: [u32; 2],
    /// What no child takes, along the axis.
    free: u32,
    /// The item it holds; `NONE` where it is divided.
    item: u32,
    parent: u32,
    first: u32,
    next: u32,
    axis: u8,
    /// How many cuts of alternating direction it takes to divide it, the first counts 1.
    level: u8,
    /// Which of the item's lays.
    lay: u8,
    /// Whether its piece is freed by a cut beyond the stages, so that nothing may join it.
    sealed: bool,
    /// Where its gap is listed; `NONE` where it has none of use.
    gap: u32,
}

/// A free rectangle.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Gap {
    pub size: [u32; 2],
    node: u32,
    axis: u8,
    level: u8,
}

/// How a piece goes into a gap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Split {
    /// The cut along the axis of the node that the gap belongs to comes first: a strip as wide as the piece.
    Near,
    /// The other cut comes first.
    Far,
}

/// A sheet with what is placed on it.
#[derive(Debug)]
pub(crate) struct Sheet {
    pub kind: u32,
    /// How many items lie on it.
    pub count: u32,
    /// Their area.
    pub used: u64,
    nodes: Vec<Node>,
    vacant: Vec<u32>,
    gaps: Vec<Gap>,
}

impl Clone for Sheet {
    fn clone(&self) -> Self {
        let mut copy =
            Self { kind: 0, count: 0, used: 0, nodes: Vec::new(), vacant: Vec::new(), gaps: Vec::new() };
        copy.clone_from(self);
        copy
    }

    /// Keeps the memory it has.
    fn clone_from(&mut self, other: &Self) {
        (self.kind, self.count, self.used) = (other.kind, other.count, other.used);
        self.nodes.clone_from(&other.nodes);
        self.vacant.clone_from(&other.vacant);
        self.gaps.clone_from(&other.gaps);
    }
}

impl Sheet {
    /// A sheet without pieces.
    pub fn empty(problem: &Problem, kind: usize) -> Self {
        let of = &problem.kinds[kind];
        let mut sheet = Self {
            kind: kind as u32,
            count: 0,
            used: 0,
            nodes: vec![root(of)],
            vacant: Vec::new(),
            gaps: Vec::new(),
        };
        sheet.list_gaps(of);
        sheet
    }

    pub fn kind(&self) -> usize {
        self.kind as usize
    }

    /// The free rectangles in which something may be placed.
    pub fn gaps(&self) -> &[Gap] {
        &self.gaps
    }

    /// Longest and widest of all gaps: what is larger fits nowhere.
    pub fn most(&self) -> [u32; 2] {
        let wider = |most: [u32; 2], gap: &Gap| [most[0].max(gap.size[0]), most[1].max(gap.size[1])];
        self.gaps.iter().fold([0; 2], wider)
    }

    /// Places an item. The gap must come from [`gaps`](Self::gaps) and the option from [`options`](Self::options).
    pub fn place(&mut self, problem: &Problem, gap: Gap, item: usize, lay: u8, split: Split) {
        let size = problem.lays(self.kind(), item)[usize::from(lay)].size;
        let (a, b) = (usize::from(gap.axis), usize::from(1 - gap.axis));
        let leaf = Node {
            size,
            free: 0,
            item: item as u32,
            parent: gap.node,
            first: NONE,
            next: NONE,
            axis: gap.axis,
            level: gap.level,
            lay,
            sealed: false,
            gap: NONE,
        };
        let kind = &problem.kinds[self.kind()];
        let widest = self.widest(&gap, kind);
        if gap.node == 0 && self.nodes[0].first == NONE {
            self.gaps.clear();
            self.nodes[0].axis = gap.axis;
            self.nodes[0].free = gap.size[a];
        }
        let divided = |size: [u32; 2], axis: usize, level: u8, used: u32| Node {
            size,
            free: size[axis] - used,
            item: NONE,
            axis: axis as u8,
            level,
            lay: 0,
            sealed: level > kind.rules.stages,
            ..leaf
        };
        let below = rules::below(&gap, size[a], kind);
        if size[b] == gap.size[b] {
            self.hang(gap.node, leaf);
            self.nodes[gap.node as usize].free -= size[a];
        } else if split == Split::Near {
            let mut strip = gap.size;
            strip[a] = size[a];
            let strip = self.hang(gap.node, divided(strip, b, below, size[b]));
            self.hang(strip, leaf);
            self.list(kind, strip);
            self.nodes[gap.node as usize].free -= size[a];
        } else {
            let mut whole = gap.size;
            whole[a] = widest;
            let mut row = whole;
            row[b] = size[b];
            let whole = self.hang(gap.node, divided(whole, b, below, size[b]));
            let row = self.hang(whole, divided(row, a, below.saturating_add(1), size[a]));
            self.hang(row, leaf);
            self.nodes[gap.node as usize].free -= widest;
            self.list(kind, whole);
            self.list(kind, row);
        }
        self.count += 1;
        self.used += problem.items[item].area;
        self.list(kind, gap.node);
    }

    fn hang(&mut self, parent: u32, node: Node) -> u32 {
        let node = Node { parent, next: self.nodes[parent as usize].first, ..node };
        let at = match self.vacant.pop() {
            Some(at) => {
                self.nodes[at as usize] = node;
                at
            }
            None => {
                self.nodes.push(node);
                (self.nodes.len() - 1) as u32
            }
        };
        self.nodes[parent as usize].first = at;
        at
    }

    /// How many entries [`remove`](Self::remove) may draw from.
    pub fn slots(&self) -> u32 {
        self.nodes.len() as u32
    }

    /// The node that a slot hangs from, and the one that this hangs from; the first again at the root.
    pub fn above(&self, slot: u32) -> [u32; 2] {
        let parent = |slot: u32| self.nodes.get(slot as usize).map_or(NONE, |node| node.parent);
        let first = parent(slot);
        let second = parent(first);
        [first, if second == NONE { first } else { second }]
    }

    /// One of the branches at a node, by any number; nothing where there are none.
    pub fn child(&self, node: u32, number: u32) -> Option<u32> {
        let of = self.nodes.get(node as usize).filter(|of| of.item == NONE)?;
        let some = |at: u32| (at != NONE).then_some(at);
        let branches = || std::iter::successors(some(of.first), |&at| some(self.nodes[at as usize].next));
        branches().nth(number.checked_rem(branches().count() as u32)? as usize)
    }

    /// Takes out the branch at a slot, all of the sheet at slot 0; tells the items. Nothing where it is vacant.
    pub fn remove(&mut self, problem: &Problem, slot: u32, mut taken: impl FnMut(usize)) {
        let Some(&node) = self.nodes.get(slot as usize) else { return };
        if node.item == VACANT {
            return;
        }
        let kind = &problem.kinds[self.kind()];
        if slot == 0 {
            for node in &self.nodes {
                if node.item < VACANT {
                    taken(node.item as usize);
                }
            }
            self.clear(kind);
            return;
        }
        self.unhang(slot);
        let (mut at, mut parent) = (slot, node.parent);
        // Frees the branch, children before siblings.
        loop {
            let node = self.nodes[at as usize];
            if node.item < VACANT {
                taken(node.item as usize);
                self.count -= 1;
                self.used -= problem.items[node.item as usize].area;
            }
            if node.first != NONE {
                self.nodes[at as usize].first = self.nodes[node.first as usize].next;
                at = node.first;
                continue;
            }
            self.vacate(at);
            if at == slot {
                break;
            }
            at = node.parent;
        }
        // A node that lost its last child goes to its parent.
        let mut lost = self.nodes[slot as usize].size;
        loop {
            let node = &mut self.nodes[parent as usize];
            node.free += lost[usize::from(node.axis)];
            if node.first != NONE {
                break;
            }
            if parent == 0 {
                self.clear(kind);
                return;
            }
            lost = node.size;
            let above = node.parent;
            self.unhang(parent);
            self.vacate(parent);
            parent = above;
        }
        self.list(kind, parent);
    }

    fn vacate(&mut self, at: u32) {
        self.unlist(at);
        self.nodes[at as usize].item = VACANT;
        self.vacant.push(at);
    }

    fn clear(&mut self, kind: &Kind) {
        self.nodes.clear();
        self.nodes.push(root(kind));
        self.vacant.clear();
        (self.count, self.used) = (0, 0);
        self.list_gaps(kind);
    }

    fn unhang(&mut self, slot: u32) {
        let node = self.nodes[slot as usize];
        let parent = &mut self.nodes[node.parent as usize];
        if parent.first == slot {
            parent.first = node.next;
            return;
        }
        let mut at = parent.first;
        while self.nodes[at as usize].next != slot {
            at = self.nodes[at as usize].next;
        }
        self.nodes[at as usize].next = node.next;
    }

    /// Lists all gaps anew.
    fn list_gaps(&mut self, kind: &Kind) {
        self.gaps.clear();
        let root = self.nodes[0];
        if root.first == NONE {
            // The first cut may divide either axis unless the rules say which.
            for axis in [0, 1] {
                if kind.rules.first.is_none_or(|first| first == axis) {
                    self.gaps.push(Gap { size: root.size, node: 0, axis, level: 1 });
                }
            }
            return;
        }
        for at in 0..self.nodes.len() {
            self.nodes[at].gap = NONE;
            self.list(kind, at as u32);
        }
    }

    /// Lists the gap of a node as it is now, unless it is too small for everything.
    fn list(&mut self, kind: &Kind, at: u32) {
        let node = self.nodes[at as usize];
        let mut size = node.size;
        size[usize::from(node.axis)] = node.free;
        let useful =
            node.item == NONE && !node.sealed && (0..2).all(|axis| size[axis] >= kind.least[axis].max(1));
        if !useful {
            self.unlist(at);
            return;
        }
        let gap = Gap { size, node: at, axis: node.axis, level: node.level };
        match self.gaps.get_mut(node.gap as usize) {
            Some(listed) => *listed = gap,
            None => {
                self.nodes[at as usize].gap = self.gaps.len() as u32;
                self.gaps.push(gap);
            }
        }
    }

    fn unlist(&mut self, at: u32) {
        let was = std::mem::replace(&mut self.nodes[at as usize].gap, NONE);
        if was != NONE {
            self.gaps.swap_remove(was as usize);
            if let Some(moved) = self.gaps.get(was as usize) {
                self.nodes[moved.node as usize].gap = was;
            }
        }
    }

    /// Whether the invariants of this file hold.
    #[cfg(test)]
    pub fn sane(&self, problem: &Problem) -> bool {
        let mut count = 0;
        let whole = self.nodes.iter().enumerate().all(|(at, node)| {
            if node.item == VACANT {
                return self.vacant.contains(&(at as u32));
            }
            if node.item != NONE {
                count += 1;
                return node.first == NONE;
            }
            let axis = usize::from(node.axis);
            let (mut sum, mut child, mut children) = (node.free, node.first, 0);
            while child != NONE {
                let inner = &self.nodes[child as usize];
                let across = inner.size[1 - axis] == node.size[1 - axis];
                let alone = self.alone(child, &problem.kinds[self.kind()]);
                let level = if alone { inner.level } else { node.level + 1 };
                let turns = inner.item != NONE || inner.axis != node.axis && inner.level == level;
                if inner.parent != at as u32 || !across || !turns {
                    return false;
                }
                sum += inner.size[axis];
                children += 1;
                child = inner.next;
            }
            sum == node.size[axis] && (at == 0 || children > 0)
        });
        let area: u64 = self.items().map(|item| problem.items[item].area).sum();
        whole && count == self.count && area == self.used
    }
}

fn root(kind: &Kind) -> Node {
    Node {
        size: kind.size,
        free: kind.size[0],
        item: NONE,
        parent: NONE,
        first: NONE,
        next: NONE,
        axis: 0,
        level: 1,
        lay: 0,
        sealed: false,
        gap: NONE,
    }
}
