//! All problems at once: a fault hides nothing that does not depend on it, and has no consequences of its own.

use crate::harness::Nest;
use crate::rail::{STOCK, plan};

/// Where all problems are, in their order.
fn places(stderr: &str) -> Vec<String> {
    stderr.lines().filter_map(|line| line.trim_start().strip_prefix("--> ").map(String::from)).collect()
}

#[test]
fn all_problems_of_all_files_at_once_in_order() {
    Nest::new()
        .file("parts.csv", "part,material,thickness,length\na,pine,3/4,x\nb,pine,3/4,36\nc,,3/4,36\n")
        .file("stock.csv", "material,thickness,length,price\npine,3/4,8',free\npine,3/4,-8',1\n")
        .file(
            "shop.toml",
            "units = \"in\"\n[boards]\nkrf = \"1/8\"\nkerf = \"q\"\n[sheets]\ntrim = \"1/64\"\n",
        )
        .args("plan parts.csv --stock stock.csv --shop shop.toml --stages 1")
        .complains("--> shop.toml:3:1\n")
        .complains("--> shop.toml:4:9\n")
        .complains("--> --stages:1:1\n")
        .complains("--> shop.toml:6:9\n")
        .complains("--> parts.csv:2:12\n")
        .complains("--> parts.csv:4:3\n")
        .complains("--> stock.csv:2:13\n")
        .complains("--> stock.csv:3:10\n")
        .exit(2);
}

#[test]
fn fifty_problems_are_shown_and_the_rest_is_counted() {
    let rows: String = (0..99_000).map(|row| format!("a{row},unknown {row},9\n")).collect();
    let ran = plan(format!("part,material,length\n{rows}")).any_stderr().exit(2);
    assert_eq!(ran.stderr.matches("error: no stock is made of").count(), 50);
    assert!(ran.stderr.ends_with("error: 98950 further problems of this kind or another\n"));
}

#[test]
fn a_column_wrong_throughout_is_told_once() {
    let rows: String =
        (0..400).map(|row| format!("a{row},pine,36,yes,{}\n", if row == 7 { "x" } else { "1" })).collect();
    let ran = plan(format!("part,material,length,grain,qty\n{rows}"))
        .complains("found `yes` (and in lines 3, 4, 5, 6, 7 and 394 more)\n --> parts.csv:2:12\n")
        .complains(" --> parts.csv:9:16\n")
        .exit(2);
    assert_eq!(ran.stderr.matches("error: ").count(), 2, "{}", ran.stderr);
}

#[test]
fn rows_are_looked_at_below_a_faulty_header() {
    plan("part,material,lenght,qty\nrail,pine,36,2\n,pine,36 furlongs,many\n")
        .complains("error: unknown column `lenght`\n --> parts.csv:1:15\n")
        .complains("error: `part` is empty\n --> parts.csv:3:1\n")
        .complains("found `furlongs` in `36 furlongs`\n --> parts.csv:3:10\n")
        .complains(" --> parts.csv:3:19\n")
        .exit(2);
    // What the header lacks is said once, not once a row.
    let ran = plan("part,thickness,qty\nrail,3/4,2\nstile,3/4,x\n").any_stderr().exit(2);
    assert_eq!(ran.stderr.matches("error: ").count(), 2, "{}", ran.stderr);
    assert!(ran.stderr.contains("lacks the columns `material`, `length`"), "{}", ran.stderr);
}

#[test]
fn what_is_wrong_with_many_rows_alike_is_said_once() {
    plan("part,material,length\na,pnie,36\nb,pine,36\nc,pnie,30\nd,pnie,20\n")
        .stderr(
            "\
error: no stock is made of `pnie` (and in lines 4 and 5)
 --> parts.csv:2:3
  |
2 | a,pnie,36
  |   ^^^^
  |
  = hint: did you mean `pine`?
",
        )
        .exit(2);
}

#[test]
fn slips_of_stock_and_shop_hide_nothing_that_they_do_not_touch() {
    let plan = |stock: &str, shop: &str| {
        Nest::new()
            .file(
                "parts.csv",
                "part,material,thickness,length,width\na,pine,3/4,x,2\nb,pnie,3/4,36,2\nc,pine,1/2,36,2\n\
                 d,pine,3/4,200,2\ne,oak,3/4,300,2\n",
            )
            .file(
                "stock.csv",
                format!("material,thickness,length,width,price\npine,3/4,8',2,5\noak,3/4,8',2,5\n{stock}"),
            )
            .file("shop.toml", format!("units = \"in\"\n{shop}"))
            .args("plan parts.csv --stock stock.csv --shop shop.toml")
            .any_stderr()
            .exit(2)
            .stderr
    };
    let all = ["parts.csv:2:12", "parts.csv:3:3", "parts.csv:4:8", "parts.csv:5:12", "parts.csv:6:11"];
    assert_eq!(places(&plan("", "")), all);
    // Nobody knows how long the other oak is, nor whether it is oak at all where the row does not say.
    assert_eq!(places(&plan("oak,3/4,8x,2,5\n", "")), [&all[..4], &["stock.csv:4:9"]].concat());
    assert_eq!(places(&plan("oak,3/4,8'\n", "")), [&all[..4], &["stock.csv:4:9"]].concat());
    assert_eq!(places(&plan("oak\n", "")), [&all[..1], &["stock.csv:4:1"]].concat());
    // What is too long is so whatever the saw takes off.
    for shop in ["[boards]\nkerf = \"q\"\n", "[boards]\nkerf = 1\ntrim = 0.5\n", "[bords]\nkerf = 1\n"] {
        let found = places(&plan("", shop));
        assert!(found.len() == 6 && found[0].starts_with("shop.toml:"), "{found:?}");
        assert_eq!(found[1..], all);
    }
}

#[test]
fn a_row_wrong_in_many_ways_tells_all_of_them() {
    let ran = plan(
        "part,material,thickness,length,width,qty,grain,length_edges,band,match_way,fit\n\
         ,pnie,3/4,36 furlongs,wide,two,round,3,oak,across,later\n\
         rail,pine,1/2,200,1 1/2,few,,,,,\n",
    )
    .complains("error: `part` is empty\n --> parts.csv:2:1\n")
    .complains("error: no stock is made of `pnie`\n --> parts.csv:2:2\n")
    .complains("error: `match_way` says across, but no `match` word")
    .complains("error: no stock of this material is 1/2\" thick\n --> parts.csv:3:11\n")
    .any_stdout()
    .exit(2);
    let columns = [1, 2, 14, 23, 28, 32, 38, 40, 44, 51];
    let mut expected: Vec<String> = columns.iter().map(|column| format!("parts.csv:2:{column}")).collect();
    expected.extend(["parts.csv:3:11".into(), "parts.csv:3:25".into()]);
    assert_eq!(places(&ran.stderr), expected, "{}", ran.stderr);
}

#[test]
fn names_of_faulty_rows_are_looked_up_in_stock_and_shop() {
    let ran = Nest::new()
        .file(
            "parts.csv",
            "part,material,section,length,width,qty,length_edges,band\n\
             a,pine,1x6,36,,two,,\n\
             b,pine,1x4,36,,1,x,okk\n\
             c,pine,1x4,36,,y,1,okk\n\
             d,pine,1x4,200,,z,,\n\
             e,ply,,36,60,v,,\n\
             f,ply,,w,60,1,,\ng,ply,,36,40,1,,\n",
        )
        .file(
            "stock.csv",
            "material,section,length,width,price\npine,1x4,8',,free\nply,,8',4',50\nply,,9',4',\n",
        )
        .file("shop.toml", "units = \"in\"\n[boards]\nkrf = 1\n[band.oak]\nthickness = \"q\"\n")
        .args("plan parts.csv --stock stock.csv --shop shop.toml")
        .complains("error: no stock of this material is a 1x6\n")
        .complains("error: the shop has no edge band `okk` (and in line 4)\n")
        .complains("error: 200\" is longer than all stock of pine 1x4\n")
        .complains("error: 36\" x 60\" does not fit any stock of ply with its grain\n")
        .complains("error: 60\" is wider than all stock of ply\n")
        .exit(2);
    let parts = ["2:8", "2:16", "3:18", "3:20", "4:16", "5:12", "5:17", "6:11", "6:14", "7:8", "7:10"];
    let mut expected = vec!["shop.toml:3:1".to_owned(), "shop.toml:5:14".into()];
    expected.extend(parts.iter().map(|place| format!("parts.csv:{place}")));
    expected.extend(["stock.csv:2:14".into(), "stock.csv:4:12".into()]);
    assert_eq!(places(&ran.stderr), expected, "{}", ran.stderr);
}

#[test]
fn stock_that_cannot_be_read_has_no_consequences() {
    let one = |stock: &str, place: &str| {
        let ran = Nest::new()
            .file(
                "parts.csv",
                "part,material,section,thickness,length,width,qty,grain\n\
                 a,pine,1x4,,36,,2,\nb,ply,,3/4,60,30,1,\nc,ply,,3/4,30,60,1,\n",
            )
            .file(
                "stock.csv",
                format!("material,section,thickness,length,width,price,qty,grain,on_hand\n{stock}"),
            )
            .args("plan parts.csv --stock stock.csv --units in --trim 1/2")
            .any_stderr()
            .exit(2);
        assert_eq!(places(&ran.stderr), [format!("stock.csv:{place}")], "{}", ran.stderr);
    };
    let ply = "ply,,3/4,8',4',50,,none,\n";
    one(&format!("pine,1x4,,x,,5,,,\n{ply}"), "2:11");
    one(&format!("pine,1x,,8',,5,,,\n{ply}"), "2:6");
    one(&format!(",1x4,,8',,5,,,\n{ply}"), "2:1");
    one(&format!("pine,1x4,,8',,free,,,\n{ply}"), "2:15");
    one(&format!("pine,1x4,,36,,5,1,,perhaps\n{ply}"), "2:20");
    one(&format!("pine,1x4\n{ply}"), "2:6");
    let pine = "pine,1x4,,8',,5,,,\n";
    one(&format!("{pine}ply,,3/4,8',4',50,,nnoe,\n"), "3:20");
    one(&format!("{pine}ply,,3/5q,8',4',50,,none,\n"), "3:9");
    one(&format!("{pine}ply,,3/4,8',4o',50,,none,\n"), "3:14");
    one(&format!("{pine}ply,,3/4,8',4',50,x,none,\n"), "3:19");
}

#[test]
fn a_list_that_cannot_be_read_hides_no_fault_of_the_others() {
    let parts = "part,material,thickness,length,qty,length_edges,band\na,pnie,3/4,x,2,1,oka\n";
    let run = |stock: &str| {
        Nest::new()
            .file("parts.csv", parts)
            .file("stock.csv", stock)
            .file("shop.toml", "units = \"in\"\n[band.oak]\n[band.tape]\n")
            .args("plan parts.csv --stock stock.csv --shop shop.toml")
            .complains("error: the shop has no edge band `oka`\n")
            .exit(2)
    };
    assert_eq!(places(&run("").stderr), ["parts.csv:2:12", "parts.csv:2:18", "stock.csv:1:1"]);
    // Nor does a shop that cannot be.
    let ran = Nest::new()
        .file("parts.csv", parts)
        .file("stock.csv", STOCK)
        .file("shop.toml", "[band.oak]\n[band.oak\n")
        .args("plan parts.csv --stock stock.csv --shop shop.toml --units in")
        .any_stderr()
        .exit(2);
    assert_eq!(places(&ran.stderr), ["shop.toml:2:7", "parts.csv:2:3", "parts.csv:2:12"], "{}", ran.stderr);
}

#[test]
fn units_that_cannot_be_read_are_missed_nowhere() {
    let good = "part,material,thickness,length,width\nrail,pine,3/4,36,1 1/2\n";
    let places_with = |units: &str| {
        let shop = format!("{units}\n[boards]\nkerf = 1\nkeep = 3\n[sheets]\nkerf = \"q\"\n");
        let nest = Nest::new().file("parts.csv", good).file("stock.csv", STOCK).file("shop.toml", shop);
        let run = nest.args("plan parts.csv --stock stock.csv --shop shop.toml");
        places(&run.any_stderr().exit(2).stderr)
    };
    for units in ["units = \"inchs\"", "unit = \"in\""] {
        let first = places_with(units).remove(0);
        assert!(first.starts_with("shop.toml:1:"), "{first}");
        assert_eq!(places_with(units)[1..], ["shop.toml:6:9"]);
    }
    for units in ["units = {}", "[labels]\nunits = \"in\""] {
        let last = places_with(units).pop().unwrap();
        assert!(last.starts_with("shop.toml:"), "{units}: {last}");
    }
    assert_eq!(places_with("units = []"), ["shop.toml:1:9", "shop.toml:6:9"]);
    // Where nobody tried, the lists ask for them once.
    assert_eq!(places_with(""), ["shop.toml:6:9", "parts.csv:2:11"]);
    assert_eq!(places_with("[bords]\nkerf = 1"), ["shop.toml:1:2", "shop.toml:7:9", "parts.csv:2:11"]);
    // A file that breaks off elsewhere has them still, or has none.
    assert_eq!(places_with("style = 1/8 # units"), ["shop.toml:1:9", "shop.toml:6:9", "parts.csv:2:11"]);
    // A file of another kind is not the one that would have them.
    let nest = Nest::new().file("parts.csv", good).file("stock.csv", STOCK);
    let ran = nest.args("plan parts.csv --stock stock.csv --shop stock.csv").any_stderr().exit(2);
    assert_eq!(places(&ran.stderr), ["stock.csv:1:1"], "{}", ran.stderr);
    assert_eq!(places_with("units = \"in\"\nstyle = 1/8"), ["shop.toml:2:9", "shop.toml:7:9"]);
    assert_eq!(places_with("units = in\nstyle = 1/8")[..2], ["shop.toml:1:9", "shop.toml:2:9"]);
    for units in ["units = \"inch", "units = \"q\" x"] {
        assert_eq!(places_with(units)[1..], ["shop.toml:6:9"], "{units}");
    }
    let bad = good.replace("pine", "pnie").replace("36", "36 furlongs");
    let nest = Nest::new().file("parts.csv", bad).file("stock.csv", STOCK);
    let nest = nest.file("shop.toml", "units = \"in\"\nstyle = 1/8\n");
    let ran = nest.args("plan parts.csv --stock stock.csv --shop shop.toml").any_stderr().exit(2);
    assert_eq!(places(&ran.stderr), ["shop.toml:2:9", "parts.csv:2:6", "parts.csv:2:18"], "{}", ran.stderr);
    // Nobody knows what a file says that is not there.
    let nest = Nest::new().file("parts.csv", good).file("stock.csv", STOCK);
    nest.args("plan parts.csv --stock stock.csv --shop nowhere.toml")
        .stderr("error: there is no file nowhere.toml to read shop settings from\n")
        .exit(2);
}

#[test]
fn rows_of_another_shape_say_what_still_stands_in_its_place() {
    let header = "part,material,length,width,qty,job";
    let told = |rows: &str| plan(format!("{header}\n{rows}")).any_stderr().exit(2).stderr;
    // Before the first number nothing has moved, and before a number that a comma split.
    assert_eq!(places(&told("a,pnie,36x,1 1/2\n")), ["parts.csv:2:3", "parts.csv:2:12"]);
    assert_eq!(places(&told("a,pnie,36,1,5,2,\n")), ["parts.csv:2:3", "parts.csv:2:8"]);
    assert_eq!(places(&told("a,pnie,36x,1,5,2,\n")), ["parts.csv:2:3", "parts.csv:2:8", "parts.csv:2:12"]);
    // Who knows what this is?
    assert_eq!(places(&told("a, left,pnie,36,1,2,k\n")), ["parts.csv:2:21"]);
    assert_eq!(places(&told("a,pnie\n")), ["parts.csv:2:3"]);
    // A quote that closes too early takes no cell away, and makes two of one only where another one closes it.
    let behind = "error: there is text behind the closing quote of this cell\n";
    for (row, all) in [
        ("a,pine,\"36\" in,1,2,k,left,right", ["parts.csv:2:8", "parts.csv:2:22"].as_slice()),
        ("a,pine,\"36\" in,1", &["parts.csv:2:8", "parts.csv:2:16"]),
        ("\"a\" b, \"c\"\",pine,36,1,2,k", &["parts.csv:2:1"]),
    ] {
        let said = told(&format!("{row}\n"));
        assert!(said.contains(behind), "{said}");
        assert_eq!(places(&said), all, "{said}");
    }
    // Stock of another shape does not hide what is wrong with parts of other materials.
    let ran = plan(format!("{header}\na,pnie,36,1 1/2,2,k\nb,oak,36,1 1/2,2,k\n"))
        .file("stock.csv", "material,length,width,price\npine,8',1 1/2,5\noak,8'\n")
        .any_stderr()
        .exit(2);
    assert_eq!(places(&ran.stderr), ["parts.csv:2:3", "stock.csv:3:5"], "{}", ran.stderr);
}

#[test]
fn flags_of_papers_are_told_together_and_with_the_lists() {
    let paper = "error: expected letter or a4, but found `a5` (--paper)\n";
    let labels = "error: expected columns and rows of labels such as 2x7, but found `3y` (--labels)\n";
    let wrong = "--paper a5 --labels 3y --label-start 99";
    let bad = "part,material,length\nrail,pnie,36\n";
    plan(bad).args(wrong).complains(&format!("{paper}{labels}")).complains("made of `pnie`").exit(2);
    let fit = "error: expected labels at least ~1 9/16\" wide, but found ~3/16\"\n";
    plan(bad).args("--labels 40x3").complains(fit).complains("made of `pnie`").exit(2);
    // Nothing follows from labels or units that nobody can read.
    for shop in [
        "[labels]\ngrid = \"3y\"\n",
        "[labels]\ngird = \"3x8\"\n",
        "style = \"q\"\n",
        "paper = \"a5\"\n",
        "papr = \"a4\"\n",
    ] {
        let nest =
            Nest::new().file("shop.toml", shop).file("parts.csv", "part,material,length\nrail,pine,36\n");
        let nest = nest.file("stock.csv", STOCK).args("plan parts.csv --stock stock.csv --units in");
        let ran = nest.args("--label-start 20 -o out --shop shop.toml").any_stderr().exit(2);
        assert_eq!(ran.stderr.matches("error: ").count(), 1, "{}", ran.stderr);
    }
    let made = plan("part,material,length\nrail,pine,36\n").args("-o out").any_stdout().exit(0);
    let ran = made.then().args("draw out/plan.json -o drawn --units q").args(wrong);
    let ran = ran.complains(paper).complains(labels).complains("(--units)\n").exit(2);
    let ran = ran.then().args("draw nowhere.json -o drawn").args(wrong).complains(paper).complains(labels);
    ran.complains("nowhere.json").exit(2);
}

#[test]
fn a_vehicle_that_cannot_be_read_hides_nothing() {
    let ran = plan("part,material,thickness,length,width,length_edges,band\nrail,pine,3/4,36,1 1/2,2,oak\n")
        .file("shop.toml", "[band.oak]\ndeduct = 1\n[vehicle]\nlength = \"q\"\n")
        .args("--shop shop.toml")
        .complains("error: nothing remains of the width after what the band takes off\n")
        .exit(2);
    assert_eq!(places(&ran.stderr), ["shop.toml:4:11", "parts.csv:2:26"], "{}", ran.stderr);
    // A fault of the band itself does, one of another band does not.
    let with = |shop: &str| {
        let parts = "part,material,thickness,length,width,length_edges,band\nrail,pine,3/4,36,1 1/2,2,oak\n";
        let ran = plan(parts).file("shop.toml", shop).args("--shop shop.toml").any_stderr().exit(2);
        places(&ran.stderr)
    };
    let oak = "[band.oak]\ndeduct = 1\n";
    assert_eq!(with(&format!("{oak}pre_mill = \"q\"\n")), ["shop.toml:3:13"]);
    assert_eq!(with(&format!("{oak}pre_mil = 1\n")), ["shop.toml:3:1"]);
    assert_eq!(with(&format!("{oak}[band.ash]\ndeduct = \"q\"\n")), ["shop.toml:4:11", "parts.csv:2:26"]);
    assert_eq!(with(&format!("[band.ash]\ndeduct = \"q\"\n{oak}")), ["shop.toml:2:11", "parts.csv:2:26"]);
    // Nor a fence that nobody needs to know of.
    let ran = plan("part,material,thickness,length,width\na,ply,3/4,30,20\n")
        .file("stock.csv", "material,form,thickness,length,width\nply,sheet,3/4,8',4'\n")
        .file("shop.toml", "[sheets]\nlongest_crosscut = 5\nlongest_rip = 5\n[vehicle]\nlength = \"q\"\n")
        .args("--shop shop.toml")
        .any_stderr()
        .exit(2);
    assert_eq!(places(&ran.stderr).len(), 2, "{}", ran.stderr);
}

#[test]
fn a_blank_that_is_too_long_is_blamed_on_what_makes_it_so() {
    let run = |row: &str, edges: &str| {
        Nest::new()
            .file("parts.csv", format!("part,material,thickness,length,width,fit,oversize\n{row}\n"))
            .file(
                "stock.csv",
                format!("material,thickness,length,width,factory_edges\npine,3/4,8',2,{edges}\n"),
            )
            .args("plan parts.csv --stock stock.csv --units in --trim 1/2")
    };
    run("rail,pine,3/4,36,1,999 in,", "no")
        .stderr(
            "\
error: the blank of 1035\" is longer than all stock of pine 3/4\", though its part of 36\" is not
 --> parts.csv:2:20
  |
2 | rail,pine,3/4,36,1,999 in,
  |                    ^^^^^^
  |
  = hint: the longest piece that can be cut is 95\" (of pine, 8'), 940\" too short: check `fit`, or list longer stock
",
        )
        .exit(2);
    run("rail,pine,3/4,36,1,,99", "no")
        .complains(" --> parts.csv:2:21\n")
        .complains("check `oversize`")
        .exit(2);
    run("rail,pine,3/4,99,1,9,", "no")
        .complains(
            "error: 99\" is longer than all stock of pine 3/4\" (its blank is 108\")\n --> parts.csv:2:15\n",
        )
        .complains("is 95\" (of pine, 8'), 13\" too short: list longer stock or make the part of two\n")
        .exit(2);
    // What is bought has factory edges, whatever the cell says.
    run("rail,pine,3/4,36,1,999 in,", "perhaps")
        .complains("that can be cut is at most 95\" (of pine, 8'), at least 940\" too short: check `fit`")
        .complains("error: expected yes or no, but found `perhaps`")
        .complains("hint: an empty cell says no\n")
        .exit(2);
}

#[test]
fn a_sheet_with_a_section_is_one_fault() {
    for sizes in ["3/4,8',4'", ",8',4'", ",8',", "2,8',4'"] {
        plan("part,material,thickness,length,width\nrail,pine,3/4,36,1 1/2\n")
            .file(
                "stock.csv",
                format!("material,form,section,thickness,length,width\npine,sheet,1x4,{sizes}\n"),
            )
            .stderr(&format!(
                "\
error: a sheet has no section
 --> stock.csv:2:12
  |
2 | pine,sheet,1x4,{sizes}
  |            ^^^
  |
  = hint: leave `section` empty, or write `board` in the `form` column
"
            ))
            .exit(2);
    }
}

#[test]
fn a_kerf_that_cannot_be_read_is_not_compared() {
    let ran = plan("part,material,thickness,length,width\nrail,pine,3/4,36,1 1/2\n")
        .file("shop.toml", "[boards]\nkerf = \"q\"\ntrim = \"1/64\"\n")
        .args("--shop shop.toml")
        .any_stderr()
        .exit(2);
    assert_eq!(places(&ran.stderr), ["shop.toml:2:9"]);
}

#[test]
fn flags_and_the_plan_before_hide_nothing_in_the_lists() {
    let good = "part,material,thickness,length,width,qty\nrail,pine,3/4,36,1 1/2,2\n";
    let bad = good.replace("rail,pine,3/4,36,1 1/2,2", "rail,pnie,3/4,36x,1 1/2,two");
    let again = |more: &str| {
        let made = plan(good).args("-o out").any_stdout().exit(0);
        let ran = made
            .then()
            .file("parts.csv", &bad)
            .args("plan parts.csv --stock stock.csv --units in --after out/plan.json")
            .args(more)
            .any_stderr()
            .any_stdout()
            .exit(2);
        ran.stderr
    };
    let all = ["parts.csv:2:6", "parts.csv:2:15", "parts.csv:2:25"];
    assert_eq!(places(&again("--cut 1")), all);
    // Nobody knows what stock is there where it is not clear what was cut.
    for more in ["--cut 1,x", "--cut 9", "--spoiled 1:99"] {
        let said = again(more);
        assert_eq!(places(&said), all[1..], "{said}");
        assert_eq!(said.matches("error: ").count(), 3, "{said}");
    }
    // Nor where the plan cannot be read.
    let ran = plan(&bad).args("--after nowhere.json --effort none --spare lots").any_stderr().exit(2);
    assert_eq!(places(&ran.stderr), all[1..]);
    assert!(ran.stderr.contains("nowhere.json") && ran.stderr.contains("--spare"), "{}", ran.stderr);
}
