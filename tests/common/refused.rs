//! One sound plan, and a table of plans that differ from it in one thing each and must be refused.
//!
//! The sound plan has boards of two lengths, one of them scarce, end trim, kerf, a ripped blank, short pieces ripped
//! as one blank, a tail thinner than the kerf, offcuts, an optional part not made, and a sheet with strips, a
//! trimming cut and all four edges trimmed. Both groups carry a certificate; that of the boards has two leaves.

use nest_core::model::{Batch, FirstCut, Part, PartGrain, Shop, Stages, Stock};
use nest_core::plan::{
    Certificate, GroupClaim, Kind, Layout, Leaf, Node, Plan, Reason, StockValue, UseBound, Way,
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
            StockValue { stock: 0, value: 2215, reason: Reason::Lengths },
            StockValue { stock: 1, value: 1615, reason: Reason::Lengths },
        ],
    };
    Certificate { leaves: vec![leaf(0, Some(0)), leaf(1, None)] }
}

/// Prices are areas with kerf.
fn sheets() -> Certificate {
    Certificate {
        leaves: vec![Leaf {
            bounds: vec![],
            prices: vec![(4, 703 * 403), (5, 503 * 303)],
            values: vec![StockValue { stock: 2, value: 2423 * 1203, reason: Reason::Area }],
        }],
    }
}

fn layout(stock: usize, root: Node) -> Layout {
    let trim = if stock == 2 { [10; 4] } else { [10, 10, 0, 0] };
    Layout::new(stock, 1, root, trim.map(Length::mm), Length::mm(KERF))
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
    let last = Node { size: [Length::mm(2420), Length::mm(794) - width], kind: Kind::Waste };
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
    let mut all = layouts();
    all.extend(trees());
    all.extend(pieces());
    all.extend(saws());
    all.extend(counts());
    all.extend(claims());
    all
}

fn row(name: &'static str, faults: &'static [&'static str], apply: fn(&mut Batch, &mut Plan)) -> Tampering {
    Tampering { name, apply, faults }
}

fn layouts() -> Vec<Tampering> {
    vec![
        row("stock that does not exist", &["NoStock", "Unplaced"], |_, plan| plan.layouts[0].stock = 3),
        row("stock index out of all range", &["NoStock", "Unplaced"], |_, plan| {
            plan.layouts[0].stock = usize::MAX;
        }),
        row("no copies", &["NoCopies", "Unplaced"], |_, plan| plan.layouts[0].copies = 0),
        row("layout without a piece", &["NoPieces"], |_, plan| {
            plan.layouts.push(layout(0, offcut(2380, 89)));
        }),
        row("layout into the edge trim", &["RootSize"], |_, plan| {
            replant(plan, 0, crosscut(2400, 89, vec![piece(800, 89, 0), piece(800, 89, 0), offcut(794, 89)]));
        }),
        row("layout shorter than its stock", &["RootSize"], |_, plan| {
            replant(plan, 0, crosscut(2379, 89, vec![piece(800, 89, 0), piece(800, 89, 0), offcut(773, 89)]));
        }),
        row("layout wider than its stock", &["RootSize"], |_, plan| {
            let strip = crosscut(2420, 400, vec![side(), side(), side(), waste(311, 400)]);
            let backs = at(&mut plan.layouts[3].root, &[1]).clone();
            replant(plan, 3, rip(2420, 1220, vec![strip, backs, offcut(2420, 414)]));
        }),
        row("layout of one board cut from another", &["RootSize"], |_, plan| {
            let root = plan.layouts[1].root.clone();
            plan.layouts[1] = layout(1, root);
        }),
    ]
}

fn trees() -> Vec<Tampering> {
    vec![
        row("kerf forgotten", &["Overfull"], |_, plan| {
            prune(plan, 0, |root| at(root, &[2]).size[0] = Length::mm(780));
        }),
        row("one kerf forgotten", &["Overfull"], |_, plan| {
            prune(plan, 0, |root| at(root, &[2]).size[0] = Length::mm(777));
        }),
        row("one tick too much", &["Overfull"], |_, plan| {
            prune(plan, 0, |root| at(root, &[2]).size[0] += TICK);
        }),
        row("one kerf too many before a leftover", &["SplitsLeftover"], |_, plan| {
            prune(plan, 0, |root| at(root, &[2]).size[0] -= TICK);
        }),
        row("gap wider than a kerf", &["Underfull", "SplitsLeftover"], |_, plan| {
            prune(plan, 0, |root| at(root, &[2]).size[0] -= Length::mm(KERF) + TICK);
        }),
        row("tail wider than a kerf", &["Underfull"], |_, plan| {
            widen_the_cleats(plan, 813);
        }),
        row("leftover forgotten", &["Underfull"], |_, plan| {
            replant(plan, 0, crosscut(2380, 89, vec![piece(800, 89, 0), piece(800, 89, 0)]));
        }),
        row("size below nothing", &["NoSize", "Underfull", "SplitsLeftover"], |_, plan| {
            prune(plan, 0, |root| at(root, &[2]).size[0] = Length::mm(-774));
        }),
        row("size of nothing", &["NoSize", "Underfull", "SplitsLeftover"], |_, plan| {
            prune(plan, 0, |root| at(root, &[2]).size[0] = Length::ZERO);
        }),
        row("sizes whose sum wraps around", &["Overfull", "PieceSize", "Pieces", "TooMany"], |_, plan| {
            prune(plan, 0, |root| {
                let huge = Node { size: [Length::from_ticks(i64::MAX), Length::mm(89)], ..piece(1, 89, 0) };
                let Kind::Cut { children, .. } = &mut root.kind else { panic!("not divided") };
                children.extend([huge.clone(), huge]);
            });
        }),
        row("cut into nothing", &["NoChildren", "NoPieces", "Unplaced"], |_, plan| {
            replant(plan, 0, crosscut(2380, 89, vec![]));
        }),
        row("cut that does not go through", &["NotThrough"], |_, plan| {
            prune(plan, 0, |root| at(root, &[2]).size[1] -= TICK);
        }),
        row("strip wider than its blank", &["NotThrough"], |_, plan| {
            prune(plan, 3, |root| at(root, &[2]).size[0] += TICK);
        }),
        row("leftover cut in two", &["SplitsLeftover"], |_, plan| {
            replant(
                plan,
                0,
                crosscut(
                    2380,
                    89,
                    vec![piece(800, 89, 0), piece(800, 89, 0), waste(171, 89), offcut(600, 89)],
                ),
            );
        }),
        row("leftover divided for no piece", &["SplitsLeftover"], |_, plan| {
            prune(plan, 0, |root| {
                *at(root, &[2]) = crosscut(774, 89, vec![offcut(700, 89), waste(71, 89)]);
            });
        }),
        row("offcut shorter than worth keeping", &["WrongMark"], |_, plan| {
            prune(plan, 1, |root| at(root, &[2]).kind = Kind::Offcut);
        }),
        row("strip too thin to keep", &["WrongMark"], |_, plan| {
            prune(plan, 1, |root| at(root, &[1, 1]).kind = Kind::Offcut);
        }),
        row("waste that is worth keeping", &["WrongMark"], |_, plan| {
            prune(plan, 0, |root| at(root, &[2]).kind = Kind::Waste);
        }),
        row("sheet waste that is worth keeping", &["WrongMark"], |_, plan| {
            prune(plan, 3, |root| at(root, &[2]).kind = Kind::Waste);
        }),
        row("tree without an end", &["TooDeep", "NoPieces", "Pieces", "Unplaced"], |_, plan| {
            let nest = |node, _| crosscut(2380, 89, vec![node]);
            replant(plan, 0, (0..500).fold(piece(800, 89, 0), nest));
        }),
    ]
}

fn pieces() -> Vec<Tampering> {
    vec![
        row("part that does not exist", &["NoPart", "Unplaced"], |_, plan| {
            prune(plan, 0, |root| at(root, &[0]).kind = Kind::Piece { part: 6, turned: false });
        }),
        row("part index out of all range", &["NoPart", "Unplaced"], |_, plan| {
            prune(plan, 0, |root| at(root, &[0]).kind = Kind::Piece { part: usize::MAX, turned: false });
        }),
        row("part of another material", &["ForeignPart", "TooMany", "Unplaced"], |_, plan| {
            prune(plan, 0, |root| at(root, &[0]).kind = Kind::Piece { part: 4, turned: false });
        }),
        row("piece turned in a board", &["WrongWay"], |_, plan| {
            prune(plan, 0, |root| at(root, &[0]).kind = Kind::Piece { part: 0, turned: true });
        }),
        row("piece across the grain of a sheet", &["WrongWay"], |_, plan| {
            prune(plan, 3, |root| at(root, &[0, 0]).kind = Kind::Piece { part: 4, turned: true });
        }),
        row("turned piece with the sizes of a straight one", &["PieceSize"], |_, plan| {
            prune(plan, 3, |root| at(root, &[1, 1, 0]).kind = Kind::Piece { part: 5, turned: true });
        }),
        row("piece one tick short", &["PieceSize"], |_, plan| {
            prune(plan, 0, |root| {
                at(root, &[0]).size[0] -= TICK;
                at(root, &[2]).size[0] += TICK;
            });
        }),
        row("piece one tick long", &["PieceSize"], |_, plan| {
            prune(plan, 0, |root| {
                at(root, &[0]).size[0] += TICK;
                at(root, &[2]).size[0] -= TICK;
            });
        }),
        row("piece left at the width of its board", &["PieceSize"], |_, plan| {
            prune(plan, 1, |root| *at(root, &[1]) = piece(1000, 89, 2));
        }),
        row("piece ripped one tick narrow", &["PieceSize"], |_, plan| {
            prune(plan, 1, |root| {
                at(root, &[1, 0]).size[1] -= TICK;
                at(root, &[1, 1]).size[1] += TICK;
            });
        }),
        row("piece missing in the list", &["Pieces"], |_, plan| {
            plan.layouts[0].pieces.pop();
        }),
        row("piece twice in the list", &["Pieces"], |_, plan| {
            let piece = plan.layouts[0].pieces[0].clone();
            plan.layouts[0].pieces.push(piece);
        }),
        row("list without pieces", &["Pieces"], |_, plan| plan.layouts[0].pieces.clear()),
        row("part of a listed piece changed", &["Pieces"], |_, plan| plan.layouts[0].pieces[0].part = 3),
        row("place of a listed piece changed along", &["Pieces"], |_, plan| {
            plan.layouts[0].pieces[1].at[0] += TICK;
        }),
        row("place of a listed piece changed across", &["Pieces"], |_, plan| {
            plan.layouts[0].pieces[1].at[1] += TICK;
        }),
        row("place measured from the clean edge", &["Pieces"], |_, plan| {
            for piece in &mut plan.layouts[0].pieces {
                piece.at[0] -= Length::mm(10);
            }
        }),
        row("length of a listed piece changed", &["Pieces"], |_, plan| {
            plan.layouts[0].pieces[1].size[0] -= TICK;
        }),
        row("width of a listed piece changed", &["Pieces"], |_, plan| {
            plan.layouts[0].pieces[1].size[1] = Length::from_ticks(i64::MIN);
        }),
        row("listed piece turned", &["Pieces"], |_, plan| plan.layouts[3].pieces[4].turned = true),
        row("two listed pieces in one place", &["Pieces"], |_, plan| {
            let first = plan.layouts[0].pieces[0].at;
            plan.layouts[0].pieces[1].at = first;
        }),
    ]
}

fn saws() -> Vec<Tampering> {
    vec![
        row("short piece ripped alone", &["ShortRip"], |_, plan| {
            let cleat = rip(200, 89, vec![piece(200, 60, 1), waste(200, 26)]);
            let others = crosscut(606, 60, vec![piece(200, 60, 1); 3]);
            let others = rip(606, 89, vec![others, waste(606, 26)]);
            replant(plan, 2, crosscut(1780, 89, vec![cleat, others, offcut(968, 89)]));
        }),
        row("one stage too many", &["Stages"], |_, plan| {
            let strip = crosscut(1214, 300, vec![piece(500, 300, 5), offcut(711, 300)]);
            prune(plan, 3, |root| {
                let Kind::Cut { children, .. } = &mut at(root, &[1]).kind else { panic!("not divided") };
                children.truncate(2);
                children.push(rip(1214, 400, vec![strip, waste(1214, 97)]));
            });
        }),
        row("trimming cut where the shop wants none", &["Stages"], |batch, _| {
            batch.shop.sheets.trimming = false;
        }),
        row("trimming cut that frees two pieces", &["Stages"], |_, plan| {
            let sides = at(&mut plan.layouts[3].root, &[0]).clone();
            let side = rip(700, 603, vec![side(), waste(700, 200)]);
            // The second piece is hidden in a level without a cut.
            let backs = vec![piece(500, 300, 5), crosscut(500, 300, vec![piece(500, 300, 5)])];
            let strip = crosscut(2420, 603, vec![side, rip(500, 603, backs), offcut(1214, 603)]);
            replant(plan, 3, rip(2420, 1200, vec![sides, strip, waste(2420, 191)]));
        }),
        row("first cut across", &["FirstCut"], |batch, plan| {
            batch.shop.sheets.longest_crosscut = None;
            let column = || rip(700, 1200, vec![side(), side(), offcut(700, 394)]);
            let backs = rip(500, 1200, vec![piece(500, 300, 5), piece(500, 300, 5), waste(500, 594)]);
            replant(plan, 3, crosscut(2420, 1200, vec![column(), column(), backs, offcut(511, 1200)]));
        }),
        row("crosscut longer than the saw takes", &["TooLong"], |_, plan| {
            let column = rip(700, 1000, vec![side(), offcut(700, 597)]);
            let strip = crosscut(2420, 1000, vec![column, offcut(1717, 1000)]);
            replant(plan, 3, rip(2420, 1200, vec![strip, waste(2420, 197)]));
            plan.unplaced = vec![(3, 2), (4, 3), (5, 2)];
        }),
        row("rip longer than the saw takes", &["TooLong"], |batch, _| {
            batch.shop.sheets.longest_rip = Some(Length::mm(2420) - TICK);
        }),
        row("rip beyond the fence from both sides", &["BeyondFence"], |_, plan| {
            *plan = with_first_rip_at(Length::mm(550));
        }),
    ]
}

fn counts() -> Vec<Tampering> {
    vec![
        row("part made too often", &["TooMany"], |_, plan| plan.layouts[0].copies = 2),
        row("copies without measure", &["TooMany"], |_, plan| plan.layouts[0].copies = u32::MAX),
        row("layout forgotten", &["Unplaced"], |_, plan| {
            plan.layouts.remove(0);
        }),
        row("part left over and not named", &["Unplaced"], |_, plan| plan.unplaced.clear()),
        row("one too few named as left over", &["Unplaced"], |_, plan| plan.unplaced = vec![(3, 1)]),
        row("one too many named as left over", &["Unplaced"], |_, plan| plan.unplaced = vec![(3, 3)]),
        row("part made and named as left over", &["Unplaced"], |_, plan| {
            plan.unplaced = vec![(0, 1), (3, 2)];
        }),
        row("part left over that does not exist", &["UnplacedUnknown"], |_, plan| plan.unplaced.push((6, 1))),
        row("part left over out of all range", &["UnplacedUnknown"], |_, plan| {
            plan.unplaced.push((usize::MAX, u32::MAX));
        }),
        row("none of a part left over", &["UnplacedOrder"], |_, plan| plan.unplaced.insert(0, (0, 0))),
        row("part left over twice", &["UnplacedOrder"], |_, plan| plan.unplaced = vec![(3, 1), (3, 1)]),
        row("parts left over out of order", &["UnplacedOrder"], |_, plan| {
            plan.layouts.remove(0);
            plan.unplaced = vec![(3, 2), (0, 2)];
        }),
        row("more stock than there is", &["Supply"], |_, plan| {
            plan.layouts[0] = layout(1, crosscut(1780, 89, vec![piece(800, 89, 0), offcut(977, 89)]));
            plan.layouts[0].copies = 2;
        }),
    ]
}

fn claims() -> Vec<Tampering> {
    vec![
        row("group without a claim", &["Groups"], |_, plan| {
            plan.groups.pop();
        }),
        row("claim without a group", &["Groups"], |_, plan| plan.groups.push(GroupClaim::default())),
        row("floor above what is proven", &["FloorTooHigh"], |_, plan| plan.groups[0].floor = 1001),
        row("floor without measure", &["FloorTooHigh"], |_, plan| plan.groups[0].floor = i128::MAX),
        row("floor below nothing", &["FloorTooHigh"], |_, plan| plan.groups[0].floor = -1),
        row("floor without certificate", &["FloorUnproven"], |_, plan| plan.groups[0].certificate = None),
        row("floor below nothing without certificate", &["FloorUnproven"], |_, plan| {
            plan.groups[1] = GroupClaim { floor: i128::MIN, certificate: None };
        }),
        row("certificate of another group", &["Certificate/ForeignStock"], |_, plan| {
            plan.groups[1].certificate = plan.groups[0].certificate.clone();
        }),
        row("certificate without leaves", &["Certificate/NoLeaf"], |_, plan| {
            plan.groups[0].certificate = Some(Certificate::default());
        }),
        row("leaves without number", &["Certificate/TooLarge"], |_, plan| {
            plan.groups[0].certificate = Some(Certificate { leaves: vec![Leaf::default(); 4097] });
        }),
        row("price below nothing", &["Certificate/NegativePrice"], |_, plan| leaf(plan, 0).prices[1].1 = -1),
        row("price of a part of another group", &["Certificate/ForeignPart"], |_, plan| {
            leaf(plan, 1).prices.push((4, 1));
        }),
        row("price of a part that does not exist", &["Certificate/ForeignPart"], |_, plan| {
            leaf(plan, 1).prices.push((usize::MAX, 1));
        }),
        row("price of a part twice", &["Certificate/PartTwice"], |_, plan| leaf(plan, 0).prices.push((0, 1))),
        row("price of an optional part", &["Certificate/OptionalPriced"], |_, plan| {
            leaf(plan, 0).prices.push((3, 1));
        }),
        row("price raised", &["Certificate/ValueTooSmall"], |_, plan| leaf(plan, 0).prices[0].1 += 1),
        row("prices without measure", &["Certificate/TooLarge"], |_, plan| {
            for price in &mut leaf(plan, 0).prices {
                price.1 = i64::MAX;
            }
            for value in &mut leaf(plan, 0).values {
                value.value = i64::MAX;
            }
        }),
        row("value one too small", &["Certificate/ValueTooSmall"], |_, plan| {
            leaf(plan, 0).values[0].value -= 1
        }),
        row("value of the short board too small", &["Certificate/ValueTooSmall"], |_, plan| {
            leaf(plan, 1).values[1].value -= 1;
        }),
        row("value of a sheet too small", &["Certificate/ValueTooSmall"], |_, plan| {
            sheet_leaf(plan).values[0].value -= 1;
        }),
        row("value below nothing", &["Certificate/NegativeValue"], |_, plan| {
            leaf(plan, 0).values[0].value = i64::MIN;
        }),
        row("stock without a value", &["Certificate/NoValue"], |_, plan| {
            leaf(plan, 0).values.pop();
        }),
        row("stock with two values", &["Certificate/StockTwice"], |_, plan| {
            let first = leaf(plan, 0).values[0];
            leaf(plan, 0).values.push(first);
        }),
        row("value of stock of another group", &["Certificate/ForeignStock"], |_, plan| {
            leaf(plan, 0).values[0].stock = 2;
        }),
        row("value of stock that does not exist", &["Certificate/ForeignStock"], |_, plan| {
            leaf(plan, 0).values[0].stock = usize::MAX;
        }),
        row("lengths where parts lie side by side", &["Certificate/SideBySide"], |_, plan| {
            sheet_leaf(plan).values[0] = StockValue { stock: 2, value: i64::MAX, reason: Reason::Lengths };
        }),
        row("value by lengths called one by area", &["Certificate/ValueTooSmall"], |_, plan| {
            leaf(plan, 0).values[0].reason = Reason::Area;
        }),
        row("last leaf missing", &["Certificate/Gap"], |_, plan| {
            plan.groups[0].certificate.as_mut().unwrap().leaves.pop();
        }),
        row("first leaf missing", &["Certificate/Gap"], |_, plan| {
            plan.groups[0].certificate.as_mut().unwrap().leaves.remove(0);
        }),
        row("gap between leaves", &["Certificate/Gap"], |_, plan| leaf(plan, 1).bounds[0].least = 2),
        row("leaves that end too early", &["Certificate/Gap"], |_, plan| {
            leaf(plan, 1).bounds[0].most = Some(1)
        }),
        row("limit without room", &["Certificate/EmptyBox"], |_, plan| {
            leaf(plan, 1).bounds[0] = UseBound { stock: 1, least: 2, most: Some(1) };
        }),
        row("two limits for one stock", &["Certificate/StockTwice"], |_, plan| {
            let first = leaf(plan, 1).bounds[0];
            leaf(plan, 1).bounds.push(first);
        }),
        row("limit for stock of another group", &["Certificate/ForeignStock"], |_, plan| {
            leaf(plan, 1).bounds[0].stock = 2;
        }),
    ]
}
