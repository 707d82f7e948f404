//! Sets against plain recursion over all cuts, and their floors against the judge.

mod together;

use std::collections::BTreeMap;

use super::envelope::Lie;
use super::room::{Depth, Hunt, Room};
use super::{MOST_PIECES, Relaxation, relax};
use crate::check::plain_cuts::{self, Manner, Pieces, manners};
use crate::check::{Floor, floor_of};
use crate::model::{Batch, CheckedBatch, FirstCut, Form, MatchWay, PartGrain, Shop, Stages, Stock};
use crate::search::Dice;
use crate::sheet::duals::Duals;
use crate::sheet::problem::{Problem, Rules};
use crate::sheet::tests::{part, sheet, shop};
use crate::units::Length;

/// Pieces to be cut plainly.
fn plain(lies: &[Vec<Lie>], manner: Manner) -> Pieces {
    let lie = |lie: &Lie| plain_cuts::Lie { size: lie.size.map(i64::from), run: lie.chain };
    Pieces::new(lies.iter().map(|lies| lies.iter().map(lie).collect()).collect(), manner)
}

fn manner(rules: &Rules) -> Manner {
    let stages = Some(rules.stages).filter(|&stages| stages <= 3);
    let most = |most: u32| if most == u32::MAX { i64::MAX } else { most.into() };
    let lengths = rules.cut.map(|[least, longest]| [least.into(), most(longest)]);
    Manner { stages, trimming: rules.trimming, first: rules.first.map(usize::from), lengths }
}

/// A shop that cuts in such a manner, without edge trim.
fn shop_of(kerf: i64, manner: Manner) -> Shop {
    let mut shop = shop(kerf, manner.stages.map_or(Stages::Any, Stages::Limited));
    shop.sheets.trim = [Length::ZERO; 4];
    shop.sheets.trimming = manner.trimming;
    shop.sheets.first_cut = match manner.first {
        None => FirstCut::Either,
        Some(0) => FirstCut::Crosscut,
        Some(_) => FirstCut::Rip,
    };
    shop
}

fn lies_of(problem: &Problem, kind: usize, item: usize) -> Vec<Lie> {
    let lays = problem.lays(kind, item).iter();
    lays.map(|lay| Lie { size: lay.size, chain: lay.chain.map(usize::from) }).collect()
}

/// Few large pieces for sheets of two prices, half of them in any number of stages.
fn drawn(seed: u64, count: u32) -> CheckedBatch {
    let mut dice = Dice::new(seed, 1);
    let kerf = i64::from(dice.below(2));
    let manners = manners();
    let manner = manners[if seed.is_multiple_of(2) { 0 } else { seed as usize / 2 % manners.len() }];
    let rules = shop_of(kerf, manner);
    let drawn = |number: u32, dice: &mut Dice| {
        let size = [1 + dice.below(9), 1 + dice.below(7)].map(i64::from);
        let qty = 1 + dice.below(2);
        let grain = if dice.once_in(2) { PartGrain::Any } else { PartGrain::Length };
        let mut part = part(&format!("part {number}"), size, qty, grain);
        // A strip that runs as the second cuts of two stages do.
        if seed % 4 > 1 && number == 0 {
            (part.qty, part.length, part.width) = (2, Length::mm(3), Some(Length::mm(2 + seed as i64 % 3)));
            part.match_word = Some("strip".into());
            let across = manner.first.map_or(dice.once_in(2), |first| first == 0);
            part.match_way = if across { MatchWay::Across } else { MatchWay::Along };
            part.grain = Some(PartGrain::Length);
        }
        part
    };
    let few = dice.once_in(2).then_some(2);
    let mut batch = Batch {
        parts: (0..count).map(|number| drawn(number, &mut dice)).collect(),
        stock: vec![sheet("large", [12, 10], 100), Stock { qty: few, ..sheet("small", [9, 7], 45) }],
        shop: rules,
    };
    if seed % 8 == 4 {
        // Boards, of which what is short is not ripped.
        batch.stock.iter_mut().for_each(|stock| stock.form = Some(Form::Board));
        batch.shop.boards.kerf = Length::mm(kerf);
        batch.shop.boards.shortest_rip = Length::mm(2 + i64::from(dice.below(6)));
    }
    batch.check().unwrap()
}

#[test]
fn a_hunt_finds_the_most_valuable_set() {
    let mut found = 0;
    for seed in 0..120 {
        let batch = drawn(seed, 4);
        let problem = Problem::new(&batch, 0);
        let duals = Duals::new(&problem, &|| false);
        let mut dice = Dice::new(seed, 2);
        let prices: Vec<i64> = problem.items.iter().map(|_| i64::from(dice.below(30))).collect();
        for kind in 0..problem.kinds.len() {
            let room = Room::new(&problem, kind, &duals.best(kind).unwrap().0);
            // At most seven pieces, of which each set is told exactly.
            let pieces: Vec<usize> = (0..problem.items.len())
                .flat_map(|item| vec![item; problem.items[item].demand as usize])
                .take(7)
                .collect();
            if pieces.len() < problem.items.iter().map(|item| item.demand as usize).sum() {
                continue;
            }
            let lies: Vec<Vec<Lie>> = pieces.iter().map(|&item| lies_of(&problem, kind, item)).collect();
            let of = &problem.kinds[kind];
            let mut plain = plain(&lies, manner(&of.rules));
            let most = (0..1_usize << pieces.len())
                .filter(|&set| plain.cut_from(set, of.size.map(i64::from)))
                .map(|set| {
                    let held = (0..pieces.len()).filter(|piece| set >> piece & 1 == 1);
                    held.map(|piece| prices[pieces[piece]]).sum::<i64>()
                })
                .max()
                .unwrap();
            let hunt = |above| Hunt { above, work: u64::MAX, sets: usize::MAX, depth: Depth::Few };
            let caught = room.hunt(&prices, &problem.demand(), hunt(0), &|| false);
            assert_eq!(caught.most, Some(most), "seed {seed} kind {kind}");
            let worth = |set: &Vec<usize>| set.iter().map(|&item| prices[item]).sum::<i64>();
            assert!(most == 0 || caught.sets.last().map(worth) == Some(most));
            let none = room.hunt(&prices, &problem.demand(), hunt(most), &|| false);
            assert!(none.sets.is_empty() && none.most == Some(most));
            found += 1;
        }
    }
    assert!(found > 100, "{found}");
}

#[test]
fn of_many_pieces_as_many_are_told_as_can_be_parted_in_few_ways() {
    let cannot = |sizes: &[([i64; 2], u32)], of: [i64; 2]| {
        let parts = sizes.iter().map(|&(size, qty)| part("part", size, qty, PartGrain::Length)).collect();
        let batch = Batch { parts, stock: vec![sheet("sheet", of, 1)], shop: shop_of(0, manners()[0]) };
        let problem = Problem::new(&batch.check().unwrap(), 0);
        let room = Room::new(&problem, 0, &Duals::new(&problem, &|| false).best(0).unwrap().0);
        let all: Vec<(usize, u32)> = problem.items.iter().map(|item| item.demand).enumerate().collect();
        room.cannot(&all, Depth::Most).0
    };
    // Twelve squares in three rows leave three steps: two pieces go there, and not those that take less area.
    let squares = |a, b| [([9, 9], 12), (a, 1), (b, 1)];
    assert_eq!([[17, 3], [5, 4]].map(|a| cannot(&squares(a, [18, 3]), [36, 30])), [false, true]);
    // Of ten that all differ, which can be parted in 59 049 ways, the nine largest are told. Each is a row of its own.
    let rows: Vec<([i64; 2], u32)> = (0..10).map(|at| ([60 - at, 10], 1)).collect();
    assert_eq!([80, 90].map(|high| cannot(&rows, [100, high])), [true, false]);
}

#[test]
fn prices_beyond_all_bounds_are_numbers_that_add_up() {
    let problem = Problem::new(&drawn(3, 6), 0);
    let never = || false;
    let duals = Duals::new(&problem, &never);
    let relaxation = Relaxation::new(&duals, std::iter::empty(), 1000, &never).unwrap();
    let prices = relaxation.whole(&vec![f64::MAX; problem.items.len()]);
    assert!(prices.iter().all(|price| price.checked_mul(2 * MOST_PIECES as i64).is_some()), "{prices:?}");
}

#[test]
fn a_hunt_cut_short_proves_nothing() {
    let batch = drawn(3, 12);
    let problem = Problem::new(&batch, 0);
    let room = Room::new(&problem, 0, &Duals::new(&problem, &|| false).best(0).unwrap().0);
    let prices = vec![10; problem.items.len()];
    let hunt = Hunt { above: 0, work: u64::MAX, sets: usize::MAX, depth: Depth::Few };
    assert!(room.hunt(&prices, &problem.demand(), hunt, &|| false).most.is_some());
    assert_eq!(room.hunt(&prices, &problem.demand(), Hunt { work: 5, ..hunt }, &|| false).most, None);
    assert_eq!(room.hunt(&prices, &problem.demand(), Hunt { sets: 1, ..hunt }, &|| false).most, None);
}

#[test]
fn the_judge_accepts_what_sets_prove_and_it_is_more() {
    let mut more = 0;
    for seed in 0..60 {
        let batch = drawn(seed, 5 + (seed % 9) as u32);
        let problem = Problem::new(&batch, 0);
        let duals = Duals::new(&problem, &|| false);
        let pairs = duals.proofs(&|| false).first().map_or(0, |proof| proof.floor);
        for work in [2_000, 10_000_000] {
            let outlook = relax(&duals, std::iter::empty(), &[], i128::MAX, work, None, &|| false);
            let Some(proof) = outlook.proof else { continue };
            match floor_of(&batch, 0, &proof.certificate) {
                Ok(Floor::Cost(floor)) => assert!(floor >= proof.floor, "seed {seed}"),
                other => panic!("seed {seed}: {other:?}"),
            }
            more += u32::from(proof.floor > pairs);
        }
    }
    assert!(more > 10, "{more}");
}

/// The cheapest plan, by all ways to share pieces out among sheets: sets that can be cut from a sheet, as bits.
fn cheapest(problem: &Problem) -> Option<i128> {
    let pieces: Vec<usize> =
        (0..problem.items.len()).flat_map(|item| vec![item; problem.items[item].demand as usize]).collect();
    let all = (1_usize << pieces.len()) - 1;
    let mut fits: Vec<Vec<usize>> = Vec::new();
    for (kind, of) in problem.kinds.iter().enumerate() {
        let lies: Vec<Vec<Lie>> = pieces.iter().map(|&item| lies_of(problem, kind, item)).collect();
        let mut plain = plain(&lies, manner(&of.rules));
        fits.push((1..=all).filter(|&set| plain.cut_from(set, of.size.map(i64::from))).collect());
    }
    // Least cost of what is made, for each number of sheets used of each kind that is limited.
    let mut least: BTreeMap<(usize, Vec<u32>), i128> = BTreeMap::from([((0, vec![0; fits.len()]), 0)]);
    for done in 0..all {
        let from: Vec<(Vec<u32>, i128)> = (least.iter())
            .filter(|((of, _), _)| *of == done)
            .map(|((_, used), &cost)| (used.clone(), cost))
            .collect();
        let lowest = (!done & all).trailing_zeros();
        for (used, cost) in from {
            for (kind, of) in problem.kinds.iter().enumerate() {
                if of.supply == Some(used[kind]) {
                    continue;
                }
                let mut used = used.clone();
                used[kind] += u32::from(of.supply.is_some());
                // The first piece that is not made yet is on the next sheet.
                for &set in fits[kind].iter().filter(|&set| set & done == 0 && set >> lowest & 1 == 1) {
                    let entry = least.entry((done | set, used.clone())).or_insert(i128::MAX);
                    *entry = (*entry).min(cost + of.cost);
                }
            }
        }
    }
    least.iter().filter(|((of, _), _)| *of == all).map(|(_, &cost)| cost).min()
}

/// Numbers of sheets that are not enough raise the floor, never above the cheapest plan, and the judge agrees.
#[test]
fn numbers_of_sheets_that_are_ruled_out_raise_the_floor() {
    let (mut boxes, mut met) = (0, 0);
    for seed in 0..120 {
        let drawn = drawn(seed, 6);
        let mut batch = drawn.batch().clone();
        batch.stock =
            vec![sheet("large", [12, 10], 100), sheet("small", [9, 8], 64), sheet("flat", [12, 5], 57)];
        batch.shop.sheets.longest_crosscut = seed.is_multiple_of(3).then(|| Length::mm(9));
        let batch = batch.check().unwrap();
        let problem = Problem::new(&batch, 0);
        let pieces = problem.items.iter().map(|item| item.demand).sum::<u32>();
        if !(6..9).contains(&pieces) {
            continue;
        }
        let duals = Duals::new(&problem, &|| false);
        let best = cheapest(&problem).unwrap();
        let known = duals.proofs(&|| false);
        let outlook = relax(&duals, std::iter::empty(), &known, best, 1_000_000, None, &|| false);
        let Some(proof) = outlook.proof else { continue };
        assert!(proof.floor <= best, "seed {seed}: {} above {best}", proof.floor);
        assert_eq!(floor_of(&batch, 0, &proof.certificate), Ok(Floor::Cost(proof.floor)), "seed {seed}");
        if proof.certificate.leaves.len() > 1 {
            boxes += 1;
            met += u32::from(proof.floor == best);
        }
    }
    assert!(boxes > 3 && met > 1, "{boxes} {met}");
}

/// Parts with whether they may turn, and sheets with price and supply.
fn job(parts: &[([i64; 2], u32, bool)], stock: &[([i64; 2], i64, Option<u32>)]) -> CheckedBatch {
    let mut rules = shop(1, Stages::Any);
    rules.sheets.trim = [Length::ZERO; 4];
    let grain = |turns: bool| if turns { PartGrain::Any } else { PartGrain::Length };
    let parts = parts
        .iter()
        .enumerate()
        .map(|(number, &(size, qty, turns))| part(&format!("part {number}"), size, qty, grain(turns)));
    let stock = stock
        .iter()
        .enumerate()
        .map(|(number, &(size, price, qty))| Stock { qty, ..sheet(&format!("sheet {number}"), size, price) });
    Batch { parts: parts.collect(), stock: stock.collect(), shop: rules }.check().unwrap()
}

/// Sizes in eighths of an inch. The relaxation makes everything from fewer sheets in fractions; plans of the cost that is
/// proven here exist.
#[test]
fn branching_on_what_comes_from_which_sheet_proves_what_the_relaxation_does_not() {
    let shelves = job(
        &[
            ([256, 44], 2, false),
            ([252, 240], 3, false),
            ([668, 184], 2, false),
            ([284, 192], 1, false),
            ([664, 36], 6, true),
        ],
        &[([764, 380], 62, None), ([380, 188], 24, None), ([956, 380], 88, None), ([416, 248], 0, Some(1))],
    );
    let cases = job(
        &[
            ([258, 32], 1, true),
            ([240, 204], 1, false),
            ([384, 128], 3, false),
            ([240, 204], 3, false),
            ([256, 192], 1, false),
            ([126, 30], 2, true),
            ([472, 88], 2, false),
            ([188, 30], 2, true),
            ([684, 110], 6, false),
            ([252, 192], 3, false),
            ([240, 116], 1, false),
            ([188, 90], 1, false),
        ],
        &[([768, 384], 68, None), ([480, 480], 52, None), ([960, 384], 112, None), ([320, 160], 0, Some(1))],
    );
    for (batch, cost, pieces) in [(shelves, 186, true), (cases, 340, false)] {
        let problem = Problem::new(&batch, 0);
        let duals = Duals::new(&problem, &|| false);
        let known = duals.proofs(&|| false);
        let outlook = relax(&duals, std::iter::empty(), &known, cost, 2_000_000, None, &|| false);
        let proof = outlook.proof.unwrap();
        assert_eq!(proof.floor, cost);
        assert_eq!(floor_of(&batch, 0, &proof.certificate), Ok(Floor::Cost(cost)));
        let mut shares = proof.certificate.leaves.iter().flat_map(|leaf| &leaf.shares);
        assert!(shares.any(|share| share.piece.is_some() == pieces));
    }
}

/// With many kinds of sheets there are many numbers of them; what rules them out keeps to its work.
#[test]
fn many_kinds_of_sheets_take_no_more_work_than_is_allowed() {
    let mut dice = Dice::new(5, 9);
    let mut drawn = |least: u32, more: u32| i64::from(least + dice.below(more));
    let parts = (0..24).map(|number| {
        let size = [drawn(450, 1600), drawn(280, 800)];
        part(&format!("part {number}"), size, 1, PartGrain::Length)
    });
    let parts: Vec<_> = parts.collect();
    let stock = (0..11).map(|number| {
        let size = [drawn(2100, 400), drawn(1100, 200)];
        let price = size[0] * size[1] / 900 + drawn(0, 300);
        Stock { qty: (number % 3 == 0).then_some(3), ..sheet(&format!("sheet {number}"), size, price) }
    });
    let stock = stock.collect();
    let batch = Batch { parts, stock, shop: shop(3, Stages::Any) }.check().unwrap();
    let problem = Problem::new(&batch, 0);
    let duals = Duals::new(&problem, &|| false);
    let known = duals.proofs(&|| false);
    for work in [20_000, 200_000] {
        let outlook = relax(&duals, std::iter::empty(), &known, i128::MAX - 1, work, None, &|| false);
        assert!(outlook.work < 3 * work, "{} of {work}", outlook.work);
    }
}

#[test]
fn a_dive_makes_all_that_is_asked_for_below_the_cost_that_is_known() {
    let mut found = 0;
    for seed in 0..40 {
        let batch = drawn(seed, 12);
        let problem = Problem::new(&batch, 0);
        let duals = Duals::new(&problem, &|| false);
        let dive = |known| relax(&duals, std::iter::empty(), &[], known, 300_000, Some(seed), &|| false);
        let cost =
            |plan: &[super::Column]| plan.iter().map(|(kind, _)| problem.kinds[*kind].cost).sum::<i128>();
        let Some(plan) = dive(i128::MAX).plan else { continue };
        let mut left = problem.demand();
        let mut used = vec![0; problem.kinds.len()];
        for (kind, set) in &plan {
            used[*kind] += 1;
            set.iter().for_each(|&(item, count)| left[item] -= count);
        }
        assert!(left.iter().all(|&left| left == 0), "seed {seed}: {left:?}");
        let enough =
            |(kind, used): (&crate::sheet::problem::Kind, &u32)| kind.supply.is_none_or(|most| *used <= most);
        assert!(problem.kinds.iter().zip(&used).all(enough), "seed {seed}: {used:?}");
        // Below its own cost there may be nothing, and never as much again.
        let known = cost(&plan);
        assert!(dive(known).plan.is_none_or(|better| cost(&better) < known));
        found += 1;
    }
    assert!(found > 30, "{found}");
}
