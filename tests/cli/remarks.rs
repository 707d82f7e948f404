//! What is said of a part where it is cut: what the list notes on it, and how large it comes off the saw.

use crate::harness::{Nest, Ran};

const STOCK: &str = "material,thickness,length,width,price,grain\nply,18,1200,600,10,length\n";

fn plan(parts: &str, shop: &str) -> Ran {
    Nest::new()
        .file("parts.csv", parts)
        .file("stock.csv", STOCK)
        .file("shop.toml", format!("units = \"mm\"\n{shop}"))
        .args("plan parts.csv --stock stock.csv --shop shop.toml -o out")
        .any_stdout()
        .any_stderr()
        .exit(0)
}

/// Each layout of the report.
fn layouts(ran: &Ran) -> Vec<String> {
    let report = ran.read("out/report.html");
    let layouts = report.split("<article class=\"layout").skip(1);
    layouts.map(|layout| layout.split_once("</article>").unwrap().0.to_owned()).collect()
}

#[test]
fn notes_of_parts_stand_at_their_layouts_each_once() {
    // Two of the large ones do not go on one sheet.
    let parts = "part,material,thickness,length,width,qty,note\nside,ply,18,1100,400,2,good face out.\n\
                 rail,ply,18,700,100,1,pocket holes\nback rail,ply,18,700,90,1,pocket holes\nplain,ply,18,200,90,1,\n";
    let layouts = layouts(&plan(parts, ""));
    assert_eq!(layouts.len(), 2, "{layouts:?}");
    let said = |layout: &String, note: &str| layout.matches(note).count();
    for layout in &layouts {
        assert_eq!(said(layout, "<bdi>no. 1: good face out</bdi>"), 1, "{layout}");
    }
    let holes: Vec<usize> = layouts.iter().map(|layout| said(layout, "pocket holes")).collect();
    assert_eq!(holes.iter().sum::<usize>(), 1, "{layouts:?}");
    assert!(
        layouts.iter().any(|layout| layout.contains("<bdi>no. 2, 3: pocket holes</bdi>.")),
        "{layouts:?}"
    );
    assert!(!layouts.iter().any(|layout| layout.contains("no. 4:")), "{layouts:?}");
}

#[test]
fn notes_leave_room_for_the_layout() {
    let header = "part,material,thickness,length,width,note\n";
    let rows: String = (1..=8).map(|n| format!("p,ply,18,100,5{n},{}{n}\n", "w ".repeat(90))).collect();
    let layouts = layouts(&plan(&format!("{header}{rows}"), ""));
    let [layout] = &layouts[..] else { panic!("{layouts:?}") };
    let short = format!("<bdi>no. 1: {}…</bdi>", "w ".repeat(80).trim_end());
    assert!(layout.contains(&short), "{layout}");
    assert!(layout.contains("no. 3: w") && !layout.contains("no. 4: w"), "{layout}");
    assert!(layout.contains("<bdi>more notes stand in the list of parts</bdi>."), "{layout}");
}

#[test]
fn labels_say_the_size_off_the_saw_where_it_is_another() {
    let parts = "part,material,thickness,length,width,length_edges,oversize,fit\nplain,ply,18,300,200,,,\n\
                 banded,ply,18,310,210,1,,\nglued,ply,18,320,220,,10,\nfitted,ply,18,330,230,,,5\n";
    let ran = plan(parts, "[band.abs]\nthickness = \"2 mm\"\ndeduct = \"2 mm\"\n");
    let labels = ran.read("out/labels.html");
    for (finished, cut) in [
        ("310 mm x 210 mm", "ply 18 mm; cut 310 mm x 208 mm"),
        ("320 mm x 220 mm", "ply 18 mm; cut 330 mm x 230 mm"),
        ("330 mm x 230 mm", "ply 18 mm; cut 335 mm x 230 mm"),
        ("300 mm x 200 mm", "ply 18 mm"),
    ] {
        let labels = labels.replace('\u{a0}', " ");
        let mut all =
            labels.split("<article ").filter(|label| label.contains(&format!("<bdi>{finished}</bdi>")));
        let label = all.next().unwrap();
        assert!(label.contains(&format!("<bdi>{cut}</bdi>")), "{label}");
        assert_eq!(label.contains("cut 3"), cut.contains("cut 3"), "{label}");
    }
}

#[test]
fn a_size_off_the_saw_is_never_half_there() {
    let ply =
        "birch plywood from the yard by the river with a face good enough to be oiled on both of its sides";
    let job = "kitchen of the house at the lake of the many islands in the north";
    let mut ran = Nest::new()
        .file(
            "parts.csv",
            format!(
                "part,material,thickness,length,width,length_edges,job\nlong,{ply},18,1803,560,1,{job}\n"
            ),
        )
        .file(
            "stock.csv",
            format!("material,thickness,length,width,price,grain\n{ply},18,2440,1220,10,length\n"),
        )
        .file("shop.toml", "units = \"mm\"\n[band.abs]\nthickness = \"1 mm\"\ndeduct = \"1 mm\"\n")
        .args("plan parts.csv --stock stock.csv --shop shop.toml -o out")
        .any_stdout()
        .any_stderr()
        .exit(0);
    let mut with_material = Vec::new();
    for grid in ["1x4", "2x5", "3x8", "4x10", "4x11"] {
        ran =
            ran.then().args(&format!("draw out/plan.json --labels {grid} -o {grid} -q")).any_stderr().exit(0);
        let labels = ran.read(&format!("{grid}/labels.html"));
        assert!(labels.contains("cut\u{a0}1803\u{a0}mm\u{a0}x\u{a0}559\u{a0}mm"), "{grid}: {labels}");
        // Where there is no room for both, the material goes.
        with_material.push(labels.contains("birch"));
    }
    assert_eq!(with_material, [true, true, true, false, false]);
}

#[test]
fn a_size_off_the_saw_leaves_a_note_its_line() {
    let parts = "part,material,thickness,length,width,qty,length_edges,job,note\n\
                 shelf,birch,18,562,540,2,1,kitchen,shelf pins all round\n";
    let ran = Nest::new()
        .file("parts.csv", parts)
        .file("stock.csv", "material,thickness,length,width,price,grain\nbirch,18,2440,1220,10,length\n")
        .file("shop.toml", "units = \"mm\"\n[band.abs]\nthickness = \"1 mm\"\ndeduct = \"1 mm\"\n")
        .args("plan parts.csv --stock stock.csv --shop shop.toml --labels 3x8 -o out")
        .any_stdout()
        .any_stderr()
        .exit(0);
    let labels = ran.read("out/labels.html").replace('\u{a0}', " ");
    assert_eq!(labels.matches("cut 562 mm x").count(), 2, "{labels}");
    assert_eq!(labels.matches("<bdi>shelf pins all round</bdi>").count(), 2, "{labels}");
}
