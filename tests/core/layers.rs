//! The layers hold: which module may name which, and which crates and functions stay out of where.

use std::fs;
use std::path::{Path, PathBuf};

/// Modules of nest-core with what they may name of it.
const LAYERS: [(&str, &[&str]); 8] = [
    ("units", &["units"]),
    ("model", &["units", "model"]),
    ("plan", &["units", "model", "plan"]),
    ("check", &["units", "model", "plan", "check"]),
    ("cost", &["units", "model", "plan", "cost"]),
    ("lp", &["lp"]),
    ("search", &["units", "model", "plan", "search"]),
    ("board", &["units", "model", "plan", "lp", "search", "board"]),
];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// All sources below a folder: path from there, and text without comments and tests.
fn sources(folder: &Path) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(at) = open.pop() {
        for entry in fs::read_dir(&at).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
                continue;
            }
            let name = path.strip_prefix(folder).unwrap().to_string_lossy().replace('\\', "/");
            let test =
                ["twin.rs", "twins.rs", "tests.rs", "laws.rs", "faults.rs"].iter().any(|t| name.ends_with(t));
            if name.ends_with(".rs") && !test {
                found.push((name, code(&fs::read_to_string(&path).unwrap())));
            }
        }
    }
    found.sort();
    assert!(found.len() > 10, "no sources below {}", folder.display());
    found
}

/// Text without comments and without what stands behind `#[cfg(test)]` at the end of a file.
fn code(text: &str) -> String {
    let text = text.split("#[cfg(test)]\nmod tests {").next().unwrap();
    text.lines().map(|line| line.split("//").next().unwrap()).collect::<Vec<_>>().join("\n")
}

#[test]
fn modules_name_only_what_lies_below_them() {
    let mut wrong = Vec::new();
    for (name, text) in sources(&root().join("nest-core/src")) {
        let module = name.split(['/', '.']).next().unwrap();
        let Some((_, may)) = LAYERS.iter().find(|l| l.0 == module) else { continue };
        for rest in text.split("crate::").skip(1) {
            let named: String = rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            if !may.contains(&named.as_str()) {
                wrong.push(format!("{name} names crate::{named}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_library_prints_nothing_and_touches_no_file() {
    let forbidden = [
        "println!",
        "eprintln!",
        "print!(",
        "std::env",
        "std::fs",
        "process::exit",
        "clap::",
        "csv::",
        "svg::",
        "HashMap",
        "HashSet",
    ];
    let mut wrong = Vec::new();
    for (name, text) in sources(&root().join("nest-core/src")) {
        wrong.extend(forbidden.iter().filter(|f| text.contains(**f)).map(|f| format!("{name} names {f}")));
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn solvers_threads_and_the_clock_have_one_place_each() {
    let places: [(&str, &[&str]); 4] = [
        ("good_lp", &["lp/"]),
        ("microlp", &["lp/"]),
        ("rayon", &["search/parallel.rs"]),
        ("Instant::now", &["search/budget.rs"]),
    ];
    let mut wrong = Vec::new();
    for (name, text) in sources(&root().join("nest-core/src")) {
        for (what, places) in places {
            if text.contains(what) && !places.iter().any(|p| name.starts_with(p)) {
                wrong.push(format!("{name} names {what}"));
            }
        }
    }
    for (name, text) in sources(&root().join("nest-cli/src")) {
        wrong.extend(
            ["good_lp", "microlp", "rayon"]
                .iter()
                .filter(|w| text.contains(**w))
                .map(|w| format!("nest-cli {name} names {w}")),
        );
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}
