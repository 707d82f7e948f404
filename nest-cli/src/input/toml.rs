//! The shop file taken apart into settings, each with its place, and the flags that are laid over it.
//!
//! Nothing is understood yet but the units: what a bare number means is known no earlier. `shop` reads the values.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use nest_core::model::{Table, TableCell, Unread, nearest};
use nest_core::units::Unit;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::kinds::Kind;
use super::source::Source;
use super::syntax;
use crate::diagnose::{Desk, Spot};

/// Settings by section; `band.NAME` may have any name.
const SECTIONS: &[(&str, &[&str])] = &[
    ("", &["units", "currency", "style", "paper"]),
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
    (BAND, &["thickness", "deduct", "pre_mill", "overhang"]),
    ("vehicle", &["length", "width"]),
    ("labels", &["grid", "size", "margin", "gap", "code"]),
    ("limits", &["narrow", "short", "rip", "tall", "lift"]),
    (WEIGHT, &[]),
];

/// The section of the edge bands, each with a name of its own.
const BAND: &str = "band";

/// Sections that are about the papers alone.
const PAPERS: [&str; 3] = ["labels", "limits", WEIGHT];

/// The section whose settings are named after materials.
const WEIGHT: &str = "weight";

/// One value as it was written; a list has several.
#[derive(Clone, Debug)]
pub struct Setting {
    /// Texts and where they stand.
    pub items: Vec<(String, Spot)>,
    /// Where all of it stands.
    pub spot: Spot,
}

/// What was set, before it is understood.
#[derive(Debug, Default)]
pub struct Settings {
    /// By section and name: `boards.kerf`.
    pub values: BTreeMap<String, Setting>,
    /// Names of edge bands, in the order of the file.
    pub bands: Vec<(String, Spot)>,
    /// The source that is the shop file.
    pub file: Option<usize>,
    /// What could not be read.
    pub unread: Unread,
    /// Sections of which something could not be read; all of them where the file could not be.
    lost: BTreeSet<&'static str>,
    /// Whether some of it may say what the units are, though nobody can read it.
    units_lost: bool,
    /// Whether some of it may be about the papers.
    papers_lost: bool,
}

impl Settings {
    /// Takes a shop file apart. Problems go on the desk.
    pub fn read(source: usize, desk: &mut Desk) -> Self {
        let mut settings = Self { file: Some(source), ..Self::default() };
        let text = desk.source(source);
        if let Some(kind) = Kind::of(&text.text) {
            desk.error(
                Spot { source, span: 0..0 },
                format!("expected shop settings, but found {}", kind.name()),
            )
            .hint(kind.advice());
            settings.lose_all();
            return settings;
        }
        let read = syntax::read(source, &text, desk);
        let (table, _) = DeTable::parse_recoverable(&read.text);
        let mut walk = Walk { source, text: &text, desk, settings: &mut settings };
        if read.sound {
            walk.table(table.get_ref(), "", "");
        }
        if !read.broken.is_empty() {
            walk.settings.lose_all();
            walk.rescue_units(table.get_ref(), &read.broken);
        }
        // In the order of the file.
        settings.bands.sort_by_key(|(_, spot)| spot.span.start);
        settings
    }

    /// Nobody could read the file.
    pub fn lose_all(&mut self) {
        self.unread.rows(Table::Shop);
        self.lost.extend(SECTIONS.iter().map(|(name, _)| *name));
        (self.units_lost, self.papers_lost) = (true, true);
    }

    /// Whether somebody meant to say what the units are: then nobody has to be asked for them.
    pub fn units_lost(&self) -> bool {
        self.units_lost || self.values.contains_key("units")
    }

    /// Whether a setting that a section lacks may be one that could not be read.
    pub fn lost(&self, section: &str) -> bool {
        self.lost.contains(section)
    }

    /// Whether some of what it says about the papers cannot be read.
    pub fn papers_lost(&self) -> bool {
        self.papers_lost
    }

    /// Lays a flag over what the file says.
    pub fn set(&mut self, key: &str, value: &str, spot: Spot) {
        let setting = Setting { items: vec![(value.to_owned(), spot.clone())], spot };
        self.values.insert(key.to_owned(), setting);
    }

    /// What materials weigh: name and setting.
    pub fn weights(&self) -> impl Iterator<Item = (&str, &Setting)> {
        let name = |key: &'_ str| key.strip_prefix(WEIGHT)?.strip_prefix('.').map(str::len);
        self.values.iter().filter_map(move |(key, setting)| {
            let start = key.len() - name(key)?;
            Some((&key[start..], setting))
        })
    }

    /// What bare numbers mean in the batch.
    pub fn unit(&self, desk: &mut Desk) -> Option<Unit> {
        let setting = self.values.get("units")?;
        let [(text, spot)] = setting.items.as_slice() else {
            let found = setting.items.len();
            desk.error(setting.spot.clone(), format!("expected one value for `units`, but found {found}"))
                .hint("units of bare numbers: in, ft, mm, cm or m");
            return None;
        };
        match text.parse() {
            Ok(unit) => Some(unit),
            Err(error) => {
                desk.error(spot.clone(), format!("{error}"))
                    .hint("units of bare numbers: in, ft, mm, cm or m");
                None
            }
        }
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
        // A slip in a band leaves its name.
        let lost = if section == BAND { "" } else { section };
        for (key, value) in table {
            let (name, spot) = (key.get_ref().as_ref(), self.spot(key.span()));
            let full = format!("{path}{name}");
            match value.get_ref() {
                DeValue::Table(inner) if section.is_empty() && name == BAND => self.bands(inner),
                DeValue::Table(inner)
                    if section.is_empty() && SECTIONS.iter().any(|(other, _)| *other == name) =>
                {
                    self.table(inner, name, &format!("{name}."));
                }
                _ if known.contains(&name) || section == WEIGHT => self.value(full, lost, value),
                inner => {
                    let sections = SECTIONS
                        .iter()
                        .map(|(other, _)| *other)
                        .filter(|other| section.is_empty() && !other.is_empty());
                    if section.is_empty() && SECTIONS.iter().any(|(other, _)| *other == name) {
                        let message = format!("expected the section `{name}`, but found a value");
                        let hint = match name {
                            BAND => "write [band.NAME] for each, and its settings below it".to_owned(),
                            _ => format!("write [{name}] once, and its settings below it"),
                        };
                        self.desk.error(spot, message).hint(hint);
                        self.lose(name);
                        continue;
                    }
                    let is_table = matches!(inner, DeValue::Table(_));
                    let candidates: Vec<&str> = if is_table { sections.collect() } else { known.to_vec() };
                    let what = if is_table { "section" } else { "setting" };
                    let hint = match nearest(name, candidates.iter().copied()) {
                        Some(near) => format!("did you mean `{near}`?"),
                        None if section == BAND && is_table => {
                            let band = full.strip_prefix("band.").unwrap_or(&full);
                            format!("a name with a point in it stands in quotes: [band.\"{band}\"]")
                        }
                        None if candidates.is_empty() => format!("[{section}] has no sections of its own"),
                        None => self
                            .elsewhere(name)
                            .unwrap_or_else(|| format!("known here: {}", candidates.join(", "))),
                    };
                    self.settings.units_lost |= nearest(name, ["units"]).is_some();
                    self.desk.error(spot, format!("unknown {what} `{full}`")).hint(hint);
                    // A section that nobody knows may be one of a band.
                    self.lose(if is_table { BAND } else { lost });
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

    /// Notes that something in a section could not be read.
    fn lose(&mut self, section: &str) {
        let known = SECTIONS.iter().map(|(name, _)| *name).find(|name| *name == section);
        // Without a section it may belong anywhere.
        self.settings.papers_lost |= section.is_empty() || PAPERS.contains(&section);
        self.settings.lost.extend(known);
        if let Some(field) = known.filter(|name| !PAPERS.contains(name)) {
            self.settings.unread.cell(TableCell { table: Table::Shop, row: 0, field });
        }
    }

    /// What the units are, in a file that breaks off elsewhere; or nothing of them, if no line is about them.
    fn rescue_units(&mut self, table: &DeTable<'_>, broken: &[usize]) {
        let whole = |value: &Spanned<DeValue<'_>>| !broken.contains(&self.text.line(value.span().start).0);
        let units = table.iter().find(|(key, _)| key.get_ref() == "units").map(|(_, value)| value);
        match units.filter(|value| value.get_ref().is_str() && whole(value)) {
            Some(value) => self.value("units".to_owned(), "", value),
            None => {
                let code = |line: &'_ str| line.find('#').unwrap_or(line.len());
                let about = |line: &str| line[..code(line)].to_lowercase().contains("unit");
                // A file of another kind is not the one that may say it.
                self.settings.units_lost = !is_shop(table) || self.text.text.split(['\n', '\r']).any(about);
            }
        }
    }

    fn bands(&mut self, bands: &DeTable<'_>) {
        for (key, value) in bands {
            let (name, spot) = (key.get_ref().to_string(), self.spot(key.span()));
            match value.get_ref() {
                DeValue::Table(inner) => {
                    self.settings.bands.push((name.clone(), spot));
                    self.table(inner, BAND, &format!("band.{name}."));
                }
                _ => {
                    self.lose(BAND);
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

    fn value(&mut self, key: String, section: &str, value: &Spanned<DeValue<'_>>) {
        let spot = self.spot(value.span());
        let given: Vec<&Spanned<DeValue<'_>>> = match value.get_ref() {
            DeValue::Array(items) => items.iter().collect(),
            _ => vec![value],
        };
        let items: Vec<(String, Spot)> = given.iter().filter_map(|item| self.item(&key, item)).collect();
        if items.len() < given.len() {
            self.settings.units_lost |= key == "units";
            self.lose(section);
            return;
        }
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
                let name = key.rsplit('.').next().unwrap_or(key);
                self.desk
                    .error(spot, format!("expected a value for `{key}`, but found a {}", other.type_str()))
                    .hint(format!("lengths and words stand in quotes: {name} = \"...\""));
                None
            }
        }
    }
}

/// Whether anything in a file is a setting or a section of a shop file.
pub(super) fn is_shop(table: &DeTable<'_>) -> bool {
    let known = |key: &str| SECTIONS.iter().any(|(name, keys)| *name == key || keys.contains(&key));
    table.iter().any(|(key, _)| known(key.get_ref()))
}
