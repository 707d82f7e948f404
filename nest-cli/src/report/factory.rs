//! Factory edges that are still on an offcut, on paper.

use super::words::Words;
use nest_core::units::Length;

pub(super) use nest_core::rest::edges_on as edges;

/// How large it comes off the saw, where it has any: `38 1/2" x 47 3/4" with factory right end`.
pub(super) fn with_edges(usable: [Length; 2], sawn: [Length; 2], words: &Words) -> Option<String> {
    Some(format!("{} with {}", words.size(sawn), edges(usable, sawn)?))
}
