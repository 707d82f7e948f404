//! Why does a part fit none of its stock? Names the longest or widest that would.

use super::super::problem::{Findings, ProblemKind, part as place};
use super::super::{CutPart, Fit, Part, Stock, UsableStock};
use super::groups::says_its_size;
use super::matching::lies;
use crate::units::{Length, LengthStyle, Rounding};

/// A part that fits nowhere.
pub struct Blank<'a> {
    /// Its row.
    pub row: usize,
    /// As it is asked for.
    pub asked: &'a Part,
    /// As it is cut.
    pub cut: &'a CutPart,
    /// Whether its cut length and width are those that are asked for.
    pub sure: [bool; 2],
    /// Whether what can be cut of each stock is known; else it may be less.
    pub exact: bool,
}

/// Reports a part that is larger than all stock it may come from, as far as its size is known.
pub fn report(
    blank: &Blank<'_>,
    candidates: &[(&Stock, &UsableStock)],
    style: &LengthStyle,
    found: &mut Findings,
) {
    let &Blank { row, asked, cut, sure, exact } = blank;
    let most = if exact { "" } else { "at most " };
    // Sizes as they stand in the lists, and what follows from them.
    let (show, near) = (|length| style.exact(length), |length| style.near(length, Rounding::Down));
    let material = &material(asked, candidates, style);
    // What has to lie along the length of each stock, and what across it, in the orientations that the grain allows.
    let mut along_fits = false;
    let mut longest = Length::ZERO;
    let mut longest_whole = Length::ZERO;
    let mut widest = Length::ZERO;
    // How long it may be at most, along the stock or, turned, across it.
    let mut reach = Length::ZERO;
    for (stock, usable) in candidates {
        let [length, width] = usable.usable();
        longest = longest.max(length);
        longest_whole = longest_whole.max(usable.size[0]);
        let [straight, turned] = lies(asked, stock.grain, usable.board);
        for (lies, most) in [(straight, length), (turned, width)] {
            reach = if lies { reach.max(most) } else { reach };
        }
        let straight_fits = straight && cut.length <= length;
        let turned_fits = turned && cut.width.is_some_and(|cut_width| cut_width <= length);
        if straight_fits || turned_fits {
            along_fits = true;
            widest = widest.max(width);
        }
    }
    let grown = |finished: Length, cut: Length| {
        if cut > finished { format!(" (its blank is {})", near(cut)) } else { String::new() }
    };
    let all_sure = sure == [true; 2];
    // Turned, its width lies along the stock: that this fits is no comfort where its length fits nowhere.
    let hopeless = along_fits && sure[0] && cut.length > longest.max(reach);
    if hopeless {
        (longest, longest_whole) = (reach, reach);
    }
    if !along_fits || hopeless {
        if !sure[0] {
            return;
        }
        let allowance = allowance(asked, cut, longest);
        let message = match allowance {
            Some(_) => format!(
                "the blank of {} is longer than all stock of {material}, though its part of {} is not",
                near(cut.length),
                show(asked.length)
            ),
            None => {
                let blank = grown(asked.length, cut.length);
                format!("{} is longer than all stock of {material}{blank}", show(asked.length))
            }
        };
        let problem = found.add(place(row, allowance.unwrap_or("length")), ProblemKind::TooLong, message);
        if cut.length <= longest_whole {
            problem.hint(format!(
                "the longest is {}, of which {} remain after the edge trim, {} too little; trim 0 leaves its ends as they are",
                show(longest_whole),
                near(longest),
                style.near(cut.length - longest, Rounding::Up)
            ));
        } else if cut.length <= widest_of(candidates) {
            problem.hint("it would fit across a sheet: `any` in the `grain` column lets it turn");
        } else {
            let remedy = match allowance {
                Some(column) => format!("check `{column}`, or list longer stock"),
                None => "list longer stock or make the part of two".to_owned(),
            };
            let least = if exact { "" } else { "at least " };
            problem.hint(format!(
                "the longest piece that can be cut is {most}{}{}, {least}{} too short: {remedy}",
                near(longest),
                of_one(candidates, longest),
                style.near(cut.length - longest, Rounding::Up)
            ));
        }
        return;
    }
    let width = asked.width.unwrap_or(Length::ZERO);
    let cut_width = cut.width.unwrap_or(Length::ZERO);
    let blank = grown(width, cut_width);
    let widest_of_all = candidates.iter().map(|(_, usable)| usable.usable()[1]).max().unwrap_or(Length::ZERO);
    let at = place(row, "width");
    let could_turn = candidates.iter().any(|(_, usable)| {
        let [length, across] = usable.usable();
        let either = |along, beside| along <= length && beside <= across;
        !usable.board && (either(cut.length, cut_width) || either(cut_width, cut.length))
    });
    if could_turn && all_sure {
        let message = format!(
            "{} x {} does not fit any stock of {material} with its grain{blank}",
            show(asked.length),
            show(width)
        );
        found
            .add(at, ProblemKind::TooWide, message)
            .hint("it would fit the other way round: check its `grain`");
    } else if cut_width > widest_of_all && sure[1] {
        let message = format!("{} is wider than all stock of {material}{blank}", show(width));
        let widest_whole = candidates.iter().map(|(_, usable)| usable.size[1]).max().unwrap_or(Length::ZERO);
        let problem = found.add(at, ProblemKind::TooWide, message);
        if cut_width <= widest_whole {
            problem.hint(format!(
                "the widest is {}, of which {} remain after the edge trim; trim 0 leaves its edges as they are",
                show(widest_whole),
                near(widest_of_all)
            ));
        } else {
            problem.hint(format!(
                "the widest piece that can be cut is {most}{}: list wider stock or glue it up",
                near(widest_of_all)
            ));
        }
    } else if all_sure {
        let message = format!(
            "no stock of {material} is {} long and {} wide at once{blank}",
            show(asked.length),
            show(width)
        );
        let untrimmed =
            candidates.iter().any(|(_, usable)| cut.length <= usable.size[0] && cut_width <= usable.size[1]);
        let trim = if untrimmed { " after the edge trim" } else { "" };
        found.add(at, ProblemKind::TooWide, message).hint(format!(
            "where it is long enough, the widest that can be cut{trim} is {most}{}",
            near(widest)
        ));
    }
}

/// The material as people ask for it: with the section or thickness that the part names, or that all its stock has.
fn material(asked: &Part, candidates: &[(&Stock, &UsableStock)], style: &LengthStyle) -> String {
    let thickness = || {
        let mut all = candidates.iter().map(|(_, usable)| usable.thickness);
        let first = all.next()??;
        all.all(|other| other == Some(first)).then_some(first)
    };
    let size = match asked.section {
        Some(section) => Some(section.to_string()),
        None => asked.thickness.or_else(thickness).map(|thickness| style.exact(thickness)),
    };
    match size.filter(|_| !says_its_size(&asked.material)) {
        Some(size) => format!("{} {size}", asked.material),
        None => asked.material.clone(),
    }
}

/// ` (of fir board)`, the stock that gives the longest piece.
fn of_one(candidates: &[(&Stock, &UsableStock)], longest: Length) -> String {
    let mut named = candidates
        .iter()
        .filter(|(stock, usable)| usable.usable()[0] == longest && !stock.name.trim().is_empty());
    named.next().map_or(String::new(), |(stock, _)| format!(" (of {})", stock.name.trim()))
}

/// The column that makes a blank too long whose part is not.
fn allowance(asked: &Part, cut: &CutPart, longest: Length) -> Option<&'static str> {
    let longest = (asked.length <= longest).then_some(longest)?;
    match asked.fit {
        Fit::Over(by) if cut.length - by <= longest => Some("fit"),
        _ => (cut.length - asked.oversize <= longest).then_some("oversize"),
    }
}

/// The widest sheet.
fn widest_of(candidates: &[(&Stock, &UsableStock)]) -> Length {
    let widths = candidates.iter().filter(|(_, usable)| !usable.board).map(|(_, usable)| usable.usable()[1]);
    widths.max().unwrap_or(Length::ZERO)
}
