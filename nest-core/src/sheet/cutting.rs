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
    /// Its size on a kind of sheet, kerf included: what is cut on is as long as its cuts have to be.
    pub fn size(&self, problem: &Problem, kind: usize) -> [u32; 2] {
        match self {
            Self::Item { item, lay } => problem.lays(kind, *item)[usize::from(*lay)].size,
            Self::Row { axis, children } => {
                let across = 1 - axis;
                let shortest = |axis: usize| problem.kinds[kind].rules.cut[axis][0];
                let inner: Vec<[u32; 2]> = children.iter().map(|child| child.size(problem, kind)).collect();
                let parted = if children.len() > 1 { shortest(*axis) } else { 0 };
                let thick = inner.iter().map(|size| size[across]).max().unwrap_or(0).max(parted);
                let long = inner.iter().fold(0_u32, |long, size| {
                    let least = if size[across] < thick { shortest(across) } else { 0 };
                    long.saturating_add(size[*axis].max(least))
                });
                let mut size = [thick; 2];
                size[*axis] = long;
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
