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

    /// The same without what is made beyond so many of each item, which are counted down; `None` where nothing remains.
    /// Most tables of pricing know no demand, and of a small part there may be many thousand on a sheet.
    pub fn within(&self, left: &mut [u32]) -> Option<Self> {
        match self {
            Self::Item { item, .. } => {
                left[*item] = left[*item].checked_sub(1)?;
                Some(self.clone())
            }
            Self::Row { axis, children } => {
                let children: Vec<Self> = children.iter().filter_map(|child| child.within(left)).collect();
                (!children.is_empty()).then_some(Self::Row { axis: *axis, children })
            }
        }
    }
}
