//! A job is carried on after some of its plan was cut: what is made and what is left to make are what is wanted, no wood
//! is lost and none appears, and whoever changes nothing pays nothing more.

use super::build::{Boards, micrometres, solve};
use super::build_sheets::Sheets;
use nest_core::cost::bill;
use nest_core::model::{Batch, CheckedBatch, Stock, Trim};
use nest_core::plan::Plan;
use nest_core::rest::{Before, Done, Followed, How, Rest};
use nest_core::search::{Effort, Options, Silent};
use nest_core::units::Length;
use proptest::prelude::*;

pub const SPARE: u32 = 100;

pub fn cut(layout: usize) -> Done {
    Done { layout, copies: None, how: How::Cut }
}

/// A question with a plan for it.
#[derive(Clone)]
pub struct Planned {
    pub job: Batch,
    pub batch: CheckedBatch,
    pub plan: Plan,
    pub before: Before,
}

impl Planned {
    pub fn of(job: &Batch) -> Self {
        Self::after(job, Rest { batch: job.clone(), ..Rest::default() })
    }

    pub fn after(job: &Batch, rest: Rest) -> Self {
        assert_eq!(rest.before.check(&rest.batch), Ok(()));
        let batch = rest.batch.check().unwrap_or_else(|problems| panic!("{problems}"));
        let plan = solve(&batch, Options::default()).plan;
        Self { job: job.clone(), batch, plan, before: rest.before }
    }

    /// What is left; looked at from the lists, it is what was not done.
    pub fn rest_of(&self, job: &Batch, done: &[Done]) -> Rest {
        let rest = self.followed(done).rest(job.clone());
        assert_eq!(rest.before.unlike_parts(&job.parts, &rest.batch.parts), []);
        assert_eq!(rest.before.unlike_stock(job, &rest.batch), []);
        rest
    }

    pub fn followed(&self, done: &[Done]) -> Followed<'_> {
        Followed::new(&self.batch, &self.plan, SPARE, &self.before, done).expect("the entries fit")
    }

    pub fn rest(&self, done: &[Done]) -> Rest {
        self.rest_of(&self.job, done)
    }

    pub fn all(&self) -> Vec<Done> {
        (0..self.plan.layouts.len()).map(cut).collect()
    }

    /// Some of each layout cut, begun and spoiled, as numbers drawn at random say.
    pub fn some(&self, draws: &[[u32; 4]]) -> Vec<Done> {
        let mut done = Vec::new();
        for (index, (layout, draw)) in self.plan.layouts.iter().zip(draws.iter().cycle()).enumerate() {
            let mut left = layout.copies;
            let cuts = layout.cuts(&self.batch.stock()[layout.stock]).count();
            for (how, drawn) in [How::Cut, How::Spoiled, How::Begun(0)].into_iter().zip(draw) {
                let copies = drawn % (left + 1);
                left -= copies;
                let how = match how {
                    How::Begun(_) if cuts == 0 => continue,
                    How::Begun(_) => How::Begun(1 + draw[3] as usize % cuts),
                    how => how,
                };
                done.push(Done { layout: index, copies: Some(copies), how });
            }
        }
        done
    }
}

pub fn quantities(batch: &Batch) -> Vec<u32> {
    batch.parts.iter().map(|part| part.qty).collect()
}

/// Rows of stock that no list names.
pub fn carried(rest: &Rest) -> &[Stock] {
    &rest.batch.stock[rest.batch.stock.len() - rest.before.carried..]
}

/// Length, or area where there is a width.
fn extent(size: [Length; 2]) -> i128 {
    let [long, wide] = size.map(|side| i128::from(side.ticks()));
    long * wide.max(1)
}

fn size(stock: &Stock) -> [Length; 2] {
    [stock.length, stock.width.unwrap_or_default()]
}

/// Edge trim that a stock may have of its own.
fn own(trim: Trim) -> impl Strategy<Value = Option<Trim>> {
    proptest::option::of(prop_oneof![Just(Trim::All(Length::ZERO)), Just(trim)])
}

pub fn boards() -> impl Strategy<Value = Batch> {
    (
        proptest::collection::vec((300_i64..1000, 1_i64..20, proptest::option::of(1_u32..4)), 0..3),
        proptest::collection::vec((40_i64..900, 1_u32..5), 1..5),
        (0_i64..40, 5_i64..20, any::<bool>(), 50_i64..400),
        own(Trim::Ends([Length::mm(5), Length::ZERO])),
    )
        .prop_map(|(stock, parts, (kerf, cost, trim, keep), own)| {
            let mut boards =
                Boards::new().kerf(kerf * 100).trim(if trim { 5000 } else { 0 }).stock(1_000_000, cost);
            for (length, cost, qty) in stock {
                boards = boards.stock(length * 1000, cost);
                boards.batch.stock.last_mut().unwrap().qty = qty;
            }
            let parts: Vec<(i64, u32)> =
                parts.into_iter().map(|(length, qty)| (length * 1000, qty)).collect();
            let mut batch = boards.parts(&parts).batch;
            batch.stock[0].trim = own;
            batch.shop.boards.keep = micrometres(keep * 1000);
            batch.stock.push(Stock {
                length: Length::mm(500),
                qty: Some(2),
                on_hand: true,
                ..batch.stock[0].clone()
            });
            batch.stock.last_mut().unwrap().name = "owned".to_owned();
            batch
        })
}

pub fn sheets() -> impl Strategy<Value = Batch> {
    (
        proptest::collection::vec((40_i64..900, 40_i64..480, 1_u32..4), 1..5),
        (0_i64..5, any::<bool>(), any::<bool>(), 50_i64..400),
        own(Trim::Edges([5, 0, 6, 7].map(Length::mm))),
    )
        .prop_map(|(parts, (kerf, trim, turn, keep), own)| {
            let sheets = Sheets::new().sheet([1000, 500], 9).kerf(kerf).parts(&parts);
            let sheets = sheets.trim(if trim { 6 } else { 0 });
            let sheets = if turn { sheets.turning() } else { sheets };
            let mut batch = sheets.batch;
            batch.stock[0].trim = own;
            batch.shop.sheets.keep = [Length::mm(keep), Length::mm(keep / 2)];
            batch
        })
}

pub fn draws() -> impl Strategy<Value = Vec<[u32; 4]>> {
    proptest::collection::vec([0_u32..5, 0_u32..3, 0_u32..3, 0_u32..9], 1..4)
}

/// What holds whatever was done of a plan.
fn holds(planned: &Planned, draws: &[[u32; 4]]) {
    let Planned { job, batch, plan, .. } = planned;
    let done = planned.some(draws);
    let rest = planned.rest(&done);
    assert!(rest.unwanted.is_empty(), "nothing changed");
    // Made and still to make are what is wanted.
    let mut made = vec![0; job.parts.len()];
    for pieces in &rest.before.made {
        let row = job.parts.iter().position(|part| part.name == pieces.part.name).unwrap();
        made[row] += pieces.part.qty;
    }
    let both: Vec<u32> = quantities(&rest.batch).iter().zip(&made).map(|(rest, made)| rest + made).collect();
    assert_eq!(both, quantities(job));
    // What was bought is uncut, cut, begun or spoiled; what is owned is there or gone.
    let mut used = vec![0; batch.stock().len()];
    for done in &done {
        used[plan.layouts[done.layout].stock] += done.copies.unwrap();
    }
    let bill = bill(batch, plan, SPARE);
    for bought in &bill.buy {
        let named = format!("{}, bought", batch.batch().stock[bought.stock].name);
        let uncut = carried(&rest).iter().find(|row| row.name == named);
        assert!(uncut.is_none_or(|uncut| uncut.on_hand && uncut.factory_edges));
        assert!(uncut.is_none_or(|uncut| uncut.trim == batch.batch().stock[bought.stock].trim));
        let uncut = uncut.map_or(0, |row| row.qty.unwrap());
        assert_eq!(u64::from(uncut + used[bought.stock]), bought.qty);
    }
    for (row, (before, after)) in job.stock.iter().zip(&rest.batch.stock).enumerate() {
        let bought = bill.buy.iter().find(|bought| bought.stock == row).map(|bought| bought.qty as u32);
        let gone = if before.on_hand { used[row] } else { bought.unwrap_or(0) };
        assert_eq!(after.qty, before.qty.map(|qty| qty - gone), "{}", before.name);
    }
    // Of each board that was cut, pieces and what is left are no more than was there; of one cut to the end they are what
    // the layout has.
    let (mut opened, mut there) = (0, 0);
    for done in done.iter().filter(|done| done.how != How::Spoiled) {
        let layout = &plan.layouts[done.layout];
        opened += extent(batch.stock()[layout.stock].usable()) * i128::from(done.copies.unwrap());
    }
    for pieces in &rest.before.made {
        there += extent(size(&pieces.piece)) * i128::from(pieces.part.qty);
    }
    let (mut left, mut begun) = (Vec::new(), 0);
    for row in carried(&rest).iter().filter(|row| !row.factory_edges) {
        assert!(row.on_hand && row.trim.is_none(), "clean all round");
        there += extent(size(row)) * i128::from(row.qty.unwrap());
        if row.name.contains(", begun, ") {
            begun += row.qty.unwrap();
        } else {
            left.push((size(row), row.qty.unwrap()));
        }
    }
    assert!(there <= opened, "{there} of {opened}");
    if begun == 0 {
        let mut kept = std::collections::BTreeMap::new();
        for done in done.iter().filter(|done| done.how != How::Spoiled) {
            let layout = &plan.layouts[done.layout];
            for place in layout.offcuts(&batch.stock()[layout.stock]) {
                *kept.entry(place.node.size).or_insert(0) += done.copies.unwrap();
            }
        }
        kept.retain(|_, qty| *qty > 0);
        let mut sizes = std::collections::BTreeMap::new();
        left.into_iter().for_each(|(size, qty)| *sizes.entry(size).or_insert(0) += qty);
        assert_eq!(sizes, kept);
    }
    // Names are told apart.
    let mut names: Vec<&str> = rest.batch.stock.iter().map(|row| row.name.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), rest.batch.stock.len());
    // It can be carried on again, to the end.
    let next = Planned::after(job, rest);
    if next.plan.unplaced.is_empty() {
        let end = next.rest(&next.all());
        assert_eq!(quantities(&end.batch), vec![0; job.parts.len()]);
        assert_eq!(end.before.pieces(), job.parts.iter().map(|part| u64::from(part.qty)).sum::<u64>());
    }
}

/// Who cuts nothing pays nothing more, and who cut all needs nothing.
fn ends(planned: &Planned) {
    let none = planned.rest(&[]);
    let batch = none.batch.check().unwrap();
    // With the least effort too: what is left of the plan is a plan.
    let options = Options { effort: Effort::None, ..Options::default() };
    let found = nest_core::solve_from(&batch, &none.layouts, &options, &Silent).unwrap();
    assert!(found.plan.unplaced.is_empty() && found.cost == 0, "{found:?}");
    let all = planned.rest(&planned.all());
    assert!(quantities(&all.batch).iter().all(|&qty| qty == 0));
    assert!(Planned::after(&planned.job, all).plan.layouts.is_empty());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn nothing_is_lost_of_boards(job in boards(), draws in draws()) {
        let planned = Planned::of(&job);
        holds(&planned, &draws);
        ends(&planned);
    }

    #[test]
    fn nothing_is_lost_of_sheets(job in sheets(), draws in draws()) {
        let planned = Planned::of(&job);
        holds(&planned, &draws);
        ends(&planned);
    }

    #[test]
    fn begun_to_the_last_cut_is_cut(job in prop_oneof![boards(), sheets()]) {
        let planned = Planned::of(&job);
        let begun: Vec<Done> = (planned.plan.layouts.iter().enumerate())
            .map(|(index, layout)| match layout.cuts(&planned.batch.stock()[layout.stock]).count() {
                0 => cut(index),
                cuts => Done { how: How::Begun(cuts), ..cut(index) },
            })
            .collect();
        prop_assert_eq!(planned.rest(&begun), planned.rest(&planned.all()));
    }

    /// With each further cut there is a piece more or less to cut, never wood again that was gone.
    #[test]
    fn cut_by_cut_pieces_come_and_blanks_go(job in prop_oneof![boards(), sheets()]) {
        let planned = Planned::of(&job);
        let layout = &planned.plan.layouts[0];
        let cuts = layout.cuts(&planned.batch.stock()[layout.stock]).count();
        let (mut made, mut there) = (0, i128::MAX);
        for cut in 1..=cuts {
            let rest = planned.rest(&[Done { layout: 0, copies: Some(1), how: How::Begun(cut) }]);
            let now = rest.before.pieces();
            let pieces = rest.before.made.iter();
            let pieces = pieces.map(|made| extent(size(&made.piece)) * i128::from(made.part.qty));
            let rows = carried(&rest).iter().filter(|row| !row.factory_edges);
            let wood = pieces.sum::<i128>() + rows.map(|row| extent(size(row)) * i128::from(row.qty.unwrap())).sum::<i128>();
            prop_assert!(now >= made && wood <= there);
            (made, there) = (now, wood);
        }
    }
}
