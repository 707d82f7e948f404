//! The cuts of a layout, lot by lot.

use std::collections::VecDeque;

use super::order::{Guide, Turn, order};
use super::{Blank, Cut, PlacedNode, Setup, add, children, sub};
use crate::plan::{Kind, Node, Way};
use crate::units::Length;

/// The cuts of a layout; see [`Layout::cuts`](crate::plan::Layout::cuts).
#[derive(Clone, Debug)]
pub struct Cuts<'a> {
    setup: Setup,
    /// How many lots have a number.
    lots: usize,
    todo: Vec<Lot<'a>>,
    ready: VecDeque<Cut<'a>>,
}

/// Rectangles that are cut alike.
#[derive(Clone, Debug)]
struct Lot<'a> {
    number: usize,
    members: Vec<PlacedNode<'a>>,
}

impl<'a> Cuts<'a> {
    pub(super) fn new(root: &'a Node, setup: Setup) -> Self {
        let mut cuts = Self { setup, lots: 1, todo: Vec::new(), ready: VecDeque::new() };
        if !holds_piece(root) {
            return cuts;
        }
        let mut first = PlacedNode::of_root(root, &setup);
        let [near, far, low, high] = setup.trim;
        let mut at = [Length::ZERO; 2];
        let mut left = [add(add(near, root.size[0]), far), add(add(low, root.size[1]), high)];
        let square = |axis: usize, at: [Length; 2], size: [Length; 2], setting: Length, trim: Length| Cut {
            setting,
            line: add(at[axis], setting),
            ..squared(axis, at, size, trim, setup.kerf)
        };
        // The long edge first: it is what the stock leans on for the rest.
        for (axis, trim) in [(1, low), (0, near)] {
            if trim.is_positive() && first.before[axis].is_zero() {
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
        first = settled(first, &setup);
        if let Some(last) = cuts.ready.back_mut().filter(|_| !first.goes_on()) {
            last.leaves = Some(first.node);
        }
        cuts.todo.push(Lot { number: 0, members: vec![first] });
        cuts
    }

    /// All cuts of a lot, and the lots that it leaves.
    fn cut_up(&mut self, lot: &Lot<'a>) {
        let setup = self.setup;
        let Some(first) = lot.members.first() else { return };
        let members =
            || (0..).zip(&lot.members).map(|(member, place)| (place, Blank { lot: lot.number, member }));
        if !first.hands_on() {
            self.ready.extend(members().filter_map(|(place, on)| near_trim(place, on, &setup)));
        }
        let Kind::Cut { way, .. } = first.node.kind else {
            self.ready.extend(members().flat_map(|(place, on)| free_from_trim(*place, on, &setup)));
            return;
        };
        let turns = order(first, &setup);
        let places: Vec<Vec<PlacedNode<'a>>> = lot
            .members
            .iter()
            .map(|m| children(*m, &setup).map(|child| settled(child, &setup)).collect())
            .collect();
        // Which of the children go to the saw again, as what: neighbours that are alike in one lot.
        let mut lots: Vec<Lot<'a>> = Vec::new();
        let mut names: Vec<Vec<Option<Blank>>> = vec![vec![None; places[0].len()]; lot.members.len()];
        let mut before: Option<PlacedNode<'a>> = None;
        for c in come_off(&turns) {
            let Some(child) = places[0].get(c) else { continue };
            let goes = child.goes_on();
            if goes && !before.is_some_and(|before| before.goes_on() && alike(before.node, child.node)) {
                lots.push(Lot { number: self.lots, members: Vec::new() });
                self.lots += 1;
            }
            before = Some(*child);
            let Some(goes_to) = lots.last_mut().filter(|_| goes) else { continue };
            for (names, places) in names.iter_mut().zip(&places) {
                let (Some(name), Some(place)) = (names.get_mut(c), places.get(c)) else { continue };
                goes_to.members.push(*place);
                *name = Some(Blank { lot: goes_to.number, member: goes_to.members.len() - 1 });
            }
        }
        for (t, turn) in turns.iter().enumerate() {
            let ends = t + 1 == turns.len();
            for (member, (parent, places)) in lot.members.iter().zip(&places).enumerate() {
                let Some(cut) = cut(parent, way, places, turn, &setup) else { continue };
                let [off, left] = sides(turn, ends);
                let node = |c: Option<usize>| Some(places.get(c?)?.node);
                // What a line cuts away besides the edge is waste.
                let away = (turn.guide == Guide::Line).then_some(turn.after.saturating_add(1));
                let name = |c: Option<usize>| names[member].get(c?).copied().flatten();
                self.ready.push_back(Cut {
                    on: Blank { lot: lot.number, member },
                    frees: node(off.or(away)),
                    frees_blank: name(off),
                    leaves: node(left),
                    leaves_blank: name(left),
                    ..cut
                });
            }
        }
        self.todo.extend(lots.into_iter().rev());
    }
}

/// Which child falls off in a turn for somebody to have, and which is left, where that is the last turn.
fn sides(turn: &Turn, ends: bool) -> [Option<usize>; 2] {
    let (near, far) = (turn.after, turn.after.saturating_add(1));
    match turn.guide {
        Guide::Near => [Some(near), ends.then_some(far)],
        Guide::Far => [Some(far), ends.then_some(near)],
        Guide::Line => [None, ends.then_some(near)],
    }
}

/// The children in the order in which they are free.
fn come_off(turns: &[Turn]) -> impl Iterator<Item = usize> {
    let last = turns.len().saturating_sub(1);
    turns.iter().enumerate().flat_map(move |(t, turn)| sides(turn, t == last)).flatten()
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
fn settled<'a>(mut place: PlacedNode<'a>, setup: &Setup) -> PlacedNode<'a> {
    while let Kind::Cut { children: below, .. } = &place.node.kind
        && below.len() == 1
        && let Some(only) = children(place, setup).next()
        && order(&place, setup).is_empty()
    {
        place = PlacedNode { before: place.before, ..only };
    }
    place
}

/// One cut between the children of a rectangle, if there is anything to cut; what it frees and leaves is still open.
fn cut<'a>(
    parent: &PlacedNode<'a>,
    way: Way,
    places: &[PlacedNode<'a>],
    turn: &Turn,
    setup: &Setup,
) -> Option<Cut<'a>> {
    let axis = way.axis();
    let end = |place: &PlacedNode<'_>| add(place.at[axis], place.node.size[axis]);
    let before = if parent.hands_on() { parent.before } else { [Length::ZERO; 2] };
    let mut at = [0, 1].map(|i| sub(parent.at[i], before[i]));
    at[axis] = places.get(turn.first)?.at[axis];
    let mut size = [0, 1].map(|i| add(before[i], add(parent.node.size[i], parent.beyond[i])));
    let far = match turn.last {
        Some(last) => end(places.get(last)?),
        None => add(parent.at[axis], size[axis]),
    };
    size[axis] = sub(far, at[axis]);
    let line = end(places.get(turn.after)?);
    let remains = sub(far, line);
    let kerf = remains.min(setup.kerf);
    let setting = if turn.guide == Guide::Far { sub(remains, kerf) } else { sub(line, at[axis]) };
    remains.is_positive().then(|| Cut {
        depth: parent.depth.saturating_add(1),
        way,
        at,
        size,
        guide: turn.guide,
        setting,
        line,
        kerf_beyond: true,
        kerf,
        frees: None,
        on: Blank::default(),
        frees_blank: None,
        leaves: None,
        leaves_blank: None,
    })
}

/// A cut that takes near trim off.
fn squared<'a>(axis: usize, at: [Length; 2], size: [Length; 2], trim: Length, kerf: Length) -> Cut<'a> {
    Cut {
        depth: 0,
        way: if axis == 0 { Way::Crosscut } else { Way::Rip },
        at,
        size,
        guide: Guide::Line,
        setting: trim,
        line: add(at[axis], trim),
        kerf_beyond: false,
        kerf: trim.min(kerf),
        frees: None,
        on: Blank::default(),
        frees_blank: None,
        leaves: None,
        leaves_blank: None,
    }
}

/// The cut that takes near trim off a strip, where it still hangs on it.
fn near_trim<'a>(place: &PlacedNode<'a>, on: Blank, setup: &Setup) -> Option<Cut<'a>> {
    let axis = [0, 1].into_iter().find(|&axis| place.before[axis].is_positive())?;
    let at = [0, 1].map(|i| sub(place.at[i], place.before[i]));
    let size = [0, 1].map(|i| add(place.before[i], add(place.node.size[i], place.beyond[i])));
    let depth = place.depth.saturating_add(1);
    let last = match place.node.kind {
        Kind::Piece { .. } => place.beyond.iter().all(|beyond| beyond.is_zero()),
        Kind::Offcut | Kind::Waste => true,
        Kind::Cut { .. } => false,
    };
    Some(Cut {
        depth,
        on,
        leaves: last.then_some(place.node),
        ..squared(axis, at, size, place.before[axis], setup.kerf)
    })
}

/// The cuts that free a piece from far edge trim where no other cut does: the last one frees it.
fn free_from_trim<'a>(
    place: PlacedNode<'a>,
    on: Blank,
    setup: &Setup,
) -> impl Iterator<Item = Cut<'a>> + use<'a> {
    let Setup { kerf, reach, longest, .. } = *setup;
    let mut size = [0, 1].map(|i| add(place.node.size[i], place.beyond[i]));
    let hangs =
        place.beyond.map(|beyond| beyond.is_positive() && matches!(place.node.kind, Kind::Piece { .. }));
    [Way::Rip, Way::Crosscut].into_iter().filter_map(move |way| {
        let axis = way.axis();
        hangs[axis].then(|| {
            let before = size;
            let setting = place.node.size[axis];
            size[axis] = setting;
            let reached = (way == Way::Crosscut || reach.is_none_or(|reach| setting <= reach))
                && longest[axis].is_none_or(|most| before[1 - axis] <= most);
            let last = (way == Way::Crosscut || !hangs[0]).then_some(place.node);
            Cut {
                depth: place.depth.saturating_add(1),
                way,
                at: place.at,
                size: before,
                guide: if reached { Guide::Near } else { Guide::Line },
                setting,
                line: add(place.at[axis], setting),
                kerf_beyond: true,
                kerf: place.beyond[axis].min(kerf),
                frees: last.filter(|_| reached),
                on,
                frees_blank: None,
                leaves: last.filter(|_| !reached),
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

impl PlacedNode<'_> {
    /// Whether it goes to the saw again.
    fn goes_on(&self) -> bool {
        match self.node.kind {
            Kind::Cut { .. } => true,
            Kind::Piece { .. } => self.beyond.iter().chain(&self.before).any(|b| b.is_positive()),
            Kind::Offcut => self.before.iter().any(|b| b.is_positive()),
            Kind::Waste => false,
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
