//! Published one-dimensional instances through the public API: how many optima are reached and proven, how fast.
//!
//! `NEST_INSTANCES=FOLDER cargo bench --bench instances -- [SET...] [--limit SECONDS] [--only TEXT] [--every N] [--each]`
//!
//! The folder holds `1d/SET/*.txt` and `1d/SET/best.csv` (columns `instance`, `optimum`, `lower`). Two formats:
//! `n capacity item...` for one kind of stock; `K`, K times `length supply cost`, `m`, m times `length demand` for
//! several. The files themselves are not part of the project; without them this says so and ends well.

use nest_core::model::{Batch, Part, Stock};
use nest_core::search::{Effort, Options, Silent};
use nest_core::solution::Status;
use nest_core::units::{Length, Money, Rate};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

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

struct Arguments {
    sets: Vec<String>,
    limit: f64,
    only: String,
    every: usize,
    each: bool,
}

fn arguments() -> Result<Arguments, String> {
    let mut found = Arguments { sets: Vec::new(), limit: 20.0, only: String::new(), every: 1, each: false };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        let mut value = || words.next().ok_or(format!("expected a value after {word}"));
        match word.as_str() {
            "--bench" => {}
            "--limit" => found.limit = value()?.parse().map_err(|e| format!("--limit: {e}"))?,
            "--only" => found.only = value()?,
            "--every" => found.every = value()?.parse().map_err(|e| format!("--every: {e}"))?,
            "--each" => found.each = true,
            set => found.sets.push(set.to_owned()),
        }
    }
    if found.sets.is_empty() {
        found.sets = SINGLE.iter().chain(SEVERAL).map(|s| (*s).to_owned()).collect();
    }
    Ok(found)
}

fn main() -> Result<(), String> {
    let arguments = arguments()?;
    let Some(root) = std::env::var_os("NEST_INSTANCES").map(PathBuf::from).filter(|p| p.is_dir()) else {
        println!("skipped: NEST_INSTANCES does not name a folder of instances");
        return Ok(());
    };
    println!(
        "{:18} {:>5} {:>9} {:>7} {:>8} {:>8} {:>8}",
        "set", "cases", "optimum", "proven", "over", "mean s", "worst s"
    );
    for set in &arguments.sets {
        run(&root.join("1d").join(set), set, &arguments)?;
    }
    Ok(())
}

fn run(folder: &Path, set: &str, arguments: &Arguments) -> Result<(), String> {
    let known = optima(folder)?;
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder)
        .map_err(|e| format!("{}: {e}", folder.display()))?
        .filter_map(|entry| entry.ok().map(|e| e.path()))
        .filter(|p| p.extension().is_some_and(|e| e == "txt"))
        .filter(|p| p.to_string_lossy().contains(&arguments.only))
        .collect();
    files.sort();
    let (mut cases, mut with, mut reached, mut proven) = (0, 0, 0, 0);
    let (mut cost, mut floor, mut total, mut worst) = (0.0, 0.0, 0.0, 0.0_f64);
    for file in files.iter().step_by(arguments.every.max(1)) {
        let name = file.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
        let batch = read(file, SEVERAL.contains(&set))?.check().map_err(|p| format!("{name}: {p:?}"))?;
        let options = Options {
            effort: Effort::Deep,
            time_limit: Some(Duration::from_secs_f64(arguments.limit)),
            ..Options::default()
        };
        #[expect(clippy::disallowed_methods, reason = "a bench measures time")]
        let start = Instant::now();
        let solution = nest_core::solve(&batch, &options, &Silent).map_err(|e| format!("{name}: {e}"))?;
        let seconds = start.elapsed().as_secs_f64();
        let unit = |x: i128| x as f64 / 100.0;
        cases += 1;
        total += seconds;
        worst = worst.max(seconds);
        proven += usize::from(solution.status == Status::Proven);
        cost += unit(solution.cost);
        floor += unit(solution.floor);
        let best = known.get(&name).copied().flatten();
        if let Some(best) = best {
            with += 1;
            reached += usize::from(unit(solution.cost) <= best + 1e-9);
            if unit(solution.floor) > best + 1e-9 {
                return Err(format!("{name}: floor {} above the optimum {best}", unit(solution.floor)));
            }
        }
        if arguments.each {
            println!(
                "  {name}: cost {} floor {} optimum {best:?} {:?} {seconds:.2} s, {} M work",
                unit(solution.cost),
                unit(solution.floor),
                solution.status,
                solution.groups.iter().map(|g| g.work).sum::<u64>() / 1_000_000
            );
        }
    }
    println!(
        "{set:18} {cases:5} {:>9} {proven:7} {:8.5} {:8.3} {worst:8.3}",
        format!("{reached}/{with}"),
        cost / floor,
        total / f64::from(cases.max(1)),
    );
    Ok(())
}

fn optima(folder: &Path) -> Result<BTreeMap<String, Option<f64>>, String> {
    let path = folder.join("best.csv");
    let text = std::fs::read_to_string(&path).map_err(|e| format!("{}: {e}", path.display()))?;
    let rows = text.lines().skip(1).filter_map(|line| {
        let mut cells = line.split(',');
        let name = cells.next()?.trim_end_matches(".txt").to_owned();
        Some((name, cells.next()?.parse().ok()))
    });
    Ok(rows.collect())
}

fn read(path: &Path, several: bool) -> Result<Batch, String> {
    let text = std::fs::read_to_string(path).map_err(|e| format!("{}: {e}", path.display()))?;
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
