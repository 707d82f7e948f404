//! Tests of the library from outside. One binary; each module says what it pins down.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

// One sound plan and everything that must be refused, shared with the tests of the program.
#[path = "../common/refused.rs"]
mod refused;
// The check accepts what is right and refuses every fault of a table, for the right reason.
mod tamper;
// Where pieces lie and which cuts free them, on layouts small enough to work out by hand.
mod walk;
