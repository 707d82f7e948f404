//! What is odd about a question but does not keep it from being answered. Each says the cause and the next step.

use std::fmt;

use super::problem::{self, TableCell};

/// Something that the person who asks will want to know.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Warning {
    /// Parts are to be cut from sheets whose grain is stated on neither side: none of them will be turned.
    GrainUnstated {
        /// The material as written.
        material: String,
    },
    /// Owned sheets whose list states no grain, of a material that is bought with several.
    OwnedGrain {
        /// Index of the first such stock.
        stock: usize,
        /// Its name.
        name: String,
        /// The material as written.
        material: String,
        /// How many further such rows there are.
        more: usize,
    },
    /// Stock that costs nothing and never ends: every plan will use it.
    FreeWithoutLimit {
        /// Index of the stock.
        stock: usize,
        /// Its name.
        name: String,
    },
    /// Stock that is bought and said to have factory edges still, which all that is bought has.
    EdgesOfBought {
        /// Index of the first such stock.
        stock: usize,
        /// Its name.
        name: String,
        /// How many further such rows there are.
        more: usize,
    },
    /// A part that repeats an earlier row in everything but perhaps its quantity; both are made.
    RepeatedPart {
        /// Index of the part.
        part: usize,
        /// Index of the row it repeats.
        of: usize,
        /// Its name.
        name: String,
        /// How many further rows repeat an earlier one.
        more: usize,
    },
    /// Parts of one job and material that share a name and differ in size.
    SharedName {
        /// Index of the part.
        part: usize,
        /// Its name.
        name: String,
        /// How many further such rows there are.
        more: usize,
    },
    /// A word of the `match` column that one piece has alone.
    MatchAlone {
        /// Index of the first such part.
        first: usize,
        /// Its name.
        name: String,
        /// The word.
        word: String,
        /// How many such parts there are.
        count: usize,
    },
    /// Parts that name an edge band and no edge that gets it.
    BandWithoutEdges {
        /// Index of the first such part.
        first: usize,
        /// Its name.
        name: String,
        /// How many such parts there are.
        count: usize,
    },
    /// Parts with quantity 0: none is made.
    NothingToMake {
        /// Index of the first such part.
        first: usize,
        /// Its name.
        name: String,
        /// How many such parts there are.
        count: usize,
    },
    /// A job of very few rows whose name is one slip of the keys away from that of a larger one.
    NearJob {
        /// Index of the first part of it.
        part: usize,
        /// Its name.
        job: String,
        /// How many rows it has.
        rows: usize,
        /// The other one.
        near: String,
    },
    /// A name with letters of two alphabets in one word, or with characters that nobody sees.
    LooksLikeAnother {
        /// The first such cell.
        place: TableCell,
        /// What stands there.
        name: String,
        /// How many further rows of the list have such a cell.
        more: usize,
    },
    /// A kerf that no usual blade cuts: most likely its unit is another one.
    WideKerf {
        /// The setting of the shop: `boards.kerf` or `sheets.kerf`.
        place: TableCell,
    },
    /// Stock that is longer than boards and sheets are: most likely its unit is another one.
    LongStock {
        /// Index of the first such stock.
        stock: usize,
        /// Its name.
        name: String,
        /// How many further such rows there are.
        more: usize,
    },
    /// Pieces on hand that share material, size and name, or the want of one, with those of an earlier row; both count.
    OnHandTwice {
        /// Index of the stock.
        stock: usize,
        /// Its name.
        name: String,
        /// How many further such rows there are.
        more: usize,
    },
    /// Materials in stock that no part is made of.
    Unused {
        /// The first few, as written.
        materials: Vec<String>,
        /// How many there are in all.
        count: usize,
    },
}

impl Warning {
    /// The cell that it is about, the first one where there are several; `None` where it is about the lists as a whole.
    pub fn place(&self) -> Option<TableCell> {
        match *self {
            Self::RepeatedPart { part, .. } | Self::SharedName { part, .. } => {
                Some(problem::part(part, "part"))
            }
            Self::NearJob { part, .. } => Some(problem::part(part, "job")),
            Self::MatchAlone { first, .. } => Some(problem::part(first, "match")),
            Self::BandWithoutEdges { first, .. } => Some(problem::part(first, "band")),
            Self::NothingToMake { first, .. } => Some(problem::part(first, "qty")),
            Self::OwnedGrain { stock, .. } => Some(problem::stock(stock, "grain")),
            Self::EdgesOfBought { stock, .. } => Some(problem::stock(stock, "factory_edges")),
            Self::FreeWithoutLimit { stock, .. } => Some(problem::stock(stock, "price")),
            Self::LongStock { stock, .. } => Some(problem::stock(stock, "length")),
            Self::OnHandTwice { stock, .. } => Some(problem::stock(stock, "name")),
            Self::LooksLikeAnother { place, .. } | Self::WideKerf { place } => Some(place),
            Self::GrainUnstated { .. } | Self::Unused { .. } => None,
        }
    }

    /// Whether it is only of interest to those who ask for more: a list of all that a yard sells has stock for which
    /// there is no part, every time, and doors of several sizes are often called door.
    pub fn is_remark(&self) -> bool {
        matches!(self, Self::Unused { .. } | Self::SharedName { .. })
    }
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::GrainUnstated { material } => write!(
                f,
                "nobody says which way the grain of {material} runs, so no part of it is turned; \
                 write `none` in the `grain` column of the stock, or `any` for parts that may be turned"
            ),
            Self::OwnedGrain { name, material, more, .. } => {
                write!(f, "nobody says which way the grain of {name} runs")?;
                if *more > 0 {
                    write!(f, " (nor of {} on hand)", counted(*more, "further row"))?;
                }
                write!(
                    f,
                    ", and {material} is bought with several: it is taken to run along the length; \
                     fill in its `grain`"
                )
            }
            Self::FreeWithoutLimit { name, .. } => write!(
                f,
                "{name} costs nothing and never runs out, so every plan will use it; \
                 give it a price, or the quantity on hand"
            ),
            Self::EdgesOfBought { name, more, .. } => {
                write!(f, "{name}")?;
                if *more > 0 {
                    write!(f, " (and {})", counted(*more, "further row"))?;
                }
                f.write_str(
                    " is not on hand, so that `factory_edges` changes nothing: all that is bought has them; \
                     write `yes` in the `on_hand` column if it is yours",
                )
            }
            Self::RepeatedPart { name, more, .. } => {
                write!(f, "{name} stands in the list twice with the same size and job")?;
                if *more > 0 {
                    write!(f, " (and {})", counted(*more, "further such row"))?;
                }
                f.write_str("; both are made: delete one, or change `qty`, if that is not meant")
            }
            Self::SharedName { name, more, .. } => {
                write!(f, "{name} stands in the list with several sizes")?;
                if *more > 0 {
                    let share = if *more == 1 { "shares" } else { "share" };
                    write!(f, " (and {} {share} its name)", counted(*more, "further row"))?;
                }
                f.write_str(": all are made; go by the part numbers, or name them apart")
            }
            Self::MatchAlone { name, word, count, .. } => {
                write!(f, "{name} is alone with its `match` word `{word}`")?;
                if *count > 1 {
                    write!(f, " (and {} with theirs)", counted(*count - 1, "further part"))?;
                }
                f.write_str(": parts of one strip share job, material, thickness and word")
            }
            Self::BandWithoutEdges { name, count, .. } => {
                write!(f, "{name}")?;
                if *count > 1 {
                    write!(f, " (and {} as well)", counted(*count - 1, "further part"))?;
                }
                f.write_str(
                    " names an edge band, but no edge gets it: `length_edges` and `width_edges` say how many do",
                )
            }
            Self::NothingToMake { name, count, .. } => match count - 1 {
                0 => write!(f, "{name} has quantity 0 and is left out"),
                more => {
                    write!(f, "{name} and {} have quantity 0 and are left out", counted(more, "further part"))
                }
            },
            Self::NearJob { job, rows, near, .. } => write!(
                f,
                "the job {job}, of {}, is nearly called like {near}: is it the same one?",
                counted(*rows, "row")
            ),
            Self::LooksLikeAnother { name, more, .. } => {
                write!(f, "{name} mixes alphabets in one word or holds characters that nobody sees")?;
                if *more > 0 {
                    write!(f, " (and {})", counted(*more, "further such row"))?;
                }
                f.write_str(": it can look like another name; go by the part numbers, or type it anew")
            }
            Self::WideKerf { .. } => f.write_str(
                "the kerf is wider than 1/2 in (12.7 mm), which is more than saws for wood take; is its unit right?",
            ),
            Self::LongStock { name, more, .. } => {
                write!(f, "{name}")?;
                if *more > 0 {
                    write!(f, " (and {})", counted(*more, "further row"))?;
                }
                f.write_str(" is longer than 65 ft (20 m), which is more than boards and sheets are; is its unit right?")
            }
            Self::OnHandTwice { name, more, .. } => {
                write!(f, "{name} is on hand in two rows with the same size")?;
                if *more > 0 {
                    write!(f, " (and {})", counted(*more, "further such row"))?;
                }
                f.write_str(": both count; delete one if they are the same piece, or write how many there are into `qty`")
            }
            Self::Unused { materials, count } => {
                write!(f, "no part is made of {}", materials.join(", "))?;
                match count - materials.len() {
                    0 => Ok(()),
                    more => write!(f, " or {} in stock", counted(more, "further material")),
                }
            }
        }
    }
}

fn counted(count: usize, what: &str) -> String {
    let plural = if count == 1 { "" } else { "s" };
    format!("{count} {what}{plural}")
}
