//! Can the shop's saws make the cuts of one rectangle?
//!
//! Boards: no short piece is ripped alone. Sheets: stages, direction of the first cut, longest cuts, reach of the
//! fence. Edge trim does not count, and neither does a level of the tree that needs no cut.

use super::fault::{Fault, Spot};
use super::tree::Visit;
use crate::model::{CheckedBatch, FirstCut, Stages, UsableStock};
use crate::plan::{Kind, Node, Way};
use crate::units::Length;

/// The cuts above a rectangle.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Course {
    /// Direction of the last ones.
    last: Option<Way>,
    /// How many runs of cuts in one direction there were.
    stages: usize,
    /// The direction that was to come first, where others did.
    wanted: Option<Way>,
    /// The rectangle that the last run divides, by its entry in the trail.
    run: usize,
}

impl Course {
    /// The last run of cuts in one direction: that direction, and a number that no other run of the layout has.
    pub fn run(&self) -> Option<(Way, usize)> {
        self.last.map(|way| (way, self.run))
    }
}

/// Faults with the child they belong to, where it is one.
type Unsawable = Vec<(Option<usize>, Box<dyn FnOnce(Spot) -> Fault>)>;

/// Judges the cuts that divide a rectangle; returns also what is above its children.
pub(super) fn judge(
    batch: &CheckedBatch,
    stock: &UsableStock,
    visit: &Visit<'_>,
    way: Way,
    children: &[Node],
    tail: i128,
) -> (Course, Unsawable) {
    let mut faults: Unsawable = Vec::new();
    let shop = &batch.batch().shop;
    if children.len() == 1 && tail <= 0 {
        return (visit.course, faults);
    }
    let sheets = &shop.sheets;
    let above = visit.course;
    let stages = above.stages + usize::from(above.last != Some(way));
    let run = if above.last == Some(way) { above.run } else { visit.trail };
    let wanted = match (above.last, sheets.first_cut) {
        (Some(_), _) => above.wanted,
        (None, FirstCut::Rip) => Some(Way::Rip).filter(|&wanted| way != wanted),
        (None, FirstCut::Crosscut) => Some(Way::Crosscut).filter(|&wanted| way != wanted),
        (None, FirstCut::Either) => None,
    };
    let course = Course { last: Some(way), stages, wanted, run };
    let [along, across] = visit.node.size;
    if stock.board {
        let expected = shop.boards.shortest_rip;
        if way == Way::Rip && along < expected {
            faults.push((None, Box::new(move |at| Fault::ShortRip { at, expected, found: along })));
        }
        return (course, faults);
    }
    if let Stages::Limited(most) = sheets.stages {
        let trimming = sheets.trimming && stages == usize::from(most) + 1 && only_trims(way, children);
        if stages > usize::from(most) && !trimming {
            faults.push((None, Box::new(move |at| Fault::Stages { at, most })));
        }
    }
    // Pieces as wide as the sheet need nothing before the cuts between them.
    if let Some(expected) = wanted.filter(|_| stages > 1) {
        faults.push((None, Box::new(move |at| Fault::FirstCut { at, expected })));
    }
    let (most, found) = match way {
        Way::Rip => (sheets.longest_rip, along),
        Way::Crosscut => (sheets.longest_crosscut, across),
    };
    if let Some(most) = most.filter(|&most| found > most) {
        faults.push((None, Box::new(move |at| Fault::TooLong { at, way, most, found })));
    }
    if let (Way::Rip, Some(reach)) = (way, sheets.fence_reach) {
        beyond_fence(children, reach, &mut faults);
    }
    (course, faults)
}

/// One more cut than the stages allow may only bring a piece to size: a piece and what is left. What is left may take
/// several cuts in the same direction where it is wider than the fence reaches.
fn only_trims(way: Way, children: &[Node]) -> bool {
    let (mut pieces, mut todo) = (0, vec![children]);
    while let Some(children) = todo.pop() {
        for child in children {
            match &child.kind {
                Kind::Piece { .. } => pieces += 1,
                Kind::Cut { way: same, children } if *same == way => todo.push(children),
                _ if child.kind.is_leftover() => {}
                _ => return false,
            }
        }
    }
    pieces == 1
}

/// Every rip must be within reach of the fence from one of the two edges of what is on the saw. Strips come off from both,
/// so that one may be wider than the fence reaches: it is what is left. An edge with nothing but dust beyond it is squared
/// off along a line.
fn beyond_fence(children: &[Node], reach: Length, faults: &mut Unsawable) {
    let wide = children.iter().enumerate().filter(|(_, child)| child.size[1] > reach);
    for (c, child) in wide.skip(1) {
        let found = child.size[1].ticks().into();
        faults.push((Some(c), Box::new(move |at| Fault::BeyondFence { at, most: reach, found })));
    }
}
