//! Rows of a list of parts.

use nest_core::model::{Fit, MatchWay, Part, PartGrain};
use nest_core::units::Nominal;

use super::cells::Row;
use super::columns::PARTS;
use super::list::{Empty, Listed, Reading, read_list};
use crate::diagnose::Desk;

/// Reads a list of parts. `job` is the job of rows that name none.
pub fn read(source: usize, job: &str, reading: &mut Reading, desk: &mut Desk) -> Option<Listed<Part>> {
    read_list(source, "parts", PARTS, Empty::Wrong, reading, desk, |row| part(row, job))
}

/// Words for the grain of a part.
pub const PART_GRAIN: &[(&str, PartGrain)] =
    &[("length", PartGrain::Length), ("width", PartGrain::Width), ("any", PartGrain::Any)];

/// Words for how matched parts lie.
pub const WAYS: &[(&str, MatchWay)] = &[("along", MatchWay::Along), ("across", MatchWay::Across)];

fn part(row: &mut Row<'_>, job: &str) -> Part {
    Part {
        name: row.required("part", "every part needs a name"),
        material: row.required(
            "material",
            "write it in each row as the list of stock does: merged cells fill their first row alone",
        ),
        section: section(row),
        thickness: row.length("thickness"),
        length: row.required_length("length"),
        width: row.length("width"),
        qty: row.quantity("qty", None).unwrap_or(1),
        grain: row.word("grain", "length, width or any", PART_GRAIN),
        length_edges: row.edges("length_edges"),
        width_edges: row.edges("width_edges"),
        band: row.some_text("band"),
        match_word: row.some_text("match"),
        match_way: row.word("match_way", "along or across", WAYS).unwrap_or_default(),
        fit: fit(row),
        optional: row.yes("optional"),
        oversize: row.allowance("oversize"),
        job: match row.text("job") {
            "" => job.to_owned(),
            own => own.to_owned(),
        },
        note: row.text("note").to_owned(),
        extra: row.extra(),
    }
}

/// `yes`, `no`, or by how much longer the blank is.
fn fit(row: &mut Row<'_>) -> Fit {
    match row.text("fit").to_lowercase().as_str() {
        "" | "no" | "n" | "false" => Fit::No,
        "yes" | "y" | "true" => Fit::Yes,
        _ => row.length("fit").map_or(Fit::No, Fit::Over),
    }
}

/// A nominal size such as 1x4.
pub fn section(row: &mut Row<'_>) -> Option<Nominal> {
    row.parsed("section", str::parse, |error: &nest_core::units::NominalError| error.hint(), |_| None)
}
