//! Tests of the program. One binary; each module says what it pins down.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

// Bad input gives one clear error or a correct plan.
mod errors;
// What was not read as it was meant is told with what may follow from it.
mod causes;
// A fault hides no other and has no consequences.
mod at_once;
// Runs the program as a user does.
mod harness;
// The question that faults are put into.
mod rail;
// A plan is compared with its lists.
mod judged;
// Help fits a screen and tells the truth.
mod help;
// How a list is written.
mod lists;
// Whole jobs from samples to the next rack.
mod journeys;
mod looks;
// The folder of plans and certificates that must be refused, one fault each.
mod refused;
// Drawings are true to their plan and readable.
mod drawings;
// Pieces too small for letters.
mod small;
// Names of the files of the drawings.
mod diagrams;
// Files that mean harm, one folder an attack, through the program.
mod attacks;
// Names that would act on whoever opens a paper.
mod hostile;
// Cautions and their limits.
mod cautions;
// What is cut further is called the same on all papers.
mod blanks;
// A shop file that is no TOML.
mod broken_shop;
// The report and the labels in a real browser, where one is found.
mod browser;
// What the printer gets, read back page by page.
mod printed;
// Papers made again from a saved plan.
mod drawn;
// All papers of seven plans, byte for byte.
mod papers;
// All papers of a plan name it alike.
mod plan_number;
// What is said of a part where it is cut: notes, and the size of the blank.
mod remarks;
// An offcut has one size on all papers.
mod offcuts;
// Edge trim of one stock.
mod edge_trim;
// A job is carried on after some of its plan was cut.
mod carried_along;
mod carry_on;
// Three jobs as people type them are read and grouped.
mod scenarios;
// The same faults in every kind of file that is read.
mod every_file;
// A cut that the fence does not reach is called so.
mod fence;
mod misfits;
// Words where a number belongs.
mod in_words;
// A file that was given as another.
mod mistaken;
// A plan that is none.
mod no_plan;
// Faults of shop, stock, flags, streams and folders.
mod surroundings;
#[path = "../common/refused/mod.rs"]
mod tamperings;
mod unsawable;
// The schema of plan.json is current.
mod schema;
// Lists as spreadsheets leave them.
mod spreadsheets;
mod stated;
// What the shop reads first: what to buy, settings, jobs.
mod sheets_of_paper;
mod strips;
// The commands of README run.
mod readme;
