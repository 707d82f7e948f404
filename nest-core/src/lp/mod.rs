//! Linear and integer programs: rows, columns, floats, node budgets. Knows nothing of boards or sheets, reads no clock.

mod integer;
mod master;
#[cfg(test)]
mod twin;

pub use integer::Covering;
pub use master::{Master, Outcome};

/// Prices between those of the master and those of the best bound so far, nearer to these the larger `alpha` is (Wentges
/// 1997); without such, those of the master.
pub fn smoothed<'a>(out: &'a [f64], centre: Option<&'a [f64]>, alpha: f64) -> impl Iterator<Item = f64> + 'a {
    let both = out.iter().zip(centre.unwrap_or(out));
    both.map(move |(out, centre)| alpha * centre + (1.0 - alpha) * out)
}
