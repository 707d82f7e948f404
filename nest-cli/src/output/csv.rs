//! The lists for a spreadsheet: what to buy, the cuts, what is left.
//!
//! Text is quoted, but where it is a number, which no spreadsheet takes for a text because of quotes. Where one would take
//! it for a formula it gets a `'` in front, which our own reader takes off again. Lengths stand twice: as the user reads
//! them, and as plain millimetres to count with. Unix line ends, UTF-8 without a mark. README tells what each column is;
//! before version 1 their names may still change.

pub mod cuts;

use crate::clean::bare;
use crate::report::{BandLine, BuyLine, RackRow, Report};
use nest_core::units::Length;

/// buy.csv: what to buy (`buy`), what to take from the rack (`rack`) and of what the plan that is carried on left
/// (`before`), a line a stock; then what the edges need (`band`), a line a band and material, with the length to have at
/// hand and beside it the sum of the edges alone.
pub fn buy(report: &Report) -> Vec<u8> {
    let mut table = Table::new(&[
        "from",
        "qty",
        "spare",
        "name",
        "material",
        "section",
        "thickness",
        "length",
        "width",
        "length_mm",
        "width_mm",
        "each",
        "total",
        "edges",
        "edges_mm",
        "note",
    ]);
    let mut line = |from: &str, line: &BuyLine| {
        table.row([
            from.into(),
            line.qty.to_string(),
            line.spare.to_string(),
            text(&line.name),
            text(&line.material),
            text(&line.section),
            text(&line.thickness),
            text(&line.length_text),
            text(&line.width_text),
            line.length.mm_decimal(),
            line.width.map_or(String::new(), Length::mm_decimal),
            line.each.clone(),
            line.total.clone(),
            String::new(),
            String::new(),
            text(&line.note),
        ]);
    };
    report.buying.lines.iter().for_each(|l| line("buy", l));
    report.buying.rack.iter().for_each(|l| line("rack", l));
    report.buying.before.iter().for_each(|l| line("before", l));
    for band in &report.buying.bands {
        let [net, gross] = band.exact;
        let mut row: [String; 16] = Default::default();
        row[0] = "band".into();
        row[3] = text(band_name(band));
        row[4] = text(&band.on);
        row[6] = text(&band.thickness);
        row[7] = text(&band.gross);
        row[9] = gross.mm_decimal();
        row[13] = band.edges.to_string();
        row[14] = net.mm_decimal();
        table.row(row);
    }
    table.bytes()
}

fn band_name(band: &BandLine) -> &str {
    if band.name.is_empty() { "edge band" } else { &band.name }
}

/// offcuts.csv: what is left and worth keeping, then what is on hand and stays as it is, in the columns of a stock list,
/// so that it can be given as a rack.
pub fn offcuts(report: &Report) -> Vec<u8> {
    let mut table = Table::new(&[
        "name",
        "material",
        "form",
        "section",
        "thickness",
        "called",
        "length",
        "width",
        "price",
        "per",
        "qty",
        "grain",
        "on_hand",
        "length_mm",
        "width_mm",
        "factory_edges",
        "ripped",
        "trim",
        "note",
    ]);
    for kept in &report.kept {
        table.row(rack_row(&kept.rack, kept.qty, kept.size[0], kept.width));
    }
    for left in &report.untouched {
        let width = Some(left.size[1]).filter(|width| width.is_positive());
        table.row(rack_row(&left.rack, left.qty, left.size[0], width));
    }
    table.bytes()
}

fn rack_row(rack: &RackRow, qty: u64, length: Length, width: Option<Length>) -> [String; 19] {
    [
        text(&rack.name),
        text(&rack.material),
        rack.form.into(),
        text(&rack.section),
        text(&rack.thickness),
        text(&rack.called),
        text(&rack.length),
        text(&rack.width),
        rack.price.clone(),
        if rack.price.is_empty() { "" } else { "each" }.into(),
        qty.to_string(),
        rack.grain.into(),
        "yes".into(),
        length.mm_decimal(),
        width.map_or(String::new(), Length::mm_decimal),
        if rack.factory_edges { "yes" } else { "" }.into(),
        if rack.ripped { "yes" } else { "" }.into(),
        rack.trim.clone(),
        text(&rack.note),
    ]
}

/// Text that no spreadsheet takes for a formula.
fn text(text: &str) -> String {
    let text = bare(text);
    let formula =
        |c: char| matches!(c, '=' | '+' | '-' | '@' | '\t' | '\r' | '\0' | '＝' | '＋' | '－' | '＠');
    // A quote in front of such text is doubled, so that taking one off gives back what was there.
    if text.trim_start_matches('\'').starts_with(formula) { format!("'{text}") } else { text }
}

struct Table(csv::Writer<Vec<u8>>);

impl Table {
    fn new(header: &[&str]) -> Self {
        let mut plain = csv::WriterBuilder::new().from_writer(Vec::new());
        // Writing to memory cannot fail, here and below.
        let _ = plain.write_record(header);
        let start = plain.into_inner().unwrap_or_default();
        Self(csv::WriterBuilder::new().quote_style(csv::QuoteStyle::NonNumeric).from_writer(start))
    }

    fn row<const N: usize>(&mut self, cells: [String; N]) {
        let _ = self.0.write_record(cells);
    }

    fn bytes(self) -> Vec<u8> {
        self.0.into_inner().unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_become_text_and_numbers_stay_numbers() {
        assert_eq!(text("=HYPERLINK(\"x\")"), "'=HYPERLINK(\"x\")");
        for odd in ["+1", "-shelf", "@x", "＝1", "'=1"] {
            assert_eq!(text(odd), format!("'{odd}"));
        }
        for fine in ["shelf", "'tis", "30 1/2\"", "a=b", ""] {
            assert_eq!(text(fine), fine);
        }
        let mut table = Table::new(&["a", "b"]);
        table.row([text("=1 \"x\""), "86.90".into()]);
        assert_eq!(String::from_utf8(table.bytes()).unwrap(), "a,b\n\"'=1 \"\"x\"\"\",86.90\n");
    }
}
