//! What goes along with a plan that carries another on: what the user was told, and the account of what was done before.

use crate::carry_on::{RAILS, SAW, SHEETS, columns, frame, rest};
use crate::harness::Nest;

#[test]
fn what_the_user_was_told_stands_on_papers_that_are_drawn_again() {
    let told = "made but not asked for as they are: 3 stile";
    let ran = rest(frame(), "now.csv", "--cut 1x1")
        .file("now.csv", RAILS.replace(",30,", ",30 1/8,").replace(",job\n", ",colour\n"))
        .any_stdout()
        .complains(told)
        .complains("unknown column `colour`")
        .exit(0);
    let ran = ran.then().args("draw rest/plan.json -o again").any_stdout().exit(0);
    let report = ran.read("again/report.html");
    assert!(report.contains(told) && report.contains("now.csv:1:"));
    assert_eq!(report, ran.read("rest/report.html"));
}

#[test]
fn a_strip_of_matched_grain_is_cut_to_its_end_first() {
    let plan = |nest: Nest, more: &str| {
        nest.args(&format!("plan fronts.csv --stock stock.csv --units mm --kerf 3 --trim 10 {more}"))
            .any_stdout()
    };
    let nest = Nest::new()
        .file("fronts.csv", "part,material,thickness,length,width,qty,match\nfront,ply,18,400,300,4,fronts\n")
        .file("stock.csv", SHEETS);
    let ran = plan(nest, "-o one").exit(0);
    let cuts = columns(&ran.read("one/cuts.csv"), ["kind", "on", "name"]);
    let first = cuts.iter().position(|row| row.ends_with("| front")).unwrap() + 1;
    let numbers = columns(&ran.read("one/cuts.csv"), ["cut", "layout", "copies"]);
    let cut = numbers[first - 1].split(' ').next().unwrap();
    plan(ran.then(), &format!("--after one/plan.json --cut 1:{cut}"))
        .complains(
            "warning: strip `fronts` of matched grain: some pieces are made and the others still on the saw, but only a whole \
             strip counts, and it will be cut anew; to keep it, make the cuts up to the end of the strip first and name \
             the last of them in --cut\n",
        )
        .exit(0);
}

#[test]
fn another_saw_is_noticed_and_the_same_one_is_not() {
    let plan = |nest: Nest, more: &str| {
        nest.args(&format!("plan fronts.csv --stock stock.csv --shop shop.toml {more}")).any_stdout()
    };
    let shop = |kerf: &str, overhang: &str, deduct: &str| {
        format!(
            "units = \"mm\"\n[sheets]\nkerf = \"{kerf}\"\ntrim = \"10\"\n\
             [band.abs]\noverhang = \"{overhang}\"\ndeduct = \"{deduct}\"\n"
        )
    };
    let ran = Nest::new()
        .file(
            "fronts.csv",
            "part,material,thickness,length,width,qty,length_edges,band\nfront,ply,18,400,300,4,1,abs\n",
        )
        .file("stock.csv", SHEETS)
        .file("shop.toml", shop("3", "40", "1"));
    let ran = plan(ran, "-o one").exit(0);
    let after = "--after one/plan.json --cut 1";
    let ran = plan(ran.then().file("shop.toml", shop("3", "60", "1")), after).stderr("").exit(0);
    // The kerf of boards is of no interest where none are cut.
    let ran = plan(ran.then(), &format!("{after} --trim 12"))
        .complains("warning: other than for the plan that is carried on: the edge trim of sheets; the rest is cut with")
        .exit(0);
    plan(ran.then().file("shop.toml", shop("4", "40", "0")), after)
        .complains("carried on: the kerf of sheets and what edge bands take off; the rest")
        .exit(0);
}

#[test]
fn a_piece_of_no_job_is_told_from_that_of_one() {
    let plan = |nest: Nest, lists: &str, more: &str| {
        nest.args(&format!("plan {lists} --stock stock.csv --units in --trim 1/4 {more}")).any_stdout()
    };
    let parts = "part,material,section,length\nrail,fir,1x4,30\n";
    let ran = Nest::new()
        .file("hall.csv", parts)
        .file("attic.csv", parts)
        .file("stock.csv", "material,section,length,price\nfir,1x4,8',6\n");
    let ran = plan(ran, "hall.csv", "-o one").exit(0);
    plan(ran.then(), "hall.csv attic.csv", "--after one/plan.json --cut 1")
        .complains("; such a piece is asked for by job `hall`, but was made for no job: without a column `job`, a job is")
        .exit(0);
}

/// Nobody made more of a piece, or another piece, than the question tells.
#[test]
fn an_account_that_cannot_be_true_is_refused() {
    let ran = rest(frame(), "parts.csv", "--cut 1x1").any_stdout().exit(0);
    let plan = ran.read("rest/plan.json");
    let (head, piece) = plan.split_once("\"piece\": {").unwrap();
    let longer = format!("{head}\"piece\": {{{}", piece.replacen("\"length\": 762", "\"length\": 1762", 1));
    assert_ne!(longer, plan);
    for command in ["check rest/plan.json", "draw rest/plan.json -o again"] {
        let ran = rest(frame(), "parts.csv", "--cut 1x1").any_stdout().exit(0);
        ran.then()
            .file("rest/plan.json", &longer)
            .args(command)
            .says("before.made[0]: expected a piece as large as its part, but it has another size\n")
            .exit(1);
    }
}

/// A slip in `--cut` is mended from the plan that was followed, so that nothing may take its place.
#[test]
fn the_plan_that_is_followed_stays() {
    for folder in ["one", "./one/", "one/../one"] {
        let again = format!(
            "plan parts.csv --stock stock.csv {SAW} --after one/plan.json --cut 1x1 -o {folder} --force"
        );
        let ran =
            frame().args(&again).complains("error: the plan that is followed lies in the folder ").exit(2);
        ran.then().args("check one/plan.json").any_stdout().exit(0);
    }
}
