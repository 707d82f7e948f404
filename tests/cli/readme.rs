//! README cannot lie: its commands run, one after the other in one folder.

use crate::harness::Nest;
use std::path::Path;

fn root() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/.."))
}

/// Commands of the program in README's blocks, without its name. `cargo test` is what runs this.
fn commands() -> Vec<String> {
    let text = std::fs::read_to_string(root().join("README.md")).unwrap();
    let mut inside = false;
    let mut found = Vec::new();
    for line in text.lines() {
        if line.starts_with("```") {
            inside = line == "```sh";
        } else if inside {
            match line.strip_prefix("nest ").or(line.strip_prefix("cargo run --release -p nest-cli -- ")) {
                Some(command) => found.push(command.to_owned()),
                None => assert!(
                    line == "cargo test --release --workspace" || is_bench(line),
                    "a command that nothing runs: {line}"
                ),
            }
        }
    }
    found
}

/// Benches take too long to run here; that there is one of that name, which knows the flags and the cases, can be seen.
fn is_bench(line: &str) -> bool {
    let plain = line.strip_prefix("NEST_INSTANCES=path/to/instances ").unwrap_or(line);
    let Some(rest) = plain.strip_prefix("cargo bench -p nest-core --bench ") else { return false };
    let (bench, words) = rest.split_once(" -- ").unwrap_or((rest, ""));
    let (name, features) = bench.split_once(" --features ").unwrap_or((bench, ""));
    let manifest = std::fs::read_to_string(root().join("nest-core/Cargo.toml")).unwrap();
    let source = sources(&root().join("benches"));
    // What begins with a digit is the value of a flag.
    let mut words = words.split(' ').filter(|word| !word.starts_with(|c: char| c.is_ascii_digit()));
    manifest.contains(&format!("[[bench]]\nname = \"{name}\"\n"))
        && (features.is_empty() || manifest.contains(&format!("\n{features} = [")))
        && words.all(|word| word.is_empty() || source.contains(&format!("\"{word}\"")))
}

/// All sources below a folder.
fn sources(folder: &Path) -> String {
    let mut text = String::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            text.push_str(&sources(&path));
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            text.push_str(&std::fs::read_to_string(path).unwrap());
        }
    }
    text
}

#[test]
fn a_bench_that_is_not_there_is_seen() {
    let shop = "cargo bench -p nest-core --bench shop";
    assert!(is_bench(shop) && is_bench(&format!("{shop} -- closet")));
    for other in ["cargo bench -p nest-core --bench ship", &format!("{shop} -- closets-of-old")] {
        assert!(!is_bench(other), "{other}");
    }
    assert!(!is_bench("cargo bench -p nest-core --bench instances -- ai --onlyy 201_ --limit 60"));
}

#[test]
fn every_command_of_the_readme_does_what_it_says() {
    let commands = commands();
    assert!(commands.len() >= 4, "{commands:?}");
    let mut nest = Nest::new();
    for file in ["parts.csv", "stock.csv", "rack.csv", "shop.toml"] {
        let name = format!("fixtures/demo/{file}");
        nest = nest.file(&name, std::fs::read(root().join(&name)).unwrap());
    }
    for command in commands {
        let ran = nest.args(&command).any_stdout().exit(0);
        let made = match command.split_once(' ').unwrap() {
            ("plan" | "draw", words) => {
                let (_, folder) = words.split_once("-o ").unwrap();
                format!("{}/report.html", folder.split(' ').next().unwrap())
            }
            ("new", folder) => format!("{folder}/shop.toml"),
            ("check", plan) => {
                assert!(ran.stdout.starts_with("The plan is sound: "), "{command}: {}", ran.stdout);
                plan.to_owned()
            }
            _ => panic!("nothing looks at what this does: {command}"),
        };
        assert!(ran.path(&made).is_file(), "{command} makes no {made}");
        nest = ran.then();
    }
}

#[test]
fn the_demo_is_proven() {
    let plan = "plan fixtures/demo/parts.csv --stock fixtures/demo/stock.csv --rack fixtures/demo/rack.csv --shop \
                fixtures/demo/shop.toml";
    let mut nest = Nest::new();
    for file in ["parts.csv", "stock.csv", "rack.csv", "shop.toml"] {
        let name = format!("fixtures/demo/{file}");
        nest = nest.file(&name, std::fs::read(root().join(&name)).unwrap());
    }
    nest.args(plan).says("Cost $79.20; proven: no plan can cost less.\n").exit(0);
}

/// Whoever opens it in a spreadsheet finds every column explained.
#[test]
fn every_column_of_the_cuts_is_explained() {
    let text = std::fs::read_to_string(root().join("README.md")).unwrap();
    let (_, about) = text.split_once("In `cuts.csv`").unwrap();
    let (about, _) = about.split_once("\n\n").unwrap();
    let cuts = root().join("fixtures/papers/inches/expected/cuts.csv");
    let cuts = std::fs::read_to_string(cuts).unwrap();
    for column in cuts.lines().next().unwrap().split(',') {
        assert!(about.contains(&format!("`{column}`")), "{column}");
    }
}
