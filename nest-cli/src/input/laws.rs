//! Laws of reading: nothing that stands in a file brings the program down, whatever is refused is shown, and what is
//! read does not depend on how the list was written.

use std::io::empty;

use nest_core::model::{Batch, Unread};
use nest_core::units::Unit;
use proptest::prelude::*;

use super::list::Reading;
use super::toml::Settings;
use super::{Source, parts, shop, stock};
use crate::diagnose::Desk;

/// Text made of what lists are made of, and of what they are not.
fn text() -> impl Strategy<Value = String> {
    let piece = prop::sample::select(vec![
        "part",
        "material",
        "length",
        "width",
        "qty",
        "called",
        "price",
        "per",
        "section",
        "grain",
        "fit",
        "pine",
        "23 5/8\"",
        "5' 11",
        "600 mm",
        "1,220",
        "-5",
        "0",
        "yes",
        "2x4",
        "86.90",
        "\"",
        "\"\"",
        "'",
        "=",
        "#",
        ",",
        ",",
        ",",
        ";",
        "\t",
        "\n",
        "\n",
        "\r\n",
        "\r",
        " ",
        "\u{feff}",
        "\u{202e}",
        "\u{1b}[31m",
        "é",
        "½",
        "\0",
    ]);
    prop_oneof![prop::collection::vec(piece, 0..60).prop_map(|pieces| pieces.concat()), any::<String>(),]
}

fn rows(header: &'static str) -> impl Strategy<Value = String> {
    text().prop_map(move |rest| format!("{header}\n{rest}"))
}

/// Everything on the desk, as a user would see it.
fn printed(desk: &mut Desk) -> String {
    let mut out = Vec::new();
    desk.print_errors(true, &mut out).unwrap();
    desk.print_warnings(true, &mut out).unwrap();
    String::from_utf8(out).unwrap()
}

fn read(parts_text: &str, stock_text: &str) -> (Desk, Option<Batch>) {
    let mut desk = Desk::default();
    let mut reading = Reading::new(Some(Unit::Inch), false);
    let source = desk.add(Source::new("parts.csv", parts_text));
    let parts = parts::read(source, "", &mut reading, &mut desk);
    let source = desk.add(Source::new("stock.csv", stock_text));
    let stock = stock::read(source, &mut reading, &mut desk);
    let batch = parts.zip(stock).map(|(parts, stock)| Batch {
        parts: parts.rows,
        stock: stock.rows,
        ..Batch::default()
    });
    (desk, batch)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    #[test]
    fn no_list_brings_the_reader_down(
        parts in prop_oneof![text(), rows("part,material,length,width,qty,fit"), rows("part;material;length;section")],
        stock in prop_oneof![text(), rows("material,length,price,per,called"), rows("material\tlength\tgrain")],
    ) {
        let (mut desk, batch) = read(&parts, &stock);
        let errors = desk.errors();
        let text = printed(&mut desk);
        prop_assert_eq!(text.contains("error"), errors > 0);
        prop_assert!(batch.is_some() || errors > 0, "refused in silence");
        if let Some(batch) = batch {
            let _ = batch.problems(Unread::default());
        }
    }

    #[test]
    fn no_shop_file_brings_the_reader_down(
        text in prop_oneof![
            any::<String>(),
            prop::collection::vec(prop::sample::select(vec![
                "units", "kerf", "trim", "[boards]", "[sheets]", "[band.x]", "[band]", "[vehicle]", "stages", "length", "=", "=",
                "\"1/8\"", "\"in\"", "3", "0.5", "1/8", "[\"1\", 2]", "{", "}", "true", "1979-05-27", "\n", "\n", " ", "#", "x",
            ]), 0..30).prop_map(|pieces| pieces.join(" ")),
        ],
    ) {
        let mut desk = Desk::default();
        let source = desk.add(Source::new("shop.toml", text));
        let settings = Settings::read(source, &mut desk);
        let mut reading = Reading::new(settings.unit(&mut desk), false);
        let placed = shop::shop(&settings, settings.file_unit(), nest_core::units::System::Inch, &mut reading, &mut desk);
        let _ = Batch { shop: placed.shop, ..Batch::default() }.problems(placed.unread);
        printed(&mut desk);
    }

    #[test]
    fn separators_line_ends_and_quotes_do_not_matter(
        cells in prop::collection::vec(("[a-z \"]{1,6}", 1_u32..500, 0_u32..9), 1..6),
        crlf in any::<bool>(), separator in prop::sample::select(vec![b',', b';', b'\t']),
    ) {
        let write = |separator, crlf| {
            let terminator = if crlf { csv::Terminator::CRLF } else { csv::Terminator::Any(b'\n') };
            let mut writer = csv::WriterBuilder::new().delimiter(separator).terminator(terminator).from_writer(Vec::new());
            writer.write_record(["part", "material", "length", "qty"]).unwrap();
            for (name, length, qty) in &cells {
                writer.write_record([name.as_str(), "pine", &format!("{length} 1/2\""), &qty.to_string()]).unwrap();
            }
            String::from_utf8(writer.into_inner().unwrap()).unwrap()
        };
        let stock = "material,length\npine,100'\n";
        let (_, plain) = read(&write(b',', false), stock);
        let (_, other) = read(&write(separator, crlf), stock);
        prop_assert_eq!(plain, other);
    }
}

#[test]
fn an_empty_stream_is_an_empty_list() {
    let source = super::load(std::path::Path::new("-"), "parts", &mut empty()).unwrap();
    assert_eq!((source.name.as_str(), source.text.as_str()), ("standard input", ""));
}
