//! How long does a shop wait? Orders of the size that hobbyists, shops and factories have, solved with normal effort:
//! when the first plan stood, when the last, memory, and how far above the floor.
//!
//! `cargo bench -p nest-core --bench shop -- [CASE...] [--write FOLDER]`; with `--write` the questions go into files
//! instead, to be planned by the program. Every case is solved in a process of its own.

mod batches;

use batches::{boards, sheets};
use nest_core::model::{Batch, CheckedBatch, MatchWay, PartGrain};
use nest_core::search::{Event, Observer, Options};
use nest_core::solution::Solution;
use nest_core::units::{Length, Rate};
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::Path;
use std::sync::Mutex;
use std::time::{Duration, Instant};

/// Tells a process which case is its own.
const CASE: &str = "NEST_BENCH_CASE";

/// Name and question.
type Case = (&'static str, fn() -> Batch);

const CASES: &[Case] = &[
    ("boards-30-parts", || boards::sections(3, 10, 3, 1)),
    ("boards-2000-pieces", || boards::sections(8, 15, 32, 2)),
    ("boards-100000-pieces", || boards::sections(1, 200, 999, 7)),
    ("boards-1000000-pieces", || boards::sections(1, 200, 9_999, 7)),
    ("closet", || sheets::closets(1, 1)),
    ("ten-closets", || sheets::closets(10, 2)),
    ("matched-fronts", || sheets::fronts(24, 8)),
    ("panels-10000-pieces", || sheets::panels(60, 10_000, 7)),
    ("panels-1000000-pieces", || sheets::panels(200, 1_000_000, 8)),
    ("panels-1000000-sizes", || sheets::panels(20_000, 1_000_000, 9)),
];

fn main() -> Result<(), String> {
    if let Ok(name) = std::env::var(CASE) {
        return match CASES.iter().find(|(case, _)| *case == name) {
            Some((name, batch)) => one(name, batch()),
            None => Err(format!("no case {name}")),
        };
    }
    let mut wanted = Vec::new();
    let mut folder = None;
    let mut words = std::env::args().skip(1).filter(|word| word != "--bench");
    while let Some(word) = words.next() {
        match word.as_str() {
            "--write" => folder = Some(words.next().ok_or("expected a folder after --write")?),
            _ => wanted.push(word),
        }
    }
    let names: Vec<&str> = CASES.iter().map(|(name, _)| *name).collect();
    if let Some(unknown) = wanted.iter().find(|word| names.iter().all(|name| name != word)) {
        return Err(format!("no case {unknown}; there are {}", names.join(", ")));
    }
    let cases = CASES.iter().filter(|(name, _)| wanted.is_empty() || wanted.iter().any(|word| word == name));
    if let Some(folder) = folder {
        for (name, batch) in cases {
            write(Path::new(&folder), name, &batch())?;
        }
        return Ok(());
    }
    println!(
        "{:22} {:>8} {:>6} {:>9} {:>9} {:>9} {:>9} {:>10}",
        "case", "pieces", "sizes", "first s", "last s", "over ppm", "most over", "memory MB"
    );
    let program = std::env::current_exe().map_err(|e| e.to_string())?;
    for (name, _) in cases {
        let ended =
            std::process::Command::new(&program).env(CASE, name).status().map_err(|e| e.to_string())?;
        if !ended.success() {
            return Err(format!("{name}: {ended}"));
        }
    }
    Ok(())
}

/// When every group had a plan.
#[derive(Default)]
struct First {
    start: Option<Instant>,
    seen: Mutex<(BTreeSet<usize>, Duration)>,
}

impl Observer for First {
    fn event(&self, event: Event) {
        if let (Event::Cost(group, _), Some(start), Ok(mut seen)) = (event, self.start, self.seen.lock())
            && seen.0.insert(group)
        {
            seen.1 = start.elapsed();
        }
    }
}

/// Solves one case and prints its line.
fn one(name: &str, batch: Batch) -> Result<(), String> {
    let pieces: u64 = batch.parts.iter().map(|part| u64::from(part.qty)).sum();
    let sizes = batch.parts.len();
    #[expect(clippy::disallowed_methods, reason = "a bench measures time")]
    let start = Instant::now();
    let first = First { start: Some(start), ..First::default() };
    let batch = batch.check().map_err(|problems| format!("{name}: {problems:?}"))?;
    let solution = nest_core::solve(&batch, &Options::default(), &first).map_err(|e| e.to_string())?;
    let last = start.elapsed();
    if !solution.plan.unplaced.is_empty() {
        return Err(format!("{name}: parts are left over"));
    }
    let (groups, shown) = first.seen.into_inner().map_err(|e| e.to_string())?;
    if groups.len() != batch.groups().len() {
        return Err(format!("{name}: not every material was told of"));
    }
    println!(
        "{name:22} {pieces:8} {sizes:6} {:9.3} {:9.3} {:9} {:9} {:>10}",
        shown.as_secs_f64(),
        last.as_secs_f64(),
        (solution.cost - solution.floor) * 1_000_000 / solution.floor.max(1),
        most_over(&solution, &batch),
        peak().map_or("unknown".to_owned(), |mb| mb.to_string())
    );
    Ok(())
}

/// The most pieces of the dearest stock that any material costs above its floor, in hundredths of one.
fn most_over(solution: &Solution, batch: &CheckedBatch) -> String {
    let over = solution.groups.iter().zip(batch.groups()).map(|(outcome, group)| {
        let dearest = group.stock.iter().filter_map(|&s| batch.stock().get(s)).map(|stock| stock.cost).max();
        (outcome.cost - outcome.floor) * 100 / dearest.unwrap_or(1).max(1)
    });
    over.max().map_or_else(String::new, |most| format!("{}.{:02}", most / 100, most % 100))
}

/// The most memory that this process ever had, in MB, where the system tells.
fn peak() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kilobytes: u64 = line.trim().strip_suffix(" kB")?.parse().ok()?;
    Some(kilobytes / 1024)
}

/// Writes a question as files that the program reads.
fn write(folder: &Path, name: &str, batch: &Batch) -> Result<(), String> {
    let mut parts = String::from("part,material,length,width,qty,grain,job,match,match_way\n");
    for part in &batch.parts {
        let grain = match part.grain {
            Some(PartGrain::Any) => "any",
            Some(PartGrain::Width) => "width",
            Some(PartGrain::Length) => "length",
            None => "",
        };
        let way = match (&part.match_word, part.match_way) {
            (None, _) => "",
            (Some(_), MatchWay::Along) => "along",
            (Some(_), MatchWay::Across) => "across",
        };
        let word = part.match_word.as_deref().unwrap_or_default();
        let (length, width) = (text(part.length), part.width.map(text).unwrap_or_default());
        let _ = writeln!(
            parts,
            "{},{},{length},{width},{},{grain},{},{word},{way}",
            part.name, part.material, part.qty, part.job
        );
    }
    let mut stock = String::from("name,material,length,width,price,qty\n");
    for of in &batch.stock {
        let (length, width) = (text(of.length), of.width.map(text).unwrap_or_default());
        let price = of.price.and_then(Rate::for_one).map(|price| price.to_string()).unwrap_or_default();
        let qty = of.qty.map(|qty| qty.to_string()).unwrap_or_default();
        let _ = writeln!(stock, "{},{},{length},{width},{price},{qty}", of.name, of.material);
    }
    let shop = &batch.shop;
    let shop = format!(
        "[boards]\nkerf = \"{}\"\n[sheets]\nkerf = \"{}\"\ntrim = \"{}\"\n",
        text(shop.boards.kerf),
        text(shop.sheets.kerf),
        text(shop.sheets.trim[0])
    );
    let at = folder.join(name);
    std::fs::create_dir_all(&at).map_err(|e| format!("{}: {e}", at.display()))?;
    for (file, text) in [("parts.csv", parts), ("stock.csv", stock), ("shop.toml", shop)] {
        std::fs::write(at.join(file), text).map_err(|e| format!("{}: {e}", at.join(file).display()))?;
    }
    println!("{} is written", at.display());
    Ok(())
}

/// A length with its unit.
fn text(length: Length) -> String {
    format!("{} mm", length.mm_decimal())
}
