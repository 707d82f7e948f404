//! What do the settings of a shop say about its papers?

use nest_core::units::Length;

use super::shop::Values;
use crate::papers::{Density, PaperSettings, parse_density, parse_grid, parse_weight};

impl Values<'_> {
    /// Paper, labels and limits. Whether labels fit their page is looked at when flags have had their say.
    pub(super) fn papers(&mut self) -> PaperSettings {
        let mut papers = PaperSettings { paper: self.parsed("paper", "paper"), ..PaperSettings::default() };
        let labels = &mut papers.labels;
        labels.grid = self.read("labels.grid", parse_grid);
        labels.size = self.pair("labels.size", "width and height", false);
        labels.margin = self.pair("labels.margin", "from the left and from the top", true);
        labels.gap = self.pair("labels.gap", "between columns and between rows", true);
        self.word("labels.code", "true or false", &[("true", true), ("false", false)], &mut labels.code);
        let limits = &mut papers.limits;
        self.limit("limits.narrow", &mut limits.narrow);
        self.limit("limits.short", &mut limits.short);
        self.limit("limits.rip", &mut limits.rip);
        self.limit("limits.tall", &mut limits.tall);
        limits.lift = self.read("limits.lift", parse_weight);
        for (material, setting) in self.settings.weights() {
            let Some((text, spot)) = setting.items.first() else { continue };
            match parse_density(text) {
                Ok(grams) => limits.weights.push(Density { material: material.to_owned(), grams }),
                Err(message) => {
                    self.desk.error(spot.clone(), message);
                }
            }
        }
        papers
    }

    fn read<V>(&mut self, field: &'static str, parse: fn(&str) -> Result<V, String>) -> Option<V> {
        let (text, spot) = self.one(field, field)?;
        parse(&text).map_err(|message| self.desk.error(spot, message)).ok()
    }

    fn pair(&mut self, field: &'static str, what: &str, zero: bool) -> Option<[Length; 2]> {
        let setting = self.settings.values.get(field)?.clone();
        let [(a, at_a), (b, at_b)] = setting.items.as_slice() else {
            let found = setting.items.len();
            self.desk
                .error(setting.spot, format!("expected two values for `{field}`, {what}, but found {found}"));
            return None;
        };
        Some([self.length((field, 0), a, at_a, zero)?, self.length((field, 0), b, at_b, zero)?])
    }
}
