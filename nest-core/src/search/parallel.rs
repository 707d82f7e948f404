//! An order-preserving map over items, in parallel. Results do not depend on the number of threads.

use rayon::iter::{IntoParallelIterator, IntoParallelRefIterator, ParallelIterator};
use std::num::NonZeroUsize;

/// Room for deep recursion on worker threads, in bytes.
const STACK: usize = 64 << 20;

/// More threads than this are of no use anywhere, and starting them alone takes long.
const MOST_THREADS: usize = 256;

/// Maps `f` over `items` on so many threads, one for each core where nothing is said. Where threads cannot be had,
/// one does it all.
pub(crate) fn map<T: Sync, R: Send>(
    threads: Option<NonZeroUsize>,
    items: &[T],
    f: impl Fn(&T) -> R + Sync,
) -> Vec<R> {
    let count = threads.map_or(0, |threads| threads.get().min(MOST_THREADS));
    match rayon::ThreadPoolBuilder::new().num_threads(count).stack_size(STACK).build() {
        Ok(pool) => pool.install(|| items.par_iter().map(&f).collect()),
        Err(_) => items.iter().map(f).collect(),
    }
}

/// The same on the threads that are already at work: for use inside [`map`].
pub(crate) fn within<T: Sync, R: Send>(items: &[T], f: impl Fn(&T) -> R + Sync) -> Vec<R> {
    items.par_iter().map(&f).collect()
}

/// Maps `f` over items on the threads at hand, for work inside of work: what [`map`] runs may call this.
pub(crate) fn each<T: Send, R: Send>(items: Vec<T>, f: impl Fn(T) -> R + Sync + Send) -> Vec<R> {
    items.into_par_iter().map(f).collect()
}
