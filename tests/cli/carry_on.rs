//! A job is carried on when reality differs: what is made counts, what was bought is at hand, the rest is planned anew.

use crate::harness::Nest;

pub const RAILS: &str = "part,material,section,length,qty,job\nstile,fir,1x4,30,6,closet\n\
                     rail,fir,1x4,22 1/2,6,closet\ncleat,fir,1x4,14,2,closet\n";
const BOARDS: &str = "material,section,length,price\nfir,1x4,8',6\n";
pub const SAW: &str = "--units in --trim 1/4";

/// A closet frame: layout 1 twice, three stiles each; layout 2, four rails; layout 3, two rails and two cleats.
pub fn frame() -> Nest {
    let ran = Nest::new()
        .file("parts.csv", RAILS)
        .file("stock.csv", BOARDS)
        .args(&format!("plan parts.csv --stock stock.csv {SAW} -o one"))
        .says("    4  fir 1x4, 8'  96\"   6.00  24.00\n")
        .exit(0);
    ran.then()
}

pub fn rest(nest: Nest, parts: &str, done: &str) -> Nest {
    nest.args(&format!("plan {parts} --stock stock.csv {SAW} --after one/plan.json {done} -o rest"))
}

/// Columns of a list of ours, by their names: one text a row.
pub fn columns(list: &str, names: [&str; 3]) -> Vec<String> {
    let mut reader = csv::Reader::from_reader(list.as_bytes());
    let header = reader.headers().unwrap().clone();
    let places = names.map(|name| header.iter().position(|head| head == name).unwrap());
    reader
        .records()
        .map(Result::unwrap)
        .map(|row| places.map(|place| row[place].to_owned()).join(" | "))
        .collect()
}

#[test]
fn a_gap_of_an_eighth_more_after_two_boards_are_cut() {
    let ran = rest(frame(), "now.csv", "--cut 1x1,2")
        .file("now.csv", RAILS.replace(",30,", ",30 1/8,"))
        .says(": 10 pieces for closet. 4 pieces were made before.\n\nOn hand from the plan before\n")
        .says("2  fir 1x4, 8', bought  96\"\n3  stile, made 30\"      30\"\n\nCost 0.00; proven")
        .complains(
            "warning: made but not asked for as they are: 3 stile, made 30\"; they are on hand now, for parts that they \
             hold: what is to stay as it is goes into the list of parts\n",
        )
        .exit(0);
    // The boards that are bought still have their factory ends; the old stiles are clean.
    let cuts = columns(&ran.read("rest/cuts.csv"), ["stock", "kind", "name"]);
    assert!(cuts.contains(&"fir 1x4, 8', bought | square | ".to_owned()), "{cuts:?}");
    let stiles: Vec<&String> = cuts.iter().filter(|row| row.starts_with("stile, ")).collect();
    let of_stiles = [
        "stile, made 30\" | crosscut | rail",
        "stile, made 30\" | crosscut | cleat",
        "stile, made 30\" | crosscut | cleat",
    ];
    assert_eq!(stiles, of_stiles);
    let bill = columns(&ran.read("rest/buy.csv"), ["from", "qty", "name"]);
    assert_eq!(bill, ["before | 2 | fir 1x4, 8', bought", "before | 3 | stile, made 30\""]);
    let report = ran.read("rest/report.html");
    assert!(report.contains(" for <bdi>closet</bdi>. 4 pieces were made before.</p>"));
    assert!(report.contains("No board and no sheet is to be bought.") && report.contains("3 stile, made 30"));
    assert!(!report.contains("as large as new"), "bought boards are trimmed");
    // It is a plan like any other.
    let ran = ran
        .then()
        .args("check rest/plan.json")
        .stdout("The plan is sound: 10 pieces from 5 boards, cost 0.00; no plan can cost less.\nTaken on its word: 4 \
             pieces made before it, 5 pieces of stock left by earlier plans.\n")
        .exit(0);
    let ran = ran.then().args("draw rest/plan.json -o again").any_stdout().exit(0);
    for paper in ["plan.json", "offcuts.csv", "labels.html", "report.html"] {
        assert_eq!(ran.read(&format!("again/{paper}")), ran.read(&format!("rest/{paper}")));
    }
    assert!(ran.read("again/report.html").contains("4 pieces were made before."));
    // And can be carried on, to the end.
    let ran = ran
        .then()
        .args(&format!("plan now.csv --stock stock.csv {SAW} --after rest/plan.json --cut 1-3"))
        .says("Nothing is cut. 14 pieces were made before.\n\nCost 0.00; proven")
        .exit(0);
    ran.then()
        .args(&format!(
            "plan now.csv --stock stock.csv {SAW} --after rest/plan.json --cut 1x1,2-3 --spoiled 1x1"
        ))
        .says(": 3 pieces for closet. 11 pieces were made before.\n\nBuy\n")
        .says("    1  fir 1x4, 8'  96\"   6.00   6.00\n\nCost 6.00; proven")
        .exit(0);
}

#[test]
fn a_split_board_is_bought_again_and_a_begun_one_is_used_up() {
    let ran = rest(frame(), "parts.csv", "--cut 1 --spoiled 2")
        .says(": 8 pieces for closet. 6 pieces were made before.\n\nBuy\n")
        .says("    1  fir 1x4, 8'  96\"   6.00   6.00\n\nOn hand from the plan before\n1  fir 1x4, 8', bought  96\"\n\nCost 6.00")
        .exit(0);
    // That no stile is left to make is no oddity.
    let ran = ran.then().args("draw rest/plan.json -o again").any_stdout().exit(0);
    assert!(!ran.read("again/report.html").contains("quantity 0"));
    // The first end is squared off and one stile is cut; the far end of what is left is as it came.
    rest(frame(), "parts.csv", "--cut 1x1:2")
        .says("13 pieces for closet. 1 piece was made before.\n")
        .says("\n1  fir 1x4, 8', begun, 65 3/8\", factory right end on  65 3/8\"\n\nCost 0.00; proven")
        .says("Factory edges still on: fir 1x4, 8', begun, 65 3/8\", factory right end on.")
        .exit(0);
}

#[test]
fn a_board_of_a_section_that_is_ripped_once_serves_the_other_rips() {
    let plan = |nest: Nest, done: &str| {
        nest.args(&format!("plan rips.csv --stock stock.csv --units in {done}")).any_stdout()
    };
    let nest = Nest::new()
        .file(
            "rips.csv",
            "part,material,section,length,width,qty\nlip,fir,1x6,30,2,1\nbead,fir,1x6,30,1 1/2,1\n",
        )
        .file("stock.csv", "material,section,length,price\nfir,1x6,8',9\n");
    let ran = plan(nest, "-o one").says("Cost 9.00; proven").exit(0);
    let ran = plan(ran.then(), "--after one/plan.json --cut 1:1").says("\nCost 0.00; proven").exit(0);
    // So does what the plan leaves.
    let rack = "--rack one/offcuts.csv";
    let ran =
        plan(ran.then(), rack).says("Take from the rack\n1  fir 1x6, 8', offcut 96\" x 3 3/8\"").exit(0);
    // But no part as wide as a 1x6 does, nor is another section drawn in.
    let rack = ran.read("one/offcuts.csv");
    assert_eq!(columns(&rack, ["section", "width", "ripped"]), ["1x6 | 3 3/8\" | yes"], "{rack}");
    let ran = ran.then().file("rips.csv", "part,material,section,length\nshelf,fir,1x6,30\n");
    plan(ran, "--rack one/offcuts.csv").says("Cost 9.00; proven").exit(0);
}

#[test]
fn the_rack_of_the_first_plan_is_given_again() {
    let plan = |nest: Nest, more: &str| {
        nest.args(&format!("plan parts.csv --stock stock.csv --rack rack.csv {SAW} {more}")).any_stdout()
    };
    let nest = Nest::new()
        .file("parts.csv", "part,material,section,length,qty\nrail,fir,1x4,30,4\n")
        .file("stock.csv", BOARDS)
        .file("rack.csv", "material,section,length,qty\nfir,1x4,31,3\n");
    let ran = plan(nest, "-o one").says("3  fir 1x4  31\"\n").exit(0);
    // One of the three is split, and the other two are where they were.
    let one = columns(&ran.read("one/cuts.csv"), ["layout", "copies", "stock"]);
    let layout = one
        .iter()
        .find(|row| row.ends_with("| fir 1x4, 31\""))
        .unwrap()
        .split(' ')
        .next()
        .unwrap()
        .to_owned();
    let ran = plan(ran.then(), &format!("--after one/plan.json --spoiled {layout}x1 -o rest"))
        .says("\nTake from the rack\n2  fir 1x4  31\"\n\nOn hand from the plan before\n")
        .says("1  fir 1x4, 8', bought  96\"\n\nCost 0.00")
        .exit(0);
    // Without the list they are missed.
    let ran = ran
        .then()
        .args(&format!("plan parts.csv --stock stock.csv {SAW} --after one/plan.json --spoiled {layout}x1"))
        .any_stdout()
        .stderr(
            "warning: on hand for the plan that is carried on and not used by it, but not in the lists now: 2 fir 1x4, 31\"; \
             what it used is taken off the rack as it was, so give the same --rack again if these are still there\n",
        )
        .exit(0);
    // So is what somebody took off the list already, because it was used.
    ran.then()
        .file("rack.csv", "material,section,length,qty\nfir,1x4,31,2\n")
        .args(&format!(
            "plan parts.csv --stock stock.csv --rack rack.csv {SAW} --after one/plan.json --spoiled {layout}x1"
        ))
        .any_stdout()
        .complains("but not in the lists now: 1 fir 1x4, 31\"; what it used is taken off")
        .exit(0);
}

#[test]
fn an_offcut_of_what_had_a_factory_edge_is_clean() {
    let ran = Nest::new()
        .file("parts.csv", "part,material,section,length\nrail,fir,1x4,50\n")
        .file("stock.csv", BOARDS)
        .file(
            "rack.csv",
            "name,material,section,length\n\"fir 1x4, 8', offcut 80\"\", factory right end on\",fir,1x4,80\n",
        )
        .args(&format!("plan parts.csv --stock stock.csv --rack rack.csv {SAW} -o out"))
        .says("Left to keep\n1  29 7/8\"  of fir 1x4, 8'\n")
        .exit(0);
    assert!(!ran.stdout.contains("comes off larger"), "{}", ran.stdout);
    assert!(ran.read("out/report.html").contains("data-of=\"Of\"><bdi>fir 1x4, 8&#39;</bdi></td>"));
}

#[test]
fn what_a_job_has_paid_for_is_not_owed_again() {
    let parts = "part,material,section,length,qty,job\nstile,fir,1x4,90,2,north\nrail,fir,1x4,60,2,south\n";
    let rack = "name,material,section,length,price\nlong one,fir,1x4,91,2.50\n";
    let plan = |nest: Nest, more: &str| {
        nest.args(&format!("plan parts.csv --stock stock.csv --rack rack.csv {SAW} {more}")).any_stdout()
    };
    let nest = Nest::new().file("parts.csv", parts).file("stock.csv", BOARDS).file("rack.csv", rack);
    let ran = plan(nest, "-o one").says("\nnorth  2 pieces   6.00  and 2.50 from the rack\n").exit(0);
    assert!(ran.stdout.contains("Shares of the cost, waste"), "{}", ran.stdout);
    let report = ran.read("one/report.html");
    assert!(report.contains("From the rack") && !report.contains("From the plan before"));
    let ran = plan(ran.then(), "--after one/plan.json -o rest")
        .says("Shares of the cost now, waste spread over the parts\n")
        .says("\nnorth  2 pieces  0.00  and 2.50 from the rack, 6.00 from the plan before\n")
        .says("\nsouth  2 pieces  0.00  and 12.00 from the plan before\n")
        .exit(0);
    let report = ran.read("rest/report.html");
    assert!(
        report.contains("<h3>What each job owes now</h3>") && report.contains("From the plan before</th>")
    );
    assert!(report.contains("<h3>On hand from the plan before</h3>"));
    assert!(report.contains("is worth that was bought with that, or taken from the rack."));
    assert!(report.contains("none on what was cut before"), "which of them is not trimmed");
}

#[test]
fn a_blank_that_nobody_wants_is_as_large_as_it_was_cut() {
    let parts = |qty: u32| {
        format!(
            "part,material,section,length,qty,fit,oversize\nrail,fir,1x4,30,{qty},2,\ntop,fir,1x4,40,{qty},,1 1/2\npost,fir,1x4,9,1,,\n"
        )
    };
    let plan = |nest: Nest, qty: u32, more: &str| {
        nest.file("parts.csv", parts(qty))
            .args(&format!("plan parts.csv --stock stock.csv {SAW} {more}"))
            .any_stdout()
    };
    let ran = plan(Nest::new().file("stock.csv", BOARDS), 1, "-o one").exit(0);
    // A part without a width is as wide as its board.
    let report = ran.read("one/report.html");
    assert!(
        report.contains("1 1/2&#34; over in length, to be trimmed") && !report.contains("both directions")
    );
    plan(ran.then(), 0, "--after one/plan.json --cut 1")
        .complains("1 rail, made 32\"")
        .complains("1 top, made 41 1/2\"")
        .complains("; blanks count as they came off the saw, and are smaller if they were cut to size since")
        .exit(0);
}

/// Two sides and six shelves of a closet, so wide that no two sides lie beside each other.
const PANELS: &str =
    "part,material,thickness,length,width,qty\nside,ply,18,2000,800,2\nshelf,ply,18,900,500,6\n";
pub const SHEETS: &str =
    "name,material,thickness,length,width,price,grain\nply 18,ply,18,2440,1220,60,length\n";

#[test]
fn shelves_an_eighth_longer_after_a_sheet_is_cut() {
    let plan = |nest: Nest, parts: &str, more: &str| {
        nest.args(&format!("plan {parts} --stock stock.csv --units mm --kerf 3 --trim 10 {more}"))
            .any_stdout()
    };
    let nest = Nest::new().file("parts.csv", PANELS).file("stock.csv", SHEETS);
    let ran =
        plan(nest, "parts.csv", "-o one").says("    4  ply 18  2440 mm x 1220 mm  60.00  240.00\n").exit(0);
    let cuts = columns(&ran.read("one/cuts.csv"), ["layout", "copies", "name"]);
    let of_shelves: Vec<&String> = cuts.iter().filter(|row| row.ends_with("| shelf")).collect();
    let layout = of_shelves[0].split(' ').next().unwrap();
    let ran = plan(
        ran.then().file("now.csv", PANELS.replace("900", "903")),
        "now.csv",
        &format!("--after one/plan.json --cut {layout} -o rest"),
    )
    .complains("shelf, made 900 mm x 500 mm")
    .exit(0);
    // Nothing of the old shelves is lost, and what is bought is whole.
    let stock = ran.read("rest/plan.json");
    assert!(stock.contains("\"name\": \"shelf, made 900 mm x 500 mm\""), "{stock}");
    assert!(stock.contains("\"name\": \"ply 18, bought\"") && stock.contains("\"factory_edges\": true"));
    ran.then().args("check rest/plan.json").any_stdout().exit(0);
}

#[test]
fn what_is_owned_uncut_is_trimmed_and_stays_so_in_the_next_rack() {
    let rack = "name,material,section,length,qty,factory_edges\nwhole,fir,1x4,8',2,yes\n";
    let plan = |nest: Nest, rack: &str, length: &str| {
        nest.file("one.csv", format!("part,material,section,length\nrail,fir,1x4,{length}\n"))
            .args(&format!("plan one.csv --stock stock.csv --rack {rack} {SAW} -o next --force"))
            .any_stdout()
    };
    let nest = || Nest::new().file("stock.csv", BOARDS).file("rack.csv", rack);
    let ran = plan(nest(), "rack.csv", "95 1/2").says("1  whole  96\"\n").exit(0);
    assert!(!ran.stdout.contains("as large as new") && !ran.stdout.contains("none on what you own"));
    let left = columns(&ran.read("next/offcuts.csv"), ["name", "qty", "factory_edges"]);
    assert_eq!(left, ["whole | 1 | yes"]);
    plan(ran.then(), "next/offcuts.csv", "95 1/2").says("1  whole  96\"\n").exit(0);
    plan(nest(), "rack.csv", "95 9/16").complains("longer than").exit(2);
    // Of what is bought that goes without saying.
    let bought = "material,section,length,price,factory_edges\nfir,1x4,8',6,yes\nfir,1x4,10',8,yes\n";
    plan(nest().file("stock.csv", bought), "rack.csv", "60")
        .complains(
            "warning: fir 1x4, 8' (and 1 further row) is not on hand, so that `factory_edges` changes nothing: all that is \
             bought has them; write `yes` in the `on_hand` column if it is yours\n --> stock.csv:2:",
        )
        .exit(0);
}

#[test]
fn entries_that_do_not_fit_are_refused_all_at_once() {
    const CUT: &str = "write their numbers on the papers, --cut 1-3,5; 5x2 for two boards of layout 5, 7:4 for layout 7 up \
                       to its cut 4";
    rest(frame(), "parts.csv", "--cut 1x3,9,five,,2:6,3-2 --cut 0 --spoiled 2:,3,3x1,1-8")
        .stderr(&format!(
            "\
error: expected layouts for --cut, but found `five`
  = hint: {CUT}
error: expected layouts for --cut, but found ``
  = hint: {CUT}
error: expected layouts for --cut, but found `3-2`
  = hint: {CUT}
error: expected layouts for --cut, but found `0`
  = hint: {CUT}
error: expected layouts for --spoiled, but found `2:`
  = hint: write their numbers on the papers, --spoiled 1-3,5; 5x2 for two boards of layout 5, 7:4 where all that cut 4 of layout 7 left to be cut is gone
error: layout 1 is of 2 boards, but 3 are named, with `1x3` for --cut
  = hint: name each board once, in --cut or in --spoiled; `1x1` is one of layout 1
error: expected a layout from 1 to 3 for --cut, but found `9`
  = hint: the papers of the plan number its layouts
error: expected a cut from 1 to 5 of layout 2 for --cut, but found `2:6`
  = hint: the papers of the plan number its cuts
error: layout 3 is of 1 board, but 2 are named, with `3x1` for --spoiled
  = hint: name each board once, in --cut or in --spoiled; `3x1` is one of layout 3
error: layout 1 is of 2 boards, but 5 are named, with `1-8` for --spoiled
  = hint: name each board once, in --cut or in --spoiled; `1x1` is one of layout 1
"
        ))
        .exit(2);
    rest(frame(), "parts.csv", "--cut 1-4294967296")
        .complains("from 1 to 3 for --cut, but found `1-4294967296`")
        .exit(2);
    let twice =
        "error: standard input can be read once, but `-` is given twice\n  = hint: save the plan to a file\n";
    for files in ["- --stock stock.csv", "parts.csv --stock stock.csv --shop -"] {
        Nest::new().args(&format!("plan {files} --after -")).stdin("").complains(twice).exit(2);
    }
    Nest::new().args("plan parts.csv --stock stock.csv --cut 1").complains("--after <PLAN.json>").exit(2);
}

#[test]
fn a_plan_that_is_unsound_or_none_is_not_carried_on() {
    let ran = rest(frame(), "parts.csv", "--cut 1").any_stdout().exit(0);
    let spoilt = ran.read("one/plan.json").replace("\"copies\": 2", "\"copies\": 3");
    let ran = ran
        .then()
        .file("one/plan.json", &spoilt)
        .args("draw one/plan.json -o drawn")
        .says("The plan is refused: ")
        .exit(1);
    let words = ran.stdout.clone();
    let ran = rest(ran.then(), "parts.csv", "--cut 1 --spoiled 9").stdout(&words).exit(1);
    let ran =
        rest(ran.then().file("one/plan.json", "{}"), "parts.csv", "").complains("found no `format`").exit(2);
    let carried = spoilt
        .replace("\"copies\": 3", "\"copies\": 2")
        .replace("\"batch\": {", "\"before\": {\"made\": [], \"gone\": [], \"carried\": 9}, \"batch\": {");
    rest(ran.then().file("one/plan.json", carried), "parts.csv", "")
        .complains("`before.carried`: expected at most the 1 rows of stock, but found 9")
        .exit(2);
}

const KNOWN: &str = "is known from the plan that is carried on\n";

#[test]
fn the_offcuts_of_the_plan_are_no_rack_beside_it() {
    let parts = "part,material,section,length\nrail,fir,1x4,60\n";
    let mut ran = Nest::new()
        .file("parts.csv", parts)
        .file("stock.csv", BOARDS)
        .args(&format!("plan parts.csv --stock stock.csv {SAW} -o one"))
        .any_stdout()
        .exit(0)
        .then()
        .args("draw one/plan.json --units mm -o mm")
        .any_stdout()
        .exit(0);
    for papers in ["one", "mm"] {
        let rack = format!("--cut 1 --rack {papers}/offcuts.csv --force");
        ran = rest(ran.then(), "parts.csv", &rack)
            .complains(KNOWN)
            .complains(&format!(" --> {papers}/offcuts.csv:2:1\n"))
            .complains(
                "hint: give the rack as it was before the first plan of the job, if there was one: what is left of it is \
                 known; a piece from elsewhere needs a name of its own\n",
            )
            .exit(2);
    }
}

#[test]
fn what_an_earlier_plan_left_is_no_rack_either() {
    let parts = |cleats: u32, rails: u32| {
        format!("part,material,section,length,qty\nrail,fir,1x4,48,{rails}\ncleat,fir,1x4,30,{cleats}\n")
    };
    let plan = |nest: Nest, parts: String, more: &str| {
        nest.file("parts.csv", parts)
            .args(&format!("plan parts.csv --stock stock.csv --units in --kerf 0 {more}"))
            .any_stdout()
    };
    let ran = plan(Nest::new().file("stock.csv", BOARDS), parts(4, 2), "-o one").exit(0);
    // A board that is bought stays whole, and the cleats are not wanted any more.
    let cuts = columns(&ran.read("one/cuts.csv"), ["layout", "copies", "name"]);
    let of_cleats =
        cuts.iter().find(|row| row.ends_with("| cleat")).unwrap().split(' ').next().unwrap().to_owned();
    let ran = plan(ran.then(), parts(0, 2), &format!("--after one/plan.json --cut {of_cleats}x1 -o two"))
        .any_stderr()
        .exit(0);
    let left = columns(&ran.read("two/offcuts.csv"), ["name", "qty", "on_hand"]);
    assert_eq!(left, ["fir 1x4, 8', bought | 1 | yes", "cleat, made 30\" | 3 | yes"]);
    let ran = plan(ran.then(), parts(0, 8), "--after two/plan.json --rack two/offcuts.csv -o three");
    ran.complains("`fir 1x4, 8', bought` is known").complains("`cleat, made 30\"` is known").exit(2);
}

#[test]
fn a_row_that_no_list_has_is_named_with_what_is_wrong_with_it() {
    let plan = |nest: Nest, more: &str| {
        nest.args(&format!("plan parts.csv --stock stock.csv --units in {more}")).any_stdout()
    };
    let nest = || {
        Nest::new()
            .file("parts.csv", "part,material,section,length,qty\nrail,fir,1x4,30,3\n")
            .file("stock.csv", "material,section,length,price\nfir,1x4,8',6\nfir,1x4,16',60\n")
    };
    let ran = plan(nest(), "--trim 1/4 -o one").exit(0);
    let ran = plan(ran.then(), "--trim 50 --after one/plan.json")
        .complains(
            "error: `fir 1x4, 8', bought`, left of the plan that is carried on: nothing remains of it after the edge \
             trim\n",
        )
        .exit(2);
    let ran = plan(ran.then(), "--trim 1/4 --after one/plan.json --cut 1 -o two").exit(0);
    // What is made stands in no list: its piece is looked at once it is stock.
    let two = ran.read("two/plan.json");
    let (head, piece) = two.split_once("\"piece\": {").unwrap();
    let spoilt =
        format!("{head}\"piece\": {{{}", piece.replacen("\"material\": \"fir\"", "\"material\": \"\"", 1));
    let other = "part,material,section,length\nx,fir,1x4,9\n";
    plan(
        ran.then().file("two/plan.json", spoilt).file("parts.csv", other),
        "--trim 1/4 --after two/plan.json",
    )
    .complains("error: `rail, made 30\"`, left of the plan that is carried on: ")
    .exit(2);
}
