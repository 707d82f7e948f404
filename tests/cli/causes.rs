//! What was not read as it was meant is told with the errors that may follow from it.

use crate::harness::Nest;

const STOCK: &str = "name,material,form,thickness,length,width,price,grain\n\
                     thick,ply,sheet,3/4,96,48,80,none\nthin,ply,sheet,1/2,96,48,50,none\n";

fn plan(parts: &str, more: &str) -> Nest {
    Nest::new()
        .file("parts.csv", parts)
        .file("stock.csv", STOCK)
        .args(&format!("plan parts.csv --stock stock.csv --units in {more}"))
}

const ERROR: &str = "\
error: the part does not say how thick it is, and the stock has more than one thickness
 --> parts.csv:2:1
  |
2 | top,ply,3/4,30,15
  | ^^^
  |
  = hint: fill in one of 1/2\" and 3/4\"
";

#[test]
fn an_unknown_column_stands_below_the_error_that_it_makes() {
    let parts = "part,material,gauge,length,width\ntop,ply,3/4,30,15\n";
    let warning = "\
warning: unknown column `gauge`: it is kept in plan.json, and does not change the plan
 --> parts.csv:1:15
  |
1 | part,material,gauge,length,width
  |               ^^^^^
";
    plan(parts, "").stderr(&format!("{ERROR}{warning}")).exit(2);
    plan(parts, "--quiet").stderr(ERROR).exit(2);
    let ran = plan("part,material,thickness,length,width,gauge\ntop,ply,3/4,30,15,5\n", "-o out");
    let ran = ran.any_stdout().any_stderr().exit(0);
    // What nobody reads is no reason why a folder is in the way, nor that a plan is for other lists.
    let again = ran.then().args("plan parts.csv --stock stock.csv --units in -o out");
    let ran = again.any_stderr().exit(2);
    assert!(ran.stderr.starts_with("error: ") && !ran.stderr.contains("warning: "), "{}", ran.stderr);
    ran.then()
        .file("parts.csv", parts)
        .args("check out/plan.json parts.csv --stock stock.csv --units in")
        .stderr(&format!("{ERROR}{warning}"))
        .exit(2);
}

#[test]
fn a_doubtful_number_stands_below_the_error_and_a_rounded_one_does_not() {
    let ran = plan("part,material,thickness,length,width\ntop,ply,3/4,101 1/3,1.220 mm\n", "");
    let ran = ran.complains("error: ~101 5/16\" is longer than all stock of ply 3/4\"\n").exit(2);
    assert!(
        ran.stderr.contains("warning: the point in `1.220` is read as a decimal point"),
        "{}",
        ran.stderr
    );
    assert!(!ran.stderr.contains("finer than"), "{}", ran.stderr);
}

#[test]
fn a_short_word_for_thickness_is_known() {
    plan("part,material,Thk,length,width\ntop,ply,3/4,30,15\n", "")
        .complains("error: unknown column `Thk`\n")
        .complains("did you mean `thickness`?")
        .exit(2);
}

/// The header as a whole is shown, and `check` keeps no column anywhere.
#[test]
fn a_wrong_file_is_no_unknown_column() {
    let ran =
        plan("part,material,thickness,length,width\ntop,ply,3/4,30,15\n", "-o out").any_stdout().exit(0);
    let ran = ran.then().file("wrong.json", "{\n  \"top\": 1\n}\n");
    let ran = ran.args("check out/plan.json wrong.json --stock stock.csv --units in");
    let ran =
        ran.complains("error: the list of parts lacks the columns `part`, `material`, `length`\n").exit(2);
    assert!(!ran.stderr.contains("unknown column"), "{}", ran.stderr);
}
