//! What the saw can do beyond one cut after the other, said on all papers: a cut that the fence does not reach is called
//! so, and no other is; what is cut as a stack says how many at a time.

use crate::harness::Nest;

#[test]
fn an_edge_cut_with_a_guide_has_a_word_of_its_own() {
    for (reach, upper, named) in [("30", "with a guide", 1), ("60", "square", 0)] {
        let ran = Nest::new()
            .file("parts.csv", "part,material,thickness,length,width\ndoor,birch,3/4,40,45 1/2\n")
            .file("stock.csv", "material,form,thickness,length,width,grain\nbirch,sheet,3/4,48,46,none\n")
            .file("shop.toml", format!("units = \"in\"\n[sheets]\ntrim = \"1/4\"\nfence_reach = {reach}\n"))
            .args("plan parts.csv --stock stock.csv --shop shop.toml -o out")
            .any_stdout()
            .exit(0);
        let mut cuts = csv::Reader::from_path(ran.path("out/cuts.csv")).unwrap();
        let kinds: Vec<String> = cuts.records().map(|row| row.unwrap()[5].to_string()).collect();
        assert_eq!(kinds, ["square", "square", upper, "crosscut"]);
        for paper in ["cuts.csv", "report.html", "diagrams/layout-1-birch-3-4.svg"] {
            assert_eq!(ran.read(&format!("out/{paper}")).matches("with a guide").count(), named, "{paper}");
        }
    }
}

/// What falls off along a line is an edge only where nothing else does: of waste all papers say so, and how large it is.
#[test]
fn waste_that_is_cut_away_along_a_line_is_not_called_an_edge() {
    let ran = Nest::new()
        .file(
            "parts.csv",
            "part,material,thickness,length,width\ndoor,birch,18,1800,900\nstrip,birch,18,1800,60\n",
        )
        .file("stock.csv", "material,form,thickness,length,width,grain\nbirch,sheet,18,1820,1220,length\n")
        .file("shop.toml", "units = \"mm\"\n[sheets]\ntrim = 10\nkerf = 3\nfence_reach = 700\n")
        .args("plan parts.csv --stock stock.csv --shop shop.toml -o out")
        .any_stdout()
        .exit(0);
    let mut cuts = csv::Reader::from_path(ran.path("out/cuts.csv")).unwrap();
    let rows = cuts.records().map(|row| row.unwrap());
    let guided: Vec<[String; 4]> = rows
        .filter(|row| &row[5] == "with a guide")
        .map(|row| [6, 8, 12, 24].map(|at| row[at].to_owned()))
        .collect();
    // 1210 mm less the strip, the door and two kerfs; the factory edge is on it.
    assert_eq!(guided, [["900 mm", "beyond the line", "waste", "1800 mm x 244 mm"]]);
    for paper in ["report.html", "diagrams/layout-1-birch-18-mm.svg"] {
        let text = ran.read(&format!("out/{paper}")).replace('\u{a0}', " ");
        assert!(text.contains("cut the waste away, line at 900 mm"), "{text}");
        assert!(!text.contains("square the upper edge off"), "{text}");
    }
}

/// Nobody crosscuts a whole sheet on a saw that does not: the ends come off strip by strip, and what is too wide even then
/// is said to need a guide.
#[test]
fn ends_that_the_saw_does_not_crosscut_are_squared_off_strip_by_strip() {
    let cut = |longest: &str| {
        let ran = Nest::new()
            .file(
                "parts.csv",
                "part,material,thickness,length,width,qty\nside,birch,3/4,47,10,2\ntop,birch,3/4,47,26,1\n",
            )
            .file("stock.csv", "material,form,thickness,length,width,grain\nbirch,sheet,3/4,48,48,length\n")
            .file(
                "shop.toml",
                format!("units = \"in\"\n[sheets]\ntrim = \"1/2\"\nlongest_crosscut = {longest}\n"),
            )
            .args("plan parts.csv --stock stock.csv --shop shop.toml -o out")
            .any_stdout()
            .exit(0);
        let mut cuts = csv::Reader::from_path(ran.path("out/cuts.csv")).unwrap();
        let kinds: Vec<String> = cuts.records().map(|row| row.unwrap()[5].to_string()).collect();
        let said = ran.read("out/report.html").matches("(with a guide: longer than the saw cuts)").count();
        (kinds.join(" "), said)
    };
    let whole = "square square square rip rip rip";
    assert_eq!(cut("48"), (whole.into(), 0));
    let (kinds, said) = cut("25");
    assert_eq!(said, 2, "{kinds}");
    assert_eq!(kinds, "square rip rip rip with a guide with a guide as left square square crosscut crosscut");
}

#[test]
fn sheets_cut_alike_say_how_many_go_on_a_stack() {
    // Four sheets alike and one more.
    for (height, thickness, said, stack) in [
        ("2 1/4", "3/4", Some("cut 3 at a time, as a stack, if the manual of the saw allows it"), "3"),
        ("12", "3/4", Some("cut 4 at a time, as a stack, if the manual of the saw allows it"), "4"),
        ("1 7/16", "3/4", None, "1"),
    ] {
        let ran = Nest::new()
            .file("parts.csv", format!("part,material,thickness,length,width,qty\ntop,birch,{thickness},90,44,4\nshelf,birch,{thickness},60,30,1\n"))
            .file("stock.csv", format!("material,thickness,length,width,grain\nbirch,{thickness},96,48,length\n"))
            .file("shop.toml", format!("units = \"in\"\n[sheets]\nstack_height = \"{height}\"\n"))
            .args("plan parts.csv --stock stock.csv --shop shop.toml -o out")
            .any_stdout()
            .exit(0);
        let summary = ran.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(summary.contains(&format!("stack height {height}\"")), "{summary}");
        let drawings = ran.path("out/diagrams");
        let drawn: String = (crate::harness::names(&drawings).iter())
            .map(|name| std::fs::read_to_string(drawings.join(name)).unwrap())
            .collect();
        for paper in [ran.read("out/report.html"), drawn] {
            assert_eq!(paper.matches("at a time").count(), usize::from(said.is_some()), "{height}");
            assert!(said.is_none_or(|said| paper.contains(said)), "{height}");
        }
        // The size stands once on the buying list, though the name that was made for the stock holds it.
        let bought = "<bdi>birch 3/4&#34;</bdi></td><td data-of=\"Size\">96&#34; x 48&#34;</td>";
        assert!(ran.read("out/report.html").contains(bought));
        let cuts = ran.read("out/cuts.csv");
        let column = |row: &str| row.rsplit(',').next().unwrap_or_default().to_owned();
        let of_four = cuts.lines().filter(|row| row.starts_with("1,4,")).map(column).collect::<Vec<_>>();
        let alone = cuts.lines().filter(|row| row.starts_with("2,1,")).map(column).collect::<Vec<_>>();
        assert_eq!(column(cuts.lines().next().unwrap()), "stack");
        assert!(!of_four.is_empty() && of_four.iter().all(|found| found == stack), "{height}: {of_four:?}");
        assert!(!alone.is_empty() && alone.iter().all(|found| found == "1"), "{height}: {alone:?}");
    }
}
