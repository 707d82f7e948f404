//! Questions about boards.

use super::Draw;
use nest_core::model::{Batch, Part, Stock};
use nest_core::units::{Length, Money, Rate};

fn sixteenths(n: i64) -> Length {
    Length::from_ticks(n * (Length::TICKS_PER_INCH / 16))
}

fn part(batch: &mut Batch, material: &str, length: Length, qty: u32) {
    let name = format!("p{}", batch.parts.len());
    batch.parts.push(Part { name, material: material.to_owned(), length, qty, ..Part::default() });
}

fn stock(batch: &mut Batch, material: &str, length: Length, minor: i64, qty: Option<u32>) {
    let name = format!("s{}", batch.stock.len());
    let price = Some(Rate::from(Money::from_minor(minor)));
    batch.stock.push(Stock { name, material: material.to_owned(), length, price, qty, ..Stock::default() });
}

/// A batch in inches: sections, parts each, most of a part, and four lengths of each section.
pub fn sections(sections: i64, parts: i64, most: i64, seed: u64) -> Batch {
    let mut draw = Draw(seed);
    let mut batch = Batch::default();
    batch.shop.boards.kerf = sixteenths(2);
    for section in 0..sections {
        let material = format!("section {section}");
        for _ in 0..parts {
            let length = sixteenths(6 * 16 + draw.upto(80 * 16));
            part(&mut batch, &material, length, draw.qty(most));
        }
        for feet in [8, 10, 12, 16] {
            let minor = feet * (29 + 7 * section) - draw.upto(20);
            stock(&mut batch, &material, sixteenths(feet * 192), minor, None);
        }
    }
    batch
}

/// Bars that are cut into three pieces without a rest.
pub fn triplets(bars: i64, seed: u64) -> Batch {
    let mut draw = Draw(seed);
    let mut batch = Batch::default();
    batch.shop.boards.kerf = Length::ZERO;
    stock(&mut batch, "m", Length::mm(1000), 100, None);
    for _ in 0..bars {
        let first = 260 + draw.upto(200);
        let second = 250 + draw.upto(1000 - first - 500);
        for length in [first, second, 1000 - first - second] {
            part(&mut batch, "m", Length::mm(length), 1);
        }
    }
    batch
}

/// Three kinds of bars, few of the good ones.
pub fn scarce(seed: u64) -> Batch {
    let mut draw = Draw(seed);
    let mut batch = Batch::default();
    batch.shop.boards.kerf = Length::mm(3);
    batch.shop.boards.trim = [Length::mm(5); 2];
    for (length, minor, qty) in [(4000, 1450, Some(6)), (3000, 1190, Some(9)), (2400, 990, None)] {
        stock(&mut batch, "m", Length::mm(length), minor, qty);
    }
    for _ in 0..30 {
        let length = Length::mm(150 + draw.upto(1800));
        part(&mut batch, "m", length, draw.qty(4));
    }
    batch
}
