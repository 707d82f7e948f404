//! Questions about sheets.

use super::Draw;
use nest_core::model::{Batch, Form, MatchWay, Part, PartGrain, Stock, StockGrain};
use nest_core::units::{Length, Money, Rate};

fn part(batch: &mut Batch, material: &str, size: [i64; 2], qty: u32, grain: PartGrain) {
    batch.parts.push(Part {
        name: format!("p{}", batch.parts.len()),
        material: material.to_owned(),
        length: Length::mm(size[0]),
        width: Some(Length::mm(size[1])),
        qty,
        grain: Some(grain),
        ..Part::default()
    });
}

fn sheet(batch: &mut Batch, material: &str, size: [i64; 2], minor: i64, qty: Option<u32>) {
    batch.stock.push(Stock {
        name: format!("s{}", batch.stock.len()),
        material: material.to_owned(),
        form: Some(Form::Sheet),
        length: Length::mm(size[0]),
        width: Some(Length::mm(size[1])),
        price: Some(Rate::from(Money::from_minor(minor))),
        qty,
        grain: Some(StockGrain::Length),
        ..Stock::default()
    });
}

/// Closets, each of 40 panels in three materials: carcass, fronts, backs. Every second closet is of other materials, and two are a job.
/// Saws as a shop has them: kerf 3.2 mm, a clean edge of 10 mm all round, three stages with trimming.
pub fn closets(count: u32, seed: u64) -> Batch {
    let mut draw = Draw(seed);
    let mut batch = Batch::default();
    batch.shop.sheets.trim = [Length::mm(10); 4];
    let looks = count.min(2);
    for look in 0..looks {
        sheet(&mut batch, &format!("carcass {look}"), [2440, 1220], 5400 + 300 * i64::from(look), None);
        sheet(&mut batch, &format!("front {look}"), [2800, 2070], 11800 + 900 * i64::from(look), None);
        sheet(&mut batch, &format!("back {look}"), [2440, 1220], 2100 + 100 * i64::from(look), None);
    }
    for closet in 0..count {
        let look = closet % looks;
        let names = ["carcass", "front", "back"].map(|name| format!("{name} {look}"));
        let (high, deep) = (1900 + draw.upto(500), 300 + draw.upto(300));
        let mut columns = [0; 3].map(|_| 380 + draw.upto(500));
        columns.sort_unstable();
        // Sides and shelves: 4 + 3 * 6 = 22 panels.
        part(&mut batch, &names[0], [high, deep], 4, PartGrain::Length);
        for wide in columns {
            part(&mut batch, &names[0], [wide, deep], 2, PartGrain::Length);
            part(&mut batch, &names[0], [wide - 2, deep - 20], 4, PartGrain::Length);
        }
        // Fronts: 3 doors and 9 fronts of drawers, their grain upright.
        for wide in columns {
            let front = 120 + draw.upto(160);
            part(&mut batch, &names[1], [high - 620 - draw.upto(200), wide - 4], 1, PartGrain::Length);
            part(&mut batch, &names[1], [wide - 4, front], 3, PartGrain::Width);
        }
        // Backs: one a column and three behind the drawers; no grain to mind.
        for wide in columns {
            part(&mut batch, &names[2], [high - 10, wide + 12], 1, PartGrain::Any);
            part(&mut batch, &names[2], [600, wide + 12], 1, PartGrain::Any);
        }
        for part in batch.parts.iter_mut().filter(|part| part.job.is_empty()) {
            part.job = format!("job {}", closet / 2);
        }
    }
    batch
}

/// Fronts of a kitchen whose grain runs on: banks of three to five drawers, one above the other, and pairs of doors side by
/// side; for every two of them an end panel.
pub fn fronts(strips: u32, seed: u64) -> Batch {
    let mut draw = Draw(seed);
    let mut batch = Batch::default();
    batch.shop.sheets.trim = [Length::mm(10); 4];
    sheet(&mut batch, "veneer", [2440, 1220], 14_800, None);
    for strip in 0..strips {
        let wide = 380 + 50 * draw.upto(5);
        let drawers = draw.upto(3) < 2;
        let before = batch.parts.len();
        if drawers {
            for _ in 0..3 + draw.upto(3) {
                part(&mut batch, "veneer", [120 + 20 * draw.upto(8), wide], 1, PartGrain::Length);
            }
        } else {
            part(&mut batch, "veneer", [600 + 40 * draw.upto(8), wide], 2, PartGrain::Length);
        }
        for front in batch.parts.iter_mut().skip(before) {
            front.match_word = Some(format!("strip {strip}"));
            front.match_way = if drawers { MatchWay::Along } else { MatchWay::Across };
        }
        if strip % 2 == 1 {
            part(&mut batch, "veneer", [720 + draw.upto(1500), 560 + draw.upto(40)], 1, PartGrain::Length);
        }
    }
    batch
}

/// So many pieces of so many sizes of one material on one sheet, half of them may turn.
pub fn panels(sizes: i64, pieces: u32, seed: u64) -> Batch {
    let mut draw = Draw(seed);
    let mut batch = Batch::default();
    batch.shop.sheets.trim = [Length::mm(10); 4];
    sheet(&mut batch, "m", [2800, 2070], 6400, None);
    let each = pieces / u32::try_from(sizes).unwrap_or(1);
    for size in 0..sizes {
        let grain = if size % 2 == 0 { PartGrain::Any } else { PartGrain::Length };
        let lengths = [150 + draw.upto(900), 80 + draw.upto(500)];
        // The quantities go round the mean, and add up.
        let qty = if size % 2 == 0 { each - each / 3 } else { each + each / 3 };
        part(&mut batch, "m", lengths, qty, grain);
    }
    batch
}

/// A few large panels that take nearly all of four sizes of sheets, and hundreds of small pieces of any grain.
pub fn large_and_tiny(large: u32, tiny: u32, seed: u64) -> Batch {
    let mut draw = Draw(seed);
    let mut batch = Batch::default();
    batch.shop.sheets.trim = [Length::mm(10); 4];
    for (size, minor) in
        [([2800, 2070], 9800), ([2440, 1220], 5300), ([2500, 1250], 5700), ([1220, 1220], 2900)]
    {
        sheet(&mut batch, "m", size, minor, None);
    }
    for _ in 0..large {
        part(&mut batch, "m", [500 + draw.upto(1000), 300 + draw.upto(600)], 1, PartGrain::Length);
    }
    for piece in 0..tiny {
        // One lath in four, the rest blocks.
        let size = if piece % 4 == 0 {
            [120 + draw.upto(280), 50 + draw.upto(110)]
        } else {
            [30 + draw.upto(60), 20 + draw.upto(40)]
        };
        part(&mut batch, "m", size, 1, PartGrain::Any);
    }
    batch
}

/// Panels on three sheets of different prices, the best of which are few, and two pieces from the rack.
pub fn mixed(sizes: i64, most: i64, seed: u64) -> Batch {
    let mut draw = Draw(seed);
    let mut batch = Batch::default();
    sheet(&mut batch, "m", [2800, 2070], 9900, Some(3));
    sheet(&mut batch, "m", [2440, 1220], 5300, None);
    sheet(&mut batch, "m", [1220, 1220], 3000, None);
    for size in [[1400, 700], [900, 600]] {
        sheet(&mut batch, "m", size, 0, Some(1));
        if let Some(rack) = batch.stock.last_mut() {
            rack.on_hand = true;
        }
    }
    for _ in 0..sizes {
        let lengths = [150 + draw.upto(900), 80 + draw.upto(500)];
        part(&mut batch, "m", lengths, draw.qty(most), PartGrain::Length);
    }
    batch
}
