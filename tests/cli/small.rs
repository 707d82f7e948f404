//! What is too small for its name has a number beside it, and a key that says whose it is.

use crate::drawings::{Asked, all_is_well, full, sheets, solved};
use crate::harness::Nest;
use nest_cli::output::drawing::{Anchor, Page, Shape, pages};
use nest_core::model::CheckedBatch;

#[test]
fn a_key_that_a_page_has_no_room_for_goes_on_overleaf() {
    let names: Vec<String> = (1..=99).map(|n| format!("tiny block number {n}")).collect();
    let list: Vec<Asked<'_>> = (names.iter().zip(0..))
        .map(|(name, n): (_, i64)| (name.as_str(), 20 + n % 9, 14 + n / 9, 1))
        .collect();
    let blocks = sheets(&list, [1_220, 2_440], 0, 3).check().unwrap();
    let solution = solved(&blocks);
    all_is_well(&blocks, &solution);
    let report = full(&blocks, &solution);
    let pages: Vec<Page> = report.sections.iter().flat_map(pages).collect();
    let shown = |name: &str| {
        let wanted = format!("{}: ", nest_cli::clean::isolated(name));
        let said = |shape: &Shape| match shape {
            Shape::Text { text, .. } => text.contains(&wanted),
            Shape::Words { words, .. } => words.iter().any(|word| word.text.contains(&wanted)),
            _ => false,
        };
        pages.iter().filter(|page| page.shapes.iter().any(said)).count()
    };
    assert!(names.iter().all(|name| shown(name) == 1), "each is named on one page");
}

/// How many small bold numbers of a part stand beside what is too thin for letters; those outside the sheet end there.
fn beside(batch: &CheckedBatch, number: &str, ends: Anchor) -> usize {
    let solution = solved(batch);
    let report = full(batch, &solution);
    let pages: Vec<Page> = report.sections.iter().flat_map(pages).collect();
    let shapes = pages.iter().flat_map(|page| &page.shapes);
    // What is bold in the frame is larger.
    let ours = |shape: &&Shape| match shape {
        Shape::Text { text, bold: true, size: ..=200, anchor, .. } => text == number && *anchor == ends,
        _ => false,
    };
    shapes.filter(ours).count()
}

#[test]
fn the_number_of_a_piece_too_thin_for_letters_stands_beside_it() {
    // Along the lower edge of the sheet, from its left end on.
    let fillers = sheets(&[("side", 2_000, 900, 1), ("filler", 2_300, 14, 2)], [2_440, 1_220], 5, 3);
    let fillers = fillers.check().unwrap();
    assert_eq!(
        (beside(&fillers, "2", Anchor::End), beside(&fillers, "1", Anchor::End)),
        (1, 0),
        "once for both"
    );
    // A number of three figures has no room between the sheet and its dimensions.
    let mut list: Vec<Asked<'_>> = vec![("piece", 100, 60, 1); 99];
    list.push(("filler", 2_300, 14, 2));
    assert_eq!(beside(&sheets(&list, [2_440, 1_220], 5, 3).check().unwrap(), "100", Anchor::End), 0);
    // Two of them that are nearer to each other than their numbers are high.
    let two =
        sheets(&[("side", 2_000, 900, 1), ("one", 2_300, 9, 1), ("two", 2_300, 6, 1)], [2_440, 1_220], 5, 3);
    let two = two.check().unwrap();
    assert_eq!(["2", "3"].map(|number| beside(&two, number, Anchor::End)), [1, 1]);
    // Very many side by side: across all of one number, those behind others too.
    let kinds = [("side", 1_000, 1_000, 1), ("a", 11, 1_000, 30), ("b", 10, 1_000, 12), ("c", 9, 1_000, 12)];
    let many = sheets(&kinds, [2_440, 1_220], 5, 3).check().unwrap();
    assert_eq!(["2", "3", "4"].map(|number| beside(&many, number, Anchor::Start)), [1, 1, 1]);
    // Behind another piece, with a leader.
    let slat = sheets(&[("side", 2_000, 1_200, 1), ("slat", 14, 1_000, 1)], [2_440, 1_220], 5, 3);
    assert_eq!(beside(&slat.check().unwrap(), "2", Anchor::Start), 1);
}

/// The list of cuts is so long that the drawing stands beside it, where a square sheet may be higher than half of the page.
#[test]
fn a_square_sheet_beside_a_long_list_has_names_where_the_page_has_room() {
    let parts = "part,material,thickness,length,width,qty\ndrawer side,birch,12,500,120,8\n\
                 drawer front,birch,12,420,120,6\ndivider,birch,12,300,80,10\nback slat,birch,12,420,60,6\n\
                 cleat,birch,12,200,45,8\nspacer block,birch,12,90,60,6\n";
    let ran = Nest::new()
        .file("parts.csv", parts)
        .file("stock.csv", "material,thickness,length,width,price,grain\nbirch,12,1525,1525,60,length\n")
        .args("plan parts.csv --stock stock.csv --units mm -o out")
        .any_stdout()
        .exit(0);
    // One page, and a name on each of the fourteen large pieces.
    let drawing = ran.read("out/diagrams/layout-1-birch-12-mm.svg");
    let named = |name: &str| drawing.matches(&format!("\n{name}\n")).count();
    assert_eq!([named("1 drawer side"), named("2 drawer front")], [8, 6]);
}
