//! How one sheet is cut, as pricing finds it: nested rows of items, before it becomes a [`Sheet`](super::tree::Sheet).

use super::problem::Problem;

/// A rectangle just as large as what lies in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Cutting {
    /// One item in one of its lays.
    Item { item: usize, lay: u8 },
    /// What follows each other along an axis.
    Row { axis: usize, children: Vec<Cutting> },
}

impl Cutting {
    /// Its size on a kind of sheet, kerf included.
    pub fn size(&self, problem: &Problem, kind: usize) -> [u32; 2] {
        match self {
            Self::Item { item, lay } => problem.lays(kind, *item)[usize::from(*lay)].size,
            Self::Row { axis, children } => {
                let mut size = [0_u32; 2];
                for child in children {
                    let inner = child.size(problem, kind);
                    size[*axis] = size[*axis].saturating_add(inner[*axis]);
                    size[1 - axis] = size[1 - axis].max(inner[1 - axis]);
                }
                size
            }
        }
    }
}
