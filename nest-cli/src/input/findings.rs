//! Problems of the question as a whole, led back to the files: which of them say the same of several rows?

use std::collections::BTreeMap;

use nest_core::model::Problem;

use crate::diagnose::{Desk, Spot};

/// Reports problems with their places, those that say the same of several rows of a list once, with the other lines.
pub fn report(problems: Vec<(Option<Spot>, Problem)>, desk: &mut Desk) {
    type Same = (usize, &'static str, String, Option<String>);
    let mut first: BTreeMap<Same, usize> = BTreeMap::new();
    let mut kept: Vec<(Problem, Option<Spot>, Vec<usize>)> = Vec::new();
    for (at, problem) in problems {
        if let (Some(spot), Some(place)) = (&at, problem.place) {
            let same = (spot.source, place.field, problem.message.clone(), problem.hint.clone());
            if let Some(&index) = first.get(&same) {
                kept[index].2.push(desk.source(spot.source).line(spot.span.start).0);
                continue;
            }
            first.insert(same, kept.len());
        }
        kept.push((problem, at, Vec::new()));
    }
    for (problem, at, lines) in kept {
        let report = desk.error(at, format!("{}{}", problem.message, also(&lines)));
        if let Some(hint) = problem.hint {
            report.hint(hint);
        }
    }
}

/// ` (and in lines 3, 4 and 12 more)`.
pub(super) fn also(lines: &[usize]) -> String {
    const NAMED: usize = 5;
    let named = |lines: &[usize]| lines.iter().map(usize::to_string).collect::<Vec<_>>().join(", ");
    match lines {
        [] => String::new(),
        [line] => format!(" (and in line {line})"),
        [start @ .., last] if lines.len() <= NAMED => format!(" (and in lines {} and {last})", named(start)),
        _ => format!(" (and in lines {} and {} more)", named(&lines[..NAMED]), lines.len() - NAMED),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_named_while_they_are_few() {
        assert_eq!(also(&[]), "");
        assert_eq!(also(&[3]), " (and in line 3)");
        assert_eq!(also(&[3, 4]), " (and in lines 3 and 4)");
        assert_eq!(also(&[3, 4, 5, 6, 9]), " (and in lines 3, 4, 5, 6 and 9)");
        assert_eq!(also(&[3, 4, 5, 6, 9, 11, 12]), " (and in lines 3, 4, 5, 6, 9 and 2 more)");
    }
}
