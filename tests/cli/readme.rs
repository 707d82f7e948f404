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

/// Benches take too long to run here; that there is one of that name can be seen.
fn is_bench(line: &str) -> bool {
    let plain = line.strip_prefix("NEST_INSTANCES=path/to/instances ").unwrap_or(line);
    let name =
        plain.strip_prefix("cargo bench -p nest-core --bench ").and_then(|rest| rest.split(' ').next());
    let manifest = std::fs::read_to_string(root().join("nest-core/Cargo.toml")).unwrap();
    name.is_some_and(|name| manifest.contains(&format!("[[bench]]\nname = \"{name}\"\n")))
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
        assert!(!ran.names().is_empty());
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
