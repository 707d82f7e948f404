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
