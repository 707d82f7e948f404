//! Tests of the library from outside. One binary; each module says what it pins down.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

// Questions about boards in a few words.
mod build;
// Questions about sheets in a few words.
mod build_sheets;
// No accepted floor is above the cheapest plan, found by enumeration.
mod floors;
// Amounts, bills, shares and scores, reckoned by hand.
mod reckoning;
// One sound plan and everything that must be refused, shared with the tests of the program.
#[path = "../common/refused/mod.rs"]
mod refused;
// Laws of the check on layouts grown at random, and on plans wrecked at random.
mod sawn;
// The check accepts what is right and refuses every fault of a table, for the right reason.
mod tamper;
// Where pieces lie and which cuts free them, on layouts small enough to work out by hand.
mod walk;
// A layout replayed from its list of cuts is the layout.
mod replay;
// Several materials in one search.
mod rounds;
// Boards of three invented jobs, and how many pieces one length gives.
mod scenarios;
// Published examples: the optimum, and its proof.
mod worked_examples;
// Published examples of sheets, and some that plain arithmetic answers.
mod sheet_examples;
// Laws of solving sheets under every rule of a shop.
mod sheet_laws;
// Solving sheets beside recursion over all cuts on tiny questions.
mod sheet_twins;
// Closets of hardly two panels alike are proven.
mod closets;
// Laws of solving boards.
mod laws;
// Parts that are ripped, beside enumeration on tiny questions.
mod ripped;
// Solving beside enumeration on tiny questions.
mod twins;
// A job is carried on after some of its plan was cut.
mod carried_lists;
mod carried_on;
// Which pieces count as made, told by hand.
mod carried_pieces;
// Rows that are alike, where a job is carried on.
mod carried_rows;
// What programs rely on that are built on the library.
mod embedded;
// The layers hold.
mod layers;
