//! Why does a part fit none of its stock? Names the longest or widest that would.

use super::super::problem::{Findings, ProblemKind, part as place};
use super::super::{CutPart, Fit, Part, Stock, UsableStock};
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
    let show = |length| style.format(length, Rounding::Down);
    let material = &asked.material;
    // What has to lie along the length of each stock, and what across it, in the orientations that the grain allows.
    let mut along_fits = false;
    let mut longest = Length::ZERO;
    let mut longest_whole = Length::ZERO;
    let mut widest = Length::ZERO;
    for (stock, usable) in candidates {
        let [length, width] = usable.usable();
        longest = longest.max(length);
        longest_whole = longest_whole.max(usable.size[0]);
        let [straight, turned] = lies(asked, stock.grain, usable.board);
        let straight_fits = straight && cut.length <= length;
        let turned_fits = turned && cut.width.is_some_and(|cut_width| cut_width <= length);
        if straight_fits || turned_fits {
            along_fits = true;
            widest = widest.max(width);
        }
    }
    let grown = |finished: Length, cut: Length| {
        if cut > finished { format!(" (its blank is {})", show(cut)) } else { String::new() }
    };
    let all_sure = sure == [true; 2];
    if !along_fits {
        if !sure[0] {
            return;
        }
        let allowance = allowance(asked, cut, longest);
        let message = match allowance {
            Some(_) => format!(
                "the blank of {} is longer than all stock of {material}, though its part of {} is not",
                show(cut.length),
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
                "the longest is {}, of which {} remain after the edge trim; trim 0 leaves its ends as they are",
                show(longest_whole),
                show(longest)
            ));
        } else if cut.length <= widest_of(candidates) {
            problem.hint("it would fit across a sheet: `any` in the `grain` column lets it turn");
        } else {
            let remedy = match allowance {
                Some(column) => format!("check `{column}`, or list longer stock"),
                None => "list longer stock or make the part of two".to_owned(),
            };
            problem.hint(format!("the longest piece that can be cut is {most}{}: {remedy}", show(longest)));
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
                show(widest_of_all)
            ));
        } else {
            problem.hint(format!(
                "the widest piece that can be cut is {most}{}: list wider stock or glue it up",
                show(widest_of_all)
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
            show(widest)
        ));
    }
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
