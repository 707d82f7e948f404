//! Whole jobs, as somebody does them: start from samples, plan, check, use the offcuts next time, stop early.

use crate::harness::{Nest, Ran, names};

#[test]
fn samples_are_written_planned_and_checked_at_once() {
    let ran = Nest::new()
        .args("new demo")
        .stdout(
            "\
Wrote demo/parts.csv, demo/stock.csv and demo/shop.toml. Change them, or plan them as they are:

  nest plan demo/parts.csv --stock demo/stock.csv --shop demo/shop.toml
",
        )
        .exit(0);
    let ran = ran
        .then()
        .args("plan demo/parts.csv --stock demo/stock.csv --shop demo/shop.toml -o plan")
        .says("Cost $51.95; proven: no plan can cost less.\n")
        .says("1  pine 1x4  31 1/2\"")
        .exit(0);
    assert_eq!(
        names(&ran.path("plan")),
        ["buy.csv", "cuts.csv", "diagrams", "labels.html", "offcuts.csv", "plan.json", "report.html"]
    );
    let ran = ran
        .then()
        .args("check plan/plan.json --parts demo/parts.csv --stock demo/stock.csv --shop demo/shop.toml")
        .stdout("The plan is sound: 28 pieces from 9 boards, cost $51.95; no plan can cost less.\n")
        .exit(0);
    // The offcuts of one plan are the rack of the next.
    ran.then()
        .file("one.csv", "part,material,section,length\nstrip,pine,1x2,47\n")
        .args("plan one.csv --stock demo/stock.csv --rack plan/offcuts.csv --shop demo/shop.toml")
        .says("1  pine 1x2, 8', offcut 47 7/8\"")
        .says("Cost $0.00; proven: no plan can cost less.\n")
        .exit(0);
}

#[test]
fn stock_that_nobody_asks_for_is_mentioned_to_those_who_ask() {
    let plan = || {
        Nest::new()
            .file("parts.csv", "part,material,length\nrail,pine,36\n")
            .file("stock.csv", "material,length,price\npine,96,2.60\noak,96,9\n")
            .args("plan parts.csv --stock stock.csv --units in")
            .any_stdout()
    };
    plan().exit(0);
    plan().args("--verbose").stderr("warning: no part is made of oak\n").exit(0);
}

#[test]
fn samples_are_never_written_over_something() {
    let ran = Nest::new()
        .file("demo/mine.txt", "mine")
        .args("new demo")
        .stderr("error: the folder demo is not empty\n  = hint: name a new folder; nothing was written\n")
        .exit(2);
    assert_eq!(names(&ran.path("demo")), ["mine.txt"]);
    Nest::new().file("demo", "").args("new demo").complains("error: demo is a file").exit(2);
    Nest::new().file("demo", "").args("new demo/inside").any_stderr().exit(2);
    let ran = Nest::new().folder("demo").args("new demo -q").exit(0);
    assert_eq!(names(&ran.path("demo")).len(), 3);
}

const STOCK: &str = "material,thickness,length,width,price,qty\npine,3/4,8',1 1/2,2.60,1\n";

#[test]
fn parts_that_cannot_be_made_are_named_and_the_exit_code_says_no() {
    let ran = Nest::new()
        .file("parts.csv", "part,material,thickness,length,width,qty\nrail,pine,3/4,36,1 1/2,3\n")
        .file("stock.csv", STOCK)
        .args("plan parts.csv --stock stock.csv --units in -o plan")
        .says("Left over\n1 of 3  rail")
        .exit(1);
    ran.then().args("check plan/plan.json").says("some parts are left over").exit(0);
}

#[test]
fn a_plan_for_other_parts_is_refused() {
    let parts = "part,material,thickness,length,width,qty\nrail,pine,3/4,36,1 1/2,2\n";
    let ran = Nest::new()
        .file("parts.csv", parts)
        .file("stock.csv", STOCK)
        .args("plan parts.csv --stock stock.csv --units in -q -o plan")
        .any_stdout()
        .exit(0);
    ran.then()
        .file("changed.csv", parts.replace("36", "35 7/8"))
        .args("check plan/plan.json --parts changed.csv --stock stock.csv --units in --kerf 3/32")
        .stdout(
            "\
The plan is refused: 3 faults.
  length of part 1 (rail) is 36\" in the plan, but 35 7/8\" in the files
  boards.kerf of the shop is 1/8\" in the plan, but 3/32\" in the files
  sheets.kerf of the shop is 1/8\" in the plan, but 3/32\" in the files
",
        )
        .exit(1);
}

#[test]
fn what_differs_is_said_in_the_words_of_the_lists() {
    let parts = "part,material,thickness,length,width,fit,grain,match,match_way,optional\n\
                 a,ply,18,500,300,5,any,,,\nb,ply,18,500,300,yes,,,,yes\n\
                 c,ply,18,500,300,,,x,across,\nd,ply,18,500,300,,,x,across,\n";
    let stock = "name,material,form,section,thickness,length,width,price,per,grain,on_hand\n\
                 birch,ply,sheet,,18,2440,1220,60,,length,\nfir,fir,board,1x4,,2440,,0.5,board foot,,\n";
    let ran = Nest::new()
        .file("parts.csv", parts)
        .file("stock.csv", stock)
        .args("plan parts.csv --stock stock.csv --units mm --stages 4 -q -o plan")
        .any_stdout()
        .exit(0);
    ran.then()
        .file("parts.csv", parts.replace(",5,any,", ",1/2 in,,").replace("yes", "").replace("across", ""))
        .file("stock.csv", stock.replace("60,,length,", "60,sqm,,").replace("board foot,,", "foot,,yes"))
        .file("shop.toml", "units = \"mm\"\nsheets = { stages = \"any\", first_cut = \"rip\" }\n")
        .args("check plan/plan.json --parts parts.csv --stock stock.csv --shop shop.toml")
        .stdout(
            "\
The plan is refused: 13 faults.
  grain of part 1 (a) is any in the plan, but empty in the files
  fit of part 1 (a) is 5 mm in the plan, but 12.7 mm in the files
  fit of part 2 (b) is yes in the plan, but no in the files
  optional of part 2 (b) is yes in the plan, but no in the files
  match_way of part 3 (c) is across in the plan, but along in the files
  match_way of part 4 (d) is across in the plan, but along in the files
  per of stock 1 (birch) is each in the plan, but sqm in the files
  grain of stock 1 (birch) is length in the plan, but empty in the files
  per of stock 2 (fir) is board foot in the plan, but foot in the files
  qty of stock 2 (fir) is empty in the plan, but 1 in the files
  on_hand of stock 2 (fir) is no in the plan, but yes in the files
  sheets.stages of the shop is 4 in the plan, but any in the files
  sheets.first_cut of the shop is either in the plan, but rip in the files
",
        )
        .exit(1);
}

#[test]
fn what_a_plan_says_about_itself_is_not_believed() {
    let ran = Nest::new()
        .file("parts.csv", "part,material,thickness,length,width,qty\nrail,pine,3/4,36,1 1/2,2\n")
        .file("stock.csv", STOCK)
        .args("plan parts.csv --stock stock.csv --units in --json")
        .any_stdout()
        .exit(0);
    let honest = ran.stdout.clone();
    Nest::new()
        .args("check -")
        .stdin(&honest)
        .says("The plan is sound: 2 pieces from 1 board, cost 2.60")
        .exit(0);
    let cheap = honest.replacen("\"cost\": \"2.60\"", "\"cost\": \"2.50\"", 1);
    assert_ne!(cheap, honest);
    Nest::new()
        .args("check -")
        .stdin(&cheap)
        .stdout("The plan is refused: 1 fault.\n  it states a cost of 2.50, but it is 2.60\n")
        .exit(1);
    let modest = honest.replacen("\"status\": \"proven\"", "\"status\": \"feasible\"", 1);
    Nest::new().args("check -").stdin(&modest).says("it calls itself feasible, but it is proven\n").exit(1);
    Nest::new().args("check - --json").stdin(&cheap).says("\"sound\": false").exit(1);
    Nest::new().args("check -").stdin(honest.replace("38.1", "x")).complains(" --> standard input:").exit(2);
    Nest::new().args("check nowhere.json").complains("there is no file nowhere.json").exit(2);
    Nest::new().args("check -").stdin("{}").complains("error: ").exit(2);
}

#[test]
fn several_lists_are_several_jobs() {
    let part =
        |job: &str| format!("part,material,thickness,length,width,job\nrail,pine,3/4,36,1 1/2,{job}\n");
    Nest::new()
        .file("kitchen.csv", part(""))
        .file("hall.csv", part("mudroom"))
        .file("stock.csv", STOCK)
        .args("plan kitchen.csv hall.csv --stock stock.csv --units in --json")
        .says("\"job\": \"kitchen\"")
        .says("\"job\": \"mudroom\"")
        .exit(0);
    Nest::new()
        .file("kitchen.csv", part(""))
        .file("stock.csv", STOCK)
        .args("plan kitchen.csv --stock stock.csv --units in")
        .says("1 piece.\n\nBuy\n")
        .exit(0);
    // As `nest new` calls them.
    Nest::new()
        .file("kitchen/parts.csv", part(""))
        .file("bath/parts.csv", part(""))
        .file("stock.csv", STOCK)
        .args("plan kitchen/parts.csv bath/parts.csv --stock stock.csv --units in --json")
        .says("\"job\": \"kitchen\"")
        .says("\"job\": \"bath\"")
        .exit(0);
}

#[test]
fn the_same_input_gives_the_same_bytes_with_any_number_of_threads() {
    let run = |threads: &str| {
        Nest::new()
            .args("new demo -q")
            .exit(0)
            .then()
            .args("plan demo/parts.csv --stock demo/stock.csv --shop demo/shop.toml --json --threads")
            .arg(threads)
            .any_stdout()
            .exit(0)
            .stdout
    };
    assert_eq!(run("1"), run("2"));
}

#[test]
fn the_shop_file_keeps_its_own_units_and_flags_override_it() {
    let run = |flags: &str| {
        Nest::new()
            .file("parts.csv", "part,material,length,qty\nrail,pine,600,2\n")
            .file("stock.csv", "material,length,price\npine,2400,5\n")
            .file(
                "shop.toml",
                "units = \"in\"\ncurrency = \"kr\"\n[boards]\nkerf = \"1/8\"\ntrim = [\"1/4\", \"1/2\"]\n",
            )
            .args("plan parts.csv --stock stock.csv --shop shop.toml --units mm --json")
            .args(flags)
            .any_stdout()
            .exit(0)
            .stdout
    };
    assert!(run("").contains("\"boards\": {\"kerf\": 3.175, \"trim\": [6.35, 12.7]"));
    assert!(run("").contains("\"units\": \"mm\""));
    assert!(run("--kerf 4.4 --trim 5").contains("\"boards\": {\"kerf\": 4.4, \"trim\": [5, 5]"));
    assert!(run("").contains("\"currency\": \"kr\""));
}

#[test]
fn colour_is_used_where_it_is_wanted_alone() {
    let plan = || Nest::new().file("parts.csv", "part\n").args("plan parts.csv --stock parts.csv");
    let colours = |nest: Nest| nest.any_stderr().exit(2).stderr.contains('\x1b');
    assert!(!colours(plan()));
    assert!(colours(plan().args("--color always")));
    assert!(colours(plan().env("CLICOLOR_FORCE", "1")));
    assert!(!colours(plan().env("CLICOLOR_FORCE", "1").env("NO_COLOR", "1")));
    assert!(!colours(plan().env("CLICOLOR_FORCE", "1").args("--color never")));
}

/// The first interrupt ends the search with a plan that is written and marked; so does being asked to terminate.
#[cfg(unix)]
#[test]
fn an_interrupt_keeps_the_best_plan_so_far() {
    // Many sizes that share nothing, so that there is no end to searching.
    let parts: String = (0..400).map(|i| format!("p{i},pine,{},7\n", 300 + (i * 7919) % 1301)).collect();
    let ran = Nest::new()
        .file("parts.csv", format!("part,material,length,qty\n{parts}"))
        .file("stock.csv", "material,length,price\npine,2417,5.03\npine,3011,6.31\npine,3607,7.57\n");
    let mut ran = ran.args("--version").any_stdout().exit(0);
    for signal in ["-INT", "-TERM"] {
        if interrupted(&ran, signal) {
            ran = ran.then().args("check plan/plan.json").says("The plan is sound: 2800 pieces").exit(0);
        }
    }
}

/// The same where sheets are still being filled for the first time: what was placed is written, the rest named.
#[cfg(unix)]
#[test]
fn an_interrupt_ends_the_first_filling_of_sheets() {
    let parts: String = (0..9000)
        .map(|i| format!("p{i},ply,{},{},20\n", 100 + (i * 7919) % 701, 50 + (i * 104_729) % 409))
        .collect();
    let ran = Nest::new()
        .file("parts.csv", format!("part,material,length,width,qty\n{parts}"))
        .file("stock.csv", "material,length,width,price\nply,2440,1220,50.00\n");
    let mut ran = ran.args("--version").any_stdout().exit(0);
    for signal in ["-INT", "-TERM"] {
        if interrupted(&ran, signal) {
            ran = ran.then().args("check plan/plan.json").says("some parts are left over").exit(0);
        }
    }
}

/// Waits until a search has been going on for a moment, or is over. It begins when the program listens to Ctrl-C, which
/// Linux tells; elsewhere the moment has to do.
#[cfg(unix)]
fn wait_for_search(child: &mut std::process::Child) {
    use std::time::Duration;
    const SIGINT: u64 = 1 << 1;
    let status = format!("/proc/{}/status", child.id());
    let listens = || {
        let status = std::fs::read_to_string(&status).ok()?;
        let caught = status.lines().find_map(|line| line.strip_prefix("SigCgt:"))?;
        Some(u64::from_str_radix(caught.trim(), 16).ok()? & SIGINT != 0)
    };
    for _ in 0..3000 {
        if listens() != Some(false) || child.try_wait().unwrap().is_some() {
            break;
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    std::thread::sleep(Duration::from_millis(400));
}

/// Plans into a folder and sends a signal after a moment: the program says so, ends as interrupted and marks the plan.
/// `false` where the machine was fast enough to be done before; then nothing was interrupted.
#[cfg(unix)]
fn interrupted(ran: &Ran, signal: &str) -> bool {
    use std::io::Read;
    use std::process::{Command, Stdio};
    let mut child = Command::new(env!("CARGO_BIN_EXE_nest"))
        .args(["plan", "parts.csv", "--stock", "stock.csv"])
        .args(["--units", "mm", "--effort", "deep", "-o", "plan", "--force"])
        .current_dir(ran.path("."))
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let id = child.id().to_string();
    wait_for_search(&mut child);
    Command::new("kill").args([signal, &id]).status().unwrap();
    let code = child.wait().unwrap().code();
    let mut said = String::new();
    child.stderr.take().unwrap().read_to_string(&mut said).unwrap();
    if code == Some(0) {
        assert!(!said.contains("stopping"), "{said}");
        return false;
    }
    assert_eq!(code, Some(130), "{said}");
    assert!(said.contains("stopping with the best plan so far"), "{said}");
    assert!(ran.read("plan/plan.json").contains("\"stopped\": \"interrupted\""));
    assert!(ran.read("plan/report.html").contains("<p>Interrupted: this is the best plan so far.</p>"));
    true
}

#[test]
fn labels_of_several_alike_say_which_sheet_or_board() {
    let ran = Nest::new()
        .file("parts.csv", "part,material,length,width,qty\nside,ply,1500,900,2\nrail,oak,1500,,2\n")
        .file("stock.csv", "material,form,length,width,price\nply,sheet,2440,1220,60\noak,board,2000,90,9\n")
        .args("plan parts.csv --stock stock.csv --units mm -q -o plan")
        .any_stdout()
        .exit(0);
    let labels = ran.read("plan/labels.html");
    for (name, which) in [("sheet", "sheet 2 of 2"), ("board", "board 2 of 2")] {
        assert_eq!(labels.matches(which).count(), 1, "{name}");
    }
}

#[test]
fn shares_and_spare_boards_add_up_to_what_is_paid() {
    let ran = Nest::new()
        .file(
            "parts.csv",
            "part,material,section,length,qty,job\nrail,pine,1x4,40,3,hall\nrail,pine,1x4,30,5,bath\n",
        )
        .file("stock.csv", "material,section,length,price\npine,1x4,8',5.85\n")
        .args("plan parts.csv --stock stock.csv --units in --spare 10% -o out")
        .any_stdout()
        .exit(0);
    let lines: Vec<&str> = (ran.stdout.lines())
        .skip_while(|line| !line.starts_with("Shares of the cost"))
        .skip(1)
        .take_while(|line| !line.is_empty())
        .collect();
    assert!(lines[2].starts_with("(spare, for no job)   1 board"), "{lines:?}");
    let cents = |text: &str| text.replace('.', "").parse::<u64>().unwrap();
    let shares: u64 = lines.iter().map(|line| cents(line.split_whitespace().last().unwrap())).sum();
    assert_eq!(shares, 5 * 585);
    assert!(ran.stdout.contains("with the spare ones 29.25"), "{}", ran.stdout);
    assert!(ran.read("out/report.html").contains("(spare, for no job)"));
}

#[test]
fn pieces_as_wide_as_their_boards_can_be_told_apart() {
    let sizes = |parts: &str, stock: &str| {
        let ran = Nest::new()
            .file("parts.csv", parts)
            .file("stock.csv", stock)
            .args("plan parts.csv --stock stock.csv --units in -q -o out")
            .any_stdout()
            .any_stderr()
            .exit(0);
        let (report, labels) = (ran.read("out/report.html"), ran.read("out/labels.html"));
        let listed =
            report.split("data-of=\"Finished\">").skip(1).map(|rest| rest.split('<').next().unwrap());
        let listed: Vec<String> = listed.map(|size| size.replace("&#34;", "\"")).collect();
        let labels = labels.replace("&#34;", "\"");
        for size in &listed {
            assert!(labels.contains(&format!("<bdi>{size}</bdi>")), "{size}: {labels}");
        }
        listed
    };
    // A strip that may come from either makes one material of them.
    let parts =
        "part,material,section,thickness,length,width\na,pine,1x4,,30,\nb,pine,1x6,,31,\nc,pine,,3/4,32,3\n";
    let stock = "material,section,length,price\npine,1x4,8',5\npine,1x6,8',9\n";
    assert_eq!(sizes(parts, stock), ["30\" of 1x4", "31\" of 1x6", "32\" x 3\""]);
    // Where the material says the section, the length is enough.
    assert_eq!(
        sizes("part,material,section,length\na,pine,1x4,30\nb,pine,1x6,31\n", stock),
        ["30\"", "31\""]
    );
    let stock = "material,thickness,length,width,price\noak,3/4,96,4,9\n";
    assert_eq!(sizes("part,material,thickness,length\na,oak,3/4,30\n", stock), ["30\" x 4\""]);
}

#[test]
fn what_a_cheaper_plan_of_sheets_would_leave_over_is_said_where_none_is_excluded() {
    // A clean sheet counts 99 x 99 with a kerf, the parts 6965 of these 9801.
    let parts = "part,material,thickness,length,width,grain\na,ply,10,39,26,length\nb,ply,10,32,30,length\nc,ply,10,41,11,length\nd,ply,10,72,36,length\ne,ply,10,29,16,length\nf,ply,10,36,30,length\n";
    let said = "Whether ply 10 mm can be cut at less cost is not known; such a plan would leave over at most 29.0 % of its sheets, kerf and edge trim not counted.";
    for (effort, open) in [("none", true), ("normal", false)] {
        let ran = Nest::new()
            .file("parts.csv", parts)
            .file("stock.csv", "material,thickness,length,width,price,grain\nply,10,100,100,10,length\n")
            .args(&format!(
                "plan parts.csv --stock stock.csv --units mm --kerf 1 --trim 1 --effort {effort} -o out"
            ))
            .any_stdout()
            .exit(0);
        let summary = ran.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(summary.contains("most 29.0 %"), open, "{summary}");
        assert_eq!(summary.contains(said), open, "{summary}");
        assert_eq!(ran.read("out/report.html").contains(said), open, "{effort}");
        let over = "Cost 20.00; no plan can cost less than 10.00, so this one costs at most 100.0 % more than it must.";
        assert_eq!(summary.contains(over), open, "{summary}");
    }
}
