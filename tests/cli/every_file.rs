//! The same faults in every kind of file: parts, stock, rack, shop, and the plan that is checked or drawn.
//!
//! Each is refused with one clear error at its place, exit code 2, and nothing is written.

use crate::harness::Nest;

/// A sound file of each kind, with the word that a message calls it by.
const FILES: [(&str, &str, &str); 4] = [
    ("parts.csv", "parts", "part,material,thickness,length,width,qty\nrail,pine,3/4,36,1 1/2,2\n"),
    ("stock.csv", "stock", "material,thickness,length,width,qty\npine,3/4,8',1 1/2,\n"),
    ("rack.csv", "the rack", "material,thickness,length,width,qty\npine,3/4,40,1 1/2,1\n"),
    ("shop.toml", "shop settings", "units = \"in\"\n[boards]\nkerf = \"1/8\"\n"),
];

/// A plan into a folder, from sound files but for one of them.
fn with(name: &str, content: impl AsRef<[u8]>) -> Nest {
    let nest = FILES.iter().filter(|file| file.0 != name).fold(Nest::new(), |n, f| n.file(f.0, f.2));
    nest.file(name, content).args(PLAN)
}

const PLAN: &str = "plan parts.csv --stock stock.csv --rack rack.csv --shop shop.toml -o out";

/// Refused with these words, and nothing but the four files is there.
fn refused(nest: Nest, words: &str) {
    let ran = nest.complains(words).exit(2);
    assert_eq!(ran.names(), ["parts.csv", "rack.csv", "shop.toml", "stock.csv"]);
    assert!(ran.stderr.starts_with("error: "), "{}", ran.stderr);
}

/// The lists; a shop file has its own rows below.
fn lists() -> impl Iterator<Item = (&'static str, &'static str, &'static str)> {
    FILES.into_iter().filter(|file| file.0 != "shop.toml")
}

#[test]
fn empty_without_rows_or_without_a_column() {
    for (name, what, sound) in lists() {
        for nothing in ["", "\n \n\n"] {
            refused(with(name, nothing), &format!("error: the list of {what} is empty\n --> {name}:1:1\n"));
        }
        let header = sound.lines().next().unwrap();
        let alone = format!("error: the list of {what} has a header but no rows\n --> {name}:1:1\n");
        // A rack may be empty; see `offcuts`.
        if name != "rack.csv" {
            refused(with(name, header), &alone);
        }
        let lacks = format!("error: the list of {what} lacks the column `length`\n --> {name}:1:1\n");
        refused(with(name, sound.replace("length", "finish")), &lacks);
    }
    // A shop that says nothing leaves the units open.
    refused(
        with("shop.toml", ""),
        "error: expected a unit after `3/4`, but found none\n --> parts.csv:2:11\n",
    );
}

#[test]
fn values_that_cannot_be_meant() {
    let lengths = [
        ("36 furlongs", "expected a unit of length, but found `furlongs`"),
        ("-36", "expected a length above zero, but found `-36`"),
        ("0", "expected a length above zero, but found `0`"),
        ("NaN", "expected a number, but found `NaN`"),
        ("1000000000", "expected a length up to 13.7 km, but found `1000000000`"),
    ];
    for (name, _, sound) in lists() {
        let row = sound.lines().nth(1).unwrap();
        let cells: Vec<&str> = row.split(',').collect();
        let at = sound.lines().next().unwrap().split(',').position(|column| column == "length").unwrap();
        let start: usize = 1 + cells[..at].iter().map(|cell| cell.len() + 1).sum::<usize>();
        for (value, words) in lengths {
            let bad = sound.replace(&format!(",{},", cells[at]), &format!(",{value},"));
            assert_ne!(bad, sound);
            // The place is the column of the cell, or of the unit in it.
            let column = start + if value.contains(' ') { 3 } else { 0 };
            let nest = with(name, &bad).complains(&format!(" --> {name}:2:{column}\n"));
            refused(nest, &format!("error: {words}"));
        }
        let quantity = format!("{},1000000000\n", row.rsplit_once(',').unwrap().0);
        let many = format!("{}\n{quantity}", sound.lines().next().unwrap());
        let words = "error: expected a quantity of at most 1000000, but found `1000000000`\n";
        refused(with(name, many).complains(&format!(" --> {name}:2:")), words);
    }
    let kerf = |value: &str| with("shop.toml", format!("units = \"in\"\n[boards]\nkerf = {value}\n"));
    for (value, words) in lengths.into_iter().filter(|(value, _)| *value != "0") {
        refused(kerf(&format!("\"{value}\"")).complains(" --> shop.toml:3:"), &format!("error: {words}"));
    }
    refused(kerf("nan"), "error: expected a number, but found `nan`\n --> shop.toml:3:8\n");
    refused(kerf("[1, 2]"), "error: expected one value for `boards.kerf`, but found 2\n");
    let ran = kerf("{ a = 1 }").any_stderr().exit(2);
    assert_eq!(ran.stderr.matches("error: ").count(), 1, "{}", ran.stderr);
}

#[test]
fn bytes_that_are_no_text_of_ours() {
    for (name, what, sound) in FILES {
        let latin = [sound.as_bytes(), b"\xEF\n"].concat();
        let words = format!("error: {name} is not UTF-8 text: byte {} (line", sound.len() + 1);
        refused(with(name, latin), &words);
        let wide: Vec<u8> = "\u{feff}units".encode_utf16().flat_map(u16::to_le_bytes).collect();
        refused(with(name, wide), &format!("error: {name} is UTF-16 text, but UTF-8 was expected\n"));
        let folder = FILES.iter().filter(|f| f.0 != name).fold(Nest::new(), |n, f| n.file(f.0, f.2));
        let words = format!("error: {name} is a folder, but a file of {what} was expected\n");
        refused(folder.folder(name).args(PLAN), &words);
        let hole = FILES.iter().filter(|f| f.0 != name).fold(Nest::new(), |n, f| n.file(f.0, f.2));
        refused(hole.hole(name, 200 << 20).args(PLAN), &format!("error: {name} is larger than 64 MiB\n"));
    }
}

#[test]
fn line_ends_marks_and_separators_that_are_read() {
    let read = |name: &str, content: String| {
        let ran = with(name, content).any_stdout().exit(0);
        assert!(ran.stdout.contains(": 2 pieces.\n\nBuy\n"), "{}", ran.stdout);
    };
    for (name, _, sound) in FILES {
        read(name, sound.replace('\n', "\r\n"));
        read(name, format!("\u{feff}{sound}"));
    }
    for (name, _, sound) in lists() {
        read(name, sound.replace(',', ";").replace("1 1/2", "1,5").replace("3/4", "0,75"));
    }
}

#[test]
fn stock_that_stands_twice_is_twice_there() {
    let twice = format!("{}pine,3/4,8',1 1/2,1\n", FILES[1].2.replace("1 1/2,\n", "1 1/2,1\n"));
    let parts = FILES[0].2.replace("36,1 1/2,2", "36,1 1/2,5");
    let nest = FILES.iter().filter(|f| f.0 == "rack.csv" || f.0 == "shop.toml");
    let nest = nest.fold(Nest::new(), |n, f| n.file(f.0, f.2)).file("parts.csv", parts);
    nest.file("stock.csv", twice).args(PLAN).says("5 pieces.").exit(0);
}

#[test]
fn plans_that_are_none() {
    let whole = with("parts.csv", FILES[0].2).any_stdout().exit(0).read("out/plan.json");
    let half = &whole[..whole.len() / 2];
    let cases: [(&[u8], &str); 6] = [
        (b"", "error: plan.json: expected a plan, but found an empty file\n"),
        (half.as_bytes(), "error: the plan breaks off here"),
        (
            b"part,material,length\n",
            "error: expected a plan.json of nest, but found something else\n --> plan.json:1:1\n",
        ),
        (b"[]", "error: plan.json: expected `format` to say \"nest-plan\", but found no `format`\n"),
        (b"\xFF\xFE[\0", "error: plan.json: expected UTF-8, but found UTF-16\n"),
        (b"{\"format\": \"\xE4\"}", "error: expected UTF-8, but found other bytes\n --> plan.json:1:13\n"),
    ];
    for command in ["check plan.json", "draw plan.json -o out"] {
        let judged = |nest: Nest, words: &str| {
            let ran = nest.args(command).complains(words).exit(2);
            assert!(ran.names().iter().all(|name| name == "plan.json"), "{:?}", ran.names());
        };
        for (bytes, words) in cases {
            judged(Nest::new().file("plan.json", bytes), words);
        }
        judged(Nest::new(), "error: there is no file plan.json to read a plan from\n");
        judged(
            Nest::new().folder("plan.json"),
            "error: plan.json is a folder, but a file of a plan was expected\n",
        );
        judged(
            Nest::new().hole("plan.json", 200 << 20),
            "error: expected a plan.json of nest, but found something else\n",
        );
        // As other editors save it.
        let saved = format!("\u{feff}{}", whole.replace('\n', "\r\n"));
        Nest::new().file("plan.json", saved).args(command).any_stdout().exit(0);
    }
}

#[test]
fn kerfs_that_no_saw_takes_are_questioned() {
    let wide = |kerf: &str| with("shop.toml", format!("units = \"in\"\n[boards]\nkerf = \"{kerf}\"\n"));
    let ran = wide("3.2")
        .any_stdout()
        .complains("warning: the kerf is wider than 1/2 in (12.7 mm), which is more than saws for wood take")
        .complains(" --> shop.toml:3:9\n")
        .exit(0);
    assert_eq!(ran.stderr.matches("warning: ").count(), 1, "{}", ran.stderr);
    wide("1/2").any_stdout().exit(0);
}

#[test]
fn flags_that_cannot_be_meant() {
    for (flag, words) in [
        ("--kerf -1/8", "error: expected a length above zero, but found `-1/8`\n --> --kerf:1:1\n"),
        ("--trim NaN", "error: expected a number, but found `NaN`\n --> --trim:1:1\n"),
        ("--stages -1", " --> --stages:1:1\n"),
        ("--time-limit -3s", "error: expected a time for --time-limit, but found `-3s`\n"),
        ("--time-limit 0s", "error: expected a time for --time-limit, but found `0s`\n"),
        ("--spare -5%", "error: expected a percentage from 0 to 100 for --spare, but found `-5%`\n"),
        ("--seed -1", "error: expected a whole number, 0 or more, for --seed, but found `-1`\n"),
        ("--threads 0", "error: expected a whole number, 1 or more, for --threads, but found `0`\n"),
        ("--label-start 0", "error: expected a whole number, 1 or more, for --label-start, but found `0`\n"),
        ("--labels 0x0", "error: expected 1 to 50 columns and rows of labels, but found 0 (--labels)\n"),
    ] {
        refused(with("parts.csv", FILES[0].2).args(flag), words);
    }
    // All at once, and with what is wrong with the lists.
    let all = "--time-limit soon --effort quik --seed x --threads y --label-start z --labels 40x3 --kerf q";
    let ran = with("parts.csv", "part,material,length\n").args(all).any_stderr().exit(2);
    for said in ["--time-limit", "hint: did you mean `quick`?", "--seed", "--threads", "--label-start"] {
        assert!(ran.stderr.contains(said), "{said}: {}", ran.stderr);
    }
    assert_eq!(ran.stderr.matches("error: ").count(), 8, "{}", ran.stderr);
    // Starting them would take minutes.
    with("parts.csv", FILES[0].2).args("--threads 100000000").any_stdout().exit(0);
}

/// Nobody may make a folder there, whoever runs this.
#[cfg(target_os = "linux")]
#[test]
fn a_place_that_cannot_be_written_to() {
    let ran = with("parts.csv", FILES[0].2).any_stdout().exit(0).then();
    let ran = ran.args("draw out/plan.json -o /sys/out").complains("error: cannot write in `/sys`: ").exit(2);
    let plan = PLAN.replace("-o out", "-o /sys/out");
    let ran = ran.then().args(&plan).complains("error: cannot write in `/sys`: ").exit(2);
    let ran =
        ran.then().args("new /sys/demo").complains("error: the folder /sys/demo cannot be made: ").exit(2);
    assert!(!ran.stderr.contains("os error"), "{}", ran.stderr);
    ran.then().args("new out/plan.json/demo").complains("cannot be made: not a directory\n").exit(2);
}

/// What is optional is not missing, but is named; what could not be made is, with what would complete it.
#[test]
fn stock_that_is_far_too_short() {
    let run = |rows: &str| {
        let parts = format!("part,material,length,qty,optional\n{rows}");
        Nest::new()
            .file("parts.csv", parts)
            .file("stock.csv", "material,length,price,qty\npine,8',2.60,2\npine,10',3.50,1\n")
            .args("plan parts.csv --stock stock.csv --units in -o out")
    };
    let ran = run("rail,pine,36,20,\nleg,pine,20,7,\nslat,pine,10,5,yes\n")
        .says(
            "11 pieces.\n\nLeft over\n15 of 20  rail  36\"\n  1 of 7  leg   20\"\npine: proven: the stock there is cannot \
             yield all of it; 8 more pieces of\npine, 8' (96\") would complete it.\n\nOptional parts not made\n5 of 5  \
             slat  10\"\n",
        )
        .says("Cost 8.70; 16 pieces left over; 5 optional pieces not made; the plan is\nincomplete")
        .exit(1);
    let page = ran.read("out/report.html");
    assert!(page.contains("16 of the pieces asked for could not be made"), "{page}");
    assert!(page.contains("<h2>Left over</h2>") && page.contains("<h2>Optional parts not made</h2>"));
    let ran = run("rail,pine,36,6,\nslat,pine,10,50,yes\n")
        .says("14 pieces.\n\nOptional parts not made\n42 of 50  slat  10\"\n")
        .says("Cost 8.70; 42 optional pieces not made; proven: no plan can cost less.")
        .exit(0);
    let page = ran.read("out/report.html");
    assert!(!page.contains("could not be made") && page.contains("42 of 50"), "{page}");
    assert_eq!(ran.read("out/buy.csv").lines().count(), 3);
    ran.then().args("check out/plan.json").says("The plan is sound").exit(0);
    // What is owned costs nothing, boards and sheets alike.
    for (form, kind) in [("board", "section"), ("sheet", "thickness")] {
        let size = if form == "board" { "1x4" } else { "3/4" };
        let width = if form == "board" { "" } else { "40" };
        let part = |optional| format!("rail,pine,{size},40,{width},any,{optional}\n");
        let ran = Nest::new()
            .file(
                "parts.csv",
                format!("part,material,{kind},length,width,grain,optional\n{}{}", part(""), part("yes")),
            )
            .file(
                "stock.csv",
                format!(
                    "material,form,{kind},length,width,qty,on_hand\npine,{form},{size},48,{width},2,yes\n"
                ),
            )
            .args("plan parts.csv --stock stock.csv --units in -q")
            .says("Bought 0")
            .exit(0);
        assert!(!ran.stdout.contains("optional"), "{}", ran.stdout);
    }
    // Nothing at all to cut from.
    let nothing = "material,length,qty\npine,8',0\n";
    let ran =
        with("stock.csv", nothing).file("rack.csv", nothing).says("Nothing is cut.").says("2 of 2  rail");
    ran.exit(1).then().args("check out/plan.json").says("some parts are left over").exit(0);
}

/// More is named of what somebody can buy, and of that what costs least.
#[test]
fn what_would_complete_a_plan_can_be_bought() {
    let run = |stock: &str| {
        Nest::new()
            .file("parts.csv", "part,material,length,qty,section\nleg,fir,400,8,2x4\n")
            .file("stock.csv", format!("name,material,section,length,price,qty,on_hand\n{stock}"))
            .args("plan parts.csv --stock stock.csv --units mm")
    };
    let long = "long,fir,2x4,2400,5,1,\n";
    let oddment = "oddment,fir,2x4,450,,1,yes\n";
    run(&format!("{long}{oddment}")).says("1 more piece of\nlong (2400 mm) would complete it.").exit(1);
    run(&format!("{long}short,fir,2x4,450,9,1,\n"))
        .says("1 more piece of\nlong (2400 mm) would complete it.")
        .exit(1);
    let ran = run(oddment).says("Left over").exit(1);
    assert!(!ran.stdout.contains("would complete it"), "{}", ran.stdout);
}

/// More of a stock is named only where it helps: not what the saw may not crosscut, nor for a strip longer than that stock.
#[test]
fn what_would_not_complete_a_plan_is_not_named() {
    let run = |parts: &str, stock: &str, shop: &str| {
        Nest::new()
            .file("parts.csv", parts)
            .file("stock.csv", stock)
            .file("shop.toml", format!("units = \"mm\"\n[sheets]\nkerf = \"3\"\n{shop}"))
            .args("plan parts.csv --stock stock.csv --shop shop.toml")
    };
    let parts = "part,material,thickness,length,width,qty\na,ply,18,190,50,1\nb,ply,18,60,50,2\n";
    let stock = "name,material,form,thickness,length,width,price,qty,grain\nA,ply,sheet,18,190,50,1,1,length\n\
                 B,ply,sheet,18,60,100,3,1,length\n";
    run(parts, stock, "").says("1 more piece of\nA (190 mm x 50 mm) would complete it").exit(1);
    let ran = run(parts, stock, "longest_crosscut = \"40\"\n").says("Left over").exit(1);
    assert!(!ran.stdout.contains("would complete it"), "{}", ran.stdout);
    let parts = "part,material,section,length,qty,match\nlong,pine,1x4,190,1,\nm,pine,1x4,60,2,MATCH\n";
    let stock = "name,material,section,length,price,qty\nA,pine,1x4,100,1,1\nB,pine,1x4,200,3,1\n";
    run(&parts.replace("MATCH", ""), stock, "").says("more piece of A").exit(1);
    let ran = run(&parts.replace("MATCH", "m"), stock, "").says("Left over").exit(1);
    assert!(!ran.stdout.contains("would complete it"), "{}", ran.stdout);
}

/// Only a far edge is squared off along a line because the fence does not reach: what more is cut from is ripped from the
/// other side.
#[test]
fn what_is_cut_further_is_ripped_from_the_far_side() {
    let ran = Nest::new()
        .file(
            "parts.csv",
            "part,material,thickness,length,width,qty,match,match_way\na,ply,18,100,50,1,m,across\n\
             b,ply,18,100,15,2,m,across\n",
        )
        .file(
            "stock.csv",
            "material,form,thickness,length,width,price,grain\nply,sheet,18,100,86,10,length\n",
        )
        .file("shop.toml", "units = \"mm\"\n[sheets]\nkerf = \"3\"\nfence_reach = \"40\"\n")
        .args("plan parts.csv --stock stock.csv --shop shop.toml -o out")
        .says("Cost 10.00; proven")
        .exit(0);
    let cuts = ran.read("out/cuts.csv");
    assert_eq!(cuts.matches("\"rip\",\"15 mm\"").count(), 2, "{cuts}");
    assert_eq!(cuts.matches("\"upper edge\"").count(), 2, "{cuts}");
    assert!(!cuts.contains("\"square\""), "{cuts}");
}

/// Edge band that is glued on later comes from no sheet.
#[test]
fn no_sheet_yields_more_than_it_is() {
    Nest::new()
        .file(
            "parts.csv",
            "part,material,thickness,length,width,length_edges,width_edges,band\npanel,mdf,19,1004,504,2,2,abs\n",
        )
        .file("stock.csv", "material,form,thickness,length,width,price,grain\nmdf,sheet,19,1000,500,10,none\n")
        .file("shop.toml", "units = \"mm\"\n[band.abs]\nthickness = \"2\"\ndeduct = \"2\"\n")
        .args("plan parts.csv --stock stock.csv --shop shop.toml")
        .says("100.0 %")
        .exit(0);
}

/// Boards with the same pieces are one layout, and blanks are no longer than what is cut from them.
#[test]
fn boards_that_hold_the_same_are_cut_alike_and_blanks_are_no_longer_than_they_need() {
    let planned = |stiles: u32, rails: u32| {
        let rows = format!("stile,poplar,1x4,30 1/2,1 1/2,{stiles}\nrail,poplar,1x4,33,1 1/2,{rails}\n");
        Nest::new()
            .file("parts.csv", format!("part,material,section,length,width,qty\n{rows}"))
            .file("stock.csv", "material,section,length,price\npoplar,1x4,8',11.60\n")
            .file("shop.toml", "units = \"in\"\n[boards]\ntrim = \"1/2\"\n")
            .args("plan parts.csv --stock stock.csv --shop shop.toml -o out")
            .says("; proven: no plan can cost less.")
            .exit(0)
            .read("out/cuts.csv")
    };
    let cuts = planned(8, 4);
    assert!(cuts.lines().skip(1).all(|line| line.starts_with("1,2,")), "{cuts}");
    // Two stiles and a kerf are 61 1/8 in, and 3/4 in of the board are to spare.
    let cuts = planned(10, 6);
    assert!(cuts.contains("61 1/8") && !cuts.contains("61 7/8"), "{cuts}");
}

/// What is as wide as its board has nothing to spare across by nature.
#[test]
fn of_whole_widths_only_the_length_is_to_spare() {
    let ran = Nest::new()
        .file(
            "parts.csv",
            "part,material,section,length,width,qty\nshelf,pine,1x8,40,,2\nslat,pine,1x8,90,3,2\n",
        )
        .file("stock.csv", "material,section,length,price\npine,1x8,8',10\n")
        .args("plan parts.csv --stock stock.csv --units in -o out -q")
        .any_stdout()
        .exit(0);
    let report = ran.read("out/report.html");
    assert!(report.contains(" to spare, yield") && !report.contains("7 1/4&#34; across"), "{report}");
    assert!(report.contains("to spare along, "), "{report}");
}

#[test]
fn a_shop_file_whose_lines_end_with_carriage_returns_alone() {
    let shop = "units = \"in\"\r# old\r[boards]\rkerf = \"1/8\"\r";
    let ran = with("shop.toml", shop).any_stdout().any_stderr();
    ran.exit(0);
    let wrong = shop.replace("kerf", "krf").replace("# old\r", "# old\r\n");
    let said = "error: unknown setting `boards.krf`\n --> shop.toml:4:1\n  |\n4 | krf = \"1/8\"\n";
    refused(with("shop.toml", wrong), said);
}

#[test]
fn a_file_of_another_kind_as_shop_is_asked_about() {
    let hint = "hint: a shop file has lines such as `units = \"in\"`: is it the right file?\n";
    refused(with("shop.toml", "{\"format\": 1}\n").args("--units in"), hint);
    // One with a slip is the right one.
    let ran = with("shop.toml", "units = \"in\"\n[boards]\nkerf\n").any_stderr().exit(2);
    assert!(!ran.stderr.contains("right file"), "{}", ran.stderr);
}

#[test]
fn what_is_no_toml_has_a_hint() {
    for (shop, hint) in [
        ("units = \"in\"\nunits = \"mm\"\n", "hint: this stands in the file twice: delete one\n"),
        (
            "units = \"in\"\n[boards]\nkerf = \"1/8\n",
            "hint: what opens with a quote ends with one on the same line",
        ),
        (
            "units = \"in\"\n[boards]\n[sheets]\ntrim = 0\n[boards]\nkerf = \"1/8\"\n",
            "hint: this section stands in the file twice: put all of its settings under one\n",
        ),
        ("units = 'in\n[boards]\n", "hint: what opens with a quote ends with one on the same line"),
        ("units = \"in\"\nboards]\nkerf = \"1/8\"\n", "hint: a section stands in brackets: `[boards]`\n"),
        ("units = \"in\"\n[boards\nkerf = \"1/8\"\n", "hint: a section stands in brackets: `[boards]`\n"),
        ("units = \"in\"\n[boards]\nkerf\n", "hint: a setting has a value: `kerf = \"1/8\"`\n"),
        (
            "units = \"in\"\n[band.a.b]\ndeduct = 0\n",
            "hint: a name with a point in it stands in quotes: [band.\"a.b\"]\n",
        ),
        ("units = \"in\"\n[boards.far]\ntrim = 0\n", "hint: [boards] has no sections of its own\n"),
    ] {
        refused(with("shop.toml", shop), hint);
    }
}
