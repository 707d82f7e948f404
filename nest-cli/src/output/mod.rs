//! From a report to bytes: one pure renderer a format, and the one place that writes them to a disk.

pub mod csv;
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
mod faults;

use crate::clean::slug;
use crate::plan_file::PlanFile;
use crate::report::Report;
use std::collections::BTreeMap;
use std::iter;

/// All papers of a plan, name and content, each made when it is asked for. The report must be a full one.
pub fn papers(report: &Report, plan: &PlanFile<'_>) -> impl Iterator<Item = (String, Vec<u8>)> + Send {
    let named = |name: &str, bytes| (name.to_string(), bytes);
    iter::once_with(move || named("plan.json", json::render(plan)))
        .chain(iter::once_with(move || named("buy.csv", csv::buy(report))))
        .chain(iter::once_with(move || named("cuts.csv", csv::cuts(report))))
        .chain(iter::once_with(move || named("offcuts.csv", csv::offcuts(report))))
        .chain(iter::once_with(move || named("report.html", report::render(report))))
        .chain(report.labels.iter().map(|labels| ("labels.html".to_string(), labels::render(labels))))
        .chain(drawings(report))
}

/// The pages of all materials, numbered on through materials whose names give the same slug.
fn drawings(report: &Report) -> impl Iterator<Item = (String, Vec<u8>)> + Send {
    let mut numbers: BTreeMap<String, usize> = BTreeMap::new();
    report.sections.iter().flat_map(move |section| {
        let name = slug(&section.name);
        let pages = drawing::pages(section);
        let number = numbers.entry(name.clone()).or_default();
        let first = *number + 1;
        *number += pages.len();
        let file = move |number| format!("{}/{name}-{number}.svg", files::DIAGRAMS);
        pages.into_iter().zip(first..).map(move |(page, number)| (file(number), svg::render(&page)))
    })
}
