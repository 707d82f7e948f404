//! What a plan is known by: the same for the same plan in any units.

use super::Source;
use nest_core::model::{Part, Per, Stock};
use serde::Serialize;
use std::fmt;

/// What a plan is known by. It changes with the layouts and with the lists they are for, but for prices, notes and columns
/// that mean nothing to the plan: whoever mends one of those has cut what he has cut. It tells plans apart; it protects
/// against nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fingerprint(u64);

impl fmt::Display for Fingerprint {
    /// 16 hexadecimal digits, for devices.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:016X}", self.0)
    }
}

impl Fingerprint {
    /// The same for people, who sort papers by it: four signs. Two plans have the same once in fifty thousand times.
    pub fn short(self) -> String {
        let mut rest = self.0;
        let mut next = |signs: &[u8]| {
            let base = signs.len() as u64;
            let sign = usize::try_from(rest % base).unwrap_or_default();
            rest /= base;
            signs.get(sign).copied().map_or(' ', char::from)
        };
        // A letter comes first, so that nobody takes it for the number of a layout.
        std::iter::once(next(LETTERS)).chain((1..4).map(|_| next(SIGNS))).collect()
    }
}

/// No two of them are easily mistaken for each other, not even upside down: of 0 and O, 1 and I and L, 2 and Z, 5 and S,
/// 6 and 9, 8 and B, Q and O, M and W there is none. Without vowels they make no words.
const LETTERS: &[u8] = b"CDFHJKNPRTVXY";
const SIGNS: &[u8] = b"CDFHJKNPRTVXY347";

/// The fingerprint of a plan, the same in any units.
pub fn fingerprint(source: &Source<'_>) -> Fingerprint {
    #[derive(Serialize)]
    struct Content<'a> {
        layouts: Vec<crate::plan_file::LayoutFile<'a>>,
        parts: Vec<Part>,
        stock: Vec<Stock>,
    }
    let batch = source.batch.batch();
    let content = Content {
        layouts: source.solution.plan.layouts.iter().map(crate::plan_file::LayoutFile::of).collect(),
        parts: (batch.parts.iter().cloned())
            .map(|part| Part { note: String::new(), extra: Vec::new(), ..part })
            .collect(),
        stock: batch
            .stock_as_named()
            .map(|stock| Stock { price: None, per: Per::Each, extra: Vec::new(), ..stock })
            .collect(),
    };
    let mut hash = Fnv(0xcbf2_9ce4_8422_2325);
    // Plain data, so that there is nothing that cannot be written.
    let _ = serde_json::to_writer(&mut hash, &content);
    Fingerprint(hash.0)
}

/// FNV-1a, 64 bits: the same on every machine and in every version.
struct Fnv(u64);

impl std::io::Write for Fnv {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        for &byte in bytes {
            self.0 = (self.0 ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Write;

    /// Values of the reference test suite of FNV (isthe.com, from memory).
    #[test]
    fn the_hash_is_fnv_1a() {
        for (text, expected) in
            [("", 0xcbf2_9ce4_8422_2325_u64), ("a", 0xaf63_dc4c_8601_ec8c), ("foobar", 0x8594_4171_f739_67e8)]
        {
            let mut hash = Fnv(0xcbf2_9ce4_8422_2325);
            hash.write_all(text.as_bytes()).unwrap();
            assert_eq!(hash.0, expected, "{text}");
        }
    }

    #[test]
    fn the_short_form_begins_with_a_letter_and_tells_neighbours_apart() {
        let short = |hash: u64| Fingerprint(hash).short();
        assert_eq!([0, 1, 13, u64::MAX].map(short), ["CCCC", "DCCC", "CDCC", "FDXH"]);
        let many: std::collections::BTreeSet<String> = (0..13 * 16 * 16 * 16).map(short).collect();
        assert_eq!(many.len(), 13 * 16 * 16 * 16, "each number has a form of its own");
        assert!(many.iter().all(|form| form.starts_with(|c: char| c.is_ascii_uppercase())));
        let mistaken = many
            .iter()
            .find(|form| form.contains(['0', 'O', '1', 'I', 'L', '2', 'Z', '5', 'S', '6', '9', '8', 'B']));
        assert_eq!(mistaken, None);
    }
}
