//! Tests of the program. One binary; each module says what it pins down.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

// The folder of plans and certificates that must be refused, one fault each.
mod refused;
#[path = "../common/refused.rs"]
mod tamperings;
