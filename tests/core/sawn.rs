//! Laws of the check on layouts that a saw could make and on plans that nobody should see.
//!
//! Layouts are grown at random by cutting as a person cuts; each one must be accepted, and refused as soon as one
//! number of its tree is off by a tick. Plans wrecked at random may be refused or not, but nothing may panic.

use nest_core::check::check;
use nest_core::cost::{bill, shares};
use nest_core::model::{Batch, CheckedBatch, FirstCut, Form, Part, PartGrain, Shop, Stages, Stock};
use nest_core::plan::{
    GroupClaim, Kind, Layout, Node, PartShare, PlacedPiece, Plan, Reason, Score, Setup, StockValue, Tally,
    UseBound, Way, leftover,
};
use nest_core::units::{Length, Money, Rate, System};
use proptest::prelude::*;

use crate::refused;

/// A small generator, so that one number names a case.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let mixed = (self.0 ^ (self.0 >> 33)).wrapping_mul(0xff51_afd7_ed55_8ccd);
        (mixed >> 20) % sides
    }

    fn between(&mut self, low: i64, high: i64) -> i64 {
        low + self.roll((high - low + 1) as u64) as i64
    }
}

/// Grows a tree of cuts and the parts that come out of it.
struct Grower {
    dice: Dice,
    kerf: i64,
    parts: Vec<Part>,
}

const LEAST: i64 = 50 * Length::TICKS_PER_MM;

impl Grower {
    fn piece(&mut self, size: [Length; 2]) -> Node {
        let turned = self.dice.roll(3) == 0;
        let [length, width] = if turned { [size[1], size[0]] } else { size };
        let part = self.parts.len();
        self.parts.push(Part {
            name: format!("part {part}"),
            material: "ply".into(),
            length,
            width: Some(width),
            qty: 1,
            grain: Some(if turned { PartGrain::Width } else { PartGrain::Length }),
            ..Part::default()
        });
        Node { size, kind: Kind::Piece { part, turned } }
    }

    fn cut(&mut self, size: [Length; 2], way: Way, depth: usize, rest: &dyn Fn([Length; 2]) -> Node) -> Node {
        let axis = way.axis();
        let mut left = size[axis].ticks();
        let mut children = Vec::new();
        let other = if way == Way::Rip { Way::Crosscut } else { Way::Rip };
        for _ in 0..=self.dice.roll(3) {
            if left < LEAST {
                break;
            }
            // Now and then all there is, or all but a bit of dust.
            let dust = self.dice.between(0, self.kerf);
            let child = match self.dice.roll(5) {
                0 => left,
                1 if left - dust >= LEAST => left - dust,
                _ => self.dice.between(LEAST, left),
            };
            let mut part = size;
            part[axis] = Length::from_ticks(child);
            let deeper = depth > 0 && self.dice.roll(2) == 0;
            children.push(if deeper { self.cut(part, other, depth - 1, rest) } else { self.piece(part) });
            left -= child;
            if left <= self.kerf {
                return Node { size, kind: Kind::Cut { way, children } };
            }
            left -= self.kerf;
        }
        let mut last = size;
        last[axis] = Length::from_ticks(left);
        children.push(rest(last));
        if children.len() == 1 {
            return self.piece(size);
        }
        Node { size, kind: Kind::Cut { way, children } }
    }
}

fn sheet_shop() -> Shop {
    let mut shop = Shop::defaults(System::Metric);
    shop.sheets.trim = [10, 0, 5, 10].map(Length::mm);
    shop.sheets.stages = Stages::Any;
    shop.sheets.first_cut = FirstCut::Either;
    shop
}

/// A question and the layout that answers it.
pub fn grown(seed: u64) -> (CheckedBatch, Layout) {
    let shop = sheet_shop();
    let stock = |price| Stock {
        name: "sheet".into(),
        material: "ply".into(),
        form: Some(Form::Sheet),
        length: Length::mm(2440),
        width: Some(Length::mm(1220)),
        price: Some(price),
        ..Stock::default()
    };
    let stock = stock(Rate::from(Money::from_minor(5000)));
    let question = |parts| Batch { parts, stock: vec![stock.clone()], shop: shop.clone() }.check().unwrap();
    let any = Part {
        name: "any".into(),
        qty: 1,
        material: "ply".into(),
        length: Length::mm(10),
        ..Part::default()
    };
    let blank = question(vec![Part { width: Some(Length::mm(10)), ..any }]);
    let usable = blank.stock()[0].clone();
    let rest = |size| leftover(&shop, &usable, size);
    let mut grower = Grower { dice: Dice(seed), kerf: usable.kerf.ticks(), parts: Vec::new() };
    let way = if grower.dice.roll(2) == 0 { Way::Rip } else { Way::Crosscut };
    let root = grower.cut(usable.usable(), way, 3, &rest);
    let layout = Layout::new(0, 1, root, &usable);
    (question(grower.parts), layout)
}

fn alone(batch: &CheckedBatch, layout: Layout) -> Plan {
    Plan {
        layouts: vec![layout],
        unplaced: vec![],
        groups: vec![GroupClaim::default(); batch.groups().len()],
    }
}

/// All rectangles of a tree, for changing one.
fn nodes(root: &mut Node) -> Vec<*const Node> {
    let mut all = Vec::new();
    let mut todo = vec![&*root];
    while let Some(node) = todo.pop() {
        all.push(std::ptr::from_ref(node));
        if let Kind::Cut { children, .. } = &node.kind {
            todo.extend(children);
        }
    }
    all
}

/// Visits rectangle number `index` in the order of [`nodes`].
fn change(root: &mut Node, index: usize, with: impl FnOnce(&mut Node)) {
    let mut todo = vec![root];
    let mut seen = 0;
    while let Some(node) = todo.pop() {
        if seen == index {
            with(node);
            return;
        }
        seen += 1;
        if let Kind::Cut { children, .. } = &mut node.kind {
            todo.extend(children);
        }
    }
}

proptest! {
    #[test]
    fn what_a_saw_can_make_is_accepted(seed: u64) {
        let (batch, layout) = grown(seed);
        let checked = check(&batch, &alone(&batch, layout));
        prop_assert!(checked.is_ok(), "{:?}", checked);
    }

    #[test]
    fn one_tick_off_anywhere_is_refused(seed: u64, node: prop::sample::Index, axis in 0_usize..2, more: bool) {
        let (batch, mut layout) = grown(seed);
        let count = nodes(&mut layout.root).len();
        let tick = Length::from_ticks(if more { 1 } else { -1 });
        change(&mut layout.root, node.index(count), |node| node.size[axis] += tick);
        let stock = &batch.stock()[0];
        let layout = Layout::new(0, 1, layout.root, stock);
        prop_assert!(check(&batch, &alone(&batch, layout)).is_err());
    }

    #[test]
    fn amounts_of_a_plan_add_up_to_the_stock(seed: u64) {
        let (batch, layout) = grown(seed);
        let plan = alone(&batch, layout);
        let tally = Tally::of(&batch, &plan).groups[0];
        prop_assert_eq!(tally.parts + tally.offcuts + tally.waste + tally.dust, tally.opened);
        prop_assert!(tally.dust >= 0);
        prop_assert_eq!(tally.parts, tally.finished);
        prop_assert_eq!(shares(&batch, &plan, 0).iter().map(|share| share.cost).sum::<i128>(), 5000);
    }

    /// Kerfs of the cuts, each as long as what lies on the saw, are the dust and the trim that were reckoned
    /// from the tree: the list of cuts and the tree tell the same story.
    #[test]
    fn cuts_turn_to_dust_what_the_tree_leaves_out(seed: u64) {
        let (batch, layout) = grown(seed);
        let stock = batch.stock()[0].clone();
        // Without trim, so that no strip of it falls off beside the dust.
        let setup = Setup { kerf: stock.kerf, ..Setup::default() };
        let bare = Layout::new(0, 1, layout.root, setup);
        let dust: i128 = bare
            .cuts(setup)
            .map(|cut| i128::from(cut.kerf.ticks()) * i128::from(cut.size[1 - cut.way.axis()].ticks()))
            .sum();
        let plan = alone(&batch, bare);
        prop_assert_eq!(dust, Tally::of(&batch, &plan).groups[0].dust);
    }

    #[test]
    fn nothing_panics_on_a_wrecked_plan(seed: u64, blows in 1_usize..6) {
        let batch = refused::batch().check().unwrap();
        let mut plan = refused::plan();
        let mut dice = Dice(seed);
        for _ in 0..blows {
            wreck(&mut plan, &mut dice);
        }
        let _ = check(&batch, &plan);
        let _ = Tally::of(&batch, &plan).total();
        let _ = (bill(&batch, &plan, u32::MAX), shares(&batch, &plan, 0));
        for group in 0..3 {
            let _ = Score::of(&batch, group, &plan.layouts);
        }
    }
}

fn length(dice: &mut Dice) -> Length {
    Length::from_ticks(match dice.roll(8) {
        0 => i64::MAX,
        1 => i64::MIN,
        2 => 0,
        3 => -1,
        4 => 1 << 40,
        _ => dice.between(-1_000_000, 400_000_000),
    })
}

fn index(dice: &mut Dice) -> usize {
    if dice.roll(6) == 0 { usize::MAX } else { dice.roll(8) as usize }
}

fn number(dice: &mut Dice) -> i64 {
    match dice.roll(6) {
        0 => i64::MAX,
        1 => i64::MIN,
        2 => 0,
        _ => dice.between(-5, 5000),
    }
}

fn count(dice: &mut Dice) -> u64 {
    if dice.roll(5) == 0 { u64::MAX } else { dice.roll(4) }
}

/// Spoils one thing, anything.
fn wreck(plan: &mut Plan, dice: &mut Dice) {
    let any = dice.roll(plan.layouts.len() as u64) as usize;
    let layout = &mut plan.layouts[any];
    let rectangles = nodes(&mut layout.root).len() as u64;
    let target = dice.roll(rectangles) as usize;
    match dice.roll(12) {
        0 => layout.stock = index(dice),
        1 => layout.copies = if dice.roll(2) == 0 { u32::MAX } else { dice.roll(4) as u32 },
        2 | 3 => {
            let (axis, size) = (dice.roll(2) as usize, length(dice));
            change(&mut layout.root, target, |node| node.size[axis] = size);
        }
        4 => {
            let kind = match dice.roll(5) {
                0 => Kind::Offcut,
                1 => Kind::Waste,
                2 => Kind::Piece { part: index(dice), turned: dice.roll(2) == 0 },
                way => {
                    let way = if way == 3 { Way::Rip } else { Way::Crosscut };
                    let child = || Node { size: [Length::mm(100); 2], kind: Kind::Waste };
                    Kind::Cut { way, children: (0..dice.roll(3)).map(|_| child()).collect() }
                }
            };
            change(&mut layout.root, target, |node| node.kind = kind);
        }
        5 => {
            let (part, turned) = (index(dice), dice.roll(2) == 0);
            let [a, b, c, d] = [0; 4].map(|_| length(dice));
            layout.pieces.push(PlacedPiece { part, at: [a, b], size: [c, d], turned });
        }
        6 => plan.unplaced.push((index(dice), count(dice) as u32)),
        7 => plan.groups[0].floor = i128::from(number(dice)) * i128::from(number(dice)),
        8 => {
            plan.groups.truncate(dice.roll(3) as usize);
            plan.groups.resize(2, GroupClaim::default());
        }
        _ => {
            let group = dice.roll(2) as usize;
            let Some(certificate) = &mut plan.groups[group].certificate else { return };
            let leaves = certificate.leaves.len() as u64;
            if leaves == 0 {
                return;
            }
            let leaf = &mut certificate.leaves[dice.roll(leaves) as usize];
            match dice.roll(5) {
                0 => leaf.prices.push((index(dice), number(dice))),
                1 => {
                    let price = number(dice);
                    leaf.prices.iter_mut().for_each(|entry| entry.1 = price);
                }
                2 => {
                    let reason = if dice.roll(2) == 0 { Reason::Area } else { Reason::Lengths };
                    leaf.values =
                        vec![StockValue { stock: index(dice), piece: None, value: number(dice), reason }];
                }
                3 => {
                    let piece = (dice.roll(2) == 0).then(|| dice.roll(3) as u32);
                    if let Some(value) = leaf.values.first_mut() {
                        value.piece = piece;
                    }
                    let parts = (0..dice.roll(3)).map(|_| index(dice)).collect();
                    let [least, most] = [0; 2].map(|_| count(dice));
                    let (stock, price) = (index(dice), number(dice));
                    leaf.shares.push(PartShare { stock, piece, parts, least, most, price });
                }
                _ => {
                    let most = (dice.roll(2) == 0).then(|| count(dice));
                    leaf.bounds.push(UseBound { stock: index(dice), least: count(dice), most });
                }
            }
        }
    }
}
