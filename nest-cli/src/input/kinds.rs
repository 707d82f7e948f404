//! Which of the files of a plan is this? One that was given as another is named, not taken apart as what it is not.

use super::columns::{is_of_parts, is_of_stock, names};
use super::csv::{Cell, Dialect, Records};

/// A file that begins with a header.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A list of parts.
    Parts,
    /// A list of stock, or of what is on hand.
    Stock,
    /// The `buy.csv` of a plan.
    Buy,
    /// The `cuts.csv` of a plan.
    Cuts,
}

impl Kind {
    /// What a file is, if that is certain.
    pub fn of(text: &str) -> Option<Self> {
        let header = header(text);
        let names: Vec<String> = names(&header).collect();
        let all = |wanted: &[&str]| wanted.iter().all(|name| names.iter().any(|other| other == name));
        let list = all(&["material"]) || all(&["length"]);
        match () {
            () if all(&["from", "spare", "edges_mm"]) => Some(Self::Buy),
            () if all(&["layout", "setting", "frees"]) => Some(Self::Cuts),
            () if list && is_of_parts(&header) => Some(Self::Parts),
            () if list && is_of_stock(&header) => Some(Self::Stock),
            () => None,
        }
    }

    /// In words.
    pub fn name(self) -> &'static str {
        match self {
            Self::Parts => "a list of parts",
            Self::Stock => "a list of stock",
            Self::Buy => "what a plan buys, its `buy.csv`",
            Self::Cuts => "the cuts of a plan, its `cuts.csv`",
        }
    }

    /// What to do with it.
    pub fn advice(self) -> &'static str {
        match self {
            Self::Parts => "lists of parts stand behind `nest plan` without a flag",
            Self::Stock => "give it as --stock, or as --rack if it is what you own",
            Self::Buy | Self::Cuts => {
                "give the list that the plan was made from; its `offcuts.csv` can be a --rack"
            }
        }
    }

    /// Whether a plan wrote it, so that it is no list of what there is or is wanted.
    pub fn is_written(self) -> bool {
        matches!(self, Self::Buy | Self::Cuts)
    }
}

/// The first row of a list.
pub fn header(text: &str) -> Vec<Cell> {
    let dialect = Dialect::of(text);
    Records::new(text, dialect.start..text.len(), dialect.separator).next().unwrap_or_default()
}
