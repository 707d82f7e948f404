//! What plan.json looks like: one set of types for writing it and for reading it back.
//!
//! The format is public: additions raise nothing, any other change raises [`VERSION`]. Money and costs are text, so
//! that no reader rounds them; lengths are numbers of millimetres. Fields that say nothing beyond their default are
//! left out, which keeps a plan of a hundred thousand rows within reason. Unknown fields and fields written twice
//! are refused. The schema beside the crate (`plan.schema.json`) says the same for other programs.

mod amount;
mod before;
#[cfg(test)]
mod laws;
mod question;

pub use amount::{amount, parse_amount};

use crate::papers::PaperSettings;
use nest_core::model::{Batch, GroupKind, Measure};
use nest_core::plan::{Certificate, GroupClaim, Layout, Node, PlacedPiece, Plan};
use nest_core::rest::Before;
use nest_core::search::{Effort, Stop};
use nest_core::solution::Status;
use nest_core::units::Length;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// The word in `format` by which the file says what it is.
pub const FORMAT: &str = "nest-plan";
/// The version of the format that this program writes, and the highest that it reads.
pub const VERSION: u32 = 1;

/// A whole plan.json. What a reader needs to judge a plan comes without a default; the rest may be missing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlanFile<'a> {
    /// Always [`FORMAT`].
    pub format: Cow<'a, str>,
    /// At most [`VERSION`].
    pub version: u32,
    /// How good the plan is said to be.
    pub status: Status,
    /// What `cost` counts: money, or bought length (mm) or area (mm2) where nothing has a price.
    pub measure: Measure,
    /// Sign or code of the currency; empty for none.
    #[serde(default)]
    pub currency: Cow<'a, str>,
    /// Cost of all stock used, decimal text.
    pub cost: String,
    /// No plan can cost less, decimal text.
    pub cost_floor: String,
    /// The materials, each solved by itself.
    #[serde(default)]
    pub groups: Vec<GroupFile<'a>>,
    /// How each piece of stock is cut.
    pub layouts: Vec<LayoutFile<'a>>,
    /// What to buy; `None` where the file does not say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub buy: Option<Vec<BuyFile>>,
    /// Spare boards that were wished for, in tenths of a percent.
    #[serde(default, skip_serializing_if = "is_default")]
    pub spare: u32,
    /// What is left and worth keeping; `None` where the file does not say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub offcuts: Option<Vec<OffcutFile>>,
    /// Parts that could not be made.
    #[serde(default)]
    pub unplaced: Vec<UnplacedFile>,
    /// The question itself, so that a plan can be checked alone.
    #[serde(with = "question")]
    pub batch: Cow<'a, Batch>,
    /// What was done of the job before; empty for a plan that carries nothing on.
    #[serde(default, skip_serializing_if = "is_default", with = "before")]
    pub before: Cow<'a, Before>,
    /// What the shop wants on its papers.
    #[serde(default, skip_serializing_if = "is_default")]
    pub papers: Cow<'a, PaperSettings>,
    /// What the user was told beside the plan, one line each: of the lists as they were written nothing else is left.
    #[serde(default, skip_serializing_if = "<[_]>::is_empty")]
    pub warnings: Cow<'a, [String]>,
    /// How the plan was looked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub search: Option<SearchFile>,
}

/// One material.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GroupFile<'a> {
    /// Material and section or thickness, as on the papers.
    pub material: Cow<'a, str>,
    /// Solved as boards or as sheets.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "kind")]
    pub kind: Option<GroupKind>,
    /// Cost of the stock used, decimal text.
    pub cost: String,
    /// No plan for this material can cost less, decimal text.
    pub cost_floor: String,
    /// How good it is said to be.
    pub status: Status,
    /// For a partial plan: the certificate proves that the stock is not enough.
    #[serde(default, skip_serializing_if = "is_default")]
    pub impossible: bool,
    /// Units of work done.
    #[serde(default, skip_serializing_if = "is_default")]
    pub work: u64,
    /// What proves the floor, or that the stock is not enough.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub certificate: Option<Cow<'a, Certificate>>,
}

/// How one piece of stock is cut.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LayoutFile<'a> {
    /// Index into `batch.stock`.
    pub stock: usize,
    /// How many pieces of stock are cut this way.
    pub copies: u32,
    /// The clean area after edge trim and the tree of its cuts.
    pub root: Cow<'a, Node>,
    /// Every piece with its place, so that nobody needs to walk the tree.
    pub pieces: Vec<PieceFile>,
}

/// A piece with its place, measured from the factory edges.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PieceFile {
    /// Index into `batch.parts`.
    pub part: usize,
    /// Along the length of the stock, and across.
    pub at: [Length; 2],
    /// Along the length of the stock, and across.
    pub size: [Length; 2],
    /// The part's length lies across the length of the stock.
    #[serde(default, skip_serializing_if = "is_default")]
    pub turned: bool,
}

/// A line of the buying list.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BuyFile {
    /// Index into `batch.stock`.
    pub stock: usize,
    /// How many to buy.
    pub qty: u64,
    /// How many of them are spare: bought, but not in any layout.
    #[serde(default, skip_serializing_if = "is_default")]
    pub spare: u64,
    /// Price of one, decimal text; missing in a batch without prices.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub each: Option<String>,
    /// Price of all, decimal text; missing in a batch without prices.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub total: Option<String>,
}

/// What is left of one layout and worth keeping.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OffcutFile {
    /// Index into `layouts`.
    pub layout: usize,
    /// How many there are: the copies of that layout.
    pub qty: u32,
    /// Where it lies, from the factory edges.
    pub at: [Length; 2],
    /// Along the length of the stock, and across.
    pub size: [Length; 2],
}

/// A part that could not be made often enough.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UnplacedFile {
    /// Index into `batch.parts`.
    pub part: usize,
    /// How many are missing.
    pub qty: u32,
}

/// How a plan was looked for. No seconds: the same question gives the same file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SearchFile {
    /// How hard.
    pub effort: Effort,
    /// Seed of everything drawn at random.
    pub seed: u64,
    /// Units of work done.
    pub work: u64,
    /// Why it ended.
    pub stopped: Stop,
}

impl<'a> LayoutFile<'a> {
    /// The file's form of a layout.
    pub fn of(layout: &'a Layout) -> Self {
        let pieces = layout.pieces.iter();
        Self {
            stock: layout.stock,
            copies: layout.copies,
            root: Cow::Borrowed(&layout.root),
            pieces: pieces
                .map(|p| PieceFile { part: p.part, at: p.at, size: p.size, turned: p.turned })
                .collect(),
        }
    }
}

impl PlanFile<'_> {
    /// The plan inside, with the floors and certificates it claims, and the question.
    ///
    /// Nothing is judged here. The cost, the buying list and the offcuts of the file are left out: they follow from
    /// the layouts.
    ///
    /// # Errors
    /// A floor that is no amount in the file's measure.
    pub fn into_question_and_plan(self) -> Result<(Batch, Plan), String> {
        let measure = self.measure;
        let layouts = self.layouts.into_iter().map(|l| Layout {
            stock: l.stock,
            copies: l.copies,
            root: l.root.into_owned(),
            pieces: (l.pieces.into_iter())
                .map(|p| PlacedPiece { part: p.part, at: p.at, size: p.size, turned: p.turned })
                .collect(),
        });
        let claim = |g: GroupFile| -> Result<GroupClaim, String> {
            let floor = parse_amount(measure, &g.cost_floor)?;
            Ok(GroupClaim { floor, certificate: g.certificate.map(Cow::into_owned) })
        };
        let plan = Plan {
            layouts: layouts.collect(),
            unplaced: self.unplaced.iter().map(|u| (u.part, u.qty)).collect(),
            groups: self.groups.into_iter().map(claim).collect::<Result<_, _>>()?,
        };
        Ok((self.batch.into_owned(), plan))
    }
}

/// Whether a value says nothing beyond its default.
pub(crate) fn is_default<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}

/// The kind of a group as a word.
mod kind {
    use super::{Deserialize, GroupKind, Serialize};
    use serde::{Deserializer, Serializer};

    #[derive(Serialize, Deserialize)]
    #[serde(rename_all = "lowercase")]
    enum Word {
        Boards,
        Sheets,
    }

    pub fn serialize<S: Serializer>(kind: &Option<GroupKind>, out: S) -> Result<S::Ok, S::Error> {
        let word = kind.map(|k| match k {
            GroupKind::Boards => Word::Boards,
            GroupKind::Sheets => Word::Sheets,
        });
        word.serialize(out)
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(input: D) -> Result<Option<GroupKind>, D::Error> {
        let word = Option::<Word>::deserialize(input)?;
        Ok(word.map(|w| match w {
            Word::Boards => GroupKind::Boards,
            Word::Sheets => GroupKind::Sheets,
        }))
    }
}
