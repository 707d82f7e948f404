//! Where everything of a layout lies, and which cuts free it, in the order in which a saw makes them.
//!
//! The order: edge trim at the reference corner first, then all parallel cuts of a rectangle one after the other
//! from the reference corner on, then the rectangles that they left and that are cut further, in the same order.
//! So what is a leaf beside its siblings is free before anything smaller is touched. Neighbours that are cut alike
//! make a lot and are cut side by side: each setting is made once for all of them, and none waits for another lot.
//!
//! Nothing here judges: a tree that breaks the law of [`tree`](super::tree) is walked all the same, with sums that
//! saturate, and never panics. Runtime: linear in the number of nodes; memory: the depth times the widest node.

use std::collections::VecDeque;

use super::{Kind, Layout, Node, PlacedPiece, Way};
use crate::units::Length;

/// A rectangle of a layout with its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place<'a> {
    /// The rectangle and what becomes of it.
    pub node: &'a Node,
    /// Its corner nearest the reference corner, measured from the factory edges: along the length, and across.
    pub at: [Length; 2],
    /// How many divided rectangles it lies in: 0 for the whole clean area.
    pub depth: usize,
    /// What of the far edge trim still hangs on its far sides, because no cut came between.
    beyond: [Length; 2],
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
    /// What the stop or fence is set to: the size, along the cut axis, of what falls off on the side of the
    /// reference corner. For edge trim: from the factory edge to the line, kerf included.
    pub setting: Length,
    /// Where the line is, from the factory edge at the reference corner. Only a check: marking all lines at once
    /// and then cutting forgets the kerfs.
    pub line: Length,
    /// Whether the blade stands on the far side of the line; only edge trim at the reference corner has it on the
    /// near side.
    pub kerf_beyond: bool,
    /// What the blade turns to dust: the kerf, or what is left where that is less.
    pub kerf: Length,
    /// What the cut frees; `None` for edge trim.
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

impl Cut<'_> {
    /// What stop or fence is set to, and whether it is set from the far side of what is on the saw: so it is for a rip
    /// that is wider than the fence reaches.
    pub fn fence(&self, reach: Option<Length>) -> (Length, bool) {
        let far = sub(sub(self.size[self.way.axis()], self.setting), self.kerf);
        match reach {
            Some(reach) if self.way == Way::Rip && self.setting > reach && far.is_positive() => (far, true),
            _ => (self.setting, false),
        }
    }
}

impl Layout {
    /// A layout with its flat list of pieces worked out from the tree. `trim` and `kerf` as in
    /// [`UsableStock`](crate::model::UsableStock).
    pub fn new(stock: usize, copies: u32, root: Node, trim: [Length; 4], kerf: Length) -> Self {
        let mut layout = Self { stock, copies, root, pieces: Vec::new() };
        layout.pieces = layout.placed(trim, kerf).collect();
        layout
    }

    /// Every rectangle with its place, divided ones included, in the order of the saw.
    pub fn places(&self, trim: [Length; 4], kerf: Length) -> Places<'_> {
        Places::new(&self.root, trim, kerf)
    }

    /// The pieces with their places as the tree has them, whatever the flat list says.
    pub fn placed(&self, trim: [Length; 4], kerf: Length) -> impl Iterator<Item = PlacedPiece> {
        self.places(trim, kerf).filter_map(|place| match place.node.kind {
            Kind::Piece { part, turned } => {
                Some(PlacedPiece { part, at: place.at, size: place.node.size, turned })
            }
            _ => None,
        })
    }

    /// The leftovers worth keeping. Edge trim that hangs on them is not counted, so they are at least this large.
    pub fn offcuts(&self, trim: [Length; 4], kerf: Length) -> impl Iterator<Item = Place<'_>> {
        self.places(trim, kerf).filter(|place| matches!(place.node.kind, Kind::Offcut))
    }

    /// The leftovers not worth keeping, dust and edge trim excepted.
    pub fn waste(&self, trim: [Length; 4], kerf: Length) -> impl Iterator<Item = Place<'_>> {
        self.places(trim, kerf).filter(|place| matches!(place.node.kind, Kind::Waste))
    }

    /// The cuts in the order of the saw. None only splits what is left over.
    pub fn cuts(&self, trim: [Length; 4], kerf: Length) -> Cuts<'_> {
        Cuts::new(&self.root, trim, kerf)
    }
}

/// Every rectangle of a layout; see [`Layout::places`].
#[derive(Clone, Debug)]
pub struct Places<'a> {
    kerf: Length,
    todo: Vec<Place<'a>>,
}

impl<'a> Places<'a> {
    fn new(root: &'a Node, trim: [Length; 4], kerf: Length) -> Self {
        let [near, far, low, high] = trim;
        Self { kerf, todo: vec![Place { node: root, at: [near, low], depth: 0, beyond: [far, high] }] }
    }
}

impl<'a> Iterator for Places<'a> {
    type Item = Place<'a>;

    fn next(&mut self) -> Option<Place<'a>> {
        let place = self.todo.pop()?;
        // On the stack the leaves end up above the divided children, both with the first one topmost.
        let start = self.todo.len();
        self.todo.extend(children(place, self.kerf).filter(|child| is_cut(child.node)));
        self.todo[start..].reverse();
        let start = self.todo.len();
        self.todo.extend(children(place, self.kerf).filter(|child| !is_cut(child.node)));
        self.todo[start..].reverse();
        Some(place)
    }
}

/// The cuts of a layout; see [`Layout::cuts`].
#[derive(Clone, Debug)]
pub struct Cuts<'a> {
    kerf: Length,
    /// How many lots have a number.
    lots: usize,
    todo: Vec<Lot<'a>>,
    ready: VecDeque<Cut<'a>>,
}

/// Rectangles that are cut alike.
#[derive(Clone, Debug)]
struct Lot<'a> {
    number: usize,
    members: Vec<Place<'a>>,
}

impl<'a> Cuts<'a> {
    fn new(root: &'a Node, trim: [Length; 4], kerf: Length) -> Self {
        let mut cuts = Self { kerf, lots: 1, todo: Vec::new(), ready: VecDeque::new() };
        if !holds_piece(root) {
            return cuts;
        }
        let [near, far, low, high] = trim;
        let mut at = [Length::ZERO; 2];
        let mut left = [add(add(near, root.size[0]), far), add(add(low, root.size[1]), high)];
        let square = |axis: usize, at: [Length; 2], size: [Length; 2], setting: Length, trim: Length| Cut {
            depth: 0,
            way: if axis == 0 { Way::Crosscut } else { Way::Rip },
            at,
            size,
            setting,
            line: add(at[axis], setting),
            kerf_beyond: false,
            kerf: trim.min(kerf),
            frees: None,
            on: Blank::default(),
            frees_blank: None,
            leaves: None,
            leaves_blank: None,
        };
        // The long edge first: it is what the stock leans on for the rest.
        for (axis, trim) in [(1, low), (0, near)] {
            if trim.is_positive() {
                cuts.ready.push_back(square(axis, at, left, trim, trim));
                at[axis] = trim;
                left[axis] = sub(left[axis], trim);
            }
        }
        let mut first = Place { node: root, at: [near, low], depth: 0, beyond: [far, high] };
        // Far trim along the first cuts' own axis goes with the last of them. On the other axis one long cut now
        // saves one for every strip, and is left out where nothing but leftovers would lie behind it.
        if let Kind::Cut { way, .. } = root.kind {
            let other = 1 - way.axis();
            let trim = [far, high][other];
            if trim.is_positive() && reaches(root, other) {
                let cut = square(other, at, left, root.size[other], trim);
                cuts.ready.push_back(Cut { kerf_beyond: true, ..cut });
                first.beyond[other] = Length::ZERO;
            }
        }
        let first = settled(first, kerf);
        if let Some(last) = cuts.ready.back_mut().filter(|_| !first.goes_on()) {
            last.leaves = Some(first.node);
        }
        cuts.todo.push(Lot { number: 0, members: vec![first] });
        cuts
    }

    /// All cuts of a lot, and the lots that it leaves.
    fn cut_up(&mut self, lot: &Lot<'a>) {
        let kerf = self.kerf;
        let Some(first) = lot.members.first() else { return };
        let Kind::Cut { way, .. } = first.node.kind else {
            for (member, place) in lot.members.iter().enumerate() {
                self.ready.extend(free_from_trim(*place, Blank { lot: lot.number, member }, kerf));
            }
            return;
        };
        let places: Vec<Vec<Place<'a>>> = lot
            .members
            .iter()
            .map(|m| children(*m, kerf).map(|child| settled(child, kerf)).collect())
            .collect();
        let below = places.iter().map(Vec::len).min().unwrap_or(0);
        // Which of the children go to the saw again, as what: neighbours that are alike in one lot.
        let mut lots: Vec<Lot<'a>> = Vec::new();
        let mut names: Vec<Vec<Option<Blank>>> = vec![Vec::new(); lot.members.len()];
        for c in 0..below {
            let goes = places[0][c].goes_on();
            let like = c > 0
                && goes
                && places[0][c - 1].goes_on()
                && alike(places[0][c - 1].node, places[0][c].node);
            if goes && !like {
                lots.push(Lot { number: self.lots, members: Vec::new() });
                self.lots += 1;
            }
            for (names, places) in names.iter_mut().zip(&places) {
                names.push(lots.last_mut().filter(|_| goes).map(|lot| {
                    lot.members.push(places[c]);
                    Blank { lot: lot.number, member: lot.members.len() - 1 }
                }));
            }
        }
        let next = |member: usize, c: usize| places[member].get(c + 1).map(|next| next.node);
        let parted = |member: usize, c: usize| {
            let cut = cut_after(lot.members[member], way, places[member][c], next(member, c), kerf)?;
            Some(Cut { on: Blank { lot: lot.number, member }, frees_blank: names[member][c], ..cut })
        };
        for c in 0..below {
            for (member, names) in names.iter().enumerate() {
                let Some(mut cut) = parted(member, c) else { continue };
                if (c + 1..below).all(|later| parted(member, later).is_none()) {
                    cut.leaves = next(member, c);
                    cut.leaves_blank = names.get(c + 1).copied().flatten();
                }
                self.ready.push_back(cut);
            }
        }
        self.todo.extend(lots.into_iter().rev());
    }
}

impl<'a> Iterator for Cuts<'a> {
    type Item = Cut<'a>;

    fn next(&mut self) -> Option<Cut<'a>> {
        while self.ready.is_empty() {
            let lot = self.todo.pop()?;
            self.cut_up(&lot);
        }
        self.ready.pop_front()
    }
}

/// What a rectangle is when levels without a cut are passed over.
fn settled(mut place: Place<'_>, kerf: Length) -> Place<'_> {
    while let Kind::Cut { way, children: below } = &place.node.kind
        && below.len() == 1
        && let Some(only) = children(place, kerf).next()
        && cut_after(place, *way, only, None, kerf).is_none()
    {
        place = only;
    }
    place
}

/// The cut on the far side of a child, if there is one: not where only leftovers lie on both sides, and not where
/// the child ends at the edge of the stock.
fn cut_after<'a>(
    parent: Place<'a>,
    way: Way,
    child: Place<'a>,
    next: Option<&Node>,
    kerf: Length,
) -> Option<Cut<'a>> {
    if is_leftover(child.node) && next.is_none_or(is_leftover) {
        return None;
    }
    let axis = way.axis();
    let mut at = parent.at;
    at[axis] = child.at[axis];
    let mut size = [0, 1].map(|i| add(parent.node.size[i], parent.beyond[i]));
    size[axis] = sub(size[axis], sub(child.at[axis], parent.at[axis]));
    let setting = child.node.size[axis];
    let remains = sub(size[axis], setting);
    remains.is_positive().then(|| Cut {
        depth: parent.depth.saturating_add(1),
        way,
        at,
        size,
        setting,
        line: add(at[axis], setting),
        kerf_beyond: true,
        kerf: remains.min(kerf),
        frees: Some(child.node),
        on: Blank::default(),
        frees_blank: None,
        leaves: None,
        leaves_blank: None,
    })
}

/// The cuts that free a piece from far edge trim where no other cut does: the last one frees it.
fn free_from_trim(place: Place<'_>, on: Blank, kerf: Length) -> impl Iterator<Item = Cut<'_>> {
    let mut size = [0, 1].map(|i| add(place.node.size[i], place.beyond[i]));
    let hangs = place.beyond.map(Length::is_positive);
    [Way::Rip, Way::Crosscut].into_iter().filter_map(move |way| {
        let axis = way.axis();
        hangs[axis].then(|| {
            let before = size;
            size[axis] = place.node.size[axis];
            Cut {
                depth: place.depth.saturating_add(1),
                way,
                at: place.at,
                size: before,
                setting: place.node.size[axis],
                line: add(place.at[axis], place.node.size[axis]),
                kerf_beyond: true,
                kerf: place.beyond[axis].min(kerf),
                frees: (way == Way::Crosscut || !hangs[0]).then_some(place.node),
                on,
                frees_blank: None,
                leaves: None,
                leaves_blank: None,
            }
        })
    })
}

/// The children of a rectangle with their places, from the reference corner on.
fn children(parent: Place<'_>, kerf: Length) -> impl Iterator<Item = Place<'_>> {
    let (axis, nodes) = match &parent.node.kind {
        Kind::Cut { way, children } => (way.axis(), children.as_slice()),
        _ => (0, &[][..]),
    };
    let mut at = parent.at;
    let last = nodes.len().saturating_sub(1);
    nodes.iter().enumerate().map(move |(i, node)| {
        let mut beyond = parent.beyond;
        // A cut follows every child but the last; after the last one too, unless it is left over.
        if i != last || !is_leftover(node) {
            beyond[axis] = Length::ZERO;
        }
        let place = Place { node, at, depth: parent.depth.saturating_add(1), beyond };
        at[axis] = add(at[axis], add(node.size[axis], kerf));
        place
    })
}

/// Whether some piece ends at the far side of a rectangle.
fn reaches(root: &Node, axis: usize) -> bool {
    let mut todo = vec![root];
    while let Some(node) = todo.pop() {
        match &node.kind {
            Kind::Piece { .. } => return true,
            Kind::Cut { way, children } if way.axis() == axis => todo.extend(children.last()),
            Kind::Cut { children, .. } => todo.extend(children),
            Kind::Offcut | Kind::Waste => {}
        }
    }
    false
}

fn holds_piece(root: &Node) -> bool {
    let mut todo = vec![root];
    while let Some(node) = todo.pop() {
        match &node.kind {
            Kind::Piece { .. } => return true,
            Kind::Cut { children, .. } => todo.extend(children),
            Kind::Offcut | Kind::Waste => {}
        }
    }
    false
}

impl Place<'_> {
    /// Whether it goes to the saw again.
    fn goes_on(&self) -> bool {
        match self.node.kind {
            Kind::Cut { .. } => true,
            Kind::Piece { .. } => self.beyond.iter().any(|b| b.is_positive()),
            Kind::Offcut | Kind::Waste => false,
        }
    }
}

/// Whether two rectangles are cut alike, whichever parts they hold.
fn alike(a: &Node, b: &Node) -> bool {
    let mut todo = vec![(a, b)];
    while let Some((a, b)) = todo.pop() {
        let same = a.size == b.size
            && match (&a.kind, &b.kind) {
                (Kind::Cut { way, children }, Kind::Cut { way: other, children: others }) => {
                    todo.extend(children.iter().zip(others));
                    way == other && children.len() == others.len()
                }
                (Kind::Piece { .. }, Kind::Piece { .. }) => true,
                (a, b) => a == b,
            };
        if !same {
            return false;
        }
    }
    true
}

fn is_cut(node: &Node) -> bool {
    matches!(node.kind, Kind::Cut { .. })
}

fn is_leftover(node: &Node) -> bool {
    matches!(node.kind, Kind::Offcut | Kind::Waste)
}

fn add(a: Length, b: Length) -> Length {
    Length::from_ticks(a.ticks().saturating_add(b.ticks()))
}

fn sub(a: Length, b: Length) -> Length {
    Length::from_ticks(a.ticks().saturating_sub(b.ticks()))
}
