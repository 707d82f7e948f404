//! Slow twins of claims about sets: plain recursion over every division and every cut, on random small cases.

use proptest::collection::vec;
use proptest::option::of;
use proptest::prelude::*;
use proptest::sample::select;

use super::bound::Work;
use super::guillotine::Rule;
use super::plain_cuts::{ANY, Lie, Manner, Pieces, manners};
use super::sets::{self, Member, Sheet};
use crate::search::Dice;

/// A sheet to be cut in such a manner.
fn sheet(size: [i64; 2], manner: Manner) -> Sheet {
    let Manner { stages, trimming, lengths: cuts, .. } = manner;
    let able = [0, 1].map(|axis| size[1 - axis] <= cuts[axis][1]);
    let first = manner.first.or((able[0] != able[1]).then_some(usize::from(able[1])));
    let rule = Rule { stages, trimming, first };
    Sheet { size, image: (size[0] * size[1]).into(), rule, cuts }
}

fn lie(size: [i64; 2]) -> Lie<i64> {
    Lie { size, run: None }
}

/// As a piece lies, or a strip that runs along an axis; both ways where it `turns`.
fn lies([x, y]: [i64; 2], run: Option<usize>, turns: bool) -> Vec<Lie<i64>> {
    let turned = Lie { size: [y, x], run: run.map(|axis| 1 - axis) };
    std::iter::once(Lie { size: [x, y], run }).chain(turns.then_some(turned)).collect()
}

fn member() -> impl Strategy<Value = Member> {
    let size = (1_i64..6, 1_i64..6);
    (size, of(0_usize..2), any::<bool>(), 1_i64..20, 1_u32..3).prop_map(
        |((x, y), run, turns, price, most)| Member {
            lies: lies([x, y], run, turns),
            image: (x * y).into(),
            price,
            most,
        },
    )
}

proptest! {
    #[test]
    fn a_claim_about_sets_holds_from_the_best_set_on(
        members in vec(member(), 0..4),
        x in 3_i64..8,
        y in 3_i64..8,
        manner in select(manners()),
        limit in of((0_usize..2, 2_i64..6)),
        short in of((0_usize..2, 2_i64..6)),
    ) {
        // The shortest cuts are those of boards, which are cut as they come.
        let free = manner.stages.is_none() && manner.first.is_none();
        let mut manner = manner;
        if let Some((axis, shortest)) = short.filter(|_| free) {
            manner.lengths[axis][0] = shortest;
        }
        let pieces: Vec<&Member> =
            members.iter().flat_map(|member| vec![member; member.most as usize]).take(5).collect();
        prop_assume!(pieces.len() == members.iter().map(|member| member.most as usize).sum::<usize>());
        let most = |manner: Manner| {
            let mut plain = Pieces::new(pieces.iter().map(|piece| piece.lies.clone()).collect(), manner);
            let value = |set: usize| -> Option<i64> {
                let held = (0..pieces.len()).filter(|piece| set >> piece & 1 == 1);
                plain.cut_from(set, [x, y]).then(|| held.map(|piece| pieces[piece].price).sum())
            };
            (0..1_usize << pieces.len()).filter_map(value).max().unwrap()
        };
        let mut limited = manner;
        if let Some((axis, longest)) = limit.filter(|_| manner.lengths == [ANY; 2]) {
            limited.lengths[axis][1] = longest;
        }
        // With cuts that are not too long it is exact; else no less than what can be cut, and no more than without limits.
        let (least, most) = (most(limited), most(manner));
        let judge =
            |claimed| sets::judge(members.clone(), sheet([x, y], limited), claimed, &mut Work::new());
        prop_assert_eq!(judge(most), sets::Verdict::Holds);
        if least > 0 {
            let beaten = matches!(judge(least - 1), sets::Verdict::Beaten(found) if found >= least.into());
            prop_assert!(beaten);
        }
    }
}

#[test]
fn sets_that_take_too_much_work_are_refused_and_not_guessed() {
    let member = |side: i64| Member { lies: vec![lie([side, side])], image: 0, price: side, most: 3 };
    let members: Vec<Member> = (10..40).map(member).collect();
    let sheet = Sheet { image: 1, ..sheet([100, 100], manners()[0]) };
    let judge = |work: &mut Work| sets::judge(members.clone(), sheet, 150, work);
    assert_eq!(judge(&mut Work::of(0, 1 << 30, 1 << 30)), sets::Verdict::TooLarge);
    assert_eq!(judge(&mut Work::of(1 << 30, 0, 1 << 30)), sets::Verdict::TooLarge);
    assert_eq!(judge(&mut Work::of(1 << 30, 1 << 30, 2)), sets::Verdict::TooLarge);
    assert!(matches!(judge(&mut Work::new()), sets::Verdict::Beaten(found) if found > 150));
    // An image of nothing bounds nothing, and one beyond all measure cannot be counted.
    for image in [0, -1, i128::MAX] {
        let sheet = Sheet { image, ..sheet };
        assert_eq!(sets::judge(members.clone(), sheet, 150, &mut Work::new()), sets::Verdict::TooLarge);
    }
}

#[test]
fn a_set_of_many_pieces_is_worth_more_than_claimed_only_if_it_can_be_cut() {
    let manners = manners();
    let mut both = vec![[0; 2]; manners.len()];
    for seed in 0..20_000 {
        let mut dice = Dice::new(seed, 0x5e75);
        let size = [5 + i64::from(dice.below(3)), 5 + i64::from(dice.below(2))];
        let room = size[0] * size[1];
        let mut drawn = || {
            let [x, y] = [0; 2].map(|_| 1 + i64::from(dice.below(4)));
            let run = dice.once_in(4).then(|| dice.below(2) as usize);
            let lies = lies([x, y], run, dice.once_in(2));
            Member { lies, image: (x * y).into(), price: 1, most: 1 + dice.below(3) }
        };
        let members: Vec<Member> = (0..5).map(|_| drawn()).collect();
        let lies: Vec<Vec<Lie<i64>>> =
            members.iter().flat_map(|member| vec![member.lies.clone(); member.most as usize]).collect();
        let area: i64 = lies.iter().map(|lies| lies[0].size[0] * lies[0].size[1]).sum();
        let number = seed as usize % manners.len();
        let manner = manners[number];
        // All of them, and hardly more room than they take, so that many cannot be cut.
        let (spare, most) = if number == 0 { (3, 9) } else { (12, 8) };
        if !(8..=most).contains(&lies.len()) || !(room - spare..=room).contains(&area) {
            continue;
        }
        let all = lies.len() as i64;
        let found = sets::judge(members.clone(), sheet(size, manner), all - 1, &mut Work::new());
        let cut = Pieces::new(lies, manner).all_from(size);
        let expected = if cut { sets::Verdict::Beaten(all.into()) } else { sets::Verdict::Holds };
        assert_eq!(found, expected, "seed {seed}");
        both[number][usize::from(cut)] += 1;
    }
    let told = both.iter().fold([0; 2], |sum, both| [0, 1].map(|at| sum[at] + both[at]));
    assert!(both.iter().all(|both| both[0] > 0 && both[1] > 0), "{both:?}");
    assert!(told[0] > 100 && told[1] > 100, "{told:?}");
}

/// Twelve squares that fill three rows, and others beside them.
fn squares(others: &[[i64; 2]]) -> Vec<Member> {
    let member = |size: [i64; 2], most| Member {
        lies: vec![lie(size)],
        image: (size[0] * size[1]).into(),
        price: 1,
        most,
    };
    let others = others.iter().map(|&size| member(size, 1));
    std::iter::once(member([9, 9], 12)).chain(others).collect()
}

#[test]
fn of_many_pieces_as_many_are_told_as_can_be_parted_in_few_ways() {
    let judge = |members: Vec<Member>, size: [i64; 2]| {
        let all: i64 = members.iter().map(|member| i64::from(member.most)).sum();
        sets::judge(members, sheet(size, manners()[0]), all - 1, &mut Work::new())
    };
    // Below the rows are three steps: two pieces go there, and not three or four that take no more area.
    for others in [vec![[17, 3], [18, 3]], vec![[5, 4], [6, 3]], vec![[5, 4], [6, 3], [7, 2], [8, 1]]] {
        let cut = others.iter().all(|size| size[1] <= 3);
        let all = 12 + others.len() as i128;
        let expected = if cut { sets::Verdict::Beaten(all) } else { sets::Verdict::Holds };
        assert_eq!(judge(squares(&others), [36, 30]), expected, "{others:?}");
    }
    // Of ten that all differ, which can be parted in 59 049 ways, the nine largest are told. Each is a row of its own.
    let rows = (0..10).map(|at| Member { lies: vec![lie([60 - at, 10])], image: 600, price: 1, most: 1 });
    let rows: Vec<Member> = rows.collect();
    let told = [80, 90].map(|high| judge(rows.clone(), [100, high]));
    assert_eq!(told, [sets::Verdict::Holds, sets::Verdict::Beaten(10)]);
    // Ten of one size are all told, whatever each is worth: it is sizes that are parted.
    let alike = (1..=10).map(|price| Member { lies: vec![lie([60, 10])], image: 600, price, most: 1 });
    let alike: Vec<Member> = alike.collect();
    let told = [90, 100]
        .map(|high| sets::judge(alike.clone(), sheet([100, high], manners()[0]), 54, &mut Work::new()));
    assert_eq!(told, [sets::Verdict::Holds, sets::Verdict::Beaten(55)]);
}

#[test]
fn pieces_that_take_too_long_a_cut_are_in_no_set_together() {
    let member = Member { lies: vec![lie([5, 4])], image: 20, price: 1, most: 2 };
    let judge = |longest: i64| {
        let manner = Manner { lengths: [[0, longest], ANY], ..manners()[0] };
        sets::judge(vec![member.clone()], sheet([10, 6], manner), 1, &mut Work::new())
    };
    assert_eq!([judge(4), judge(3)], [sets::Verdict::Beaten(2), sets::Verdict::Holds]);
}
