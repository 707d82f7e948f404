//! The shop file, and the flags that override it.
//!
//! A file is first taken apart into settings, each with its place, then flags are laid over it, and only then values
//! are read: what a bare number means is known no earlier. Bare numbers of a shop file that names its units are in
//! those, whatever the flags say; all others are in the units of the batch.

use std::collections::BTreeMap;
use std::ops::Range;

use nest_core::model::{Band, FirstCut, Shop, Stages, Vehicle, nearest};
use nest_core::units::{Length, LengthStyle, System, Unit, parse_length, parse_length_or_zero};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::cells::Reading;
use super::source::Source;
use crate::diagnose::{Desk, Spot};

/// Settings by section; `band.NAME` may have any name.
const SECTIONS: &[(&str, &[&str])] = &[
    ("", &["units", "currency", "style"]),
    ("boards", &["kerf", "trim", "keep", "shortest_rip"]),
    (
        "sheets",
        &[
            "kerf",
            "trim",
            "keep",
            "stages",
            "trimming",
            "first_cut",
            "longest_rip",
            "longest_crosscut",
            "fence_reach",
            "stack_height",
        ],
    ),
    ("band", &["thickness", "deduct", "pre_mill"]),
    ("vehicle", &["length", "width"]),
];

/// One value as it was written; a list has several.
#[derive(Clone, Debug)]
struct Setting {
    items: Vec<(String, Spot)>,
    spot: Spot,
}

/// What was set, before it is understood.
#[derive(Debug, Default)]
pub struct Settings {
    values: BTreeMap<String, Setting>,
    bands: Vec<(String, Spot)>,
    /// The source that is the shop file.
    file: Option<usize>,
}

/// Where each setting of a shop stands: field of the model and row of the band.
pub type Places = BTreeMap<(&'static str, usize), Spot>;

impl Settings {
    /// Takes a shop file apart. Problems go on the desk.
    pub fn read(source: usize, desk: &mut Desk) -> Self {
        let mut settings = Self { file: Some(source), ..Self::default() };
        let text = desk.source(source);
        let (table, errors) = DeTable::parse_recoverable(&text.text);
        if !errors.is_empty() {
            syntax(source, &text, errors, desk);
            return settings;
        }
        let mut walk = Walk { source, text: &text, desk, settings: &mut settings };
        walk.table(table.get_ref(), "", "");
        // In the order of the file.
        settings.bands.sort_by_key(|(_, spot)| spot.span.start);
        settings
    }

    /// Lays a flag over what the file says.
    pub fn set(&mut self, key: &str, value: &str, spot: Spot) {
        let setting = Setting { items: vec![(value.to_owned(), spot.clone())], spot };
        self.values.insert(key.to_owned(), setting);
    }

    /// What bare numbers mean in the batch.
    pub fn unit(&self, desk: &mut Desk) -> Option<Unit> {
        let (text, spot) = self.values.get("units")?.items.first()?;
        match text.parse() {
            Ok(unit) => Some(unit),
            Err(error) => {
                desk.error(spot.clone(), format!("{error}"))
                    .hint("units of bare numbers: in, ft, mm, cm or m");
                None
            }
        }
    }

    /// Reads all values. `system` decides defaults where no units are given.
    pub fn shop(
        &self,
        file_unit: Option<Unit>,
        system: System,
        reading: &mut Reading,
        desk: &mut Desk,
    ) -> (Shop, Places) {
        let unit = reading.unit;
        let mut shop = Shop::defaults(unit.map_or(system, Unit::system));
        shop.units = unit;
        shop.style = match unit {
            Some(Unit::Foot) => LengthStyle::FeetInches { denominator: 16 },
            Some(Unit::Centimetre) => LengthStyle::Centimetres,
            Some(Unit::Metre) => LengthStyle::Metres,
            _ => shop.style,
        };
        let mut values = Values { settings: self, file_unit, reading, desk, places: Places::new() };
        if let Some(style) = values.parsed("style", "style") {
            shop.style = style;
        }
        if let Some(currency) = values.text("currency", "currency") {
            shop.currency = currency;
        }
        let boards = &mut shop.boards;
        values.allowance("boards.kerf", "boards.kerf", &mut boards.kerf);
        values.allowance("boards.keep", "boards.keep", &mut boards.keep);
        values.allowance("boards.shortest_rip", "boards.shortest_rip", &mut boards.shortest_rip);
        values.allowances("boards.trim", "one value, or near and far end", &mut boards.trim);
        let sheets = &mut shop.sheets;
        values.allowance("sheets.kerf", "sheets.kerf", &mut sheets.kerf);
        values.allowances("sheets.keep", "one value, or long and short side", &mut sheets.keep);
        values.allowances(
            "sheets.trim",
            "one value, or near end, far end, near edge, far edge",
            &mut sheets.trim,
        );
        values.limit("sheets.longest_rip", &mut sheets.longest_rip);
        values.limit("sheets.longest_crosscut", &mut sheets.longest_crosscut);
        values.limit("sheets.fence_reach", &mut sheets.fence_reach);
        values.limit("sheets.stack_height", &mut sheets.stack_height);
        let first = [("rip", FirstCut::Rip), ("crosscut", FirstCut::Crosscut), ("either", FirstCut::Either)];
        values.word("sheets.first_cut", "rip, crosscut or either", &first, &mut sheets.first_cut);
        values.word(
            "sheets.trimming",
            "true or false",
            &[("true", true), ("false", false)],
            &mut sheets.trimming,
        );
        values.stages(&mut sheets.stages);
        shop.bands = values.bands();
        shop.vehicle = values.vehicle();
        let places = values.places;
        (shop, places)
    }

    /// The units of the file itself.
    pub fn file_unit(&self) -> Option<Unit> {
        self.values
            .get("units")
            .and_then(|setting| setting.items.first())
            .and_then(|(text, _)| text.parse().ok())
    }
}

/// Walks through the tables of a file.
struct Walk<'a> {
    source: usize,
    text: &'a Source,
    desk: &'a mut Desk,
    settings: &'a mut Settings,
}

impl Walk<'_> {
    fn spot(&self, span: Range<usize>) -> Spot {
        Spot { source: self.source, span }
    }

    /// `section` names the rules, `path` is the text before each key.
    fn table(&mut self, table: &DeTable<'_>, section: &str, path: &str) {
        let known = SECTIONS.iter().find(|(name, _)| *name == section).map_or(&[][..], |(_, keys)| keys);
        for (key, value) in table {
            let (name, spot) = (key.get_ref().as_ref(), self.spot(key.span()));
            let full = format!("{path}{name}");
            match value.get_ref() {
                DeValue::Table(inner) if section.is_empty() && name == "band" => self.bands(inner),
                DeValue::Table(inner)
                    if section.is_empty() && SECTIONS.iter().any(|(other, _)| *other == name) =>
                {
                    self.table(inner, name, &format!("{name}."));
                }
                _ if known.contains(&name) => self.value(full, value),
                inner => {
                    let sections = SECTIONS
                        .iter()
                        .map(|(other, _)| *other)
                        .filter(|other| section.is_empty() && !other.is_empty());
                    let is_table = matches!(inner, DeValue::Table(_));
                    let candidates: Vec<&str> = if is_table { sections.collect() } else { known.to_vec() };
                    let what = if is_table { "section" } else { "setting" };
                    let hint = match nearest(name, candidates.iter().copied()) {
                        Some(near) => format!("did you mean `{near}`?"),
                        None => self
                            .elsewhere(name)
                            .unwrap_or_else(|| format!("known here: {}", candidates.join(", "))),
                    };
                    self.desk.error(spot, format!("unknown {what} `{full}`")).hint(hint);
                }
            }
        }
    }

    /// The section that a setting belongs to.
    fn elsewhere(&self, name: &str) -> Option<String> {
        let sections: Vec<String> = SECTIONS
            .iter()
            .filter(|(section, keys)| !section.is_empty() && keys.contains(&name))
            .map(|(section, _)| format!("[{section}]"))
            .collect();
        if sections.is_empty() {
            None
        } else {
            Some(format!("`{name}` belongs under {}", sections.join(" or ")))
        }
    }

    fn bands(&mut self, bands: &DeTable<'_>) {
        for (key, value) in bands {
            let (name, spot) = (key.get_ref().to_string(), self.spot(key.span()));
            match value.get_ref() {
                DeValue::Table(inner) => {
                    self.settings.bands.push((name.clone(), spot));
                    self.table(inner, "band", &format!("band.{name}."));
                }
                _ => {
                    self.desk
                        .error(
                            spot,
                            format!("expected the name of an edge band, but found the setting `{name}`"),
                        )
                        .hint("give the band a name: [band.veneer]");
                }
            }
        }
    }

    fn value(&mut self, key: String, value: &Spanned<DeValue<'_>>) {
        let spot = self.spot(value.span());
        let items = match value.get_ref() {
            DeValue::Array(items) => items.iter().filter_map(|item| self.item(&key, item)).collect(),
            _ => self.item(&key, value).into_iter().collect::<Vec<_>>(),
        };
        let spot = match items.as_slice() {
            [(_, only)] => only.clone(),
            _ => spot,
        };
        self.settings.values.insert(key, Setting { items, spot });
    }

    /// Text of a value, and where that text stands.
    fn item(&mut self, key: &str, value: &Spanned<DeValue<'_>>) -> Option<(String, Spot)> {
        let span = value.span();
        let raw = self.text.text.get(span.clone()).unwrap_or("");
        match value.get_ref() {
            DeValue::String(text) => {
                // Inside the quotes, unless an escape makes the two differ.
                let inside = raw.get(1..raw.len().saturating_sub(1)) == Some(text.as_ref());
                let span = if inside { span.start + 1..span.end - 1 } else { span };
                Some((text.to_string(), self.spot(span)))
            }
            DeValue::Integer(_) | DeValue::Float(_) | DeValue::Boolean(_) => {
                Some((raw.replace('_', ""), self.spot(span)))
            }
            other => {
                let spot = self.spot(span);
                self.desk
                    .error(spot, format!("expected a value for `{key}`, but found a {}", other.type_str()));
                None
            }
        }
    }
}

/// What the parser found; the first of each line, since most of the rest are echoes.
fn syntax(source: usize, text: &Source, mut errors: Vec<toml::de::Error>, desk: &mut Desk) {
    errors.sort_by_key(|error| error.span().map_or(0, |span| span.start));
    let mut last_line = 0;
    for error in errors {
        let span = error.span().unwrap_or(0..0);
        let (number, line) = text.line(span.start);
        if number == last_line {
            continue;
        }
        last_line = number;
        let written = text.text.get(line).unwrap_or("");
        let unquoted = unquoted_value(written);
        let message = error.message().lines().next().unwrap_or("syntax error").to_owned();
        let report = desk.error(Spot { source, span }, message);
        match unquoted {
            Some(value) => report.hint(format!(
                "write \"{}\" in quotes: lengths and words are quoted",
                value.replace('"', "")
            )),
            // What follows is most likely an echo of this one.
            None => return,
        }
    }
}

/// The value of a line such as `kerf = 1/8`, where quotes were left out.
fn unquoted_value(line: &str) -> Option<&str> {
    let (_, value) = line.split_once('=')?;
    let value = value.split('#').next()?.trim();
    let plain = !value.is_empty() && !value.starts_with(['"', '\'', '[', '{']);
    plain.then_some(value)
}

/// Reads settings into a shop.
struct Values<'a> {
    settings: &'a Settings,
    file_unit: Option<Unit>,
    reading: &'a mut Reading,
    desk: &'a mut Desk,
    places: Places,
}

impl Values<'_> {
    fn one(&mut self, key: &str, field: &'static str) -> Option<(String, Spot)> {
        let setting = self.settings.values.get(key)?;
        self.places.insert((field, 0), setting.spot.clone());
        match setting.items.as_slice() {
            [item] => Some(item.clone()),
            items => {
                let found = items.len();
                self.desk.error(
                    setting.spot.clone(),
                    format!("expected one value for `{key}`, but found {found}"),
                );
                None
            }
        }
    }

    fn text(&mut self, key: &str, field: &'static str) -> Option<String> {
        self.one(key, field).map(|(text, _)| text)
    }

    fn parsed<V: std::str::FromStr<Err: std::fmt::Display>>(
        &mut self,
        key: &str,
        field: &'static str,
    ) -> Option<V> {
        let (text, spot) = self.one(key, field)?;
        match text.parse() {
            Ok(value) => Some(value),
            Err(error) => {
                self.desk.error(spot, error.to_string());
                None
            }
        }
    }

    fn length(&mut self, text: &str, spot: &Spot, zero: bool) -> Option<Length> {
        let own = self.settings.file == Some(spot.source);
        let unit = self.file_unit.filter(|_| own).or(self.reading.unit);
        let parsed = if zero { parse_length_or_zero(text, unit) } else { parse_length(text, unit) };
        let part = |span: Range<usize>| {
            let inside = spot.span.len() == text.len();
            let span = if inside {
                spot.span.start + span.start..spot.span.start + span.end
            } else {
                spot.span.clone()
            };
            Spot { source: spot.source, span }
        };
        match parsed {
            Ok(parsed) => {
                if let Some(notice) = parsed.notice {
                    self.reading.doubt(part(notice.span()), notice, self.desk);
                }
                Some(parsed.length)
            }
            Err(error) => {
                let report = self.desk.error(part(error.span()), error.to_string());
                if let Some(hint) = error.hint() {
                    report.hint(hint);
                }
                None
            }
        }
    }

    fn allowance(&mut self, key: &str, field: &'static str, into: &mut Length) {
        if let Some((text, spot)) = self.one(key, field) {
            *into = self.length(&text, &spot, true).unwrap_or(*into);
        }
    }

    fn limit(&mut self, field: &'static str, into: &mut Option<Length>) {
        if let Some((text, spot)) = self.one(field, field) {
            *into = self.length(&text, &spot, false);
        }
    }

    /// One value for all, or one for each.
    fn allowances(&mut self, field: &'static str, expected: &str, into: &mut [Length]) {
        let Some(setting) = self.settings.values.get(field) else { return };
        self.places.insert((field, 0), setting.spot.clone());
        let items = setting.items.clone();
        if items.len() != 1 && items.len() != into.len() {
            let found = items.len();
            self.desk.error(setting.spot.clone(), format!("expected {expected}, but found {found} values"));
            return;
        }
        let read: Vec<Option<Length>> =
            items.iter().map(|(text, spot)| self.length(text, spot, true)).collect();
        for (index, place) in into.iter_mut().enumerate() {
            if let Some(length) = read.get(index).or(read.first()).copied().flatten() {
                *place = length;
            }
        }
    }

    fn word<V: Copy>(&mut self, field: &'static str, expected: &str, words: &[(&str, V)], into: &mut V) {
        let Some((text, spot)) = self.one(field, field) else { return };
        let folded = text.trim().to_lowercase();
        match words.iter().find(|(word, _)| *word == folded) {
            Some((_, value)) => *into = *value,
            None => {
                self.desk.error(spot, format!("expected {expected}, but found `{text}`"));
            }
        }
    }

    fn stages(&mut self, into: &mut Stages) {
        let Some((text, spot)) = self.one("sheets.stages", "sheets.stages") else { return };
        let folded = text.trim().to_lowercase();
        match folded.parse() {
            _ if folded == "any" => *into = Stages::Any,
            Ok(number) => *into = Stages::Limited(number),
            Err(_) => {
                self.desk
                    .error(spot, format!("expected a number of stages or any, but found `{text}`"))
                    .hint("a rip and a crosscut are two stages");
            }
        }
    }

    fn bands(&mut self) -> Vec<Band> {
        let named = self.settings.bands.clone();
        let mut bands = Vec::new();
        for (row, (name, spot)) in named.into_iter().enumerate() {
            self.places.insert(("band", row), spot);
            let mut band = Band { name: name.clone(), ..Band::default() };
            for (key, field, into) in [
                ("thickness", "band.thickness", &mut band.thickness),
                ("deduct", "band.deduct", &mut band.deduct),
                ("pre_mill", "band.pre_mill", &mut band.pre_mill),
            ] {
                let Some((text, spot)) = self.one(&format!("band.{name}.{key}"), field) else { continue };
                *into = self.length(&text, &spot, true).unwrap_or_default();
                self.places.insert((field, row), spot);
            }
            bands.push(band);
        }
        bands
    }

    fn vehicle(&mut self) -> Option<Vehicle> {
        let width = self.settings.values.contains_key("vehicle.width");
        let Some((text, spot)) = self.one("vehicle.length", "vehicle.length") else {
            if let (true, Some((_, spot))) = (width, self.one("vehicle.width", "vehicle.width")) {
                self.desk
                    .error(spot, "the vehicle has a width but no length")
                    .hint("say the longest piece it carries: length = \"8'\"");
            }
            return None;
        };
        let length = self.length(&text, &spot, false).unwrap_or(Length::MAX);
        let mut vehicle = Vehicle { length, width: None };
        self.limit("vehicle.width", &mut vehicle.width);
        Some(vehicle)
    }
}
