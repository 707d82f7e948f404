//! Layouts worked out by hand: places, cuts in saw order, kerf and tail.

use nest_core::plan::{Cut, Guide, Kind, Layout, Node, Setup, Way};
use nest_core::units::Length;

const KERF: i64 = 3;

fn mm(along: i64, across: i64) -> [Length; 2] {
    [Length::mm(along), Length::mm(across)]
}

fn piece(along: i64, across: i64, part: usize) -> Node {
    Node { size: mm(along, across), kind: Kind::Piece { part, turned: false } }
}

fn waste(along: i64, across: i64) -> Node {
    Node { size: mm(along, across), kind: Kind::Waste }
}

fn offcut(along: i64, across: i64) -> Node {
    Node { size: mm(along, across), kind: Kind::Offcut }
}

fn cut(along: i64, across: i64, way: Way, children: Vec<Node>) -> Node {
    Node { size: mm(along, across), kind: Kind::Cut { way, children } }
}

fn setup(trim: [i64; 4]) -> Setup {
    Setup { trim: trim.map(Length::mm), kerf: Length::mm(KERF), ..Setup::default() }
}

fn layout(root: Node, trim: [i64; 4]) -> Layout {
    Layout::new(0, 1, root, setup(trim))
}

fn whole(length: Length) -> i64 {
    length.ticks() / Length::TICKS_PER_MM
}

/// Depth, direction, setting, line and kerf of each cut in millimetres.
fn cuts(layout: &Layout, trim: [i64; 4]) -> Vec<(usize, Way, i64, i64, i64)> {
    layout
        .cuts(setup(trim))
        .map(|cut| (cut.depth, cut.way, whole(cut.setting), whole(cut.line), whole(cut.kerf)))
        .collect()
}

#[test]
fn pieces_follow_each_other_with_one_kerf_between() {
    let root = cut(1000, 0, Way::Crosscut, vec![piece(400, 0, 7), piece(300, 0, 8), offcut(294, 0)]);
    let layout = layout(root, [0; 4]);
    let at: Vec<_> = layout.pieces.iter().map(|piece| (piece.part, piece.at, piece.size)).collect();
    assert_eq!(at, [(7, mm(0, 0), mm(400, 0)), (8, mm(403, 0), mm(300, 0))]);
    assert_eq!(cuts(&layout, [0; 4]), [(1, Way::Crosscut, 400, 400, 3), (1, Way::Crosscut, 300, 703, 3)]);
    let left: Vec<_> = layout.offcuts(setup([0; 4])).map(|place| place.at).collect();
    assert_eq!(left, [mm(706, 0)]);
}

#[test]
fn the_last_cut_takes_no_more_than_is_left() {
    let root = cut(1000, 0, Way::Crosscut, vec![piece(495, 0, 0), piece(500, 0, 0)]);
    assert_eq!(
        cuts(&layout(root, [0; 4]), [0; 4]),
        [(1, Way::Crosscut, 495, 495, 3), (1, Way::Crosscut, 500, 998, 2)]
    );
}

#[test]
fn no_cut_follows_a_piece_that_ends_at_the_edge() {
    let root = cut(1000, 0, Way::Crosscut, vec![piece(497, 0, 0), piece(500, 0, 0)]);
    assert_eq!(cuts(&layout(root, [0; 4]), [0; 4]), [(1, Way::Crosscut, 497, 497, 3)]);
    assert_eq!(cuts(&layout(piece(1000, 0, 0), [0; 4]), [0; 4]), []);
}

#[test]
fn edge_trim_moves_the_places_and_is_cut_first_at_the_near_end() {
    let trim = [10, 20, 0, 0];
    let root = cut(970, 0, Way::Crosscut, vec![piece(400, 0, 0), waste(567, 0)]);
    let layout = layout(root, trim);
    assert_eq!(layout.pieces[0].at, mm(10, 0));
    // The far end stays on the waste.
    assert_eq!(cuts(&layout, trim), [(0, Way::Crosscut, 10, 10, 3), (1, Way::Crosscut, 400, 410, 3)]);
}

#[test]
fn edge_trim_at_the_far_end_goes_with_the_last_piece() {
    let trim = [10, 20, 0, 0];
    let root = cut(970, 0, Way::Crosscut, vec![piece(467, 0, 0), piece(500, 0, 0)]);
    assert_eq!(
        cuts(&layout(root, trim), trim),
        [(0, Way::Crosscut, 10, 10, 3), (1, Way::Crosscut, 467, 477, 3), (1, Way::Crosscut, 500, 980, 3)]
    );
    let whole = layout(piece(970, 0, 0), trim);
    assert_eq!(cuts(&whole, trim), [(0, Way::Crosscut, 10, 10, 3), (1, Way::Crosscut, 970, 980, 3)]);
}

#[test]
fn short_pieces_are_ripped_as_one_blank() {
    let strip = cut(403, 60, Way::Crosscut, vec![piece(200, 60, 1), piece(200, 60, 1)]);
    let blank = cut(403, 89, Way::Rip, vec![strip, waste(403, 26)]);
    let root = cut(1000, 89, Way::Crosscut, vec![blank, piece(500, 89, 2), waste(91, 89)]);
    let layout = layout(root, [0; 4]);
    let order: Vec<_> = layout.pieces.iter().map(|piece| (piece.part, piece.at)).collect();
    assert_eq!(order, [(2, mm(406, 0)), (1, mm(0, 0)), (1, mm(203, 0))]);
    assert_eq!(
        cuts(&layout, [0; 4]),
        [
            (1, Way::Crosscut, 403, 403, 3),
            (1, Way::Crosscut, 500, 906, 3),
            (2, Way::Rip, 60, 60, 3),
            (3, Way::Crosscut, 200, 200, 3),
        ]
    );
}

#[test]
fn a_sheet_loses_its_far_edge_only_where_a_piece_ends_there() {
    let trim = [5, 5, 5, 5];
    let strip = cut(990, 200, Way::Crosscut, vec![piece(887, 200, 0), waste(100, 200)]);
    let last = layout(cut(990, 490, Way::Rip, vec![strip, waste(990, 287)]), trim);
    assert_eq!(
        cuts(&last, trim),
        [
            (0, Way::Rip, 5, 5, 3),
            (0, Way::Crosscut, 5, 5, 3),
            (1, Way::Rip, 200, 205, 3),
            (2, Way::Crosscut, 887, 892, 3),
        ]
    );
    let full = layout(cut(990, 490, Way::Rip, vec![piece(990, 200, 0), waste(990, 287)]), trim);
    assert_eq!(
        cuts(&full, trim),
        [
            (0, Way::Rip, 5, 5, 3),
            (0, Way::Crosscut, 5, 5, 3),
            (0, Way::Crosscut, 990, 995, 3),
            (1, Way::Rip, 200, 205, 3),
        ]
    );
}

#[test]
fn trim_that_is_longer_than_the_saw_cuts_comes_off_strip_by_strip() {
    let trim = [5, 5, 5, 5];
    let strip = || cut(990, 200, Way::Crosscut, vec![piece(500, 200, 0), piece(487, 200, 1)]);
    let rows = vec![strip(), piece(990, 150, 2), offcut(990, 134)];
    let sheet = layout(cut(990, 490, Way::Rip, rows), trim);
    let short = |most| Setup { longest: [Some(Length::mm(most)), None], ..setup(trim) };
    let cuts = |most| -> Vec<_> {
        let told = |cut: Cut<'_>| (cut.way, whole(cut.setting), whole(cut.size[1]), cut.guide == Guide::Line);
        sheet.cuts(short(most)).map(told).collect()
    };
    // The lower edge is off, the upper one is still on when the ends are crosscut.
    assert_eq!(cuts(495)[1..3], [(Way::Crosscut, 5, 495, true), (Way::Crosscut, 990, 495, true)]);
    assert_eq!(
        cuts(494),
        [
            (Way::Rip, 5, 500, true),
            (Way::Rip, 200, 495, false),
            (Way::Rip, 150, 292, false),
            (Way::Crosscut, 5, 200, true),
            (Way::Crosscut, 500, 200, false),
            (Way::Crosscut, 487, 200, false),
            (Way::Crosscut, 5, 150, true),
            (Way::Crosscut, 990, 150, false),
            // What is kept is clean at the near end as well.
            (Way::Crosscut, 5, 139, true),
        ]
    );
    // Not where that leaves the rips too long; and the far end comes off for them as well.
    let rips = |most| {
        let rows = vec![piece(500, 200, 0), waste(487, 200)];
        let sheet =
            layout(cut(990, 490, Way::Rip, vec![cut(990, 200, Way::Crosscut, rows), waste(990, 287)]), trim);
        let setup = Setup { longest: [Some(Length::mm(494)), Some(Length::mm(most))], ..setup(trim) };
        let lengths: Vec<_> = sheet.cuts(setup).map(|cut| (cut.way, whole(cut.size[0]))).collect();
        lengths
    };
    let (rip, crosscut) = (Way::Rip, Way::Crosscut);
    assert_eq!(rips(1000), [(rip, 1000), (rip, 1000), (crosscut, 1000), (crosscut, 995)]);
    assert_eq!(rips(995), [(rip, 1000), (crosscut, 1000), (rip, 995), (crosscut, 995)]);
    assert_eq!(rips(990), [(rip, 1000), (crosscut, 1000), (crosscut, 995), (rip, 990), (crosscut, 990)]);
    // Columns are ripped clean one by one.
    let sheet = layout(cut(990, 490, Way::Crosscut, vec![piece(300, 490, 0), offcut(687, 490)]), trim);
    let short = Setup { longest: [None, Some(Length::mm(999))], ..setup(trim) };
    let told = |cut: Cut<'_>| (cut.way, whole(cut.setting), whole(cut.size[0]));
    let cuts: Vec<_> = sheet.cuts(short).map(told).collect();
    assert_eq!(
        cuts,
        [(crosscut, 5, 1000), (crosscut, 300, 995), (rip, 5, 300), (rip, 490, 300), (rip, 5, 692)]
    );
}

#[test]
fn the_blade_stands_beyond_the_line_but_for_trim_at_the_reference_corner() {
    let trim = [5, 5, 5, 5];
    let beyond = |root| {
        let layout = layout(root, trim);
        layout.cuts(setup(trim)).map(|cut| cut.kerf_beyond).collect::<Vec<_>>()
    };
    // Near edge, near end, far end, rip.
    assert_eq!(
        beyond(cut(990, 490, Way::Rip, vec![piece(990, 200, 0), waste(990, 287)])),
        [false, false, true, true]
    );
    // Near edge, near end, and the two far trims that hang on the only piece.
    assert_eq!(beyond(piece(990, 490, 0)), [false, false, true, true]);
}

#[test]
fn what_is_left_whole_needs_no_cut() {
    assert_eq!(cuts(&layout(offcut(970, 0), [10, 20, 0, 0]), [10, 20, 0, 0]), []);
}

#[test]
fn a_tree_that_breaks_every_rule_is_walked_without_panic() {
    let huge = Length::from_ticks(i64::MAX);
    let tiny = Length::from_ticks(i64::MIN);
    let bad = |size, kind| Node { size, kind };
    let leaf = bad([huge, tiny], Kind::Piece { part: usize::MAX, turned: true });
    let kind =
        Kind::Cut { way: Way::Rip, children: vec![leaf.clone(), bad([tiny, huge], Kind::Waste), leaf] };
    let setup =
        Setup { trim: [huge, tiny, huge, huge], kerf: huge, reach: Some(tiny), longest: [Some(tiny); 2] };
    let layout = Layout::new(usize::MAX, 0, bad([huge, huge], kind), setup);
    assert_eq!(layout.pieces.len(), 2);
    for reach in [None, Some(tiny), Some(Length::ZERO), Some(huge)] {
        assert!(layout.cuts(Setup { trim: [huge; 4], kerf: tiny, reach, longest: [reach; 2] }).count() <= 8);
    }
}
