//! The command-line program: files in, papers out.
#![forbid(unsafe_code)]

pub mod clean;
pub mod input;
pub mod output;
pub mod plan_file;
pub mod report;
