//! What do the settings of a shop say? Values with their units, over the defaults of the trade.
//!
//! Bare numbers of a shop file that names its units are in those, whatever the flags say; all others are in the units
//! of the batch.

use std::collections::BTreeMap;
use std::ops::Range;

use nest_core::model::{Band, FirstCut, Shop, Stages, Table, TableCell, Trim, Unread, Vehicle};
use nest_core::units::{
    Length, LengthErrorKind, LengthStyle, System, Unit, parse_length, parse_length_or_zero,
};

use super::hints::is_no_value;
use super::list::Reading;
use super::toml::Settings;
use crate::diagnose::{Desk, Report, Spot};
use crate::papers::PaperSettings;

/// Where each setting of a shop stands: field of the model and row of the band.
pub type Places = BTreeMap<(&'static str, usize), Spot>;

/// A shop with the place of everything in it.
pub struct Placed {
    pub shop: Shop,
    pub papers: PaperSettings,
    /// Whether something that is said about papers could not be read.
    pub papers_lost: bool,
    pub places: Places,
    /// What could not be read, of the shop alone.
    pub unread: Unread,
}

/// Words for the direction of the first cut.
pub const FIRST_CUTS: &[(&str, FirstCut)] =
    &[("rip", FirstCut::Rip), ("crosscut", FirstCut::Crosscut), ("either", FirstCut::Either)];

/// Reads all values. `system` decides defaults where no units are given.
pub fn shop(
    settings: &Settings,
    file_unit: Option<Unit>,
    system: System,
    reading: &mut Reading,
    desk: &mut Desk,
) -> Placed {
    let unit = reading.unit;
    let mut shop = Shop::defaults(unit.map_or(system, Unit::system));
    shop.units = unit;
    shop.style = unit.map_or(shop.style, LengthStyle::of);
    let unread = settings.unread.clone();
    let mut values = Values { settings, file_unit, reading, desk, places: Places::new(), unread };
    let style = values.parsed("style", "style");
    let styleless = style.is_none() && settings.values.contains_key("style");
    shop.style = style.unwrap_or(shop.style);
    if let Some((currency, _)) = values.one("currency", "currency") {
        shop.currency = currency;
    }
    let boards = &mut shop.boards;
    values.allowance("boards.kerf", "boards.kerf", &mut boards.kerf);
    values.allowance("boards.keep", "boards.keep", &mut boards.keep);
    values.allowance("boards.shortest_rip", "boards.shortest_rip", &mut boards.shortest_rip);
    values.allowances("boards.trim", Trim::expected(true), &mut boards.trim);
    let sheets = &mut shop.sheets;
    values.allowance("sheets.kerf", "sheets.kerf", &mut sheets.kerf);
    values.allowances("sheets.keep", "one value, or long and short side", &mut sheets.keep);
    values.allowances("sheets.trim", Trim::expected(false), &mut sheets.trim);
    values.limit("sheets.longest_rip", &mut sheets.longest_rip);
    values.limit("sheets.longest_crosscut", &mut sheets.longest_crosscut);
    values.limit("sheets.fence_reach", &mut sheets.fence_reach);
    values.limit("sheets.stack_height", &mut sheets.stack_height);
    values.word("sheets.first_cut", "rip, crosscut or either", FIRST_CUTS, &mut sheets.first_cut);
    values.word(
        "sheets.trimming",
        "true or false",
        &[("true", true), ("false", false)],
        &mut sheets.trimming,
    );
    values.stages(&mut sheets.stages);
    shop.bands = values.bands();
    shop.vehicle = values.vehicle();
    let unread = values.unread.clone();
    let before = values.desk.errors();
    let papers = values.papers();
    let papers_lost = settings.papers_lost() || styleless || values.desk.errors() > before;
    Placed { shop, papers, papers_lost, places: values.places, unread }
}

/// Reads settings into a shop.
pub(super) struct Values<'a> {
    pub(super) settings: &'a Settings,
    file_unit: Option<Unit>,
    reading: &'a mut Reading,
    pub(super) desk: &'a mut Desk,
    places: Places,
    unread: Unread,
}

/// Field of the model, and row of the band.
type At = (&'static str, usize);

impl Values<'_> {
    /// Notes a problem with a setting, which cannot be read then.
    fn fault(&mut self, (field, row): At, spot: Spot, message: impl Into<String>) -> &mut Report {
        self.unread.cell(TableCell { table: Table::Shop, row, field });
        self.desk.error(spot, message)
    }

    pub(super) fn one(&mut self, key: &str, field: &'static str) -> Option<(String, Spot)> {
        self.one_at(key, (field, 0))
    }

    fn one_at(&mut self, key: &str, at: At) -> Option<(String, Spot)> {
        let setting = self.settings.values.get(key)?;
        self.places.insert(at, setting.spot.clone());
        match setting.items.as_slice() {
            [item] => Some(item.clone()),
            items => {
                let found = items.len();
                let message = format!("expected one value for `{key}`, but found {found}");
                self.fault(at, setting.spot.clone(), message);
                None
            }
        }
    }

    pub(super) fn parsed<V: std::str::FromStr<Err: std::fmt::Display>>(
        &mut self,
        key: &str,
        field: &'static str,
    ) -> Option<V> {
        let (text, spot) = self.one(key, field)?;
        match text.parse() {
            Ok(value) => Some(value),
            Err(error) => {
                self.fault((field, 0), spot, error.to_string());
                None
            }
        }
    }

    pub(super) fn length(&mut self, at: At, text: &str, spot: &Spot, zero: bool) -> Option<Length> {
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
            Err(error) if error.kind() == LengthErrorKind::NoUnit && self.reading.no_unit => {
                // Reported already, as for a list.
                let (field, row) = at;
                self.unread.cell(TableCell { table: Table::Shop, row, field });
                self.desk.count_silently();
                None
            }
            Err(error) => {
                self.reading.no_unit |= error.kind() == LengthErrorKind::NoUnit;
                let report = self.fault(at, part(error.span()), error.to_string());
                if is_no_value(text) {
                    let hint = if zero { "write \"0\" for none" } else { "leave the line out for none" };
                    report.hint(hint);
                } else if let Some(hint) = error.hint() {
                    report.hint(hint);
                }
                None
            }
        }
    }

    fn allowance(&mut self, key: &str, field: &'static str, into: &mut Length) {
        if let Some((text, spot)) = self.one(key, field) {
            *into = self.length((field, 0), &text, &spot, true).unwrap_or(*into);
        }
    }

    pub(super) fn limit(&mut self, field: &'static str, into: &mut Option<Length>) {
        if let Some((text, spot)) = self.one(field, field) {
            *into = self.length((field, 0), &text, &spot, false);
        }
    }

    /// One value for all, or one for each.
    fn allowances(&mut self, field: &'static str, expected: &str, into: &mut [Length]) {
        let Some(setting) = self.settings.values.get(field) else { return };
        self.places.insert((field, 0), setting.spot.clone());
        let items = setting.items.clone();
        if items.len() != 1 && items.len() != into.len() {
            let found = items.len();
            let message = format!("expected {expected}, but found {found} values");
            let name = field.rsplit('.').next().unwrap_or(field);
            let each = vec!["\"...\""; into.len()].join(", ");
            self.fault((field, 0), setting.spot.clone(), message)
                .hint(format!("write {name} = \"...\", or {name} = [{each}]"));
            return;
        }
        let read: Vec<Option<Length>> =
            items.iter().map(|(text, spot)| self.length((field, 0), text, spot, true)).collect();
        for (index, place) in into.iter_mut().enumerate() {
            if let Some(length) = read.get(index).or(read.first()).copied().flatten() {
                *place = length;
            }
        }
    }

    pub(super) fn word<V: Copy>(
        &mut self,
        field: &'static str,
        expected: &str,
        words: &[(&str, V)],
        into: &mut V,
    ) {
        let Some((text, spot)) = self.one(field, field) else { return };
        let folded = text.trim().to_lowercase();
        match words.iter().find(|(word, _)| *word == folded) {
            Some((_, value)) => *into = *value,
            None => {
                self.fault((field, 0), spot, format!("expected {expected}, but found `{text}`"));
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
                let message = format!("expected a number of stages or any, but found `{text}`");
                self.fault(("sheets.stages", 0), spot, message).hint("a rip and a crosscut are two stages");
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
                let at = (field, row);
                let Some((text, spot)) = self.one_at(&format!("band.{name}.{key}"), at) else { continue };
                *into = self.length(at, &text, &spot, true).unwrap_or_default();
            }
            let at = ("band.overhang", row);
            if let Some((text, spot)) = self.one_at(&format!("band.{name}.overhang"), at) {
                band.overhang = self.length(at, &text, &spot, true);
            }
            bands.push(band);
        }
        bands
    }

    fn vehicle(&mut self) -> Option<Vehicle> {
        let width = self.settings.values.contains_key("vehicle.width");
        let Some((text, spot)) = self.one("vehicle.length", "vehicle.length") else {
            if let (true, Some((_, spot))) =
                (width && !self.settings.lost("vehicle"), self.one("vehicle.width", "vehicle.width"))
            {
                self.fault(("vehicle.length", 0), spot, "the vehicle has a width but no length")
                    .hint("say the longest piece it carries: length = \"8'\"");
            }
            return None;
        };
        let length = self.length(("vehicle.length", 0), &text, &spot, false).unwrap_or(Length::MAX);
        let mut vehicle = Vehicle { length, width: None };
        self.limit("vehicle.width", &mut vehicle.width);
        Some(vehicle)
    }
}
