//! The papers of seven plans, of boards and of sheets, byte for byte, and what must hold for the papers of any plan.
//!
//! The plans stand in `fixtures/papers/NAME/plan.json`, so these tests depend on no solver. `NEST_BLESS=1` writes what is
//! expected anew, and then fails, so that nobody blesses by accident.

use nest_cli::input::json::read_plan;
use nest_cli::output::text::{Detail, Look, render};
use nest_cli::output::{json, papers};
use nest_cli::papers::PaperSettings;
use nest_cli::report::{Report, Source, plan_file};
use nest_core::check::{CheckedGroup, check};
use nest_core::model::CheckedBatch;
use nest_core::search::{Options, Stop};
use nest_core::solution::{GroupOutcome, Solution, Status};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

pub fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../fixtures/papers")
}

pub const NAMES: [&str; 7] =
    ["feet", "inches", "millimetres", "ripped", "sheets-feet", "sheets-inches", "sheets-millimetres"];

/// The question and the answer of a fixture, as if it had just been solved.
pub fn answer(name: &str) -> (CheckedBatch, Solution) {
    let input = read_plan(&fs::read(folder().join(name).join("plan.json")).unwrap()).unwrap();
    let batch = input.batch.check().unwrap();
    let checked = check(&batch, &input.plan).unwrap();
    let status = |group: &CheckedGroup| match (group.complete, group.cost == group.floor) {
        (false, _) => Status::Partial,
        (true, true) => Status::Proven,
        (true, false) => Status::Feasible,
    };
    let outcome = |group: &CheckedGroup| GroupOutcome {
        cost: group.cost,
        floor: group.floor,
        status: status(group),
        impossible: group.impossible,
        stop: Stop::Finished,
        work: 7,
    };
    let groups: Vec<GroupOutcome> = checked.groups.iter().map(outcome).collect();
    let status = groups.iter().map(|g| g.status).max().unwrap();
    assert_eq!(status, input.stated.status);
    let solution = Solution {
        cost: checked.cost(),
        floor: checked.floor(),
        plan: input.plan,
        status,
        groups,
        stop: Stop::Finished,
    };
    (batch, solution)
}

/// Everything that is written about a plan, the summaries included.
fn everything(batch: &CheckedBatch, solution: &Solution) -> BTreeMap<String, Vec<u8>> {
    let options = Options::default();
    let warnings = [String::from("a warning")];
    let source = Source {
        batch,
        solution,
        options: &options,
        spare: 100,
        before: &nest_core::rest::Before::default(),
        papers: &PaperSettings::default(),
        label_start: 1,
        warnings: &warnings,
    };
    let report = Report::full(&source);
    let mut all: BTreeMap<String, Vec<u8>> = papers(&report, &plan_file(&source)).collect();
    for (name, detail) in
        [("quiet.txt", Detail::Quiet), ("summary.txt", Detail::Normal), ("verbose.txt", Detail::Verbose)]
    {
        all.insert(name.into(), render(&report, Look { detail, ..Look::default() }));
    }
    all
}

fn files(root: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut todo = vec![root.to_path_buf()];
    while let Some(folder) = todo.pop() {
        for entry in fs::read_dir(folder).into_iter().flatten() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                todo.push(path);
            } else {
                let name = path.strip_prefix(root).unwrap().to_str().unwrap().replace('\\', "/");
                found.insert(name, fs::read(path).unwrap());
            }
        }
    }
    found
}

#[test]
fn papers_are_what_was_looked_at_and_found_good() {
    let bless = std::env::var_os("NEST_BLESS").is_some_and(|value| value == "1");
    let mut faults = Vec::new();
    for name in NAMES {
        let (batch, solution) = answer(name);
        let found = everything(&batch, &solution);
        let root = folder().join(name).join("expected");
        let expected = files(&root);
        if bless {
            let _ = fs::remove_dir_all(&root);
            for (file, bytes) in &found {
                let path = root.join(file);
                fs::create_dir_all(path.parent().unwrap()).unwrap();
                fs::write(path, bytes).unwrap();
            }
        }
        for file in found.keys().chain(expected.keys()).collect::<std::collections::BTreeSet<_>>() {
            if found.get(file) != expected.get(file) {
                faults
                    .push(format!("{name}: {file}{}", first_difference(expected.get(file), found.get(file))));
            }
        }
    }
    assert!(!bless, "blessed; look at what changed, and run again without NEST_BLESS");
    assert!(faults.is_empty(), "not as expected (NEST_BLESS=1 accepts):\n{}", faults.join("\n"));
}

fn first_difference(expected: Option<&Vec<u8>>, found: Option<&Vec<u8>>) -> String {
    let text = |bytes: Option<&Vec<u8>>| String::from_utf8_lossy(bytes.map_or(b"", |b| b)).into_owned();
    let (expected, found) = (text(expected), text(found));
    let mut pairs = expected.lines().zip(found.lines()).enumerate();
    match pairs.find(|(_, (a, b))| a != b) {
        Some((i, (a, b))) => format!(", line {}:\n  expected {a}\n  found    {b}", i + 1),
        None => ", one is longer".into(),
    }
}

#[test]
fn no_fixture_is_forgotten() {
    let mut found: Vec<String> =
        fs::read_dir(folder()).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    found.sort();
    assert_eq!(found, NAMES);
}

#[test]
fn summaries_fit_eighty_columns() {
    for name in NAMES {
        let (batch, solution) = answer(name);
        for (file, bytes) in everything(&batch, &solution).iter().filter(|(file, _)| file.ends_with(".txt")) {
            if file == "quiet.txt" {
                continue;
            }
            for line in std::str::from_utf8(bytes).unwrap().lines() {
                assert!(line.chars().count() <= 80, "{name}, {file}: {line}");
                assert_eq!(line, line.trim_end(), "{name}, {file}: blanks at the end");
            }
        }
    }
}

#[test]
fn a_plan_survives_its_own_file() {
    for name in NAMES {
        let (batch, solution) = answer(name);
        let options = Options::default();
        let source = Source {
            batch: &batch,
            solution: &solution,
            options: &options,
            spare: 0,
            before: &nest_core::rest::Before::default(),
            papers: &PaperSettings::default(),
            label_start: 1,
            warnings: &[],
        };
        let read = read_plan(&json::render(&plan_file(&source))).unwrap();
        assert_eq!(&read.batch, batch.batch(), "{name}");
        assert_eq!(read.plan, solution.plan, "{name}");
        assert_eq!((read.stated.cost, read.stated.floor), (solution.cost, solution.floor), "{name}");
    }
}
