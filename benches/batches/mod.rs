//! Questions for the benches, drawn by a generator of our own, so that they are the same for ever.

#![allow(dead_code, reason = "every bench takes what it measures")]

pub mod boards;
pub mod sheets;

/// A small generator (xorshift).
pub struct Draw(pub u64);

impl Draw {
    /// A number from 0 to below `n`.
    pub fn upto(&mut self, n: i64) -> i64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        i64::try_from((self.0 >> 16) % n.unsigned_abs()).unwrap_or(0)
    }

    /// A quantity from 1 to `most`.
    pub fn qty(&mut self, most: i64) -> u32 {
        1 + u32::try_from(self.upto(most)).unwrap_or(0)
    }
}
