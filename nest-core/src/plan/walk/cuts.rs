//! The cuts of a layout, lot by lot.

use std::collections::VecDeque;

use super::{Blank, Cut, Place, add, children, is_leftover, sub};
use crate::plan::{Kind, Node, Way};
use crate::units::Length;

/// The cuts of a layout; see [`Layout::cuts`](crate::plan::Layout::cuts).
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
    pub(super) fn new(root: &'a Node, trim: [Length; 4], kerf: Length) -> Self {
        let mut cuts = Self { kerf, lots: 1, todo: Vec::new(), ready: VecDeque::new() };
        if !holds_piece(root) {
            return cuts;
        }
        let mut first = Place::of_root(root, trim);
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
        if let Kind::Cut { way, .. } = root.kind {
            let other = 1 - way.axis();
            let trim = [far, high][other];
            if trim.is_positive() && first.beyond[other].is_zero() {
                let cut = square(other, at, left, root.size[other], trim);
                cuts.ready.push_back(Cut { kerf_beyond: true, ..cut });
            }
        }
        first = settled(first, kerf);
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

/// Whether some piece ends at the far side of a rectangle.
pub(super) fn reaches(root: &Node, axis: usize) -> bool {
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
