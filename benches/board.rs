//! The board solver in criterion: time, and quality as parts per million of the floor.
//!
//! Times are for comparing two states of the code in one run on one machine. Quality is measured by a clock that
//! shows the cost instead of the time; 1 000 000 is the floor itself, so it is never 0.

use criterion::{BenchmarkId, Criterion, SamplingMode};
use nest_core::model::{Batch, CheckedBatch, Part, Stock};
use nest_core::search::{Effort, Options, Silent};
use nest_core::solution::Solution;
use nest_core::units::{Length, Money, Rate};
use std::hint::black_box;
use std::time::Duration;

/// Parts of one material on three lengths; the draw is fixed.
fn question(sizes: i64, most: i64) -> CheckedBatch {
    let mut state = 0x2545_F491_4F6C_DD1D_u64;
    let mut draw = |n: i64| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        i64::try_from((state >> 16) % n.unsigned_abs()).unwrap_or(0)
    };
    let mut batch = Batch::default();
    for (length, minor) in [(2400, 420), (3000, 515), (3600, 640)] {
        batch.stock.push(Stock {
            name: format!("s{length}"),
            material: "m".to_owned(),
            length: Length::mm(length),
            price: Some(Rate::from(Money::from_minor(minor))),
            ..Stock::default()
        });
    }
    for p in 0..sizes {
        batch.parts.push(Part {
            name: format!("p{p}"),
            material: "m".to_owned(),
            length: Length::mm(180 + draw(1900)),
            qty: 1 + u32::try_from(draw(most)).unwrap_or(0),
            ..Part::default()
        });
    }
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

fn main() {
    let mut criterion = Criterion::default().without_plots().configure_from_args();
    let cases = [("30 parts", question(30, 3)), ("120 sizes", question(120, 30))];
    let mut time = criterion.benchmark_group("boards, time");
    time.sample_size(10).sampling_mode(SamplingMode::Flat);
    for (name, batch) in &cases {
        for effort in [Effort::None, Effort::Quick] {
            time.bench_with_input(BenchmarkId::new(*name, format!("{effort:?}")), batch, |b, batch| {
                b.iter(|| black_box(solve(batch, effort)));
            });
        }
    }
    time.finish();
    let mut quality = criterion.benchmark_group("boards, cost in ppm of the floor (read ns as ppm)");
    quality
        .sample_size(10)
        .sampling_mode(SamplingMode::Flat)
        .noise_threshold(0.0)
        .warm_up_time(Duration::from_millis(1));
    for (name, batch) in &cases {
        quality.bench_with_input(BenchmarkId::from_parameter(name), batch, |b, batch| {
            b.iter_custom(|times| {
                let solution = solve(batch, Effort::Quick);
                let ppm = solution.cost * 1_000_000 / solution.floor.max(1);
                Duration::from_nanos(u64::try_from(ppm).unwrap_or(u64::MAX))
                    .saturating_mul(u32::try_from(times).unwrap_or(u32::MAX))
            });
        });
    }
    quality.finish();
    criterion.final_summary();
}
