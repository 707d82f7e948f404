//! From filled sheets to layouts: real lengths, an order of the children, names of parts.
//!
//! Children of a rectangle go from the largest to the smallest, equal ones side by side, what is left over last; so
//! equal trees come out equal, whatever the search did, and fold into one layout with a count.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use super::problem::{Lay, Problem};
use super::tree::{Sheet, View};
use crate::model::{CheckedBatch, MOST_RIPPED_OFF, Shop, UsableStock};
use crate::plan::{Kind, Layout, Node, Way, leftover};
use crate::units::Length;

/// Layouts of the sheets that hold something, each with how often it is cut; and what is left over: index of the
/// part and how many.
pub(crate) fn layouts(
    batch: &CheckedBatch,
    problem: &Problem,
    sheets: &[(&Sheet, u32)],
) -> (Vec<Layout>, Vec<(usize, u32)>) {
    let mut trees: Vec<(usize, Node, u32)> = Vec::new();
    for &(sheet, copies) in sheets {
        let s = problem.kinds[sheet.kind()].stock;
        let Some(stock) = batch.stock().get(s) else { continue };
        let shaper = Shaper { batch, problem, sheet, stock, shop: &batch.batch().shop };
        if let Some(root) = shaper.node(0, stock.usable()) {
            trees.push((s, root, copies));
        }
    }
    trees.sort_by_cached_key(|(s, root, _)| (*s, key(root)));
    let mut names = Names::new(batch, problem);
    let mut layouts: Vec<Layout> = Vec::new();
    for (s, root, copies) in trees {
        let Some(stock) = batch.stock().get(s) else { continue };
        let mut todo = copies;
        while todo > 0 {
            let mut named = root.clone();
            let Some(most) = names.give(&mut named, todo) else { break };
            todo -= most;
            match layouts.last_mut() {
                Some(last) if last.stock == s && last.root == named => last.copies += most,
                _ => layouts.push(Layout::new(s, most, named, stock)),
            }
        }
    }
    (layouts, names.unplaced())
}

/// Turns one sheet into a tree in which a piece names the first part of its item.
struct Shaper<'a> {
    batch: &'a CheckedBatch,
    problem: &'a Problem,
    sheet: &'a Sheet,
    stock: &'a UsableStock,
    shop: &'a Shop,
}

impl Shaper<'_> {
    /// The rectangle of a node, of the given size. The depth of the recursion is that of the tree, which is limited
    /// by the number of stages.
    fn node(&self, at: u32, size: [Length; 2]) -> Option<Node> {
        match self.sheet.view(self.problem, at)? {
            View::Item(item, lay) => self.fitted(self.item(item, lay)?, size),
            View::Divided { axis, children } => {
                let mut nodes = Vec::new();
                let beside = children.len() > 1;
                for child in children {
                    let mut inner = size;
                    inner[axis] = match self.sheet.view(self.problem, child)? {
                        View::Item(item, lay) => self.item(item, lay)?.size[axis],
                        View::Divided { .. } => {
                            let whole = self.length(self.sheet.size(child)[axis]);
                            // Where it is cut off anyway, or lies in a strip that was made narrower itself.
                            let off = beside || whole != size[axis];
                            if off && self.shrinks() { whole.min(self.needs(child, axis)?) } else { whole }
                        }
                    };
                    nodes.push(self.node(child, inner)?);
                }
                Some(self.divided(axis, size, nodes))
            }
        }
    }

    /// Whether strips may be as narrow as what lies on them: the search leaves them as wide as what lay there before.
    /// What they lose goes to the leftover beside them, which is ripped off as strips of waste where the fence does not
    /// reach it; of a sheet that would take too many of those, strips stay as they are.
    fn shrinks(&self) -> bool {
        let across = self.stock.usable()[1].ticks();
        self.stock.reach.is_none_or(|reach| across <= reach.ticks().saturating_mul(MOST_RIPPED_OFF.into()))
    }

    /// The least size of a node along an axis. On boards a blank that is ripped may have to be longer than its pieces.
    fn needs(&self, at: u32, axis: usize) -> Option<Length> {
        match self.sheet.view(self.problem, at)? {
            View::Item(item, lay) => Some(self.item(item, lay)?.size[axis]),
            View::Divided { axis: along, children } => {
                let all = children.into_iter().map(|child| self.needs(child, axis));
                let all = all.reduce(|a, b| {
                    let (a, b) = (a?, b?);
                    Some(if along == axis { a + self.stock.kerf + b } else { a.max(b) })
                })?;
                let ripped = self.stock.board && (axis, along) == (0, 1);
                if ripped { all.map(|all| all.max(self.shop.boards.shortest_rip)) } else { all }
            }
        }
    }

    /// A length on the grid, kerf included, as a real one.
    fn length(&self, side: u32) -> Length {
        let ticks = u64::from(side).saturating_mul(self.problem.grid);
        Length::from_ticks(i64::try_from(ticks).unwrap_or(i64::MAX).saturating_sub(self.stock.kerf.ticks()))
    }

    /// An item as it lies: a piece, or a strip of pieces.
    fn item(&self, item: usize, lay: &Lay) -> Option<Node> {
        let of = &self.problem.items[item];
        let Some((strip, chain)) = of.strip.as_ref().zip(lay.chain) else {
            return self.piece(of.parts.first()?.0, lay.turned);
        };
        let axis = usize::from(chain);
        let mut children = Vec::new();
        for (&(part, count), &with) in strip.pieces.iter().zip(&strip.length_with_grain) {
            let piece = self.piece(part, with == lay.turned)?;
            children.extend((0..count).map(|_| piece.clone()));
        }
        let mut size = children.first()?.size;
        let all: i64 = children.iter().map(|child| child.size[axis].ticks()).sum();
        size[axis] = Length::from_ticks(all + self.stock.kerf.ticks() * (children.len() as i64 - 1));
        Some(Node { size, kind: Kind::Cut { way: way(axis), children } })
    }

    fn piece(&self, part: usize, turned: bool) -> Option<Node> {
        let cut = self.batch.parts().get(part)?;
        let mut size = [cut.length, cut.width.unwrap_or(self.stock.usable()[1])];
        if turned {
            size.reverse();
        }
        Some(Node { size, kind: Kind::Piece { part, turned } })
    }

    /// Cuts a node free where it is smaller than its rectangle: only where the grid is too coarse to tell.
    fn fitted(&self, mut node: Node, size: [Length; 2]) -> Option<Node> {
        for axis in [0, 1] {
            if node.size[axis] < size[axis] {
                let mut whole = node.size;
                whole[axis] = size[axis];
                node = self.divided(axis, whole, vec![node]);
            }
        }
        Some(node)
    }

    /// A rectangle divided along an axis, with what is left over.
    fn divided(&self, axis: usize, size: [Length; 2], mut nodes: Vec<Node>) -> Node {
        nodes.sort_by_cached_key(|node| (Reverse(node.size[axis]), key(node)));
        let kerf = self.stock.kerf.ticks();
        let ticks = |node: &Node| node.size[axis].ticks();
        let filled: i64 = nodes.iter().map(ticks).sum::<i64>() + kerf * (nodes.len() as i64 - 1);
        let tail = size[axis].ticks() - filled;
        if tail <= 0 && nodes.len() == 1 {
            return nodes.remove(0);
        }
        let rest = |ticks: i64| {
            let mut rest = size;
            rest[axis] = Length::from_ticks(ticks);
            leftover(self.shop, self.stock, rest)
        };
        let spare = tail - kerf;
        let reach = self.stock.reach.filter(|_| axis == 1);
        match reach.map(Length::ticks) {
            // One strip is wider than the fence reaches, and so is what is left over on both sides of it.
            Some(reach)
                if nodes.first().is_some_and(|widest| ticks(widest) > reach) && spare - kerf > 2 * reach =>
            {
                let mut inner = size;
                inner[axis] = Length::from_ticks(size[axis].ticks() - reach - kerf);
                nodes = vec![rest(reach), self.divided(axis, inner, nodes)];
            }
            // What is left over is not: it comes last, some of it before the strip.
            Some(reach) if nodes.first().is_some_and(|widest| ticks(widest) > reach) => {
                let (before, after) = if spare <= reach {
                    (0, spare)
                } else {
                    let both = spare - kerf;
                    let after = if both - reach > Length::TICKS_PER_MM { reach } else { both / 2 };
                    (both - after, after)
                };
                nodes.rotate_left(1);
                if before > 0 {
                    nodes.insert(0, rest(before));
                }
                if after > 0 {
                    nodes.push(rest(after));
                }
            }
            _ if spare > 0 => nodes.push(rest(spare)),
            _ => {}
        }
        Node { size, kind: Kind::Cut { way: way(axis), children: nodes } }
    }
}

fn way(axis: usize) -> Way {
    if axis == 0 { Way::Crosscut } else { Way::Rip }
}

/// Numbers that tell trees apart, and order them.
fn key(root: &Node) -> Vec<i64> {
    let mut key = Vec::new();
    let mut todo = vec![root];
    while let Some(node) = todo.pop() {
        key.extend(node.size.map(|side| -side.ticks()));
        match &node.kind {
            Kind::Cut { way, children } => {
                key.extend([0, way.axis() as i64, children.len() as i64]);
                todo.extend(children.iter().rev());
            }
            Kind::Piece { part, turned } => key.extend([1, *part as i64, i64::from(*turned)]),
            Kind::Offcut | Kind::Waste => key.push(2),
        }
    }
    key
}

/// Who gets which of several equal pieces.
struct Names<'p> {
    problem: &'p Problem,
    /// For each part, the item that it is the first part of.
    item_of: Vec<Option<usize>>,
    /// What is still to be given away, for each item.
    left: Vec<Rows>,
}

impl<'p> Names<'p> {
    fn new(batch: &CheckedBatch, problem: &'p Problem) -> Self {
        let mut item_of = vec![None; batch.parts().len()];
        for (i, item) in problem.items.iter().enumerate() {
            if let Some(entry) = item.parts.first().and_then(|&(part, _)| item_of.get_mut(part)) {
                *entry = Some(i);
            }
        }
        Self { problem, item_of, left: problem.items.iter().map(|item| Rows::new(&item.parts)).collect() }
    }

    /// Names the pieces of a tree; returns for how many equal trees, at most `copies`, the same names will do.
    /// `None` where there are more pieces than were asked for.
    fn give(&mut self, root: &mut Node, copies: u32) -> Option<u32> {
        // How many of a row of an item.
        let mut used: BTreeMap<(usize, usize), u32> = BTreeMap::new();
        let mut strips: Vec<usize> = Vec::new();
        let mut todo = vec![root];
        while let Some(node) = todo.pop() {
            match &mut node.kind {
                Kind::Cut { children, .. } => todo.extend(children.iter_mut().rev()),
                Kind::Piece { part, .. } => {
                    let Some(item) = self.item_of.get(*part).copied().flatten() else { continue };
                    if self.problem.items[item].strip.is_some() {
                        if !strips.contains(&item) {
                            strips.push(item);
                        }
                        continue;
                    }
                    let Some(row) = self.left[item].take() else {
                        used.into_iter()
                            .for_each(|((item, row), count)| self.left[item].change(row, |n| n + count));
                        return None;
                    };
                    *part = self.left[item].part(row);
                    *used.entry((item, row)).or_default() += 1;
                }
                Kind::Offcut | Kind::Waste => {}
            }
        }
        if !strips.is_empty() {
            strips.into_iter().for_each(|item| self.left[item] = Rows::new(&[]));
            return Some(1);
        }
        // Once they are given already.
        let more = used.iter().map(|(&(item, row), &count)| self.left[item].count(row) / count).min()?;
        let more = more.min(copies - 1);
        for ((item, row), count) in used {
            self.left[item].change(row, |n| n - count * more);
        }
        Some(more + 1)
    }

    /// What nobody got.
    fn unplaced(self) -> Vec<(usize, u32)> {
        let mut unplaced: Vec<(usize, u32)> =
            self.left.into_iter().flat_map(|rows| rows.rows).filter(|&(_, count)| count > 0).collect();
        unplaced.sort_unstable();
        unplaced
    }
}

/// Rows of a list that ask for equal pieces. Whose turn it is, is known without a look at all of them: there may be a hundred
/// thousand.
#[derive(Debug)]
struct Rows {
    /// Each part and how many of it are left.
    rows: Vec<(usize, u32)>,
    /// The rows by how many are left, some of them as they were before.
    by_count: BinaryHeap<(u32, Reverse<usize>)>,
}

impl Rows {
    fn new(rows: &[(usize, u32)]) -> Self {
        let by_count = rows.iter().enumerate().map(|(row, &(_, count))| (count, Reverse(row))).collect();
        Self { rows: rows.to_vec(), by_count }
    }

    fn part(&self, row: usize) -> usize {
        self.rows[row].0
    }

    fn count(&self, row: usize) -> u32 {
        self.rows[row].1
    }

    /// One piece of the row with the most left, of equal ones the first.
    fn take(&mut self) -> Option<usize> {
        while let Some((count, Reverse(row))) = self.by_count.pop() {
            if count > 0 && self.count(row) == count {
                self.change(row, |n| n - 1);
                return Some(row);
            }
        }
        None
    }

    fn change(&mut self, row: usize, to: impl Fn(u32) -> u32) {
        let count = to(self.count(row));
        self.rows[row].1 = count;
        self.by_count.push((count, Reverse(row)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::search::Dice;

    /// Whose turn it is, by a look at all rows.
    fn turn(rows: &[(usize, u32)]) -> Option<usize> {
        (0..rows.len()).filter(|&row| rows[row].1 > 0).max_by_key(|&row| (rows[row].1, Reverse(row)))
    }

    #[test]
    fn pieces_go_to_the_row_with_the_most_left() {
        for seed in 0..200 {
            let mut dice = Dice::new(seed, 0);
            let mut plain: Vec<(usize, u32)> = (0..8).map(|row| (10 + row, dice.below(5))).collect();
            let mut rows = Rows::new(&plain);
            for _ in 0..60 {
                let (row, more) = (dice.below(8) as usize, dice.below(3));
                if dice.once_in(4) {
                    plain[row].1 += more;
                    rows.change(row, |n| n + more);
                }
                let next = turn(&plain);
                next.into_iter().for_each(|row| plain[row].1 -= 1);
                assert_eq!(rows.take(), next, "seed {seed}");
            }
            assert_eq!(rows.rows, plain);
        }
    }
}
