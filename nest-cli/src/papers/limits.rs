//! When the papers warn: below these sizes, above these weights.
//!
//! Defaults are common practice but for the lift (NIOSH lifting equation, 51 lb or 23 kg in the ideal case) and the
//! height of furniture that tips (16 CFR part 1261 after ASTM F2057-23 begins at 27 in; the default here is a unit
//! that stands taller than most people reach over). A shop sets its own.

use nest_core::units::{Length, System};
use serde::{Deserialize, Serialize};

/// When to be warned; what is `None` follows the units of the shop.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Limits {
    /// A strip ripped narrower than this.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub narrow: Option<Length>,
    /// A piece cut shorter than this.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub short: Option<Length>,
    /// What is ripped off a sheet and shorter than this along the fence.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rip: Option<Length>,
    /// A part this long or longer may be the side of a tall unit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tall: Option<Length>,
    /// A sheet heavier than this, in grams.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lift: Option<u64>,
    /// What materials weigh, before the words that are known.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub weights: Vec<Density>,
}

/// What a material weighs.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Density {
    /// The material, as in the lists.
    pub material: String,
    /// Grams in a cubic metre.
    pub grams: u64,
}

/// A pound in grams, times 100 000 (exact: 453.59237 g).
const POUND: u64 = 45_359_237;

/// A word in the name of a material, what a panel of it weighs in thousandths of a pound in a cubic foot, and whether
/// its dust is worse than that of other wood.
struct Word(&'static str, Option<u64>, bool);

/// MDF and industrial particleboard (boards of trade), hardwood plywood 2.3 lb per square foot of 3/4 in, softwood
/// plywood sheets of 60.8 lb (weight charts of dealers), hardboard and HDF (850 to 900 kg in a cubic metre) from memory.
/// The first weight found counts; of a sheet of none of them it is not known.
const KNOWN: [Word; 19] = [
    Word("hdf", Some(55_000), true),
    Word("high density fib", Some(55_000), true),
    Word("mdf", Some(48_000), true),
    Word("medium density", Some(48_000), true),
    Word("particle", Some(45_000), true),
    Word("chipboard", Some(45_000), true),
    Word("melamine", Some(45_000), true),
    Word("hardboard", Some(60_000), true),
    Word("osb", Some(40_000), true),
    Word("cdx", Some(30_400), false),
    Word("softwood ply", Some(30_400), false),
    Word("fir ply", Some(30_400), false),
    Word("pine ply", Some(30_400), false),
    Word("spruce ply", Some(30_400), false),
    Word("sheathing", Some(30_400), false),
    Word("ply", Some(36_800), false),
    Word("veneer", Some(36_800), false),
    Word("blockboard", Some(36_800), false),
    Word("cedar", None, true),
];

/// The words that a material is called by.
fn words(material: &str) -> impl Iterator<Item = &'static Word> {
    let folded = nest_core::model::fold(material).replace('-', " ");
    KNOWN.iter().filter(move |Word(word, ..)| folded.contains(word))
}

/// Whether the dust of a material is worse than that of other wood.
pub fn harmful_dust(material: &str) -> bool {
    words(material).any(|Word(.., harmful)| *harmful)
}

impl Limits {
    /// A strip ripped narrower than this.
    pub fn narrow(&self, system: System) -> Length {
        self.narrow.unwrap_or(pick(system, (3, 4), 20))
    }

    /// A piece cut shorter than this.
    pub fn short(&self, system: System) -> Length {
        self.short.unwrap_or(pick(system, (6, 1), 150))
    }

    /// What is ripped off a sheet and shorter than this along the fence.
    pub fn rip(&self, system: System) -> Length {
        self.rip.unwrap_or(pick(system, (12, 1), 300))
    }

    /// A part this long or longer may be the side of a tall unit.
    pub fn tall(&self, system: System) -> Length {
        self.tall.unwrap_or(pick(system, (60, 1), 1500))
    }

    /// A sheet heavier than this, in grams.
    pub fn lift(&self, system: System) -> u64 {
        self.lift.unwrap_or(match system {
            System::Inch => 51 * POUND / 100_000,
            System::Metric => 23_000,
        })
    }

    /// Grams of a cubic metre of a material; `None` where nobody told.
    pub fn density(&self, material: &str) -> Option<u64> {
        let folded = nest_core::model::fold(material);
        if let Some(own) = self.weights.iter().find(|w| nest_core::model::fold(&w.material) == folded) {
            return Some(own.grams);
        }
        words(material).find_map(|Word(_, pounds, _)| *pounds).map(per_cubic_metre)
    }

    /// Grams of a cubic metre of the heaviest panel that has a word.
    pub fn heaviest() -> u64 {
        per_cubic_metre(KNOWN.iter().filter_map(|Word(_, pounds, _)| *pounds).max().unwrap_or(0))
    }
}

fn pick(system: System, (inches, over): (i64, i64), mm: i64) -> Length {
    match system {
        System::Inch => Length::from_ticks(inches * Length::TICKS_PER_INCH / over),
        System::Metric => Length::mm(mm),
    }
}

/// Thousandths of a pound in a cubic foot to grams in a cubic metre. A foot is 0.3048 m.
pub fn per_cubic_metre(pounds: u64) -> u64 {
    // 453.59237 g / 0.3048^3 m3 = 16 018.463 g in a cubic metre for each pound.
    u64::try_from(u128::from(pounds) * 16_018_463 / 1_000_000).unwrap_or(u64::MAX)
}

/// A weight in grams: `51 lb`, `23 kg`.
///
/// # Errors
/// What is no weight with its unit.
pub fn parse_weight(text: &str) -> Result<u64, String> {
    let grams = match split(text) {
        Some((thousandths, "lb" | "lbs" | "pounds")) => {
            thousandths.checked_mul(POUND).map(|g| g / 100_000_000)
        }
        Some((thousandths, "kg")) => Some(thousandths),
        _ => None,
    };
    grams
        .filter(|grams| (1..=MOST_WEIGHT).contains(grams))
        .ok_or_else(|| format!("expected a weight such as 51 lb or 23 kg, but found `{text}`"))
}

/// What a cubic metre weighs, in grams: `36 lb/cu ft`, `700 kg/m3`.
///
/// # Errors
/// What is no such weight with its unit.
pub fn parse_density(text: &str) -> Result<u64, String> {
    let grams = match split(text) {
        Some((thousandths, "lb/cu ft" | "lb/ft3" | "lb/ft³")) => Some(per_cubic_metre(thousandths)),
        Some((thousandths, "kg/m3" | "kg/m³")) => Some(thousandths),
        _ => None,
    };
    grams
        .filter(|grams| (1..=MOST_WEIGHT).contains(grams))
        .ok_or_else(|| format!("expected a weight such as 36 lb/cu ft or 700 kg/m3, but found `{text}`"))
}

/// Twenty tonnes.
const MOST_WEIGHT: u64 = 20_000_000;

/// Thousandths, and the unit.
fn split(text: &str) -> Option<(u64, &str)> {
    let text = text.trim();
    let end = text.find(|c: char| !c.is_ascii_digit() && c != '.' && c != ',')?;
    let (number, unit) = (&text[..end], text[end..].trim());
    let (whole, part) = number.split_once(['.', ',']).unwrap_or((number, ""));
    let digits = |t: &str| t.bytes().all(|b| b.is_ascii_digit());
    if whole.is_empty() || whole.len() > 9 || part.len() > 3 || !digits(whole) || !digits(part) {
        return None;
    }
    let thousandths = format!("{whole}{part:0<3}").parse().ok()?;
    Some((thousandths, unit))
}

/// What a panel of this size weighs, in grams.
pub fn weight(size: [Length; 3], grams: u64) -> u64 {
    // Micrometres, so that the product of three stays inside 128 bits.
    let volume = size.iter().map(|side| u128::from(side.ticks().unsigned_abs()) / 80).product::<u128>();
    u64::try_from((volume / 1_000_000_000).saturating_mul(grams.into()) / 1_000_000_000).unwrap_or(u64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Published weights of sheets of 4 by 8 ft, 3/4 in: 97 lb of MDF (the density alone gives 96), 73.6 lb of
    /// hardwood plywood, 60.8 lb of softwood plywood.
    #[test]
    fn sheets_weigh_what_is_published() {
        let size = [(96, 1), (48, 1), (3, 4)].map(|(n, d)| Length::inches(n, d).unwrap());
        let pounds = |material: &str| {
            let grams = Limits::default().density(material).unwrap();
            weight(size, grams) * 10 * 100_000 / POUND
        };
        assert_eq!(pounds("MDF"), 959, "96.0 lb, rounded down");
        assert_eq!(pounds("birch ply"), 735, "73.6 lb, rounded down");
        assert_eq!(pounds("CDX plywood"), 607, "60.8 lb, rounded down");
        assert_eq!(Limits::default().density("mystery"), None);
        // From memory: 850 to 900 kg in a cubic metre.
        let hdf = Limits::default().density("HDF, white").unwrap();
        assert!((850_000..=900_000).contains(&hdf), "{hdf}");
        assert_eq!(Limits::default().density("High-density fibreboard"), Some(hdf));
    }

    #[test]
    fn dust_goes_by_any_word() {
        for fine in ["MDF", "Medium-density fibreboard", "high-density fibreboard", "OSB 3", "cedar ply"] {
            assert!(harmful_dust(fine), "{fine}");
        }
        for other in ["birch ply", "pine", "high density overlay ply"] {
            assert!(!harmful_dust(other), "{other}");
        }
        assert_eq!(Limits::default().density("cedar ply"), Limits::default().density("birch ply"));
        assert_eq!(Limits::default().density("cedar"), None);
    }

    #[test]
    fn weights_need_their_unit() {
        assert_eq!(parse_weight("51 lb"), Ok(23_133));
        assert_eq!(parse_weight("23 kg"), Ok(23_000));
        assert_eq!(parse_weight("22,5kg"), Ok(22_500));
        assert_eq!(parse_density("48 lb/cu ft"), Ok(768_886));
        assert_eq!(parse_density("700 kg/m3"), Ok(700_000));
        for odd in ["", "23", "kg", "-1 kg", "1.2.3 kg", "1.2345 kg", "99999999999 kg", "0 kg", "23 stone"] {
            assert!(parse_weight(odd).is_err(), "{odd}");
        }
    }

    #[test]
    fn a_shop_knows_better() {
        let own = Density { material: "Birch  PLY".into(), grams: 700_000 };
        let limits = Limits { weights: vec![own], ..Limits::default() };
        assert_eq!(limits.density("birch ply"), Some(700_000));
    }
}
