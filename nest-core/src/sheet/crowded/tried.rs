//! What came of sheets that could not be filled with all there is.

use std::collections::BTreeMap;

use super::super::packed::Packed;

/// After so many tries that were no better, it begins from nothing again.
const TRIES: u32 = 10;

/// For each number of sheets of each kind the filling that leaves least, and how many tries from it were no better.
#[derive(Default)]
pub(super) struct Tried(BTreeMap<Vec<u32>, (Packed, u32)>);

impl Tried {
    pub fn best(&self, goal: &[u32]) -> Option<&Packed> {
        self.0.get(goal).map(|(best, _)| best)
    }

    /// What the last try came to.
    pub fn note(&mut self, goal: Vec<u32>, filled: &Packed) {
        match self.0.get_mut(&goal) {
            Some((best, tries)) if best.missing <= filled.missing => {
                *tries += 1;
                if *tries > TRIES {
                    self.0.remove(&goal);
                }
            }
            _ => {
                self.0.insert(goal, (filled.clone(), 0));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn filled(missing: u128) -> Packed {
        Packed { missing, cost: 0, sheets: Vec::new(), left: Vec::new() }
    }

    #[test]
    fn the_best_is_kept_until_nothing_better_comes() {
        let mut tried = Tried::default();
        let best = |tried: &Tried| tried.best(&[1, 2]).map(|best| best.missing);
        assert_eq!(best(&tried), None);
        for (missing, least) in [(9, 9), (7, 7), (8, 7), (5, 5)] {
            tried.note(vec![1, 2], &filled(missing));
            tried.note(vec![2, 1], &filled(1));
            assert_eq!(best(&tried), Some(least));
        }
        for _ in 0..TRIES {
            tried.note(vec![1, 2], &filled(5));
            assert_eq!(best(&tried), Some(5));
        }
        tried.note(vec![1, 2], &filled(6));
        assert_eq!(best(&tried), None);
    }
}
