//! What the shop has: saws, offcut limits, edge bands, a vehicle. All lengths, all with the defaults of the trade.

use crate::units::{Length, LengthStyle, System, Unit};

/// What the shop has.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(default, deny_unknown_fields))]
pub struct Shop {
    /// What bare numbers mean; `None` where nobody said (then bare numbers are refused on reading).
    pub units: Option<Unit>,
    /// How lengths are printed.
    pub style: LengthStyle,
    /// Printed before or after amounts; empty for none.
    pub currency: String,
    /// Settings for boards.
    pub boards: BoardSettings,
    /// Settings for sheets.
    pub sheets: SheetSettings,
    /// Edge bands by name.
    pub bands: Vec<Band>,
    /// What has to carry the stock home.
    pub vehicle: Option<Vehicle>,
}

/// How boards are cut.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(default, deny_unknown_fields))]
pub struct BoardSettings {
    /// Width that the blade turns to dust.
    pub kerf: Length,
    /// Edge trim of the two ends, kerf included: near (start) and far.
    pub trim: [Length; 2],
    /// Shortest offcut worth keeping.
    pub keep: Length,
    /// Shortest piece that may be ripped; shorter ones are ripped as part of a longer blank.
    pub shortest_rip: Length,
}

/// How sheets are cut.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(default, deny_unknown_fields))]
pub struct SheetSettings {
    /// Width that the blade turns to dust.
    pub kerf: Length,
    /// Edge trim, kerf included: near and far end (along the length), near and far edge (across).
    pub trim: [Length; 4],
    /// Smallest offcut worth keeping: long and short side.
    pub keep: [Length; 2],
    /// How deep the tree of cuts may be.
    pub stages: Stages,
    /// One more cut that only brings a piece to size, beyond limited stages.
    pub trimming: bool,
    /// Direction of the first cut.
    pub first_cut: FirstCut,
    /// Longest rip the saw takes; `None` for no limit.
    pub longest_rip: Option<Length>,
    /// Longest crosscut the saw takes; `None` for no limit.
    pub longest_crosscut: Option<Length>,
    /// The most between fence and blade; `None` for no limit.
    pub fence_reach: Option<Length>,
    /// The most that is cut as one stack; `None` for one sheet at a time.
    pub stack_height: Option<Length>,
}

/// How many times the cutting direction may change, trim cuts not counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "lowercase"))]
pub enum Stages {
    /// At most this many, 2 or more.
    Limited(u8),
    /// Any number.
    Any,
}

/// The most strips of waste that are ripped off beside a strip wider than the fence reaches: nobody rips more, and whoever
/// wants that is to say so by the fence.
pub const MOST_RIPPED_OFF: u32 = 40;

/// Direction of the first cut. Sheets of which all pieces are as wide, or as long, as they are need none of it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "lowercase"))]
pub enum FirstCut {
    /// Along the length of the sheet.
    Rip,
    /// Across it.
    Crosscut,
    /// Whichever is better.
    #[default]
    Either,
}

/// An edge band.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(default, deny_unknown_fields))]
pub struct Band {
    /// Name by which parts ask for it.
    pub name: String,
    /// Its thickness.
    pub thickness: Length,
    /// What it takes off the cut size at each banded edge; iron-on tape: nothing.
    pub deduct: Length,
    /// What the machine mills off the edge before it glues.
    pub pre_mill: Length,
    /// How much longer than its edge each length of it is cut, to be trimmed flush; `None` for the usual.
    #[cfg_attr(feature = "serde", serde(skip_serializing_if = "Option::is_none"))]
    pub overhang: Option<Length>,
}

/// The longest and widest that the vehicle carries.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(default, deny_unknown_fields))]
pub struct Vehicle {
    /// Longest piece.
    pub length: Length,
    /// Widest sheet.
    pub width: Option<Length>,
}

impl Shop {
    /// How much longer than its edge a length of band is cut where its band does not say: 2 in or 50 mm, both ends
    /// together. Common practice, no published source.
    pub fn usual_overhang(&self) -> Length {
        match self.style.parse_unit().system() {
            System::Inch => Length::from_ticks(2 * Length::TICKS_PER_INCH),
            System::Metric => Length::mm(50),
        }
    }

    /// The defaults of the trade in the given system: kerf 1/8 in or 3.2 mm, no edge trim, offcuts from 24 in or
    /// 600 mm kept. Common practice, no published source.
    pub fn defaults(system: System) -> Self {
        let pick = |eighths: i64, tenths: i64| match system {
            System::Inch => Length::from_ticks(eighths * (Length::TICKS_PER_INCH / 8)),
            System::Metric => Length::from_ticks(tenths * (Length::TICKS_PER_MM / 10)),
        };
        let kerf = pick(1, 32);
        Self {
            units: None,
            style: LengthStyle::default_for(system),
            currency: String::new(),
            boards: BoardSettings {
                kerf,
                trim: [Length::ZERO; 2],
                keep: pick(24 * 8, 6_000),
                shortest_rip: pick(12 * 8, 3_000),
            },
            sheets: SheetSettings {
                kerf,
                trim: [Length::ZERO; 4],
                keep: [pick(24 * 8, 6_000), pick(12 * 8, 3_000)],
                stages: Stages::Limited(3),
                trimming: true,
                first_cut: FirstCut::Either,
                longest_rip: None,
                longest_crosscut: None,
                fence_reach: None,
                stack_height: None,
            },
            bands: Vec::new(),
            vehicle: None,
        }
    }
}

impl Default for Shop {
    /// Those of the metric system.
    fn default() -> Self {
        Self::defaults(System::Metric)
    }
}

impl Default for BoardSettings {
    fn default() -> Self {
        Shop::default().boards
    }
}

impl Default for SheetSettings {
    fn default() -> Self {
        Shop::default().sheets
    }
}
