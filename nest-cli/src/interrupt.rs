//! Ctrl-C in a search: the first stops it with the best plan so far, the second leaves at once, with nothing written.
//! Before a search there is nothing to keep, and Ctrl-C ends the program as it does any other.

use std::io::Write;
use std::sync::atomic::{AtomicBool, Ordering};

static INTERRUPTED: AtomicBool = AtomicBool::new(false);

/// Starts to listen and returns the flag that the first interrupt sets.
pub fn watch() -> &'static AtomicBool {
    let set = ctrlc::set_handler(|| {
        if INTERRUPTED.swap(true, Ordering::Relaxed) {
            std::process::exit(i32::from(crate::command::Exit::Interrupted.code()));
        }
        let text = "\nstopping with the best plan so far; once more to leave at once\n";
        let _ = std::io::stderr().write_all(text.as_bytes());
    });
    // Without a handler Ctrl-C simply ends the program, which is no reason not to begin.
    let _ = set;
    &INTERRUPTED
}
