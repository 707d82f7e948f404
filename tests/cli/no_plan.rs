//! What is given for a plan.json and is none: whoever reads it says what it expects, and where plans come from.

use crate::harness::Nest;
use crate::rail::{PARTS, STOCK};

const OURS: &str = "hint: `nest plan -o DIR` writes the plan as DIR/plan.json\n";

/// Every command that reads a plan says this.
fn says(name: &str, content: impl AsRef<[u8]>, words: &[&str]) {
    for command in ["check", "draw -o out", "plan parts.csv --stock stock.csv --units in --after"] {
        let files = Nest::new().file("parts.csv", PARTS).file("stock.csv", STOCK).file(name, &content);
        let ran = files.args(command).args(name);
        words.iter().fold(ran, |ran, words| ran.complains(words)).exit(2);
    }
}

#[test]
fn other_files_are_no_plan() {
    let other = "error: expected a plan.json of nest, but found something else\n";
    for name in ["parts.csv", "stock.csv"] {
        says(name, PARTS, &[other, &format!(" --> {name}:1:1\n"), OURS]);
    }
    says("report.html", "<!DOCTYPE html>\n", &[other, OURS]);
    says("shop.toml", "units = \"in\"\n", &[other, OURS]);
    says("x.json", "\n[1, 2]\n", &[other, OURS]);
    says("x.json", "", &["error: x.json: expected a plan, but found an empty file\n", OURS]);
    says("x.json", "{\"format\": \"nest-verdict\"}", &["but found \"nest-verdict\"\n", OURS]);
    says("x.json", "{\"a\": 1}", &["error: x.json: expected `format` to say \"nest-plan\"", OURS]);
    says(
        "x.json",
        "{\"format\": \"nest-plan\", \"version\": 9}",
        &["but found 9; a newer nest may read it\n"],
    );
}

#[test]
fn a_plan_that_is_cut_off_or_changed_says_so() {
    let head = "{\n  \"format\": \"nest-plan\",\n  \"version\": 1";
    says(
        "plan.json",
        head,
        &["error: the plan breaks off here\n --> plan.json:3:", "hint: was it copied whole?"],
    );
    says("plan.json", format!("{head} 2}}"), &[" --> plan.json:3:16\n", "hint: was it changed by hand?"]);
}

#[test]
fn a_folder_of_papers_has_one_in_it() {
    let made = Nest::new().file("parts.csv", PARTS).file("stock.csv", STOCK);
    let made = made.args("plan parts.csv --stock stock.csv --units in -q -o out").any_stdout().exit(0);
    let ran = made.then().args("check out").complains("hint: the plan is in it: out/plan.json\n").exit(2);
    ran.then().folder("empty").args("check empty").complains("hint: name the file inside it\n").exit(2);
}
