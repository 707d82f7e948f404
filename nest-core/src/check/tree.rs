//! Is one layout a tree of cuts that a saw can make, and which pieces does it give?
//!
//! Everything is worked out from the tree and the question, in `i128` ticks, with a stack of its own instead of
//! recursion and a limit on depth, so that no tree can bring it down. Runtime: linear in the number of nodes.

use super::fault::{Fault, Spot};
use super::{Faults, Which, saw};
use crate::model::CheckedBatch;
use crate::plan::{Kind, Layout, Node, PlacedPiece, Way, worth_keeping};
use crate::units::Length;

/// Cuts inside cuts, at most. Real trees have fewer than ten levels.
const MOST_DEPTH: usize = 64;

/// A rectangle on its way to be looked at.
pub(super) struct Visit<'a> {
    pub node: &'a Node,
    /// Corner in ticks from the factory edges.
    at: [i128; 2],
    /// Entry in the trail.
    pub trail: usize,
    depth: usize,
    pub course: saw::Course,
}

/// A piece of the tree.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sawn {
    pub part: usize,
    /// Corner in ticks from the factory edges.
    pub at: [i128; 2],
    pub size: [Length; 2],
    pub turned: bool,
    /// The cuts above it.
    pub course: saw::Course,
}

/// How each rectangle was reached: the trail entry of its parent and which child it is.
struct Trail {
    layout: usize,
    steps: Vec<(usize, usize)>,
}

impl Trail {
    fn spot(&self, mut entry: usize) -> Spot {
        let mut path = Vec::new();
        // Entry 0 is the root; every other one points to an earlier one.
        while entry > 0 {
            let (parent, child) = self.steps[entry];
            path.push(child);
            entry = parent;
        }
        path.reverse();
        Spot { layout: self.layout, path }
    }
}

/// Judges a layout and returns the pieces of its tree. `stock` is a valid index.
pub(super) fn judge(batch: &CheckedBatch, index: usize, layout: &Layout, faults: &mut Faults) -> Vec<Sawn> {
    let Some(stock) = batch.stock().get(layout.stock) else { return Vec::new() };
    let shop = &batch.batch().shop;
    let which = || Which::stock(batch, layout.stock);
    let clean = stock.usable();
    if layout.root.size != clean {
        let found = layout.root.size;
        faults.push(Fault::RootSize { layout: index, stock: which(), expected: clean, found });
    }
    let kerf = i128::from(stock.kerf.ticks());
    let flat = clean[1] == Length::ZERO;
    let mut trail = Trail { layout: index, steps: vec![(0, 0)] };
    let mut pieces = Vec::new();
    let at = [stock.trim[0], stock.trim[2]].map(|trim| i128::from(trim.ticks()));
    let mut todo = vec![Visit { node: &layout.root, at, trail: 0, depth: 0, course: saw::Course::default() }];
    while let Some(visit) = todo.pop() {
        let (node, spot) = (visit.node, || trail.spot(visit.trail));
        let [along, across] = node.size;
        if !along.is_positive() || (!across.is_positive() && !flat) || (flat && across != Length::ZERO) {
            faults.push(Fault::NoSize { at: spot(), found: node.size });
            continue;
        }
        let (way, children) = match &node.kind {
            Kind::Piece { part, turned } => {
                match piece_size(batch, layout.stock, *part, *turned) {
                    Ok(expected) if expected == node.size => {}
                    Ok(expected) => {
                        let part = Which::part(batch, *part);
                        faults.push(Fault::PieceSize { at: spot(), part, expected, found: node.size });
                    }
                    Err(fault) => faults.push(fault(spot())),
                }
                pieces.push(Sawn {
                    part: *part,
                    at: visit.at,
                    size: node.size,
                    turned: *turned,
                    course: visit.course,
                });
                continue;
            }
            Kind::Offcut | Kind::Waste => {
                let keep = worth_keeping(shop, stock, node.size);
                if keep != matches!(node.kind, Kind::Offcut) {
                    faults.push(Fault::WrongMark { at: spot(), size: node.size, keep });
                }
                continue;
            }
            Kind::Cut { way, children } => (*way, children.as_slice()),
        };
        if visit.depth >= MOST_DEPTH {
            faults.push(Fault::TooDeep { at: spot(), most: MOST_DEPTH });
            continue;
        }
        if children.is_empty() {
            faults.push(Fault::NoChildren { at: spot() });
            continue;
        }
        if flat && way == Way::Rip {
            faults.push(Fault::NothingToRip { at: spot(), stock: which() });
            continue;
        }
        let left_over = |node: &Node| node.kind.is_leftover();
        if children.iter().all(left_over) {
            faults.push(Fault::SplitsLeftover { at: spot() });
        }
        let axis = way.axis();
        let whole = i128::from(node.size[axis].ticks());
        let filled = children.iter().map(|child| i128::from(child.size[axis].ticks())).sum::<i128>()
            + kerf * (children.len() as i128 - 1);
        let tail = whole - filled;
        if tail < 0 {
            faults.push(Fault::Overfull { at: spot(), expected: node.size[axis], found: filled });
        } else if tail > kerf {
            faults.push(Fault::Underfull { at: spot(), kerf: stock.kerf, found: tail });
        }
        let (course, unsawable) = saw::judge(batch, stock, &visit, way, children, tail);
        for (child, fault) in unsawable {
            let mut at = spot();
            at.path.extend(child);
            faults.push(fault(at));
        }
        let mut at = visit.at;
        let (parent, depth, start) = (visit.trail, visit.depth + 1, todo.len());
        for (c, child) in children.iter().enumerate() {
            trail.steps.push((parent, c));
            let entry = trail.steps.len() - 1;
            let (expected, found) = (node.size[1 - axis], child.size[1 - axis]);
            if expected != found {
                faults.push(Fault::NotThrough { at: trail.spot(entry), expected, found });
            }
            // A leftover takes all there is: neither its neighbour nor the tail is left over as well.
            let before = c.checked_sub(1).and_then(|before| children.get(before));
            let only_leftovers = left_over(child)
                && (before.is_some_and(left_over) || (c + 1 == children.len() && tail > 0))
                && !children.iter().all(left_over);
            if only_leftovers {
                faults.push(Fault::SplitsLeftover { at: trail.spot(entry) });
            }
            todo.push(Visit { node: child, at, trail: entry, depth, course });
            at[axis] += i128::from(child.size[axis].ticks()) + kerf;
        }
        todo[start..].reverse();
    }
    if pieces.is_empty() {
        faults.push(Fault::NoPieces { layout: index });
    }
    compare(index, layout, &pieces, faults);
    pieces
}

/// A fault that still lacks its place.
type Placeless = Box<dyn FnOnce(Spot) -> Fault>;

/// The size that a piece of the part has on the stock when it lies this way.
fn piece_size(batch: &CheckedBatch, s: usize, part: usize, turned: bool) -> Result<[Length; 2], Placeless> {
    let Some(cut) = batch.parts().get(part) else {
        return Err(Box::new(move |at| Fault::NoPart { at, found: part }));
    };
    let names = || (Which::part(batch, part), Which::stock(batch, s));
    let Ok(at) = cut.from.binary_search_by_key(&s, |placing| placing.stock) else {
        let (part, stock) = names();
        return Err(Box::new(|at| Fault::ForeignPart { at, part, stock }));
    };
    let clean = batch.stock().get(s).map_or(Length::ZERO, |stock| stock.usable()[1]);
    let placing = cut.from[at];
    let allowed = if turned { placing.turned } else { placing.straight };
    let width = if clean == Length::ZERO { clean } else { cut.width.unwrap_or(clean) };
    match turned {
        _ if !allowed => {
            let (part, stock) = names();
            Err(Box::new(move |at| Fault::WrongWay { at, part, stock, turned }))
        }
        false => Ok([cut.length, width]),
        true => Ok([width, cut.length]),
    }
}

/// Part, corner in ticks, size, turned.
type Placed = (usize, [i128; 2], [Length; 2], bool);

/// The flat list must hold the pieces of the tree, each as often; its order is not judged.
fn compare(index: usize, layout: &Layout, tree: &[Sawn], faults: &mut Faults) {
    let mut expected: Vec<Placed> =
        tree.iter().map(|piece| (piece.part, piece.at, piece.size, piece.turned)).collect();
    let mut found: Vec<Placed> = layout
        .pieces
        .iter()
        .map(|piece| (piece.part, piece.at.map(|at| at.ticks().into()), piece.size, piece.turned))
        .collect();
    expected.sort_unstable();
    found.sort_unstable();
    let same = expected.iter().zip(&found).take_while(|(a, b)| a == b).count();
    if same < expected.len() || same < found.len() {
        let piece = |placed: Option<&Placed>| {
            let &(part, at, size, turned) = placed?;
            let at = at.map(|at| Length::from_ticks(i64::try_from(at).unwrap_or(i64::MAX)));
            Some(PlacedPiece { part, at, size, turned })
        };
        let (expected, found) = (piece(expected.get(same)), piece(found.get(same)));
        faults.push(Fault::Pieces { layout: index, expected, found });
    }
}
