//! How much edge band does a plan need?
//!
//! Counted from the pieces that the plan makes, at their finished size. A tape is as wide as its panel is thick, so
//! what one band needs is told apart by material.

use std::collections::BTreeMap;

use crate::model::CheckedBatch;
use crate::plan::Plan;
use crate::units::Length;

/// What one material needs of one band.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct Banding {
    /// Index of the band in the shop; `None` where the shop knows no band.
    pub band: Option<usize>,
    /// Index of the group whose parts it goes on.
    pub group: usize,
    /// How many edges are banded.
    pub edges: u64,
    /// Sum of all banded edges, exactly.
    pub net: Length,
    /// The same with what is cut longer at every edge.
    pub gross: Length,
}

/// The edge band of a plan, by band and then by material; what no edge needs is left out. Sums stop at the longest
/// length there is, which no batch that passed validation reaches.
pub fn banding(batch: &CheckedBatch, plan: &Plan) -> Vec<Banding> {
    let mut found: BTreeMap<(Option<usize>, usize), (u64, i128)> = BTreeMap::new();
    for layout in &plan.layouts {
        let copies = u64::from(layout.copies);
        for piece in &layout.pieces {
            let (Some(part), Some(cut)) =
                (batch.batch().parts.get(piece.part), batch.parts().get(piece.part))
            else {
                continue;
            };
            let Some(group) = cut.group.filter(|_| part.length_edges + part.width_edges > 0) else {
                continue;
            };
            // Without a width of its own a part is as wide as its board.
            let width = part.width.unwrap_or(piece.size[1]);
            let length = i128::from(part.length.ticks()) * i128::from(part.length_edges)
                + i128::from(width.ticks()) * i128::from(part.width_edges);
            let entry = found.entry((cut.band, group)).or_default();
            entry.0 = entry.0.saturating_add(copies * u64::from(part.length_edges + part.width_edges));
            entry.1 = entry.1.saturating_add(length * i128::from(copies));
        }
    }
    let shop = &batch.batch().shop;
    let usual = shop.usual_overhang();
    let line = |((band, group), (edges, net)): ((Option<usize>, usize), (u64, i128))| {
        let own = band.and_then(|band| shop.bands.get(band)).and_then(|band| band.overhang);
        let over = i128::from(own.unwrap_or(usual).ticks()).saturating_mul(edges.into());
        Banding { band, group, edges, net: length(net), gross: length(net.saturating_add(over)) }
    };
    found.into_iter().map(line).collect()
}

fn length(ticks: i128) -> Length {
    Length::from_ticks(i64::try_from(ticks).unwrap_or(i64::MAX))
}
