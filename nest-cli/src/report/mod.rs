//! What the papers say, before any of them is written: every number is text already, every name is clean.
//!
//! A report is made from a checked plan and from nothing else; indices of such a plan are in range. Renderers in
//! [`output`](crate::output) turn it into bytes and decide nothing.

mod board;
mod buying;
mod cautions;
mod factory;
mod file;
mod identity;
pub mod labels;
mod left;
mod letters;
mod matched;
pub mod names;
mod parts;
mod rack;
mod rounded;
mod section;
mod sheet;
mod spare;
mod step;
mod trim;
mod verdict;
pub mod words;

pub use board::{Board, Later, Left, Piece, What, Zone};
pub use buying::{BandLine, BuyLine, Buying};
pub use cautions::{About, Caution};
pub use file::plan_file;
pub use identity::Fingerprint;
pub use left::{Kept, Missing, edges_on};
pub use parts::{JobParts, PartLine};
pub use rack::{RackRow, Untouched};
pub use section::{PartLabel, Section, Stop};
pub use sheet::{Grain, Holds, Placed, Region, Sheet};
pub use spare::Spare;
pub use step::{Off, SawCut, Step, blanks, on};
pub use verdict::{GroupLine, ShareLine, Verdict};

use crate::clean::{clean, sentence};
use crate::papers::{Paper, PaperSettings};
use nest_core::model::CheckedBatch;
use nest_core::plan::Layout;
use nest_core::rest::Before;
use nest_core::search::Options;
use nest_core::solution::{Solution, Status};
use words::Words;

/// What a report is made from.
#[derive(Clone, Copy, Debug)]
pub struct Source<'a> {
    /// The question.
    pub batch: &'a CheckedBatch,
    /// The answer; it passed the check.
    pub solution: &'a Solution,
    /// How it was looked for.
    pub options: &'a Options,
    /// Spare boards to buy beside those of the layouts, in tenths of a percent, rounded up for each stock.
    pub spare: u32,
    /// What was done of the job before.
    pub before: &'a Before,
    /// What the shop wants on its papers.
    pub papers: &'a PaperSettings,
    /// The first free label of the first page, from 1.
    pub label_start: u32,
    /// What the user should know, one line each.
    pub warnings: &'a [String],
}

impl Source<'_> {
    /// Whether it carries an earlier plan on.
    pub fn carries_on(&self) -> bool {
        *self.before != Before::default()
    }
}

/// What the papers say.
#[derive(Clone, Debug)]
pub struct Report {
    /// How good the plan is.
    pub status: Status,
    /// Cost and floor in plain words.
    pub verdict: Verdict,
    /// Jobs in the order of the list; empty where no part names one.
    pub jobs: Vec<String>,
    /// Pieces that the plan makes.
    pub pieces: String,
    /// Pieces that were made before, where it carries another plan on.
    pub before: Option<String>,
    /// It carries another plan on.
    pub carried_on: bool,
    /// What to buy and what to take from the rack.
    pub buying: Buying,
    /// One line a material.
    pub groups: Vec<GroupLine>,
    /// What each job owes, then what spare boards cost; empty where there is only one job.
    pub shares: Vec<ShareLine>,
    /// What is left and worth keeping.
    pub kept: Vec<Kept>,
    /// What is on hand and stays as it is.
    pub untouched: Vec<Untouched>,
    /// Parts that could not be made.
    pub missing: Vec<Missing>,
    /// Optional parts that are not made: no layout had room for them.
    pub skipped: Vec<Missing>,
    /// What is known about parts left over and what would complete the plan, one sentence a material.
    pub completing: Vec<String>,
    /// Where the work can hurt.
    pub cautions: Vec<Caution>,
    /// Boards and sheets with next to nothing to spare; `None` where all have more.
    pub tight: Option<Tight>,
    /// How far printed settings are off, and what prints them finer; `None` where they are not. A caution says the same.
    pub rounded: Option<String>,
    /// Saw settings in force: name and value.
    pub settings: Vec<(&'static str, String)>,
    /// How hard was looked.
    pub effort: String,
    /// What the user should know.
    pub warnings: Vec<String>,
    /// The materials with all their boards; empty unless asked for.
    pub sections: Vec<Section>,
    /// Every part, by job; empty unless asked for.
    pub parts: Vec<JobParts>,
    /// What the plan is known by.
    pub fingerprint: Fingerprint,
    /// The paper it is printed on.
    pub paper: Paper,
    /// One label a piece; empty unless asked for.
    pub labels: Option<labels::Labels>,
}

impl Report {
    /// Everything but the boards themselves: enough for a summary. Runtime: linear in the plan, but for
    /// logarithms.
    pub fn summary(source: &Source<'_>) -> Self {
        let Source { batch, solution, .. } = *source;
        let words = Words::of(&batch.batch().shop, batch.measure());
        let rounded = rounded::rounded(source, &words);
        let made: u128 =
            (solution.plan.layouts.iter()).map(|l| u128::from(l.copies) * l.pieces.len() as u128).sum();
        Self {
            status: solution.status,
            verdict: verdict::verdict(solution, &words),
            jobs: jobs(batch),
            pieces: words::count(made, "piece"),
            before: match source.before.pieces() {
                0 => None,
                1 => Some("1 piece was made before".to_owned()),
                pieces => Some(format!("{pieces} pieces were made before")),
            },
            carried_on: source.carries_on(),
            buying: buying::buying(source, &words),
            groups: verdict::groups(source, &words),
            shares: verdict::shares(source, &words),
            kept: left::kept(source, &words),
            untouched: rack::untouched(source, &words),
            missing: left::missing(source, &words, false),
            skipped: left::missing(source, &words, true),
            completing: left::completing(source, &words),
            tight: tight(source, &words),
            cautions: cautions::cautions(source, rounded.as_ref(), &words),
            rounded: rounded.map(|rounded| rounded.said),
            settings: verdict::settings(source, &words),
            effort: verdict::effort(source.options),
            warnings: source.warnings.iter().map(|w| sentence(&clean(w))).collect(),
            sections: Vec::new(),
            parts: Vec::new(),
            fingerprint: identity::fingerprint(source),
            paper: labels::paper(source),
            labels: None,
        }
    }

    /// The summary and every board with its cuts.
    pub fn full(source: &Source<'_>) -> Self {
        let batch = source.batch;
        let words = Words::of(&batch.batch().shop, batch.measure());
        let summary = Self::summary(source);
        let plan = summary.fingerprint;
        let layouts = by_group(source);
        let cut = batch.groups().iter().zip(&layouts).filter(|(_, layouts)| !layouts.is_empty());
        Self {
            sections: cut.map(|(group, layouts)| Section::of(batch, plan, group, layouts, &words)).collect(),
            parts: parts::parts(source, &words),
            labels: Some(labels::labels(source, plan, &words)),
            ..summary
        }
    }
}

/// The layouts of each group, with their indices.
fn by_group<'a>(source: &Source<'a>) -> Vec<Vec<(usize, &'a Layout)>> {
    let groups = source.batch.groups();
    let mut group_of = vec![None; source.batch.stock().len()];
    for (number, group) in groups.iter().enumerate() {
        group.stock.iter().for_each(|&stock| group_of[stock] = Some(number));
    }
    let mut layouts = vec![Vec::new(); groups.len()];
    for (index, layout) in source.solution.plan.layouts.iter().enumerate() {
        if let Some(group) = group_of[layout.stock] {
            layouts[group].push((index, layout));
        }
    }
    layouts
}

/// Jobs in the order of the list, but for those of which all is made.
fn jobs(batch: &CheckedBatch) -> Vec<String> {
    let mut seen = std::collections::BTreeSet::new();
    let mut jobs = Vec::new();
    for part in &batch.batch().parts {
        if part.qty > 0 && !part.job.trim().is_empty() && seen.insert(part.job.as_str()) {
            jobs.push(clean(&part.job));
        }
    }
    jobs
}

/// Boards and sheets with next to nothing to spare.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tight {
    /// Which: `board 1`, `boards 1 and 2 and sheet 4`.
    pub which: String,
    /// There are several.
    pub several: bool,
}

/// The boards and the sheets to be measured before the first cut.
fn tight(source: &Source<'_>, words: &Words) -> Option<Tight> {
    let stock = source.batch.stock();
    let mut found: [Vec<String>; 2] = Default::default();
    for (group, layouts) in source.batch.groups().iter().zip(by_group(source)) {
        for (i, layout) in layouts {
            let entry = &stock[layout.stock];
            let tight = if section::as_sheets(group, stock) {
                spare::of_sheet(&layout.root, entry, words).iter().any(|spare| spare.tight)
            } else {
                spare::of_board(&layout.root, entry.kerf, words).tight
            };
            if tight {
                found[usize::from(!entry.board)].push((i + 1).to_string());
            }
        }
    }
    let several = found.iter().map(Vec::len).sum::<usize>() > 1;
    let which: Vec<String> = (["board", "sheet"].into_iter().zip(found))
        .filter(|(_, numbers)| !numbers.is_empty())
        .map(|(word, numbers)| {
            let plural = if numbers.len() == 1 { "" } else { "s" };
            format!("the {word}{plural} of layout{plural} {}", words::list(&numbers, 12))
        })
        .collect();
    (!which.is_empty()).then(|| Tight { which: which.join(" and "), several })
}
