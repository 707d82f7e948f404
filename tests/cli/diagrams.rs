//! Drawings are found under the number that their layout has on all other papers, and sort as the layouts do.

use crate::drawings::{all_is_well, full, solved};
use crate::harness::{Nest, names};
use nest_cli::input::json::read_plan;
use nest_cli::output::drawing::{Look, Shape, pages};

#[test]
fn files_are_named_after_the_layouts_on_them() {
    // Ten boards, which share pages, and two sheets with more cuts than one page holds.
    let mut parts = String::from("part,material,thickness,length,width\n");
    for row in 0..10 {
        parts += &format!("rail,oak,3/4,{},\n", 91 - row);
    }
    for row in 0..240 {
        let (length, width) = (7 + row % 7, 1 + row % 3);
        parts += &format!("shelf,ply,3/4,{length} {}/8,{width} {}/8\n", row % 8, row % 5);
    }
    let ran = Nest::new()
        .file("parts.csv", parts)
        .file(
            "stock.csv",
            "material,form,thickness,length,width,grain\noak,board,3/4,96,2,\nply,sheet,3/4,96,48,none\n",
        )
        .args("plan parts.csv --stock stock.csv --units in --effort none -q -o out")
        .any_stdout()
        .exit(0);
    let drawings = names(&ran.path("out/diagrams"));
    let boards = ["01-to-04", "05-to-08", "09-to-10"].map(|numbers| format!("layout-{numbers}-oak-3-4.svg"));
    let sheets = [("layout-11", 5), ("layout-12", 7), ("settings-11-to-12", 2)];
    let sheets = sheets
        .into_iter()
        .flat_map(|(stem, pages)| (1..=pages).map(move |page| format!("{stem}-ply-3-4-page-{page}.svg")));
    assert_eq!(drawings, boards.into_iter().chain(sheets).collect::<Vec<_>>());
    for name in drawings.iter().filter(|name| name.starts_with("layout-")) {
        let number = name.split('-').nth(1).unwrap().trim_start_matches('0');
        let drawing = ran.read(&format!("out/diagrams/{name}"));
        assert!(drawing.contains(&format!("\nLayout {number}")), "{name}");
    }
    // What a shorter plan does not need is gone.
    let ran = ran
        .then()
        .file("few.csv", "part,material,thickness,length,width\nrail,oak,3/4,91,\n")
        .args("plan few.csv --stock stock.csv --units in -q -o out --force")
        .any_stdout()
        .exit(0);
    assert_eq!(names(&ran.path("out/diagrams")), ["layout-1-oak-3-4.svg"]);
    // What is not known to be ours stays, and is named.
    let again = "plan few.csv --stock stock.csv --units in -o out --force";
    let ran = ran
        .then()
        .file("out/diagrams/oak-1.svg", "<svg/>")
        .file("out/diagrams/notes.txt", "mine")
        .args(again)
        .any_stdout()
        .stderr(
            "warning: not of this plan, but beside its drawings in out/diagrams: oak-1.svg; take them out before somebody \
             cuts by them\n",
        )
        .exit(0);
    assert_eq!(names(&ran.path("out/diagrams")), ["layout-1-oak-3-4.svg", "notes.txt", "oak-1.svg"]);
    let ran = ran
        .then()
        .args("draw out/plan.json -o out --force")
        .any_stdout()
        .complains(": oak-1.svg; take")
        .exit(0);
    // A name that is nearly ours is not ours.
    let notes = "layout-1-my-notes.svg";
    let ran = ran.then().file(&format!("out/diagrams/{notes}"), "<svg/>").args(again).any_stdout();
    let ran = ran.complains(": layout-1-my-notes.svg and oak-1.svg; take").exit(0);
    assert_eq!(ran.read(&format!("out/diagrams/{notes}")), "<svg/>");
    // Nor is all that an unreadable plan.json may have stood for, and what lost its name is kept elsewhere.
    let ran =
        ran.then().file("out/plan.json", "{").file("out/diagrams/layout-9-ash.svg", "<svg/>").args(again);
    let ran = ran
        .any_stdout()
        .complains(": layout-1-my-notes.svg, layout-9-ash.svg and oak-1.svg; take")
        .complains("/old/diagrams/layout-1-oak-3-4.svg")
        .exit(0);
    assert!(ran.path("out/diagrams/layout-9-ash.svg").exists());
}

#[test]
fn what_has_the_name_of_a_paper_is_kept_and_its_place_told() {
    let parts = "part,material,length\nrail,oak,91\n";
    let ran = Nest::new().file("parts.csv", parts).file("stock.csv", "material,length\noak,96\n");
    let ran = ran.args("plan parts.csv --stock stock.csv --units in -q -o out").any_stdout().exit(0);
    std::fs::remove_file(ran.path("out/report.html")).unwrap();
    let ran =
        ran.then().file("out/report.html/letter.txt", "dear").args("draw out/plan.json -q -o out --force");
    let ran = ran.complains("warning: could not be left beside the papers, and is kept here: ").exit(0);
    let path = ran.stderr.trim_end().rsplit(' ').next().unwrap();
    assert_eq!(ran.read(&format!("{path}/letter.txt")), "dear");
    assert!(ran.path("out/report.html").is_file());
}

#[test]
fn strips_too_narrow_for_their_size_have_it_beside_them() {
    for (units, size) in [("in", "3/4\""), ("mm", "~19")] {
        let ran = Nest::new()
            .file(
                "parts.csv",
                "part,material,thickness,length,width,qty\nlath,ply,3/4 in,94 in,3/4 in,1\nside,ply,3/4 in,94 in,30 in,1\n",
            )
            .file(
                "stock.csv",
                "material,form,thickness,length,width,grain\nply,sheet,3/4 in,96 in,48 in,length\n",
            )
            .args(&format!("plan parts.csv --stock stock.csv --units {units} -q -o out"))
            .any_stdout()
            .exit(0);
        let drawings = names(&ran.path("out/diagrams"));
        let drawing = ran.read(&format!("out/diagrams/{}", drawings[0]));
        assert!(drawing.contains(&format!("\n{size}\n")), "{drawing}");
    }
}

#[test]
fn settings_get_no_page_where_a_drawing_can_give_way_or_a_list_has_them() {
    let parts = |qty| {
        format!(
            "part,material,thickness,length,width,qty\nside,ply,3/4,40,20,{qty}\nend,ply,3/4,20,11,{qty}\n"
        )
    };
    let mut nest = Nest::new()
        .file("stock.csv", "material,form,thickness,length,width,grain\nply,sheet,3/4,96,48,none\n");
    for (qty, expected) in
        [(3, &["layout-1-ply-3-4.svg"][..]), (7, &["layout-1-ply-3-4.svg", "layout-2-ply-3-4.svg"])]
    {
        let ran = nest
            .file("parts.csv", parts(qty))
            .args("plan parts.csv --stock stock.csv --units in -q -o out --force")
            .any_stdout()
            .exit(0);
        assert_eq!(names(&ran.path("out/diagrams")), expected);
        // The settings of several sheets stand somewhere.
        let last = ran.read(&format!("out/diagrams/{}", expected.last().unwrap()));
        assert_eq!(last.contains("Settings, all sheets"), qty > 3);
        nest = ran.then();
    }
}

#[test]
fn settings_that_one_row_cannot_hold_have_several() {
    let parts = "part,material,thickness,length,width,qty\nrail,mdf,3/4,60,3,3\nside,mdf,3/4,40,20,2\n\
                 long,mdf,3/4,110,3,1\nsmall,mdf,3/4,19,9,1\n";
    let stock = "name,material,form,thickness,length,width,price,qty,on_hand,grain\n\
                 sheet,mdf,sheet,3/4,96,48,30,,,none\nstrip,mdf,board,3/4,120,3,2,,,\n\
                 rack,mdf,sheet,3/4,20,10,,1,yes,none\n";
    let shop = "units = \"in\"\n[boards]\nkerf = \"1/8\"\ntrim = [\"1/4\", \"1/2\"]\n[sheets]\nkerf = \"3/32\"\n\
                trim = [\"3/16\", \"5/16\", \"7/16\", \"9/16\"]\n";
    let ran = Nest::new().file("parts.csv", parts).file("stock.csv", stock).file("shop.toml", shop);
    let ran = ran.args("plan parts.csv --stock stock.csv --shop shop.toml --json").any_stdout().exit(0);
    let batch = read_plan(ran.stdout.as_bytes()).unwrap().batch.check().unwrap();
    let solution = solved(&batch);
    all_is_well(&batch, &solution);
    let report = full(&batch, &solution);
    for page in report.sections.iter().flat_map(pages) {
        let frames = page
            .shapes
            .iter()
            .filter(|s| matches!(s, Shape::Rect { look: Look::Frame, y, .. } if *y > page.height - 3_000));
        assert!(frames.count() > 1, "{}", page.title);
    }
}
