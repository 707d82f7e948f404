//! A part: a piece somebody needs.

use crate::units::{Length, Nominal};

/// A piece somebody needs, with its finished size.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(default, deny_unknown_fields))]
pub struct Part {
    /// Name on diagrams and labels.
    #[cfg_attr(feature = "serde", serde(rename = "part"))]
    pub name: String,
    /// What it is made of; compared without regard to case and runs of spaces.
    pub material: String,
    /// Nominal size such as 1x4: that stock and no other.
    pub section: Option<Nominal>,
    /// Finished thickness.
    pub thickness: Option<Length>,
    /// Finished length.
    pub length: Length,
    /// Finished width; `None` for parts as wide as their board.
    pub width: Option<Length>,
    /// How many. Default: 1, since whoever names a part wants one.
    pub qty: u32,
    /// Which dimension runs with the grain; `None` where nobody said (then the length does).
    pub grain: Option<PartGrain>,
    /// Edges along the length that get edge band: 0, 1 or 2.
    pub length_edges: u8,
    /// Edges along the width that get edge band: 0, 1 or 2.
    pub width_edges: u8,
    /// Which band of the shop.
    pub band: Option<String>,
    /// Grain match: parts of one job, material, thickness and word are cut as one strip, in order.
    #[cfg_attr(feature = "serde", serde(rename = "match"))]
    pub match_word: Option<String>,
    /// How the strip of a grain match runs.
    pub match_way: MatchWay,
    /// Whether the last cut waits for a measurement.
    pub fit: Fit,
    /// Made only if that costs nothing.
    pub optional: bool,
    /// The blank is larger by this in both directions and trimmed later (glue-ups).
    pub oversize: Length,
    /// Client or project.
    pub job: String,
    /// Free text.
    pub note: String,
    /// Columns of the file that mean nothing to the plan, kept for labels: header and text.
    pub extra: Vec<(String, String)>,
}

impl Default for Part {
    fn default() -> Self {
        Self {
            name: String::new(),
            material: String::new(),
            section: None,
            thickness: None,
            length: Length::ZERO,
            width: None,
            qty: 1,
            grain: None,
            length_edges: 0,
            width_edges: 0,
            band: None,
            match_word: None,
            match_way: MatchWay::Along,
            fit: Fit::No,
            optional: false,
            oversize: Length::ZERO,
            job: String::new(),
            note: String::new(),
            extra: Vec::new(),
        }
    }
}

/// Which dimension of a part runs with the grain.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "lowercase"))]
pub enum PartGrain {
    /// The length.
    Length,
    /// The width.
    Width,
    /// Either: the part may be turned.
    Any,
}

/// How the strip of a grain match runs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "lowercase"))]
pub enum MatchWay {
    /// One after the other along the grain: drawer fronts of one column.
    #[default]
    Along,
    /// Side by side across the grain: a pair of doors.
    Across,
}

/// Whether a part is cut to fit, its last cut waiting for a measurement.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "lowercase"))]
pub enum Fit {
    /// Cut to the size given.
    #[default]
    No,
    /// The size given is the most it can be.
    Yes,
    /// The blank is longer by this; the part is cut to the measurement later.
    Over(Length),
}
