//! Problems of the question as a whole, led back to the files.

use nest_core::model::Problem;

use crate::diagnose::{Desk, Spot};

/// Reports problems with their places.
pub fn report(problems: Vec<(Option<Spot>, Problem)>, desk: &mut Desk) {
    for (at, problem) in problems {
        let report = desk.error(at, problem.message);
        if let Some(place) = problem.place {
            report.column(place.field);
        }
        if let Some(hint) = problem.hint {
            report.hint(hint);
        }
    }
}
