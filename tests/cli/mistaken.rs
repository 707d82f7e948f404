//! A file that was given as another is named as what it is, and nothing else is said of it.

use crate::harness::Nest;
use crate::rail::{PARTS, STOCK};

/// What a run on these files says.
fn says(args: &str) -> String {
    let nest = Nest::new().file("parts.csv", PARTS).file("more.csv", PARTS).file("stock.csv", STOCK);
    let made = nest.args("plan parts.csv --stock stock.csv --units in -q -o out").any_stdout().exit(0);
    made.then().args(args).any_stdout().any_stderr().exit(2).stderr
}

#[test]
fn a_list_is_no_shop_file() {
    let stock = "\
error: expected shop settings, but found a list of stock
 --> stock.csv:1:1
  |
1 | material,thickness,length,width,price
  | ^
  |
  = hint: give it as --stock, or as --rack if it is what you own
";
    assert_eq!(says("plan parts.csv --stock stock.csv --shop stock.csv"), stock);
    let parts = says("plan parts.csv --stock stock.csv --shop parts.csv --units in");
    assert!(parts.starts_with("error: expected shop settings, but found a list of parts\n"), "{parts}");
    assert_eq!(parts.matches("error: ").count(), 1, "{parts}");
}

#[test]
fn papers_of_a_plan_are_no_lists_for_the_next() {
    for (args, said) in [
        ("parts.csv --stock out/buy.csv", "a list of stock, but found what a plan buys, its `buy.csv`"),
        ("parts.csv --stock out/cuts.csv", "a list of stock, but found the cuts of a plan, its `cuts.csv`"),
        ("out/cuts.csv --stock stock.csv", "a list of parts, but found the cuts of a plan, its `cuts.csv`"),
        (
            "parts.csv --stock stock.csv --rack out/buy.csv",
            "a list of what is on hand, but found what a plan buys, its `buy.csv`",
        ),
    ] {
        let stderr = says(&format!("plan {args} --units in"));
        assert!(stderr.starts_with(&format!("error: expected {said}\n --> out/")), "{stderr}");
        assert_eq!(stderr.matches("error: ").count(), 1, "{stderr}");
    }
}

#[test]
fn lists_are_swapped_where_others_are_not() {
    let swapped = "error: the lists are swapped: stock.csv is one of stock, and parts.csv one of parts\n  = hint: exchange the two on the command line\n";
    assert_eq!(says("plan stock.csv more.csv --stock parts.csv --units in"), swapped);
    assert_eq!(says("plan more.csv stock.csv --stock parts.csv --units in"), swapped);
}
