//! Where everything of a layout lies, and which cuts free it, in the order in which a saw makes them.
//!
//! The order: edge trim at the reference corner first, then all parallel cuts of a rectangle one after the other
//! from the reference corner on, then the rectangles that they left and that are cut further, in the same order.
//! So what is a leaf beside its siblings is free before anything smaller is touched. Neighbours that are cut alike
//! make a lot and are cut side by side: each setting is made once for all of them, and none waits for another lot.
//! Rips beside a strip that is wider than the fence reaches are made from both edges; see [`order`]. Edge trim that would
//! take a longer cut than the saw makes waits until strips are cut off, and comes off each of them.
//!
//! Nothing here judges: a tree that breaks the law of [`tree`](super::tree) is walked all the same, with sums that
//! saturate, and never panics. Runtime: linear in the number of nodes; memory: the depth times the widest node.

mod cuts;
mod order;

pub use cuts::Cuts;
use cuts::reaches;
pub use order::Guide;

use super::{Kind, Layout, Node, PlacedPiece, Way};
use crate::model::UsableStock;
use crate::units::Length;

/// What the cuts of a layout depend on besides its tree.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Setup {
    /// Edge trim: near and far end (along the length), near and far edge (across).
    pub trim: [Length; 4],
    /// Kerf of the saw.
    pub kerf: Length,
    /// The most between fence and blade in a rip; `None` where the fence reaches everything.
    pub reach: Option<Length>,
    /// The longest crosscut and the longest rip; `None` where the saw makes any.
    pub longest: [Option<Length>; 2],
}

impl From<&UsableStock> for Setup {
    fn from(stock: &UsableStock) -> Self {
        Self { trim: stock.trim, kerf: stock.kerf, reach: stock.reach, longest: stock.longest }
    }
}

/// A rectangle of a layout with its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlacedNode<'a> {
    /// The rectangle and what becomes of it.
    pub node: &'a Node,
    /// Its corner nearest the reference corner, measured from the factory edges: along the length, and across.
    pub at: [Length; 2],
    /// How many divided rectangles it lies in: 0 for the whole clean area.
    pub depth: usize,
    /// What of the far edge trim still hangs on its far sides, because no cut came between.
    beyond: [Length; 2],
    /// What of the near edge trim does when it comes to the saw.
    before: [Length; 2],
}

impl<'a> PlacedNode<'a> {
    /// The clean area when the trim cuts that come before all others are made.
    ///
    /// Far trim along the first cuts' own axis goes with the last of them. On the other axis one long cut saves one for
    /// every strip. It is left out where nothing but leftovers would lie behind it, and where the saw makes no cut so long, if
    /// it makes the first cuts all the same, which are longer then.
    fn of_root(root: &'a Node, setup: &Setup) -> Self {
        let [near, far, low, high] = setup.trim;
        let (mut beyond, mut before) = ([far, high], [Length::ZERO; 2]);
        if let Kind::Cut { way, .. } = root.kind {
            let (own, other) = (way.axis(), 1 - way.axis());
            let able = |axis: usize, long: Length| setup.longest[axis].is_none_or(|most| long <= most);
            let first = add(root.size[other], beyond[other]);
            let trim = [near, low][other];
            // The lower edge comes off before the left end does.
            let hangs = if other == 1 { near } else { Length::ZERO };
            if !able(other, add(hangs, add(root.size[own], beyond[own]))) && able(own, add(trim, first)) {
                before[other] = trim;
            } else if reaches(root, other) || !able(own, first) {
                beyond[other] = Length::ZERO;
            }
        }
        Self { node: root, at: [near, low], depth: 0, beyond, before }
    }

    /// Whether near trim that hangs on it comes off its children instead: it is still the whole width of the cut.
    fn hands_on(&self) -> bool {
        matches!(self.node.kind, Kind::Cut { way, .. } if self.before[1 - way.axis()].is_positive())
    }

    /// How large it comes off the saw: with the factory edge, where no cut takes that off.
    pub fn with_edges(&self) -> [Length; 2] {
        [0, 1].map(|axis| add(self.node.size[axis], self.beyond[axis]))
    }
}

/// One cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cut<'a> {
    /// How many cuts of other rectangles lie above it in the tree, from 1; 0 for edge trim.
    pub depth: usize,
    /// Its direction.
    pub way: Way,
    /// Corner of what is on the saw, measured like every place.
    pub at: [Length; 2],
    /// Size of what is on the saw, far edge trim that still hangs on it included.
    pub size: [Length; 2],
    /// What holds the stock along the cut.
    pub guide: Guide,
    /// The size, along the cut axis, of what is between stop or fence and blade and falls off there. Along a line: how far
    /// that is from the near edge of what is on the saw; for edge trim at the reference corner with the kerf, which lies
    /// before the line.
    pub setting: Length,
    /// Where the line is, from the factory edge at the reference corner. Only a check: marking all lines at once
    /// and then cutting forgets the kerfs.
    pub line: Length,
    /// Whether the blade stands on the far side of the line; only edge trim at the reference corner has it on the
    /// near side.
    pub kerf_beyond: bool,
    /// What the blade turns to dust: the kerf, or what is left where that is less.
    pub kerf: Length,
    /// What the cut frees; `None` where it only cuts an edge away. Along a line that is waste, and the edge beside it.
    pub frees: Option<&'a Node>,
    /// What is on the saw.
    pub on: Blank,
    /// What the freed rectangle is called where it goes to the saw again.
    pub frees_blank: Option<Blank>,
    /// What is left on the saw, where this was the last cut of the rectangle on it; a leftover may be followed by others
    /// that no cut parts from it.
    pub leaves: Option<&'a Node>,
    /// What that is called where it goes to the saw again.
    pub leaves_blank: Option<Blank>,
}

/// A rectangle that goes to the saw: lots are numbered in the order in which they come off, members within a lot
/// likewise. Lot 0 is the whole piece of stock.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Blank {
    /// Number of its lot.
    pub lot: usize,
    /// Which of the lot it is, from 0.
    pub member: usize,
}

impl Layout {
    /// A layout with its flat list of pieces worked out from the tree.
    pub fn new(stock: usize, copies: u32, root: Node, setup: impl Into<Setup>) -> Self {
        let mut layout = Self { stock, copies, root, pieces: Vec::new() };
        layout.pieces = layout.placed(setup).collect();
        layout
    }

    /// Every rectangle with its place, divided ones included, in the order of the saw.
    pub fn places(&self, setup: impl Into<Setup>) -> Places<'_> {
        Places::new(&self.root, setup.into())
    }

    /// The pieces with their places as the tree has them, whatever the flat list says.
    pub fn placed(&self, setup: impl Into<Setup>) -> impl Iterator<Item = PlacedPiece> {
        self.places(setup).filter_map(|place| match place.node.kind {
            Kind::Piece { part, turned } => {
                Some(PlacedPiece { part, at: place.at, size: place.node.size, turned })
            }
            _ => None,
        })
    }

    /// The leftovers worth keeping. Their size does not count edge trim that hangs on them: [`PlacedNode::with_edges`] does.
    pub fn offcuts(&self, setup: impl Into<Setup>) -> impl Iterator<Item = PlacedNode<'_>> {
        self.places(setup).filter(|place| matches!(place.node.kind, Kind::Offcut))
    }

    /// The leftovers not worth keeping, dust and edge trim excepted.
    pub fn waste(&self, setup: impl Into<Setup>) -> impl Iterator<Item = PlacedNode<'_>> {
        self.places(setup).filter(|place| matches!(place.node.kind, Kind::Waste))
    }

    /// The cuts in the order of the saw, for the stock that the layout names: `layout.cuts(&batch.stock()[layout.stock])`.
    /// None only splits what is left over. Equal copies are cut alike, each or as a stack.
    pub fn cuts(&self, setup: impl Into<Setup>) -> Cuts<'_> {
        Cuts::new(&self.root, setup.into())
    }
}

/// Every rectangle of a layout; see [`Layout::places`].
#[derive(Clone, Debug)]
pub struct Places<'a> {
    setup: Setup,
    todo: Vec<PlacedNode<'a>>,
}

impl<'a> Places<'a> {
    fn new(root: &'a Node, setup: Setup) -> Self {
        Self { setup, todo: vec![PlacedNode::of_root(root, &setup)] }
    }
}

impl<'a> Iterator for Places<'a> {
    type Item = PlacedNode<'a>;

    fn next(&mut self) -> Option<PlacedNode<'a>> {
        let place = self.todo.pop()?;
        // On the stack the leaves end up above the divided children, both with the first one topmost.
        let start = self.todo.len();
        self.todo.extend(children(place, &self.setup).filter(|child| is_cut(child.node)));
        self.todo[start..].reverse();
        let start = self.todo.len();
        self.todo.extend(children(place, &self.setup).filter(|child| !is_cut(child.node)));
        self.todo[start..].reverse();
        Some(place)
    }
}

/// The children of a rectangle with their places, from the reference corner on.
fn children<'a>(parent: PlacedNode<'a>, setup: &Setup) -> impl Iterator<Item = PlacedNode<'a>> + use<'a> {
    let (axis, nodes) = match &parent.node.kind {
        Kind::Cut { way, children } => (way.axis(), children.as_slice()),
        _ => (0, &[][..]),
    };
    let mut at = parent.at;
    let last = nodes.len().saturating_sub(1);
    // A cut follows every child but the last; after the last one too, unless it is left over and its edge as it came.
    let hangs =
        nodes.last().is_some_and(|last| last.kind.is_leftover()) && !order::squares_leftover(&parent, setup);
    let before = if parent.hands_on() { parent.before } else { [Length::ZERO; 2] };
    let kerf = setup.kerf;
    nodes.iter().enumerate().map(move |(i, node)| {
        let mut beyond = parent.beyond;
        if i != last || !hangs {
            beyond[axis] = Length::ZERO;
        }
        let place = PlacedNode { node, at, depth: parent.depth.saturating_add(1), beyond, before };
        at[axis] = add(at[axis], add(node.size[axis], kerf));
        place
    })
}

fn is_cut(node: &Node) -> bool {
    matches!(node.kind, Kind::Cut { .. })
}

fn add(a: Length, b: Length) -> Length {
    a.saturating_add(b)
}

fn sub(a: Length, b: Length) -> Length {
    a.saturating_sub(b)
}
