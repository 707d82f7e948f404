//! The files of the drawings: a page each, under the number that its layout has on all other papers.
//!
//! `layout-07-oak-ply.svg`: numbers have as many digits as the last one, so that the files sort as the layouts do.
//! `layout-03-to-06-fir-2x4.svg`: boards that share a page, the first and the last. `layout-07-oak-ply-page-2.svg`: one
//! of several pages. `settings-03-to-06-fir-2x4.svg`: the settings of those layouts, where they have pages of their own.

use super::drawing::{self, Page};
use super::{files::DIAGRAMS, svg};
use crate::clean::{clean, slug};
use crate::report::{Report, Section};
use serde::Deserialize;
use serde::de::IgnoredAny;
use std::collections::BTreeSet;
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

/// The drawings that a plan has, as far as its plan.json says so: a number of its layouts and one of its materials are in the
/// name of each.
#[derive(Debug, Default)]
pub struct Drawings {
    slugs: BTreeSet<String>,
    layouts: usize,
}

impl Drawings {
    /// Those of a plan.json; none where it cannot be read.
    pub fn of(plan: &[u8]) -> Self {
        #[derive(Deserialize)]
        struct Plan {
            groups: Vec<Group>,
            layouts: Vec<IgnoredAny>,
        }
        #[derive(Deserialize)]
        struct Group {
            material: String,
        }
        let plan = serde_json::from_slice::<Plan>(plan).ok();
        plan.map_or_else(Self::default, |plan| Self {
            slugs: plan.groups.iter().map(|group| slug(&clean(&group.material))).collect(),
            layouts: plan.layouts.len(),
        })
    }

    /// Whether a file may be one of them.
    pub fn hold(&self, name: &OsStr) -> bool {
        let stem = name.to_str().and_then(|name| name.strip_suffix(".svg")).unwrap_or_default();
        let numbered = ["layout-", "settings-"].into_iter().find_map(|word| stem.strip_prefix(word));
        let Some((first, rest)) = numbered.and_then(number) else { return false };
        let is_layout = |number: usize| (1..=self.layouts).contains(&number);
        let several = rest.strip_prefix("to-").and_then(number).filter(|(last, _)| is_layout(*last));
        // A material may be called so as well.
        let named = [Some(rest), several.map(|(_, rest)| rest)].into_iter().flatten();
        let paged = named.clone().filter_map(|name| {
            let (name, page) = name.rsplit_once("-page-")?;
            page.bytes().all(|byte| byte.is_ascii_digit()).then_some(name)
        });
        is_layout(first) && named.chain(paged).any(|name| self.slugs.contains(name))
    }
}

/// The number that a text begins with, and what stands behind the dash that follows.
fn number(text: &str) -> Option<(usize, &str)> {
    let (number, rest) = text.split_once('-')?;
    let digits = number.bytes().all(|byte| byte.is_ascii_digit());
    Some((number.parse().ok().filter(|_| digits)?, rest))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drawings_of_a_plan_are_told_from_what_else_is_there() {
        let layouts = ["{}"; 12].join(", ");
        let plan = format!(
            "{{\"groups\": [{{\"material\": \"Oak\"}}, {{\"material\": \"fir 2x4\", \"cost\": 1}}, {{\"material\": \"a\\u00adsh\"}}], \"layouts\": [{layouts}]}}"
        );
        let drawings = Drawings::of(plan.as_bytes());
        for ours in [
            "layout-01-oak.svg",
            "layout-12-oak.svg",
            "layout-02-ash.svg",
            "layout-03-to-06-fir-2x4.svg",
            "layout-03-to-06-fir-2x4-page-2.svg",
            "settings-07-fir-2x4-page-1.svg",
        ] {
            assert!(drawings.hold(OsStr::new(ours)), "{ours}");
            assert!(!Drawings::of(b"{}").hold(OsStr::new(ours)), "{ours}");
        }
        for other in [
            "layout-1-my-notes.svg",
            "layout-1-oak-copy.svg",
            "layout-13-oak.svg",
            "layout-0-oak.svg",
            "layout-3-to-40-oak.svg",
            "layout-1-oak-page-x.svg",
            "layout-+1-oak.svg",
            "layout--oak.svg",
            "oak-1.svg",
            "layout-of-the-shop.svg",
            "layout-1-oak.png",
            "Layout-1-oak.svg",
        ] {
            assert!(!drawings.hold(OsStr::new(other)), "{other}");
        }
    }
}
