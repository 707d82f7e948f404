//! Numbers drawn at random, the same on every machine for the same seed.
//!
//! The generator is PCG-XSH-RR 64/32 (O'Neill 2014): a linear congruence whose state is permuted on the way out. Its
//! state and stream are filled by SplitMix64 (Steele, Lea and Flood 2014), so that neighbouring seeds give
//! unrelated streams. Not for secrets.

/// A stream of random numbers.
#[derive(Clone, Debug)]
pub(crate) struct Dice {
    state: u64,
    stream: u64,
}

impl Dice {
    /// The stream of a seed; `chain` tells streams of one seed apart.
    pub fn new(seed: u64, chain: u64) -> Self {
        let mut mixed = split_mix(seed ^ split_mix(chain.wrapping_add(1)));
        let state = mixed;
        mixed = split_mix(mixed);
        Self { state, stream: mixed | 1 }
    }

    /// The next 32 random bits.
    pub fn bits(&mut self) -> u32 {
        let old = self.state;
        self.state = old.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(self.stream);
        let shifted = (((old >> 18) ^ old) >> 27) as u32;
        shifted.rotate_right((old >> 59) as u32)
    }

    /// A number below `sides`; 0 where there are none. The bias is below `sides / 2^32`.
    pub fn below(&mut self, sides: u32) -> u32 {
        ((u64::from(self.bits()) * u64::from(sides)) >> 32) as u32
    }

    /// Puts a list into random order.
    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        for at in (1..list.len()).rev() {
            list.swap(at, self.below(at as u32 + 1) as usize);
        }
    }

    /// True once in `sides` times.
    pub fn once_in(&mut self, sides: u32) -> bool {
        self.below(sides) == 0
    }
}

/// Any number for every number, and never the same for two.
pub(crate) fn split_mix(seed: u64) -> u64 {
    let mut z = seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_seed_names_its_stream() {
        let draw = |seed, chain| {
            let mut dice = Dice::new(seed, chain);
            (0..8).map(|_| dice.bits()).collect::<Vec<_>>()
        };
        assert_eq!(draw(7, 0), draw(7, 0));
        assert_ne!(draw(7, 0), draw(7, 1));
        assert_ne!(draw(7, 0), draw(8, 0));
    }

    #[test]
    fn every_side_comes_up_about_as_often() {
        let mut dice = Dice::new(1, 2);
        let mut seen = [0_u32; 6];
        for _ in 0..60_000 {
            seen[dice.below(6) as usize] += 1;
        }
        assert!(seen.iter().all(|&count| (9_500..10_500).contains(&count)), "{seen:?}");
        assert_eq!(dice.below(0), 0);
    }
}
