//! Layouts that a chain of ruin and recreate came through.
//!
//! A search for one sheet less hardly ever ends there, but every layout that it keeps for a while is a good one at the prices
//! of the moment, and there are thousands: enough for a relaxation over them to say which of them go together.

use std::collections::BTreeSet;

use super::filling::{Filling, need};
use super::problem::Problem;
use super::tree::Sheet;
use crate::search::split_mix;

/// A sheet that holds less than so many hundredths of what one must hold on average is not worth it.
const LEAST: u128 = 70;

/// Layouts seen and not yet taken over, each once.
#[derive(Clone, Debug, Default)]
pub(crate) struct Seen {
    /// How much to remember at most, in nodes, and how much is.
    most: u64,
    nodes: u64,
    /// Area of all that must be made, kerf included.
    need: u128,
    known: BTreeSet<u64>,
    pub fresh: Vec<Sheet>,
}

impl Seen {
    /// Remembers so many nodes of layouts for a problem.
    pub fn up_to(most: u64, problem: &Problem) -> Self {
        Self { most, need: need(problem, &problem.demand()), ..Self::default() }
    }

    /// Takes a look at some sheets of a filling.
    pub fn note(&mut self, filling: &Filling<'_>, sheets: impl Iterator<Item = usize>) {
        if self.nodes >= self.most {
            return;
        }
        let kinds = &filling.problem.kinds;
        let area = |kind: usize| u128::from(kinds[kind].area());
        let all =
            filling.open.iter().enumerate().map(|(kind, &open)| area(kind) * u128::from(open)).sum::<u128>();
        for sheet in sheets.map(|at| &filling.sheets[at]).filter(|sheet| sheet.count > 0) {
            let full = u128::from(sheet.used).saturating_mul(all).saturating_mul(100);
            if full >= area(sheet.kind()).saturating_mul(self.need).saturating_mul(LEAST)
                && self.known.insert(key(sheet))
            {
                self.nodes += u64::from(sheet.slots());
                self.fresh.push(sheet.clone());
            }
        }
    }
}

/// The same for layouts that hold the same; hardly ever for others.
fn key(sheet: &Sheet) -> u64 {
    let kind = split_mix(!(sheet.kind() as u64));
    sheet.items().fold(kind, |key, item| key.wrapping_add(split_mix(item as u64)))
}
