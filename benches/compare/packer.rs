//! A packer of texture atlases, which places one rectangle after another for good and cuts what is free edge to edge:
//! the best of several orders and rules.

use super::problem::{Placed, Problem, Sheets};
use guillotiere::{AllocatorOptions, SimpleAtlasAllocator, size2};
use std::cmp::Reverse;

/// What comes first: the largest of these numbers.
const ORDERS: [fn([i32; 2]) -> i64; 6] = [
    |[length, width]| i64::from(length) * i64::from(width),
    |[length, width]| length.max(width).into(),
    |[length, width]| length.min(width).into(),
    |[length, width]| i64::from(length) + i64::from(width),
    |[length, _]| length.into(),
    |[_, width]| width.into(),
];

/// The plan with the fewest sheets.
pub fn pack(problem: &Problem) -> Option<Sheets> {
    ORDERS
        .iter()
        .flat_map(|order| {
            let mut pieces: Vec<usize> = (0..problem.pieces.len()).collect();
            // Among equals the larger, then as they come.
            pieces.sort_by_key(|&piece| {
                let size = problem.pieces[piece];
                Reverse((order(size), ORDERS[0](size)))
            });
            rules(problem).map(move |rule| first_fit(problem, &pieces, &rule))
        })
        .min_by_key(Vec::len)
}

/// The rules that the packer offers: from a size on a piece goes where most room is left beside it, below where least.
fn rules(problem: &Problem) -> impl Iterator<Item = AllocatorOptions> {
    let side = problem.sheet[0].max(problem.sheet[1]);
    [1, side / 4, side / 2, i32::MAX].into_iter().map(|large| AllocatorOptions {
        small_size_threshold: large,
        large_size_threshold: large,
        ..AllocatorOptions::default()
    })
}

/// Every piece on the first sheet that takes it.
fn first_fit(problem: &Problem, pieces: &[usize], rule: &AllocatorOptions) -> Sheets {
    let mut free: Vec<SimpleAtlasAllocator> = Vec::new();
    let mut sheets = Sheets::new();
    for &piece in pieces {
        let [length, width] = problem.pieces[piece];
        let size = size2(length, width);
        let found = free.iter_mut().enumerate().find_map(|(sheet, free)| Some((sheet, free.allocate(size)?)));
        let (sheet, at) = found.unwrap_or_else(|| {
            let mut new = SimpleAtlasAllocator::with_options(size2(problem.sheet[0], problem.sheet[1]), rule);
            // A piece larger than the sheet would stick out, which the check finds.
            let at = new.allocate(size).unwrap_or_else(|| size.into());
            free.push(new);
            sheets.push(Vec::new());
            (sheets.len() - 1, at)
        });
        sheets[sheet].push(Placed { piece, at: at.min.to_array() });
    }
    sheets
}
