//! Are parts whose grain has to match one strip?
//!
//! Which parts belong together the question says; here only places are compared. The pieces of a strip lie with their
//! grain alike, are freed by one run of parallel cuts, follow each other in the order of the list with one kerf between
//! two, and none of them is made without the others.

use super::{Fault, Faults, Which, tree::Sawn};
use crate::model::{CheckedBatch, PartGrain, Strip};
use crate::plan::Way;

/// The strips of a question.
pub(super) struct Strips<'a> {
    batch: &'a CheckedBatch,
    /// For each part its strip; empty where there is none at all.
    of: Vec<Option<usize>>,
}

impl<'a> Strips<'a> {
    pub fn new(batch: &'a CheckedBatch) -> Self {
        let strips = batch.strips();
        let mut of = vec![None; if strips.is_empty() { 0 } else { batch.parts().len() }];
        for (s, strip) in strips.iter().enumerate() {
            for &part in &strip.parts {
                if let Some(of) = of.get_mut(part) {
                    *of = Some(s);
                }
            }
        }
        Self { batch, of }
    }

    /// Judges the pieces of one layout. Runtime: the number of pieces times its logarithm.
    pub fn judge(&self, layout: usize, stock: usize, pieces: &[Sawn], faults: &mut Faults) {
        let mut matched: Vec<(usize, &Sawn)> = pieces
            .iter()
            .filter_map(|piece| Some((self.of.get(piece.part).copied().flatten()?, piece)))
            .collect();
        matched.sort_by_key(|&(strip, piece)| (strip, piece.course.run(), piece.at));
        for group in matched.chunk_by(|a, b| a.0 == b.0) {
            let Some(strip) = group.first().and_then(|&(s, _)| self.batch.strips().get(s)) else { continue };
            let order = self.order(strip);
            let found = self.right(strip, &order, stock, group);
            if found < order.len() || group.len() != order.len() {
                let part = Which::part(self.batch, order.first().copied().unwrap_or_default());
                faults.push(Fault::Strip { layout, part, expected: order.len(), found });
            }
        }
    }

    /// The part of each piece of a strip, in order.
    fn order(&self, strip: &Strip) -> Vec<usize> {
        let qty = |part: usize| self.batch.batch().parts.get(part).map_or(0, |part| part.qty as usize);
        strip.parts.iter().flat_map(|&part| std::iter::repeat_n(part, qty(part))).collect()
    }

    /// How many pieces are right, from the first one on.
    fn right(&self, strip: &Strip, order: &[usize], stock: usize, pieces: &[(usize, &Sawn)]) -> usize {
        let kerf = self.batch.stock().get(stock).map_or(0, |stock| i128::from(stock.kerf.ticks()));
        let Some((first, run)) = pieces.first().and_then(|&(_, first)| Some((first, first.course.run()?)))
        else {
            return 0;
        };
        let turned = self.grain_across(first);
        // Floors rely on where a strip may lie, as on where a part may.
        if !strip.from.iter().any(|placing| (placing.stock, placing.turned) == (stock, turned)) {
            return 0;
        }
        let axis = strip.way.axis(turned);
        if run.0 != (if axis == 0 { Way::Crosscut } else { Way::Rip }) {
            return 0;
        }
        let mut at = first.at;
        let follows = |&(&(_, piece), &part): &(&(usize, &Sawn), &usize)| {
            let right = piece.part == part
                && piece.at == at
                && piece.course.run() == Some(run)
                && self.grain_across(piece) == turned;
            at[axis] += i128::from(piece.size[axis].ticks()) + kerf;
            right
        };
        pieces.iter().zip(order).take_while(follows).count()
    }

    /// Whether the grain that a strip follows runs across the length of the stock in a piece.
    fn grain_across(&self, piece: &Sawn) -> bool {
        let grain = self.batch.batch().parts.get(piece.part).and_then(|part| part.grain);
        PartGrain::length_runs_with_strip(grain) == piece.turned
    }
}
