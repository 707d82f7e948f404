//! Files to a question.

pub mod json;
