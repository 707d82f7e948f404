//! The integer master: `min c x` over `A x >= b`, `x` whole, by branch and bound.
//!
//! Built with good_lp; the search itself runs on the model inside, in slices of nodes, so that it ends where its
//! budget of nodes ends and a caller can stop it between slices. What comes back is rounded and checked
//! against the rows in whole numbers: a value that is only nearly whole never passes for a plan.

use good_lp::{Expression, ProblemVariables, SolverModel, constraint, variable};
use microlp::{ResumeOptions, SolveOptions, SolveOutcome};

/// Nodes between two looks at the caller's wishes.
const SLICE: u64 = 16;

/// A covering program in whole numbers.
#[derive(Clone, Debug, Default)]
pub struct Covering {
    /// Cost of each column, not negative.
    pub costs: Vec<f64>,
    /// Most that each column may be used.
    pub most: Vec<u32>,
    /// For each row, its entries (column, coefficient) and what they must add up to at least.
    pub rows: Vec<(Vec<(usize, i64)>, i64)>,
}

impl Covering {
    /// Looks for columns that cost less than `start`, which must cover all rows, for so many nodes. Returns the
    /// columns' counts and the nodes used; `None` where nothing better was found.
    pub fn improve(
        &self,
        start: &[u32],
        nodes: u64,
        mut stop: impl FnMut() -> bool,
    ) -> (Option<Vec<u32>>, u64) {
        let mut variables = ProblemVariables::new();
        let columns: Vec<_> = (0..self.costs.len())
            .map(|c| variables.add(variable().integer().min(0).max(self.most[c]).initial(start[c])))
            .collect();
        let objective: Expression = columns.iter().zip(&self.costs).map(|(&x, &c)| c * x).sum();
        let mut model = variables.minimise(objective).using(good_lp::solvers::microlp::microlp);
        for (entries, wanted) in &self.rows {
            let sum: Expression = entries.iter().map(|&(c, a)| a as f64 * columns[c]).sum();
            model.add_constraint(constraint!(sum >= *wanted as f64));
        }
        let mut options = SolveOptions::default();
        options.node_limit = Some(SLICE);
        let mut used = 0;
        let mut outcome = model.as_inner().solve_with(options);
        loop {
            let Ok(state) = outcome else { return (None, used) };
            used += SLICE;
            if state.is_optimal() || used >= nodes || stop() {
                return (self.read(&state, start), used);
            }
            let mut slice = ResumeOptions::default();
            slice.node_limit = Some(SLICE);
            outcome = state.resume_with(slice);
        }
    }

    /// Whole counts out of an outcome, where they are better than the start and really cover.
    fn read(&self, outcome: &SolveOutcome, start: &[u32]) -> Option<Vec<u32>> {
        let solution = outcome.solution()?;
        let counts: Vec<u32> =
            solution.iter().map(|(_, value)| value.round().clamp(0.0, f64::from(u32::MAX)) as u32).collect();
        let cost = |x: &[u32]| x.iter().zip(&self.costs).map(|(&n, c)| f64::from(n) * c).sum::<f64>();
        let covers = self.rows.iter().all(|(entries, wanted)| {
            entries.iter().map(|&(c, a)| i64::from(counts[c]) * a).sum::<i64>() >= *wanted
        });
        let within = counts.iter().zip(&self.most).all(|(n, most)| n <= most);
        (covers && within && cost(&counts) < cost(start) - 1e-9).then_some(counts)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lp::Master;

    fn small() -> Covering {
        // Ten bars of 10 hold 3+3+3 or 7+3; ask for seven 3s and two 7s.
        Covering {
            costs: vec![1.0, 1.0],
            most: vec![20, 20],
            rows: vec![(vec![(0, 3), (1, 1)], 7), (vec![(1, 1)], 2)],
        }
    }

    #[test]
    fn the_integer_master_improves_a_start() {
        let (found, _) = small().improve(&[9, 9], 1_000, || false);
        assert_eq!(found, Some(vec![2, 2]));
    }

    #[test]
    fn nothing_better_than_the_best_is_claimed() {
        let (found, _) = small().improve(&[2, 2], 1_000, || false);
        assert_eq!(found, None);
    }

    #[test]
    fn prices_have_the_sign_of_a_covering_program() {
        // The general library and the master agree on value; prices of covering rows are not negative.
        let mut master = Master::new(vec![7.0, 2.0], vec![1e4; 2]);
        master.add(1.0, vec![(0, 3.0)]);
        master.add(1.0, vec![(0, 1.0), (1, 1.0)]);
        master.solve(1_000);
        assert!(master.prices().iter().all(|&p| p >= -1e-9));
        assert!((master.objective() - (2.0 + 5.0 / 3.0)).abs() < 1e-5);
    }
}
