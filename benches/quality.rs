//! The quality gate: each case solved once, compared with the committed table.
//!
//! `cargo bench -p nest-core --bench quality`; `BLESS=1` rewrites `benches/quality.tsv`, so that a change shows
//! in review. Costs and floors do not depend on the machine, and are compared exactly; work is the measure of speed
//! without its noise, and may differ by 5 % and a million steps. What is better fails as well, since nobody would see it
//! get lost again, and so does a case that either side lacks.

mod batches;

use batches::{boards, sheets};
use nest_core::model::{Batch, FirstCut, Stages};
use nest_core::search::{Options, Silent};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

/// The same with two stages and the first cut along the sheet.
fn two_stages(mut batch: Batch) -> Batch {
    batch.shop.sheets.stages = Stages::Limited(2);
    batch.shop.sheets.first_cut = FirstCut::Rip;
    batch
}

fn main() -> Result<(), String> {
    let cases: Vec<(&str, Batch)> = vec![
        ("hobby", boards::sections(3, 10, 3, 1)),
        ("shop", boards::sections(8, 15, 32, 2)),
        ("triplets-20", boards::triplets(20, 3)),
        ("triplets-60", boards::triplets(60, 4)),
        ("scarce-a", boards::scarce(5)),
        ("scarce-b", boards::scarce(6)),
        ("many-pieces", boards::sections(1, 200, 900, 7)),
        ("closet", sheets::closets(1, 1)),
        ("closets", sheets::closets(5, 2)),
        ("ten-closets", sheets::closets(10, 2)),
        ("panels", sheets::panels(20, 200, 3)),
        ("mixed-a", sheets::mixed(20, 4, 4)),
        ("mixed-b", sheets::mixed(12, 9, 5)),
        ("two-stages", two_stages(sheets::panels(30, 300, 6))),
        ("fronts", sheets::fronts(24, 8)),
        ("fronts-two", {
            let mut batch = sheets::fronts(24, 9);
            batch.shop.sheets.stages = Stages::Limited(2);
            batch
        }),
        ("many-panels", sheets::panels(60, 10_000, 7)),
        ("large-and-tiny", sheets::large_and_tiny(24, 240, 1)),
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
    let mut differ = Vec::new();
    let lacking = known.keys().filter(|name| cases.iter().all(|(case, _)| case != *name));
    differ.extend(lacking.map(|name| format!("{name}: in the table, but no case")));
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
        let Some(&[cost_then, floor_then, work_then]) = known.get(name).map(Vec::as_slice) else {
            differ.push(format!("{name}: not in the table"));
            continue;
        };
        let mut compare = |what: &str, now: i128, then: i128, slack: i128, more_is_better: bool| {
            if (now - then).abs() > slack {
                let how = if (now > then) == more_is_better { "better" } else { "worse" };
                differ.push(format!("{name}: {what} {now}, was {then}: {how}"));
            }
        };
        compare("cost", cost, cost_then, 0, false);
        compare("floor", floor, floor_then, 0, true);
        compare("work", work, work_then, work_then / 20 + 1_000_000, false);
    }
    if bless {
        std::fs::write(&table, text).map_err(|e| e.to_string())?;
        println!("benches/quality.tsv is rewritten");
        return Ok(());
    }
    if differ.is_empty() {
        return Ok(());
    }
    Err(format!("other than the table, which BLESS=1 rewrites:\n{}", differ.join("\n")))
}
