//! Help that fits a screen, names units and defaults, and holds commands that work.

use crate::harness::Nest;

#[test]
fn short_help_fits_a_screen_of_80_by_24() {
    for command in ["", "plan", "check", "draw", "new", "completions"] {
        let ran = Nest::new().args(command).args("-h").any_stdout().exit(0);
        assert!(ran.stdout.lines().count() <= 24, "{command}: {}", ran.stdout);
        assert!(ran.stdout.contains("Example"), "{command}: {}", ran.stdout);
    }
}

#[test]
fn help_is_a_command_too() {
    for command in ["", "plan", "draw"] {
        let asked = Nest::new().args(command).args("--help").any_stdout().exit(0).stdout;
        Nest::new().args("help").args(command).stdout(&asked).exit(0);
    }
}

#[test]
fn no_line_of_help_is_longer_than_80_columns() {
    for command in ["", "plan", "check", "draw", "new", "completions"] {
        for flag in ["-h", "--help"] {
            let ran = Nest::new().args(command).args(flag).any_stdout().exit(0);
            let long = ran.stdout.lines().find(|line| line.chars().count() > 80);
            assert_eq!(long, None, "{command} {flag}");
        }
    }
}

#[test]
fn help_names_units_defaults_and_exit_codes() {
    let ran = Nest::new().args("plan --help").any_stdout().exit(0);
    for text in [
        "[default: 1/8 in or 3.2 mm]",
        "in, ft, mm, cm or m",
        "kerf included",
        "  130  interrupted",
        "--seed",
    ] {
        assert!(ran.stdout.contains(text), "{text}");
    }
}

#[test]
fn the_plan_comes_first_in_every_usage_of_check() {
    let usage = "Usage: nest check [OPTIONS] <PLAN.json> [PARTS.csv]...\n";
    let ran = Nest::new().args("check --help").says(usage).exit(0);
    // Flags that `check` does not have are not promised.
    assert!(!ran.stdout.contains("--spare") && !ran.stdout.contains("lists and flags"), "{}", ran.stdout);
    Nest::new().args("check --stock stock.csv").complains(usage).exit(2);
    Nest::new().args("check plan.json parts.csv").complains(usage).exit(2);
}

#[test]
fn no_help_shows_how_it_is_written_down() {
    for command in ["plan", "check", "draw", "new", "completions"] {
        let ran = Nest::new().args(command).args("--help").any_stdout().exit(0);
        assert!(!ran.stdout.contains('\\'), "{command}: {}", ran.stdout);
    }
}

/// The names of the columns of a list, as the reader of lists has them.
fn columns(list: &str) -> Vec<&'static str> {
    let source = include_str!("../../nest-cli/src/input/columns.rs");
    let (_, rows) = source.split_once(&format!("pub const {list}: &[Known] = &[\n")).unwrap();
    let (rows, _) = rows.split_once("\n];").unwrap();
    rows.lines().map(|row| row.split('"').nth(1).unwrap()).collect()
}

#[test]
fn help_names_every_column_that_the_readers_know() {
    let help = Nest::new().args("plan --help").any_stdout().exit(0).stdout;
    let (_, lists) = help.split_once("  parts  needed: ").unwrap();
    let (parts, stock) = lists.split_once("  stock  needed: ").unwrap();
    let (stock, _) = stock.split_once("Also read").unwrap();
    for (text, list, least) in [(parts, "PARTS", 18), (stock, "STOCK", 17)] {
        let words: Vec<&str> = text.split(|c: char| !c.is_ascii_alphabetic() && c != '_').collect();
        let columns = columns(list);
        assert!(columns.len() >= least, "{columns:?}");
        for column in columns {
            assert!(words.contains(&column), "{column} of {list}");
        }
    }
}

#[test]
fn the_examples_of_the_first_screen_work() {
    let ran = Nest::new().args("-h").any_stdout().exit(0);
    let mut commands: Vec<String> =
        ran.stdout.lines().filter_map(|line| line.strip_prefix("  nest ").map(String::from)).collect();
    commands.retain(|command| command.contains("demo"));
    assert_eq!(commands.len(), 2, "{}", ran.stdout);
    let ran = ran.then().args(&commands[0]).any_stdout().exit(0);
    ran.then().args(&commands[1]).any_stdout().exit(0);
}

#[test]
fn completions_exist_for_every_shell() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let ran = Nest::new().args("completions").arg(shell).any_stdout().exit(0);
        assert!(ran.stdout.contains("time-limit"), "{shell}");
    }
}

#[test]
fn the_version_is_printed() {
    Nest::new().args("--version").stdout(concat!("nest ", env!("CARGO_PKG_VERSION"), "\n")).exit(0);
    Nest::new().complains("Usage: nest <COMMAND>").exit(2);
}
