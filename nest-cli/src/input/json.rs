//! plan.json, as made by anyone, to a question and a plan. Nothing is believed: what comes out still has to be
//! validated and checked.
//!
//! Cost: one pass over the file; memory is bounded by [`MOST_BYTES`] and the tree's depth by the reader's limit.

use crate::papers::PaperSettings;
use crate::plan_file::{BuyFile, FORMAT, GroupFile, OffcutFile, PlanFile, VERSION, parse_amount};
use nest_core::model::{Batch, Measure};
use nest_core::plan::Plan;
use nest_core::rest::Before;
use nest_core::search::{Options, Stop};
use nest_core::solution::Status;
use serde::Deserialize;
use std::fmt;

/// The largest plan.json that is read: 256 MiB.
pub const MOST_BYTES: usize = 256 << 20;

/// The most spare boards that may be wished for, in tenths of a percent.
pub const MOST_SPARE: u32 = 1000;

/// A plan.json after reading.
#[derive(Clone, Debug)]
pub struct PlanInput {
    /// The question it carries.
    pub batch: Batch,
    /// The plan it carries.
    pub plan: Plan,
    /// What it says about itself: to be compared, never to be used.
    pub stated: Stated,
    /// How it was looked for, by its own account: nothing depends on it.
    pub searched: Searched,
    /// What the shop wants on its papers.
    pub papers: PaperSettings,
    /// Spare boards that were wished for, in tenths of a percent.
    pub spare: u32,
    /// What was done of the job before, by its own account.
    pub before: Before,
    /// What the user was told beside it.
    pub warnings: Vec<String>,
}

/// How a plan was looked for, by its own account.
#[derive(Clone, Debug)]
pub struct Searched {
    /// Effort and seed.
    pub options: Options,
    /// Why the search ended.
    pub stopped: Stop,
    /// Units of work done for each group.
    pub work: Vec<u64>,
}

/// What a plan.json says about itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Stated {
    /// How good the plan is.
    pub status: Status,
    /// What its costs are counted in.
    pub measure: Measure,
    /// Its cost.
    pub cost: i128,
    /// What no plan can cost less than.
    pub floor: i128,
    /// Currency; empty where it does not say.
    pub currency: String,
    /// Its materials, without certificates.
    pub groups: Vec<GroupFile<'static>>,
    /// What to buy, if it says so.
    pub buy: Option<Vec<BuyFile>>,
    /// What is left, if it says so.
    pub offcuts: Option<Vec<OffcutFile>>,
}

/// Why a file is no plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlanFileError {
    /// Where, counted from 1; `None` where it concerns the file as a whole.
    pub place: Option<(usize, usize)>,
    /// What is wrong, lower case, no full stop.
    pub message: String,
    /// What to do about it.
    pub hint: Option<&'static str>,
}

impl fmt::Display for PlanFileError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some((line, column)) = self.place {
            write!(f, "{line}:{column}: ")?;
        }
        f.write_str(&self.message)
    }
}

impl std::error::Error for PlanFileError {}

/// Reads a plan.json.
///
/// # Errors
/// Text that is too long, not UTF-8, not JSON, not of this format or a newer version of it, has an unknown, missing
/// or repeated field, a length or an amount that is not exact.
pub fn read_plan(bytes: &[u8]) -> Result<PlanInput, PlanFileError> {
    if bytes.len() > MOST_BYTES {
        let most = MOST_BYTES >> 20;
        return Err(whole(format!(
            "expected a plan of at most {most} MiB, but found {} MiB",
            bytes.len() >> 20
        )));
    }
    let text = text(bytes)?;
    let file: PlanFile = match serde_json::from_str(text) {
        Ok(file) => file,
        // Another version may differ in any field, so what the file says it is comes first.
        Err(error) => return Err(kind(text).err().unwrap_or_else(|| from_serde(&error, text))),
    };
    kind_is_ours(&file.format, file.version)?;
    let amount = |name: &str, text: &str| {
        parse_amount(file.measure, text).map_err(|message| whole(format!("`{name}`: {message}")))
    };
    let stated = Stated {
        status: file.status,
        measure: file.measure,
        cost: amount("cost", &file.cost)?,
        floor: amount("cost_floor", &file.cost_floor)?,
        currency: file.currency.clone().into_owned(),
        groups: file.groups.iter().map(without_certificate).collect(),
        buy: file.buy.clone(),
        offcuts: file.offcuts.clone(),
    };
    let search = file.search.as_ref();
    let searched = Searched {
        options: search.map_or_else(Options::default, |search| Options {
            effort: search.effort,
            seed: search.seed,
            ..Options::default()
        }),
        stopped: search.map_or(Stop::Finished, |search| search.stopped),
        work: file.groups.iter().map(|group| group.work).collect(),
    };
    let spare = file.spare;
    if spare > MOST_SPARE {
        return Err(whole(format!("`spare`: expected at most {MOST_SPARE}, but found {spare}")));
    }
    let papers = file.papers.clone().into_owned();
    let before = file.before.clone().into_owned();
    let warnings = file.warnings.clone().into_owned();
    if before.carried > file.batch.stock.len() {
        return Err(whole(format!(
            "`before.carried`: expected at most the {} rows of stock, but found {}",
            file.batch.stock.len(),
            before.carried
        )));
    }
    let (batch, plan) =
        file.into_question_and_plan().map_err(|message| whole(format!("`groups`: {message}")))?;
    Ok(PlanInput { batch, plan, stated, searched, papers, spare, before, warnings })
}

/// Certificates are judged with the plan, and may be long.
fn without_certificate(group: &GroupFile<'_>) -> GroupFile<'static> {
    GroupFile {
        material: group.material.clone().into_owned().into(),
        cost: group.cost.clone(),
        cost_floor: group.cost_floor.clone(),
        certificate: None,
        ..*group
    }
}

/// The file as text, a byte order mark taken off.
fn text(bytes: &[u8]) -> Result<&str, PlanFileError> {
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        return Err(PlanFileError { hint: Some(OURS), ..whole("expected UTF-8, but found UTF-16".into()) });
    }
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Err(PlanFileError {
            hint: Some(OURS),
            ..whole("expected a plan, but found an empty file".into())
        });
    }
    std::str::from_utf8(bytes).map_err(|error| {
        let before = &bytes[..error.valid_up_to()];
        let line = 1 + before.iter().filter(|&&b| b == b'\n').count();
        let column = 1 + before.iter().rev().take_while(|&&b| b != b'\n').count();
        let message = "expected UTF-8, but found other bytes".into();
        PlanFileError { place: Some((line, column)), message, hint: Some(OURS) }
    })
}

/// Whether the file says that it is a plan of a version we read.
fn kind(text: &str) -> Result<(), PlanFileError> {
    #[derive(Deserialize)]
    struct Head {
        #[serde(default)]
        format: Option<String>,
        #[serde(default)]
        version: Option<u64>,
    }
    let Ok(head) = serde_json::from_str::<Head>(text) else { return Ok(()) };
    let Some(format) = head.format else {
        let message = format!("expected `format` to say \"{FORMAT}\", but found no `format`");
        return Err(PlanFileError { hint: Some(OURS), ..whole(message) });
    };
    kind_is_ours(&format, head.version.map_or(VERSION, |v| u32::try_from(v).unwrap_or(u32::MAX)))
}

fn kind_is_ours(format: &str, version: u32) -> Result<(), PlanFileError> {
    if format != FORMAT {
        let message = format!("expected `format` to say \"{FORMAT}\", but found {format:?}");
        return Err(PlanFileError { hint: Some(OURS), ..whole(message) });
    }
    if version == 0 || version > VERSION {
        return Err(whole(format!(
            "expected `version` {VERSION} at most, but found {version}; a newer nest may read it"
        )));
    }
    Ok(())
}

fn from_serde(error: &serde_json::Error, text: &str) -> PlanFileError {
    let said = error.to_string();
    // The place is kept apart; serde_json appends it in words.
    let said = &said[..said.rfind(" at line ").unwrap_or(said.len())];
    let place = (error.line() > 0).then(|| (error.line(), error.column().max(1)));
    let hint = error.is_syntax().then_some("was it changed by hand? `nest plan -o DIR` writes it anew");
    let broken = PlanFileError { place, message: without_types(said), hint };
    match text.trim_ascii_start().as_bytes() {
        [b'{', ..] if error.is_eof() => PlanFileError {
            message: "the plan breaks off here".into(),
            hint: Some("was it copied whole? `nest plan -o DIR` writes it anew"),
            ..broken
        },
        [b'{', ..] => broken,
        _ => PlanFileError {
            place: Some((1, 1)),
            message: "expected a plan.json of nest, but found something else".into(),
            hint: Some(OURS),
        },
    }
}

/// What was expected, without the names that the program has for it.
fn without_types(said: &str) -> String {
    let Some((found, expected)) = said.rsplit_once(", expected ") else { return said.to_owned() };
    let expected = match expected {
        "u8" | "u16" | "u32" | "u64" | "usize" => "a whole number, 0 or more",
        "i8" | "i16" | "i32" | "i64" | "isize" => "a whole number",
        "a sequence" => "a list",
        "a map" => "an object",
        other if other.starts_with("struct ") => "an object",
        other => other,
    };
    format!("{found}, expected {expected}")
}

/// Where plans come from.
const OURS: &str = "`nest plan -o DIR` writes the plan as DIR/plan.json";

fn whole(message: String) -> PlanFileError {
    PlanFileError { place: None, message, hint: None }
}
