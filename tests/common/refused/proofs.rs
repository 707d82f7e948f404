//! Faults of floors and their certificates.

use super::rules::with_matched_fronts;
use super::*;

pub fn claims() -> Vec<Tampering> {
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
        row("certificate of another group", &["Certificate/ForeignPart"], |_, plan| {
            plan.groups[1].certificate = plan.groups[0].certificate.clone();
        }),
        row("certificate without leaves", &["Certificate/NoLeaf"], |_, plan| {
            plan.groups[0].certificate = Some(Certificate::default());
        }),
        row("leaves without number", &["Certificate/TooLarge"], |_, plan| {
            plan.groups[0].certificate =
                Some(Certificate { leaves: vec![Leaf::default(); 4097], matched: false });
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
            leaf(plan, 1).values.pop();
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
            sheet_leaf(plan).values[0] =
                StockValue { stock: 2, piece: None, value: i64::MAX, reason: Reason::Lengths };
        }),
        row("value by cuts beyond all numbers", &["Certificate/TooLarge"], |_, plan| {
            // Six sides go on a sheet. What they collect ends at the largest number there is; four of them, all that is
            // asked for, would seem to need two sheets.
            sheet_leaf(plan).prices = vec![(4, i64::MAX / 2)];
            let reason = Reason::Cuts { grid: Length::mm(1), stages: None };
            sheet_leaf(plan).values[0] = StockValue { stock: 2, piece: None, value: i64::MAX, reason };
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

/// Claims the value of a sheet by a pair of functions.
fn by_pair(plan: &mut Plan, along: Dual, across: Dual, value: i64) {
    sheet_leaf(plan).values[0] =
        StockValue { stock: 2, piece: None, value, reason: Reason::Dual { along, across } };
}

pub fn pairs() -> Vec<Tampering> {
    vec![
        row("value by functions one too small", &["Certificate/ValueTooSmall"], |_, plan| {
            with_pair_of_functions(plan);
            sheet_leaf(plan).values[0].value -= 1;
        }),
        row("functions of the other axis", &["Certificate/ValueTooSmall"], |_, plan| {
            with_pair_of_functions(plan);
            let value = sheet_leaf(plan).values[0].value;
            by_pair(plan, Dual::Steps(Length::mm(403)), Dual::Shares(3), value);
        }),
        row("step longer than half of the sheet", &["Certificate/NoDual"], |_, plan| {
            by_pair(plan, Dual::Plain, Dual::Steps(Length::mm(602)), i64::MAX);
        }),
        row("step of nothing", &["Certificate/NoDual"], |_, plan| {
            by_pair(plan, Dual::Steps(Length::ZERO), Dual::Plain, i64::MAX);
        }),
        row("cut longer than half of the sheet", &["Certificate/NoDual"], |_, plan| {
            by_pair(plan, Dual::Cut(Length::mm(1212)), Dual::Plain, i64::MAX);
        }),
        row("cut below nothing", &["Certificate/NoDual"], |_, plan| {
            by_pair(plan, Dual::Cut(-TICK), Dual::Plain, i64::MAX);
        }),
        row("count from beyond half of the sheet", &["Certificate/NoDual"], |_, plan| {
            by_pair(plan, Dual::Plain, Dual::Count(Length::mm(602)), i64::MAX);
        }),
        row("shares among none", &["Certificate/NoDual"], |_, plan| {
            by_pair(plan, Dual::Plain, Dual::Shares(0), i64::MAX);
        }),
        row("priced part that functions do not count", &["Certificate/Unbounded"], |_, plan| {
            // A back and its kerf are 503 long, a side and its kerf 703.
            by_pair(plan, Dual::Cut(Length::mm(503) + TICK), Dual::Plain, i64::MAX);
        }),
    ]
}

pub fn sets() -> Vec<Tampering> {
    vec![
        row("value by sets one too small", &["Certificate/ValueTooSmall"], |_, plan| {
            with_sets(plan);
            sheet_leaf(plan).values[0].value -= 1;
        }),
        row("sets by a function out of range", &["Certificate/NoDual"], |_, plan| {
            with_sets(plan);
            let reason = Reason::Sets { along: Dual::Plain, across: Dual::Shares(0), stages: None };
            sheet_leaf(plan).values[0].reason = reason;
        }),
        row("sets in fewer stages than the shop has", &["Certificate/Stages"], |_, plan| {
            let reason = Reason::Sets { along: Dual::Plain, across: Dual::Plain, stages: Some(1) };
            sheet_leaf(plan).values[0].reason = reason;
        }),
        row("price of a part that counts with its strip", &["Certificate/WithinStrip"], |batch, plan| {
            with_strip_as_one(batch, plan);
            sheet_leaf(plan).prices.push((6, 1));
        }),
        row("value of a sheet with a strip too small", &["Certificate/ValueTooSmall"], |batch, plan| {
            with_strip_as_one(batch, plan);
            // A strip is worth more than a side for its area by one.
            sheet_leaf(plan).prices[0].1 += 1;
        }),
        row("share of a part that counts with its strip", &["Certificate/Share"], |batch, plan| {
            with_strip_as_one(batch, plan);
            let share = PartShare { stock: 2, piece: None, parts: vec![6], least: 0, most: 1, price: 0 };
            sheet_leaf(plan).shares.push(share);
        }),
        row("share that leaves no room for the strip", &["Certificate/Gap"], |batch, plan| {
            with_strip_as_one(batch, plan);
            let share = PartShare { stock: 2, piece: None, parts: vec![4], least: 0, most: 0, price: 0 };
            sheet_leaf(plan).shares.push(share);
        }),
        row("cuts in more stages than are told apart", &["Certificate/Stages"], |_, plan| {
            sheet_leaf(plan).values[0].reason = Reason::Cuts { grid: Length::mm(1), stages: Some(4) };
        }),
    ]
}

/// Sets that hold: more than the four sides that are asked for is on no sheet, though it has room for six.
pub fn with_sets(plan: &mut Plan) {
    sheet_leaf(plan).prices = vec![(4, 1)];
    let reason =
        Reason::Sets { along: Dual::Shares(3), across: Dual::Steps(Length::mm(403)), stages: Some(2) };
    sheet_leaf(plan).values[0] = StockValue { stock: 2, piece: None, value: 4, reason };
}

/// A pair that holds: three sides of 703 with their kerf share 2423, two of 403 share 1203, so six fill a sheet.
pub fn with_pair_of_functions(plan: &mut Plan) {
    sheet_leaf(plan).prices = vec![(4, 1)];
    by_pair(plan, Dual::Shares(3), Dual::Steps(Length::mm(403)), 6);
}

/// The side and the door whose grain is matched, priced as one piece of their area with kerf.
pub fn with_strip_as_one(batch: &mut Batch, plan: &mut Plan) {
    with_matched_fronts(batch, plan);
    plan.groups[1].certificate.as_mut().unwrap().matched = true;
    sheet_leaf(plan).prices = vec![(4, 1406 * 403), (5, 503 * 303)];
}
