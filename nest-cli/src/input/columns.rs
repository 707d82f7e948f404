//! Which column of a list is which?
//!
//! Headers are compared without regard to case; spaces and dashes in them count as underscores. Plain words that leave no
//! doubt stand for a column, and a unit in brackets behind a length, `Thickness (mm)`, is that of its bare numbers. A header
//! that is nearly a column which the list lacks, or another word for it, is refused with a suggestion: to keep it as an
//! unknown column would leave its values out in silence.

use std::collections::BTreeSet;

use nest_core::model::nearest;
use nest_core::units::{Nominal, Unit};

use super::cells::EXTRA;
use super::csv::Cell;
use crate::diagnose::{Desk, Spot};
use crate::warn::Warning;

/// A column that a list may have.
#[derive(Clone, Copy, Debug)]
pub struct Known {
    /// Its name.
    pub name: &'static str,
    /// Whether the list must have it.
    pub required: bool,
    /// Other words that can mean nothing else.
    pub plain_words: &'static [&'static str],
    /// Other words people use for it, which are suggested, not accepted.
    pub other_words: &'static [&'static str],
}

const fn column(name: &'static str, other_words: &'static [&'static str]) -> Known {
    Known { name, required: false, plain_words: &[], other_words }
}

const fn required(name: &'static str, other_words: &'static [&'static str]) -> Known {
    Known { name, required: true, plain_words: &[], other_words }
}

impl Known {
    const fn or(self, plain_words: &'static [&'static str]) -> Self {
        Self { plain_words, ..self }
    }

    fn means(&self, name: &str) -> bool {
        self.name == name || self.plain_words.contains(&name)
    }
}

/// Words for how many.
const QTY: &[&str] = &["quantity", "count", "pcs", "pieces"];

/// Words that stand for how many, or number the rows where another column counts.
const NUMBERS: &[&str] = &[
    "copies", "amount", "no", "no.", "nos", "nos.", "num", "num.", "number", "numbers", "#", "each", "ea",
    "how_many",
];

/// Columns that hold lengths, which may have a unit behind their names.
const LENGTHS: [&str; 5] = ["length", "width", "thickness", "oversize", "trim"];

/// Columns of a list of parts.
pub const PARTS: &[Known] = &[
    required("part", &["label", "item", "piece", "component"]).or(&["name", "part_name"]),
    required("material", &["wood", "species", "stock"]),
    column("section", &["nominal", "profile", "nominal_size"]),
    column("thickness", &["thick", "thk", "t"]),
    required("length", &["len", "l", "long"]),
    column("width", &["w", "wide", "depth", "breadth"]),
    column("qty", NUMBERS).or(QTY),
    column("grain", &["grain_direction", "direction"]),
    column("length_edges", &["edges_length", "long_edges"]),
    column("width_edges", &["edges_width", "short_edges"]),
    column("band", &["edge_band", "edging", "tape"]),
    column("match", &["grain_match"]),
    column("match_way", &[]),
    column("fit", &["cut_to_fit", "scribe"]),
    column("optional", &[]),
    column("oversize", &["oversized", "allowance"]),
    column("job", &["project", "client"]),
    column("note", &[]),
];

/// Columns of a list of stock, and of the rack.
pub const STOCK: &[Known] = &[
    column("name", &["label", "item", "sku", "stock_name"]),
    required("material", &["wood", "species"]),
    column("form", &[]),
    column("section", &["nominal", "profile", "nominal_size"]),
    column("thickness", &["thick", "thk", "t"]),
    column("called", &[]),
    required("length", &["len", "l", "long"]),
    column("width", &["w", "wide"]),
    column("price", &["cost", "unit_price", "worth", "value"]),
    column("per", &["price_per"]),
    column("qty", &["available", "on_stock", "amount", "nos", "nos.", "how_many"]).or(QTY),
    column("grain", &["grain_direction", "direction"]),
    column("on_hand", &["owned", "have", "onhand"]),
    column("factory_edges", &["uncut"]),
    column("ripped", &[]),
    column("trim", &["edge_trim", "trim_edges", "end_trim"]),
    column("note", &[]),
];

/// Columns of our own lists that repeat another one as a plain number: the other one is read.
const BESIDE: [(&str, &str); 2] = [("length_mm", "length"), ("width_mm", "width")];

/// Whether a header has columns that only lists of parts have, and none that only those of stock have.
pub fn is_of_parts(header: &[Cell]) -> bool {
    has_only(header, PARTS, STOCK) && !has_only(header, STOCK, PARTS)
}

/// Whether a header has columns that only lists of stock have, or no names of parts, and none that only those of parts have.
pub fn is_of_stock(header: &[Cell]) -> bool {
    let named = names(header).any(|name| PARTS[0].means(&name));
    header.len() > 1 && !has_only(header, PARTS, STOCK) && (has_only(header, STOCK, PARTS) || !named)
}

/// Whether a row names at least two of the columns that a list must have.
pub fn is_header(row: &[Cell], known: &[Known]) -> bool {
    let required = |name: &String| known.iter().any(|column| column.required && column.means(name));
    names(row).filter(required).count() > 1
}

/// The names in a header.
pub fn names(header: &[Cell]) -> impl Iterator<Item = String> {
    header.iter().map(|cell| name_and_unit(&cell.text).0)
}

fn has_only(header: &[Cell], of: &[Known], others: &[Known]) -> bool {
    let means = |name: &str, known: &[Known]| known.iter().any(|column| column.means(name));
    names(header).any(|name| means(&name, of) && !means(&name, others))
}

fn is_section(text: &str) -> bool {
    text.parse::<Nominal>().is_ok()
}

/// Where the columns of one list stand.
#[derive(Clone, Debug)]
pub struct Columns {
    known: Vec<(&'static str, usize)>,
    /// What bare numbers of a column are, where its header says so.
    units: Vec<(&'static str, Unit)>,
    /// Columns that mean nothing to the plan: place and header.
    pub extra: Vec<(usize, String)>,
    /// How many cells each row has.
    pub width: usize,
    /// Columns that the header lacks, or has twice: nobody can read them in any row.
    pub unread: Vec<&'static str>,
}

impl Columns {
    /// Reads the header. A column that was probably meant is read as that one.
    pub fn read(
        header: &[Cell],
        known: &'static [Known],
        what: &str,
        source: usize,
        desk: &mut Desk,
    ) -> Self {
        let mut columns = Self {
            known: Vec::new(),
            units: Vec::new(),
            extra: Vec::new(),
            width: header.len(),
            unread: Vec::new(),
        };
        let mut unknown: Vec<(usize, &Cell)> = Vec::new();
        let named: BTreeSet<String> = header.iter().map(|cell| name_and_unit(&cell.text).0).collect();
        // Another word stands for a column that the list does not have under its own name.
        let means = |column: &Known, name: &str| {
            column.name == name || column.plain_words.contains(&name) && !named.contains(column.name)
        };
        for (place, cell) in header.iter().enumerate() {
            let spot = Spot { source, span: cell.span.clone() };
            let (name, unit) = name_and_unit(&cell.text);
            match known.iter().find(|column| means(column, &name)) {
                Some(column) if columns.place(column.name).is_some() => {
                    desk.error(spot, format!("there are two columns `{}`", column.name))
                        .hint("delete or rename one");
                    columns.unread.push(column.name);
                }
                Some(column) => {
                    columns.known.push((column.name, place));
                    columns.units.extend(unit.map(|unit| (column.name, unit)));
                }
                None => unknown.push((place, cell)),
            }
        }
        // Those beside a length that is read are there for spreadsheets.
        unknown.retain(|(_, cell)| {
            let name = header_name(&cell.text);
            BESIDE.iter().all(|(beside, of)| name != *beside || columns.place(of).is_none())
        });
        let mut suggested: Vec<(&'static str, usize)> = Vec::new();
        for (place, cell) in unknown {
            // What stands alone is more than one name.
            match columns.meant(&cell.text, known).filter(|_| header.len() > 1) {
                Some(name) if suggested.iter().all(|(other, _)| *other != name) => {
                    suggested.push((name, place));
                    let spot = Spot { source, span: cell.span.clone() };
                    let unit = last_word(&cell.text).filter(|_| is_measured(name));
                    columns.units.extend(unit.map(|(_, unit)| (name, unit)));
                    // A unit that goes with the name would change all its numbers.
                    let renamed = unit.map_or(name.to_owned(), |(word, _)| format!("{name} ({word})"));
                    desk.error(spot, format!("unknown column `{}`", cell.text)).hint(format!(
                        "did you mean `{renamed}`? rename the column to that; one that nest is to leave alone needs a name \
                         less like it"
                    ));
                }
                _ => columns.extra.push((place, cell.text.clone())),
            }
        }
        columns.known.extend(suggested);
        let missing: Vec<&'static str> = known
            .iter()
            .filter(|column| column.required && columns.place(column.name).is_none())
            .map(|column| column.name)
            .collect();
        let is_whole = missing.is_empty();
        if !is_whole {
            let named: Vec<String> = missing.iter().map(|name| format!("`{name}`")).collect();
            let plural = if missing.len() == 1 { "" } else { "s" };
            let span = header.first().map_or(0, |cell| cell.span.start)
                ..header.last().map_or(0, |cell| cell.span.end);
            desk.error(
                Spot { source, span },
                format!("the list of {what} lacks the column{plural} {}", named.join(", ")),
            )
            .hint(match header {
                [cell] if cell.text.starts_with(['{', '[', '<']) || cell.text.contains('=') => {
                    "a list is text with columns separated by commas, semicolons or tabs: is it the right file?"
                        .into()
                }
                [cell] if cell.text.contains([',', ';', '\t']) => {
                    "each line stands in quotes, as one cell: save the list without them".into()
                }
                [cell] if cell.text.contains('|') => {
                    "the names are separated by `|`: separate columns by commas, semicolons or tabs".into()
                }
                [_] => "it is one column: separate columns by commas, semicolons or tabs".into(),
                _ => needs(known),
            });
            columns.unread.extend(missing);
            // What others mean that nobody knows may be anything that is not there.
            let lacking = known.iter().map(|column| column.name).filter(|name| columns.place(name).is_none());
            let lacking: Vec<&'static str> = lacking.filter(|_| !columns.extra.is_empty()).collect();
            columns.unread.extend(lacking);
        }
        let named: Vec<String> =
            columns.extra.iter().map(|(_, name)| name.clone()).filter(|name| !name.is_empty()).collect();
        // Where the header as a whole is shown, what is in it needs no second look.
        if let (true, Some((place, _))) = (is_whole, columns.extra.iter().find(|(_, name)| !name.is_empty()))
        {
            let span = header.get(*place).map_or(0..0, |cell| cell.span.clone());
            desk.warn(Spot { source, span }, Warning::UnknownColumns { columns: named });
        }
        columns
    }

    /// Where a column stands.
    pub fn place(&self, name: &str) -> Option<usize> {
        self.known.iter().find(|(known, _)| *known == name).map(|(_, place)| *place)
    }

    /// What a rule calls the column at a place.
    pub fn name(&self, place: usize) -> &'static str {
        self.known.iter().find(|(_, known)| *known == place).map_or(EXTRA, |(name, _)| name)
    }

    /// Whether the column at a place holds numbers that may have decimals.
    pub fn is_number(&self, place: usize) -> bool {
        let name = self.name(place);
        is_measured(name) || name == "price"
    }

    /// Whether a text is surely refused in the column at a place: a word where a number or a section belongs, and a section
    /// where a number does.
    pub fn refuses(&self, place: usize, text: &str) -> bool {
        let name = self.name(place);
        let measures = LENGTHS.contains(&name) || name == "qty";
        let word = !text.is_empty() && !text.contains(char::is_numeric);
        (measures || name == "section") && word || measures && is_section(text)
    }

    /// Whether a text may belong in the column at a place: numbers and sections begin with a digit, and are told apart.
    pub fn suits(&self, place: usize, text: &str) -> bool {
        let counts = self.is_number(place) || self.name(place) == "qty";
        let digit = text.is_empty() || text.starts_with(char::is_numeric);
        match self.name(place) {
            _ if counts => digit && !is_section(text),
            "section" => digit,
            _ => true,
        }
    }

    /// How many columns there are up to the last that has a name.
    pub fn named(&self) -> usize {
        let nameless = |place: &usize| self.extra.iter().any(|(at, name)| at == place && name.is_empty());
        self.width - (0..self.width).rev().take_while(nameless).count()
    }

    /// Whether what the column at a place holds begins with a digit.
    pub fn counts(&self, place: usize) -> bool {
        let others = ["qty", "section", "called", "length_edges", "width_edges"];
        self.is_number(place) || others.contains(&self.name(place))
    }

    /// What bare numbers of a column are, where its header says so.
    pub fn unit(&self, name: &str) -> Option<Unit> {
        self.units.iter().find(|(of, _)| *of == name).map(|(_, unit)| *unit)
    }

    /// Whether a row says what the units of its columns are, and no sizes.
    pub fn are_units(&self, row: &[Cell]) -> bool {
        let lengths = LENGTHS.iter().filter_map(|name| row.get(self.place(name)?));
        let mut said = lengths.filter(|cell| !cell.text.is_empty()).peekable();
        let unit = |cell: &Cell| Unit::from_word(cell.text.trim_matches(['(', ')', '[', ']'])).is_some();
        said.peek().is_some() && said.all(unit)
    }

    /// The column that the list lacks and that a header probably stands for.
    fn meant(&self, header: &str, known: &'static [Known]) -> Option<&'static str> {
        let (name, _) = name_and_unit(header);
        let lacking = || known.iter().filter(|column| self.place(column.name).is_none());
        let other =
            lacking().find(|column| column.other_words.contains(&name.as_str())).map(|column| column.name);
        // `note` changes nothing, and many a word is near it.
        let near = lacking().filter(|column| column.name != "note");
        let words = near.flat_map(|column| {
            column.plain_words.iter().chain([&column.name]).map(|word| (*word, column.name))
        });
        let words: Vec<(&str, &str)> = words.collect();
        let nearest = || nearest(&name, words.iter().map(|(word, _)| *word));
        other.or_else(|| words.iter().find(|(word, _)| Some(*word) == nearest()).map(|(_, name)| *name))
    }
}

/// The name in a header, and the unit behind the name of a length: `Length [mm]`.
fn name_and_unit(header: &str) -> (String, Option<Unit>) {
    let whole = || (header_name(header), None);
    let Some(inside) = header.trim().strip_suffix([')', ']']) else { return whole() };
    let Some((before, inside)) = inside.rsplit_once(['(', '[']) else { return whole() };
    let name = header_name(before);
    match Unit::from_word(inside.trim()).filter(|_| is_measured(&name)) {
        Some(unit) => (name, Some(unit)),
        None => whole(),
    }
}

/// Whether bare numbers of a column are in some unit.
fn is_measured(name: &str) -> bool {
    LENGTHS.contains(&name) || name == "fit"
}

/// The unit that a header ends with, in brackets or not: `length_mm`.
fn last_word(header: &str) -> Option<(&str, Unit)> {
    let word = header.trim().trim_end_matches([')', ']']);
    let word = word.rsplit([' ', '_', '-', ',', '.', '(', '[', '/']).next()?;
    Unit::from_word(word).map(|unit| (word, unit))
}

/// Lower case, with underscores for spaces and dashes.
fn header_name(text: &str) -> String {
    text.trim().to_lowercase().replace([' ', '-'], "_")
}

/// What the first line of a list has to say.
pub fn needs(known: &[Known]) -> String {
    let names: Vec<String> =
        known.iter().filter(|column| column.required).map(|column| format!("`{}`", column.name)).collect();
    format!("its first line names the columns: at least {}; `nest plan --help` lists all", names.join(", "))
}
