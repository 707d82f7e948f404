//! What is cut further has a name on every paper, so that nobody has to guess which of several blanks a cut is for.

use crate::harness::{Nest, Ran};

/// Short wide pieces, of which no two fit side by side: blanks that are ripped, and one that is crosscut once more.
fn short_pieces() -> Ran {
    Nest::new()
        .file(
            "parts.csv",
            "part,material,section,length,width,qty\nshelf,pine,1x12,30,,2\nnailer,pine,1x12,20,8,1\n\
             rail,pine,1x12,14,7,2\nlip,pine,1x12,6,7,2\n",
        )
        .file("stock.csv", "name,material,section,length,price\npine 1x12,pine,1x12,8',21\n")
        .args("plan parts.csv --stock stock.csv --units in --trim 1/2 -o out -q")
        .any_stdout()
        .exit(0)
}

#[test]
fn each_cut_of_a_board_says_what_is_on_the_saw_and_what_falls_off() {
    let ran = short_pieces();
    let list = ran.read("out/cuts.csv");
    let mut reader = csv::Reader::from_reader(list.as_bytes());
    let header = reader.headers().unwrap().clone();
    let place = |name: &str| header.iter().position(|head| head == name).unwrap();
    let columns = ["layout", "kind", "on", "on_size", "off", "off_size", "name"].map(place);
    let rows: Vec<[String; 7]> = reader
        .records()
        .map(Result::unwrap)
        .map(|row| columns.map(|column| row[column].to_owned()))
        .collect();
    let mut blanks: Vec<(&str, &str, &str)> = Vec::new();
    for [layout, cut, on, on_size, off, off_size, name] in &rows {
        let known = |blank: &&(&str, &str, &str)| blank.0 == layout && blank.1 == on;
        match (on.as_str(), blanks.iter().find(known)) {
            ("board", _) => assert!(cut == "as left" || on_size.ends_with(" x 11 1/4\""), "{list}"),
            (_, Some((.., size))) => assert!(cut == "as left" || on_size == size, "{list}"),
            (_, None) => panic!("`{on}` came off no cut: {list}"),
        }
        if !off.is_empty() {
            blanks.push((layout, off, off_size));
        }
        assert!(name.is_empty() || off_size.contains(" x "), "{list}");
    }
    assert_eq!(blanks.len(), 5, "{list}");
    assert_eq!(rows.iter().filter(|[.., name]| name == "lip").count(), 2, "{list}");
}

#[test]
fn the_cuts_beside_the_drawing_name_blanks_too() {
    let ran = short_pieces();
    let report = ran.read("out/report.html").replace('\u{a0}', " ");
    assert!(report.contains("off: A, 14&#34; x 11 1/4&#34;, to be cut further"), "{report}");
    assert!(report.contains("<strong>rip, fence 8&#34;</strong> on B;"), "{report}");
    // The last cut of a blank frees two pieces, and says so there alone.
    assert!(
        report.contains("on C; <span class=\"gives\"><bdi>off: no. 4 lip; left: no. 4 lip</bdi>"),
        "{report}"
    );
    assert!(!report.contains("What remains is <bdi>no. 4 lip"), "{report}");
    let drawing = ran.read("out/diagrams/layout-1-to-2-pine-1x12.svg");
    let words: Vec<&str> = drawing.split(['<', '>']).map(str::trim).filter(|word| !word.is_empty()).collect();
    assert!(words.contains(&"blank A") && words.contains(&"on C"), "{drawing}");
}
