//! What a plan, and each piece of it, is known by: the same for the same plan in any units.

use super::Source;
use nest_core::model::{Part, Per, Stock};
use serde::Serialize;

/// A plan's fingerprint: 16 hexadecimal digits that change with the layouts and with the lists they are for, but for
/// prices, notes and columns that mean nothing to the plan: whoever mends one of those has cut what he has cut. It tells
/// plans apart; it protects against nothing.
pub fn fingerprint(source: &Source<'_>) -> String {
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
    format!("{:016X}", hash.0)
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
}
