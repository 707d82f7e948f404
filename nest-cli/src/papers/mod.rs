//! What a shop wants on its papers: the size of the paper, the sheets its labels come on, and when to be warned.
//!
//! Nothing here changes a plan. It is kept in plan.json all the same, so that the papers can be made again.

mod labels;
mod limits;

pub use labels::{LabelSettings, LabelSheet, measured, parse_grid};
pub use limits::{Density, Limits, harmful_dust, parse_density, parse_weight, weight};

use nest_core::units::{Length, System};
use serde::{Deserialize, Serialize};

/// Settings of papers.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct PaperSettings {
    /// Size of the paper; `None` for what is usual where people use such units.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub paper: Option<Paper>,
    /// Sheets of labels.
    #[serde(skip_serializing_if = "crate::plan_file::is_default")]
    pub labels: LabelSettings,
    /// When to be warned.
    #[serde(skip_serializing_if = "crate::plan_file::is_default")]
    pub limits: Limits,
}

/// Size of a sheet of paper, upright.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Paper {
    /// 8 1/2 by 11 in.
    Letter,
    /// 210 by 297 mm (ISO 216).
    A4,
}

impl Paper {
    /// What is usual where people use such units.
    pub const fn usual(system: System) -> Self {
        match system {
            System::Inch => Self::Letter,
            System::Metric => Self::A4,
        }
    }

    /// Width and height.
    pub const fn size(self) -> [Length; 2] {
        match self {
            Self::Letter => [
                Length::from_ticks(17 * Length::TICKS_PER_INCH / 2),
                Length::from_ticks(11 * Length::TICKS_PER_INCH),
            ],
            Self::A4 => [Length::mm(210), Length::mm(297)],
        }
    }

    /// Its name in a style sheet.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Letter => "letter",
            Self::A4 => "A4",
        }
    }
}

impl std::str::FromStr for Paper {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        match text.trim().to_lowercase().as_str() {
            "letter" => Ok(Self::Letter),
            "a4" => Ok(Self::A4),
            _ => Err(format!("expected letter or a4, but found `{text}`")),
        }
    }
}
