//! Threads, and order-preserving maps on them. Results do not depend on the number of threads.

use rayon::iter::{IntoParallelIterator, IntoParallelRefIterator, ParallelIterator};
use std::num::NonZeroUsize;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Room for deep recursion on worker threads, in bytes.
const STACK: usize = 64 << 20;

/// More threads than this are of no use anywhere, and starting them alone takes long.
const MOST_THREADS: usize = 256;

/// Does something on so many threads, one for each core where nothing is said. Where threads cannot be had, one does it
/// all.
pub(crate) fn on<R: Send>(threads: Option<NonZeroUsize>, act: impl Fn() -> R + Send + Sync) -> R {
    let count = threads.map_or(0, |threads| threads.get().min(MOST_THREADS));
    if let Ok(pool) = rayon::ThreadPoolBuilder::new().num_threads(count).stack_size(STACK).build() {
        return pool.install(act);
    }
    // Maps outside of a pool would start one for the whole process, and panic where threads cannot be had. The thread at
    // hand stays in this pool for good, and finds itself there the next time.
    if let Ok(pool) = rayon::ThreadPoolBuilder::new().num_threads(1).use_current_thread().build() {
        std::mem::forget(pool);
    }
    act()
}

/// Maps `f` over a list on the threads at work, each of which takes the next item when it is done with one. Unlike the maps
/// below, no thread that waits inside of one item begins another meanwhile: each has time of its own. `f` hears how many
/// items are still to begin, its own included.
pub(crate) fn in_turn<T: Sync, R: Send>(items: &[T], f: impl Fn(&T, usize) -> R + Sync) -> Vec<R> {
    let next = AtomicUsize::new(0);
    let done = rayon::broadcast(|_| {
        let mut done = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(item) = items.get(at) else { return done };
            done.push((at, f(item, items.len() - at)));
        }
    });
    let mut done: Vec<(usize, R)> = done.into_iter().flatten().collect();
    done.sort_by_key(|&(at, _)| at);
    done.into_iter().map(|(_, result)| result).collect()
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
