//! Edge trim of one stock: how it is written, what is wrong with it, what papers say of it, and that racks keep it.

use crate::harness::{Nest, Ran};

const PARTS: &str =
    "part,material,thickness,length,width,qty\nside,oak,18,1000,300,2\nrail,pine,20,900,90,1\n";
const HEADER: &str = "name,material,form,thickness,length,width,price,grain,qty,on_hand,factory_edges,trim\n";

fn nest(rows: &str) -> Nest {
    Nest::new().file("parts.csv", PARTS).file("stock.csv", format!("{HEADER}{rows}")).any_stdout()
}

fn plan(rows: &str, more: &str) -> Nest {
    nest(rows).args(&format!("plan parts.csv --stock stock.csv --units mm --kerf 3 {more}"))
}

const BOTH: &str = "\
clean,oak,sheet,18,2000,300,40,length,,,,0\n\
rough,oak,sheet,18,1010,320,10,length,1,,,\"5; 3; 10; 0\"\n\
shelf,pine,board,20,940,90,4,,,,,0\n";

/// A stock whose trim is this, of which a part comes.
fn one(trim: &str, form: &str) -> Nest {
    let row = format!("x,oak,{form},18,2400,1000,9,length,,,,{trim}\np,pine,,20,2000,90,4,,,,,\n");
    nest(&row).args("plan parts.csv --stock stock.csv --units mm --kerf 3 --quiet")
}

#[test]
fn all_faults_are_told_at_once_with_their_places() {
    let rows = "a,oak,sheet,18,2400,1000,9,length,,,,10;\n\
                b,oak,sheet,18,2400,1000,9,length,,,,10;10;10\n\
                c,oak,sheet,18,2400,1000,9,length,,,,5; 5\n\
                d,pine,board,20,2000,90,9,,,,,5|5|5|5\n\
                e,oak,sheet,18,2400,1000,9,length,,,,\"5; abc; -1; 1e9\"\n\
                f,pine,board,20,2000,90,9,,,,,0; 2\n\
                g,pine,board,20,2000,90,9,,1,yes,,1000\n\
                h,oak,sheet,18,2400,1000,9,length,,,,\"10,20\"\n";
    let ran = nest(rows)
        .args("plan parts.csv --stock stock.csv --units mm --kerf 3 --quiet")
        .complains("error: ")
        .exit(2);
    let places: Vec<(&str, &str)> = ran
        .stderr
        .split("error: ")
        .skip(1)
        .map(|said| {
            let mut lines = said.lines();
            (lines.next().unwrap(), lines.next().unwrap().trim().trim_start_matches("--> stock.csv:"))
        })
        .collect();
    assert_eq!(
        places,
        [
            ("one of the 2 values is empty", "2:38"),
            ("expected one value, two or four, but found 3", "3:38"),
            ("expected one value, or near end, far end, near edge, far edge, but found 2 values", "4:38"),
            ("expected one value, or near and far end, but found 4 values", "5:31"),
            ("expected a number, but found `abc`", "6:42"),
            ("expected a length above zero, but found `-1`", "6:47"),
            ("expected a unit of length, but found `e` in `1e9`", "6:52"),
            ("the edge trim is thinner than the kerf, but the kerf is part of it", "7:31"),
            ("nothing remains of it after the edge trim", "8:35"),
            ("the comma is a decimal comma, or stands between two values", "9:38"),
        ]
    );
    let many = one(&";".repeat(1000), "sheet").complains("two or four, but found 1001").exit(2);
    assert_eq!(many.stderr.matches("error: ").count(), 1);
}

#[test]
fn hints_say_what_to_write() {
    let hint = |trim: &str, form: &str, hint: &str| one(trim, form).complains(hint).exit(2);
    hint("1", "sheet", "0 leaves the factory edge as it is; all else is at least the kerf, 3 mm");
    hint("5;5;5;5", "board", "write `sheet` in the `form` column if it is one");
    hint("5;5", "sheet", "write `board` in the `form` column if it is one");
    hint(
        "5;5;5",
        "sheet",
        "near and far end of a board, as in `5; 10`, and of a sheet near and far edge too",
    );
    for word in ["edge trim", "trims"] {
        nest("x,oak,sheet,18,2400,1000,9,length,,,,5\n")
            .file("stock.csv", HEADER.replace("trim", word) + "x,oak,sheet,18,2400,1000,9,length,,,,5\n")
            .args("plan parts.csv --stock stock.csv --units mm")
            .complains("did you mean `trim`?")
            .exit(2);
    }
}

/// The trims that plan.json has, one a stock.
fn written(ran: &Ran, folder: &str) -> Vec<String> {
    let plan = ran.read(&format!("{folder}/plan.json"));
    let stock = plan.split_once("\"stock\": [").unwrap().1;
    let rows = stock.lines().skip(1).take_while(|line| line.contains("\"material\""));
    rows.map(|row| row.split_once("\"trim\": ").map_or("", |(_, trim)| trim).to_owned()).collect()
}

#[test]
fn it_is_written_in_inches_in_lists_of_many_countries_and_with_a_unit_in_the_header() {
    let parts = "part,material,thickness,length,width\nside,oak,18 mm,1000 mm,300 mm\n";
    let read = |list: &str| {
        let ran = Nest::new()
            .file("parts.csv", parts)
            .file("stock.csv", list)
            .args("plan parts.csv --stock stock.csv --units in --kerf 3mm --quiet -o out")
            .any_stdout()
            .exit(0);
        written(&ran, "out")
    };
    let inches = "[38.1, 6.35, 0, 12.7]}";
    assert_eq!(
        read("material,thickness,length,width,grain,trim\noak,18 mm,96,48,length,1 1/2\"; 1/4 ;0|1/2\n"),
        [inches]
    );
    let cm =
        "material;thickness;length;width;grain;Trim (cm)\noak;18 mm;96;48;length;\"3,81; 0,635; 0; 1,27\"\n";
    assert_eq!(read(cm), [inches]);
    assert_eq!(read(&cm.replace('"', "").replace("; ", "|")), [inches]);
    assert_eq!(read("material;thickness;length;width;grain;trim\noak;18 mm;96;48;length;0,5\n"), ["[12.7]}"]);
    // Without quotes the cell ends at the semicolon.
    Nest::new()
        .file("parts.csv", parts)
        .file("stock.csv", cm.replace('"', ""))
        .args("plan parts.csv --stock stock.csv --units in")
        .complains("put a cell that holds a `;` in quotes")
        .exit(2);
}

#[test]
fn papers_say_which_stock_is_trimmed_otherwise() {
    // That of the shop is said where it counts.
    let spare = format!("{BOTH}spare,pine,board,20,2000,90,40,,,,,\n");
    plan(&spare, "--trim 20").says("edge trim 20 mm each end;").exit(0);
    let ran = plan(BOTH, "--trim 20 -o out").any_stdout().exit(0);
    let said = ran.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        said.contains(
            "kerf 3 mm; edge trim none on shelf; offcuts kept from 600 mm; kerf for sheets 3 mm; \
             edge trim for sheets none on clean; edge trim for sheets \
             5 mm and 3 mm at the ends, 10 mm at the near edge on rough; offcuts of sheets"
        ),
        "{said}"
    );
    let report = ran.read("out/report.html");
    assert!(report.contains("<dt>Edge trim</dt><dd>differs by stock</dd>"));
    assert!(report.contains("<dt>Edge trim</dt><dd>none</dd>"), "of the board");
    let ran = ran.then().args("check out/plan.json").any_stdout().exit(0);
    // The lists are compared with it; two ways to say the same are the same.
    let check = |ran: Ran, shelf: &str| {
        ran.then()
            .file("stock.csv", format!("{HEADER}{}", BOTH.replacen("4,,,,,0", shelf, 1)))
            .args("check out/plan.json --parts parts.csv --stock stock.csv --units mm --kerf 3 --trim 20")
    };
    let ran = check(ran, "4,,,,,0; 0").any_stdout().exit(0);
    check(ran, "4,,,,,").says("trim of stock 3 (shelf) is 0 mm in the plan, but empty in the files").exit(1);
}

#[test]
fn what_is_owned_has_the_trim_that_its_row_states() {
    let rows = |edges: &str, trim: &str| {
        format!("mine,oak,sheet,18,1010,613,9,length,1,yes,{edges},{trim}\np,pine,,20,2000,90,4,,,,,0\n")
    };
    let fits = |edges: &str, trim: &str| {
        plan(&rows(edges, trim), "--trim 20 -o out")
            .any_stderr()
            .exit(0)
            .read("out/plan.json")
            .contains("\"proven\"")
    };
    assert!(fits("", "") && fits("", "5") && fits("yes", "0"));
    plan(&rows("yes", ""), "--trim 20").complains("of which 970 mm remain after the edge trim").exit(2);
    let said = plan(&rows("", "5"), "--trim 20").any_stderr().exit(0).stdout;
    assert!(said.contains("5 mm each end, 5 mm each edge on mine") && !said.contains("(none on"), "{said}");
    // Whoever says that its edges are clean is not asked about them.
    let new = "new,oak,sheet,18,1010,613,9,length,,,,5\n";
    let asked = |trim: &str| {
        let rows = rows("", trim) + new;
        plan(&rows, "--trim 20").any_stderr().exit(0).stdout.contains("Owned, as large as new")
    };
    assert!(asked("") && !asked("0"));
}

/// A row of offcuts.csv as name, factory edges and trim.
fn rack(ran: &Ran) -> Vec<String> {
    let list = ran.read("out/offcuts.csv");
    let mut reader = csv::Reader::from_reader(list.as_bytes());
    let header = reader.headers().unwrap().clone();
    let place = |name: &str| header.iter().position(|head| head == name).unwrap();
    let [name, edges, trim] = ["name", "factory_edges", "trim"].map(place);
    let rows = reader.records().map(Result::unwrap);
    rows.map(|row| format!("{} | {} | {}", &row[name], &row[edges], &row[trim])).collect()
}

#[test]
fn the_rack_keeps_it_and_offcuts_have_none() {
    let rows =
        "mine,oak,sheet,18,2400,700,9,length,2,yes,,\"5; 5; 0; 3.5\"\np,pine,,20,2000,90,4,,,,,\"5; 7\"\n";
    let ran = plan(rows, "--trim 20 -o out").exit(0);
    let once = rack(&ran);
    assert_eq!(
        once,
        [
            "mine, offcut 1387 mm x 696.5 mm, factory right end and upper edge on |  | ",
            "p, offcut 1085 mm, factory right end on |  | ",
            "mine |  | 5 mm; 5 mm; 0 mm; 3.5 mm",
        ]
    );
    // Read back, nothing is lost and nothing is trimmed twice.
    let next = ran
        .then()
        .file(
            "next.csv",
            "part,material,thickness,length,width\nlast,oak,18,1387,696.5\nlong,oak,18,2390,696.5\n",
        )
        .file("none.csv", format!("{HEADER}p,pine,,20,2000,90,4,,,,,\n"))
        .args("plan next.csv --stock none.csv --rack out/offcuts.csv --units mm --kerf 3 --trim 20 -q")
        .any_stdout()
        .any_stderr()
        .exit(0);
    next.then()
        .file("next.csv", "part,material,thickness,length,width\nlong,oak,18,2390.1,696.5\n")
        .args("plan next.csv --stock none.csv --rack out/offcuts.csv --units mm --kerf 3 --trim 20 -q")
        .complains("longer than")
        .exit(2);
}

#[test]
fn what_is_bought_and_uncut_keeps_it_when_the_job_is_carried_on() {
    let rows = "clean,oak,sheet,18,1000,300,9,length,,,,0\np,pine,,20,2000,90,4,,,,,\"5; 7\"\n";
    let ran = plan(rows, "--trim 20 -o out").exit(0);
    let ran = ran
        .then()
        .args("plan parts.csv --stock stock.csv --units mm --kerf 3 --trim 20 --after out/plan.json --cut 1x1 -o rest")
        .any_stdout()
        .exit(0);
    assert!(ran.stdout.contains("clean, bought"), "{}", ran.stdout);
    assert_eq!(written(&ran, "rest"), ["[0]},", "[5, 7]},", "[0]},", "[5, 7]}"].map(str::to_owned));
    ran.then().args("check rest/plan.json").any_stdout().exit(0);
}
