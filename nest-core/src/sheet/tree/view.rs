//! A sheet as seen from outside.

use super::super::cutting::Cutting;
use super::super::problem::{Lay, Problem};
use super::{NONE, Sheet, VACANT};

/// A part of the tree as seen from outside.
pub(crate) enum View<'a> {
    /// An item in one of its lays.
    Item(usize, &'a Lay),
    /// Children along an axis.
    Divided { axis: usize, children: Vec<u32> },
}

impl Sheet {
    /// What a node is; node 0 is the root. `None` for a sheet without pieces.
    pub fn view<'a>(&self, problem: &'a Problem, at: u32) -> Option<View<'a>> {
        let node = self.nodes.get(at as usize)?;
        if node.item < VACANT {
            let lay = &problem.lays(self.kind(), node.item as usize)[usize::from(node.lay)];
            return Some(View::Item(node.item as usize, lay));
        }
        let mut children = Vec::new();
        let mut child = node.first;
        while child != NONE {
            children.push(child);
            child = self.nodes[child as usize].next;
        }
        (!children.is_empty()).then(|| View::Divided { axis: node.axis.into(), children })
    }

    /// How it is cut.
    pub fn cutting(&self) -> Cutting {
        self.branch(0)
    }

    fn branch(&self, at: u32) -> Cutting {
        let node = self.nodes[at as usize];
        if node.item < VACANT {
            return Cutting::Item { item: node.item as usize, lay: node.lay };
        }
        let mut children = Vec::new();
        let mut child = node.first;
        while child != NONE {
            children.push(self.branch(child));
            child = self.nodes[child as usize].next;
        }
        Cutting::Row { axis: node.axis.into(), children }
    }

    /// Size of a node, kerf included.
    pub fn size(&self, at: u32) -> [u32; 2] {
        self.nodes[at as usize].size
    }

    /// What is free beside the children of every node, kerf included.
    pub fn leftovers(&self) -> impl Iterator<Item = [u32; 2]> + '_ {
        self.nodes.iter().filter(|node| node.item == NONE && node.free > 0).map(|node| {
            let mut size = node.size;
            size[usize::from(node.axis)] = node.free;
            size
        })
    }

    /// How deep its cuts go, and about how many there are.
    pub fn effort(&self) -> (u64, u64) {
        let (mut depth, mut cuts) = (0, 0);
        for node in self.nodes.iter().filter(|node| node.item == NONE) {
            let mut child = node.first;
            let mut children = 0;
            while child != NONE {
                children += 1;
                child = self.nodes[child as usize].next;
            }
            let made = if node.free > 0 { children } else { children - 1 };
            if made > 0 {
                depth = depth.max(node.level.into());
                cuts += made;
            }
        }
        (depth, cuts)
    }

    /// The items that lie on it, each as often as it does.
    pub fn items(&self) -> impl Iterator<Item = usize> + '_ {
        self.nodes.iter().filter(|node| node.item < VACANT).map(|node| node.item as usize)
    }

    /// A slot that holds an item.
    pub fn slot(&self, item: usize) -> Option<u32> {
        self.nodes
            .iter()
            .position(|node| node.item as usize == item && node.item < VACANT)
            .map(|at| at as u32)
    }
}
