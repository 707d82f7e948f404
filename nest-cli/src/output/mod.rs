//! One pure renderer a format.

pub mod drawing;
pub mod json;
pub mod svg;
pub mod text;
