//! In which order the children of a rectangle come off the saw, and what holds the stock for each cut.
//!
//! Stop and fence stand on the side of the reference corner, and the children come off from there on. Only a strip wider
//! than the fence reaches is never between fence and blade: what lies before it comes off from the near edge, what lies
//! behind it from the far edge, and it is what is left. A far edge that the fence is to lean on is squared off along a line
//! first where it is as it came, with the waste beside it, if there is any; so is the strip itself where no more than trim,
//! dust, waste with a factory edge, or a sliver lies beyond it.

use super::{PlacedNode, Setup, add, sub};
use crate::plan::{Kind, Node, Way};
use crate::units::Length;

/// Waste up to this width is cut away along a line and not ripped between blade and fence, where it would be caught and
/// thrown back: 3/4 in, common practice.
const SLIVER: Length = Length::from_ticks(Length::TICKS_PER_INCH * 3 / 4);

/// What holds the stock along a cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Guide {
    /// Stop or fence, set from the side of the reference corner.
    Near,
    /// The fence, set from the far edge of what is on the saw, because from the near edge it does not reach so far.
    Far,
    /// None: the cut follows a line, as where a factory edge is squared off.
    Line,
}

/// One cut of a rectangle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Turn {
    /// The cut is on the far side of this child.
    pub after: usize,
    pub guide: Guide,
    /// The first of the children that are on the saw.
    pub first: usize,
    /// The last of them, where a cut was made beyond it; before that, all that lies there is on the saw.
    pub last: Option<usize>,
}

/// A child, or leftovers side by side, which nothing parts.
#[derive(Clone, Copy)]
struct Block {
    first: usize,
    last: usize,
    /// From the near edge of the rectangle.
    end: Length,
    size: Length,
    left: bool,
}

/// The cuts of a rectangle, one after the other.
pub(super) fn order(parent: &PlacedNode<'_>, setup: &Setup) -> Vec<Turn> {
    let Kind::Cut { way, children } = &parent.node.kind else { return Vec::new() };
    let blocks = blocks(children, *way, setup.kerf);
    let Some(final_block) = blocks.last() else { return Vec::new() };
    let axis = way.axis();
    // Dust and edge trim on the far side of everything.
    let edge = sub(add(parent.node.size[axis], parent.beyond[axis]), final_block.end).is_positive();
    let mut turns = Vec::new();
    let count = blocks.len();
    let wide = match (way, setup.reach) {
        (Way::Rip, Some(reach)) => blocks.iter().position(|block| block.size > reach),
        _ => None,
    };
    let from_near = wide.unwrap_or(count);
    let (mut first, mut last) = (0, None);
    for block in &blocks[..from_near] {
        if block.last < final_block.last || edge && !block.left {
            turns.push(Turn { after: block.last, guide: Guide::Near, first, last });
        }
        first = block.last + 1;
    }
    let Some(wide) = wide else { return turns };
    // The last block that is not cut away with the edge. Where the edge needs a line anyway, that is drawn before the waste.
    let mut solid = count - 1;
    let away = wide < solid
        && (edge || final_block.size <= SLIVER)
        && children[final_block.first..].iter().all(|node| node.kind == Kind::Waste);
    solid -= usize::from(away);
    if away || edge && (wide < solid || !blocks[wide].left) {
        turns.push(Turn { after: blocks[solid].last, guide: Guide::Line, first, last });
        last = Some(blocks[solid].last);
    }
    for pair in blocks[wide..=solid].windows(2).rev() {
        turns.push(Turn { after: pair[0].last, guide: Guide::Far, first, last });
        last = Some(pair[0].last);
    }
    turns
}

/// Whether the far edge of a leftover that comes last is squared off, for the fence to lean on.
pub(super) fn squares_leftover(parent: &PlacedNode<'_>, setup: &Setup) -> bool {
    let Kind::Cut { children, .. } = &parent.node.kind else { return false };
    let last = children.len().saturating_sub(1);
    setup.reach.is_some()
        && order(parent, setup).iter().any(|turn| turn.after == last && turn.guide == Guide::Line)
}

fn blocks(children: &[Node], way: Way, kerf: Length) -> Vec<Block> {
    let axis = way.axis();
    let mut blocks: Vec<Block> = Vec::new();
    let mut at = Length::ZERO;
    for (c, child) in children.iter().enumerate() {
        let (size, left) = (child.size[axis], child.kind.is_leftover());
        let end = add(at, size);
        match blocks.last_mut() {
            Some(block) if block.left && left => {
                block.size = add(block.size, add(kerf, size));
                (block.last, block.end) = (c, end);
            }
            _ => blocks.push(Block { first: c, last: c, end, size, left }),
        }
        at = add(end, kerf);
    }
    blocks
}
