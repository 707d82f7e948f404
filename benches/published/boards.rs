//! One-dimensional sets: `1d/SET/*.txt` and `1d/SET/best.csv` (columns `instance`, `optimum`, a source,
//! `lower`, `upper`).
//!
//! Two formats: `n capacity item...` for one kind of stock; `K`, K times `length supply cost`, `m`, m times
//! `length demand` for several.

use super::{Case, files, text};
use nest_core::model::{Batch, Part, Stock};
use nest_core::units::{Length, Money, Rate};
use std::collections::BTreeMap;
use std::path::Path;

const SINGLE: &[&str] = &[
    "falkenauer_u",
    "falkenauer_t",
    "scholl1",
    "scholl2",
    "scholl3",
    "schwerin",
    "waescher",
    "random_dim",
    "hard28",
    "ai",
    "ani",
];
const SEVERAL: &[&str] = &[
    "mlcsp_belov1",
    "mlcsp_belov2",
    "mlcsp_belov3",
    "mlcsp_belov4",
    "vsbpp_crainic1",
    "vsbpp_crainic2",
    "vsbpp_crainic3",
    "vsbpp_hemmelmayr1",
    "vsbpp_hemmelmayr2",
    "vscsp_random_x1",
];

/// All sets.
pub fn sets() -> impl Iterator<Item = &'static str> {
    SINGLE.iter().chain(SEVERAL).copied()
}

/// The cases of a set; `None` where it is not one of ours.
pub fn cases(root: &Path, set: &str) -> Option<Result<Vec<Case>, String>> {
    sets().any(|name| name == set).then(|| read_set(&root.join("1d").join(set), SEVERAL.contains(&set)))
}

fn read_set(folder: &Path, several: bool) -> Result<Vec<Case>, String> {
    let known = optima(folder)?;
    let mut cases = Vec::new();
    for (name, path) in files(folder, "txt")? {
        let batch = read(&path, several)?;
        let &(best, bound) = known.get(&name).unwrap_or(&(None, None));
        cases.push(Case { name, batch, best, bound: bound.or(best) });
    }
    Ok(cases)
}

type Known = BTreeMap<String, (Option<f64>, Option<f64>)>;

fn optima(folder: &Path) -> Result<Known, String> {
    let text = text(&folder.join("best.csv"))?;
    let rows = text.lines().skip(1).filter_map(|line| {
        let mut cells = line.split(',');
        let name = cells.next()?.trim_end_matches(".txt").to_owned();
        let best = cells.next()?.parse().ok();
        // The cell before the last; a source between may hold commas.
        let bound = line.rsplit(',').nth(1).and_then(|cell| cell.parse().ok());
        Some((name, (best, bound)))
    });
    Ok(rows.collect())
}

fn read(path: &Path, several: bool) -> Result<Batch, String> {
    let text = text(path)?;
    let mut numbers =
        text.split_whitespace().map(|w| w.parse::<i64>().map_err(|e| format!("{}: {e}", path.display())));
    let mut next = || numbers.next().unwrap_or_else(|| Err(format!("{}: too short", path.display())));
    let mut batch = Batch::default();
    let mut demand: BTreeMap<i64, u32> = BTreeMap::new();
    if several {
        for k in 0..next()? {
            let (length, supply, cost) = (next()?, next()?, next()?);
            batch.stock.push(stock(format!("s{k}"), length, u32::try_from(supply).ok(), cost));
        }
        for _ in 0..next()? {
            let (length, count) = (next()?, next()?);
            *demand.entry(length).or_default() += u32::try_from(count).map_err(|e| e.to_string())?;
        }
    } else {
        let (items, capacity) = (next()?, next()?);
        batch.stock.push(stock("s".to_owned(), capacity, None, 1));
        for _ in 0..items {
            *demand.entry(next()?).or_default() += 1;
        }
    }
    for (length, qty) in demand {
        let name = format!("p{length}");
        batch.parts.push(Part {
            name,
            material: "m".to_owned(),
            length: Length::mm(length),
            qty,
            ..Part::default()
        });
    }
    batch.shop.boards.kerf = Length::ZERO;
    Ok(batch)
}

fn stock(name: String, length: i64, qty: Option<u32>, cost: i64) -> Stock {
    let price = Some(Rate::from(Money::from_minor(cost * 100)));
    Stock { name, material: "m".to_owned(), length: Length::mm(length), price, qty, ..Stock::default() }
}
