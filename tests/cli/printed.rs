//! What the printer gets: the PDF that a browser makes of the report is read back page by page, and no drawing begins on
//! one page and ends on another.
//!
//! A copy of the report has a mark at the head and at the foot of each drawing and behind the last cut of each layout. Where no browser or
//! no `pdftotext` is found, the tests say so and look at nothing.

use crate::browser::{browser, open, papers, usual_letters};
use crate::harness::{Nest, Ran, skipped};
use std::fs;
use std::path::Path;
use std::process::Command;

/// What `pdftotext` makes of a PDF; `None` where there is none.
fn text(pdf: &Path, how: &str) -> Option<String> {
    let output = match Command::new("pdftotext").arg(how).arg(pdf).arg("-").output() {
        Ok(output) => output,
        Err(_) => {
            skipped("pdftotext", "no pdftotext was found, so no printed page was looked at");
            return None;
        }
    };
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    Some(String::from_utf8_lossy(&output.stdout).into_owned())
}

/// The texts of the pages of a PDF.
fn pages(pdf: &Path) -> Option<Vec<String>> {
    let text = text(pdf, "-raw")?;
    // A form feed ends each page.
    Some(text.trim_end_matches('\u{c}').split('\u{c}').map(String::from).collect())
}

/// A word on a page, and where it begins and ends from above, in points.
struct Word {
    text: String,
    top: f64,
    end: f64,
}

/// The words of each page, the footer left out, and the height of the page.
fn words(pdf: &Path) -> Option<Vec<(f64, Vec<Word>)>> {
    let text = text(pdf, "-bbox")?;
    let value = |line: &str, name: &str| -> f64 {
        line.split_once(&format!("{name}=\"")).unwrap().1.split_once('"').unwrap().0.parse().unwrap()
    };
    let page = |page: &str| {
        let high = value(page, "height");
        let word = |line: &str| Word {
            text: line.split_once("\">").unwrap().1.trim_end_matches("</word>").to_string(),
            top: value(line, "yMin"),
            end: value(line, "yMax"),
        };
        let words = page.lines().filter(|line| line.contains("<word ")).map(word);
        (high, words.filter(|word| word.end < high - FOOT).collect())
    };
    Some(text.split("<page ").skip(1).map(page).collect())
}

/// What the style sheet leaves below what is printed: 16 mm.
const FOOT: f64 = 16.0 * 72.0 / 25.4;

/// Where a page begins with a layout, the page before it has no room for that layout.
fn no_page_ends_too_early(pdf: &Path, whole: &[bool]) -> Option<()> {
    let pages = words(pdf)?;
    // A browser prints all of a page smaller where anything on it is wider than the paper.
    let title = &pages[0].1[0];
    assert_eq!(title.text, "Cutting");
    assert!(title.end - title.top > 20.0, "printed smaller: its title is {} high", title.end - title.top);
    let mut seen = 0;
    for pair in pages.windows(2) {
        let [(high, before), (_, page)] = pair else { unreachable!() };
        let Some(number) = page.first().filter(|word| word.text == "Layout").and(page.get(1)) else {
            continue;
        };
        let number: usize = number.text.trim_end_matches(':').parse().unwrap();
        if !whole[number - 1] {
            continue;
        }
        let last = page.iter().find(|word| word.text == format!("CUT{number}."));
        let needs = last.map_or(0.0, |word| word.end) - page[0].top;
        let left = high - FOOT - before.iter().map(|word| word.end).fold(0.0, f64::max);
        // 5 mm lie between two layouts, and a little more above the title.
        assert!(left < needs + 20.0, "layout {number} needs {needs} points, and {left} stay empty before it");
        seen += 1;
    }
    assert!(seen > 0 || whole.len() < 4, "no page begins with a layout");
    Some(())
}

/// The report with marks: `TOP1.` and `END1.` at the edges of the drawing of the first layout, `CUT1.` behind its last cut.
fn marked(html: &str) -> (String, Vec<bool>) {
    let mut layouts = html.split("<article class=\"layout");
    let mut text = layouts.next().unwrap().to_string();
    let mut whole = Vec::new();
    for layout in layouts {
        let n = whole.len() + 1;
        whole.push(layout.starts_with(" whole"));
        text.push_str("<article class=\"layout");
        let svg = layout.find("<svg").unwrap();
        let (before, rest) = layout.split_at(svg + layout[svg..].find('>').unwrap() + 1);
        let size = before.rsplit_once("viewBox=\"0 0 ").unwrap().1.split_once('"').unwrap().0;
        let high: f64 = size.split(' ').nth(1).unwrap().parse().unwrap();
        let mark =
            |y: f64, word: &str| format!("<text x=\"0\" y=\"{y}\" font-size=\"200\">{word}{n}.</text>");
        text.push_str(before);
        text.push_str(&mark(200.0, "TOP"));
        text.push_str(&mark(high - 20.0, "END"));
        let (list, after) = match rest.rsplit_once("</div></li>") {
            Some((list, after)) => {
                (list, format!("<span style=\"font-size:2px\"> CUT{n}.</span></div></li>{after}"))
            }
            None => (rest, String::new()),
        };
        text.push_str(list);
        text.push_str(&after);
    }
    (text, whole)
}

/// How many layouts were looked at, and of those how many have more than one page.
fn printed(browser: &Path, ran: &Ran, folder: &str) -> Option<(usize, usize)> {
    let (html, whole) = marked(&ran.read(&format!("{folder}/report.html")));
    let copy = ran.path(folder).join("marked.html");
    fs::write(&copy, &html).unwrap();
    let pdf = copy.with_extension("pdf");
    open(
        browser,
        &copy,
        &["--no-pdf-header-footer".to_string(), format!("--print-to-pdf={}", pdf.display())],
    );
    no_page_ends_too_early(&pdf, &whole)?;
    let pages = pages(&pdf)?;
    let page = |mark: &str| {
        let found: Vec<usize> = (0..pages.len()).filter(|&page| pages[page].contains(mark)).collect();
        assert_eq!(found.len(), 1, "{mark} is on pages {found:?} of {}", pages.len());
        found[0]
    };
    let mut long = 0;
    for (n, whole) in (1..).zip(&whole) {
        let [top, end, title] =
            [format!("TOP{n}."), format!("END{n}."), format!("Layout {n}:")].map(|mark| page(&mark));
        // What is its board whole has no cut.
        let last = format!("CUT{n}.");
        let cut = if html.contains(&last) { page(&last) } else { top };
        assert_eq!(top, end, "{folder}: the drawing of layout {n} is split");
        assert_eq!(title, top, "{folder}: layout {n} has its title on another page than its drawing");
        assert!(!whole || cut == top, "{folder}: layout {n} is said to fit a page, and does not");
        long += usize::from(cut > top);
    }
    for (n, text) in (1..).zip(&pages) {
        let number = format!("page {n} of {}", pages.len());
        assert!(text.contains(&number), "page {n} has no number");
        let last = text.lines().rfind(|line| !line.contains(&number) && !line.starts_with("plan ")).unwrap();
        let heads =
            ["Band, grain, note", "From layouts", "Cuts Layouts", "that recur", "Offcuts to keep", "Parts"];
        assert!(!heads.iter().any(|head| last.contains(head)), "page {n} ends with a heading: {last}");
    }
    Some((whole.len(), long))
}

#[test]
fn no_drawing_is_split_over_two_pages_of_the_pdf() {
    let Some(browser) = browser() else { return };
    for rows in [1, 40] {
        let ran = papers(rows).then().args("draw out/plan.json --paper a4 -q -o a4").exit(0);
        for folder in ["out", "a4"] {
            let Some((layouts, _)) = printed(&browser, &ran, folder) else { return };
            assert!(layouts >= rows / 8, "{layouts} layouts");
        }
    }
}

/// Sixty letters that nobody may break stand in every table, and make the page no smaller.
#[test]
fn a_material_without_end_is_printed_at_full_size() {
    let Some(browser) = browser() else { return };
    let material = "w".repeat(60);
    let ran = Nest::new()
        .file(
            "parts.csv",
            format!("part,material,thickness,length,width,qty,length_edges,job\n{material},{material},18,600,400,7,1,{material}\n"),
        )
        .file(
            "stock.csv",
            format!("material,form,thickness,length,width,price,grain\n{material},sheet,18,2440,1220,60,length\n"),
        )
        .args("plan parts.csv --stock stock.csv --units mm --effort none -q -o out")
        .any_stdout()
        .any_stderr()
        .exit(0)
        .then()
        .args("draw out/plan.json --paper letter -q -o letter")
        .exit(0);
    for folder in ["out", "letter"] {
        let Some((layouts, _)) = printed(&browser, &ran, folder) else { return };
        assert!(layouts > 0 && ran.read(&format!("{folder}/report.html")).contains("Offcuts to keep"));
    }
}

/// A garage of boards and sheets in several materials: two layouts share a page where both are read well so.
#[test]
fn layouts_share_a_page_where_they_can() {
    let Some(browser) = browser() else { return };
    let file = |table: &str| {
        let scenarios = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/scenarios");
        fs::read(scenarios.join(format!("garage-{table}.csv"))).unwrap()
    };
    let ran = Nest::new()
        .file("parts.csv", file("parts"))
        .file("stock.csv", file("stock"))
        .args("plan parts.csv --stock stock.csv --units in -q -o out")
        .any_stdout()
        .any_stderr()
        .exit(0);
    let Some((layouts, 0)) = printed(&browser, &ran, "out") else { return };
    if usual_letters(&browser, &ran.path("out/report.html")) {
        let pages = pages(&ran.path("out/marked.pdf")).unwrap().len();
        assert!(layouts == 27 && pages <= 15, "{layouts} layouts on {pages} pages");
    }
}

/// Some 400 pieces: what is printed, page by page, and how many pages that takes.
#[test]
fn four_hundred_pieces_waste_no_paper() {
    let Some(browser) = browser() else { return };
    let ran = papers(192).then().args("draw out/plan.json --paper a4 -q -o a4").exit(0);
    for (folder, most) in [("out", 50), ("a4", 49)] {
        let Some((layouts, long)) = printed(&browser, &ran, folder) else { return };
        assert!(layouts > 40 && long <= 1, "{layouts} layouts, {long} of more than a page");
        if !usual_letters(&browser, &ran.path(folder).join("report.html")) {
            return;
        }
        let pages = pages(&ran.path(folder).join("marked.pdf")).unwrap().len();
        assert!(pages <= most, "{layouts} layouts on {pages} pages, {folder}");
    }
}

#[test]
fn a_layout_of_more_than_a_hundred_cuts_has_its_drawing_on_one_page_and_cuts_on_others() {
    let Some(browser) = browser() else { return };
    let mut parts = String::from("part,material,thickness,length,width\n");
    for row in 0..120 {
        parts += &format!(
            "left tower adjustable shelf no. {row},ply,3/4,{} {}/8,{} {}/8\n",
            7 + row % 7,
            row % 8,
            1 + row % 3,
            row % 5
        );
    }
    let ran = Nest::new()
        .file("parts.csv", parts)
        .file(
            "stock.csv",
            "material,form,thickness,length,width,price,grain\nply,sheet,3/4,96,48,60,length\n",
        )
        .args("plan parts.csv --stock stock.csv --units in --effort none -q -o out")
        .any_stdout()
        .exit(0);
    let report = ran.read("out/report.html");
    let lines = report.matches("<li><span class=\"no\">").count();
    let ran = ran.then().args("draw out/plan.json --paper a4 -q -o a4").exit(0);
    for folder in ["out", "a4"] {
        let Some((layouts, long)) = printed(&browser, &ran, folder) else { return };
        assert_eq!(layouts, 1, "all of it is on one sheet");
        assert!(lines > 100 && long == 1, "{lines} lines of cuts, {long} of more than a page");
    }
}

#[test]
fn no_heading_stands_alone_at_the_foot_of_a_page() {
    let Some(browser) = browser() else { return };
    let stock = "material,form,thickness,length,width,price,grain\nbirch ply,sheet,3/4,96,48,84,length\n";
    let rack = "name,material,form,thickness,length,width,price,qty,grain,on_hand\n\
                leftover behind the door,birch ply,sheet,3/4,61 3/8,31 1/2,20,1,length,yes\n";
    for rows in [0, 2] {
        let mut parts = String::from(
            "part,material,thickness,length,width,qty,length_edges\n\
             side,birch ply,3/4,40,15,3,1\nshelf,birch ply,3/4,22,14,4,1\n",
        );
        for row in 0..rows {
            parts += &format!("cleat {row},birch ply,3/4,{},3,1,0\n", 12 + row);
        }
        let ran = Nest::new()
            .file("parts.csv", parts)
            .file("stock.csv", stock)
            .file("rack.csv", rack)
            .args("plan parts.csv --stock stock.csv --rack rack.csv --units in --trim 1/4 --effort quick -q -o out")
            .any_stdout()
            .exit(0)
            .then()
            .args("draw out/plan.json --paper a4 -q -o a4")
            .exit(0);
        for folder in ["out", "a4"] {
            if printed(&browser, &ran, folder).is_none() {
                return;
            }
        }
    }
}
