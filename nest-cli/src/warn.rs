//! What is odd but does not keep the plan from being made: each warning says the cause and the next step.

use std::fmt;

use nest_core::units::{Notice, NoticeKind};

use crate::report::labels::MOST_LABELS;
use crate::report::words::{self, count, list};

/// Something that the user will want to know.
#[derive(Clone, Debug)]
pub enum Warning {
    /// Columns that mean nothing to the plan.
    UnknownColumns {
        /// Their headers.
        columns: Vec<String>,
    },
    /// A length that may not be what was meant.
    Length(Notice),
    /// Numbers that a decimal comma might have made of one, in a list whose rows all end with a comma more than the header.
    TwoNumbers {
        /// The first two.
        numbers: String,
    },
    /// Further lengths of that kind.
    MoreLengths(usize),
    /// Prices are in more than one currency, or in another than the shop's.
    Currency {
        /// The one that counts.
        expected: String,
        /// The one that was found.
        found: String,
    },
    /// Pieces that an earlier plan made and that are not wanted as they are.
    Unwanted {
        /// How many of each, and what they are called as stock.
        pieces: Vec<(u32, String)>,
        /// The job of one of them, and another one that asks for such a piece.
        jobs: Option<(String, String)>,
        /// Whether some of them are blanks.
        blanks: bool,
    },
    /// Strips of matched grain that are cut in part.
    Parted {
        /// Their words.
        strips: Vec<String>,
    },
    /// Pieces that are wanted, but were cut for another size.
    Other {
        /// How many of each, and what part they are.
        pieces: Vec<(u32, String)>,
    },
    /// Pieces that were on hand for the plan that is carried on, were not used, and that the lists do not have now.
    Missed {
        /// How many of each, and what they are called.
        pieces: Vec<(u32, String)>,
    },
    /// How the rest is cut is not how the plan was cut that is carried on.
    OtherSaw {
        /// What differs.
        settings: Vec<String>,
    },
    /// Drawings that lie beside those of the plan and are not of it.
    OtherDrawings {
        /// The folder of the drawings.
        folder: String,
        /// Their names.
        names: Vec<String>,
    },
    /// Pieces beyond those that get a label.
    NoLabel {
        /// How many.
        pieces: u64,
    },
    /// What was in the folder of the papers and is elsewhere now.
    PutAside {
        /// Where.
        paths: Vec<String>,
    },
    /// Something odd about the question as a whole.
    Question(nest_core::model::Warning),
}

impl Warning {
    /// Whether it is only of interest to those who ask for more.
    pub fn is_remark(&self) -> bool {
        matches!(self, Self::Question(warning) if warning.is_remark())
    }

    /// Whether an error elsewhere may follow from it: something was not read as it was meant. What is odd about the whole
    /// says nothing while a part of it is wrong.
    pub fn may_be_a_cause(&self) -> bool {
        match self {
            Self::UnknownColumns { .. } | Self::TwoNumbers { .. } => true,
            Self::Length(notice) => notice.kind() != NoticeKind::FinerThanTick,
            _ => false,
        }
    }
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnknownColumns { columns } => {
                let names: Vec<String> = columns.iter().map(|column| format!("`{column}`")).collect();
                let (plural, kept) = match names.len() {
                    1 => ("", "it is kept in plan.json, and does"),
                    _ => ("s", "they are kept in plan.json, and do"),
                };
                write!(f, "unknown column{plural} {}: {kept} not change the plan", names.join(", "))
            }
            Self::Length(notice) => notice.fmt(f),
            Self::TwoNumbers { numbers } => write!(
                f,
                "every row ends with a `,` more than the header, so that `{numbers}` is read as two numbers; a number with a \
                 decimal comma needs quotes, \"{numbers}\""
            ),
            Self::MoreLengths(count) => {
                write!(f, "{} may not be what was meant", words::count(*count as u128, "further length"))
            }
            Self::Currency { expected, found } => {
                write!(
                    f,
                    "this price is in {found}, but others are in {expected}: amounts are added up as they stand"
                )
            }
            Self::Unwanted { pieces, jobs, blanks } => {
                write!(
                    f,
                    "made but not asked for as they are: {}; they are on hand now, for parts that they hold: what is to stay as \
                     it is goes into the list of parts",
                    counted(pieces)
                )?;
                if *blanks {
                    f.write_str("; blanks count as they came off the saw, and are smaller if they were cut to size since")?;
                }
                match jobs {
                    Some((then, now)) => write!(
                        f,
                        "; such a piece is asked for by {}, but was made for {}: without a column `job`, a job is \
                         called as its list where there are several, and as the folder of that where their files are called \
                         alike",
                        job(now),
                        job(then)
                    ),
                    None => Ok(()),
                }
            }
            Self::Parted { strips } => {
                let (plural, they) = if strips.len() == 1 { ("", "it") } else { ("s", "they") };
                let words: Vec<String> = strips.iter().map(|word| format!("`{word}`")).collect();
                write!(
                    f,
                    "strip{plural} {} of matched grain: some pieces are made and the others still on the saw, but only a \
                     whole strip counts, and {they} will be cut anew; to keep {}, make the cuts up to the end of the strip \
                     first and name the last of them in --cut",
                    list(&words, MOST_NAMED),
                    if strips.len() == 1 { "it" } else { "them" },
                )
            }
            Self::Other { pieces } => write!(
                f,
                "made for another size, and large enough for the one asked for now: {}; cut them to it",
                counted(pieces)
            ),
            Self::Missed { pieces } => write!(
                f,
                "on hand for the plan that is carried on and not used by it, but not in the lists now: {}; what it used is \
                 taken off the rack as it was, so give the same --rack again if these are still there",
                counted(pieces)
            ),
            Self::OtherSaw { settings } => write!(
                f,
                "other than for the plan that is carried on: {}; the rest is cut with what is given now, so give the same \
                 --shop, --kerf and --trim again unless that is meant",
                list(settings, settings.len())
            ),
            Self::OtherDrawings { folder, names } => write!(
                f,
                "not of this plan, but beside its drawings in {folder}: {}; take them out before somebody cuts by them",
                list(names, MOST_NAMED)
            ),
            Self::NoLabel { pieces } => {
                let (pieces, have) =
                    (count((*pieces).into(), "piece"), if *pieces == 1 { "has" } else { "have" });
                write!(
                    f,
                    "{pieces} {have} no label: labels.html holds the first {MOST_LABELS}, in cutting order"
                )
            }
            Self::PutAside { paths } => {
                write!(f, "could not be left beside the papers, and is kept here: {}", paths.join(", "))
            }
            Self::Question(warning) => warning.fmt(f),
        }
    }
}

fn job(name: &str) -> String {
    if name.is_empty() { "no job".to_owned() } else { format!("job `{name}`") }
}

/// How many names are said.
const MOST_NAMED: usize = 5;

/// The first few, each with how many there are.
fn counted(pieces: &[(u32, String)]) -> String {
    let mut sums: Vec<(u64, &str)> = Vec::new();
    for (qty, name) in pieces {
        match sums.iter_mut().take(MOST_NAMED).find(|(_, other)| other == name) {
            Some((sum, _)) => *sum = sum.saturating_add((*qty).into()),
            None => sums.push(((*qty).into(), name)),
        }
    }
    let names: Vec<String> = sums.iter().map(|(qty, name)| format!("{qty} {name}")).collect();
    list(&names, MOST_NAMED)
}
