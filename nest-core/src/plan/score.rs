//! Which of two plans is better? One tuple of whole numbers, compared from left to right; less is better.
//!
//! The order is the order of what matters to whoever pays: everything made, then the least money, then optional
//! parts, then leftovers that are worth something, then cuts that are easy to make. Runtime: linear in the layouts.

use super::Layout;
use crate::model::{CheckedBatch, GroupKind, UsableStock};
use crate::units::Length;

/// How good the layouts of one group are. Less is better; the fields are compared in this order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Score {
    /// Required parts not made: length in ticks in a group of boards, area in square ticks in one of sheets.
    pub unplaced_size: i128,
    /// Required parts not made: how many.
    pub unplaced: u64,
    /// Cost of the stock used, in the batch's measure.
    pub cost: i128,
    /// Optional parts not made: how many.
    pub optional: u64,
    /// Value of the rack pieces used less the value of the offcuts left; see [`leftover_value`].
    pub rack_loss: i128,
    /// Sum over all stock used of how deep its tree of cuts is.
    pub depth: u64,
    /// How many different layouts there are.
    pub layouts: u64,
    /// How often a stop or fence is set: runs of equal settings, each layout counted once.
    pub settings: u64,
    /// How many cuts are made on all stock.
    pub cuts: u64,
}

impl Score {
    /// The score of the layouts of one group. Layouts of other groups must not be among them; indices that do not
    /// exist count as nothing.
    pub fn of<'a>(batch: &CheckedBatch, group: usize, layouts: impl IntoIterator<Item = &'a Layout>) -> Self {
        let mut score = Self::default();
        let parts = batch.groups().get(group).map_or(&[][..], |group| &group.parts);
        let areas = batch.groups().get(group).is_some_and(|group| group.kind == GroupKind::Sheets);
        let mut made = vec![0_u64; parts.len()];
        for layout in layouts {
            let Some(stock) = batch.stock().get(layout.stock) else { continue };
            for piece in &layout.pieces {
                if let Ok(at) = parts.binary_search(&piece.part) {
                    made[at] = made[at].saturating_add(layout.copies.into());
                }
            }
            score.add(stock, layout);
        }
        for (&p, made) in parts.iter().zip(made) {
            let (Some(part), Some(cut)) = (batch.batch().parts.get(p), batch.parts().get(p)) else {
                continue;
            };
            let missing = u64::from(part.qty).saturating_sub(made);
            if part.optional {
                score.optional = score.optional.saturating_add(missing);
                continue;
            }
            let stock = cut.from.first().and_then(|placing| batch.stock().get(placing.stock));
            let size = match (stock, areas) {
                (Some(stock), true) => area(cut.length, cut.width.unwrap_or(stock.size[1])),
                _ => cut.length.ticks().into(),
            };
            score.unplaced_size = score.unplaced_size.saturating_add(size.saturating_mul(missing.into()));
            score.unplaced = score.unplaced.saturating_add(missing);
        }
        score
    }

    fn add(&mut self, stock: &UsableStock, layout: &Layout) {
        let copies = i128::from(layout.copies);
        self.cost = self.cost.saturating_add(stock.cost.saturating_mul(copies));
        let mut left: i128 = layout
            .offcuts(stock)
            .map(|place| leftover_value(stock, place.node.size))
            .fold(0, i128::saturating_add);
        if stock.on_hand {
            left = left.saturating_sub(leftover_value(stock, stock.usable()));
        }
        self.rack_loss = self.rack_loss.saturating_sub(left.saturating_mul(copies));
        self.layouts += 1;
        let mut depth = 0;
        let mut cuts: u64 = 0;
        let mut last = None;
        for cut in layout.cuts(stock) {
            depth = depth.max(cut.depth as u64);
            cuts += 1;
            let setting = Some((cut.way, cut.guide, cut.setting));
            self.settings += u64::from(last != setting);
            last = setting;
        }
        let copies = u64::from(layout.copies);
        self.depth = self.depth.saturating_add(depth.saturating_mul(copies));
        self.cuts = self.cuts.saturating_add(cuts.saturating_mul(copies));
    }
}

/// What a leftover is worth compared with others of its kind, growing faster than its size, so that one long
/// offcut beats two short ones and a whole board is not opened for a short piece. Boards: the square of the length
/// in whole millimetres, in proportion to the width. Sheets: the square of the area in whole square centimetres.
pub fn leftover_value(stock: &UsableStock, size: [Length; 2]) -> i128 {
    let mm = size.map(|side| i128::from(side.ticks().max(0) / Length::TICKS_PER_MM));
    if !stock.board {
        let square_cm = mm[0].saturating_mul(mm[1]) / 100;
        return square_cm.saturating_mul(square_cm);
    }
    let value = mm[0].saturating_mul(mm[0]);
    match i128::from(stock.usable()[1].ticks()) {
        ..=0 => value,
        width => value.saturating_mul(size[1].ticks().max(0).into()) / width,
    }
}

fn area(length: Length, width: Length) -> i128 {
    i128::from(length.ticks()) * i128::from(width.ticks())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Batch, Form, Part, PartGrain, Shop, Stock, StockGrain};
    use crate::units::{Money, Rate, System};

    /// What no two pieces of lie side by side is solved by length, sheets too; beside a narrow one it is a problem of areas.
    #[test]
    fn what_is_not_made_counts_as_it_is_looked_for() {
        let part = |length, width, qty| Part {
            name: "part".into(),
            material: "ply".into(),
            length: Length::mm(length),
            width: Some(Length::mm(width)),
            grain: Some(PartGrain::Length),
            qty,
            ..Part::default()
        };
        let stock = Stock {
            name: "sheet".into(),
            material: "ply".into(),
            form: Some(Form::Sheet),
            length: Length::mm(1000),
            width: Some(Length::mm(600)),
            price: Some(Rate::from(Money::from_minor(100))),
            qty: Some(1),
            grain: Some(StockGrain::Length),
            ..Stock::default()
        };
        let missing = |parts: Vec<Part>| {
            let shop = Shop::defaults(System::Metric);
            let batch = Batch { parts, stock: vec![stock.clone()], shop }.check().unwrap();
            Score::of(&batch, 0, []).unplaced_size
        };
        let mm = i128::from(Length::TICKS_PER_MM);
        assert_eq!(missing(vec![part(900, 600, 1), part(490, 500, 2)]), 1880 * mm);
        assert_eq!(missing(vec![part(900, 600, 1), part(490, 200, 2)]), 736_000 * mm * mm);
    }
}
