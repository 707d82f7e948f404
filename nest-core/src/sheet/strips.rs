//! Strips of matched grain as the solver sees them: what has to lie together, in order, and how it may lie.

use super::problem::RawLay;
use crate::model::{CheckedBatch, PartGrain, UsableStock};

/// Pieces that follow each other.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Strip {
    /// Index of the part and how many of it, in order.
    pub pieces: Vec<(usize, u32)>,
    /// For each of them, whether its length runs with the grain.
    pub length_with_grain: Vec<bool>,
}

/// How a strip may lie on each stock.
type Lays = Vec<Vec<RawLay>>;

/// The strips with how they may lie on each stock, and the parts that belong to none.
pub(super) fn of(
    batch: &CheckedBatch,
    parts: &[usize],
    stock: &[(usize, &UsableStock)],
) -> (Vec<(Strip, Lays)>, Vec<usize>) {
    let mut strips = Vec::new();
    let mut loose = parts.to_vec();
    let here =
        |strip: &&crate::model::Strip| strip.parts.iter().all(|part| parts.binary_search(part).is_ok());
    for strip in batch.strips().iter().filter(here) {
        loose.retain(|part| strip.parts.binary_search(part).is_err());
        let asked = || strip.parts.iter().filter_map(|&p| Some((p, batch.batch().parts.get(p)?)));
        let pieces = asked().map(|(p, part)| (p, part.qty)).collect();
        let length_with_grain =
            asked().map(|(_, part)| PartGrain::length_runs_with_strip(part.grain)).collect();
        let mut lays: Lays = vec![Vec::new(); stock.len()];
        for placing in &strip.from {
            if let Ok(k) = stock.binary_search_by_key(&placing.stock, |&(s, _)| s) {
                let chain = Some(strip.way.axis(placing.turned) as u8);
                lays[k].push(RawLay { size: placing.size, turned: placing.turned, chain });
            }
        }
        strips.push((Strip { pieces, length_with_grain }, lays));
    }
    (strips, loose)
}
