//! The files of the drawings: a page each, under the number that its layout has on all other papers.
//!
//! `layout-07-oak-ply.svg`: numbers have as many digits as the last one, so that the files sort as the layouts do.
//! `layout-03-to-06-fir-2x4.svg`: boards that share a page, the first and the last. `layout-07-oak-ply-page-2.svg`: one
//! of several pages. `settings-03-to-06-fir-2x4.svg`: the settings of those layouts, where they have pages of their own.

use super::drawing::{self, Page};
use super::{files::DIAGRAMS, svg};
use crate::clean::slug;
use crate::report::{Report, Section};
use std::ffi::OsStr;

/// Name and content of every page.
pub fn files(report: &Report) -> impl Iterator<Item = (String, Vec<u8>)> + Send {
    let last = report.sections.iter().flat_map(Section::numbers).max().unwrap_or(0);
    report.sections.iter().flat_map(move |section| {
        let pages = drawing::pages(section);
        let names = names(section, &pages, digits(last));
        names.into_iter().zip(pages).map(|(name, page)| (name, svg::render(&page)))
    })
}

/// A name for each page of a material. No other material has the same: no other has these layouts.
fn names(section: &Section, pages: &[Page], digits: usize) -> Vec<String> {
    let slug = slug(&section.name);
    let span = |[first, last]: [usize; 2]| match first == last {
        true => format!("{first:0digits$}"),
        false => format!("{first:0digits$}-to-{last:0digits$}"),
    };
    let stem = |page: &Page| match page.layouts {
        Some(shown) => format!("layout-{}-{slug}", span(shown)),
        None => {
            let (first, last) = (section.numbers().min(), section.numbers().max());
            format!("settings-{}-{slug}", span([first.unwrap_or(0), last.unwrap_or(0)]))
        }
    };
    let stems: Vec<String> = pages.iter().map(stem).collect();
    let mut names = Vec::new();
    for alike in stems.chunk_by(|a, b| a == b) {
        let count = alike.len();
        names.extend(alike.iter().zip(1..).map(|(stem, number)| match count {
            1 => format!("{DIAGRAMS}/{stem}.svg"),
            _ => format!("{DIAGRAMS}/{stem}-page-{number:0wide$}.svg", wide = self::digits(count)),
        }));
    }
    names
}

fn digits(number: usize) -> usize {
    number.to_string().len()
}

/// Whether a file is named as we name drawings.
pub fn is_ours(name: &OsStr) -> bool {
    let stem = name.to_str().and_then(|name| name.strip_suffix(".svg")).unwrap_or_default();
    let numbered = ["layout-", "settings-"].into_iter().find_map(|word| stem.strip_prefix(word));
    let plain = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-';
    numbered.is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()) && rest.bytes().all(plain))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drawings_are_told_from_what_else_is_there() {
        for ours in ["layout-1-oak.svg", "layout-03-to-06-fir-2x4-page-2.svg", "settings-1-mdf.svg"] {
            assert!(is_ours(OsStr::new(ours)), "{ours}");
        }
        for other in
            ["oak-1.svg", "layout-of-the-shop.svg", "layout-1-oak.png", "Layout-1-oak.svg", "layout-1 b.svg"]
        {
            assert!(!is_ours(OsStr::new(other)), "{other}");
        }
    }
}
