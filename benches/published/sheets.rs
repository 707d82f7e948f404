//! Two-dimensional sets: files without ending in `2d/SET`, and `2d/SET/best.csv` (columns `instance`, `variant`, best
//! known value, proven bound; of the variants those whose parts are oriented, or may turn, with any number of stages
//! or two, the first along the sheet).
//!
//! Every set has a format of its own, all of them lists of whole numbers; see [`read`].

use super::{Case, files, text};
use nest_core::model::{Batch, FirstCut, Form, Part, PartGrain, Stages, Stock, StockGrain};
use nest_core::units::{Length, Money, Rate};
use std::collections::BTreeMap;
use std::path::Path;

const SETS: &[&str] =
    &["bpp_class", "csp_furniture_a", "fmt_knapsack", "vs_ortmann", "vs_pisinger_sigurd", "vs_hopper_m"];

/// All sets.
pub fn sets() -> impl Iterator<Item = &'static str> {
    SETS.iter().copied()
}

/// A question as a file tells it.
#[derive(Default)]
struct Question {
    /// Length, width, how many, cost.
    sheets: Vec<(i64, i64, Option<i64>, i64)>,
    /// Length and width, and how many.
    parts: BTreeMap<(i64, i64), i64>,
}

/// The cases of a set.
pub fn cases(root: &Path, set: &str, turn: bool, stages: Option<u8>) -> Result<Vec<Case>, String> {
    if !SETS.contains(&set) {
        return Err(format!("no set {set}; there are {}", SETS.join(", ")));
    }
    let folder = root.join("2d").join(set);
    let known = known(&folder, turn, stages)?;
    let mut cases = Vec::new();
    let mut all = files(&folder, "")?;
    all.extend(files(&folder, "txt")?);
    for (name, path) in all {
        // What nobody says anything about is no case of this variant.
        let Some(&(best, bound)) = known.get(&name) else { continue };
        let question = read(set, &text(&path)?).ok_or(format!("{}: not as expected", path.display()))?;
        cases.push(Case { name, batch: question.batch(turn, stages), best, bound });
    }
    Ok(cases)
}

type Known = BTreeMap<String, (Option<f64>, Option<f64>)>;

fn known(folder: &Path, turn: bool, stages: Option<u8>) -> Result<Known, String> {
    let text = text(&folder.join("best.csv"))?;
    let rows = text.lines().skip(1).filter_map(|line| {
        let mut cells = line.split(',');
        let name = cells.next()?.trim_end_matches(".txt").to_owned();
        let variant: Vec<&str> = cells.next()?.split(';').collect();
        let stage = stages.map_or("unlimited".to_owned(), |stages| format!("{stages}stage_nonexact"));
        let ours = variant.contains(&if turn { "R" } else { "O" })
            && variant.contains(&stage.as_str())
            && !variant.contains(&"max_value");
        let mut number = || cells.next().and_then(|cell| cell.parse().ok());
        ours.then(|| (name, (number(), number())))
    });
    Ok(rows.collect())
}

/// Reads the numbers of a file; `None` where they are not what the format says.
fn read(set: &str, text: &str) -> Option<Question> {
    let plain = |line: &&str| line.chars().all(|c| c.is_ascii_digit() || c.is_whitespace());
    let mut numbers =
        text.lines().filter(plain).flat_map(str::split_whitespace).map(|word| word.parse::<i64>().ok());
    let mut next = || numbers.next().flatten();
    let mut question = Question::default();
    let mut part = |length: i64, width: i64, count: i64| {
        *question.parts.entry((length, width)).or_default() += count;
    };
    match set {
        // n, W H, n times: number w h.
        "bpp_class" => {
            let count = next()?;
            question.sheets.push((next()?, next()?, None, 1));
            for _ in 0..count {
                next()?;
                part(next()?, next()?, 1);
            }
        }
        // 1, L W, m, m times: l w demand.
        "csp_furniture_a" => {
            next()?;
            question.sheets.push((next()?, next()?, None, 1));
            for _ in 0..next()? {
                part(next()?, next()?, next()?);
            }
        }
        // L W, m, m times: l w value copies, and the copies are what is asked for.
        "fmt_knapsack" => {
            question.sheets.push((next()?, next()?, None, 1));
            for _ in 0..next()? {
                let (length, width, _) = (next()?, next()?, next()?);
                part(length, width, next()?);
            }
        }
        // kinds, pieces, each kind: W H count y x, each piece: w h y x.
        "vs_ortmann" => {
            let (kinds, pieces) = (next()?, next()?);
            for _ in 0..kinds {
                let (length, width, count, _, _) = (next()?, next()?, next()?, next()?, next()?);
                question.sheets.push((length, width, Some(count), length * width));
            }
            for _ in 0..pieces {
                let (length, width, _, _) = (next()?, next()?, next()?, next()?);
                part(length, width, 1);
            }
        }
        // pieces, kinds, 1, each kind: W H 1 cost, each piece: number w h and perhaps 1.
        "vs_pisinger_sigurd" => {
            let mut lines = text.lines().map(|line| {
                line.split_whitespace().map(|word| word.parse::<i64>().ok()).collect::<Option<Vec<i64>>>()
            });
            let &[pieces, kinds, ..] = lines.next()??.as_slice() else { return None };
            for line in lines.by_ref().take(usize::try_from(kinds).ok()?) {
                let &[length, width, _, cost] = line?.as_slice() else { return None };
                question.sheets.push((length, width, None, cost));
            }
            for line in lines.take(usize::try_from(pieces).ok()?) {
                let &[_, length, width, ..] = line?.as_slice() else { return None };
                part(length, width, 1);
            }
        }
        // kinds, each kind: W H count, pieces, each piece: w h.
        "vs_hopper_m" => {
            for _ in 0..next()? {
                let (length, width, count) = (next()?, next()?, next()?);
                question.sheets.push((length, width, Some(count), length * width));
            }
            for _ in 0..next()? {
                part(next()?, next()?, 1);
            }
        }
        _ => return None,
    }
    Some(question)
}

impl Question {
    fn batch(&self, turn: bool, stages: Option<u8>) -> Batch {
        let mut batch = Batch::default();
        batch.shop.sheets.kerf = Length::ZERO;
        batch.shop.sheets.stages = stages.map_or(Stages::Any, Stages::Limited);
        if stages.is_some() {
            batch.shop.sheets.first_cut = FirstCut::Rip;
        }
        for &(length, width, count, cost) in &self.sheets {
            batch.stock.push(Stock {
                name: format!("s{}", batch.stock.len()),
                material: "m".to_owned(),
                form: Some(Form::Sheet),
                length: Length::mm(length),
                width: Some(Length::mm(width)),
                price: Some(Rate::from(Money::from_minor(cost * 100))),
                qty: count.and_then(|count| u32::try_from(count).ok()),
                grain: Some(StockGrain::Length),
                ..Stock::default()
            });
        }
        for (&(length, width), &count) in &self.parts {
            batch.parts.push(Part {
                name: format!("p{length}x{width}"),
                material: "m".to_owned(),
                length: Length::mm(length),
                width: Some(Length::mm(width)),
                qty: u32::try_from(count).unwrap_or(u32::MAX),
                grain: Some(if turn { PartGrain::Any } else { PartGrain::Length }),
                ..Part::default()
            });
        }
        batch
    }
}
