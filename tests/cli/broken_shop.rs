//! A shop file that is no TOML hides nothing that it says elsewhere, and nothing follows from what is broken.

use crate::harness::Nest;
use crate::rail::{PARTS, STOCK};

/// Where a run with this shop file finds faults, and all that it says.
fn faults(shop: &str, flags: &str) -> (Vec<String>, String) {
    let nest = Nest::new().file("parts.csv", PARTS).file("stock.csv", STOCK).file("shop.toml", shop);
    let nest = nest.args("plan parts.csv --stock stock.csv --shop shop.toml").args(flags);
    let stderr = nest.any_stderr().exit(2).stderr;
    let places = stderr.lines().filter_map(|line| line.trim_start().strip_prefix("--> "));
    (places.map(|place| place.trim_start_matches("shop.toml:").to_owned()).collect(), stderr)
}

#[test]
fn a_broken_line_hides_no_fault_of_the_others() {
    let shop = "\
units = \"in\"
currency \"USD\"
[boards]
kerf = 1/8
kefr = \"1/8\"
trim = [
 \"1/4\" \"1/2\",
 \"3/8\"]
keep = \"24x\"
[vehicle]
lenght = \"8'\"
width = \"4'\"
[labels]
grid = \"3y\"
";
    let (places, stderr) = faults(shop, "");
    assert_eq!(places, ["2:10", "4:8", "5:1", "7:8", "9:9", "11:1", "14:9"], "{stderr}");
    // A list that was begun in a line which is broken itself says nothing more.
    let (places, stderr) = faults("units = \"in\"\n[boards]\ntrim = [1 2,\n 3]\nkefr = 1\n", "");
    assert_eq!(places, ["3:9", "5:1"], "{stderr}");
}

#[test]
fn settings_below_a_broken_header_belong_nowhere() {
    let shop = "units = \"in\"\n[sheets\nstages = \"many\"\nkerf = \"1/8\"\n[boards]\nkerf = \"x\"\n";
    let (places, stderr) = faults(shop, "");
    assert_eq!(places, ["2:8", "6:9"], "{stderr}");
    // The second of two sections of one name as well.
    let (places, stderr) =
        faults("[boards]\nkerf = 1\n[boards]\nkeep = 3\n[labels]\ngird = 3\n", "--units in");
    assert_eq!(places, ["3:2", "6:1"], "{stderr}");
}

#[test]
fn what_may_stand_in_a_broken_line_is_not_missed() {
    let (places, stderr) = faults("[vehicle]\nlength = 8'\nwidth = \"4'\"\n", "--units in");
    assert_eq!(places, ["2:10"], "{stderr}");
    // Nor where it is only misspelt.
    let (places, stderr) = faults("[vehicle]\nlenght = \"8'\"\nwidth = \"4'\"\n", "--units in");
    assert_eq!(places, ["2:1"], "{stderr}");
}

#[test]
fn a_text_without_an_end_is_one_fault() {
    let (places, stderr) = faults("units = \"in\"\nstyle = \"\"\"\n[boards]\nkefr = 1\n", "");
    assert_eq!(places.len(), 1, "{stderr}");
}

#[test]
fn values_of_another_kind_say_what_belongs_there() {
    let (_, stderr) = faults("[boards]\ntrim = [1, 2, 3]\nkerf = 1979-05-27\n", "--units in");
    let stock = STOCK.replace("2.60", "-5");
    let nest = Nest::new().file("parts.csv", PARTS).file("stock.csv", stock);
    let nest = nest.args("plan parts.csv --stock stock.csv --units in");
    nest.complains("hint: write 0 for what costs nothing; credits are not counted\n").exit(2);
    for hint in ["write trim = \"...\", or trim = [\"...\", \"...\"]", "stand in quotes: kerf = \"...\""] {
        assert!(stderr.contains(hint), "{stderr}");
    }
}
