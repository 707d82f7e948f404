//! Published instances, read from the folder that `NEST_INSTANCES` names; they are not part of the project.

#![allow(dead_code, reason = "every bench takes what it measures")]

pub mod arguments;
pub mod boards;
pub mod sheets;

use nest_core::model::Batch;
use nest_core::search::{Effort, Options, Silent};
use nest_core::solution::{Solution, Status};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// One published case.
pub struct Case {
    pub name: String,
    pub batch: Batch,
    /// The least cost that anybody found, where it is known.
    pub best: Option<f64>,
    /// What no plan can cost less than, as published.
    pub bound: Option<f64>,
}

/// The folder; says so where there is none, and then the bench ends well.
pub fn root() -> Option<PathBuf> {
    let root = std::env::var_os("NEST_INSTANCES").map(PathBuf::from).filter(|path| path.is_dir());
    if root.is_none() {
        println!("skipped: NEST_INSTANCES does not name a folder of instances");
    }
    root
}

/// The class that the name of a case says, where it does.
pub fn class(case: &Case) -> Option<&str> {
    case.name.split_once('_').map(|(class, _)| class).filter(|class| class.starts_with("CLASS"))
}

/// The files of a set: name and path, in order.
pub fn files(folder: &Path, ending: &str) -> Result<Vec<(String, PathBuf)>, String> {
    let mut files: Vec<(String, PathBuf)> = std::fs::read_dir(folder)
        .map_err(|e| format!("{}: {e}", folder.display()))?
        .filter_map(|entry| entry.ok().map(|e| e.path()))
        .filter(|path| path.extension().map_or("", |e| e.to_str().unwrap_or("")) == ending)
        .map(|path| (path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default(), path))
        .collect();
    files.sort();
    Ok(files)
}

/// Text of a file.
pub fn text(path: &Path) -> Result<String, String> {
    std::fs::read_to_string(path).map_err(|e| format!("{}: {e}", path.display()))
}

/// Our plan, with all effort that the time allows.
pub fn solve(name: &str, batch: &Batch, limit: f64) -> Result<Solution, String> {
    let batch = batch.clone().check().map_err(|problems| format!("{name}: {problems:?}"))?;
    let options = Options {
        effort: Effort::Deep,
        time_limit: Some(Duration::from_secs_f64(limit)),
        ..Options::default()
    };
    let solution = nest_core::solve(&batch, &options, &Silent).map_err(|e| format!("{name}: {e}"))?;
    if solution.status == Status::Partial {
        return Err(format!("{name}: parts are left over"));
    }
    Ok(solution)
}
