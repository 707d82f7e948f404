//! Which parts are cut as one strip because their grain has to match?
//!
//! Parts of one job, material, thickness and word, in the order of the list, each as often as it is asked for, with
//! nothing between them but a kerf: one after the other along the grain, or side by side across it. Where the strip
//! fits no stock, or its pieces differ across it, its parts are cut apart.

use std::collections::BTreeMap;

use super::problem::{RawLay, clean};
use crate::model::{CheckedBatch, MatchWay, PartGrain, UsableStock, fold};
use crate::units::Length;

/// Longer strips are cut apart.
const MOST_PIECES: u64 = 1000;

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
    let mut loose = Vec::new();
    let mut words: BTreeMap<(String, String, Option<Length>, String), Vec<usize>> = BTreeMap::new();
    for &part in parts {
        let Some(asked) = batch.batch().parts.get(part) else { continue };
        match &asked.match_word {
            Some(word) if asked.qty > 0 => words
                .entry((fold(&asked.job), fold(&asked.material), asked.thickness, fold(word)))
                .or_default()
                .push(part),
            _ => loose.push(part),
        }
    }
    let mut strips = Vec::new();
    for members in words.into_values() {
        match strip(batch, &members, stock) {
            Some(strip) => strips.push(strip),
            None => loose.extend(members),
        }
    }
    loose.sort_unstable();
    (strips, loose)
}

fn strip(batch: &CheckedBatch, members: &[usize], stock: &[(usize, &UsableStock)]) -> Option<(Strip, Lays)> {
    let asked: Vec<_> = members.iter().map(|&p| &batch.batch().parts[p]).collect();
    let count: u64 = asked.iter().map(|part| u64::from(part.qty)).sum();
    let way = asked.first()?.match_way;
    let mixed = asked.iter().any(|part| part.match_way != way || part.optional != asked[0].optional);
    if !(2..=MOST_PIECES).contains(&count) || mixed {
        return None;
    }
    let length_with_grain: Vec<bool> =
        asked.iter().map(|part| part.grain != Some(PartGrain::Width)).collect();
    let lays: Lays = stock
        .iter()
        .map(|&(s, stock)| {
            [0, 1]
                .into_iter()
                .filter_map(|grain| lay(batch, members, &length_with_grain, way, s, stock, grain))
                .collect()
        })
        .collect();
    if lays.iter().all(Vec::is_empty) {
        return None;
    }
    let pieces = members.iter().zip(&asked).map(|(&p, asked)| (p, asked.qty)).collect();
    Some((Strip { pieces, length_with_grain }, lays))
}

/// How the strip lies on a stock with its grain along the given axis, if it fits.
fn lay(
    batch: &CheckedBatch,
    members: &[usize],
    length_with_grain: &[bool],
    way: MatchWay,
    s: usize,
    stock: &UsableStock,
    grain: usize,
) -> Option<RawLay> {
    let chain = if way == MatchWay::Along { grain } else { 1 - grain };
    let (mut long, mut across): (i64, Option<Length>) = (0, None);
    let mut pieces: i64 = 0;
    for (&p, &with) in members.iter().zip(length_with_grain) {
        let cut = batch.parts().get(p)?;
        let turned = with == (grain == 1);
        let placing = cut.from.iter().find(|placing| placing.stock == s)?;
        if !(if turned { placing.turned } else { placing.straight }) {
            return None;
        }
        let mut size = [cut.length, cut.width?];
        if turned {
            size.reverse();
        }
        if across.is_some_and(|across| across != size[1 - chain]) {
            return None;
        }
        across = Some(size[1 - chain]);
        let qty = i64::from(batch.batch().parts.get(p)?.qty);
        long = long.checked_add(size[chain].ticks().checked_mul(qty)?)?;
        pieces += qty;
    }
    long = long.checked_add(stock.kerf.ticks().checked_mul(pieces - 1)?)?;
    let mut size = [across?; 2];
    size[chain] = Length::from_ticks(long);
    let room = clean(stock);
    let fits = size[0] <= room[0] && size[1] <= room[1];
    fits.then_some(RawLay { size, turned: grain == 1, chain: Some(chain as u8) })
}
