//! Published sheet instances, oriented, one kind of sheet: how many sheets we take, and what others take.
//!
//! `NEST_INSTANCES=FOLDER cargo bench -p nest-core --bench compare [--features highs] -- [SET...] [--limit SECONDS]
//! [--only TEXT] [--every N] [--each]`
//!
//! The others are a packer of texture atlases, for any number of stages, and, with the feature `highs`, a MIP model for
//! two stages, the first cut along the sheet, which has the same time as we have for each. Their plans are checked here
//! before they count, and a plan or a proof of theirs below a floor of ours ends the bench.

#[cfg(feature = "highs")]
mod level_model;
#[cfg(feature = "highs")]
mod levels;
mod packer;
mod problem;
#[path = "../published/mod.rs"]
mod published;
mod table;

use nest_core::model::{Batch, FirstCut, Stages};
use nest_core::solution::{Solution, Status};
use nest_core::units::Length;
use problem::{Problem, Sheets};
use published::arguments::Arguments;
use published::{Case, class, sheets};
use std::collections::BTreeMap;
use std::path::Path;
use table::{Line, Sums};

/// The model has a variable for each pair of pieces; of more its solver took up to a minute where it had two seconds.
const MOST_PIECES: usize = 100;

/// What a sheet costs in these sets.
const SHEET: i128 = 100;

/// Half a millimetre.
const HALF: Length = Length::from_ticks(Length::TICKS_PER_MM / 2);

fn main() -> Result<(), String> {
    let mut arguments = Arguments::read(2.0, |_, _| Ok(false))?;
    if arguments.sets.is_empty() {
        arguments.sets = ["bpp_class", "csp_furniture_a"].map(ToOwned::to_owned).to_vec();
    }
    let Some(root) = published::root() else { return Ok(()) };
    println!("{}", table::head());
    for set in &arguments.sets {
        run(&root, set, &arguments)?;
    }
    Ok(())
}

/// A line for each class, where the names of the cases say one, and one for the set.
fn run(root: &Path, set: &str, arguments: &Arguments) -> Result<(), String> {
    let mut total = Sums::default();
    let mut classes: BTreeMap<String, Sums> = BTreeMap::new();
    let cases = sheets::cases(root, set, false, None)?;
    let mut large = 0;
    for case in arguments.wanted(cases) {
        let problem =
            Problem::of(&case).ok_or(format!("{set}: more than one kind of sheet, or few of them"))?;
        if problem.pieces.len() > MOST_PIECES {
            large += 1;
            continue;
        }
        let line =
            measure(&case, &problem, arguments.limit).map_err(|error| format!("{}: {error}", case.name))?;
        if arguments.each {
            let mut alone = Sums::default();
            alone.add(&line);
            println!("{}", table::row(&case.name, &alone));
        }
        if let Some(class) = class(&case) {
            classes.entry(class.to_owned()).or_default().add(&line);
        }
        total.add(&line);
    }
    for (class, sums) in &classes {
        println!("{}", table::row(class, sums));
    }
    println!("{}", table::row(set, &total));
    if large > 0 {
        println!("  {large} cases of more than {MOST_PIECES} pieces are left out");
    }
    Ok(())
}

/// Everybody's answer to one case.
fn measure(case: &Case, problem: &Problem, limit: f64) -> Result<Line, String> {
    let packed = counted(problem, &packer::pack(problem).unwrap_or_default())?;
    let any = published::solve(&case.name, &case.batch, limit)?;
    let two = published::solve(&case.name, &in_two_stages(case), limit)?;
    let model = modelled(problem, limit)?;

    let floor = whole(any.floor)?;
    if packed < floor {
        return Err(format!("the packer takes {packed} sheets, below our floor of {floor}"));
    }
    if let Some((count, proven)) = model {
        let (ours, floor) = (whole(two.cost)?, whole(two.floor)?);
        if count < floor || (proven && ours < count) {
            return Err(format!("in two stages the model takes {count} sheets, we {ours}, floor {floor}"));
        }
    }
    Ok(Line {
        packed,
        model,
        two: ours(&two)?,
        any: ours(&any)?,
        floor,
        bound: case.bound.map(|bound| bound.round() as i64),
    })
}

/// The question of the model. A piece as wide as the sheet is a level by itself there, but has no rip before its
/// crosscut, as we want one; so the sheet is half a millimetre wider, of which pieces of whole millimetres gain nothing.
fn in_two_stages(case: &Case) -> Batch {
    let mut batch = case.batch.clone();
    batch.shop.sheets.stages = Stages::Limited(2);
    batch.shop.sheets.first_cut = FirstCut::Rip;
    for sheet in &mut batch.stock {
        sheet.width = sheet.width.and_then(|width| width.checked_add(HALF));
    }
    batch
}

/// Sheets of our plan, and whether it is proven.
fn ours(solution: &Solution) -> Result<(i64, bool), String> {
    Ok((whole(solution.cost)?, solution.status == Status::Proven))
}

/// Sheets of the model's plan, and whether it is proven.
#[cfg(feature = "highs")]
fn modelled(problem: &Problem, limit: f64) -> Result<Option<(i64, bool)>, String> {
    let answer = level_model::solve(problem, std::time::Duration::from_secs_f64(limit));
    Ok(Some((counted(problem, &answer.sheets)?, answer.proven)))
}

#[cfg(not(feature = "highs"))]
fn modelled(_: &Problem, _: f64) -> Result<Option<(i64, bool)>, String> {
    Ok(None)
}

/// How many sheets a right plan takes.
fn counted(problem: &Problem, sheets: &Sheets) -> Result<i64, String> {
    problem.check(sheets)?;
    i64::try_from(sheets.len()).map_err(|e| e.to_string())
}

/// Sheets of a cost; what is begun of one is one.
fn whole(cost: i128) -> Result<i64, String> {
    i64::try_from((cost + SHEET - 1) / SHEET).map_err(|e| e.to_string())
}
