//! Rows with too many or too few cells: do most of them have one cause?
//!
//! A wrong separator, or a column that the header lacks, shows in every row, and is told once for the list.

use std::collections::BTreeMap;
use std::ops::Range;

use super::shape::Shape;
use crate::diagnose::{Desk, Spot, also};

/// A row with too many or too few cells.
#[derive(Clone, Debug)]
pub struct Misfit {
    /// What to point at.
    pub span: Range<usize>,
    /// How many cells it has.
    pub found: usize,
    /// How many it should have.
    pub expected: usize,
    /// What may be one number with a decimal comma, as the reason.
    pub number: Option<String>,
    /// What to do about it.
    pub hint: String,
}

/// What rows have in common that have one cause: the number itself differs.
type Cause = (usize, usize, Option<String>);

impl Misfit {
    fn cause(&self) -> Cause {
        (self.found, self.expected, if self.number.is_some() { None } else { Some(self.hint.clone()) })
    }
}

/// Reports them, those that most rows share once, with the other lines. `rows` is how many rows the list has.
pub fn report(mut misfits: Vec<Misfit>, rows: usize, shape: &Shape<'_>, desk: &mut Desk) {
    if misfits.len() == rows {
        reread(&mut misfits, shape.columns.named(), &shape.separator_name());
    }
    let mut shared: BTreeMap<Cause, Vec<usize>> = BTreeMap::new();
    for misfit in &misfits {
        shared.entry(misfit.cause()).or_default().push(shape.text.line(misfit.span.start).0);
    }
    shared.retain(|_, lines| lines.len() > 1 && lines.len() * 2 > rows);
    let mut told = false;
    for misfit in misfits {
        let others = match shared.get(&misfit.cause()) {
            Some(_) if told => continue,
            Some(lines) => {
                told = true;
                also(&lines[1..])
            }
            None => String::new(),
        };
        let Misfit { span, found, expected, number, hint } = misfit;
        let number = number.map_or(String::new(), |number| format!(": is `{number}` one number?"));
        let plural = if found == 1 { "" } else { "s" };
        let message = format!(
            "expected {expected} cells as in the header, but found {found} cell{plural}{number}{others}"
        );
        desk.error(Spot { source: shape.source, span }, message).hint(hint);
    }
}

/// Where every row has as many cells as the others, it may be the header that is wrong; and where not every row holds what
/// may be one number with a decimal comma, those are two numbers.
fn reread(misfits: &mut [Misfit], named: usize, separator: &str) {
    let Some(Misfit { found, expected, .. }) = misfits.first().cloned() else { return };
    let alike = misfits.iter().all(|other| (other.found, other.expected) == (found, expected));
    let numbers = misfits.iter().all(|misfit| misfit.number.is_some());
    if !alike || numbers || found == 1 || misfits.len() == 1 {
        return;
    }
    let hint = if found > expected {
        format!(
            "does the header lack a column that every row has? put cells that hold a {separator} in quotes"
        )
    } else if found == named {
        format!("the header ends with a {separator} that no row has: delete it there")
    } else {
        format!("does the header name a column that no row has? empty cells keep their {separator}")
    };
    for misfit in misfits {
        (misfit.number, misfit.hint) = (None, hint.clone());
    }
}
