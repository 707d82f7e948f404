//! How a list is written: columns and what they are called, separators, quotes, rows of another shape.

use crate::harness::Nest;
use crate::rail::{PARTS, STOCK, plan, refuses};

/// Parts that are read without a word, and give the same plan as `PARTS`.
fn reads(parts: impl AsRef<[u8]>) {
    plan(parts).stdout("Cost 2.60; proven: no plan can cost less\n").exit(0);
}

#[test]
fn a_header_that_is_nearly_a_column_or_another_word_for_it() {
    plan("part,material,lenght,amount\nrail,pine,36,2\n")
        .stderr(
            "\
error: unknown column `lenght`
 --> parts.csv:1:15
  |
1 | part,material,lenght,amount
  |               ^^^^^^
  |
  = hint: did you mean `length`? rename the column to that; one that nest is to leave alone needs a name less like it
error: unknown column `amount`
 --> parts.csv:1:22
  |
1 | part,material,lenght,amount
  |                      ^^^^^^
  |
  = hint: did you mean `qty`? rename the column to that; one that nest is to leave alone needs a name less like it
",
        )
        .exit(2);
}

#[test]
fn what_may_be_a_count_is_none_only_beside_one() {
    for word in ["No.", "Number", "Nos", "#", "Num", "each", "How many", "Copies", "Qty."] {
        plan(format!("part,material,thickness,length,width,{word}\nrail,pine,3/4,36,1 1/2,2\n"))
            .complains(&format!("error: unknown column `{word}`\n --> parts.csv:1:38\n"))
            .complains("hint: did you mean `qty`?")
            .exit(2);
        for qty in ["qty", "Pieces"] {
            let parts =
                format!("{word},part,material,thickness,length,width,{qty}\nA1,rail,pine,3/4,36,1 1/2,2\n");
            let parts = plan(parts).args("--json").says("\"qty\": 2");
            parts.any_stderr().exit(0);
        }
    }
}

#[test]
fn plain_words_and_units_in_brackets_are_columns() {
    let read = |header: &str, row: &str, units: &str| {
        Nest::new()
            .file("parts.csv", format!("{header}\n{row}\n"))
            .file(
                "stock.csv",
                "Material,Thickness (mm),Length [m],Width (mm),price,count\npine,18,2.4,300,9,4\n",
            )
            .args(&format!("plan parts.csv --stock stock.csv --json {units}"))
    };
    // In millimetres whatever the units, each as its own header says.
    let part = "\"part\": \"rail\", \"material\": \"pine\", \"thickness\": 18, \"length\": 600, \"width\": 101.6, \"qty\": 2";
    for units in ["", "--units in"] {
        for (name, count) in [("name", "quantity"), ("Part Name", "Count"), ("part", "PIECES")] {
            let header = format!("{name},material,Thickness (mm),length ( cm ),Width [in],{count}");
            read(&header, "rail,pine,18,60,4,2", units).says(part).any_stderr().exit(0);
        }
    }
    // A list that has the column itself keeps the other word for its labels.
    read("part,name,material,thickness,length,qty,count", "rail,left,pine,18,600,2,7", "--units mm")
        .says("\"qty\": 2")
        .says("[\"name\", \"left\"], [\"count\", \"7\"]")
        .any_stderr()
        .exit(0);
    read("part,material,length (yd)", "rail,pine,2", "--units mm")
        .complains("unknown column `length (yd)`")
        .exit(2);
    read("part,material,length,fit (mm)", "rail,pine,20,10", "--units in")
        .says("\"length\": 508, \"qty\": 1, \"fit\": {\"over\": 10}")
        .any_stderr()
        .exit(0);
}

#[test]
fn a_band_that_no_edge_gets_is_named() {
    let run = |edges: &str| {
        Nest::new()
            .file(
                "parts.csv",
                format!("part,material,length,qty,band,length_edges\nshelf,pine,600,1,birch,{edges}\n"),
            )
            .file("stock.csv", "material,thickness,length,width,price\npine,18,2400,300,9\n")
            .file("shop.toml", "units = \"mm\"\n[band.birch]\nthickness = 1\n")
            .args("plan parts.csv --stock stock.csv --shop shop.toml")
            .any_stdout()
    };
    run("")
        .complains(
            "shelf names an edge band, but no edge gets it: `length_edges` and `width_edges` say how many do",
        )
        .exit(0);
    run("1").exit(0);
}

/// Without the unit, all numbers of the column would be of another size.
#[test]
fn a_name_that_is_suggested_keeps_its_unit() {
    for (header, meant) in [
        ("length_mm", "length (mm)"),
        ("Length, cm", "length (cm)"),
        ("length in", "length (in)"),
        ("lenght", "length"),
    ] {
        let list = format!("part,material,\"{header}\",qty\nrail,pine,36,1\n");
        let read = plan(list.as_str());
        read.complains(&format!("did you mean `{meant}`?")).exit(2);
    }
}

#[test]
fn a_column_that_stands_twice() {
    plan("part,material,length,Part\nrail,pine,36,x\n")
        .complains("error: there are two columns `part`\n --> parts.csv:1:22\n")
        .exit(2);
}

#[test]
fn an_unknown_column_is_kept_and_named_in_one_warning() {
    Nest::new()
        .file(
            "parts.csv",
            "Part,MATERIAL,thickness, Length ,width,qty,colour,finish\nrail,pine,3/4,36,1 1/2,2,red,oil\n",
        )
        .file("stock.csv", STOCK)
        .args("plan parts.csv --stock stock.csv --units in --json")
        .says("\"extra\": [[\"colour\", \"red\"], [\"finish\", \"oil\"]]")
        .stderr(
            "\
warning: unknown columns `colour`, `finish`: they are kept in plan.json, and do not change the plan
 --> parts.csv:1:44
  |
1 | Part,MATERIAL,thickness, Length ,width,qty,colour,finish
  |                                            ^^^^^^
",
        )
        .exit(0);
}

#[test]
fn crlf_byte_order_mark_semicolons_tabs_and_decimal_commas_are_read() {
    reads(PARTS);
    reads(PARTS.replace('\n', "\r\n"));
    reads(PARTS.replace('\n', "\r"));
    reads(format!("\u{feff}{PARTS}"));
    reads(PARTS.replace(',', "\t"));
    reads(format!("sep=;\n{}", PARTS.replace(',', ";")));
    reads(format!("sep=;\r\n\r\n# a list\r\n{}", PARTS.replace(',', ";")));
    reads(format!("sep=\t\r\n{}", PARTS.replace(',', "\t")));
    for odd in ["é", "|", ""] {
        let ran = plan(format!("sep={odd}\n{}", PARTS.replace(',', "|"))).any_stderr().exit(2);
        let said = format!(
            "error: expected `,` or `;` or a tab behind `sep=`, but found `{odd}`\n --> parts.csv:1:5\n"
        );
        assert!(
            ran.stderr.starts_with(&said) && ran.stderr.matches("error: ").count() == 1,
            "{}",
            ran.stderr
        );
    }
    reads("part;material;thickness;length;width;qty\nrail;pine;0,75;36,0;1,5;2\n");
    reads(
        "# a comment, with commas\n\npart, material, thickness, length, width, qty\nrail, pine, \"3/4\"\"\", \"36\"\"\", 1 1/2, 2\n",
    );
    reads("qty,width,length,thickness,material,part\n2,1-1/2,3',\"3/4\",  Pine ,rail\n");
}

#[test]
fn ragged_rows_and_faulty_quotes() {
    refuses(
        "rail,pine,3/4,36,2",
        "\
error: expected 6 cells as in the header, but found 5 cells
 --> parts.csv:2:18
  |
2 | rail,pine,3/4,36,2
  |                  ^
  |
  = hint: empty cells keep their `,`
",
    );
    plan("part,material,length\nrail, left,pine,36\n")
        .complains("found 4 cells\n --> parts.csv:2:17\n")
        .exit(2);
    plan("part,material,length\nrail,pine,36,,\n").any_stdout().exit(0);
    for (row, hint) in [
        ("rail;pine;36", "hint: the header separates cells by `,`: do so here too\n"),
        ("# sizes", "hint: comments stand above the header: delete this line\n"),
    ] {
        plan(format!("part,material,length\nrail,pine,36\n{row}\n")).complains(hint).exit(2);
    }
    plan("part,material,length\n\"rail,pine,36\nrail,pine,36\n")
        .complains("error: the quote that opens here is never closed\n --> parts.csv:2:1\n")
        .exit(2);
    plan("part,material,length\nrail,pine,\"36\" in\"\n")
        .complains("error: there is text behind the closing quote of this cell\n --> parts.csv:2:11\n")
        .exit(2);
}

#[test]
fn a_number_that_a_decimal_comma_splits_is_no_two_numbers() {
    let header = "part,material,length,width,qty,note";
    plan(format!("{header}\nrail,pine,36,12,5,2,\n"))
        .stderr(
            "\
error: expected 6 cells as in the header, but found 7 cells: is `12,5` one number?
 --> parts.csv:2:14
  |
2 | rail,pine,36,12,5,2,
  |              ^^^^
  |
  = hint: a decimal comma needs quotes, \"12,5\", or a point, 12.5; if those are two numbers, the row has a `,` too many
",
        )
        .exit(2);
    // Of several the likely one, and a unit may stand behind it.
    plan(format!("{header}\nrail,pine,36,12,5 in,2,left\n")).complains("is `12,5 in` one number?").exit(2);
    let stock = "material,length,width,price,note\npine,8',1 1/2,2,60,\n";
    plan("part,material,length\nrail,pine,36\n")
        .file("stock.csv", stock)
        .complains("is `2,60` one number?\n --> stock.csv:2:15\n")
        .exit(2);
    // Not where it does not explain all cells too many, nor where it would put words where numbers belong.
    reads("part,material,length,qty\nrail,pine,36,2,,\n");
    plan(format!("{header}\nrail,pine,36,12,2,left, by the door\n"))
        .complains("found 7 cells\n --> parts.csv:2:25\n")
        .complains("hint: put a cell that holds a `,` in quotes\n")
        .exit(2);
    // Spreadsheets end all rows with empty cells, the header too; a thousand more is no decimal.
    let empty = format!("{},,\n{},,\n", PARTS.lines().next().unwrap(), PARTS.lines().nth(1).unwrap());
    reads(empty);
    reads(format!("{},,\n", PARTS.trim_end()));
    reads("part,material,thickness,length,qty\nrail,pine,3/4,36,2\n");
    reads("part;material;length;width;qty;note\nrail;pine;36;1,5;2;;\n");
}

#[test]
fn an_empty_cell_too_many_in_every_row_is_read() {
    let list = |header: &str, rows: &str| plan(format!("part,material,thickness,length,{header}\n{rows}"));
    let rail = "rail,pine,3/4,36,1,";
    let cost = "Cost 2.60; proven: no plan can cost less\n";
    // Where the rows could be read in no other way.
    list("width,qty,note", &format!("{rail}1,,\n{rail}1,left,\n")).stdout(cost).exit(0);
    list("width,qty,note", &format!("{rail}1,,,,,\n{rail}1,left,,,,\n")).stdout(cost).exit(0);
    // Where a comma might have split a number in each, that is said.
    let warned = "\
warning: every row ends with a `,` more than the header, so that `36,1` is read as two numbers; a number with a decimal comma needs quotes, \"36,1\"
 --> parts.csv:2:15
  |
2 | rail,pine,3/4,36,1,1,
  |               ^^^^
";
    let both = format!("{rail}1,\nstile,pine,3/4,30,1,1,\n");
    let ran = Nest::new().file("parts.csv", format!("part,material,thickness,length,width,qty\n{both}"));
    let ran = ran.file("stock.csv", STOCK).args("plan parts.csv --stock stock.csv --units in --json");
    ran.says("\"width\": 25.4, \"qty\": 1").stderr(warned).exit(0);
    let split = "is `36,1` one number?";
    // Not where decimals are as people have them, or in prices: both ways of reading are sound then.
    list("width,qty", &format!("{rail}5,\nrail,pine,3/4,30,1,5,\n"))
        .complains("is `36,1` one number?")
        .exit(2);
    let stock = "material,thickness,length,price,qty\npine,3/4,8',2,60,\npine,3/4,10',3,49,\n";
    plan(PARTS).file("stock.csv", stock).complains("is `2,60` one number? (and in line 3)\n").exit(2);
    let mm = |rows: &str, said: &str| {
        let parts = format!("part,material,length,width,qty\n{rows}");
        let nest =
            Nest::new().file("parts.csv", parts).file("stock.csv", "material,length,width\npine,2400,600\n");
        let ran = nest.args("plan parts.csv --stock stock.csv --units mm -q").any_stdout().complains(said);
        ran.exit(if said.is_empty() { 0 } else { 2 });
    };
    mm("a,pine,600,300,2,\nb,pine,600,200,5,\n", "");
    mm("a,pine,600,300,5,\nb,pine,600,200,5,\n", "is `300,5` one number?");
    // A number that lost its comma takes the place of the empty cell, and is to blame alone.
    let one = "found 6 cells: is `700,5` one number?\n --> parts.csv:3:8\n";
    mm("a,pine,600,300,2,\nb,pine,700,5,200,1\nc,pine,600,100,2,\n", one);
    mm("b,pine,800,5,200,\nb,pine,700,5,200,1\nc,pine,600,5,100,\n", "one number? (and in lines 3 and 4)");
    // One row is no habit, nor are commas at some of them, nor numbers where words belong.
    list("width,qty", &format!("{rail}1,\n")).complains(split).exit(2);
    list("width,qty", &format!("{rail}1,\nrail,pine,3/4,36,1,1\n")).complains(split).exit(2);
    list("width,qty", &format!("{rail}1,\nrail,pine,3/4,36,1,1,,\n")).complains(split).exit(2);
    list("width,qty,note", &format!("{rail}5,2,\n{rail}5,2,\n")).complains("is `36,1` one number?").exit(2);
    list("width,qty,note", &format!("{rail}5,2,\n{rail}x,2,\n")).complains("is `36,1` one number?").exit(2);
}

#[test]
fn a_header_in_between_and_one_of_one_column() {
    for again in [PARTS.to_owned(), PARTS.replace("part,material", "Part,MATERIAL")] {
        let ran = plan(format!("{PARTS}{again}"))
            .complains("error: the header stands here once more\n --> parts.csv:3:1\n")
            .exit(2);
        assert_eq!(ran.stderr.matches("error: ").count(), 1, "{}", ran.stderr);
    }
    // Nothing follows for its rows, whatever is in them.
    let file =
        "hint: a list is text with columns separated by commas, semicolons or tabs: is it the right file?\n";
    for (other, hint) in [
        (
            PARTS.replace(',', "|").replace("36", "36,5"),
            "hint: the names are separated by `|`: separate columns by commas, semicolons or tabs\n",
        ),
        ("{\n\"a\": [1, 2],\n{\n\"b\": 3\n".into(), file),
        ("units = \"in\"\n[boards]\n".into(), file),
    ] {
        let ran = plan(other).complains(hint).exit(2);
        assert_eq!(ran.stderr.matches("error: ").count(), 1, "{}", ran.stderr);
    }
}

#[test]
fn a_header_without_an_end_is_refused_at_once() {
    plan(",".repeat(10_000_000))
        .complains("error: expected at most 20000 columns, but there are more\n")
        .exit(2);
}

#[test]
fn a_list_that_is_given_twice_counts_once() {
    let run = |args: &str| {
        let nest = Nest::new().file("parts.csv", PARTS).file("stock.csv", STOCK).folder("sub");
        nest.file("rack.csv", STOCK).args("plan parts.csv --stock stock.csv --units in -q").args(args)
    };
    let hint = "  = hint: leave one out: all that is in it would count twice\n";
    let twice = |args: &str, said: &str| {
        run(args).stderr(&format!("error: {said}\n{hint}")).exit(2);
    };
    twice("--rack rack.csv --rack rack.csv", "rack.csv is given twice");
    twice("--rack rack.csv --rack sub/../rack.csv", "sub/../rack.csv is given twice, first as rack.csv");
    twice("--rack ./stock.csv", "./stock.csv is given twice, first as stock.csv");
    twice("parts.csv", "parts.csv is given twice");
    // That there is no stock then would be no news.
    // Nor that one of stock is none of parts.
    for (name, list) in [("parts.csv", PARTS), ("stock.csv", STOCK)] {
        let both = format!(
            "error: ./{name} is given twice, as parts and as stock, first as {name}\n  = hint: what is to be made is one \
             list, what can be bought or is on hand another: `nest plan parts.csv --stock stock.csv`\n"
        );
        let nest = Nest::new().file(name, list);
        nest.args(&format!("plan {name} --stock ./{name} --units in")).stderr(&both).exit(2);
    }
    run("--rack rack.csv").any_stdout().exit(0);
    // Standard input has two names, a file as many as it has links.
    #[cfg(unix)]
    {
        let two = "error: /dev/stdin is given twice, first as -\n";
        let nest = Nest::new().file("stock.csv", STOCK).stdin(PARTS);
        nest.args("plan - /dev/stdin --stock stock.csv --units in").stderr(&format!("{two}{hint}")).exit(2);
        let ran = run("").any_stdout().exit(0);
        std::fs::hard_link(ran.path("rack.csv"), ran.path("link.csv")).unwrap();
        ran.then()
            .args("plan parts.csv --stock stock.csv --rack rack.csv --rack link.csv --units in")
            .stderr(&format!("error: link.csv is given twice, first as rack.csv\n{hint}"))
            .exit(2);
    }
    let nest = Nest::new().file("stock.csv", STOCK).stdin(PARTS);
    nest.args("plan - - --stock stock.csv --units in").complains("standard input can be read once").exit(2);
    // Whatever is wrong in it is said once.
    let ran = run("parts.csv").file("parts.csv", PARTS.replace("pine", "pnie")).any_stderr().exit(2);
    assert_eq!(ran.stderr.matches("error: ").count(), 2, "{}", ran.stderr);
}

#[test]
fn lists_that_are_swapped_are_read_as_what_they_are() {
    let swapped = "error: the lists are swapped: stock.csv is one of stock, and parts.csv one of parts\n  = hint: exchange the two on the command line\n";
    let run = |parts: &str, stock: &str| {
        let nest = Nest::new().file("parts.csv", parts).file("stock.csv", stock);
        nest.args("plan stock.csv --stock parts.csv --units in").any_stdout().any_stderr().exit(2).stderr
    };
    assert_eq!(run(PARTS, STOCK), swapped);
    // Names of stock may be those of parts, and nothing but the names of parts may tell which is which.
    assert_eq!(run(PARTS, &STOCK.replace("material", "name,material").replace("pine", "x,pine")), swapped);
    assert_eq!(run(PARTS, "material,thickness,length,width\npine,3/4,8',1 1/2\n"), swapped);
    // All else that is wrong in them is told as well.
    let more = run(&PARTS.replace("36", "36x"), &STOCK.replace("2.60", "free"));
    assert!(
        more.starts_with(swapped) && more.contains("parts.csv:2:15") && more.contains("stock.csv:2:19"),
        "{more}"
    );
    assert_eq!(more.matches("error: ").count(), 3, "{more}");
    // One of them alone says nothing.
    assert!(
        !run(PARTS, &PARTS.replace("pine", "oak")).contains("swapped")
            && !run(STOCK, STOCK).contains("swapped")
    );
}

#[test]
fn jobs_are_told_apart_as_materials_are() {
    let header = "part,material,thickness,length,width,job";
    let rows = "a,pine,3/4,30,1 1/2,Hall\nb,PINE,3/4,24,1 1/2,hall\nc, pine ,3/4,20,1 1/2,HALL \n\
                d,pine,3/4,12,1 1/2,\"hall  \"\ne,pine,3/4,12,1 1/2,Hall 2\n";
    Nest::new()
        .file("parts.csv", format!("{header}\n{rows}"))
        .file("stock.csv", STOCK)
        .args("plan parts.csv --stock stock.csv --units in")
        .says("5 pieces for Hall and Hall 2.\n")
        .says("\nHall    4 pieces")
        .exit(0);
}

#[test]
fn a_board_without_a_name_has_its_size_beside_it_once() {
    let ran = Nest::new()
        .file("parts.csv", "part,material,thickness,length,width,qty\nshelf,oak,20,800,60,3\n")
        .file("stock.csv", "material,thickness,length,width,form\noak,20,2500,150,board\n")
        .args("plan parts.csv --stock stock.csv --units mm -o out")
        .says("1  oak    2500 mm x 150 mm\n")
        .exit(0);
    let report = ran.read("out/report.html");
    assert!(
        report.contains("<h3>Layout 1: 1 × <bdi>oak</bdi> (2500\u{a0}mm\u{a0}x\u{a0}150\u{a0}mm)</h3>"),
        "{report}"
    );
    assert!(ran.read("out/diagrams/layout-1-oak-20-mm.svg").contains("oak (2500 mm x 150 mm), yield"));
}

#[test]
fn no_line_ends_inside_a_size() {
    let parts = "part,material,thickness,length,width\nshelf,moulding of primed mdf,14,800,60\n";
    let ran = Nest::new()
        .file("parts.csv", parts)
        .file("stock.csv", "material,thickness,length,width,form\nmoulding of primed mdf,14,2500,150,board\n")
        .args("plan parts.csv --stock stock.csv --units mm -o out")
        .any_stdout()
        .exit(0);
    let labels = ran.read("out/labels.html");
    assert!(labels.contains("14\u{a0}mm") && labels.contains("800\u{a0}mm x 60\u{a0}mm"), "{labels}");
    assert!(!labels.contains("14 mm"), "{labels}");
    let report = ran.read("out/report.html");
    assert!(report.contains("\u{a0}mm to spare"), "{report}");
}

#[test]
fn a_note_is_whole_on_its_label_in_letters_that_can_be_read() {
    let note = "ease the front edge, drill for pins before assembly, the rough side meets the wall";
    let long = format!("{note}, {note}, {note}");
    let parts = format!(
        "part,material,thickness,length,width,note\nside,ply,18,800,300,\"{note}\"\nback,ply,18,800,300,\"{long}\"\n"
    );
    let ran = Nest::new()
        .file("parts.csv", parts)
        .file("stock.csv", "material,thickness,length,width,form\nply,18,2440,1220,sheet\n")
        .args("plan parts.csv --stock stock.csv --units mm -q -o out")
        .any_stdout()
        .exit(0);
    let labels = ran.read("out/labels.html");
    let notes: Vec<&str> = labels.lines().filter(|line| line.starts_with("<p class=\"remark\"")).collect();
    let [whole, cut] = notes.as_slice() else { panic!("{labels}") };
    let text = |line: &str| line.replace("</bdi><bdi>", " ");
    assert!(text(whole).contains(&format!("<bdi>{note}</bdi>")), "{whole}");
    assert!(text(cut).contains("ease the front edge") && cut.contains("…"), "{cut}");
    for line in notes {
        let letters: i64 = line.split("--f:").nth(1).unwrap().split('"').next().unwrap().parse().unwrap();
        assert!(letters >= 212, "6 pt: {line}");
    }
}
