//! An offcut has one size on all papers, which is what is usable of it; where it comes off the saw with a factory edge,
//! the lists say so beside it, and the rack of the next plan counts on no more than what is usable.

use crate::harness::{Nest, Ran, names};

const STOCK: &str = "material,form,thickness,length,width,price,grain\nply,sheet,18,2440,1220,60,length\n\
                     oak,board,20,2000,100,9,length\n";

/// Texts that follow a mark, each up to one of some ends.
fn behind<'a>(text: &'a str, mark: &str, ends: &[&str]) -> Vec<&'a str> {
    let end = |rest: &'a str| ends.iter().filter_map(|end| rest.find(end)).min().unwrap_or(rest.len());
    text.split(mark).skip(1).map(|rest| rest.get(..end(rest)).unwrap().trim()).collect()
}

/// Sizes of offcuts on the drawings, in offcuts.csv, and in the report, each sorted.
fn everywhere(ran: &Ran) -> [Vec<String>; 3] {
    let sorted = |mut sizes: Vec<String>| {
        sizes.sort();
        sizes
    };
    let plain = |sizes: Vec<&str>| sizes.into_iter().map(str::to_owned).collect::<Vec<_>>();
    let drawn = drawings(ran).flat_map(|drawing| plain(behind(&drawing, "\nkeep ", &["\n", ", "])));
    let rack = ran.read("out/offcuts.csv");
    let report = ran.read("out/report.html").replace('\u{a0}', " ");
    [
        sorted(drawn.collect()),
        sorted(plain(behind(&rack, ", offcut ", &["\"", ", "]))),
        sorted(plain(behind(&report, "data-of=\"Usable size\">", &["<", " ("]))),
    ]
}

fn drawings(ran: &Ran) -> impl Iterator<Item = String> {
    names(&ran.path("out/diagrams")).into_iter().map(|name| ran.read(&format!("out/diagrams/{name}")))
}

fn plan(parts: &str, trim: &str) -> Ran {
    Nest::new()
        .file("parts.csv", format!("part,material,thickness,length,width,qty\n{parts}"))
        .file("stock.csv", STOCK)
        .args(&format!("plan parts.csv --stock stock.csv --units mm --kerf 3 --trim {trim} -o out"))
        .any_stdout()
        .exit(0)
}

#[test]
fn one_size_on_all_papers() {
    for (parts, trim, size, edged) in [
        // Behind a crosscut, at the far end and the upper edge.
        (
            "side,ply,18,1500,900,1\n",
            "10",
            "917 mm x 1200 mm",
            Some(("927 mm x 1210 mm", "factory right end and upper edge")),
        ),
        ("side,ply,18,1500,930,1\n", "0", "937 mm x 1220 mm", None),
        // A part as high as the sheet has the upper edge squared off for all of it.
        (
            "side,ply,18,1500,1200,1\n",
            "10",
            "917 mm x 1200 mm",
            Some(("927 mm x 1200 mm", "factory right end")),
        ),
        // Behind a rip.
        (
            "side,ply,18,2420,700,1\n",
            "10",
            "2420 mm x 497 mm",
            Some(("2420 mm x 507 mm", "factory upper edge")),
        ),
        // The end of a board.
        ("rail,oak,20,1000,,1\n", "10", "977 mm", Some(("987 mm", "factory right end"))),
    ] {
        let ran = plan(parts, trim);
        for sizes in everywhere(&ran) {
            assert_eq!(sizes, [size], "{parts}");
        }
        assert!(ran.stdout.contains(&format!("1  {size}  of ")), "{}", ran.stdout);
        let (rack, report, cuts) = (
            ran.read("out/offcuts.csv"),
            ran.read("out/report.html").replace('\u{a0}', " "),
            ran.read("out/cuts.csv"),
        );
        let [on, said] = match edged {
            Some((sawn, edges)) => [format!(", {edges} on"), format!("{sawn} with {edges}")],
            None => [String::new(), String::new()],
        };
        let summary = ran.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
        for paper in [&rack, &summary] {
            assert!(paper.contains(", factory ") == edged.is_some() && paper.contains(&on), "{paper}");
        }
        let row = cuts.lines().find(|row| row.contains("\"offcut\"")).unwrap();
        assert!(row.ends_with(&format!("\"{size}\",1")), "{row}");
        for paper in [&report, &cuts] {
            assert!(paper.contains("with factory ") == edged.is_some() && paper.contains(&said), "{said}");
        }
        if let Some((_, edges)) = edged {
            assert!(drawings(&ran).any(|drawing| drawing.contains(edges)), "{parts}");
        }
    }
}

#[test]
fn the_rack_counts_on_what_is_usable_whatever_the_trim() {
    let ran = plan("side,ply,18,1500,900,1\n", "10");
    let mut next = ran.then();
    for (width, rack) in [(1200, true), (1201, false)] {
        // The largest part that the offcut holds comes from it; one millimetre more does not.
        let stock = "material,form,thickness,length,width,price,grain\nply,sheet,18,2440,1300,60,length\n";
        let ran = next
            .file("next.csv", format!("part,material,thickness,length,width\nback,ply,18,917,{width}\n"))
            .file("new.csv", stock)
            .args("plan next.csv --stock new.csv --rack out/offcuts.csv --units mm --kerf 3 --trim 10")
            .any_stdout()
            .exit(0);
        assert_eq!(ran.stdout.contains(": 1 piece.\n\nTake from the rack\n"), rack, "{}", ran.stdout);
        next = ran.then();
    }
}

#[test]
fn a_plan_that_leaves_nothing_has_a_rack_for_the_next() {
    let ran = plan("side,ply,18,2440,1220,1\n", "0");
    assert_eq!(ran.read("out/offcuts.csv").lines().count(), 1);
    let words = "plan parts.csv --stock stock.csv --rack out/offcuts.csv --units mm --kerf 3 -o next";
    let ran = ran.then().args(words).any_stdout().exit(0);
    assert_eq!(ran.read("next/buy.csv"), ran.read("out/buy.csv"));
}

#[test]
fn a_chain_of_plans_loses_nothing_of_the_rack() {
    // Rows of a list as text without quotes, what stands beside for spreadsheets left off.
    let rows = |list: &str| -> Vec<String> {
        list.lines().skip(1).map(|row| row.replace('"', "").replace(",yes,", ",yes|")).collect()
    };
    let rack = "name,material,thickness,length,width,qty,called,price,grain\n\
                long,ply,18,1500,800,1,19,30,length\nleast,ply,18,710,610,3,,,width\nother,ash,9,300,200,2,,,\n";
    let stock = "material,form,thickness,length,width,price,grain\nply,sheet,18,2440,1220,60,length\n";
    let ran = Nest::new()
        .file("one.csv", "part,material,thickness,length,width\nside,ply,18,600,700\n")
        .file("none.csv", "part,material,thickness,length,width,qty,optional\nside,ply,18,2400,1200,1,yes\n")
        .file("stock.csv", stock)
        .file("rack.csv", rack)
        .args("plan one.csv --stock stock.csv --rack rack.csv --units mm -o out")
        .any_stdout()
        .any_stderr()
        .exit(0);
    assert!(!ran.stdout.contains("long"), "what is not touched is nothing left to keep: {}", ran.stdout);
    let left = rows(&ran.read("out/offcuts.csv"));
    let expected = [
        "long,ply,sheet,,18 mm,19 mm,1500 mm,800 mm,30.00,each,1,length,yes|1500,800,,,,",
        "least,ply,sheet,,18 mm,,710 mm,610 mm,,,2,width,yes|710,610,,,,",
        "other,ash,sheet,,9 mm,,300 mm,200 mm,,,2,,yes|300,200,,,,",
    ];
    assert_eq!(left, expected);
    // A plan that takes nothing hands on all of it.
    let ran = ran
        .then()
        .args("plan none.csv --stock stock.csv --rack out/offcuts.csv --units mm -o next")
        .any_stdout()
        .any_stderr()
        .exit(0);
    assert_eq!(rows(&ran.read("next/offcuts.csv")), left);
}

#[test]
fn an_offcut_squared_at_its_near_end_is_as_large_in_the_cuts_as_in_the_lists() {
    let ran = Nest::new()
        .file(
            "parts.csv",
            "part,material,thickness,length,width\ndoor,ply,18,1400,300\nside,ply,18,900,300\n",
        )
        .file("stock.csv", "material,form,thickness,length,width,grain\nply,sheet,18,2440,1220,length\n")
        .file("shop.toml", "units = \"mm\"\n[sheets]\ntrim = \"6 mm\"\nlongest_crosscut = \"600 mm\"\n")
        .args("plan parts.csv --stock stock.csv --shop shop.toml -o out")
        .any_stdout()
        .exit(0);
    // The blade is before the line: 2440 mm less 6 mm, and no kerf beside.
    let report = ran.read("out/report.html").replace('\u{a0}', " ");
    let size = "(2434 mm x 910.8 mm with factory right end and upper edge)";
    assert_eq!(report.matches(size).count(), 2, "{report}");
    assert!(
        ran.read("out/diagrams/layout-1-ply-18-mm.svg")
            .replace('\u{a0}', " ")
            .contains("(2434 mm x 910.8 mm")
    );
}

/// What a report says of what is on hand and not cut, row by row.
fn stays(ran: &Ran) -> Vec<String> {
    let report = ran.read("out/report.html").replace('\u{a0}', " ");
    let (_, list) = report.split_once("<h2>On hand and not cut</h2>").unwrap();
    let (list, _) = list.split_once("</section>").unwrap();
    let rows = list.split("<tr>").skip(2).map(|row| {
        let cells = row.split("</td>").map(|cell| cell.replace("</bdi>", ""));
        let cells = cells.map(|cell| cell.rsplit('>').next().unwrap().trim().to_owned());
        cells.filter(|cell| !cell.is_empty()).collect::<Vec<_>>().join(" | ")
    });
    rows.collect()
}

/// Whoever has a piece on the rack reads why none of it is cut, where that is certain.
#[test]
fn what_stays_on_the_rack_says_why() {
    let report = |qty: u32| {
        let ran = Nest::new()
            .file("parts.csv", format!("part,material,thickness,length,width,qty\nrail,oak,20,1000,100,{qty}\n"))
            .file(
                "stock.csv",
                "name,material,form,thickness,length,width,price,qty,on_hand\nnew,oak,board,20,2000,100,9,1,\n\
                 long,oak,board,20,2100,100,9,1,yes\nspare,oak,board,20,2000,100,9,2,yes\nshort,oak,board,20,900,100,4,3,yes\n\
                 other,ash,board,20,2000,100,9,1,yes\n",
            )
            .args("plan parts.csv --stock stock.csv --units mm --kerf 3 -o out -q --force")
            .any_stdout()
            .any_stderr();
        stays(&if qty > 5 { ran.exit(1) } else { ran.exit(0) })
    };
    let (short, other) =
        ("3 | short | 900 mm x 100 mm | no part can be cut from it", "1 | other | 2000 mm x 100 mm");
    let other = format!("{other} | no part is of this material");
    let rows = report(2);
    assert_eq!(rows.len(), 3, "{rows:?}");
    assert!(rows[0].ends_with(" | 2000 mm x 100 mm | not needed"), "{rows:?}");
    assert_eq!(rows[1..], [short.to_owned(), other.clone()]);
    // All that may hold them is cut, and still some are left over.
    assert_eq!(report(30), [short.to_owned(), other]);
}

#[test]
fn a_piece_that_cannot_hold_all_of_a_strip_is_no_help_to_it() {
    let ran = Nest::new()
        .file(
            "parts.csv",
            "part,material,thickness,length,width,qty,match\nfront,oak,18,400,200,3,row\nback,oak,18,500,300,1,\n",
        )
        .file(
            "stock.csv",
            "name,material,form,thickness,length,width,price,on_hand\nnew,oak,sheet,18,2440,1220,60,\n\
             single,oak,sheet,18,450,420,5,yes\nbit,oak,sheet,18,150,150,5,yes\n",
        )
        .args("plan parts.csv --stock stock.csv --units mm --kerf 3 -o out -q")
        .any_stdout()
        .any_stderr()
        .exit(0);
    assert_eq!(
        stays(&ran),
        [
            "1 | single | 450 mm x 420 mm | no matched strip can be cut from it whole",
            "1 | bit | 150 mm x 150 mm | no part can be cut from it"
        ]
    );
}

/// While parts are left over, nobody can say of a piece that would hold some part why it was no help.
#[test]
fn where_parts_are_left_over_no_reason_is_made_up() {
    let ran = Nest::new()
        .file(
            "parts.csv",
            "part,material,thickness,length,width,qty\nrail,oak,20,1000,100,9\npeg,oak,20,500,100,1\n",
        )
        .file(
            "stock.csv",
            "name,material,form,thickness,length,width,price,qty,on_hand\nnew,oak,board,20,2000,100,9,1,\n\
             bit,oak,board,20,600,100,4,2,yes\n",
        )
        .args("plan parts.csv --stock stock.csv --units mm --kerf 0 -o out -q")
        .any_stdout()
        .any_stderr()
        .exit(1);
    assert_eq!(stays(&ran), ["1 | bit | 600 mm x 100 mm"]);
}

#[test]
fn what_would_have_held_a_part_that_is_made_is_not_called_of_another_material() {
    let parts = "part,material,thickness,length,width\nrail,oak,20,1000,100\nleg,ash,20,1000,100\n";
    let ran = Nest::new()
        .file("parts.csv", parts)
        .file(
            "stock.csv",
            "name,material,form,thickness,length,width,price,qty,on_hand\noak,oak,board,20,2000,100,9,,\n\
             ash,ash,board,20,2000,100,9,,\nspare,oak,board,20,1100,100,9,2,yes\n",
        )
        .args("plan parts.csv --stock stock.csv --units mm --kerf 3 -o before -q")
        .any_stdout()
        .any_stderr()
        .exit(0);
    let rest =
        "plan parts.csv --stock stock.csv --units mm --kerf 3 --after before/plan.json --cut 1 -o out -q";
    let ran = ran.then().args(rest).any_stdout().any_stderr().exit(0);
    assert_eq!(
        stays(&ran),
        ["1 | spare | 1100 mm x 100 mm | no part that is still wanted can be cut from it"]
    );
}

#[test]
fn a_note_on_the_rack_says_where_to_look_and_stays_on_it() {
    let rack = "name,material,form,thickness,length,width,note\n\
                long,oak,board,20,1500,100,behind the shed\nshort,oak,board,20,300,100,=under the stairs\nbare,oak,board,20,310,100,\n";
    let ran = Nest::new()
        .file("parts.csv", "part,material,thickness,length,width,qty\nshelf,oak,20,1400,100,1\n")
        .file("stock.csv", STOCK)
        .file("rack.csv", rack)
        .args("plan parts.csv --stock stock.csv --rack rack.csv --units mm --kerf 3 -o out")
        .any_stdout()
        .stderr("")
        .exit(0);
    let report = ran.read("out/report.html");
    let taken = behind(&report, "<h3>Take from the rack</h3>", &["</table>"])[0];
    assert!(taken.contains("<bdi>long</bdi>") && taken.contains("<bdi>behind the shed</bdi>"), "{taken}");
    // The shelf is cut from it where its layout is drawn.
    assert!(report.contains(" to spare; note: behind the shed.</p>"));
    assert!(ran.read("out/diagrams/layout-1-oak-20-mm.svg").contains(">note: behind the shed<"));
    let left = ran.read("out/offcuts.csv");
    let notes: Vec<&str> = left.lines().filter_map(|line| line.rsplit(',').next()).collect();
    assert_eq!(notes, ["note", "\"'=under the stairs\"", "\"\""], "{left}");
    // What the list says comes back from it.
    let again =
        ran.then().args("plan parts.csv --stock stock.csv --rack out/offcuts.csv --units mm --kerf 3 --json");
    again.says("[\"note\", \"=under the stairs\"]").stderr("").exit(0);
}
