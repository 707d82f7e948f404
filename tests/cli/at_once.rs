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
    assert_eq!(places(&plan("oak,3/4,8'\n", "")), [&all[..1], &["stock.csv:4:9"]].concat());
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
         rail,pine,1/2,200,1 1/2,two,,,,,\n",
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
             e,ply,,36,60,z,,\n\
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
        .complains("error: 200\" is longer than all stock of pine\n")
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
    // Where nobody tried, the lists ask for them once.
    assert_eq!(places_with(""), ["shop.toml:6:9", "parts.csv:2:11"]);
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
