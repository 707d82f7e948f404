//! `nest new DIR`: sample files to start from. Planning them works at once.

use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

use super::{Exit, print};
use crate::args::NewArgs;
use crate::clean::clean;
use crate::diagnose::{Failure, plain, print_failure};
use crate::output::disk::{Disk, Lies, RealDisk};
use crate::{Streams, Terminal};

const SAMPLES: [(&str, &str); 3] = [
    ("parts.csv", include_str!("samples/parts.csv")),
    ("stock.csv", include_str!("samples/stock.csv")),
    ("shop.toml", include_str!("samples/shop.toml")),
];

/// Makes the folder and the files.
///
/// # Errors
/// Those of the streams; what goes wrong with the folder is printed.
pub fn run(args: &NewArgs, terminal: &Terminal, streams: &mut Streams<'_>) -> io::Result<Exit> {
    if let Err(failure) = write(&RealDisk, &args.folder) {
        let color = terminal.color(args.talk.color, terminal.stderr);
        print_failure(&failure, color, streams.stderr)?;
        return Ok(Exit::Bad);
    }
    if !args.talk.quiet {
        let file = |name: &str| quoted(&args.folder.join(name));
        let text = format!(
            "Wrote {}, {} and {}. Change them, or plan them as they are:\n\n  nest plan {0} --stock {1} --shop {2}\n",
            file("parts.csv"),
            file("stock.csv"),
            file("shop.toml"),
        );
        print(text.as_bytes(), streams.stdout)?;
    }
    Ok(Exit::Done)
}

/// All files, or none: half of the samples is worse than none.
fn write(disk: &dyn Disk, folder: &Path) -> Result<(), Failure> {
    let mut made = Made::default();
    let written = made.all(disk, folder);
    if written.is_err() {
        made.undo(disk);
    }
    written
}

/// What was made so far.
#[derive(Default)]
struct Made {
    folders: Vec<PathBuf>,
    files: Vec<PathBuf>,
}

impl Made {
    fn all(&mut self, disk: &dyn Disk, folder: &Path) -> Result<(), Failure> {
        let shown = folder.display();
        self.folder(disk, folder).map_err(|error| match disk.look(folder) {
            Ok(Lies::File) => Failure::new(format!("{shown} is a file, but a folder was expected")),
            _ => Failure::new(format!("the folder {shown} cannot be made: {}", plain(&error))),
        })?;
        let there = disk.list(folder).map_err(|error| match error.kind() {
            ErrorKind::NotADirectory => {
                Failure::new(format!("{shown} is a link to a file, but a folder was expected"))
            }
            _ => Failure::new(format!("the folder {shown} cannot be read: {}", plain(&error))),
        })?;
        if !there.is_empty() {
            return Err(Failure::new(format!("the folder {shown} is not empty"))
                .hint("name a new folder; nothing was written"));
        }
        SAMPLES.iter().try_for_each(|(name, text)| {
            let path = folder.join(name);
            let written = disk.write(&path, text.as_bytes());
            // One that somebody else made in between is not ours to remove.
            if written.as_ref().err().is_none_or(|error| error.kind() != ErrorKind::AlreadyExists) {
                self.files.push(path.clone());
            }
            written.map_err(|error| {
                Failure::new(format!("{} cannot be written: {}", path.display(), plain(&error)))
            })
        })
    }

    /// Makes a folder and those above it, as far as they are missing.
    fn folder(&mut self, disk: &dyn Disk, path: &Path) -> io::Result<()> {
        match disk.look(path)? {
            Lies::Folder | Lies::Link => Ok(()),
            Lies::File => Err(io::Error::from(ErrorKind::AlreadyExists)),
            Lies::Nothing => {
                if let Some(above) = path.parent().filter(|above| !above.as_os_str().is_empty()) {
                    self.folder(disk, above)?;
                }
                match disk.make_folder(path) {
                    Ok(()) => self.folders.push(path.to_path_buf()),
                    // Made in between: by somebody else, or as the `a` of `a/..`.
                    Err(error) if error.kind() == ErrorKind::AlreadyExists => match disk.look(path)? {
                        Lies::Folder | Lies::Link => {}
                        Lies::File | Lies::Nothing => return Err(error),
                    },
                    Err(error) => return Err(error),
                }
                Ok(())
            }
        }
    }

    /// As far as the disk lets us.
    fn undo(self, disk: &dyn Disk) {
        for path in self.files {
            let _ = disk.remove_file(&path);
        }
        for path in self.folders.iter().rev() {
            let _ = disk.remove_folder(path);
        }
    }
}

/// A path as a shell reads it.
fn quoted(path: &Path) -> String {
    let text = clean(&path.display().to_string());
    let plain = text.chars().all(|c| c.is_alphanumeric() || "/\\._-:~".contains(c));
    if plain { text } else { format!("'{}'", text.replace('\'', "'\\''")) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::output::faults::Faulty;
    use std::sync::Mutex;
    use std::sync::atomic::AtomicUsize;

    #[test]
    fn a_failing_call_leaves_nothing_or_all_samples() {
        ["shop/demo", "shop/../demo"].into_iter().for_each(each_call_fails);
    }

    fn each_call_fails(folder: &str) {
        for fails in 0.. {
            assert!(fails < 100, "the disk is asked without end");
            let dir = tempfile::tempdir().unwrap();
            let disk = Faulty { calls: AtomicUsize::new(0), fails, dead: false, stuck: Mutex::default() };
            let written = write(&disk, &dir.path().join(folder));
            let left = RealDisk.list(dir.path()).unwrap();
            if written.is_err() {
                assert!(left.is_empty(), "call {fails} left {left:?}");
            }
            if disk.calls.into_inner() <= fails {
                assert_eq!(written, Ok(()));
                assert_eq!(RealDisk.list(&dir.path().join(folder)).unwrap().len(), SAMPLES.len());
                return;
            }
        }
    }

    #[test]
    fn what_is_in_the_way_is_called_what_it_is() {
        let dir = tempfile::tempdir().unwrap();
        let refusal = |name: &str| {
            let failure = write(&RealDisk, &dir.path().join(name)).unwrap_err();
            format!("{failure:?}")
        };
        std::fs::write(dir.path().join("file"), "").unwrap();
        assert!(refusal("file").contains("file is a file, but a folder was expected"));
        assert!(refusal("file/demo").contains("file/demo cannot be made"));
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink("file", dir.path().join("link")).unwrap();
            assert!(refusal("link").contains("link is a link to a file, but a folder was expected"));
        }
    }
}
