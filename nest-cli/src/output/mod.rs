//! One pure renderer a format.

pub mod json;
pub mod text;
