//! A layout replayed from its list of cuts is the layout: whoever follows the list with a sheet in hand, knowing
//! nothing of the tree, ends up with the same pieces and offcuts at the same places.

use crate::sawn::grown;
use nest_core::plan::{Blank, Cut, Guide, Kind, Layout, Node, Setup, Way};
use nest_core::units::Length;
use proptest::prelude::*;
use std::collections::BTreeMap;

/// Corner and size.
type Rect = [[Length; 2]; 2];

/// Makes the cuts with what their numbers say, and names what comes off as they say.
pub fn replayed<'a>(size: [Length; 2], cuts: impl Iterator<Item = Cut<'a>>) -> Vec<(&'a Node, Rect)> {
    let mut on_hand: BTreeMap<Blank, Rect> = BTreeMap::new();
    on_hand.insert(Blank::default(), [[Length::ZERO; 2], size]);
    let mut done = Vec::new();
    for cut in cuts {
        let axis = cut.way.axis();
        let [at, size] = on_hand.remove(&cut.on).expect("what is cut is at hand");
        assert_eq!([at, size], [cut.at, cut.size], "the list says where what is on the saw came from");
        let (mut near, mut beyond) = ([at, size], [at, size]);
        let from = match cut.guide {
            Guide::Far => size[axis] - cut.setting - cut.kerf,
            // The near edge is squared off with the blade before the line.
            Guide::Line if !cut.kerf_beyond => cut.setting - cut.kerf,
            Guide::Near | Guide::Line => cut.setting,
        };
        near[1][axis] = from;
        beyond[0][axis] = at[axis] + from + cut.kerf;
        beyond[1][axis] = size[axis] - from - cut.kerf;
        if cut.frees.is_none() || cut.guide == Guide::Line {
            // Edge trim: what is kept is the larger side, always that of the reference corner but for its own trim.
            let [kept, away] = if cut.kerf_beyond { [near, beyond] } else { [beyond, near] };
            assert!(
                cut.frees.is_none_or(|node| node.kind == Kind::Waste && node.size[axis] <= away[1][axis])
            );
            match (cut.leaves, cut.leaves_blank) {
                (_, Some(blank)) => assert!(on_hand.insert(blank, kept).is_none()),
                (Some(node), None) => done.push((node, kept)),
                (None, None) => assert!(on_hand.insert(cut.on, kept).is_none()),
            }
            continue;
        }
        let [off, left] = if cut.guide == Guide::Far { [beyond, near] } else { [near, beyond] };
        match (cut.frees, cut.frees_blank) {
            (_, Some(blank)) => assert!(on_hand.insert(blank, off).is_none()),
            (Some(node), None) => done.push((node, off)),
            (None, None) => unreachable!(),
        }
        match (cut.leaves, cut.leaves_blank) {
            (_, Some(blank)) => assert!(on_hand.insert(blank, left).is_none()),
            (Some(node), None) => done.push((node, left)),
            (None, None) => assert!(on_hand.insert(cut.on, left).is_none()),
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
    fn a_layout_replayed_from_its_cut_list_is_the_layout(
        seed: u64,
        reach in proptest::option::of(200_i64..1300),
        longest in proptest::array::uniform2(proptest::option::of(200_i64..2500)),
    ) {
        let (batch, layout) = grown(seed);
        let stock = &batch.stock()[0];
        let longest = longest.map(|most| most.map(Length::mm));
        let setup = Setup { reach: reach.map(Length::mm), longest, ..stock.into() };
        let cuts = || layout.cuts(setup);
        if cuts().next().is_none() {
            return Ok(());
        }
        let found = replayed(stock.size, cuts());
        prop_assert_eq!(pieces(&found), planned(&layout));
        // Every offcut is there, at least as large as promised.
        for kept in layout.offcuts(setup) {
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
    let setup = setup([0; 4], None);
    let layout = Layout::new(0, 1, cut(400, 300, Way::Rip, vec![strip(1), strip(2), last]), setup);
    let cuts: Vec<Cut<'_>> = layout.cuts(setup).collect();
    let order: Vec<(i64, usize, usize)> =
        cuts.iter().map(|c| (c.setting.ticks() / Length::TICKS_PER_MM, c.on.lot, c.on.member)).collect();
    assert_eq!(order, [(97, 0, 0), (97, 0, 0), (247, 1, 0), (247, 1, 1), (200, 2, 0)]);
    assert_eq!(cuts[1].leaves_blank, Some(Blank { lot: 2, member: 0 }));
    let found = replayed(mm(400, 300), cuts.into_iter());
    assert_eq!(pieces(&found), planned(&layout));
}

fn setup(trim: [i64; 4], reach: Option<i64>) -> Setup {
    Setup {
        trim: trim.map(Length::mm),
        kerf: Length::mm(3),
        reach: reach.map(Length::mm),
        longest: [None; 2],
    }
}

/// Guide, setting, and the width of what falls off and of what is left, in mm; the pieces are where the layout has them.
fn rips(root: Node, setup: Setup) -> Vec<(Guide, i64, Option<i64>, Option<i64>)> {
    let whole = |ticks: Length| ticks.ticks() / Length::TICKS_PER_MM;
    let wide = |node: Option<&Node>| node.map(|node| whole(node.size[1]));
    let [near, far, low, high] = setup.trim;
    let size = [root.size[0] + near + far, root.size[1] + low + high];
    let layout = Layout::new(0, 1, root, setup);
    let found = replayed(size, layout.cuts(setup));
    assert_eq!(pieces(&found), planned(&layout));
    let rips = layout.cuts(setup).filter(|cut| cut.way == Way::Rip);
    rips.map(|cut| (cut.guide, whole(cut.setting), wide(cut.frees), wide(cut.leaves))).collect()
}

/// No fence is set wider than it reaches, whatever trim lies on the far edge, and nothing but trim, slivers and the waste
/// beside trim falls off along a line.
#[test]
fn strips_come_off_from_both_edges_of_one_that_is_wider_than_the_fence_reaches() {
    use Guide::{Far, Line, Near};
    let strips = |widths: &[i64]| widths.iter().map(|&wide| piece(400, wide, 0)).collect::<Vec<_>>();
    let rip = |children: Vec<Node>, whole: i64| cut(400, whole, Way::Rip, children);
    let waste = |wide| Node { size: mm(400, wide), kind: Kind::Waste };
    let reach = Some(100);
    // All within reach: from the near edge, the trim last.
    assert_eq!(
        rips(rip(strips(&[60, 97]), 160), setup([0, 0, 0, 10], reach)),
        [(Near, 60, Some(60), None), (Near, 97, Some(97), None)]
    );
    // Widest first, between, and last.
    assert_eq!(rips(rip(strips(&[197, 100]), 300), setup([0; 4], reach)), [(Far, 100, Some(100), Some(197))]);
    assert_eq!(
        rips(rip(strips(&[50, 197, 40, 30]), 326), setup([0; 4], reach)),
        [(Near, 50, Some(50), None), (Far, 30, Some(30), None), (Far, 40, Some(40), Some(197))]
    );
    assert_eq!(rips(rip(strips(&[40, 197]), 240), setup([0; 4], reach)), [(Near, 40, Some(40), Some(197))]);
    // A far edge with trim or dust on it is squared off before the fence leans on it.
    assert_eq!(
        rips(rip(strips(&[197, 100]), 300), setup([0, 0, 0, 10], reach)),
        [(Line, 300, None, None), (Far, 100, Some(100), Some(197))]
    );
    assert_eq!(
        rips(rip(strips(&[40, 197, 100]), 345), setup([0; 4], reach)),
        [(Near, 40, Some(40), None), (Line, 300, None, None), (Far, 100, Some(100), Some(197))]
    );
    // The widest strip itself, where only trim, dust or a sliver lies beyond it.
    assert_eq!(
        rips(rip(strips(&[40, 197]), 240), setup([0, 0, 0, 10], reach)),
        [(Near, 40, Some(40), None), (Line, 197, None, Some(197))]
    );
    let mut children = strips(&[40, 197]);
    children.push(waste(8));
    assert_eq!(
        rips(rip(children, 251), setup([0; 4], reach)),
        [(Near, 40, Some(40), None), (Line, 197, Some(8), Some(197))]
    );
    let mut children = strips(&[197, 40]);
    children.push(waste(8));
    assert_eq!(
        rips(rip(children, 251), setup([0; 4], reach)),
        [(Line, 240, Some(8), None), (Far, 40, Some(40), Some(197))]
    );
    // More than a sliver is ripped off, unless the far edge needs a line anyway: one cut does instead of two.
    let with_waste = |widths: &[i64]| {
        let mut children = strips(widths);
        children.push(waste(57));
        rip(children, 300)
    };
    assert_eq!(
        rips(with_waste(&[40, 197]), setup([0; 4], reach)),
        [(Near, 40, Some(40), None), (Far, 57, Some(57), Some(197))]
    );
    assert_eq!(
        rips(with_waste(&[40, 197]), setup([0, 0, 0, 10], reach)),
        [(Near, 40, Some(40), None), (Line, 197, Some(57), Some(197))]
    );
    assert_eq!(
        rips(with_waste(&[197, 40]), setup([0, 0, 0, 10], reach)),
        [(Line, 240, Some(57), None), (Far, 40, Some(40), Some(197))]
    );
    // What is kept has two clean edges.
    let kept = vec![piece(400, 197, 0), Node { size: mm(400, 100), kind: Kind::Offcut }];
    assert_eq!(
        rips(rip(kept, 300), setup([0, 0, 0, 10], reach)),
        [(Line, 300, None, None), (Far, 100, Some(100), Some(197))]
    );
    // Without a limit the list is that of any other sheet.
    assert_eq!(rips(rip(strips(&[197, 100]), 300), setup([0; 4], None)), [(Near, 197, Some(197), Some(100))]);
}
