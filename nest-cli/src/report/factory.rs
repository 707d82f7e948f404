//! Factory edges that are still on an offcut, in the words of the cut list.
//!
//! They are on its far sides at most: edge trim at the reference corner comes off before all else.

use super::words::Words;
use nest_core::units::Length;

/// Which they are: `factory right end`. `None` where what comes off the saw is clean all round.
pub(super) fn edges(usable: [Length; 2], sawn: [Length; 2]) -> Option<&'static str> {
    match [0, 1].map(|axis| sawn[axis] > usable[axis]) {
        [true, true] => Some("factory right end and upper edge"),
        [true, false] => Some("factory right end"),
        [false, true] => Some("factory upper edge"),
        [false, false] => None,
    }
}

/// How large it comes off the saw, where it has any: `38 1/2" x 47 3/4" with factory right end`.
pub(super) fn with_edges(usable: [Length; 2], sawn: [Length; 2], words: &Words) -> Option<String> {
    Some(format!("{} with {}", words.size(sawn), edges(usable, sawn)?))
}
