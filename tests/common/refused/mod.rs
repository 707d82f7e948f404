//! One sound plan, and a table of plans that differ from it in one thing each and must be refused.
//!
//! The sound plan has boards of two lengths, one of them scarce, end trim, kerf, a ripped blank, short pieces ripped
//! as one blank, a tail thinner than the kerf, offcuts, an optional part not made, and a sheet with strips, a
//! trimming cut and all four edges trimmed. Both groups carry a certificate; that of the boards has two leaves.

pub mod proofs;
pub mod rules;
pub mod shares;
mod trees;

use nest_core::model::{Batch, FirstCut, MatchWay, Part, PartGrain, Shop, Stages, Stock};
use nest_core::plan::{
    Certificate, Dual, GroupClaim, Kind, Layout, Leaf, Node, PartShare, Plan, Reason, Setup, StockValue,
    UseBound, Way,
};
use nest_core::units::{Length, Money, Rate, System};

/// A plan that must be refused.
pub struct Tampering {
    /// What was done, in words; unique, fit for a file name once blanks are replaced.
    pub name: &'static str,
    /// Does it.
    pub apply: fn(&mut Batch, &mut Plan),
    /// The faults that must be found, by the names of their variants, refusals as `Certificate/...`.
    pub faults: &'static [&'static str],
}

const KERF: i64 = 3;

fn mm(along: i64, across: i64) -> [Length; 2] {
    [Length::mm(along), Length::mm(across)]
}

fn piece(along: i64, across: i64, part: usize) -> Node {
    Node { size: mm(along, across), kind: Kind::Piece { part, turned: false } }
}

fn offcut(along: i64, across: i64) -> Node {
    Node { size: mm(along, across), kind: Kind::Offcut }
}

fn waste(along: i64, across: i64) -> Node {
    Node { size: mm(along, across), kind: Kind::Waste }
}

fn crosscut(along: i64, across: i64, children: Vec<Node>) -> Node {
    Node { size: mm(along, across), kind: Kind::Cut { way: Way::Crosscut, children } }
}

fn rip(along: i64, across: i64, children: Vec<Node>) -> Node {
    Node { size: mm(along, across), kind: Kind::Cut { way: Way::Rip, children } }
}

/// The question.
pub fn batch() -> Batch {
    let mut shop = Shop::defaults(System::Metric);
    shop.boards.kerf = Length::mm(KERF);
    shop.boards.trim = [Length::mm(10); 2];
    shop.boards.keep = Length::mm(600);
    shop.boards.shortest_rip = Length::mm(300);
    shop.sheets.kerf = Length::mm(KERF);
    shop.sheets.trim = [Length::mm(10); 4];
    shop.sheets.keep = [Length::mm(600), Length::mm(300)];
    shop.sheets.stages = Stages::Limited(2);
    shop.sheets.trimming = true;
    shop.sheets.first_cut = FirstCut::Rip;
    shop.sheets.longest_rip = Some(Length::mm(2500));
    shop.sheets.longest_crosscut = Some(Length::mm(900));
    shop.sheets.fence_reach = Some(Length::mm(500));
    let part = |name: &str, material: &str, length, width, qty| Part {
        name: name.into(),
        material: material.into(),
        length: Length::mm(length),
        width: Some(Length::mm(width)),
        qty,
        ..Part::default()
    };
    let stock = |name: &str, material: &str, length, width, cents, qty| Stock {
        name: name.into(),
        material: material.into(),
        length: Length::mm(length),
        width: Some(Length::mm(width)),
        price: Some(Rate::from(Money::from_minor(cents))),
        qty,
        ..Stock::default()
    };
    Batch {
        parts: vec![
            part("shelf", "pine", 800, 89, 3),
            part("cleat", "pine", 200, 60, 4),
            part("rail", "pine", 1000, 60, 1),
            Part { optional: true, ..part("peg", "pine", 100, 89, 2) },
            Part { grain: Some(PartGrain::Length), ..part("side", "birch", 700, 400, 4) },
            Part { grain: Some(PartGrain::Any), ..part("back", "birch", 500, 300, 2) },
        ],
        stock: vec![
            stock("long", "pine", 2400, 89, 500, None),
            stock("short", "pine", 1800, 89, 300, Some(2)),
            stock("sheet", "birch", 2440, 1220, 4000, None),
        ],
        shop,
    }
}

/// A plan for it that is sound.
pub fn plan() -> Plan {
    let rail = rip(1000, 89, vec![piece(1000, 60, 2), waste(1000, 26)]);
    // Four cleats and three kerfs are 809: the last cut takes 1 mm, all that is left of the strip.
    let cleats = crosscut(810, 60, vec![piece(200, 60, 1); 4]);
    let cleats = rip(810, 89, vec![cleats, waste(810, 26)]);
    let back = || rip(500, 400, vec![piece(500, 300, 5), waste(500, 97)]);
    let sides = crosscut(2420, 400, vec![side(), side(), side(), waste(311, 400)]);
    let backs = crosscut(2420, 400, vec![side(), back(), back(), offcut(711, 400)]);
    Plan {
        layouts: vec![
            layout(0, crosscut(2380, 89, vec![piece(800, 89, 0), piece(800, 89, 0), offcut(774, 89)])),
            layout(0, crosscut(2380, 89, vec![piece(800, 89, 0), rail, waste(574, 89)])),
            layout(1, crosscut(1780, 89, vec![cleats, offcut(967, 89)])),
            layout(2, rip(2420, 1200, vec![sides, backs, offcut(2420, 394)])),
        ],
        unplaced: vec![(3, 2)],
        groups: vec![
            GroupClaim { floor: 1000, certificate: Some(boards()) },
            GroupClaim { floor: 4000, certificate: Some(sheets()) },
        ],
    }
}

fn side() -> Node {
    piece(700, 400, 4)
}

/// Prices are lengths with kerf. Without the short board nothing is cheaper than two long ones; with it, than one
/// long and two short ones.
fn boards() -> Certificate {
    let leaf = |least, most| Leaf {
        bounds: vec![UseBound { stock: 1, least, most }],
        prices: vec![(0, 803), (1, 203), (2, 1003)],
        values: vec![
            StockValue { stock: 0, piece: None, value: 2215, reason: Reason::Lengths },
            StockValue { stock: 1, piece: None, value: 1615, reason: Reason::Lengths },
        ],
        shares: vec![],
    };
    Certificate { leaves: vec![leaf(0, Some(0)), leaf(1, None)], matched: false }
}

/// Prices are areas with kerf.
fn sheets() -> Certificate {
    Certificate {
        leaves: vec![Leaf {
            bounds: vec![],
            prices: vec![(4, 703 * 403), (5, 503 * 303)],
            values: vec![StockValue { stock: 2, piece: None, value: 2423 * 1203, reason: Reason::Area }],
            shares: vec![],
        }],
        matched: false,
    }
}

fn layout(stock: usize, root: Node) -> Layout {
    let trim = if stock == 2 { [10; 4] } else { [10, 10, 0, 0] };
    let trim = trim.map(Length::mm);
    Layout::new(stock, 1, root, Setup { trim, kerf: Length::mm(KERF), reach: None, longest: [None; 2] })
}

/// Replaces the tree of a layout and lists its pieces anew.
fn replant(plan: &mut Plan, index: usize, root: Node) {
    plan.layouts[index] = layout(plan.layouts[index].stock, root);
}

/// Changes the tree of a layout in place and lists its pieces anew.
fn prune(plan: &mut Plan, index: usize, change: impl FnOnce(&mut Node)) {
    let mut root = plan.layouts[index].root.clone();
    change(&mut root);
    replant(plan, index, root);
}

/// The rectangle reached by going from child to child.
fn at<'a>(node: &'a mut Node, path: &[usize]) -> &'a mut Node {
    path.iter().fold(node, |node, &child| match &mut node.kind {
        Kind::Cut { children, .. } => &mut children[child],
        _ => panic!("a leaf has no children"),
    })
}

/// The plan with a strip of its sheet ripped off first and kept, for want of which most birch parts are not made.
pub fn with_first_rip_at(width: Length) -> Plan {
    let mut plan = plan();
    let sides = at(&mut plan.layouts[3].root, &[0]).clone();
    let first = Node { size: [Length::mm(2420), width], kind: Kind::Offcut };
    let rest = Length::mm(794) - width;
    let kind = if rest >= Length::mm(300) { Kind::Offcut } else { Kind::Waste };
    let last = Node { size: [Length::mm(2420), rest], kind };
    replant(&mut plan, 3, rip(2420, 1200, vec![first, sides, last]));
    plan.unplaced = vec![(3, 2), (4, 1), (5, 2)];
    plan
}

/// Makes the blank of the four cleats so long; they and their kerfs need 809.
pub fn widen_the_cleats(plan: &mut Plan, length: i64) {
    let cleats = crosscut(length, 60, vec![piece(200, 60, 1); 4]);
    let cleats = rip(length, 89, vec![cleats, waste(length, 26)]);
    replant(plan, 2, crosscut(1780, 89, vec![cleats, offcut(1777 - length, 89)]));
}

fn leaf(plan: &mut Plan, leaf: usize) -> &mut Leaf {
    &mut plan.groups[0].certificate.as_mut().unwrap().leaves[leaf]
}

fn sheet_leaf(plan: &mut Plan) -> &mut Leaf {
    &mut plan.groups[1].certificate.as_mut().unwrap().leaves[0]
}

const TICK: Length = Length::from_ticks(1);

/// Everything that must be refused.
pub fn tamperings() -> Vec<Tampering> {
    [
        trees::layouts,
        trees::trees,
        trees::pieces,
        rules::saws,
        rules::counts,
        rules::strips,
        proofs::claims,
        proofs::pairs,
        proofs::sets,
        shares::shares,
    ]
    .into_iter()
    .flat_map(|table| table())
    .collect()
}

fn row(name: &'static str, faults: &'static [&'static str], apply: fn(&mut Batch, &mut Plan)) -> Tampering {
    Tampering { name, apply, faults }
}
