//! Faults of what surrounds the list of parts: shop, stock, flags, streams, folders, and names that mean harm.

use crate::harness::Nest;
use crate::rail::{PARTS, STOCK, plan};

#[test]
fn shop_files_with_faults() {
    let shop = |text: &str, message: &str| {
        Nest::new()
            .file("parts.csv", PARTS)
            .file("stock.csv", STOCK)
            .file("shop.toml", text)
            .args("plan parts.csv --stock stock.csv --shop shop.toml --units in")
            .stderr(message)
            .exit(2);
    };
    shop(
        "[boards]\nkerf = 1/8\n",
        "\
error: string values must be quoted, expected literal string
 --> shop.toml:2:8
  |
2 | kerf = 1/8
  |        ^^^
  |
  = hint: write \"1/8\" in quotes: lengths and words are quoted
",
    );
    shop(
        "kerf = \"1/8\"\n",
        "\
error: unknown setting `kerf`
 --> shop.toml:1:1
  |
1 | kerf = \"1/8\"
  | ^^^^
  |
  = hint: `kerf` belongs under [boards] or [sheets]
",
    );
    shop(
        "[boards]\ntrim = \"1/16\"\n",
        "\
error: the edge trim is thinner than the kerf, but the kerf is part of it
 --> shop.toml:2:9
  |
2 | trim = \"1/16\"
  |         ^^^^
  |
  = hint: 0 leaves the factory edge as it is; all else is at least the kerf, 1/8\"
",
    );
    shop(
        "[boards\nkerf = \"1/8\"\n",
        "\
error: unclosed table, expected `]`
 --> shop.toml:1:8
  |
1 | [boards
  |        ^
  |
  = hint: a section stands in brackets: `[boards]`
",
    );
}

#[test]
fn hints_on_shop_files_can_be_followed() {
    let shop = |text: &str| {
        let ran = plan(PARTS).file("shop.toml", text).args("--shop shop.toml").any_stderr().exit(2);
        assert_eq!(ran.stderr.matches("error: ").count(), 1, "{}", ran.stderr);
        ran.stderr
    };
    for (wrong, right) in [("“in”", "in"), ("„mm“", "mm"), ("’in’", "in"), ("mm", "mm")] {
        let said = shop(&format!("units = {wrong}\n"));
        assert!(said.contains(&format!("hint: write \"{right}\" in quotes")), "{said}");
    }
    // The mark of an inch is no quote.
    let said = shop("[boards]\nkerf = 1/8”\n");
    assert!(said.contains("hint: write \"1/8”\" in quotes"), "{said}");
    for text in ["boards = 3\n", "[[boards]]\nkerf = 1\n"] {
        let said = shop(text);
        assert!(said.contains("error: expected the section `boards`, but found a value\n"), "{said}");
        assert!(said.contains("hint: write [boards] once, and its settings below it\n"), "{said}");
    }
    assert!(shop("band = 3\n").contains("hint: write [band.NAME] for each, and its settings below it\n"));
}

#[test]
fn a_flag_that_sets_two_things_is_wrong_once() {
    let ran = Nest::new()
        .file("parts.csv", PARTS)
        .file("stock.csv", STOCK)
        .args("plan parts.csv --stock stock.csv --units in --kerf thin")
        .complains(" --> --kerf:1:1\n")
        .exit(2);
    assert_eq!(ran.stderr.matches("--kerf").count(), 1);
}

#[test]
fn stock_that_cannot_be_meant() {
    let stock = |text: &str, message: &str| {
        Nest::new()
            .file("parts.csv", PARTS)
            .file("stock.csv", text)
            .args("plan parts.csv --stock stock.csv --units in")
            .complains(message)
            .exit(2);
    };
    stock(
        "material,length,price\npine,8',2.60\npine,10',\n",
        "error: pine, 10' has no price, but other stock has\n --> stock.csv:3:10\n",
    );
    stock(
        "material,thickness,length\npine,1/2,8'\n",
        "hint: the nearest is 1/2\"; if people call that 3/4\", write 3/4\" in its `called` column",
    );
    stock(
        "material,length,price,per\npine,8',2.60,yard\n",
        "error: expected each, foot, metre, sqft, sqm or board foot, but found `yard`\n --> stock.csv:2:14\n",
    );
    stock(
        "material,length,section\npine,8',1xq\n",
        "error: expected a nominal size, but found `1xq`\n --> stock.csv:2:9\n",
    );
    stock("material,length,grain\npine,8',widht\n", "hint: did you mean `width`?");
    for column in ["on_hand", "factory_edges"] {
        let list = format!("material,length,{column}\npine,8',perhaps\n");
        stock(&list, "error: expected yes or no, but found `perhaps`\n");
    }
}

#[test]
fn an_output_folder_that_exists_or_cannot_be_made() {
    let run = |nest: Nest, output: &str| {
        nest.file("parts.csv", PARTS)
            .file("stock.csv", STOCK)
            .args("plan parts.csv --stock stock.csv --units in -q -o")
            .arg(output)
    };
    run(Nest::new().file("plan/plan.json", "{}"), "plan")
        .stderr(
            "\
error: the folder `plan` is there already
  = hint: --force replaces the plan in it; another name keeps it
",
        )
        .exit(2);
    // Force is no way out where there is no plan to replace.
    for force in ["", "--force"] {
        let ran = run(Nest::new().file("plan/mine.txt", "mine"), "plan")
            .args(force)
            .stderr(
                "\
error: the folder `plan` holds other things and no plan
  = hint: choose another name, or empty it
",
            )
            .exit(2);
        assert_eq!((ran.names().len(), ran.read("plan/mine.txt").as_str()), (3, "mine"));
    }
    run(Nest::new(), "no/where").complains("there is no folder `no`").exit(2);
    run(Nest::new(), "parts.csv").complains("`parts.csv` is a file").exit(2);
    run(Nest::new(), "parts.csv/plan").any_stderr().exit(2);
}

#[test]
fn standard_input_is_read_once() {
    Nest::new()
        .file("stock.csv", STOCK)
        .args("plan - --stock stock.csv --units in -q")
        .stdin(PARTS)
        .stdout("Cost 2.60; proven: no plan can cost less\n")
        .exit(0);
    Nest::new()
        .args("plan - --stock - --units in -q")
        .stdin(PARTS)
        .complains("error: standard input can be read once, but `-` is given twice\n")
        .exit(2);
    Nest::new()
        .file("stock.csv", STOCK)
        .args("plan - --stock stock.csv --units in")
        .stdin("")
        .complains(" --> standard input:1:1\n")
        .exit(2);
}

#[test]
fn usage_that_is_wrong() {
    Nest::new().args("plan").complains("--stock <STOCK.csv>").exit(2);
    Nest::new().args("paln").complains("tip: a similar subcommand exists: 'plan'").exit(2);
    plan(PARTS).args("--effort huge").complains("hint: efforts are none, quick, normal, deep\n").exit(2);
    plan(PARTS)
        .args("--spare lots")
        .complains("error: expected a percentage from 0 to 100 for --spare, but found `lots`")
        .exit(2);
    for labels in ["--label-start 2", "--label-start 2 --json"] {
        plan(PARTS)
            .args(labels)
            .stderr(
                "\
error: expected a folder for the labels beside --label-start, but there is none
  = hint: write -o DIR, or leave --label-start out
",
            )
            .exit(2);
    }
    plan(PARTS)
        .args("--time-limit soon")
        .complains("error: expected a time for --time-limit, but found `soon`")
        .exit(2);
}

#[test]
fn names_that_act_on_a_terminal_are_shown_harmless() {
    let hostile = "\x1b]52;c;eA==\x07\u{202e}\u{9b}31m";
    let parts = format!("part,material,length\n{hostile},{hostile},36\n");
    let ran = plan(parts).any_stderr().exit(2);
    let acts = |c: char| (c.is_control() && c != '\n') || ('\u{202a}'..='\u{202e}').contains(&c);
    assert!(!ran.stderr.contains(acts), "{:?}", ran.stderr);
    let parts = format!("part,material,thickness,length,width\n{hostile},pine,3/4,36,1 1/2\n");
    let ran = plan(parts).args("-o papers").any_stdout().exit(0);
    assert!(!ran.stdout.contains(acts), "{:?}", ran.stdout);
}

/// The whole result or nothing of it: `/dev/full` takes no byte.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_reported() {
    let ran = plan(PARTS).args("-o papers").any_stdout().exit(0);
    let full = std::fs::File::options().write(true).open("/dev/full").unwrap();
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_nest"))
        .args(["check", "papers/plan.json"])
        .current_dir(ran.path("."))
        .stdout(full)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).starts_with("error: the result cannot be written: "));
}

/// A reader that has seen enough changes nothing about how a run ends, and whoever does not hear a warning gets his plan.
#[cfg(unix)]
#[test]
fn a_closed_pipe_is_quiet_and_ends_no_run() {
    // More than there is stock for, and a column that is warned of.
    let parts = "part,material,length,qty,colour\nrail,pine,36,3,red\n";
    let stock = "material,length,price,qty\npine,8',2.60,1\n";
    let ran = plan(PARTS).args("-o papers").any_stdout().exit(0);
    let ran = ran.then().file("more.csv", parts).file("few.csv", stock).file("wrong.csv", "part\nrail\n");
    let unsound = "{\"format\": \"nest-plan\"}";
    let ran = ran.file("unreadable.json", unsound).args("--version").any_stdout().exit(0);
    let cost = "\"cost\": \"2.60\"";
    let text = ran.read("papers/plan.json");
    assert!(text.contains(cost), "{text}");
    let ran = ran.then().file("bad.json", text.replacen(cost, "\"cost\": \"2.50\"", 1));
    let ran = ran.args("--version").any_stdout().exit(0);
    for (line, code) in [
        ("check papers/plan.json", 0),
        ("check bad.json", 1),
        ("check unreadable.json", 2),
        ("plan more.csv --stock few.csv --units in -o more", 1),
        ("plan wrong.csv --stock few.csv --units in", 2),
        ("paln", 2),
        ("--help", 0),
    ] {
        let ends = |closed: [bool; 2]| {
            let stream = |closed: bool| {
                let (reader, writer) = std::io::pipe().unwrap();
                drop(reader);
                if closed { writer.into() } else { std::process::Stdio::piped() }
            };
            let output = std::process::Command::new(env!("CARGO_BIN_EXE_nest"))
                .args(line.split(' '))
                .current_dir(ran.path("."))
                .stdin(std::process::Stdio::null())
                .stdout(stream(closed[0]))
                .stderr(stream(closed[1]))
                .output()
                .unwrap();
            assert_eq!(output.status.code(), Some(code), "{line}, closed: {closed:?}");
            let made = ran.path("more");
            if line.contains("-o more") {
                assert!(made.join("plan.json").exists(), "{line}, closed: {closed:?}");
                std::fs::remove_dir_all(made).unwrap();
            }
            (output.stdout, output.stderr)
        };
        let (said, warned) = ends([false, false]);
        assert_eq!(ends([true, false]).1, warned, "{line}: a closed standard output is no error");
        assert_eq!(ends([false, true]).0, said, "{line}: a closed standard error keeps nothing back");
        ends([true, true]);
    }
}

/// Before the search there is no plan that could be kept: whoever interrupts then is done with the program at once.
#[cfg(unix)]
#[test]
fn an_interrupt_before_the_search_simply_ends_the_program() {
    use std::os::unix::process::ExitStatusExt;
    use std::process::{Command, Stdio};
    let ran = Nest::new().file("stock.csv", STOCK).args("--version").any_stdout().exit(0);
    // Where these tests run behind something else they may not hear of interrupts, and neither would what they start.
    let (hears, nest) = ("--default-signal=INT", env!("CARGO_BIN_EXE_nest"));
    let can = Command::new("env").args([hears, "true"]).output().is_ok_and(|output| output.status.success());
    let mut command = Command::new(if can { "env" } else { nest });
    if can {
        command.args([hears, nest]);
    }
    let mut child = command
        .args(["plan", "-", "--stock", "stock.csv", "--units", "in"])
        .current_dir(ran.path("."))
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    std::thread::sleep(std::time::Duration::from_millis(300));
    Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap();
    // What it waits for comes at last, so that a program which waits on ends as well.
    std::thread::sleep(std::time::Duration::from_millis(300));
    drop(child.stdin.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.signal(), Some(2), "{:?}", output.status);
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
}
