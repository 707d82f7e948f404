//! The folder of papers: written whole or not at all.
//!
//! Everything goes into a new folder beside the wanted one, is synced, and takes the wanted name in one step. A
//! folder that is there already is refused; with `force` a folder of an earlier plan is replaced, and what somebody
//! else put into it stays. Links are never followed.
//!
//! Invariant: whatever fails, and whenever, the wanted name stands for nothing, for the old folder, or for the whole
//! new one.

use super::diagrams::Drawings;
use super::disk::{Disk, Lies};
use crate::clean::clean;
use crate::diagnose::plain;
use std::fmt;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

/// Files that may stand in the folder of a plan and belong to it.
const OURS: [&str; 6] = ["plan.json", "report.html", "labels.html", "buy.csv", "cuts.csv", "offcuts.csv"];
/// How many files are written at once.
const WRITERS: usize = 8;
/// The folder inside that holds the drawings.
pub const DIAGRAMS: &str = "diagrams";

/// Why papers were not written.
#[derive(Debug)]
pub struct WriteError {
    /// What is wrong, lower case, no full stop.
    pub message: String,
    /// What to do about it.
    pub hint: Option<String>,
}

impl fmt::Display for WriteError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for WriteError {}

/// What was in a folder before its papers were replaced, and is still there.
#[derive(Debug, Default)]
pub struct Stayed {
    /// Names of drawings of somebody else, or of an earlier plan under other names, that lie beside the new ones.
    pub drawings: Vec<String>,
    /// Paths of what could be neither put beside the new papers nor removed.
    pub aside: Vec<PathBuf>,
}

impl Stayed {
    /// Notes where something is, unless it could be dealt with.
    fn unless(&mut self, done: io::Result<()>, path: PathBuf) {
        if done.is_err() {
            self.aside.push(path);
        }
    }
}

/// A name for papers that can be written to, as far as that can be known before.
pub struct Folder<'d> {
    disk: &'d dyn Disk,
    path: PathBuf,
    parent: PathBuf,
    force: bool,
}

impl<'d> Folder<'d> {
    /// Looks at the name before the long run: whether it is free (or may be replaced) and whether a folder can be
    /// made beside it. Leaves nothing behind.
    ///
    /// # Errors
    /// A name that is taken, no name for a folder, or in a place that is missing or cannot be written to.
    pub fn reserve(disk: &'d dyn Disk, path: &Path, force: bool) -> Result<Self, WriteError> {
        let name = path.file_name();
        if name.is_none() {
            return Err(refused(
                format!("expected the name of a folder to make, but found {}", shown(path)),
                None,
            ));
        }
        let parent = match path.parent() {
            Some(parent) if parent.as_os_str().is_empty() => PathBuf::from("."),
            Some(parent) => parent.to_path_buf(),
            None => PathBuf::from("."),
        };
        match disk.look(&parent) {
            Ok(Lies::Nothing) => {
                let hint = "make it first, or choose another place".to_string();
                return Err(refused(format!("there is no folder {}", shown(&parent)), Some(hint)));
            }
            Ok(_) => {}
            Err(error) => return Err(failed("cannot look at", &parent, &error)),
        }
        let folder = Self { disk, path: path.to_path_buf(), parent, force };
        folder.may_replace()?;
        let probe = folder.make_beside()?;
        disk.remove_folder(&probe).map_err(|error| failed("cannot write in", &folder.parent, &error))?;
        Ok(folder)
    }

    /// Writes all files (name, content) or none. A name may have one folder in front: `diagrams/a.svg`. Files are
    /// asked for one after the other and may be made as they are needed, so that they need not all be in memory. Tells what
    /// was there and stays.
    ///
    /// # Errors
    /// Whatever the disk says; then the wanted name is as it was before.
    pub fn write<F>(self, files: F) -> Result<Stayed, WriteError>
    where
        F: IntoIterator<Item = (String, Vec<u8>)>,
        F::IntoIter: Send,
    {
        self.may_replace()?;
        let new = self.make_beside()?;
        let written = self.fill(&new, files.into_iter()).and_then(|()| self.swap(&new));
        if written.is_err() {
            self.discard(&new);
        }
        written
    }

    /// Whether nothing, or nothing but an earlier plan, has the name.
    fn may_replace(&self) -> Result<(), WriteError> {
        let found =
            self.disk.look(&self.path).map_err(|error| failed("cannot look at", &self.path, &error))?;
        let name = shown(&self.path);
        match found {
            Lies::Nothing => Ok(()),
            Lies::File => Err(refused(format!("expected the name of a folder, but {name} is a file"), None)),
            Lies::Link => Err(refused(format!("expected the name of a folder, but {name} is a link"), None)),
            Lies::Folder => {
                let names = self
                    .disk
                    .list(&self.path)
                    .map_err(|error| failed("cannot look into", &self.path, &error))?;
                if names.is_empty() {
                    return Ok(());
                }
                if !names.iter().any(|name| name == "plan.json") {
                    let hint = "choose another name, or empty it".to_string();
                    return Err(refused(
                        format!("the folder {name} holds other things and no plan"),
                        Some(hint),
                    ));
                }
                if !self.force {
                    let hint = "--force replaces the plan in it; another name keeps it".to_string();
                    return Err(refused(format!("the folder {name} is there already"), Some(hint)));
                }
                Ok(())
            }
        }
    }

    /// A new folder beside the wanted one, under a name that nobody else has.
    fn make_beside(&self) -> Result<PathBuf, WriteError> {
        self.free_name(|path| self.disk.make_folder(path))
    }

    /// Tries names beside the wanted one until `take` does not find them taken.
    fn free_name(&self, take: impl Fn(&Path) -> io::Result<()>) -> Result<PathBuf, WriteError> {
        let id = std::process::id();
        for attempt in 0..1000 {
            let path = self.parent.join(format!(".nest-{id}-{attempt}"));
            match take(&path) {
                Ok(()) => return Ok(path),
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
                Err(error) => return Err(failed("cannot write in", &self.parent, &error)),
            }
        }
        Err(refused(format!("no free name in {}", shown(&self.parent)), None))
    }

    /// Writes into the new folder. Waiting for the disk takes most of the time, and a disk that is asked for several
    /// files at once takes hardly longer than for one: a thousand drawings would take seconds otherwise.
    fn fill(
        &self,
        new: &Path,
        files: impl Iterator<Item = (String, Vec<u8>)> + Send,
    ) -> Result<(), WriteError> {
        let fail = |error: io::Error| failed("cannot write", &self.path, &error);
        let queue = Mutex::new((files, Vec::<PathBuf>::new()));
        let next = || -> Option<io::Result<(PathBuf, Vec<u8>)>> {
            let mut queue = queue.lock().ok()?;
            let (files, folders) = &mut *queue;
            let (name, bytes) = files.next()?;
            let path = new.join(name);
            if let Some(folder) = path.parent().filter(|folder| *folder != new)
                && folders.iter().all(|known| known != folder)
            {
                if let Err(error) = self.disk.make_folder(folder) {
                    return Some(Err(error));
                }
                folders.push(folder.to_path_buf());
            }
            Some(Ok((path, bytes)))
        };
        let broken = AtomicBool::new(false);
        let work = || -> io::Result<()> {
            while !broken.load(Ordering::Relaxed)
                && let Some(file) = next()
            {
                let written = file.and_then(|(path, bytes)| self.disk.write(&path, &bytes));
                if written.is_err() {
                    broken.store(true, Ordering::Relaxed);
                    return written;
                }
            }
            Ok(())
        };
        std::thread::scope(|scope| {
            let workers: Vec<_> = (0..WRITERS).map(|_| scope.spawn(work)).collect();
            let ended = |worker: std::thread::ScopedJoinHandle<'_, io::Result<()>>| {
                worker.join().unwrap_or_else(|_| Err(io::Error::other("a writer fell over")))
            };
            workers.into_iter().map(ended).fold(Ok(()), Result::and)
        })
        .map_err(fail)?;
        let folders = queue.into_inner().map(|(_, folders)| folders).unwrap_or_default();
        for folder in &folders {
            self.disk.sync_folder(folder).map_err(fail)?;
        }
        self.disk.sync_folder(new).map_err(fail)
    }

    /// Gives the new folder the wanted name. Tells what was there and stays.
    fn swap(&self, new: &Path) -> Result<Stayed, WriteError> {
        let mut stayed = Stayed::default();
        let fail = |error: io::Error| failed("cannot write", &self.path, &error);
        let there = self.disk.look(&self.path).map_err(fail)?;
        if there != Lies::Folder {
            self.disk.rename(new, &self.path).map_err(fail)?;
        } else if self.disk.list(&self.path).map_err(fail)?.is_empty() {
            // Not every system lets a folder replace an empty one.
            self.disk.remove_folder(&self.path).map_err(fail)?;
            self.disk.rename(new, &self.path).map_err(fail)?;
        } else {
            // An empty folder holds the name, so that nobody else takes it in between.
            let aside = self.make_beside()?;
            let old = aside.join("old");
            if let Err(error) = self.disk.rename(&self.path, &old) {
                let _ = self.disk.remove_folder(&aside);
                return Err(fail(error));
            }
            if let Err(error) = self.disk.rename(new, &self.path) {
                if self.disk.rename(&old, &self.path).is_ok() {
                    let _ = self.disk.remove_folder(&aside);
                    return Err(fail(error));
                }
                let text = format!(
                    "cannot write {}: {}; what was there is now in {}",
                    shown(&self.path),
                    plain(&error),
                    shown(&old)
                );
                return Err(refused(text, None));
            }
            stayed = self.carry_over(&old, &self.path);
            let _ = self.disk.remove_folder(&aside);
        }
        // The folder is there whole; only a loss of power in this moment could still undo its name.
        let _ = self.disk.sync_folder(&self.parent);
        Ok(stayed)
    }

    /// Moves what is not ours from the old folder to the new one, and removes the rest. What cannot be moved stays
    /// where it is: nothing of somebody else is ever removed.
    fn carry_over(&self, old: &Path, new: &Path) -> Stayed {
        let mut stayed = Stayed::default();
        // Without it no drawing is known to be of that plan, and all are kept.
        let plan = self.disk.read(&old.join("plan.json")).unwrap_or_default();
        let earlier = Drawings::of(&plan);
        let Ok(names) = self.disk.list(old) else {
            stayed.aside.push(old.to_path_buf());
            return stayed;
        };
        for name in names {
            let (from, to) = (old.join(&name), new.join(&name));
            let lies = self.disk.look(&from).unwrap_or(Lies::File);
            if name == DIAGRAMS && lies == Lies::Folder {
                self.carry_drawings(&from, &to, &earlier, &mut stayed);
            } else if OURS.iter().any(|ours| name == *ours) && lies != Lies::Folder {
                stayed.unless(self.disk.remove_file(&from), from);
            } else {
                stayed.unless(self.put_back(&from, &to), from);
            }
        }
        let _ = self.disk.remove_folder(old);
        stayed
    }

    fn carry_drawings(&self, old: &Path, new: &Path, earlier: &Drawings, stayed: &mut Stayed) {
        let Ok(names) = self.disk.list(old) else {
            stayed.aside.push(old.to_path_buf());
            return;
        };
        let mut here = Stayed::default();
        for name in names {
            let (from, to) = (old.join(&name), new.join(&name));
            let is_file = matches!(self.disk.look(&from), Ok(Lies::File | Lies::Link));
            if is_file && earlier.hold(&name) {
                here.unless(self.disk.remove_file(&from), from);
                continue;
            }
            if matches!(self.disk.look(new), Ok(Lies::Nothing)) {
                let _ = self.disk.make_folder(new);
            }
            let drawing = from.extension().is_some_and(|end| end.eq_ignore_ascii_case("svg"));
            let put = self.put_back(&from, &to);
            if put.is_ok() && drawing {
                here.drawings.push(name.to_string_lossy().into_owned());
            }
            here.unless(put, from);
        }
        let _ = self.disk.remove_folder(old);
        // Of an earlier plan that cannot be read there may be thousands.
        match &*here.aside {
            [] | [_] => stayed.aside.append(&mut here.aside),
            _ => stayed.aside.push(old.to_path_buf()),
        }
        here.drawings.sort();
        stayed.drawings = here.drawings;
    }

    /// Moves what is not ours to where it was, if nothing of ours has that name now.
    fn put_back(&self, from: &Path, to: &Path) -> io::Result<()> {
        match self.disk.look(to)? {
            Lies::Nothing => self.disk.rename(from, to),
            _ => Err(io::Error::from(io::ErrorKind::AlreadyExists)),
        }
    }

    /// Removes what was written so far, as far as the disk lets us.
    fn discard(&self, new: &Path) {
        for name in self.disk.list(new).unwrap_or_default() {
            let path = new.join(name);
            if matches!(self.disk.look(&path), Ok(Lies::Folder)) {
                for name in self.disk.list(&path).unwrap_or_default() {
                    let _ = self.disk.remove_file(&path.join(name));
                }
                let _ = self.disk.remove_folder(&path);
            } else {
                let _ = self.disk.remove_file(&path);
            }
        }
        let _ = self.disk.remove_folder(new);
    }
}

fn shown(path: &Path) -> String {
    format!("`{}`", clean(&path.to_string_lossy()))
}

fn refused(message: String, hint: Option<String>) -> WriteError {
    WriteError { message, hint }
}

fn failed(what: &str, path: &Path, error: &io::Error) -> WriteError {
    let hint = match error.kind() {
        io::ErrorKind::PermissionDenied => Some("choose a place that you may write to".to_string()),
        io::ErrorKind::StorageFull => Some("make room on the disk; nothing was written".to_string()),
        _ => None,
    };
    refused(format!("{what} {}: {}", shown(path), plain(error)), hint)
}
