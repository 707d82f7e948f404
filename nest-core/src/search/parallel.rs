//! Threads, and order-preserving maps on them. Results do not depend on the number of threads.

use rayon::iter::{IntoParallelIterator, IntoParallelRefIterator, ParallelIterator};
use std::num::NonZeroUsize;

/// Room for deep recursion on worker threads, in bytes.
const STACK: usize = 64 << 20;

/// More threads than this are of no use anywhere, and starting them alone takes long.
const MOST_THREADS: usize = 256;

/// Does something on so many threads, one for each core where nothing is said. Where threads cannot be had, one does it
/// all.
pub(crate) fn on<R: Send>(threads: Option<NonZeroUsize>, act: impl Fn() -> R + Send + Sync) -> R {
    let count = threads.map_or(0, |threads| threads.get().min(MOST_THREADS));
    match rayon::ThreadPoolBuilder::new().num_threads(count).stack_size(STACK).build() {
        Ok(pool) => pool.install(act),
        Err(_) => act(),
    }
}

/// Maps `f` over a list on the threads at work.
pub(crate) fn within<T: Sync, R: Send>(items: &[T], f: impl Fn(&T) -> R + Sync) -> Vec<R> {
    items.par_iter().map(&f).collect()
}

/// The same for items that `f` takes over.
pub(crate) fn each<T: Send, R: Send>(items: Vec<T>, f: impl Fn(T) -> R + Sync + Send) -> Vec<R> {
    items.into_par_iter().map(f).collect()
}

/// How many threads are at work.
pub(crate) fn threads() -> usize {
    rayon::current_num_threads()
}
