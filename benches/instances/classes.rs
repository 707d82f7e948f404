//! Sums by class.

use super::Outcome;
use super::published::{Case, class};
use std::collections::BTreeMap;

/// Sums, where the names of the cases say one: sheets used beside the published bounds and our floors.
#[derive(Default)]
pub struct Classes(BTreeMap<String, [f64; 4]>);

impl Classes {
    /// Counts a case.
    pub fn add(&mut self, case: &Case, outcome: &Outcome) {
        if let (Some(class), Some(bound)) = (class(case), case.bound) {
            let sums = self.0.entry(class.to_owned()).or_default();
            for (sum, more) in sums.iter_mut().zip([1.0, outcome.cost, bound, outcome.floor]) {
                *sum += more;
            }
        }
    }

    /// One line a class.
    pub fn print(&self) {
        for (class, [cases, cost, bound, floor]) in &self.0 {
            let over = cost / bound;
            println!("  {class}: {cases} cases, {cost} sheets, bound {bound}, our floor {floor}, {over:.5}");
        }
    }
}
