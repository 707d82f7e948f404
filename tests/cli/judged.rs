//! A plan is compared with the lists that it was made from, given as they were for `nest plan`; one that carries another on
//! with those of the whole job.

use serde_json::Value;

use crate::harness::{Nest, Ran};

const HEADER: &str = "part,material,section,length,qty,fit\n";
const LISTS: &str = "hall.csv attic.csv den.csv --stock stock.csv --rack rack.csv --units in";

fn list(rows: &str) -> String {
    format!("{HEADER}{rows}")
}

/// Three jobs, planned; the rack serves some.
fn planned() -> Ran {
    Nest::new()
        .file("hall.csv", list("stile,fir,1x4,30,4,\nrail,fir,1x4,22,4,\n"))
        .file("attic.csv", list("rail,fir,1x4,22,2,1\n"))
        .file("den.csv", list("post,fir,1x4,14,2,\n"))
        .file("stock.csv", "name,material,section,length,price,qty\nfir board,fir,1x4,8',6,9\n")
        .file("rack.csv", "name,material,section,length,qty\nold fir,fir,1x4,29,2\n")
        .args(&format!("plan {LISTS} -o one"))
        .any_stdout()
        .exit(0)
}

/// The same, carried on after two boards are cut.
fn carried() -> Ran {
    planned()
        .then()
        .args(&format!("plan {LISTS} --after one/plan.json --cut 3-4 -o two"))
        .any_stdout()
        .exit(0)
}

fn check(ran: Ran, plan: &str, lists: &str) -> Nest {
    ran.then().args(&format!("check {plan} {lists}"))
}

#[test]
fn lists_are_given_as_they_were_planned() {
    let more = "--stock stock.csv --rack rack.csv --units in";
    let mut ran = planned();
    for lists in [
        "one/plan.json hall.csv attic.csv den.csv",
        "one/plan.json --parts hall.csv attic.csv den.csv",
        "one/plan.json --parts hall.csv --parts attic.csv --parts den.csv",
        "--parts hall.csv one/plan.json attic.csv den.csv",
    ] {
        ran = check(ran, lists, more).says("The plan is sound: 12 pieces from ").exit(0);
    }
    let ran = check(ran, "one/plan.json hall.csv attic.csv", more)
        .stdout(
            "The plan is refused: 2 faults.\n  the plan has 4 rows of part, but the files have 3\n  \
             post is in the plan alone\n",
        )
        .exit(1);
    let ran = check(ran, "one/plan.json den.csv hall.csv attic.csv", more)
        .stdout(
            "The plan is refused: 1 fault.\n  the rows of part stand in another order in the files: give the lists in the \
             order in which they were planned\n",
        )
        .exit(1);
    let ran = check(ran, "one/plan.json hall.csv", "").complains("--stock <STOCK.csv>").exit(2);
    let ran = check(ran, "one/plan.json", "--stock stock.csv").complains("PARTS.csv").exit(2);
    let ran = check(ran, "one/plan.json", "--units in")
        .complains("error: expected lists of parts and --stock beside --units, but there are none\n")
        .exit(2);
    check(ran, "- -", more)
        .stdin("")
        .complains("error: standard input can be read once, but `-` is given twice\n  = hint: save the plan to a file\n")
        .exit(2);
}

#[test]
fn what_is_left_of_a_job_is_compared_with_all_of_it() {
    let ran = carried();
    let verdict = "\
The plan is sound: 5 pieces from 3 boards, cost 0.00; no plan can cost less.
It asks for what is left of the lists. Taken on its word: 7 pieces made before it, 3 gone of the stock whose quantity the lists limit, 1 piece of stock left by earlier plans.
";
    let ran = check(ran, "two/plan.json", LISTS).stdout(verdict).exit(0);
    let (line, _) = verdict.split_once('\n').unwrap();
    let ran = check(ran, "two/plan.json", &format!("{LISTS} -q")).stdout(&format!("{line}\n")).exit(0);
    let ran = check(ran, "two/plan.json", &format!("{LISTS} --json"))
        .says("  \"on_its_word\": [\n    \"7 pieces made before it\",\n")
        .exit(0);
    // So is the next one, with what was made before either.
    let ran = ran.then().args(&format!("plan {LISTS} --after two/plan.json --cut 1 -o three"));
    let ran = check(ran.any_stdout().exit(0), "three/plan.json", LISTS)
        .says("\nIt asks for what is left of the lists. Taken on its word: ")
        .exit(0);
    // One more of a part that was begun, one less of one that was not, and a rack that has less.
    let nest = ran.then().file("hall.csv", list("stile,fir,1x4,30,5,\nrail,fir,1x4,22,4,\n"));
    let nest = nest.file("den.csv", list("post,fir,1x4,14,1,\n"));
    let nest = nest.file("rack.csv", "name,material,section,length,qty\nold fir,fir,1x4,29,1\n");
    nest.args(&format!("check two/plan.json {LISTS}"))
        .stdout(
            "\
The plan is refused: 3 faults.
  the plan asks for 1 of part 1 (stile) beside 3 made before it, but the files for 5
  the plan asks for 2 of part 4 (post), but the files for 1
  the plan counts on 2 of stock 2 (old fir), but the files have 1
",
        )
        .exit(1);
}

#[test]
fn lists_of_a_job_that_is_carried_on_are_compared_in_all_else() {
    let ran = check(
        carried(),
        "two/plan.json",
        "den.csv hall.csv attic.csv --stock stock.csv --rack rack.csv --units in",
    )
    .says("The plan is refused: 1 fault.\n  the rows of part stand in another order")
    .exit(1);
    let nest = ran.then().file("attic.csv", list("rail,fir,1x4,22,2,1 1/4\n"));
    let nest = nest.file("stock.csv", "name,material,section,length,price,qty\nfir board,fir,1x4,8',6,\n");
    nest.args(&format!("check two/plan.json {LISTS} --kerf 3/32"))
        .stdout(
            "\
The plan is refused: 4 faults.
  fit of part 3 (rail) is 1\" in the plan, but 1 1/4\" in the files
  qty of stock 1 (fir board) is limited in the plan, but empty in the files
  boards.kerf of the shop is 1/8\" in the plan, but 3/32\" in the files
  sheets.kerf of the shop is 1/8\" in the plan, but 3/32\" in the files
",
        )
        .exit(1);
}

/// What is made is no longer in stock, and nobody needs it to be.
#[test]
fn a_stock_that_is_needed_no_longer_may_be_off_the_lists() {
    let parts = "part,material,section,length\nlong,fir,1x4,90\nshort,fir,1x4,40\n";
    let nest = Nest::new().file("parts.csv", parts);
    let nest = nest.file("stock.csv", "name,material,section,length,price\nfir board,fir,1x4,8',6\n");
    let ran = nest.args("plan parts.csv --stock stock.csv --units in -o one").any_stdout().exit(0);
    let nest = ran.then().file("stock.csv", "name,material,section,length,price\nfir board,fir,1x4,4',3\n");
    let ran = nest.args("plan parts.csv --stock stock.csv --units in --after one/plan.json --cut 1-2 -o two");
    let ran = ran.any_stdout().exit(0);
    check(ran, "two/plan.json", "parts.csv --stock stock.csv --units in").says("The plan is sound").exit(0);
}

/// The lists say inches; names of stock that nobody named are in the units of the papers.
#[test]
fn a_plan_that_was_drawn_in_other_units_is_compared_with_its_lists() {
    let stock = "material,section,length,price,qty\nfir,1x4,8',6,9\nfir,1x4,8',7,9\n";
    let lists = "hall.csv --stock stock.csv --units in";
    let nest = Nest::new().file("hall.csv", list("stile,fir,1x4,30,4,\nrail,fir,1x4,22,4,\n"));
    let ran = nest.file("stock.csv", stock).args(&format!("plan {lists} -o one")).any_stdout().exit(0);
    let ran = ran.then().args(&format!("plan {lists} --after one/plan.json --cut 1x1 -o two"));
    let mut ran = ran.any_stdout().exit(0);
    for plan in ["one", "two"] {
        let draw = format!("draw {plan}/plan.json --units mm -o {plan}-in-mm");
        ran = ran.then().args(&draw).any_stdout().exit(0);
        let drawn = format!("{plan}-in-mm/plan.json");
        ran = check(ran, &drawn, lists).says("The plan is sound").exit(0);
        // A name that somebody gave is none of those.
        let named = stock.replace("material", "name,material").replace("\nfir", "\nyard,fir");
        ran = ran
            .then()
            .file("stock.csv", named)
            .args(&format!("check {drawn} {lists}"))
            .says("name of stock 1 (yard) is fir 1x4, 2438.4 mm in the plan, but yard in the files")
            .exit(1);
        ran =
            ran.then().file("stock.csv", stock).args(&format!("check {drawn} {lists}")).any_stdout().exit(0);
    }
}

/// Two rails of which only the length differs, and two boards without a name, all in limited number.
fn alike() -> Ran {
    let nest = Nest::new()
        .file("parts.csv", list("rail,fir,1x4,30,4,\nrail,pine,1x4,20,6,\nrail,fir,1x4,30,3,\n"))
        .file("stock.csv", "material,section,length,price,qty\nfir,1x4,8',5,4\npine,1x4,8',6,3\n");
    let ran =
        nest.args("plan parts.csv --stock stock.csv --units in -o one").any_stdout().any_stderr().exit(0);
    let ran =
        ran.then().args("plan parts.csv --stock stock.csv --units in --after one/plan.json --cut 1-2 -o two");
    ran.any_stdout().any_stderr().exit(0)
}

/// What is made of a row, and how many of it are gone, nobody says of the row that stands there now.
#[test]
fn rows_of_a_carried_job_in_another_order_are_one_fault() {
    let lists = "parts.csv --stock stock.csv --units in";
    let fault = |what: &str| {
        format!(
            "The plan is refused: 1 fault.\n  the rows of {what} stand in another order in the files: give the lists in the \
             order in which they were planned\n"
        )
    };
    let nest = alike().then();
    let nest = nest.file("parts.csv", list("rail,pine,1x4,20,6,\nrail,fir,1x4,30,4,\nrail,fir,1x4,30,3,\n"));
    nest.args(&format!("check two/plan.json {lists}")).stdout(&fault("part")).exit(1);
    let nest = alike().then();
    let nest = nest.file("stock.csv", "material,section,length,price,qty\npine,1x4,8',6,3\nfir,1x4,8',5,4\n");
    nest.args(&format!("check two/plan.json {lists}")).stdout(&fault("stock")).exit(1);
}

#[test]
fn rows_that_are_alike_are_all_named() {
    let nest = alike().then();
    let nest = nest.file("parts.csv", list("rail,fir,1x4,30,5,\nrail,pine,1x4,20,6,\nrail,fir,1x4,30,3,\n"));
    nest.args("check two/plan.json parts.csv --stock stock.csv --units in")
        .says("The plan is refused: 1 fault.\n  the plan asks for ")
        .says(" of parts 1 and 3 (rail) beside ")
        .exit(1);
    // What nobody named is called as in the plan.
    let nest = alike().then();
    let nest = nest.file("stock.csv", "material,section,length,price,qty\nfir,1x4,8',5,5\npine,1x4,8',6,3\n");
    nest.args("check two/plan.json parts.csv --stock stock.csv --units in")
        .says("The plan is refused: 1 fault.\n  the plan counts on ")
        .says(" of stock 1 (fir 1x4, 8') beside ")
        .exit(1);
}

/// Nothing follows from it: neither that the lists cannot be read, nor what they have more of.
#[test]
fn a_carried_plan_that_is_unsound_is_refused_beside_its_lists() {
    let ran = carried();
    let sound: Value = serde_json::from_str(&ran.read("two/plan.json")).unwrap();
    let (mut row, mut account) = (sound.clone(), sound);
    let last = row["batch"]["stock"].as_array_mut().unwrap().last_mut().unwrap();
    last["length"] = 0.into();
    account["before"]["made"][0]["part"]["part"] = "pole".into();
    let told = "The plan is refused: 1 fault.\n  before.made[0]: expected pieces of a part that the question asks for";
    let ran = ran.then().file("row.json", row.to_string()).file("account.json", account.to_string());
    let ran = ran.args(&format!("check row.json {LISTS}"));
    let ran = ran.says("The plan is refused: 1 fault.\n  the question inside it is unsound: stock ").exit(1);
    let ran = check(ran, "row.json", &format!("{LISTS} --json")).says("  \"sound\": false,\n").exit(1);
    let ran = check(ran, "account.json", LISTS).says(told).exit(1);
    check(ran, "row.json", "hall.csv --stock none.csv --units in").complains("error: ").exit(2);
}

#[test]
fn a_floor_that_says_nothing_is_not_told() {
    Nest::new()
        .file("plan.json", include_str!("../../fixtures/papers/ripped/plan.json"))
        .args("check plan.json")
        .says(", cost $21.00; nothing is known yet about cheaper plans.\n")
        .exit(0);
}
