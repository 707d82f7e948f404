//! What pricing may put on a sheet: items in their lays, each at a price.

use super::problem::Problem;

/// An item in one of its lays, at a price.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Offer {
    pub item: usize,
    pub lay: u8,
    pub size: [u32; 2],
    pub price: i64,
    /// How many are asked for.
    pub most: u64,
}

/// The best cutting of one sheet at some prices.
#[derive(Clone, Debug)]
pub(super) struct Priced {
    pub value: i64,
    pub cutting: super::cutting::Cutting,
}

/// All offers on a kind of sheet.
pub(super) fn offers(problem: &Problem, kind: usize, prices: &[i64], left: &[u32]) -> Vec<Offer> {
    let mut offers = Vec::new();
    for (item, &price) in prices.iter().enumerate().filter(|&(_, &price)| price > 0) {
        for (lay, of) in problem.lays(kind, item).iter().enumerate() {
            let most = left[item].into();
            offers.push(Offer { item, lay: lay as u8, size: of.size, price, most });
        }
    }
    offers
}
