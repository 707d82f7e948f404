//! The quality gate: each case solved once, compared exactly with the committed table.
//!
//! `cargo bench -p nest-core --bench quality`; `BLESS=1` rewrites `benches/quality.tsv`, so that a change shows
//! in review. Costs and floors do not depend on the machine, and work is the measure of speed without its
//! noise: dearer, a lower floor, or over 5 % more work fails.

use nest_core::model::{Batch, Part, Stock};
use nest_core::search::{Options, Silent};
use nest_core::units::{Length, Money, Rate};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

/// A small generator (xorshift), so that the cases are the same for ever.
struct Draw(u64);

impl Draw {
    fn upto(&mut self, n: i64) -> i64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        i64::try_from((self.0 >> 16) % n.unsigned_abs()).unwrap_or(0)
    }
}

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
fn batch(sections: i64, parts: i64, most: i64, seed: u64) -> Batch {
    let mut draw = Draw(seed);
    let mut batch = Batch::default();
    batch.shop.boards.kerf = sixteenths(2);
    for section in 0..sections {
        let material = format!("section {section}");
        for _ in 0..parts {
            let length = sixteenths(6 * 16 + draw.upto(80 * 16));
            part(&mut batch, &material, length, 1 + u32::try_from(draw.upto(most)).unwrap_or(0));
        }
        for feet in [8, 10, 12, 16] {
            stock(
                &mut batch,
                &material,
                sixteenths(feet * 192),
                feet * (29 + 7 * section) - draw.upto(20),
                None,
            );
        }
    }
    batch
}

/// Bars that are cut into three pieces without a rest.
fn triplets(bars: i64, seed: u64) -> Batch {
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
fn scarce(seed: u64) -> Batch {
    let mut draw = Draw(seed);
    let mut batch = Batch::default();
    batch.shop.boards.kerf = Length::mm(3);
    batch.shop.boards.trim = [Length::mm(5); 2];
    for (length, minor, qty) in [(4000, 1450, Some(6)), (3000, 1190, Some(9)), (2400, 990, None)] {
        stock(&mut batch, "m", Length::mm(length), minor, qty);
    }
    for _ in 0..30 {
        let length = Length::mm(150 + draw.upto(1800));
        part(&mut batch, "m", length, 1 + u32::try_from(draw.upto(4)).unwrap_or(0));
    }
    batch
}

fn main() -> Result<(), String> {
    let cases: Vec<(&str, Batch)> = vec![
        ("hobby", batch(3, 10, 3, 1)),
        ("shop", batch(8, 15, 32, 2)),
        ("triplets-20", triplets(20, 3)),
        ("triplets-60", triplets(60, 4)),
        ("scarce-a", scarce(5)),
        ("scarce-b", scarce(6)),
        ("many-pieces", batch(1, 200, 900, 7)),
    ];
    let table = Path::new(env!("CARGO_MANIFEST_DIR")).join("../benches/quality.tsv");
    let bless = std::env::var_os("BLESS").is_some();
    let before = std::fs::read_to_string(&table).unwrap_or_default();
    let known: BTreeMap<&str, Vec<i128>> = before
        .lines()
        .skip(1)
        .filter_map(|line| {
            let mut cells = line.split('\t');
            Some((cells.next()?, cells.filter_map(|c| c.parse().ok()).collect()))
        })
        .collect();
    let mut text = String::from("case\tcost\tfloor\twork\n");
    let mut worse = Vec::new();
    println!("{:14} {:>10} {:>10} {:>9} {:>9}", "case", "cost", "floor", "over ppm", "work M");
    for (name, batch) in cases {
        let batch = batch.check().map_err(|p| format!("{name}: {p:?}"))?;
        let solution = nest_core::solve(&batch, &Options::default(), &Silent).map_err(|e| e.to_string())?;
        let work: i128 = solution.groups.iter().map(|g| i128::from(g.work)).sum();
        let (cost, floor) = (solution.cost, solution.floor);
        println!(
            "{name:14} {cost:10} {floor:10} {:9} {:9}",
            (cost - floor) * 1_000_000 / floor.max(1),
            work / 1_000_000
        );
        let _ = writeln!(text, "{name}\t{cost}\t{floor}\t{work}");
        match known.get(name).map(Vec::as_slice) {
            Some(&[best, proven, least]) => {
                if cost > best {
                    worse.push(format!("{name}: costs {cost}, did {best}"));
                }
                if floor < proven {
                    worse.push(format!("{name}: floor {floor}, was {proven}"));
                }
                if work > least + least / 20 + 1_000_000 {
                    worse.push(format!("{name}: work {work}, was {least}"));
                }
            }
            _ => worse.push(format!("{name}: not in the table")),
        }
    }
    if bless {
        std::fs::write(&table, text).map_err(|e| e.to_string())?;
        println!("benches/quality.tsv is rewritten");
        return Ok(());
    }
    if worse.is_empty() { Ok(()) } else { Err(format!("worse than the table:\n{}", worse.join("\n"))) }
}
