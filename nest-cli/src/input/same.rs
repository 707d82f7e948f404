//! Do two paths lead to one file? Whatever is in it would count twice.

use std::path::Path;

/// What tells a file from all others: on Unix its device and inode, so that hard links and other names of standard
/// input are known as well; elsewhere its path without detours.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Identity(#[cfg(unix)] (u64, u64), #[cfg(not(unix))] std::path::PathBuf);

impl Identity {
    /// What a path leads to; `None` for what cannot be found.
    #[cfg(unix)]
    pub fn of(path: &Path) -> Option<Self> {
        use std::os::unix::fs::MetadataExt;
        let path = if path == Path::new("-") { Path::new("/dev/stdin") } else { path };
        path.metadata().ok().map(|known| Self((known.dev(), known.ino())))
    }

    /// What a path leads to; `None` for what cannot be found.
    #[cfg(not(unix))]
    pub fn of(path: &Path) -> Option<Self> {
        if path == Path::new("-") { None } else { path.canonicalize().ok().map(Self) }
    }
}

/// Whether a path is standard input, by whatever name.
pub fn is_stdin(path: &Path) -> bool {
    let stdin = Path::new("-");
    path == stdin || Identity::of(path).is_some_and(|of| Some(of) == Identity::of(stdin))
}
