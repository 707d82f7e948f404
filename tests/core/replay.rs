//! A layout replayed from its list of cuts is the layout: whoever follows the list with a sheet in hand, knowing
//! nothing of the tree, ends up with the same pieces and offcuts at the same places.

use crate::sawn::grown;
use nest_core::plan::{Blank, Cut, Kind, Layout, Node, Way};
use nest_core::units::Length;
use proptest::prelude::*;
use std::collections::BTreeMap;

/// Corner and size.
type Rect = [[Length; 2]; 2];

/// Makes the cuts with what their numbers say, and names what comes off as they say.
pub fn replayed<'a>(
    size: [Length; 2],
    cuts: impl Iterator<Item = Cut<'a>>,
    reach: Option<Length>,
) -> Vec<(&'a Node, Rect)> {
    let mut on_hand: BTreeMap<Blank, Rect> = BTreeMap::new();
    on_hand.insert(Blank::default(), [[Length::ZERO; 2], size]);
    let mut done = Vec::new();
    for cut in cuts {
        let axis = cut.way.axis();
        let [at, size] = on_hand.remove(&cut.on).expect("what is cut is at hand");
        assert_eq!([at, size], [cut.at, cut.size], "the list says where what is on the saw came from");
        let (fence, far) = cut.fence(reach);
        let (mut near, mut beyond) = ([at, size], [at, size]);
        let setting = if far { size[axis] - fence - cut.kerf } else { fence };
        // The near edge is squared off with the blade before the line.
        let from = if cut.kerf_beyond { setting } else { setting - cut.kerf };
        near[1][axis] = from;
        beyond[0][axis] = at[axis] + from + cut.kerf;
        beyond[1][axis] = size[axis] - from - cut.kerf;
        if cut.frees.is_none() {
            // Edge trim: what is kept is the larger side, always that of the reference corner but for its own trim.
            let kept = if cut.kerf_beyond { near } else { beyond };
            match cut.leaves {
                Some(node) => done.push((node, kept)),
                None => assert!(on_hand.insert(cut.on, kept).is_none()),
            }
            continue;
        }
        match (cut.frees, cut.frees_blank) {
            (_, Some(blank)) => assert!(on_hand.insert(blank, near).is_none()),
            (Some(node), None) => done.push((node, near)),
            (None, None) => unreachable!(),
        }
        match (cut.leaves, cut.leaves_blank) {
            (_, Some(blank)) => assert!(on_hand.insert(blank, beyond).is_none()),
            (Some(node), None) => done.push((node, beyond)),
            (None, None) => assert!(on_hand.insert(cut.on, beyond).is_none()),
        }
    }
    done
}

fn pieces(found: &[(&Node, Rect)]) -> Vec<(usize, bool, Rect)> {
    let mut pieces: Vec<_> = (found.iter())
        .filter_map(|(node, rect)| match node.kind {
            Kind::Piece { part, turned } => Some((part, turned, *rect)),
            _ => None,
        })
        .collect();
    pieces.sort_unstable();
    pieces
}

fn planned(layout: &Layout) -> Vec<(usize, bool, Rect)> {
    let mut pieces: Vec<_> = layout.pieces.iter().map(|p| (p.part, p.turned, [p.at, p.size])).collect();
    pieces.sort_unstable();
    pieces
}

proptest! {
    #[test]
    fn a_layout_replayed_from_its_cut_list_is_the_layout(seed: u64, reach in proptest::option::of(200_i64..1300)) {
        let (batch, layout) = grown(seed);
        let stock = &batch.stock()[0];
        let cuts = || layout.cuts(stock.trim, stock.kerf);
        if cuts().next().is_none() {
            return Ok(());
        }
        let found = replayed(stock.size, cuts(), reach.map(Length::mm));
        prop_assert_eq!(pieces(&found), planned(&layout));
        // Every offcut is there, at least as large as promised.
        for kept in layout.offcuts(stock.trim, stock.kerf) {
            let there = found.iter().any(|(node, [at, size])| {
                node.kind == Kind::Offcut && *at == kept.at && (0..2).all(|i| size[i] >= kept.node.size[i])
            });
            prop_assert!(there || layout.root == *kept.node);
        }
    }
}

fn mm(along: i64, across: i64) -> [Length; 2] {
    [Length::mm(along), Length::mm(across)]
}

fn piece(along: i64, across: i64, part: usize) -> Node {
    Node { size: mm(along, across), kind: Kind::Piece { part, turned: false } }
}

fn cut(along: i64, across: i64, way: Way, children: Vec<Node>) -> Node {
    Node { size: mm(along, across), kind: Kind::Cut { way, children } }
}

#[test]
fn strips_that_are_cut_alike_are_cut_side_by_side() {
    let strip = |part| cut(400, 97, Way::Crosscut, vec![piece(247, 97, part), piece(150, 97, 3)]);
    let last = cut(400, 100, Way::Crosscut, vec![piece(200, 100, 4), piece(197, 100, 4)]);
    let layout = Layout::new(
        0,
        1,
        cut(400, 300, Way::Rip, vec![strip(1), strip(2), last]),
        [Length::ZERO; 4],
        Length::mm(3),
    );
    let cuts: Vec<Cut<'_>> = layout.cuts([Length::ZERO; 4], Length::mm(3)).collect();
    let order: Vec<(i64, usize, usize)> =
        cuts.iter().map(|c| (c.setting.ticks() / Length::TICKS_PER_MM, c.on.lot, c.on.member)).collect();
    assert_eq!(order, [(97, 0, 0), (97, 0, 0), (247, 1, 0), (247, 1, 1), (200, 2, 0)]);
    assert_eq!(cuts[1].leaves_blank, Some(Blank { lot: 2, member: 0 }));
    let found = replayed(mm(400, 300), cuts.into_iter(), None);
    assert_eq!(pieces(&found), planned(&layout));
}

#[test]
fn a_rip_beyond_the_reach_of_the_fence_is_set_from_the_far_side() {
    let root = cut(400, 300, Way::Rip, vec![piece(400, 197, 0), piece(400, 100, 1)]);
    let layout = Layout::new(0, 1, root, [Length::ZERO; 4], Length::mm(3));
    let first = layout.cuts([Length::ZERO; 4], Length::mm(3)).next().unwrap();
    assert_eq!(first.fence(None), (Length::mm(197), false));
    assert_eq!(first.fence(Some(Length::mm(150))), (Length::mm(100), true));
}
