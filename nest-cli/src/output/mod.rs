//! From a report to bytes: one pure renderer a format; `files` writes them, through `disk`, the one place that changes
//! anything outside of the program.

pub mod csv;
mod diagrams;
pub mod disk;
pub mod drawing;
pub mod files;
pub mod json;
pub mod labels;
mod qr;
pub mod report;
pub mod svg;
pub mod text;

#[cfg(test)]
pub(crate) mod faults;

use crate::plan_file::PlanFile;
use crate::report::Report;
use std::iter;

/// All papers of a plan, name and content, each made when it is asked for. The report must be a full one.
pub fn papers(report: &Report, plan: &PlanFile<'_>) -> impl Iterator<Item = (String, Vec<u8>)> + Send {
    let named = |name: &str, bytes| (name.to_string(), bytes);
    iter::once_with(move || named("plan.json", json::render(plan)))
        .chain(iter::once_with(move || named("buy.csv", csv::buy(report))))
        .chain(iter::once_with(move || named("cuts.csv", csv::cuts::render(report))))
        .chain(iter::once_with(move || named("offcuts.csv", csv::offcuts(report))))
        .chain(iter::once_with(move || named("report.html", report::render(report))))
        .chain(report.labels.iter().map(|labels| ("labels.html".to_string(), labels::render(labels))))
        .chain(diagrams::files(report))
}
