//! What the shop reads first on the report: notes of what is bought, settings side by side, jobs that still owe something,
//! and why a piece of the rack is left alone.

use crate::harness::{Nest, Ran};

fn plan(parts: &str, stock: &str, more: &str) -> Ran {
    Nest::new()
        .file("parts.csv", format!("part,material,thickness,length,width,qty,optional,job\n{parts}"))
        .file(
            "stock.csv",
            format!("name,material,form,thickness,length,width,price,qty,on_hand,note\n{stock}"),
        )
        .args(&format!("plan parts.csv --stock stock.csv --units mm {more} -q -o out"))
        .any_stdout()
        .exit(0)
}

#[test]
fn notes_of_what_is_bought_are_on_the_buying_list() {
    let parts = "back,ply,18,700,400,2,,\n";
    let noted = plan(parts, "birch,ply,sheet,18,2500,1250,60,,,order by noon\n", "");
    let report = noted.read("out/report.html");
    assert!(
        report.contains("<td class=\"notes\" data-of=\"Note\"><bdi>order by noon</bdi></td>"),
        "{report}"
    );
    let buy = noted.read("out/buy.csv");
    assert!(buy.lines().next().unwrap().ends_with(",note"), "{buy}");
    assert!(buy.lines().nth(1).unwrap().ends_with(",\"order by noon\""), "{buy}");
    let plain = plan(parts, "birch,ply,sheet,18,2500,1250,60,,,\n", "").read("out/report.html");
    assert!(!plain.contains("<th scope=\"col\">Note</th>"), "{plain}");
}

#[test]
fn settings_side_by_side_have_a_head_each() {
    let sizes = ["900,300", "800,280", "700,260", "650,240", "600,220", "550,200"];
    let rows: String = sizes.iter().map(|size| format!("shelf,ply,18,{size},4,,\n")).collect();
    let report = plan(&rows, "birch,ply,sheet,18,2500,1250,60,,,\n", "").read("out/report.html");
    let (_, settings) = report.split_once("Settings of stop and fence that recur").unwrap();
    let (settings, _) = settings.split_once("</section>").unwrap();
    let rows = settings.matches("data-of=\"Setting\"").count();
    assert!((5..=20).contains(&rows), "{settings}");
    assert_eq!(settings.matches("<thead>").count(), 2, "{settings}");
    let (first, _) = settings.split_once("</table>").unwrap();
    assert_eq!(first.matches("data-of=\"Setting\"").count(), rows.div_ceil(2), "{settings}");
}

#[test]
fn a_job_that_is_made_is_named_and_owes_nothing_any_more() {
    let parts = "side,oak,18,700,50,1,,hall\nrail,pine,18,600,50,1,,attic\ncap,pine,18,500,50,1,,loft\n";
    let stock = "oak,oak,board,18,1000,50,9,,,\npine,pine,board,18,800,50,5,,,\n";
    let all = plan(parts, stock, "");
    let args = "plan parts.csv --stock stock.csv --units mm -q --after out/plan.json --cut 1 -o rest";
    let report = all.then().args(args).any_stdout().exit(0).read("rest/report.html");
    let (head, _) = report.split_once("</header>").unwrap();
    assert!(
        head.contains("2 pieces for <bdi>attic</bdi>, <bdi>loft</bdi>. 1 piece was made before."),
        "{head}"
    );
    let (_, owed) = report.split_once("What each job owes now").unwrap();
    let (owed, _) = owed.split_once("</table>").unwrap();
    assert_eq!(owed.matches("data-of=\"Job\"").count(), 3, "{owed}");
    let hall = "<bdi>hall</bdi></td><td class=\"n\" data-of=\"For\">0 pieces</td><td class=\"n\" data-of=\"Cost\">0.00</td>";
    assert!(owed.contains(hall), "{owed}");
}

#[test]
fn what_is_not_needed_is_known_of_one_material_where_another_lacks_something() {
    let parts = "side,oak,18,700,50,1,,\nrail,pine,18,600,50,1,,\npeg,pine,18,790,50,1,yes,\n";
    let rows = "oak,oak,board,18,1000,50,9,,,\npine,pine,board,18,800,50,5,,,\n";
    let oak = "oak rest,oak,board,18,720,50,,2,yes,\n";
    let pine = "pine rest,pine,board,18,650,50,,2,yes,\n";
    let why = |rack: &str| {
        let report = plan(parts, &format!("{rows}{rack}"), "").read("out/report.html");
        let (_, left) = report.split_once("On hand and not cut").unwrap();
        left.split_once("</table>").unwrap().0.to_owned()
    };
    assert!(why(oak).contains("<td data-of=\"Why\">not needed</td>"), "{}", why(oak));
    // A column that says nothing is left out.
    assert!(!why(pine).contains("Why"), "{}", why(pine));
}

/// A board is no sheet, though both are cut from one material.
#[test]
fn boards_and_sheets_of_one_material_are_counted_apart() {
    let ran = Nest::new()
        .file(
            "parts.csv",
            "part,material,thickness,length,width,qty\nrail,mdf,3/4,60,3,3\nside,mdf,3/4,40,20,2\n\
             long,mdf,3/4,110,3,1\nsmall,mdf,3/4,19,9,1\n",
        )
        .file(
            "stock.csv",
            "name,material,form,thickness,length,width,price,qty,on_hand,grain\nsheet,mdf,sheet,3/4,96,48,30,,,none\n\
             strip,mdf,board,3/4,120,3,2,,,\nrack,mdf,sheet,3/4,20,10,,1,yes,none\n",
        )
        .args("plan parts.csv --stock stock.csv --units in -o out")
        .says("1 board and 1 sheet")
        .exit(0);
    let facts = ran.read("out/report.html");
    assert!(facts.contains("1 board and 1 sheet"), "{facts}");
    assert!(facts.contains("<dt>Boards</dt><dd>1</dd>\n<dt>Sheets</dt><dd>1</dd>"), "{facts}");
}

/// What is not made has no blank that could be cut to fit.
#[test]
fn only_what_is_made_is_measured_in_place() {
    let ran = Nest::new()
        .file(
            "parts.csv",
            "part,material,length,width,qty,fit\nshelf,ply,2400,1200,1,\nlast,ply,1000,300,1,yes\n",
        )
        .file("stock.csv", "material,length,width,thickness,price,grain,qty\nply,2440,1220,18,10,none,1\n")
        .args("plan parts.csv --stock stock.csv --units mm -q -o out")
        .any_stdout()
        .exit(1);
    let report = ran.read("out/report.html");
    assert!(report.contains("0 of 1") && !report.contains("Measure in place"), "{report}");
}

/// What stands on the rack needs no board, but perhaps band, which is not said to be bought or not.
#[test]
fn what_is_not_bought_leaves_room_for_edge_band() {
    let ran = Nest::new()
        .file("parts.csv", "part,material,length,width,qty,length_edges\nshelf,ply,500,300,1,1\n")
        .file("stock.csv", "material,length,width,thickness,grain,on_hand\nply,2440,1220,18,none,yes\n")
        .args("plan parts.csv --stock stock.csv --units mm -q -o out")
        .any_stdout()
        .exit(0);
    let report = ran.read("out/report.html");
    assert!(
        report.contains("No board and no sheet is to be bought.") && report.contains("Edge band"),
        "{report}"
    );
    assert!(!report.contains("Nothing is to be bought"), "{report}");
}

/// A file that no browser could open helps nobody, but whoever counts on a label for each piece is told.
#[test]
fn pieces_without_a_label_are_told_of() {
    let plan = |qty: u32| {
        Nest::new()
            .file("parts.csv", format!("part,material,section,length,qty\npeg,fir,1x4,30,{qty}\n"))
            .file("stock.csv", "material,section,length,price\nfir,1x4,96,5\n")
            .args("plan parts.csv --stock stock.csv --units in --effort none -o out")
            .any_stdout()
    };
    plan(5000).exit(0);
    let told = "warning: 1 piece has no label: labels.html holds the first 5000, in cutting order\n";
    let ran = plan(5001).stderr(told).exit(0);
    assert!(ran.read("out/labels.html").contains("this file holds the first 5000"));
    let ran = ran.then().args("draw out/plan.json -o again").any_stdout().stderr(told).exit(0);
    ran.then().args("draw out/plan.json -o quiet -q").exit(0);
}
