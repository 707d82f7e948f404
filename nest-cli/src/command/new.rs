//! `nest new DIR`: sample files to start from. Planning them works at once.

use std::fs;
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};

use super::{Exit, print};
use crate::args::NewArgs;
use crate::clean::clean;
use crate::diagnose::{Failure, plain, print_failure};
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
    if let Err(failure) = write(&args.folder) {
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

/// All files, or none.
fn write(folder: &Path) -> Result<(), Failure> {
    let shown = folder.display();
    let made = !folder.exists();
    fs::create_dir_all(folder).map_err(|error| match error.kind() {
        ErrorKind::AlreadyExists => Failure::new(format!("{shown} is a file, but a folder was expected")),
        _ => Failure::new(format!("the folder {shown} cannot be made: {}", plain(&error))),
    })?;
    let empty = fs::read_dir(folder)
        .map_err(|error| Failure::new(format!("the folder {shown} cannot be read: {}", plain(&error))))?
        .next()
        .is_none();
    if !empty {
        return Err(Failure::new(format!("the folder {shown} is not empty"))
            .hint("name a new folder; nothing was written"));
    }
    let mut written: Vec<PathBuf> = Vec::new();
    for (name, text) in SAMPLES {
        let path = folder.join(name);
        let result = fs::File::create_new(&path).and_then(|mut file| {
            written.push(path.clone());
            file.write_all(text.as_bytes())?;
            file.sync_all()
        });
        if let Err(error) = result {
            // Half of the samples is worse than none.
            for path in written {
                let _ = fs::remove_file(path);
            }
            if made {
                let _ = fs::remove_dir(folder);
            }
            return Err(Failure::new(format!("{} cannot be written: {}", path.display(), plain(&error))));
        }
    }
    Ok(())
}

/// A path as a shell reads it.
fn quoted(path: &Path) -> String {
    let text = clean(&path.display().to_string());
    let plain = text.chars().all(|c| c.is_alphanumeric() || "/\\._-:~".contains(c));
    if plain { text } else { format!("'{}'", text.replace('\'', "'\\''")) }
}
