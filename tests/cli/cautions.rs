//! Cautions name the pieces they are about, and the limits are the shop's.

use crate::harness::Nest;

const PARTS: &str = "part,material,thickness,length,width,qty,grain\n\
                     cleat,mdf,3/4,30,1/2,2,length\nspacer,mdf,3/4,4,10,1,length\nside,mdf,3/4,84,20,2,length\n\
                     shelf,mdf,3/4,30,12,1,length\n";
const STOCK: &str = "material,form,thickness,length,width,price,grain\nmdf,sheet,3/4,97,49,46,length\n";

/// Each caution of the report: its title, and what it is about, as text without markup.
fn cautions(shop: &str) -> Vec<(String, String)> {
    cautions_of(PARTS, STOCK, shop)
}

fn cautions_of(parts: &str, stock: &str, shop: &str) -> Vec<(String, String)> {
    let ran = Nest::new()
        .file("parts.csv", parts)
        .file("stock.csv", stock)
        .file("shop.toml", format!("units = \"in\"\n{shop}"))
        .args("plan parts.csv --stock stock.csv --shop shop.toml -q -o out")
        .any_stdout()
        .exit(0);
    let report = ran.read("out/report.html");
    let section = report.split_once("<h2>Before you cut</h2>").unwrap().1.split_once("</section>").unwrap().0;
    let plain = |text: &str| {
        text.replace("<bdi>", "").replace("</bdi>", "").replace("&#34;", "\"").replace('\u{a0}', " ")
    };
    (section.split("<h3>").skip(1))
        .map(|caution| {
            let title = caution.split('<').next().unwrap().to_string();
            let about = caution
                .split_once("class=\"about\">In this plan: ")
                .map_or("", |(_, rest)| rest.split("</p>").next().unwrap());
            (title, plain(about))
        })
        .collect()
}

#[test]
fn cautions_name_what_they_are_about() {
    let found = cautions("");
    let said: Vec<(&str, &str)> =
        found.iter().map(|(title, about)| (title.as_str(), about.as_str())).collect();
    assert_eq!(
        said,
        [
            ("Narrow strips", "no. 1 cleat (1/2\")."),
            ("Short pieces", "no. 2 spacer (4\")."),
            ("Short rips", "layout 2 (cut 4)."),
            // 97 x 49 x 3/4 in at 48 lb in a cubic foot: 99.0 lb.
            ("Heavy sheets", "mdf 3/4\", 97\" x 49\" (about 99 lb)."),
            ("Perhaps tall units", "no. 3 side (84\")."),
            ("Dust", "mdf."),
            ("At the saw", ""),
            ("What comes first", ""),
        ]
    );
}

#[test]
fn the_shop_sets_its_own_limits() {
    let shop = "[limits]\nnarrow = \"1/4\"\nshort = \"2\"\nrip = \"4\"\ntall = \"8'\"\nlift = \"120 lb\"\n";
    let titles: Vec<String> = cautions(shop).into_iter().map(|(title, _)| title).collect();
    assert_eq!(titles, ["Dust", "At the saw", "What comes first"]);
    let found = cautions("[limits]\nshort = \"31\"\n[weight]\nMDF = \"20 lb/cu ft\"\n");
    assert_eq!(found[1].1, "no. 1 cleat (30\"); no. 2 spacer (4\"); no. 4 shelf (30\").");
    assert!(found.iter().all(|(title, _)| title != "Heavy sheets"), "41 lb: {found:?}");
}

#[test]
fn rips_along_a_short_edge_are_named_by_their_cuts() {
    let parts = "part,material,thickness,length,width,qty\nlid,mdf,3/4,10,13,3\n";
    let stock = "material,form,thickness,length,width,price\nmdf,sheet,3/4,10,40,9\n";
    let of = |shop: &str| {
        let found = cautions_of(parts, stock, shop);
        found.into_iter().find(|(title, _)| title == "Short rips").map(|(_, about)| about)
    };
    assert_eq!(of("").as_deref(), Some("layout 1 (cuts 1–3)."));
    assert_eq!(of("[limits]\nrip = \"10\"\n"), None);
}

#[test]
fn a_job_that_is_most_likely_a_slip_is_named() {
    let said = |jobs: &[(&str, usize)]| {
        let row = |job: &str| format!("shelf,mdf,3/4,30,12,{job}\n");
        let rows: String = jobs.iter().map(|(job, rows)| row(job).repeat(*rows)).collect();
        let parts = format!("part,material,thickness,length,width,job\n{rows}");
        let nest = Nest::new().file("parts.csv", parts).file("stock.csv", STOCK);
        let ran = nest.args("plan parts.csv --stock stock.csv --units in --effort none");
        let lines = ran.any_stdout().any_stderr().exit(0).stderr;
        lines
            .split_inclusive('\n')
            .filter(|line| line.contains("the job"))
            .map(String::from)
            .collect::<String>()
    };
    assert_eq!(
        said(&[("kitchen", 3), ("kitchn", 1), ("Hall A", 4), ("Hall B", 1)]),
        "warning: the job kitchn, of 1 row, is nearly called like kitchen: is it the same one?\n"
    );
    // As many rows are no slip, nor few that go with few.
    for jobs in
        [[("kitchen", 6), ("kitchn", 3)], [("kitchen", 2), ("kitchn", 1)], [("job 1", 9), ("job 2", 1)]]
    {
        assert_eq!(said(&jobs), "");
    }
}

#[test]
fn what_is_too_long_to_be_true_or_on_hand_twice_is_doubted() {
    let said = |stock: &str, rack: &str, units: &str| {
        let parts = "part,material,section,length\nrail,fir,1x4,300\n";
        let ran = Nest::new()
            .file("parts.csv", parts)
            .file("stock.csv", format!("name,material,section,length,price,on_hand\n{stock}"))
            .file("rack.csv", format!("name,material,section,length\n{rack}"))
            .args(&format!("plan parts.csv --stock stock.csv --rack rack.csv --effort none --units {units}"))
            .any_stdout()
            .any_stderr()
            .exit(0);
        ran.stderr
            .lines()
            .filter_map(|line| line.split_once("warning: "))
            .map(|(_, text)| text.to_owned())
            .collect::<Vec<String>>()
    };
    let none: Vec<String> = Vec::new();
    let board = "fir board,fir,1x4,2400,6,\n";
    assert_eq!(said(board, "end,fir,1x4,800\n", "mm"), none);
    let long = "fir board (and 1 further row) is longer than 65 ft (20 m), which is more than boards and sheets are; is its \
                unit right?";
    assert_eq!(said(board, "end,fir,1x4,800\n", "in"), [long]);
    let kept = "end,fir,1x4,800,,yes\n";
    // Another length is another piece, and so is one that is to be bought.
    assert_eq!(said(&format!("{board}{kept}"), "end,fir,1x4,700\nfir board,fir,1x4,2400\n", "mm"), none);
    let twice = "is on hand in two rows with the same size: both count; delete one if they are the same piece, or write how \
                 many there are into `qty`";
    assert_eq!(said(&format!("{board}{kept}"), "End,fir,1x4,800\n", "mm"), [format!("End {twice}")]);
    // What nobody named has a name of its own in each row.
    let unnamed = said(&format!("{board},fir,1x4,800,,yes\n"), ",fir,1x4,800\n", "mm");
    assert!(unnamed.len() == 1 && unnamed[0].contains(twice), "{unnamed:?}");
}

#[test]
fn nobody_guesses_the_weight_of_what_is_not_known() {
    let heavy = |material: &str, shop: &str| {
        let ran = Nest::new()
            .file("parts.csv", format!("part,material,thickness,length,width\nshelf,{material},3/4,30,12\n"))
            .file(
                "stock.csv",
                format!("material,form,thickness,length,width,price\n{material},sheet,3/4,96,48,9\n"),
            )
            .file("shop.toml", format!("units = \"in\"\n{shop}"))
            .args("plan parts.csv --stock stock.csv --shop shop.toml -o out")
            .any_stdout()
            .any_stderr()
            .exit(0);
        let summary =
            ran.stdout.lines().find(|line| line.starts_with("Heavy sheets")).unwrap_or("").to_string();
        (summary, ran.read("out/report.html").contains("weigh one first"))
    };
    let (summary, advice) = heavy("bamboo", "");
    assert_eq!(summary, "Heavy sheets: bamboo 3/4\", 96\" x 48\" (weight not known).");
    assert!(advice);
    let (summary, advice) = heavy("bamboo", "[weight]\nbamboo = \"43 lb/cu ft\"\n");
    // Two cubic feet.
    assert_eq!(summary, "Heavy sheets: bamboo 3/4\", 96\" x 48\" (about 86 lb).");
    assert!(!advice);
    assert_eq!(heavy("bamboo", "[weight]\nbamboo = \"20 lb/cu ft\"\n").0, "");
}

/// The summary of a plan, in one line.
fn summary(parts: &str, stock: &str, more: &str) -> String {
    let ran = Nest::new()
        .file("parts.csv", parts)
        .file("stock.csv", stock)
        .args(&format!("plan parts.csv --stock stock.csv --units in {more}"))
        .any_stdout()
        .any_stderr()
        .exit(0);
    ran.stdout.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What stands in a text behind a beginning, up to an end; nothing where it does not begin so.
fn behind(text: &str, begins: &str, ends: &str) -> String {
    text.split_once(begins).and_then(|(_, rest)| rest.split(ends).next()).unwrap_or_default().to_owned()
}

#[test]
fn what_stands_upright_is_long_along_its_grain_and_no_rail() {
    let tall = |parts: &str, stock: &str| behind(&summary(parts, stock, ""), "Perhaps tall units: ", ").");
    // Boards of a bookcase count as sheets do; its stiles do not.
    let parts = "part,material,section,length\nside,pine,1x12,82 1/4\nstile,pine,1x4,82 1/4\n";
    let stock = "material,section,length,price\npine,1x12,8',20\npine,1x4,8',5\n";
    assert_eq!(tall(parts, stock), "no. 1 side (82 1/4\"");
    let parts = "part,material,thickness,length,width,grain\nwide,oak,3/4,16,70,width\nany,oak,3/4,16,71,any\n\
                 lying,oak,3/4,72,16,width\nrail,oak,3/4,73,3 3/4,\n";
    let stock = "material,thickness,length,width,price,grain\noak,3/4,110,82,80,length\n";
    assert_eq!(tall(parts, stock), "no. 1 wide (70\"), no. 2 any (71\"");
    let (parts, stock) =
        (parts.replace("oak", "mdf"), stock.replace("oak", "mdf").replace("length\n", "none\n"));
    assert_eq!(tall(&parts, &stock), "no. 1 wide (70\"), no. 2 any (71\"), no. 3 lying (72\"");
}

#[test]
fn owned_pieces_that_may_have_factory_edges_are_named() {
    let parts = "part,material,thickness,length,width\nside,oak,3/4,60,30\n";
    let used = |name: &str, size: &str, trim: &str| {
        let stock = format!(
            "name,material,thickness,length,width,price,grain,on_hand\nnew,oak,3/4,96,48,80,length,\n\
             {name},oak,3/4,{size},20,length,yes\n"
        );
        let said = summary(parts, &stock, &format!("--trim {trim}"));
        let found =
            [("Owned, as large as new: ", "."), ("Factory edges still on: ", "."), ("edge trim ", ";")];
        found.map(|(begins, ends)| behind(&said, begins, ends))
    };
    let all = "1/2\" each end, 1/2\" each edge";
    let owned = format!("{all} (none on what you own)");
    assert_eq!(used("old", "96,48", "1/2"), ["old (96\" x 48\")", "", &owned]);
    assert_eq!(used("old", "96,47", "1/2"), ["", "", &owned]);
    assert_eq!(used("old", "96,48", "0"), ["", "", "none"]);
    assert_eq!(used("old", "40,20", "1/2"), ["", "", all], "not used");
    let edged = "\"oak, offcut, factory right end on\"";
    assert_eq!(used(edged, "96,48", "1/2"), ["", "oak, offcut, factory right end on", &owned]);
}

#[test]
fn dust_of_fibre_boards_is_named() {
    for material in ["HDF white", "high density fibreboard", "MDF"] {
        let parts = format!("part,material,thickness,length,width\nback,{material},1/8,20,20\n");
        let stock = format!("material,thickness,length,width,price,grain\n{material},1/8,96,48,9,none\n");
        assert_eq!(behind(&summary(&parts, &stock, ""), "Dust: ", "."), material);
    }
}

#[test]
fn the_summary_names_what_needs_care() {
    let ran = |more: &str| {
        Nest::new()
            .file("parts.csv", PARTS)
            .file("stock.csv", STOCK)
            .args(&format!("plan parts.csv --stock stock.csv --units in {more}"))
            .any_stdout()
            .any_stderr()
            .exit(0)
            .stdout
    };
    let said = ran("");
    let care = said.split_once("Take care\n").unwrap().1.split_once("\n\n").unwrap().0;
    assert_eq!(
        care,
        "Narrow strips: no. 1 cleat (1/2\").\nShort pieces: no. 2 spacer (4\").\n\
         Short rips: layout 2 (cut 4).\n\
         Heavy sheets: mdf 3/4\", 97\" x 49\" (about 99 lb).\nPerhaps tall units: no. 3 side (84\").\nDust: mdf.\n\
         The report says what to do; the manual of your saw comes first."
    );
    assert!(!ran("--quiet").contains("Take care"));
}

#[test]
fn what_does_not_go_into_the_vehicle_is_named() {
    let title = "Too large for the vehicle";
    let about =
        |shop: &str| cautions(shop).into_iter().find(|(found, _)| found == title).map(|(_, about)| about);
    assert_eq!(about("[vehicle]\nlength = \"98\"\nwidth = \"49\"\n"), None);
    for small in ["length = \"96\"\n", "length = \"98\"\nwidth = \"48\"\n"] {
        let about = about(&format!("[vehicle]\n{small}")).unwrap();
        assert!(about.contains("mdf") && about.contains("97\" x 49\""), "{about}");
    }
}

#[test]
fn names_with_commas_do_not_run_together() {
    let stock = "name,material,form,thickness,length,width,qty,on_hand\n\
                 \"one, factory right end on\",mdf,sheet,3/4,30,12,1,yes\n\"two, factory right end on\",mdf,sheet,3/4,31,12,1,yes\n";
    Nest::new()
        .file("parts.csv", "part,material,thickness,length,width,qty\nshelf,mdf,3/4,29,12,2\n")
        .file("stock.csv", stock)
        .args("plan parts.csv --stock stock.csv --units in")
        .any_stderr()
        .says("Factory edges still on: one, factory right end on; two, factory right end on.")
        .exit(0);
}
