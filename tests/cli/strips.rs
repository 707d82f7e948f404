//! Narrow pieces on drawings: each is named on itself where a line of letters has room, and words give way to the numbers of
//! cuts.

use crate::harness::{Nest, Ran};

fn plan(parts: &str, stock: &str, flags: &str) -> Ran {
    Nest::new()
        .file("parts.csv", format!("part,material,thickness,length,width,qty,grain,job\n{parts}"))
        .file("stock.csv", format!("material,form,thickness,length,width,price,grain\n{stock}"))
        .args(&format!("plan parts.csv --stock stock.csv {flags} -q -o out"))
        .any_stdout()
        .exit(0)
}

/// Texts of the drawings in the report, without marks that keep names apart.
fn lettered(ran: &Ran) -> Vec<String> {
    let report = ran.read("out/report.html");
    let plain = |text: &str| {
        let text = text.replace("&quot;", "\"").replace(['\u{2068}', '\u{2069}'], "");
        text.replace('\u{a0}', " ").trim().to_string()
    };
    let inside =
        report.split("<text").skip(1).filter_map(|text| text.split_once('>')?.1.split_once("</text>"));
    inside.map(|(text, _)| plain(text)).collect()
}

#[test]
fn a_strip_has_all_there_is_to_say_in_a_row() {
    let parts = "rail,ply,18,864,100,4,length,kitchen\nback,ply,18,864,700,1,length,hall\n";
    let texts = lettered(&plan(parts, "ply,sheet,18,2500,1250,60,length\n", "--units mm"));
    let rails = texts.iter().filter(|text| *text == "1 rail · kitchen: 864 mm x 100 mm").count();
    assert_eq!(rails, 4, "{texts:?}");
}

#[test]
fn words_give_way_to_the_numbers_of_cuts() {
    let parts = "picket,cedar,3/4,36,2 1/2,4,,rail\nbench slat,cedar,3/4,46,2 1/2,4,,bench\n";
    let ran = plan(parts, "cedar,board,3/4,120,5 1/2,19.5,\n", "--units in --kerf 1/8 --trim 1/4");
    let report = ran.read("out/report.html");
    assert!(!report.contains("no room for the number"), "a cut has no number");
    // What the job is stands in the key then, and the names are still on the pieces.
    let texts = lettered(&ran);
    let named = |name: &str| texts.iter().filter(|text| text.starts_with(name)).count();
    assert_eq!([named("1 picket"), named("2 bench slat")], [4, 4], "{texts:?}");
}

/// Where the numbers of cuts stand on the drawing of the only layout in the report.
fn numbers(ran: &Ran) -> Vec<(usize, [i64; 2])> {
    let report = ran.read("out/report.html");
    let value = |text: &str, name: &str| -> i64 {
        text.split_once(&format!(" {name}=\"")).unwrap().1.split_once('"').unwrap().0.parse().unwrap()
    };
    let circle = |text: &str| {
        let number = text.split_once("<text")?.1.split_once('>')?.1.split_once("</text>")?.0;
        Some((number.trim().parse().ok()?, ["cx", "cy"].map(|name| value(text, name))))
    };
    report.split("<circle").skip(1).filter_map(circle).collect()
}

#[test]
fn cuts_between_strips_at_the_edge_of_a_sheet_have_numbers() {
    let parts = "side,ply,18,720,559.5,2,length,\nfiller,ply,18,720,45.5,2,length,\nbottom,ply,18,564,559.5,4,length,\n\
                 rail,ply,18,564,90,3,length,\nshelf,ply,18,560,539.5,2,length,\n";
    let ran = plan(parts, "ply,sheet,18,2500,1250,60,length\n", "--units mm --kerf 3.2 --trim 10 --stages 2");
    assert!(!ran.read("out/report.html").contains("no room for the number"), "a cut has no number");
}

#[test]
fn the_number_of_a_cut_stands_on_no_other() {
    let fronts =
        |side: &str| format!("drawer front {side},ply,3/4,17,7 5/16,3,width,2,2,tape,fronts {side}\n");
    let parts = format!(
        "part,material,thickness,length,width,qty,grain,length_edges,width_edges,band,match\n\
         side,ply,3/4,34 1/2,23 1/4,2,length,,,,\nbottom,ply,3/4,34 1/2,22 1/2,2,length,,,,\n{}{}",
        fronts("left"),
        fronts("right")
    );
    let ran = Nest::new()
        .file("parts.csv", parts)
        .file(
            "stock.csv",
            "material,form,thickness,length,width,price,grain\nply,sheet,3/4,96,48,92,length\n",
        )
        .file(
            "shop.toml",
            "units = \"in\"\n[sheets]\ntrim = \"1/4\"\n[band.tape]\nthickness = \"1/64\"\ndeduct = \"0\"\n",
        )
        .args("plan parts.csv --stock stock.csv --shop shop.toml -q -o out")
        .any_stdout()
        .exit(0);
    let numbers = numbers(&ran);
    let at = |wanted: usize| numbers.iter().find(|(number, _)| *number == wanted).unwrap().1;
    // Letters leave no room on the cuts between the upper fronts, cut 13 and 15 of their strip, which cut 11 took off: their
    // numbers stand ahead of them, not on the line of cut 10 below.
    assert!([13, 15].iter().all(|cut| at(*cut)[1] < at(11)[1]), "{numbers:?}");
}

#[test]
fn the_number_on_a_strip_that_lies_is_upright() {
    let parts = "side,ply,18,2000,500,2,length,\ncleat,ply,18,1500,36,1,length,\n";
    let report = plan(parts, "ply,sheet,18,2500,1250,52,length\n", "--units mm").read("out/report.html");
    let numbers: Vec<&str> = report
        .split("<text")
        .filter(|text| text.split_once('>').is_some_and(|(_, rest)| rest.starts_with("\n2\n<")))
        .collect();
    assert!(!numbers.is_empty(), "the strip has no number");
    assert!(numbers.iter().all(|text| !text.contains("rotate(")), "{numbers:?}");
}

fn matched(rows: &str, stock: &str) -> Nest {
    Nest::new()
        .file("parts.csv", format!("part,material,length,width,qty,match,match_way\n{rows}"))
        .file("stock.csv", format!("material,form,length,width,price\n{stock}"))
        .args("plan parts.csv --stock stock.csv --units in -o out")
        .any_stdout()
        .any_stderr()
}

#[test]
fn what_comes_off_two_strips_by_turns_is_said_to() {
    let rows = "left,ply,6,18,4,bank 1,along\nright,ply,6,18,4,bank 2,along\n";
    let ran = matched(rows, "ply,sheet,48,40,60\n").exit(0);
    assert!(!ran.stderr.contains("twice"), "{}", ran.stderr);
    let report = ran.read("out/report.html").replace(['\u{2068}', '\u{2069}'], "").replace('\u{a0}', " ");
    assert!(report.contains("off by turns: 3 × no. 1 left; 3 × no. 2 right"), "{report}");
    let order = "matched &#34;bank 1&#34;: from the left end no. 1 (4 times); mark them 1 to 4 in this order, all the same way up";
    assert!(report.contains(order), "{report}");
    // Two lines on the drawing, one on a label.
    let texts = lettered(&ran);
    assert!(texts.windows(2).any(|lines| lines == ["bank 2:", "3 of 4"]), "{texts:?}");
    let labels = ran.read("out/labels.html").replace(['\u{2068}', '\u{2069}'], "");
    assert!(labels.contains("bank 2: 3 of 4"), "{labels}");
    // One strip after the other is not by turns.
    let alone = matched("left,ply,6,18,4,bank 1,along\n", "ply,sheet,48,40,60\n").exit(0);
    assert!(!alone.read("out/report.html").contains("by turns"));
}

#[test]
fn where_room_is_short_the_place_in_its_strip_stays_on_a_piece() {
    let rows = "box,pine,9,3 1/2,4,ring,along\nrail,pine,30,3 1/2,1,,\n";
    let texts = lettered(&matched(rows, "pine,board,96,3 1/2,10\n").exit(0));
    for place in 1..=4 {
        assert!(texts.contains(&format!("1 (ring: {place} of 4)")), "{texts:?}");
    }
}

/// The order of a strip may need one and the same part in several rows.
#[test]
fn parts_of_a_strip_may_stand_in_the_list_twice() {
    let rows = |word: &str| {
        ["long", "short", "long", "short"].map(|name| {
            let length = if name == "long" { 24 } else { 12 };
            format!("{name},ply,{length},8,1,{word},\n")
        })
    };
    for (word, warned) in [("row", false), ("", true)] {
        let ran = matched(&rows(word).concat(), "ply,sheet,96,48,60\n").exit(0);
        assert_eq!(ran.stderr.contains("stands in the list twice"), warned, "{}", ran.stderr);
    }
}

#[test]
fn short_strips_that_run_across_a_board_are_told_why_not() {
    let ran = matched("cleat,pine,5,2,2,pair,across\n", "pine,board,96,11 1/4,20\n").exit(2);
    for said in ["is ripped at its own length, 5\"", "`shortest_rip` is 12\"", "`match_way` along"] {
        assert!(ran.stderr.contains(said), "{}", ran.stderr);
    }
    let ran = matched("cleat,pine,5,2,2,pair,upright\n", "pine,board,96,11 1/4,20\n").exit(2);
    assert!(ran.stderr.contains("`across`: side by side"), "{}", ran.stderr);
}
