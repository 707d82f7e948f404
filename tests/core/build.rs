//! Questions about boards in a few words, for the tests of this binary.

use nest_core::check;
use nest_core::model::{Batch, CheckedBatch, Part, Stock};
use nest_core::search::{Effort, Options, Silent};
use nest_core::solution::{Solution, Status};
use nest_core::units::{Length, Money, Rate};

/// A question of one material without kerf or edge trim. Lengths are thousandths of a millimetre.
pub struct Boards {
    pub batch: Batch,
}

impl Boards {
    pub fn new() -> Self {
        let mut batch = Batch::default();
        batch.shop.boards.kerf = Length::ZERO;
        Self { batch }
    }

    /// Stock of a length at a cost in whole units, as many as wanted.
    pub fn stock(mut self, length: i64, cost: i64) -> Self {
        self.batch.stock.push(Stock {
            name: format!("s{}", self.batch.stock.len()),
            material: "m".to_owned(),
            length: micrometres(length),
            price: Some(Rate::from(Money::from_minor(cost * 100))),
            ..Stock::default()
        });
        self
    }

    /// Limits the stock named last.
    pub fn limited(mut self, qty: u32) -> Self {
        self.batch.stock.last_mut().unwrap().qty = Some(qty);
        self
    }

    /// So many pieces of a length.
    pub fn part(mut self, length: i64, qty: u32) -> Self {
        self.batch.parts.push(Part {
            name: format!("p{}", self.batch.parts.len()),
            material: "m".to_owned(),
            length: micrometres(length),
            qty,
            ..Part::default()
        });
        self
    }

    pub fn parts(self, list: &[(i64, u32)]) -> Self {
        list.iter().fold(self, |boards, &(length, qty)| boards.part(length, qty))
    }

    pub fn kerf(mut self, kerf: i64) -> Self {
        self.batch.shop.boards.kerf = micrometres(kerf);
        self
    }

    pub fn trim(mut self, trim: i64) -> Self {
        self.batch.shop.boards.trim = [micrometres(trim); 2];
        self
    }

    pub fn checked(&self) -> CheckedBatch {
        self.batch.clone().check().unwrap()
    }

    pub fn solve(&self, effort: Effort) -> Solution {
        solve(&self.checked(), Options { effort, ..Options::default() })
    }
}

/// Length from thousandths of a millimetre.
pub fn micrometres(um: i64) -> Length {
    Length::from_ticks(um * Length::TICKS_PER_MM / 1000)
}

/// Solves and checks once more from outside.
pub fn solve(batch: &CheckedBatch, options: Options) -> Solution {
    let solution = nest_core::solve(batch, &options, &Silent).unwrap();
    let checked = check::check(batch, &solution.plan).unwrap();
    assert_eq!(checked.cost(), solution.cost);
    assert_eq!(checked.floor(), solution.floor);
    solution
}

/// The least cost in whole units is found and proven, and the greedy plan alone is whole and no cheaper.
pub fn assert_least(boards: &Boards, cost: i64) {
    let solution = boards.solve(Effort::Normal);
    assert_eq!(solution.cost, i128::from(cost) * 100, "floor {}", solution.floor);
    assert_eq!(solution.status, Status::Proven, "floor {}", solution.floor);
    let greedy = boards.solve(Effort::None);
    assert!(greedy.plan.unplaced.is_empty());
    assert!(greedy.cost >= solution.cost);
    assert!(greedy.floor <= solution.cost);
}
