//! Criterion over a few questions: time, and quality as parts per million of the floor.
//!
//! Times are for comparing two states of the code in one run on one machine. Quality is measured by a clock that
//! shows the cost instead of the time; 1 000 000 is the floor itself, so it is never 0.

use criterion::{BenchmarkId, Criterion, SamplingMode};
use nest_core::model::{Batch, CheckedBatch};
use nest_core::search::{Effort, Options, Silent};
use nest_core::solution::Solution;
use std::hint::black_box;
use std::time::Duration;

/// Measures every case; `what` names them in the reports.
pub fn run(what: &str, cases: Vec<(&str, Batch)>) {
    let cases: Vec<(&str, CheckedBatch)> =
        cases.into_iter().map(|(name, batch)| (name, checked(batch))).collect();
    let mut criterion = Criterion::default().without_plots().configure_from_args();
    let mut time = criterion.benchmark_group(format!("{what}, time"));
    time.sample_size(10).sampling_mode(SamplingMode::Flat);
    for (name, batch) in &cases {
        for effort in [Effort::None, Effort::Quick] {
            time.bench_with_input(BenchmarkId::new(*name, format!("{effort:?}")), batch, |b, batch| {
                b.iter(|| black_box(solve(batch, effort)));
            });
        }
    }
    time.finish();
    let mut quality = criterion.benchmark_group(format!("{what}, cost in ppm of the floor (read ns as ppm)"));
    quality
        .sample_size(10)
        .sampling_mode(SamplingMode::Flat)
        .noise_threshold(0.0)
        .warm_up_time(Duration::from_millis(1));
    for (name, batch) in &cases {
        // The same in every run.
        let solution = solve(batch, Effort::Quick);
        let ppm = u64::try_from(solution.cost * 1_000_000 / solution.floor.max(1)).unwrap_or(u64::MAX);
        quality.bench_function(BenchmarkId::from_parameter(name), |b| {
            b.iter_custom(|times| {
                Duration::from_nanos(ppm).saturating_mul(u32::try_from(times).unwrap_or(u32::MAX))
            });
        });
    }
    quality.finish();
    criterion.final_summary();
}

fn checked(batch: Batch) -> CheckedBatch {
    match batch.check() {
        Ok(checked) => checked,
        Err(problems) => unreachable!("the question is sound: {problems:?}"),
    }
}

fn solve(batch: &CheckedBatch, effort: Effort) -> Solution {
    match nest_core::solve(batch, &Options { effort, ..Options::default() }, &Silent) {
        Ok(solution) => solution,
        Err(error) => unreachable!("{error}"),
    }
}
