//! The slow twin of the master: the same program through the general library.

use super::Master;
use good_lp::{Expression, ProblemVariables, Solution, SolverModel, constraint, variable};
use proptest::prelude::*;

fn library(costs: &[f64], columns: &[Vec<(u32, f64)>], rhs: &[f64]) -> Option<f64> {
    let mut variables = ProblemVariables::new();
    let x: Vec<_> = costs.iter().map(|_| variables.add(variable().min(0))).collect();
    let cost: Expression = x.iter().zip(costs).map(|(&x, &c)| c * x).sum();
    let mut model = variables.minimise(cost.clone()).using(good_lp::solvers::microlp::microlp);
    for (r, &b) in rhs.iter().enumerate() {
        let sum: Expression = columns
            .iter()
            .zip(&x)
            .flat_map(|(column, &x)| column.iter().filter(move |e| e.0 as usize == r).map(move |e| e.1 * x))
            .sum();
        model.add_constraint(constraint!(sum >= b));
    }
    model.solve().ok().map(|s| s.eval(cost))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn the_master_finds_what_the_library_finds(
        rows in 1_usize..7,
        seed in proptest::collection::vec((1_u32..50, proptest::collection::vec(0_u32..4, 7)), 1..14),
        demand in proptest::collection::vec(0_u32..30, 7),
        later in proptest::collection::vec(0_u32..30, 7),
        off in proptest::collection::vec(any::<bool>(), 14),
    ) {
        let mut costs = Vec::new();
        let mut columns = Vec::new();
        // A column for each row alone keeps the program feasible.
        for r in 0..rows {
            costs.push(1.0);
            columns.push(vec![(r as u32, 1.0)]);
        }
        for (cost, entries) in &seed {
            costs.push(f64::from(*cost) / 50.0);
            columns.push(
                entries.iter().take(rows).enumerate().filter(|e| *e.1 > 0).map(|(r, &a)| (r as u32, f64::from(a))).collect(),
            );
        }
        let rhs: Vec<f64> = demand.iter().take(rows).map(|&d| f64::from(d)).collect();
        let mut master = Master::new(rhs.clone(), vec![1e4; rows]);
        for (cost, column) in costs.iter().zip(&columns) {
            master.add(*cost, column.clone());
        }
        master.solve(10_000);
        let expected = library(&costs, &columns, &rhs);
        prop_assert!(expected.is_some_and(|e| (e - master.objective()).abs() < 1e-4), "{expected:?} {}", master.objective());
        // And again, warm, for another right-hand side.
        let rhs: Vec<f64> = later.iter().take(rows).map(|&d| f64::from(d)).collect();
        master.set_rhs(&rhs);
        master.solve(10_000);
        let expected = library(&costs, &columns, &rhs);
        prop_assert!(expected.is_some_and(|e| (e - master.objective()).abs() < 1e-4), "{expected:?} {}", master.objective());
        // And again, by dual pivots, without some of the columns that are not needed and with less to be made.
        let rhs: Vec<f64> = rhs.iter().zip(&demand).map(|(&b, &d)| b.min(f64::from(d))).collect();
        for (column, &off) in off.iter().enumerate().take(seed.len()) {
            master.set_active(rows + column, !off);
        }
        master.set_rhs(&rhs);
        master.tighten(10_000, f64::INFINITY);
        let kept = |c: &usize| *c < rows || !off[c - rows];
        let (costs, columns): (Vec<f64>, Vec<Vec<(u32, f64)>>) =
            (0..costs.len()).filter(kept).map(|c| (costs[c], columns[c].clone())).unzip();
        let expected = library(&costs, &columns, &rhs);
        prop_assert!(expected.is_some_and(|e| (e - master.objective()).abs() < 1e-4), "{expected:?} {}", master.objective());
        // What is switched off is not used, and what is used covers.
        let (solution, missing) = master.solution();
        prop_assert!(missing < 1e-4 && solution.iter().all(|&(c, x)| kept(&c) || x < 1e-5), "{solution:?}");
        // Cut short, it says no more than is so.
        let mut short = Master::new(rhs.clone(), vec![1e4; rows]);
        for (cost, column) in costs.iter().zip(&columns) {
            short.add(*cost, column.clone());
        }
        short.solve(10_000);
        let full = short.objective();
        for column in rows..columns.len() {
            short.set_active(column, false);
        }
        short.tighten(10_000, full + 0.1);
        let expected = library(&costs[..rows], &columns[..rows], &rhs);
        prop_assert!(expected.is_some_and(|e| short.objective() <= e + 1e-4), "{expected:?} {}", short.objective());
    }
}
