//! From a report to bytes: one pure renderer a format, and the one place that writes them to a disk.

pub mod csv;
pub mod disk;
pub mod drawing;
pub mod files;
pub mod json;
pub mod svg;
pub mod text;

#[cfg(test)]
mod faults;

use crate::clean::slug;
use crate::plan_file::PlanFile;
use crate::report::Report;
use std::collections::BTreeMap;

/// All papers of a plan, name and content. The report must be a full one.
pub fn papers(report: &Report, plan: &PlanFile<'_>) -> Vec<(String, Vec<u8>)> {
    let mut files = vec![
        ("plan.json".to_string(), json::render(plan)),
        ("buy.csv".to_string(), csv::buy(report)),
        ("cuts.csv".to_string(), csv::cuts(report)),
        ("offcuts.csv".to_string(), csv::offcuts(report)),
    ];
    // Pages are numbered on through materials whose names give the same slug.
    let mut numbers: BTreeMap<String, usize> = BTreeMap::new();
    for section in &report.sections {
        let name = slug(&section.name);
        let number = numbers.entry(name.clone()).or_default();
        for page in drawing::pages(section) {
            *number += 1;
            files.push((format!("{}/{name}-{number}.svg", files::DIAGRAMS), svg::render(&page)));
        }
    }
    files
}
