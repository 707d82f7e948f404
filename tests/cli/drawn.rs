//! Papers made again from a saved plan: the same bytes, other units, and never from an unsound plan.

use crate::harness::Nest;
use crate::papers::{NAMES, folder};
use std::fs;

fn plan(name: &str) -> Vec<u8> {
    fs::read(folder().join(name).join("plan.json")).unwrap()
}

#[test]
fn drawing_a_plan_again_gives_the_same_papers() {
    let ran = Nest::new()
        .args("new demo")
        .any_stdout()
        .exit(0)
        .then()
        .args(
            "plan demo/parts.csv --stock demo/stock.csv --shop demo/shop.toml --spare 10% --seed 7 --effort \
             quick -o plan",
        )
        .any_stdout()
        .exit(0);
    let ran = ran.then().args("draw plan/plan.json -o again").stdout("The papers are in again.\n").exit(0);
    let mut todo = vec![String::new()];
    let mut compared = 0;
    while let Some(name) = todo.pop() {
        let (first, again) = (ran.path(&format!("plan{name}")), ran.path(&format!("again{name}")));
        assert_eq!(crate::harness::names(&first), crate::harness::names(&again));
        for file in crate::harness::names(&first) {
            if first.join(&file).is_dir() {
                todo.push(format!("{name}/{file}"));
            } else {
                assert_eq!(
                    fs::read(first.join(&file)).unwrap(),
                    fs::read(again.join(&file)).unwrap(),
                    "{file}"
                );
                compared += 1;
            }
        }
    }
    assert!(compared >= 6, "{compared} files");
}

#[test]
fn other_units_change_what_is_printed_and_nothing_else() {
    let ran = Nest::new()
        .file("plan.json", plan("inches"))
        .args("draw plan.json --units mm -o mm")
        .stdout("The papers are in mm.\n")
        .exit(0);
    assert!(ran.read("mm/offcuts.csv").contains("\"892.175 mm\""), "{}", ran.read("mm/offcuts.csv"));
    let ran = ran.then().file("inches.json", plan("inches")).args("draw inches.json -q -o inches").exit(0);
    let exact = |folder: &str| -> Vec<String> {
        let mut reader = csv::Reader::from_path(ran.path(&format!("{folder}/cuts.csv"))).unwrap();
        let column = reader.headers().unwrap().iter().position(|name| name == "setting_mm").unwrap();
        reader.records().map(|row| row.unwrap()[column].to_string()).collect()
    };
    assert_eq!(exact("mm"), exact("inches"));
    assert!(exact("mm").len() > 10);
    ran.then().args("check mm/plan.json").says("The plan is sound").exit(0);
}

#[test]
fn every_unit_and_style_draws() {
    for name in NAMES {
        for units in ["in", "ft", "mm", "cm", "m", "1/32 in", "0.001 in"] {
            Nest::new()
                .file("plan.json", plan(name))
                .args("draw plan.json -o out -q --units")
                .arg(units)
                .exit(0);
        }
    }
    Nest::new()
        .file("plan.json", plan("feet"))
        .args("draw plan.json -o out --units cubit")
        .complains("(--units)")
        .exit(2);
}

#[test]
fn settings_that_are_rounded_say_by_how_much_and_what_prints_them_exactly() {
    let plan = |length: &str| {
        Nest::new()
            .file("parts.csv", format!("part,material,section,length\nrail,fir,1x4,{length}\n"))
            .file("stock.csv", "material,section,length\nfir,1x4,96\n")
            .args("plan parts.csv --stock stock.csv --units in -o out")
            .any_stdout()
            .exit(0)
    };
    let said = |ran: &crate::harness::Ran| {
        let summary = ran.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
        let start = summary.find("Settings marked ~");
        start.map(|start| summary[start..].split_once(". ").unwrap().0.to_owned())
    };
    assert_eq!(said(&plan("30 3/16")), None);
    let ran = plan("30 5/32");
    let exactly = "Settings marked ~ are printed smaller than they are, by up to 1/32\": `nest draw plan.json --units \
                   \"1/32 in\" -o DIR` prints them exactly";
    assert_eq!(said(&ran).as_deref(), Some(exactly));
    assert!(ran.read("out/report.html").contains("printed smaller than they are, by up to 1/32"));
    let ran = ran.then().args("draw out/plan.json -o fine -q --units").arg("1/32 in").exit(0);
    assert!(!ran.read("fine/report.html").contains("printed smaller"));
    // Decimals of an inch are as rough where there are few of them.
    let decimals = |length: &str| {
        let ran = plan(length).then().args("draw out/plan.json -o rough -q --units").arg("0.1 in").exit(0);
        ran.read("rough/report.html")
    };
    let exactly =
        "by up to 0.025&#34;: `nest draw plan.json --units &#34;0.001 in&#34; -o DIR` prints them exactly";
    assert!(decimals("30 1/8").contains(exactly), "{}", decimals("30 1/8"));
    assert!(!decimals("30 1/10").contains("printed smaller"));
    let metric = said(&plan("700 mm")).unwrap();
    let exactly = "by up to 1/16\": `nest draw plan.json --units mm -o DIR` prints them exactly, as `style = \"mm\"` in the \
                   shop file always does";
    assert!(metric.ends_with(exactly), "{metric}");
    // In neither is all of it exact.
    let finer = said(&plan("700 mm\npost,fir,1x4,30 5/32")).unwrap();
    assert!(finer.ends_with("--units \"1/64 in\" -o DIR` prints them finer"), "{finer}");
}

#[test]
fn parts_that_come_out_small_by_rounding_are_named_the_worst_first() {
    let parts = "part,material,thickness,length,width,oversize\nside,ply,18,718,559,\nback,ply,18,762,381,\n\
                 top,ply,18,1801,600,\nglued,ply,18,301,200,10\n";
    let ran = Nest::new()
        .file("parts.csv", parts)
        .file("stock.csv", "material,thickness,length,width,grain\nply,18,2440,1220,length\n")
        .file("shop.toml", "units = \"mm\"\nstyle = \"1/16 in\"\n")
        .args("plan parts.csv --stock stock.csv --shop shop.toml -o out")
        .any_stdout()
        .exit(0);
    // 600 mm are 0.06 in above 23 9/16 in, 718 mm 0.02 in above 28 1/4 in; the back is 30 x 15 in. What is glued is trimmed.
    let small = "Rounded settings: no. 3 top (1/16\" small), no. 1 side (1/32\" small).";
    let summary = ran.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(summary.contains(small), "{summary}");
    let report = ran.read("out/report.html");
    let (_, caution) = report.split_once("<h3>Rounded settings</h3>").unwrap();
    assert!(caution.contains("<bdi>top</bdi>") && !report.contains("<bdi>back</bdi> ("), "{caution}");
    let ran = ran.then().args("draw out/plan.json --units mm -o mm -q").exit(0);
    assert!(!ran.read("mm/report.html").contains("Rounded settings"));
}

#[test]
fn an_unsound_plan_is_not_drawn() {
    let refused = folder().join("../refused/kerf-forgotten.json");
    let ran = Nest::new()
        .file("plan.json", fs::read(refused).unwrap())
        .args("draw plan.json -o out")
        .says("The plan is refused: ")
        .exit(1);
    assert_eq!(ran.names(), ["plan.json"]);
    let ran = Nest::new().file("plan.json", "{").args("draw plan.json -o out").any_stderr().exit(2);
    assert_eq!(ran.names(), ["plan.json"]);
}

#[test]
fn a_folder_is_not_drawn_over_without_being_told() {
    let ran = Nest::new().file("plan.json", plan("ripped")).args("draw plan.json -o out -q").exit(0);
    let ran = ran.then().args("draw plan.json -o out").any_stderr().exit(2);
    ran.then().args("draw plan.json -o out --force -q").exit(0);
}

#[test]
fn labels_follow_the_paper_the_grid_and_the_first_free_place() {
    let first = |ran: &crate::harness::Ran| -> String {
        let html = ran.read("out/labels.html");
        html.split_once("class=\"label\" style=\"").unwrap().1.split('"').next().unwrap().to_string()
    };
    let draw = |args: &str| {
        Nest::new().file("plan.json", plan("inches")).args("draw plan.json -q -o out").args(args)
    };
    let ran = draw("").exit(0);
    assert!(ran.read("out/labels.html").contains("size: 215.90mm 279.40mm"), "letter for inches");
    assert_eq!(first(&ran), "left:calc(396*var(--u));top:calc(1270*var(--u))");
    assert!(!ran.read("out/labels.html").contains("class=\"code\""), "no code unless asked for");
    let ran = draw("--paper a4 --label-codes").exit(0);
    assert!(ran.read("out/labels.html").contains("size: 210.00mm 297.00mm"));
    let labels = ran.read("out/labels.html").matches("<article").count();
    assert_eq!(ran.read("out/labels.html").matches("class=\"code\"").count(), labels);
    // The fourth place of two columns is the second of the second row.
    let ran = draw("--paper a4 --label-start 4").exit(0);
    assert_eq!(first(&ran), "left:calc(10625*var(--u));top:calc(5325*var(--u))");
    let ran = draw("--labels 3x8 --paper a4").exit(0);
    assert!(ran.read("out/labels.html").contains("3 x 8 labels of ~2 9/16&#34; x ~1 3/8&#34; on A4"));
    draw("--labels 9x9").complains("expected labels at least ~1 9/16\" wide, but found ~").exit(2);
    draw("--labels 9x9 --units mm").complains("expected labels at least 40 mm wide").exit(2);
    draw("--labels many").complains("(--labels)").exit(2);
    draw("--paper a5").complains("expected letter or a4, but found `a5` (--paper)").exit(2);
    draw("--label-start 11").complains("expected the number of a label from 1 to 10").exit(2);
}

#[test]
fn what_the_shop_says_of_its_papers_is_kept_with_the_plan() {
    let shop = "units = \"in\"\npaper = \"a4\"\n[labels]\ngrid = \"2x4\"\nsize = [\"90 mm\", \"60 mm\"]\n\
                [limits]\nlift = \"40 lb\"\n[weight]\n\"old oak\" = \"45 lb/cu ft\"\n";
    let ran = Nest::new()
        .args("new demo")
        .any_stdout()
        .exit(0)
        .then()
        .file("shop.toml", shop)
        .args("plan demo/parts.csv --stock demo/stock.csv --shop shop.toml -q -o plan")
        .any_stdout()
        .exit(0);
    let ran = ran.then().args("draw plan/plan.json -q -o again").exit(0);
    for file in ["plan.json", "labels.html"] {
        assert_eq!(ran.read(&format!("plan/{file}")), ran.read(&format!("again/{file}")), "{file}");
    }
    assert!(ran.read("again/labels.html").contains("2 x 4 labels of ~3 9/16&#34; x ~2 3/8&#34; on A4"));
    // The same grid is the same sheet, another one is another.
    let ran = ran.then().args("draw plan/plan.json --labels 2x4 -q -o same").exit(0);
    assert_eq!(ran.read("same/labels.html"), ran.read("again/labels.html"));
    let ran = ran.then().args("draw plan/plan.json --labels 2x3 -q -o other").exit(0);
    assert!(!ran.read("other/labels.html").contains("3 9/16&#34; x ~2 3/8&#34;"));
    // A size is of the paper that the shop has.
    let letter = "units = \"in\"\npaper = \"letter\"\n[labels]\nsize = [\"4 in\", \"2 in\"]\n";
    let ran = ran.then().file("shop.toml", letter);
    let ran =
        ran.args("plan demo/parts.csv --stock demo/stock.csv --shop shop.toml -q -o letter").any_stdout();
    let ran = ran.exit(0).then().args("draw letter/plan.json --paper a4 --labels 2x7 -q -o a4").exit(0);
    assert!(ran.read("a4/labels.html").contains("2 x 7 labels of ~3 7/8&#34; x 1 1/2&#34; on A4"));
    let wrong = |shop: &str, message: &str| {
        Nest::new()
            .args("new demo")
            .any_stdout()
            .exit(0)
            .then()
            .file("shop.toml", shop)
            .args("plan demo/parts.csv --stock demo/stock.csv --shop shop.toml -q")
            .complains(message)
            .exit(2);
    };
    wrong(
        "units = \"in\"\n[labels]\nsize = [\"9\", \"2\"]\n",
        "2 columns of such labels do not fit on a page of letter",
    );
    wrong(
        "units = \"in\"\n[labels]\ngrid = \"0x5\"\n",
        "expected 1 to 50 columns and rows of labels, but found 0\n --> shop.toml:3:9\n",
    );
    wrong("units = \"in\"\n[labels]\nsize = \"4\"\n", "expected two values for `labels.size`");
    wrong(
        "units = \"in\"\n[limits]\nlift = 23\n",
        "expected a weight such as 51 lb or 23 kg, but found `23`",
    );
    wrong(
        "units = \"in\"\n[weight]\noak = \"heavy\"\n",
        "expected a weight such as 36 lb/cu ft or 700 kg/m3",
    );
    wrong("units = \"in\"\npaper = \"foolscap\"\n", "expected letter or a4");
}

/// A label names the cut that frees its piece by the number in the list of cuts.
#[test]
fn labels_name_the_cut_that_frees_their_piece() {
    let (mut cut, mut left) = (0, 0);
    for name in NAMES {
        let ran = Nest::new().file("plan.json", plan(name)).args("draw plan.json -q -o out").exit(0);
        let mut freed: Vec<(String, String)> = Vec::new();
        let mut reader = csv::Reader::from_path(ran.path("out/cuts.csv")).unwrap();
        let mut last = String::new();
        for row in reader.records().map(Result::unwrap) {
            let (layout, cut, kind, part) = (&row[0], &row[4], &row[5], &row[13]);
            let how = match kind {
                "as left" => format!("layout {layout}, left by cut {last}"),
                _ => format!("layout {layout}, cut {cut}"),
            };
            if !cut.is_empty() {
                last = cut.to_string();
            }
            freed.push((how, format!("part {part}")));
        }
        let html = ran.read("out/labels.html");
        let lines: Vec<&str> = html.lines().filter_map(|line| line.split("<bdi>").nth(1)).collect();
        // Of each board the labels come in the order of its cuts.
        let mut before = (String::new(), 0);
        for from in lines.iter().filter(|line| line.starts_with("layout ")) {
            let from = from.replace("left by ", "");
            let Some((layout, rest)) = from.split_once("cut ") else { continue };
            let rest = rest.split(['<', ';']).next().unwrap();
            let (number, board) = rest.split_once(',').unwrap_or((rest, ""));
            let now = (format!("{layout}{board}"), number.parse::<u32>().unwrap());
            assert!(before.0 != now.0 || before.1 <= now.1, "{name}: {from}");
            before = now;
        }
        for pair in lines.windows(2).filter(|pair| pair[0].starts_with("part ") && pair[1].contains("cut ")) {
            let part = pair[0].split(" –").next().unwrap();
            let how = pair[1].split("</bdi>").next().unwrap();
            let how = how.split("; ").next().unwrap();
            let how = match how.match_indices(", ").nth(1) {
                Some((copy, _)) => &how[..copy],
                None => how,
            };
            assert!(freed.contains(&(how.to_string(), part.to_string())), "{name}: {part}, {how}");
            if how.contains("left by") { left += 1 } else { cut += 1 }
        }
    }
    assert!(cut > 60 && left > 3, "{cut} {left}");
}

/// A note stands on the label as far as it has room, and never makes the rest unreadable.
#[test]
fn notes_stand_on_labels_and_in_the_list_of_cuts() {
    let long = "paint it twice before it is glued in and mind the edge, ".repeat(9);
    let ran = Nest::new()
        .file(
            "parts.csv",
            format!(
                "part,material,section,length,qty,fit,job,note\nshelf,pine,1x12,30,1,,hall,\nnailer,pine,1x12,20,1,yes,hall,\
                 use the knotty one\nside,pine,1x12,16,1,,hall,\"{long}\"\n"
            ),
        )
        .file("stock.csv", "material,section,length,price\npine,1x12,8',21\n")
        .args("plan parts.csv --stock stock.csv --units in --labels 3x8 --paper a4 -q -o out")
        .any_stdout()
        .exit(0);
    let labels = ran.read("out/labels.html");
    assert!(labels.contains("<bdi>use the knotty one</bdi>"), "{labels}");
    let lines = labels.split("<bdi>").map(|line| line.split("</bdi>").next().unwrap());
    let long: Vec<&str> = lines.filter(|line| line.starts_with("paint") || line.ends_with('…')).collect();
    assert!(long.len() <= 2 && long[0].starts_with("paint it"), "{long:?}");
    assert!(long.last().unwrap().ends_with('…'), "{long:?}");
    // Letters of the small texts, of the label without a note first.
    let letters: Vec<i64> = labels
        .split("<p style=\"--h:")
        .skip(1)
        .filter(|text| text.contains("<bdi>pine 1x12</bdi>"))
        .map(|text| text.split_once("--f:").unwrap().1.split('"').next().unwrap().parse().unwrap())
        .collect();
    assert_eq!(letters.len(), 3, "{labels}");
    assert_eq!(letters[0], letters[2], "{labels}");
    let cuts = ran.read("out/cuts.csv");
    assert!(cuts.contains("\"cut to fit: this is the most it can be; use the knotty one\""), "{cuts}");
}

#[test]
fn what_the_program_writes_is_in_the_wanted_units_on_all_papers_and_what_the_user_wrote_stays() {
    let ran = Nest::new()
        .file(
            "parts.csv",
            "part,material,thickness,length,width,qty,length_edges\nside,birch,3/4,30,20,2,1\nback,mdf,1/2,30,20,1,\n\
             lid,Tough 5/8\" board,,30,20,1,\n",
        )
        .file(
            "stock.csv",
            "name,material,form,thickness,length,width,price,grain\n,birch,sheet,3/4,96,48,60,none\n,birch,sheet,3/4,96,48,60,none\n\
             My 1/2\" mdf,mdf,sheet,1/2,97,49,40,none\n,Tough 5/8\" board,sheet,,96,48,9,none\n",
        )
        .args("plan parts.csv --stock stock.csv --units in --trim 1/4 --effort quick -o plan")
        .any_stdout()
        .exit(0)
        .then()
        .args("draw plan/plan.json --units mm -q -o mm")
        .exit(0)
        .then()
        .args("draw mm/plan.json --units in -q -o back")
        .exit(0);
    let files = |folder: &str| {
        let names = crate::harness::names(&ran.path(folder)).into_iter().filter(|name| name != "diagrams");
        let drawings = crate::harness::names(&ran.path(&format!("{folder}/diagrams")));
        names.chain(drawings.into_iter().map(|name| format!("diagrams/{name}"))).collect::<Vec<_>>()
    };
    for file in files("mm").into_iter().filter(|name| !name.ends_with(".json")) {
        let mut paper = ran.read(&format!("mm/{file}")).replace("&#34;", "\"").replace("\"\"", "\"");
        for written in ["My 1/2\" mdf", "Tough 5/8\" board"] {
            paper = paper.replace(written, "");
        }
        // A quote behind a digit is an inch, but for attributes and cells, which end in one.
        let inches = ["3/4\"", "1/2\"", "1/4\"", "96\" x", "97\" x"];
        assert!(!inches.iter().any(|inch| paper.contains(inch)), "{file}");
    }
    let [report, metric] = ["plan", "mm"].map(|folder| ran.read(&format!("{folder}/report.html")));
    assert!(metric.contains("<h2><bdi>birch 19.05 mm</bdi></h2>"));
    let known_by = |report: &str| report.split_once("data-plan=\"").unwrap().1[..16].to_owned();
    assert_eq!(known_by(&report), known_by(&metric), "ticks stay");
    assert_eq!(files("plan"), files("back"));
    for file in files("plan") {
        assert_eq!(ran.read(&format!("plan/{file}")), ran.read(&format!("back/{file}")), "{file}");
    }
}

/// Ticks on the report and codes of labels last as long as what is cut stays the same.
#[test]
fn a_plan_is_known_by_what_is_cut_and_not_by_prices_or_notes() {
    let known = |name: &str, note: &str, price: &str| {
        let ran = Nest::new()
            .file("parts.csv", format!("part,material,section,length,note\n{name},fir,1x4,30,{note}\n"))
            .file("stock.csv", format!("material,section,length,price,note\nfir,1x4,96,{price},{note}\n"))
            .args("plan parts.csv --stock stock.csv --units in -q -o out")
            .any_stdout()
            .exit(0);
        let report = ran.read("out/report.html");
        let (_, found) = report.split_once("data-plan=\"").unwrap();
        found.split('"').next().unwrap().to_owned()
    };
    let one = known("rail", "", "5");
    assert_eq!(known("rail", "knots down", "6.50"), one);
    assert_ne!(known("stile", "", "5"), one);
}
