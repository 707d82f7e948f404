//! Faults against the rules of the question: saws, quantities, supply, matched grain.

use super::*;

pub fn saws() -> Vec<Tampering> {
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
            // The second piece is hidden in a level without a cut.
            trimmed_twice(plan, crosscut(500, 300, vec![piece(500, 300, 5)]));
        }),
        row("trimming cuts of one direction that free two pieces", &["Stages"], |_, plan| {
            trimmed_twice(plan, rip(500, 300, vec![piece(500, 300, 5)]));
        }),
        row("first cut across", &["FirstCut"], |batch, plan| {
            batch.shop.sheets.longest_crosscut = None;
            let column = || rip(700, 1200, vec![side(), side(), offcut(700, 394)]);
            let backs = rip(500, 1200, vec![piece(500, 300, 5), piece(500, 300, 5), waste(500, 594)]);
            replant(plan, 3, crosscut(2420, 1200, vec![column(), column(), backs, offcut(511, 1200)]));
        }),
        row("first cut along", &["FirstCut"], |batch, _| {
            batch.shop.sheets.longest_crosscut = None;
            batch.shop.sheets.first_cut = FirstCut::Crosscut;
        }),
        row("crosscut longer than the saw takes", &["TooLong"], |_, plan| {
            let column = rip(700, 1000, vec![side(), offcut(700, 597)]);
            let strip = crosscut(2420, 1000, vec![column, offcut(1717, 1000)]);
            replant(plan, 3, rip(2420, 1200, vec![strip, waste(2420, 197)]));
            plan.unplaced = vec![(3, 2), (4, 3), (5, 2)];
        }),
        row("rip longer than the saw takes", &["TooLong"], |batch, _| {
            // Crosscuts would free every part, but the plan begins with a rip.
            batch.shop.sheets.first_cut = FirstCut::Either;
            batch.shop.sheets.longest_crosscut = None;
            batch.shop.sheets.longest_rip = Some(Length::mm(2420) - TICK);
        }),
        row("rip beyond the fence from both sides", &["BeyondFence"], |batch, plan| {
            batch.shop.sheets.fence_reach = Some(Length::mm(399));
            *plan = with_first_rip_at(Length::mm(395) - TICK);
        }),
    ]
}

/// Frees a second back by the trimming cut of the first.
fn trimmed_twice(plan: &mut Plan, second: Node) {
    let sides = at(&mut plan.layouts[3].root, &[0]).clone();
    let side = rip(700, 603, vec![side(), waste(700, 200)]);
    let backs = rip(500, 603, vec![piece(500, 300, 5), second]);
    let strip = crosscut(2420, 603, vec![side, backs, offcut(1214, 603)]);
    replant(plan, 3, rip(2420, 1200, vec![sides, strip, waste(2420, 191)]));
}

pub fn counts() -> Vec<Tampering> {
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

/// Replaces what the first strip of the sheet is cut into; the second makes the backs.
fn plant_fronts(plan: &mut Plan, fronts: Vec<Node>) {
    let back = || rip(500, 400, vec![piece(500, 300, 5), waste(500, 97)]);
    let backs = crosscut(2420, 400, vec![back(), back(), offcut(1414, 400)]);
    let fronts = crosscut(2420, 400, fronts);
    replant(plan, 3, rip(2420, 1200, vec![fronts, backs, offcut(2420, 394)]));
}

pub fn strips() -> Vec<Tampering> {
    vec![
        row("matched parts out of order", &["Strip"], |batch, plan| {
            with_matched_fronts(batch, plan);
            plant_fronts(plan, vec![piece(700, 400, 6), side(), offcut(1014, 400)]);
        }),
        row("leftover between matched parts", &["Strip"], |batch, plan| {
            with_matched_fronts(batch, plan);
            plant_fronts(plan, vec![side(), offcut(1014, 400), piece(700, 400, 6)]);
        }),
        row("matched parts in two strips", &["Strip"], |batch, plan| {
            with_matched_fronts(batch, plan);
            let back = || rip(500, 400, vec![piece(500, 300, 5), waste(500, 97)]);
            let first = crosscut(2420, 400, vec![side(), offcut(1717, 400)]);
            let second = crosscut(2420, 400, vec![piece(700, 400, 6), back(), back(), offcut(711, 400)]);
            replant(plan, 3, rip(2420, 1200, vec![first, second, offcut(2420, 394)]));
        }),
        row("matched parts that meet across the first cut", &["Strip"], |batch, plan| {
            with_matched_fronts(batch, plan);
            batch.shop.sheets.first_cut = FirstCut::Either;
            batch.shop.sheets.longest_crosscut = None;
            let back = || rip(500, 400, vec![piece(500, 300, 5), waste(500, 97)]);
            let left = rip(700, 1200, vec![side(), offcut(700, 797)]);
            let right = rip(700, 1200, vec![piece(700, 400, 6), offcut(700, 797)]);
            let backs = rip(
                1014,
                1200,
                vec![crosscut(1014, 400, vec![back(), back(), waste(8, 400)]), offcut(1014, 797)],
            );
            batch.shop.sheets.stages = Stages::Any;
            replant(plan, 3, crosscut(2420, 1200, vec![left, right, backs]));
        }),
        row(
            "matched parts one after the other where side by side is asked for",
            &["Strip"],
            |batch, plan| {
                with_matched_fronts(batch, plan);
                batch.shop.sheets.first_cut = FirstCut::Either;
                batch.shop.sheets.longest_crosscut = None;
                for part in [4, 6] {
                    batch.parts[part].match_way = MatchWay::Across;
                }
            },
        ),
        row("matched part left over alone", &["Strip"], |batch, plan| {
            with_matched_fronts(batch, plan);
            plant_fronts(plan, vec![side(), offcut(1717, 400)]);
            plan.unplaced.push((6, 1));
        }),
    ]
}

/// Makes of the first strip of the sheet a side and a door whose grain is matched.
pub fn with_matched_fronts(batch: &mut Batch, plan: &mut Plan) {
    let front = Part { qty: 1, match_word: Some("front".into()), ..batch.parts[4].clone() };
    batch.parts[4] = front.clone();
    batch.parts.push(Part { name: "door".into(), ..front });
    plant_fronts(plan, vec![side(), piece(700, 400, 6), offcut(1014, 400)]);
    sheet_leaf(plan).prices.push((6, 703 * 403));
}
