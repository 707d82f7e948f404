//! What envelopes say of pieces, against plain recursion over all cuts.

use super::super::envelope::{Envelopes, Lie};
use super::super::levels::Levels;
use super::super::room::{Depth, Hunt, Room};
use super::{lies_of, plain, shop_of};
use crate::check::plain_cuts::manners;
use crate::model::{Batch, Part, PartGrain};
use crate::search::Dice;
use crate::sheet::cutting::Cutting;
use crate::sheet::duals::Duals;
use crate::sheet::problem::{Problem, Rules};
use crate::sheet::tests::{part, sheet};
use crate::sheet::tree::Sheet;
use crate::units::Length;

/// One in four is a strip.
fn lies(dice: &mut Dice, size: [u32; 2]) -> Vec<Lie> {
    let size = size.map(|side| 1 + dice.below(side));
    let chain = dice.once_in(4).then(|| dice.below(2) as usize);
    let turned = Lie { size: [size[1], size[0]], chain: chain.map(|axis| 1 - axis) };
    let turns = dice.once_in(2);
    std::iter::once(Lie { size, chain }).chain(turns.then_some(turned)).collect()
}

/// Size of a cutting, and the pieces it holds.
fn extent(cutting: &Cutting, lies: &[Vec<Lie>], pieces: &mut Vec<usize>) -> [u32; 2] {
    match cutting {
        Cutting::Item { item, lay } => {
            pieces.push(*item);
            lies[*item][usize::from(*lay)].size
        }
        Cutting::Row { axis, children } => children.iter().fold([0; 2], |mut all, child| {
            let inner = extent(child, lies, pieces);
            all[*axis] += inner[*axis];
            all[1 - axis] = all[1 - axis].max(inner[1 - axis]);
            all
        }),
    }
}

#[test]
fn pieces_go_together_where_plain_recursion_says_so() {
    let manners = manners();
    let (mut both, mut lost, mut short) = (vec![[0; 2]; manners.len()], 0, 0);
    for seed in 0..1500 {
        let mut dice = Dice::new(seed, 0);
        let number = seed as usize % manners.len();
        let manner = manners[number];
        let size = [6 + dice.below(6), 6 + dice.below(6)];
        let pieces: Vec<Vec<Lie>> =
            (0..2 + dice.below(4)).map(|_| lies(&mut dice, size.map(|side| side - 2))).collect();
        let first = manner.first.map(|axis| axis as u8);
        let (stages, trimming) = (manner.stages.unwrap_or(60), manner.trimming);
        let mut rules =
            Rules { stages, trimming, first, cut: [[0, u32::MAX]; 2], reach: None, spare: u32::MAX };
        let told = |rules: &Rules| {
            let mut envelopes = Envelopes::new(size, Levels::new(rules, size));
            (pieces.iter().all(|lies| envelopes.push(lies)), envelopes)
        };
        let (together, mut envelopes) = told(&rules);
        assert_eq!(together, plain(&pieces, manner).all_from(size.map(i64::from)), "{size:?} {pieces:?}");
        // Where cuts may be too long, what can be cut is not lost, and nothing is won.
        let axis = dice.below(2) as usize;
        rules.cut[axis][1] = 2 + dice.below(6);
        let limited = told(&rules).0;
        let may = plain(&pieces, super::manner(&rules)).all_from(size.map(i64::from));
        assert!(limited >= may && together >= limited, "{size:?} {pieces:?} {rules:?}");
        lost += u32::from(together && !limited);
        // With any number of stages the shortest cuts are exact.
        if manner.stages.is_none() && first.is_none() {
            rules.cut = [[0, u32::MAX]; 2];
            rules.cut[axis][0] = 2 + dice.below(6);
            let limited = told(&rules).0;
            let may = plain(&pieces, super::manner(&rules)).all_from(size.map(i64::from));
            assert_eq!(limited, may, "{size:?} {pieces:?} {rules:?}");
            short += u32::from(together && !limited);
        }
        both[number][usize::from(together)] += 1;
        if !together {
            continue;
        }
        let leaf = |item: usize, size: [u32; 2]| {
            let lay = pieces[item].iter().position(|lie| lie.size == size).unwrap();
            Cutting::Item { item, lay: lay as u8 }
        };
        let mut held = Vec::new();
        let needs = extent(&envelopes.cutting(&leaf).unwrap(), &pieces, &mut held);
        assert!(needs[0] <= size[0] && needs[1] <= size[1], "{needs:?} in {size:?}");
        held.sort_unstable();
        assert_eq!(held, (0..pieces.len()).collect::<Vec<_>>());
        // What is taken off leaves the others as they were.
        envelopes.pop();
        assert!(envelopes.push(&pieces[pieces.len() - 1]));
    }
    assert!(both.iter().all(|both| both[0] > 10 && both[1] > 10) && lost > 100, "{both:?} {lost}");
    assert!(short > 5, "{short}");
}

/// As many pieces as are told apart at every step, and more, some of them alike.
#[test]
fn a_deep_hunt_counts_many_pieces_only_if_they_can_be_cut() {
    let manners = manners();
    let (mut both, mut whole) = (vec![[0; 2]; manners.len()], 0);
    for seed in 0..20_000 {
        let mut dice = Dice::new(seed, 3);
        let size = [5 + dice.below(3), 5 + dice.below(2)];
        let number = seed as usize % manners.len();
        let free = manners[number].stages.is_none();
        let drawn = |number: u32, dice: &mut Dice| {
            let side = [0; 2].map(|_| i64::from(1 + dice.below(4)));
            let grain = if dice.once_in(2) { PartGrain::Any } else { PartGrain::Length };
            part(&format!("part {number}"), side, 1 + dice.below(3), grain)
        };
        let parts: Vec<_> = (0..5).map(|number| drawn(number, &mut dice)).collect();
        let area = |part: &Part| part.length.ticks() * part.width.unwrap().ticks() * i64::from(part.qty);
        let unit = Length::mm(1).ticks();
        let area: i64 = parts.iter().map(|part| area(part) / unit / unit).sum();
        let pieces: u32 = parts.iter().map(|part| part.qty).sum();
        let room = i64::from(size[0] * size[1]);
        let (spare, most) = if free { (3, 9) } else { (12, 8) };
        if !(8..=most).contains(&pieces) || !(room - spare..=room).contains(&area) {
            continue;
        }
        let stock = vec![sheet("sheet", size.map(i64::from), 100)];
        let Ok(batch) = (Batch { parts, stock, shop: shop_of(0, manners[number]) }).check() else { continue };
        let mut problem = Problem::new(&batch, 0);
        if problem.kinds.is_empty() || problem.kinds[0].size != size {
            continue;
        }
        // No cut is shorter than this, but fewer pieces are told at every step where any might be.
        if dice.once_in(2) {
            problem.kinds[0].rules.cut[0][0] = 1;
        }
        let pieces: Vec<usize> = (0..problem.items.len())
            .flat_map(|item| vec![item; problem.items[item].demand as usize])
            .collect();
        let lies: Vec<Vec<Lie>> = pieces.iter().map(|&item| lies_of(&problem, 0, item)).collect();
        let all = pieces.len() as i64;
        let room = Room::new(&problem, 0, &Duals::new(&problem, &|| false).best(0).unwrap().0);
        whole += u32::from(pieces.len() > room.deep());
        let depth = if dice.once_in(2) { Depth::Many } else { Depth::Most };
        let hunt = Hunt { above: all - 1, work: u64::MAX, sets: usize::MAX, depth };
        let caught = room.hunt(&vec![1; problem.items.len()], &problem.demand(), hunt, &|| false);
        let together = plain(&lies, manners[number]).all_from(size.map(i64::from));
        assert_eq!(caught.most, Some(all - 1 + i64::from(together)), "seed {seed}");
        let set: Vec<(usize, u32)> =
            problem.items.iter().enumerate().map(|(item, of)| (item, of.demand)).collect();
        let cutting = room.cutting(&set).0;
        assert_eq!(cutting.is_some(), together, "seed {seed}");
        if let Some(cutting) = cutting {
            let of_items: Vec<Vec<Lie>> =
                (0..problem.items.len()).map(|item| lies_of(&problem, 0, item)).collect();
            let mut held = Vec::new();
            let needs = extent(&cutting, &of_items, &mut held);
            assert!(needs[0] <= size[0] && needs[1] <= size[1], "{needs:?} in {size:?}");
            held.sort_unstable();
            assert_eq!(held, pieces, "seed {seed}");
            // The saws agree.
            assert!(Sheet::of(&problem, 0, &cutting).is_some(), "seed {seed}: {cutting:?}");
        }
        both[number][usize::from(together)] += 1;
    }
    assert!(both.iter().all(|both| both[0] > 1 && both[1] > 1), "{both:?}");
    assert!(whole > 50, "{whole}");
}
