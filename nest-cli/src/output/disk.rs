//! The few things that are asked of a file system, so that tests can let each of them fail. Nothing else in the program
//! writes files.

use std::ffi::OsString;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Read, Write};
use std::path::Path;

use crate::input::json::MOST_BYTES;

/// What lies at a path; links are not followed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lies {
    /// Nothing.
    Nothing,
    /// A folder.
    Folder,
    /// A file, or anything else that is no folder and no link.
    File,
    /// A symbolic link.
    Link,
}

/// A file system, used from several threads.
pub trait Disk: Sync {
    /// What lies at a path.
    ///
    /// # Errors
    /// Those of the system, except that nothing is there.
    fn look(&self, path: &Path) -> io::Result<Lies>;
    /// Names in a folder.
    ///
    /// # Errors
    /// Those of the system.
    fn list(&self, folder: &Path) -> io::Result<Vec<OsString>>;
    /// What a file holds; links are not followed.
    ///
    /// # Errors
    /// Those of the system; what is no file and could be waited for without end; more than a plan.json may hold.
    fn read(&self, path: &Path) -> io::Result<Vec<u8>>;
    /// Makes a folder that is not there yet.
    ///
    /// # Errors
    /// Those of the system; `AlreadyExists` where anything is there.
    fn make_folder(&self, path: &Path) -> io::Result<()>;
    /// Makes a file that is not there yet, writes it and waits until it is on the disk.
    ///
    /// # Errors
    /// Those of the system.
    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()>;
    /// Waits until the names in a folder are on the disk.
    ///
    /// # Errors
    /// Those of the system.
    fn sync_folder(&self, path: &Path) -> io::Result<()>;
    /// Gives a file or folder another name on the same file system.
    ///
    /// # Errors
    /// Those of the system.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;
    /// Removes a file or a link.
    ///
    /// # Errors
    /// Those of the system.
    fn remove_file(&self, path: &Path) -> io::Result<()>;
    /// Removes an empty folder.
    ///
    /// # Errors
    /// Those of the system.
    fn remove_folder(&self, path: &Path) -> io::Result<()>;
}

/// The file system of the machine.
#[derive(Clone, Copy, Debug, Default)]
pub struct RealDisk;

impl Disk for RealDisk {
    fn look(&self, path: &Path) -> io::Result<Lies> {
        match fs::symlink_metadata(path) {
            Ok(found) if found.is_symlink() => Ok(Lies::Link),
            Ok(found) if found.is_dir() => Ok(Lies::Folder),
            Ok(_) => Ok(Lies::File),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(Lies::Nothing),
            Err(error) => Err(error),
        }
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<OsString>> {
        let mut names: Vec<OsString> =
            fs::read_dir(folder)?.map(|e| Ok(e?.file_name())).collect::<io::Result<_>>()?;
        names.sort();
        Ok(names)
    }

    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        if !fs::symlink_metadata(path)?.is_file() {
            return Err(io::Error::from(io::ErrorKind::InvalidInput));
        }
        let mut bytes = Vec::new();
        File::open(path)?.take(MOST_BYTES as u64 + 1).read_to_end(&mut bytes)?;
        if bytes.len() > MOST_BYTES { Err(io::Error::from(io::ErrorKind::FileTooLarge)) } else { Ok(bytes) }
    }

    fn make_folder(&self, path: &Path) -> io::Result<()> {
        fs::create_dir(path)
    }

    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        let mut file = OpenOptions::new().write(true).create_new(true).open(path)?;
        file.write_all(bytes)?;
        file.sync_all()
    }

    fn sync_folder(&self, path: &Path) -> io::Result<()> {
        // Only Unix lets a folder be opened and synced; elsewhere the rename has to do.
        if cfg!(unix) { File::open(path)?.sync_all() } else { Ok(()) }
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    fn remove_file(&self, path: &Path) -> io::Result<()> {
        fs::remove_file(path)
    }

    fn remove_folder(&self, path: &Path) -> io::Result<()> {
        fs::remove_dir(path)
    }
}
