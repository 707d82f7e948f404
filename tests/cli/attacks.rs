//! Files that mean harm to whoever opens them or what is made of them, one folder an attack in `fixtures/hostile`, sheets
//! and boards in each, and plans that were tampered with: sent through the program and every paper it writes.
//!
//! Either it is refused, and nothing is written, or what is written is safe; what lies beside it stays as it was.

use crate::harness::{Nest, Ran, names};
use crate::hostile::{harmless, safe};
use nest_cli::clean::clean;
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};

/// Attacks that are refused, with the words that tell why.
const REFUSED: [(&str, [&str; 2]); 3] = [
    ("quantity", ["at most 1000000, but found `999999999`", "but found `4294967296`"]),
    ("overflow", ["expected a length up to 13.7 km, but found `1000000000000000000`", "is the unit right?"]),
    ("nesting", ["max recursion depth met", "shop.toml:1:"]),
];

/// Attacks by names and numbers that are planned like any other.
const HARMLESS: [&str; 9] =
    ["codes", "drawings", "escapes", "formulas", "looks", "markup", "numbers", "paths", "reserved"];

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../fixtures/hostile")
}

/// A folder with the files of an attack.
fn given(attack: &str) -> Nest {
    names(&folder().join(attack))
        .iter()
        .fold(Nest::new(), |nest, name| nest.file(name, fs::read(folder().join(attack).join(name)).unwrap()))
}

/// Plans with these files, under their whole paths.
pub fn plan(attack: &str, more: &str) -> Nest {
    let ran = given(attack).args("--version").any_stdout().exit(0);
    let at = |name: &str| ran.path(name).to_string_lossy().into_owned();
    let (parts, stock, shop) = (at("parts.csv"), at("stock.csv"), at("shop.toml"));
    let shop = if ran.names().contains(&"shop.toml".to_string()) { vec!["--shop", &shop] } else { vec![] };
    let nest = ran.then().args("plan").arg(&parts).arg("--stock").arg(&stock);
    shop.into_iter().fold(nest, Nest::arg).args("--units mm --effort none").args(more)
}

/// All files below a folder, with their names from there.
fn files(root: &Path) -> Vec<(String, Vec<u8>)> {
    let mut found = Vec::new();
    let mut todo = vec![String::new()];
    while let Some(at) = todo.pop() {
        for name in names(&root.join(&at)) {
            let name = if at.is_empty() { name } else { format!("{at}/{name}") };
            match root.join(&name).is_dir() {
                true => todo.push(name),
                false => found.push((name.clone(), fs::read(root.join(&name)).unwrap())),
            }
        }
    }
    found
}

fn says_nothing_that_acts(ran: &Ran) {
    harmless("standard output", ran.stdout.as_bytes());
    harmless("standard error", ran.stderr.as_bytes());
}

#[test]
fn every_attack_has_its_place_in_a_list() {
    let mut listed: Vec<&str> = REFUSED.iter().map(|(attack, _)| *attack).chain(HARMLESS).collect();
    listed.sort_unstable();
    assert_eq!(names(&folder()), listed);
}

#[test]
fn what_cannot_be_meant_is_refused_and_nothing_is_written() {
    for (attack, words) in REFUSED {
        let ran = words.iter().fold(plan(attack, "-o out"), |nest, words| nest.complains(words)).exit(2);
        says_nothing_that_acts(&ran);
        assert_eq!(ran.names(), names(&folder().join(attack)), "{attack}");
    }
}

#[test]
fn names_that_mean_harm_do_none_in_any_paper() {
    for attack in HARMLESS {
        let ran = plan(attack, "-v --label-codes -o out").any_stdout().any_stderr().exit(0);
        says_nothing_that_acts(&ran);
        let ran = ran.then().args("check out/plan.json").says("The plan is sound").exit(0);
        says_nothing_that_acts(&ran);
        let ran = ran
            .then()
            .args("draw out/plan.json -v --units in --label-codes -o drawn")
            .any_stdout()
            .any_stderr();
        let ran = ran.exit(0);
        says_nothing_that_acts(&ran);
        for paper in ["out", "drawn"] {
            let all = files(&ran.path(paper));
            let drawings = all.iter().filter(|(name, _)| name.ends_with(".svg")).count();
            assert!(drawings >= 2, "{attack}: sheets and boards are drawn");
            for (name, bytes) in &all {
                safe(name, bytes);
            }
            let mut folded: Vec<String> = all.iter().map(|(name, _)| name.to_lowercase()).collect();
            folded.sort();
            folded.dedup();
            assert_eq!(folded.len(), all.len(), "{attack}: names that some file systems hold for one");
            for (name, _) in all {
                // Reserved with any ending, and even with blanks behind: `nul.svg` as much as `nul`.
                let stem = name.rsplit('/').next().unwrap().split('.').next().unwrap().to_string();
                let reserved = ["con", "nul", "aux", "prn", "com1", "lpt1", "lpt9"].contains(&stem.as_str());
                assert!(!reserved && stem.len() <= 60, "{attack}: {name}");
            }
        }
        let mut there = names(&folder().join(attack));
        there.extend(["drawn".to_string(), "out".to_string()]);
        there.sort();
        assert_eq!(ran.names(), there, "{attack}: something was written elsewhere");
        every_name_arrived(attack, &ran);
        let ran = plan(attack, "-q").any_stdout().exit(0);
        says_nothing_that_acts(&ran);
        let ran = plan(attack, "--json").any_stdout().any_stderr().exit(0);
        let json: Value = serde_json::from_str(&ran.stdout).unwrap();
        assert_eq!(json["format"], "nest-plan");
    }
}

/// A test of papers without the names would see no harm.
fn every_name_arrived(attack: &str, ran: &Ran) {
    let text = ran.read("out/labels.html");
    let text = [("&#60;", "<"), ("&#62;", ">"), ("&#34;", "\""), ("&#39;", "'"), ("&#38;", "&")]
        .iter()
        .fold(text, |text, (code, sign)| text.replace(code, sign));
    let mut reader = csv::Reader::from_path(ran.path("parts.csv")).unwrap();
    for row in reader.records() {
        let row = row.unwrap();
        let name = clean(row[0].strip_prefix('\'').filter(|rest| rest.starts_with('=')).unwrap_or(&row[0]));
        let start: String = name.split(' ').next().unwrap().chars().take(8).collect();
        assert!(text.contains(&start), "{attack}: {name:?} is on no label");
    }
}

#[test]
fn papers_tell_nobody_where_or_by_whom_they_were_made() {
    for attack in ["markup", "looks"] {
        // Warnings about the lists are among what the report holds.
        let ran = plan(attack, "-o out").any_stdout().any_stderr().exit(0);
        let above = ran.path("x").parent().unwrap().to_string_lossy().into_owned();
        assert!(above.len() > 4 && Path::new(&above).is_absolute());
        let host = fs::read_to_string("/etc/hostname").unwrap_or_default();
        for (name, bytes) in files(&ran.path("out")) {
            let text = String::from_utf8(bytes).unwrap();
            assert!(!text.contains(&above), "{attack}: {name} names the folder");
            let host = host.trim();
            assert!(host.len() < 6 || !text.contains(host), "{attack}: {name} names the machine");
        }
        if attack == "looks" {
            assert!(ran.read("out/report.html").contains("parts.csv:2:1: "), "the warning is in the report");
        }
    }
}

#[test]
fn names_that_look_like_others_are_named_and_numbers_tell_them_apart() {
    let ran = plan("looks", "-o out").any_stdout().complains("warning: sh\u{435}lf mixes alphabets").exit(0);
    assert!(ran.stderr.contains("(and 7 further such rows)"), "{}", ran.stderr);
    let labels = ran.read("out/labels.html");
    // Two kinds of shelf, two pieces each of sheet and of board.
    for number in [1, 2, 7, 8] {
        assert_eq!(labels.matches(&format!("part {number} – ")).count(), 2, "part {number}");
    }
}

#[test]
fn codes_hold_numbers_and_no_name() {
    let ran = plan("codes", "--label-codes -q -o out").any_stdout().exit(0);
    let labels = ran.read("out/labels.html");
    let codes: Vec<String> = labels.split("class=\"code\"").skip(1).map(decoded).collect();
    assert_eq!(codes.len(), 20);
    for code in codes {
        let rest = code.strip_prefix("NEST/").unwrap();
        assert!(
            rest.chars().all(|c| c.is_ascii_uppercase() || c.is_ascii_digit() || "/.".contains(c)),
            "{code}"
        );
        assert!(code.len() < 60 && !code.contains("//"), "{code}");
    }
}

/// What an independent reader makes of the drawing of a code.
fn decoded(markup: &str) -> String {
    const SCALE: usize = 6;
    let after = |text: &str| markup.split_once(text).unwrap().1.split_once('"').unwrap().0.to_string();
    let side: usize = after("viewBox=\"0 0 ").split(' ').next().unwrap().parse().unwrap();
    let side = side * SCALE;
    let mut pixels = vec![255_u8; side * side];
    for run in after(" d=\"").split('M').filter(|run| !run.is_empty()) {
        let numbers: Vec<usize> =
            run.split([' ', 'h', 'v']).take(3).map(|number| number.parse().unwrap()).collect();
        for row in numbers[1] * SCALE..(numbers[1] + 1) * SCALE {
            let start = row * side + numbers[0] * SCALE;
            pixels[start..start + numbers[2] * SCALE].fill(0);
        }
    }
    let mut image = rqrr::PreparedImage::prepare_from_greyscale(side, side, |x, y| pixels[y * side + x]);
    image.detect_grids()[0].decode().unwrap().1
}

/// A sound plan of sheets as text.
fn sheets() -> String {
    fs::read_to_string(crate::papers::folder().join("sheets-inches/plan.json")).unwrap()
}

/// Judges and draws a file, which must both end like this without writing anything.
fn judged(what: &str, bytes: &[u8], words: &str, exit: i32) {
    for command in ["check plan.json", "draw plan.json -o out"] {
        let nest = Nest::new().file("plan.json", bytes).args(command);
        let nest = if exit == 2 { nest.complains(words) } else { nest.says(words).any_stderr() };
        let ran = nest.exit(exit);
        says_nothing_that_acts(&ran);
        assert_eq!(ran.names(), ["plan.json"], "{what}");
    }
}

#[test]
fn odd_json_is_refused() {
    let plan = sheets();
    let changed = |from: &str, to: &str| {
        assert!(plan.contains(from), "{from}");
        plan.replacen(from, to, 1).into_bytes()
    };
    let cost = "\"cost\": \"245.00\",";
    let utf16: Vec<u8> =
        [0xFF, 0xFE].into_iter().chain(plan.encode_utf16().flat_map(u16::to_le_bytes)).collect();
    let nested = |depth: usize| {
        let (open, shut) = ("{\"size\": [1, 1], \"cut\": \"rip\", \"children\": [", "]}");
        changed("\"root\": {", &format!("\"root\": {}{}, \"x\": {{", open.repeat(depth), shut.repeat(depth)))
    };
    let cases: [(&str, Vec<u8>, &str); 11] = [
        ("a key twice", changed(cost, &cost.repeat(2)), "duplicate field `cost`"),
        ("beyond all floats", changed("2425.7", "1e400"), "number out of range"),
        ("beyond 64 bits", changed("\"copies\": 1", "\"copies\": 18446744073709551616"), "invalid type"),
        (
            "below nothing",
            changed("\"copies\": 1", "\"copies\": -1"),
            "integer `-1`, expected a whole number, 0 or more",
        ),
        ("half a copy", changed("\"copies\": 1", "\"copies\": 0.5"), "invalid type"),
        ("a word for a number", changed("2425.7", "NaN"), "expected value"),
        ("an unknown key", changed(cost, "\"\\u001b[31mcost\": 1,"), "unknown field"),
        ("UTF-16", utf16, "expected UTF-8, but found UTF-16"),
        ("arrays without an end", "[".repeat(200_000).into_bytes(), "expected a plan.json of nest"),
        ("a tree without an end", nested(100_000), "recursion limit"),
        ("bytes behind the end", format!("{plan}{{}}").into_bytes(), "trailing characters"),
    ];
    for (what, bytes, words) in cases {
        judged(what, &bytes, words, 2);
    }
    // A mark of the byte order is no harm.
    let marked: Vec<u8> = b"\xEF\xBB\xBF".iter().copied().chain(plan.bytes()).collect();
    Nest::new().file("plan.json", marked).args("check plan.json").says("The plan is sound").exit(0);
}

#[test]
fn forged_plans_of_sheets_are_refused() {
    let plan: Value = serde_json::from_str(&sheets()).unwrap();
    let forged = |act: &dyn Fn(&mut Value)| {
        let mut plan = plan.clone();
        act(&mut plan);
        serde_json::to_vec(&plan).unwrap()
    };
    let cases: [(&str, Vec<u8>, &str); 6] = [
        (
            "cost",
            forged(&|plan| plan["cost"] = "1.00".into()),
            "it states a cost of $1.00, but it is $245.00",
        ),
        ("floor", forged(&|plan| plan["cost_floor"] = "300.00".into()), "least possible cost of $300.00"),
        (
            "word",
            forged(&|plan| plan["status"] = "feasible".into()),
            "it calls itself feasible, but it is proven",
        ),
        ("copies", forged(&|plan| plan["layouts"][0]["copies"] = u32::MAX.into()), "The plan is refused: "),
        (
            "bound",
            forged(&|plan| plan["groups"][0]["certificate"]["leaves"][0]["values"][0]["value"] = 1.into()),
            "The plan is refused: ",
        ),
        (
            "price",
            forged(&|plan| plan["batch"]["stock"][0]["price"] = "1.00".into()),
            "The plan is refused: ",
        ),
    ];
    for (what, bytes, words) in cases {
        judged(what, &bytes, words, 1);
    }
}

/// Numbers that nobody can judge, each as large as it can be, are no harm together.
#[test]
fn work_beyond_all_numbers_is_no_harm() {
    let mut plan: Value = serde_json::from_str(&sheets()).unwrap();
    let groups = plan["groups"].as_array_mut().unwrap();
    assert!(groups.len() > 1);
    groups.iter_mut().for_each(|group| group["work"] = u64::MAX.into());
    let nest = Nest::new().file("plan.json", serde_json::to_vec(&plan).unwrap());
    let ran = nest.args("check plan.json").says("The plan is sound").exit(0);
    ran.then().args("draw plan.json -o out").any_stdout().exit(0);
}

/// Nothing is written through a link, and what a link stands for stays.
#[cfg(unix)]
#[test]
fn links_are_not_followed() {
    let ran = given("markup").file("precious/letter.txt", "dear").args("--version").any_stdout().exit(0);
    std::os::unix::fs::symlink("precious", ran.path("link")).unwrap();
    let ran = ran
        .then()
        .args("plan parts.csv --stock stock.csv --units mm --effort none -q -o link --force")
        .complains("`link` is a link")
        .exit(2);
    assert_eq!(names(&ran.path("precious")), ["letter.txt"]);
    let ran = ran
        .then()
        .args("plan parts.csv --stock stock.csv --units mm --effort none -q -o out")
        .any_stdout()
        .exit(0);
    fs::remove_file(ran.path("out/report.html")).unwrap();
    std::os::unix::fs::symlink("../precious/letter.txt", ran.path("out/report.html")).unwrap();
    let ran = ran.then().args("draw out/plan.json -q -o out --force").exit(0);
    assert_eq!(ran.read("precious/letter.txt"), "dear");
    assert!(
        !ran.path("out/report.html").is_symlink() && ran.read("out/report.html").contains("Cutting plan")
    );
}
