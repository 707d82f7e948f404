//! A plan for one group while it is being looked for: sheets, each with how many are cut alike.

use super::filling::{Filling, missing};
use super::problem::Problem;
use super::tree::Sheet;
use super::worth::Worth;

/// Sheets with their copies, and what they leave.
#[derive(Clone, Debug)]
pub(super) struct Packed {
    /// Area of all that must be made and is not.
    pub missing: u128,
    pub cost: i128,
    pub sheets: Vec<(Sheet, u32)>,
    /// How many of each item are not made.
    pub left: Vec<u32>,
}

impl Packed {
    pub fn new(problem: &Problem, sheets: Vec<(Sheet, u32)>, left: Vec<u32>) -> Self {
        let cost = sheets.iter().fold(0, |cost: i128, (sheet, copies)| {
            cost.saturating_add(problem.kinds[sheet.kind()].cost.saturating_mul(i128::from(*copies)))
        });
        Self { missing: missing(problem, &left), cost, sheets, left }
    }

    /// Every sheet of a filling that holds something, once.
    pub fn of(filling: &Filling<'_>) -> Self {
        let sheets = filling.sheets.iter().filter(|sheet| sheet.count > 0).map(|sheet| (sheet.clone(), 1));
        Self::new(filling.problem, sheets.collect(), filling.left.clone())
    }

    /// The same with every sheet for itself.
    pub fn filling<'p>(&self, problem: &'p Problem, worth: &'p Worth) -> Filling<'p> {
        let copies = |(sheet, copies): &(Sheet, u32)| std::iter::repeat_n(sheet.clone(), *copies as usize);
        let sheets: Vec<Sheet> = self.sheets.iter().flat_map(copies).collect();
        let mut filling = Filling::new(problem, worth, self.left.clone());
        filling.adopt(&sheets, &self.left);
        filling
    }

    /// How many sheets of each kind.
    pub fn open(&self, problem: &Problem) -> Vec<u32> {
        let mut open = vec![0; problem.kinds.len()];
        for (sheet, copies) in &self.sheets {
            open[sheet.kind()] += copies;
        }
        open
    }

    /// Less is better.
    pub fn key(&self) -> (u128, i128) {
        (self.missing, self.cost)
    }

    /// What a complete plan must cost less than to be better: any cost where this one is not complete.
    pub fn below(&self) -> i128 {
        if self.missing > 0 { i128::MAX } else { self.cost }
    }

    /// Whether nothing cheaper can be looked for.
    pub fn done(&self, floor: i128) -> bool {
        self.missing == 0 && self.cost <= floor
    }
}
