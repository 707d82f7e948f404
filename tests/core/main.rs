//! Tests of the library from outside. One binary; each module says what it pins down.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

// Where pieces lie and which cuts free them, on layouts small enough to work out by hand.
mod walk;
