//! Laws of validation, on batches that nobody would write: no panic, and what a checked batch promises.

use super::super::*;
use crate::units::{Length, Money, Nominal, Rate};
use proptest::prelude::*;

/// A small grid of lengths, so that things fit and match now and then, and the ends of what an integer holds.
fn length() -> impl Strategy<Value = Length> {
    prop_oneof![
        20 => (1_i64..40).prop_map(Length::mm),
        1 => prop::sample::select(vec![i64::MIN, -1, 0, 1, 1 << 40, (1 << 40) + 1, i64::MAX]).prop_map(Length::from_ticks),
    ]
}

fn few<T: Clone + std::fmt::Debug + 'static>(values: &[T]) -> impl Strategy<Value = T> + use<T> {
    prop::sample::select(values.to_vec())
}

fn section() -> impl Strategy<Value = Option<Nominal>> {
    few(&[None, None, None, Nominal::new((1, 1), 2), Nominal::new((4, 4), 6)])
}

/// A word now and then, and a way with it.
fn matched() -> impl Strategy<Value = (Option<String>, MatchWay)> {
    prop_oneof![
        6 => Just((None, MatchWay::Along)),
        1 => few(&["x", "X "]).prop_map(|word| (Some(word.into()), MatchWay::Along)),
        1 => Just((Some("y".into()), MatchWay::Across)),
    ]
}

/// Edge trim of one stock, of the right number of values and of another.
fn trim() -> impl Strategy<Value = Trim> {
    let value = prop_oneof![4 => few(&[0, 2, 3]).prop_map(Length::mm), 1 => length()];
    (value.clone(), value, few(&Trim::COUNTS))
        .prop_filter_map("a count", |(a, b, count)| Trim::of(&[a, b, b, a][..count]))
}

prop_compose! {
    fn part()(
        material in few(&["a", "A ", "b", ""]),
        section in section(),
        thickness in prop::option::of(few(&[Length::mm(1), Length::mm(2), Length::ZERO])),
        length in length(),
        width in prop::option::of(length()),
        qty in prop_oneof![20 => 0_u32..4, 1 => Just(u32::MAX)],
        grain in few(&[None, Some(PartGrain::Length), Some(PartGrain::Width), Some(PartGrain::Any)]),
        edges in 0_u8..4,
        fit in prop_oneof![8 => Just(Fit::No), 1 => Just(Fit::Yes), 1 => length().prop_map(Fit::Over)],
        oversize in prop_oneof![8 => Just(Length::ZERO), 1 => length()],
        (match_word, match_way) in matched(),
    ) -> Part {
        Part {
            name: "part".into(), material: material.into(), section, thickness, length, width, qty, grain,
            length_edges: edges, fit, oversize, match_word, match_way, ..Part::default()
        }
    }
}

prop_compose! {
    fn stock()(
        material in few(&["a", "b", "c"]),
        form in few(&[None, None, Some(Form::Board), Some(Form::Sheet)]),
        section in section(),
        thickness in prop::option::of(few(&[Length::mm(1), Length::mm(2)])),
        length in length(),
        width in prop::option::of(length()),
        price in prop::option::of(few(&[0, 1, 250, i64::MAX])),
        per in few(&[Per::Each, Per::Each, Per::Foot, Per::SquareMetre, Per::BoardFoot]),
        qty in prop::option::of(0_u32..3),
        grain in few(&[None, Some(StockGrain::Length), Some(StockGrain::Width), Some(StockGrain::None)]),
        on_hand in any::<bool>(),
        factory_edges in any::<bool>(),
        ripped in prop::bool::weighted(0.2),
        trim in prop::option::weighted(0.2, trim()),
    ) -> Stock {
        Stock {
            material: material.into(), form, section, thickness, length, width,
            price: price.map(|minor| Rate::from(Money::from_minor(minor))),
            per, qty, grain, on_hand, factory_edges, ripped, trim, ..Stock::default()
        }
    }
}

prop_compose! {
    fn batch()(
        parts in prop::collection::vec(part(), 0..6),
        stock in prop::collection::vec(stock(), 0..6),
        kerf in prop_oneof![4 => Just(Length::mm(1)), 2 => Just(Length::ZERO), 1 => length()],
        trim in prop_oneof![6 => Just(Length::ZERO), 1 => length()],
        deduct in prop_oneof![4 => Just(Length::ZERO), 1 => length()],
    ) -> Batch {
        let mut shop = Shop::default();
        (shop.boards.kerf, shop.sheets.kerf) = (kerf, kerf);
        (shop.boards.trim, shop.sheets.trim) = ([trim; 2], [trim; 4]);
        shop.bands.push(Band { name: "band".into(), deduct, ..Band::default() });
        Batch { parts, stock, shop }
    }
}

prop_compose! {
    /// Parts that fit the stock more often than not.
    fn tame_part()(
        material in few(&["a", "A ", "b"]),
        thickness in few(&[None, Some(Length::mm(2))]),
        length in 1_i64..30,
        width in prop::option::weighted(0.9, 1_i64..12),
        qty in 0_u32..4,
        grain in few(&[None, Some(PartGrain::Length), Some(PartGrain::Width), Some(PartGrain::Any)]),
        edges in 0_u8..2,
        (match_word, match_way) in matched(),
    ) -> Part {
        Part {
            name: "part".into(), material: material.into(), thickness, length: Length::mm(length + 1),
            width: width.map(|width| Length::mm(width + 1)), qty, grain, length_edges: edges, match_word, match_way,
            ..Part::default()
        }
    }
}

prop_compose! {
    fn tame_stock()(
        material in few(&["a", "b", "B"]),
        form in few(&[None, Some(Form::Board), Some(Form::Sheet), Some(Form::Sheet)]),
        length in 20_i64..40,
        width in 8_i64..20,
        price in 1_i64..500,
        qty in prop::option::of(0_u32..3),
        grain in few(&[None, Some(StockGrain::Length), Some(StockGrain::None)]),
        on_hand in prop::bool::weighted(0.2),
        trim in prop::option::weighted(0.2, few(&[0, 2, 3])),
    ) -> Stock {
        Stock {
            material: material.into(), form, thickness: Some(Length::mm(2)), length: Length::mm(length),
            width: Some(Length::mm(width)), price: Some(Rate::from(Money::from_minor(price))),
            qty, grain, on_hand, trim: trim.map(|trim| Trim::All(Length::mm(trim))), ..Stock::default()
        }
    }
}

prop_compose! {
    fn tame()(
        parts in prop::collection::vec(tame_part(), 1..6),
        mut stock in prop::collection::vec(tame_stock(), 0..4),
        long in [tame_stock(), tame_stock()],
        kerf in 0_i64..3,
        trim in few(&[0, 0, 2]),
        deduct in 0_i64..2,
        shortest_rip in few(&[0, 0, 25]),
    ) -> Batch {
        // Something of each material that holds nearly everything.
        for (mut sheet, material) in long.into_iter().zip(["a", "b"]) {
            (sheet.material, sheet.length) = (material.into(), Length::mm(60));
            stock.push(sheet);
        }
        let mut shop = Shop::default();
        (shop.boards.kerf, shop.sheets.kerf) = (Length::mm(kerf), Length::mm(kerf));
        (shop.boards.trim, shop.sheets.trim) = ([Length::mm(trim); 2], [Length::mm(trim); 4]);
        shop.boards.shortest_rip = Length::mm(shortest_rip);
        shop.bands.push(Band { name: "band".into(), deduct: Length::mm(deduct), ..Band::default() });
        Batch { parts, stock, shop }
    }
}

/// Writes nonsense into a cell, and says where.
fn tear(batch: &mut Batch, nonsense: &Batch, row: usize, cell: prop::sample::Index) -> TableCell {
    let (part, stock) = (row % batch.parts.len(), row % batch.stock.len());
    let other = (&nonsense.parts[row % nonsense.parts.len()], &nonsense.stock[row % nonsense.stock.len()]);
    macro_rules! torn {
        ($($table:ident $row:ident $other:tt: $($field:ident $name:literal),+;)+) => {
            [$($((Table::$table, $row, $name, Box::new(|batch: &mut Batch| {
                torn!(@row batch $table $row).$field = other.$other.$field.clone();
            }) as Box<dyn Fn(&mut Batch) + '_>)),+),+]
        };
        (@row $batch:ident Parts $row:ident) => { $batch.parts[$row] };
        (@row $batch:ident Stock $row:ident) => { $batch.stock[$row] };
    }
    let cells = torn![
        Parts part 0: material "material", section "section", thickness "thickness", length "length", width "width",
            qty "qty", grain "grain", length_edges "length_edges", width_edges "width_edges", band "band",
            match_word "match", match_way "match_way", fit "fit", oversize "oversize", job "job";
        Stock stock 1: material "material", form "form", section "section", thickness "thickness", called "called",
            length "length", width "width", price "price", per "per", qty "qty", grain "grain", on_hand "on_hand",
            factory_edges "factory_edges", ripped "ripped", trim "trim";
    ];
    let (table, row, field, write) = &cells[cell.index(cells.len() + 4).min(cells.len() - 1)];
    write(batch);
    TableCell { table: *table, row: *row, field }
}

/// Whether any two pieces of the group (a piece of quantity 2 has a twin) lie side by side, or one is turned: every pair
/// on every stock.
fn needs_areas(batch: &CheckedBatch, group: &Group) -> bool {
    let pieces: Vec<usize> = group
        .parts
        .iter()
        .flat_map(|&part| vec![part; batch.batch().parts[part].qty.min(2) as usize])
        .collect();
    group.stock.iter().any(|&index| {
        let stock = &batch.stock()[index];
        let across = |&part: &usize| {
            let part = &batch.parts()[part];
            part.from
                .iter()
                .find(|placing| placing.stock == index)
                .map(|placing| (placing.turned, part.width))
        };
        let lying: Vec<_> = pieces.iter().filter_map(across).collect();
        let beside = |a: Option<Length>, b: Option<Length>| {
            a.zip(b).is_some_and(|(a, b)| a + stock.kerf + b <= stock.usable()[1])
        };
        let pairs = (0..lying.len()).flat_map(|i| (0..i).map(move |j| (i, j)));
        lying.iter().any(|(turned, _)| *turned)
            || pairs.into_iter().any(|(i, j)| beside(lying[i].1, lying[j].1))
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1))]

    // Twice as many are usual, and every number is more than five standard deviations below that.
    #[test]
    fn tame_batches_are_sound_often_enough_to_test_something(batches in prop::collection::vec(tame(), 1000)) {
        let checked: Vec<_> = batches.into_iter().filter_map(|batch| batch.check().ok()).collect();
        prop_assert!(checked.iter().flat_map(CheckedBatch::strips).count() > 50);
        let of = |kind| checked.iter().flat_map(CheckedBatch::groups).filter(|group| group.kind == kind).count();
        let (boards, sheets) = (of(GroupKind::Boards), of(GroupKind::Sheets));
        prop_assert!(checked.len() > 250 && boards > 100 && sheets > 200, "{} {boards} {sheets}", checked.len());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn a_checked_batch_keeps_its_promises(batch in prop_oneof![tame(), batch()]) {
        let Ok(checked) = batch.check() else { return Ok(()) };
        let (parts, stock) = (checked.parts(), checked.stock());
        prop_assert_eq!(parts.len(), checked.batch().parts.len());
        prop_assert_eq!(stock.len(), checked.batch().stock.len());
        for (index, (part, asked)) in parts.iter().zip(&checked.batch().parts).enumerate() {
            prop_assert_eq!(part.from.is_empty(), asked.qty == 0);
            prop_assert_eq!(part.group.is_some(), asked.qty > 0);
            prop_assert!(asked.qty == 0 || part.length.is_positive());
            prop_assert!(part.from.is_sorted_by(|a, b| a.stock < b.stock));
            for placing in &part.from {
                let usable = stock[placing.stock].usable();
                let width = part.width.unwrap_or(Length::ZERO);
                prop_assert!(placing.straight || placing.turned);
                prop_assert!(!placing.straight || (part.length <= usable[0] && width <= usable[1]));
                prop_assert!(!placing.turned || (width <= usable[0] && part.length <= usable[1]));
                let group = &checked.groups()[part.group.unwrap()];
                prop_assert!(group.stock.contains(&placing.stock) && group.parts.contains(&index));
            }
        }
        let mut seen = std::collections::BTreeSet::new();
        for group in checked.groups() {
            prop_assert!(group.parts.is_sorted() && group.stock.is_sorted());
            prop_assert!(group.stock.iter().all(|&index| seen.insert(index)), "stock of two groups");
            let strip = checked.strips().iter().any(|strip| group.parts.contains(&strip.parts[0]));
            prop_assert_eq!(group.kind == GroupKind::Sheets, strip || needs_areas(&checked, group));
        }
        let mut matched = std::collections::BTreeSet::new();
        for strip in checked.strips() {
            let group = parts[strip.parts[0]].group.unwrap();
            let pieces: u32 = strip.parts.iter().map(|&part| checked.batch().parts[part].qty).sum();
            prop_assert!(pieces > 1 && strip.parts.is_sorted() && !strip.from.is_empty() && strip.from.is_sorted());
            prop_assert!(strip.parts.iter().all(|part| checked.groups()[group].parts.contains(part)));
            prop_assert!(strip.parts.iter().all(|&part| matched.insert(part)), "a part of two strips");
            for placing in &strip.from {
                let usable = stock[placing.stock].usable();
                prop_assert!(placing.size[0] <= usable[0] && placing.size[1] <= usable[1]);
                let axis = strip.way.axis(placing.turned);
                let pieces = strip.parts.iter().flat_map(|&part| vec![part; checked.batch().parts[part].qty as usize]);
                let long = pieces.map(|part| {
                    let (cut, turned) = (&parts[part], {
                        let width = checked.batch().parts[part].grain == Some(PartGrain::Width);
                        width != placing.turned
                    });
                    let size = [cut.length, cut.width.unwrap_or(usable[1])];
                    size[if turned { 1 - axis } else { axis }] + stock[placing.stock].kerf
                });
                prop_assert_eq!(long.reduce(|a, b| a + b).unwrap(), placing.size[axis] + stock[placing.stock].kerf);
            }
        }
        let names: std::collections::BTreeSet<_> = checked.batch().stock.iter().map(|s| &s.name).collect();
        prop_assert_eq!(names.len(), stock.len());
        for stock in stock {
            prop_assert!(stock.cost >= 0 && (!stock.on_hand || stock.cost == 0));
            prop_assert!(stock.usable()[0].is_positive());
        }
    }

    #[test]
    fn what_was_checked_passes_again_and_is_the_same(batch in prop_oneof![tame(), batch()]) {
        let Ok(checked) = batch.check() else { return Ok(()) };
        let again = checked.batch().clone().check();
        prop_assert!(again.is_ok(), "{}", again.unwrap_err());
        let again = again.unwrap();
        prop_assert_eq!(again.batch(), checked.batch());
        prop_assert_eq!(again.groups(), checked.groups());
        prop_assert_eq!(again.stock(), checked.stock());
        prop_assert_eq!(again.strips(), checked.strips());
    }

    /// Nothing is wrong with the rest of a sound batch, whatever stands where nobody can read.
    #[test]
    fn what_cannot_be_read_has_no_consequences(
        batch in tame(),
        nonsense in batch(),
        cells in prop::collection::vec((0_usize..64, any::<prop::sample::Index>()), 1..4),
        lost in few(&[None, None, None, Some(Table::Parts), Some(Table::Stock), Some(Table::Shop)]),
    ) {
        if batch.clone().check().is_err() || nonsense.parts.is_empty() || nonsense.stock.is_empty() {
            return Ok(());
        }
        let (mut torn, mut unread) = (batch, Unread::default());
        for (row, cell) in cells {
            let before = torn.clone();
            let place = tear(&mut torn, &nonsense, row, cell);
            // A quantity is taken for one of more than nothing.
            match place {
                TableCell { table: Table::Parts, row, field: "qty" } if before.parts[row].qty == 0 => torn = before,
                place => unread.cell(place),
            }
        }
        match lost {
            Some(Table::Parts) => drop(torn.parts.pop()),
            Some(Table::Stock) => drop(torn.stock.pop()),
            Some(Table::Shop) => torn.shop = Shop::default(),
            None => {}
        }
        lost.iter().for_each(|table| unread.rows(*table));
        let problems = torn.clone().problems(unread.clone());
        prop_assert!(problems.is_empty(), "{problems:?} of {torn:?} without {unread:?}");
    }

    #[test]
    fn problems_are_sorted_and_say_something(batch in batch()) {
        let Err(problems) = batch.check() else { return Ok(()) };
        prop_assert!(!problems.as_slice().is_empty());
        prop_assert!(problems.as_slice().is_sorted_by_key(|problem| problem.place));
        for problem in problems.as_slice() {
            prop_assert!(problem.message.starts_with(|c: char| !c.is_uppercase()) && !problem.message.ends_with('.'), "{}", problem);
        }
    }
}
