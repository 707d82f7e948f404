//! Questions about sheets in a few words, for the tests of this binary.

use super::build::solve;
use nest_core::model::{
    Batch, CheckedBatch, FirstCut, Form, GroupKind, Part, PartGrain, Stages, Stock, StockGrain,
};
use nest_core::search::{Effort, Options};
use nest_core::solution::{Solution, Status};
use nest_core::units::{Length, Money, Rate};

/// A question of one material without kerf or edge trim, any number of stages. Sizes are whole millimetres.
#[derive(Clone)]
pub struct Sheets {
    pub batch: Batch,
}

impl Sheets {
    pub fn new() -> Self {
        let mut batch = Batch::default();
        batch.shop.sheets.kerf = Length::ZERO;
        batch.shop.sheets.stages = Stages::Any;
        Self { batch }
    }

    /// A sheet at a cost in whole units, as many as wanted.
    pub fn sheet(mut self, size: [i64; 2], cost: i64) -> Self {
        self.batch.stock.push(Stock {
            name: format!("s{}", self.batch.stock.len()),
            material: "m".to_owned(),
            form: Some(Form::Sheet),
            length: Length::mm(size[0]),
            width: Some(Length::mm(size[1])),
            price: Some(Rate::from(Money::from_minor(cost * 100))),
            grain: Some(StockGrain::Length),
            ..Stock::default()
        });
        self
    }

    /// Limits the sheet named last.
    pub fn limited(mut self, qty: u32) -> Self {
        self.batch.stock.last_mut().unwrap().qty = Some(qty);
        self
    }

    /// So many pieces of a size, which lie as they are written.
    pub fn part(mut self, size: [i64; 2], qty: u32) -> Self {
        self.batch.parts.push(Part {
            name: format!("p{}", self.batch.parts.len()),
            material: "m".to_owned(),
            length: Length::mm(size[0]),
            width: Some(Length::mm(size[1])),
            qty,
            grain: Some(PartGrain::Length),
            ..Part::default()
        });
        self
    }

    pub fn parts(self, list: &[(i64, i64, u32)]) -> Self {
        list.iter().fold(self, |sheets, &(length, width, qty)| sheets.part([length, width], qty))
    }

    /// All parts may be turned.
    pub fn turning(mut self) -> Self {
        self.batch.parts.iter_mut().for_each(|part| part.grain = Some(PartGrain::Any));
        self
    }

    pub fn kerf(mut self, kerf: i64) -> Self {
        self.batch.shop.sheets.kerf = Length::mm(kerf);
        self
    }

    pub fn trim(mut self, trim: i64) -> Self {
        self.batch.shop.sheets.trim = [Length::mm(trim); 4];
        self
    }

    /// Limits the stages, with or without a trimming cut.
    pub fn stages(mut self, most: u8, trimming: bool) -> Self {
        self.batch.shop.sheets.stages = Stages::Limited(most);
        self.batch.shop.sheets.trimming = trimming;
        self
    }

    pub fn first(mut self, cut: FirstCut) -> Self {
        self.batch.shop.sheets.first_cut = cut;
        self
    }

    pub fn checked(&self) -> CheckedBatch {
        self.batch.clone().check().unwrap_or_else(|problems| panic!("{problems}"))
    }

    pub fn solve(&self, effort: Effort) -> Solution {
        solve(&self.checked(), Options { effort, ..Options::default() })
    }
}

/// The least cost in whole units is reached, and no floor is above it.
#[track_caller]
pub fn assert_reached(sheets: &Sheets, cost: i64) {
    let checked = sheets.checked();
    assert_eq!(checked.groups()[0].kind, GroupKind::Sheets);
    let solution = solve(&checked, Options { effort: Effort::Quick, ..Options::default() });
    assert!(solution.plan.unplaced.is_empty());
    let best = i128::from(cost) * 100;
    assert!(solution.floor <= best, "floor {} above {best}", solution.floor);
    assert_eq!(solution.cost, best, "floor {}", solution.floor);
    assert_eq!(solution.status == Status::Proven, solution.floor == best);
}

/// The least cost is reached and proven.
#[track_caller]
pub fn assert_proven(sheets: &Sheets, cost: i64) {
    assert_reached(sheets, cost);
    assert_eq!(sheets.solve(Effort::Quick).status, Status::Proven);
}
