//! The layers hold: which module may name which, and which crates and functions stay out of where.

use std::fs;
use std::path::{Path, PathBuf};

/// Modules of nest-core with what they may name of it.
const LAYERS: [(&str, &[&str]); 10] = [
    ("units", &["units"]),
    ("model", &["units", "model"]),
    ("plan", &["units", "model", "plan"]),
    ("check", &["units", "model", "plan", "check"]),
    ("cost", &["units", "model", "plan", "cost"]),
    ("lp", &["lp"]),
    ("search", &["units", "model", "plan", "search"]),
    ("rest", &["units", "model", "plan", "cost", "rest"]),
    ("board", &["units", "model", "plan", "lp", "search", "board"]),
    ("sheet", &["units", "model", "plan", "lp", "search", "sheet"]),
];

/// What may name everything: the front door.
const FRONT: [&str; 4] = ["lib", "solve", "solution", "error"];

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
                open.extend((!path.ends_with("tests")).then_some(path));
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

/// Text without comments and without the tests at the end of a file.
fn code(text: &str) -> String {
    let (text, tests) = text.split_once("#[cfg(test)]\nmod tests {").unwrap_or((text, "}"));
    // Tests stand last, so that nothing hides behind them.
    assert_eq!(
        tests.trim_end().lines().position(|line| line == "}"),
        Some(tests.trim_end().lines().count() - 1)
    );
    assert!(!text.contains("/*"), "block comments would hide code from this test");
    text.lines().map(|line| line.split("//").next().unwrap()).collect::<Vec<_>>().join("\n")
}

/// The word at the start of a text.
fn word(text: &str) -> &str {
    text.split(|c: char| !c.is_alphanumeric() && c != '_').next().unwrap()
}

/// Modules of the crate that a file names: behind `crate::`, and behind so many `super::` that they lead to its root.
/// A brace there gives an empty name, which no layer may name.
fn named<'a>(name: &str, text: &'a str) -> Vec<&'a str> {
    let depth =
        name.trim_end_matches("mod.rs").trim_end_matches(".rs").split('/').filter(|p| !p.is_empty()).count();
    let up = "super::".repeat(depth);
    ["crate::", &up].iter().flat_map(|path| text.split(path).skip(1)).map(word).collect()
}

/// Whether a text has a word, by itself.
fn has_word(text: &str, wanted: &str) -> bool {
    text.split(|c: char| !c.is_alphanumeric() && c != '_').any(|w| w == wanted)
}

#[test]
fn the_reader_of_sources_sees_what_it_must() {
    assert_eq!(
        named("board/dive.rs", "use crate::check::x; use super::super::cost; use super::whole;"),
        ["check", "cost"]
    );
    assert_eq!(named("cost/mod.rs", "use super::lp;"), ["lp"]);
    assert_eq!(named("units/mod.rs", "use crate::{lp, plan};"), [""]);
    assert_eq!(code("a // crate::b\n#[cfg(test)]\nmod tests {\n    c\n}\n"), "a ");
    assert!(has_word("use std::{env, fs};", "fs") && !has_word("offsets.csv_like()", "csv"));
}

#[test]
fn modules_name_only_what_lies_below_them() {
    let mut wrong = Vec::new();
    for (name, text) in sources(&root().join("nest-core/src")) {
        let module = name.split(['/', '.']).next().unwrap();
        if FRONT.contains(&module) {
            continue;
        }
        let Some((_, may)) = LAYERS.iter().find(|l| l.0 == module) else {
            wrong.push(format!("{name} is in no layer"));
            continue;
        };
        let named = named(&name, &text).into_iter().filter(|named| !may.contains(named));
        wrong.extend(named.map(|named| format!("{name} names {named:?}")));
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_library_prints_nothing_and_touches_no_file() {
    // The macros by their mark, whatever their bracket; `eprintln!` holds `println!`.
    let macros = ["print!", "println!", "dbg!", "env!"];
    let words = ["env", "fs", "process", "clap", "csv", "svg"];
    let mut wrong = Vec::new();
    for (name, text) in sources(&root().join("nest-core/src")) {
        wrong.extend(macros.iter().filter(|m| text.contains(**m)).map(|m| format!("{name} calls {m}")));
        wrong.extend(words.iter().filter(|w| has_word(&text, w)).map(|w| format!("{name} names {w}")));
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// Their order of iteration would reach the output; clippy.toml says so too, and nobody may tell it to look away.
#[test]
fn nothing_is_hashed_and_no_date_is_read() {
    let mut wrong = Vec::new();
    for folder in ["nest-core/src", "nest-cli/src"] {
        for (name, text) in sources(&root().join(folder)) {
            let words = ["HashMap", "HashSet", "SystemTime", "disallowed_types"];
            wrong.extend(
                words.iter().filter(|w| has_word(&text, w)).map(|w| format!("{folder}/{name} names {w}")),
            );
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn packages_depend_on_nothing_from_another_layer() {
    let depends = |package: &str| {
        let text = fs::read_to_string(root().join(package).join("Cargo.toml")).unwrap();
        let list = text.split_once("[dependencies]\n").unwrap().1.split("\n[").next().unwrap().to_owned();
        let names = list.lines().map(|l| l.split([' ', '.', '=']).next().unwrap().to_owned());
        names.filter(|name| !name.is_empty() && !name.starts_with('#')).collect::<Vec<_>>()
    };
    assert_eq!(depends("nest-core"), ["good_lp", "microlp", "rayon", "serde"]);
    let program = depends("nest-cli");
    assert!(program.iter().any(|name| name == "nest-core"));
    assert!(
        !program.iter().any(|name| ["good_lp", "microlp", "rayon"].contains(&name.as_str())),
        "{program:?}"
    );
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

/// Nothing of ours and nothing we depend on talks to a network.
#[test]
fn nothing_knows_of_a_network() {
    let mut wrong = Vec::new();
    for folder in ["nest-core/src", "nest-cli/src"] {
        for (name, text) in sources(&root().join(folder)) {
            let words = ["std::net", "net::", "TcpStream", "TcpListener", "UdpSocket", "UnixStream"];
            wrong.extend(
                words.iter().filter(|w| text.contains(**w)).map(|w| format!("{folder}/{name} names {w}")),
            );
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    let lock = fs::read_to_string(root().join("Cargo.lock")).unwrap();
    let packages: Vec<&str> = lock.lines().filter_map(|line| line.strip_prefix("name = ")).collect();
    assert!(packages.len() > 50);
    let network =
        ["hyper", "reqwest", "ureq", "curl", "tokio", "mio", "socket2", "openssl", "native-tls", "rustls"];
    let found: Vec<&&str> =
        packages.iter().filter(|name| network.contains(&name.trim_matches('"'))).collect();
    assert!(found.is_empty(), "{found:?}");
}
