//! What does using one piece of each stock cost?
//!
//! A price per length, area or board foot becomes a price a piece, rounded once. In a batch in which nothing that can
//! be bought has a price, cost is counted in bought length (boards alone) or bought area. Prices of stock that no
//! part can come from do not matter.

use super::super::problem::{Findings, ProblemKind, stock as place};
use super::super::{Batch, Measure, Per, Stock, Table, UsableStock};
use crate::units::{Area, AreaUnit, Money, Rate, Unit};

/// Fills in price and cost of all stock that is used, and says what cost is counted in.
pub fn settle(
    batch: &Batch,
    used: &[bool],
    stock: &mut [Option<UsableStock>],
    found: &mut Findings,
) -> Measure {
    let bought = |index: usize| !batch.stock[index].on_hand;
    // A price that cannot be read is one.
    let says = |index: usize, found: &Findings| {
        batch.stock[index].price.is_some() || !found.sure(place(index, "price"))
    };
    let owner = |index: usize, found: &Findings| found.sure(place(index, "on_hand"));
    let priced = (0..stock.len()).any(|index| bought(index) && says(index, found) && owner(index, found));
    // A list that cannot be read, or stock of which nobody knows whether it is bought, may have a price.
    let perhaps = !found.sure_rows(Table::Stock) || (0..stock.len()).any(|index| !owner(index, found));
    let measure = match priced || perhaps {
        true => Measure::Money,
        false if stock.iter().zip(used).any(|(s, used)| *used && s.as_ref().is_some_and(|s| !s.board)) => {
            Measure::Area
        }
        false => Measure::Length,
    };
    for (index, usable) in stock.iter_mut().enumerate() {
        let Some(usable) = usable else { continue };
        let asked = &batch.stock[index];
        let sizes = ["price", "per", "length", "width", "section"];
        if let (Some(rate), true) = (asked.price, found.sure_of(place(index, ""), &sizes)) {
            match each(asked, usable, rate) {
                Ok(money) => usable.each = Some(money),
                Err((field, message, hint)) => {
                    found.add(place(index, field), ProblemKind::Price, message).hint(hint)
                }
            }
        }
        if !used[index] || asked.on_hand {
            continue;
        }
        usable.cost = match measure {
            Measure::Money => {
                if priced && !says(index, found) && owner(index, found) {
                    missing(index, asked, found);
                }
                usable.each.map_or(0, |each| i128::from(each.minor()))
            }
            Measure::Length => i128::from(usable.size[0].ticks()),
            Measure::Area if usable.size[1].is_zero() => {
                found
                    .add(
                        place(index, "width"),
                        ProblemKind::Missing,
                        "without prices cost is counted in area, and this board has no width",
                    )
                    .hint("fill in its width, or give all stock a price");
                0
            }
            Measure::Area => Area::of(usable.size[0], usable.size[1]).square_ticks(),
        };
    }
    measure
}

fn missing(index: usize, stock: &Stock, found: &mut Findings) {
    found
        .add(
            place(index, "price"),
            ProblemKind::Price,
            format!("{} has no price, but other stock has", stock.name),
        )
        .hint("fill it in; if it is owned, write `yes` in the `on_hand` column");
}

type Unpriced = (&'static str, &'static str, &'static str);

/// Price of one piece.
fn each(stock: &Stock, usable: &UsableStock, rate: Rate) -> Result<Money, Unpriced> {
    let [length, width] = usable.size;
    let area = |unit: AreaUnit| match width.is_zero() {
        true => Err(("width", "the price is for an area, but the board has no width", "fill in its width")),
        false => Ok(rate.for_area(Area::of(length, width), unit)),
    };
    let money = match stock.per {
        Per::Each => rate.for_one(),
        Per::Foot => rate.for_length(length, Unit::Foot),
        Per::Metre => rate.for_length(length, Unit::Metre),
        Per::SquareFoot => area(AreaUnit::SquareFoot)?,
        Per::SquareMetre => area(AreaUnit::SquareMetre)?,
        Per::BoardFoot => {
            let unnamed = "board feet count the nominal size, but the stock has no section";
            let section = stock.section.ok_or(("section", unnamed, "fill in its section, such as `1x4`"))?;
            rate.for_board_feet(section.board_feet(length))
        }
    };
    money.ok_or((
        "price",
        "the price of one piece is beyond 100 000 000",
        "check the price and what it is for",
    ))
}
