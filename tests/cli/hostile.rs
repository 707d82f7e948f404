//! Names that would act on a terminal, a spreadsheet, a page or a file system, sent through every writer.

use nest_cli::input::json::read_plan;
use nest_cli::output::text::{Detail, Look, render};
use nest_cli::output::{json, papers};
use nest_cli::papers::PaperSettings;
use nest_cli::report::{Report, Source, plan_file};
use nest_core::model::{Band, Batch, CheckedBatch, Fit, Form, Part, Shop, Stock};
use nest_core::search::{Effort, Options, Silent};
use nest_core::solution::Solution;
use nest_core::units::{Length, Money, Rate};
use std::path::Path;

const NAMES: [&str; 14] = [
    "\u{1b}]52;c;ZXZpbA==\u{7}",
    "\u{1b}[2J\u{1b}[31mred",
    "\u{9b}31m",
    "\r\nX: y",
    "gnp.\u{202e}cod",
    "</text><script>alert(1)</script>",
    "<!-- --> ]]> &amp; \"'",
    "=HYPERLINK(\"http://x\";\"y\")",
    "@SUM(1+1)*cmd|' /C calc'!A0",
    "-2+3",
    "\t=1",
    "../../../etc/passwd",
    "CON",
    "\u{0}\u{fffe}\u{ffff}",
];

/// Of each name a board and a sheet: a part, a material, a job and a grain match each; some cannot be made.
fn hostile() -> (CheckedBatch, Solution) {
    let part = |(i, name): (usize, &&str)| Part {
        name: (*name).into(),
        material: format!("m{i}{name}"),
        job: (*name).into(),
        note: (*name).into(),
        length: Length::mm(700 + i as i64),
        qty: 3,
        fit: if i % 2 == 0 { Fit::Yes } else { Fit::No },
        extra: vec![((*name).into(), (*name).into())],
        ..Part::default()
    };
    let stock = |(i, name): (usize, &&str)| Stock {
        name: (*name).into(),
        material: format!("m{i}{name}"),
        length: Length::mm(1000 + 400 * (i as i64 % 3)),
        price: Some(Rate::from(Money::from_minor(500))),
        qty: (i % 4 == 3).then_some(2),
        ..Stock::default()
    };
    let sheet_part = |(i, name): (usize, &&str)| Part {
        material: format!("s{i}{name}"),
        thickness: Some(Length::mm(18)),
        length: Length::mm(420),
        width: Some(Length::mm(15 + 30 * i as i64)),
        length_edges: 2,
        width_edges: 1,
        band: Some((*name).into()),
        match_word: (i % 3 == 0).then(|| (*name).into()),
        fit: Fit::No,
        ..part((i, name))
    };
    let sheet = |(i, name): (usize, &&str)| Stock {
        material: format!("s{i}{name}"),
        form: Some(Form::Sheet),
        thickness: Some(Length::mm(18)),
        length: Length::mm(2440),
        width: Some(Length::mm(1220)),
        qty: None,
        ..stock((i, name))
    };
    let band = |(_, name): (usize, &&str)| Band { name: (*name).into(), ..Band::default() };
    let names = || NAMES.iter().enumerate();
    let batch = Batch {
        parts: names().map(part).chain(names().map(sheet_part)).collect(),
        stock: names().map(stock).chain(names().map(sheet)).collect(),
        shop: Shop { currency: "\u{1b}[31m$".into(), bands: names().map(band).collect(), ..Shop::default() },
    };
    let batch = batch.check().unwrap();
    let options = Options { effort: Effort::None, ..Options::default() };
    let solution = nest_core::solve(&batch, &options, &Silent).unwrap();
    (batch, solution)
}

fn with_report(look: impl FnOnce(&Source<'_>, &Report)) {
    let (batch, solution) = hostile();
    let options = Options::default();
    let warnings: Vec<String> = NAMES.iter().map(|name| format!("odd: {name}")).collect();
    let source = Source {
        batch: &batch,
        solution: &solution,
        options: &options,
        spare: 100,
        before: &nest_core::rest::Before::default(),
        papers: &PaperSettings::default(),
        label_start: 1,
        warnings: &warnings,
    };
    look(&source, &Report::full(&source));
}

/// No byte that a terminal or XML would take for more than text.
pub fn harmless(name: &str, bytes: &[u8]) {
    let text = std::str::from_utf8(bytes).unwrap();
    // Pages and drawings begin and end a text of its own around names from the right, one inside another at the most.
    let marked = [".html", ".svg"].iter().any(|end| name.ends_with(end));
    let acts = |c: char| {
        (c.is_control() && c != '\n')
            || matches!(c, '\u{202A}'..='\u{202E}' | '\u{2066}' | '\u{2067}' | '\u{FFFE}' | '\u{FFFF}')
            || (matches!(c, '\u{2068}' | '\u{2069}') && !marked)
    };
    assert_eq!(text.chars().find(|&c| acts(c)), None, "in {name}");
    for piece in text.split(['<', '>']) {
        let mut open = 0;
        for c in piece.chars() {
            open += i32::from(c == '\u{2068}') - i32::from(c == '\u{2069}');
            assert!((0..=2).contains(&open), "in {name}: {piece}");
        }
        assert_eq!(open, 0, "in {name}: {piece}");
    }
}

#[test]
fn no_summary_acts_on_a_terminal() {
    with_report(|_, report| {
        assert!(!report.missing.is_empty() && !report.kept.is_empty(), "every list has to be looked at");
        assert!(
            report.cautions.iter().any(|caution| caution.about.len() > 3) && !report.buying.bands.is_empty()
        );
        for detail in [Detail::Quiet, Detail::Normal, Detail::Verbose] {
            harmless("summary", &render(report, Look { detail, ..Look::default() }));
        }
    });
}

#[test]
fn no_paper_acts_on_its_reader() {
    with_report(|source, report| {
        let plan = plan_file(source);
        let files: Vec<_> = papers(report, &plan).collect();
        let drawn = files.iter().filter(|(name, _)| name.starts_with("diagrams/layout-")).count();
        assert!(drawn >= 2 * NAMES.len(), "a drawing for each material");
        for (name, bytes) in &files {
            safe(name, bytes);
        }
        let mut names: Vec<&String> = files.iter().map(|(name, _)| name).collect();
        names.sort();
        names.dedup();
        assert_eq!(names.len(), files.len(), "two papers of one name");
    });
}

/// A paper under its name in the folder: it acts on no terminal, spreadsheet, page, picture or file system.
pub fn safe(name: &str, bytes: &[u8]) {
    let path = Path::new(name);
    let stem = path.file_stem().unwrap().to_str().unwrap();
    assert!(stem.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-'), "{name}");
    assert!(name.matches('/').count() <= 1 && !name.contains(".."), "{name}");
    let text = std::str::from_utf8(bytes).unwrap();
    match path.extension().unwrap().to_str().unwrap() {
        "svg" => {
            harmless(name, bytes);
            let document = roxmltree::Document::parse(text).unwrap();
            let known = [
                "svg", "title", "defs", "pattern", "path", "rect", "line", "circle", "polygon", "text",
                "tspan",
            ];
            for node in document.descendants() {
                assert!(!node.is_comment(), "{name}");
                assert!(!node.is_element() || known.contains(&node.tag_name().name()), "{name}: {node:?}");
            }
        }
        "csv" => {
            harmless(name, bytes);
            for record in csv::ReaderBuilder::new().has_headers(false).from_reader(bytes).records() {
                for cell in record.unwrap().iter() {
                    let number = cell.parse::<f64>().is_ok();
                    assert!(number || !cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{name}: {cell}");
                }
            }
        }
        "html" => {
            harmless(name, bytes);
            only_our_markup(name, text);
        }
        "json" => assert!(read_plan(bytes).is_ok(), "{name}"),
        other => panic!("unknown kind of paper: {other}"),
    }
}

/// Every `<` begins a tag that our templates have, with attributes that they have: no name became markup.
fn only_our_markup(name: &str, text: &str) {
    let tags = "!DOCTYPE html head meta title style body header main section article div p bdi svg rect path h1 strong \
                h2 h3 a span table caption thead tbody tr th td input label dl dt dd ul ol li defs pattern circle line polygon \
                text tspan script";
    let attributes = "html lang charset http-equiv content name class style role aria-label viewBox x y width height fill \
                      stroke stroke-width d shape-rendering href scope data-of data-plan id type aria-hidden \
                      patternUnits font-size font-family font-weight text-anchor transform cx cy r \
                      x1 x2 y1 y2 dx xmlns points stroke-dasharray tabindex data-part data-board";
    let (tags, attributes): (Vec<&str>, Vec<&str>) =
        (tags.split_whitespace().collect(), attributes.split_whitespace().collect());
    // The one script is ours: the page allows it by its hash.
    assert!(text.matches("<script").count() <= 1, "{name}");
    let start = text.find("<script>").map_or(text.len(), |start| start + 8);
    let end = text.find("</script>").unwrap_or(text.len());
    let text = format!("{}{}", &text[..start], &text[end..]);
    for piece in text.split('<').skip(1) {
        let (tag, _) = piece.split_once('>').unwrap_or_else(|| panic!("{name}: <{piece}"));
        let tag = tag.trim_start_matches('/').trim_end_matches('/');
        let (tag, rest) = tag.split_once(' ').unwrap_or((tag, ""));
        assert!(tags.contains(&tag), "{name}: <{piece}");
        // Outside of quotes only names of attributes are left.
        for outside in rest.split('"').step_by(2) {
            for attribute in outside.split([' ', '=']).filter(|word| !word.is_empty()) {
                assert!(attributes.contains(&attribute), "{name}: {attribute} in <{piece}");
            }
        }
    }
}

#[test]
fn the_plan_keeps_every_name_as_it_was_typed() {
    with_report(|source, _| {
        let read = read_plan(&json::render(&plan_file(source))).unwrap();
        for (part, name) in read.batch.parts.iter().zip(NAMES.iter().chain(&NAMES)) {
            assert_eq!(part.name, *name);
            assert_eq!(part.extra, [(name.to_string(), name.to_string())]);
        }
    });
}

/// A number that stands behind letters which are read from the right is shown before them, and `44 1/2` as `1/2 44`,
/// unless marks that nobody sees make the name a text of its own.
#[test]
fn names_that_are_read_from_the_right_leave_sizes_alone() {
    let (shelf, job) = ("\u{5de}\u{5d3}\u{5e3} \u{5e2}\u{5dc}\u{5d9}\u{5d5}\u{5df}", "\u{631}\u{641}");
    let parts = format!(
        "part,material,thickness,length,width,qty,job,fit\n{shelf},ply,3/4,44 1/2,8 1/2,2,{job},1/2\n\
         {shelf},ply,3/4,7 1/2,1 1/2,9,{job},\nrail,ply,3/4,30,5,1,other,\n\
         {shelf},pine,3/4,9 1/4,1 1/2,3,{job},1/2\nleg,pine,3/4,20 3/4,1 1/2,3,other,\n"
    );
    let stock = "material,form,thickness,length,width,price,grain\nply,sheet,3/4,96,48,60,length\n\
                 pine,board,3/4,96,1 1/2,4,\n";
    let ran = crate::harness::Nest::new()
        .file("parts.csv", parts)
        .file("stock.csv", stock)
        .args("plan parts.csv --stock stock.csv --units in --effort none -q -o out")
        .any_stdout()
        .exit(0);
    let from_the_right = |c: char| ('\u{590}'..='\u{6ff}').contains(&c);
    let mut seen = 0;
    let drawings = crate::harness::names(&ran.path("out/diagrams"));
    for file in drawings.iter().map(|name| format!("diagrams/{name}")).chain(["report.html".to_string()]) {
        let markup = ran.read(&format!("out/{file}"));
        // What stands between tags.
        for text in markup.split('<').filter_map(|piece| piece.split_once('>')).map(|(_, text)| text) {
            let Some(last) = text.rfind(from_the_right) else { continue };
            let digit = |c: char| c.is_ascii_digit();
            let first = text.find(from_the_right).unwrap();
            if text[..first].contains(digit) {
                assert!(text[..first].contains('\u{2068}'), "{file}: {text}");
            }
            if let Some(at) = text[last..].find(digit) {
                assert!(text[last..last + at].contains('\u{2069}'), "{file}: {text}");
                seen += 1;
            }
        }
    }
    assert!(seen >= 4, "{seen} texts with a number behind such a name");
}
