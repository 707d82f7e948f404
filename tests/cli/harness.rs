//! Runs the program as a user does, in a folder of its own, and compares everything it says, exactly unless told
//! otherwise.
//!
//! ```ignore
//! Nest::new().file("parts.csv", PARTS).args(["plan", "parts.csv"]).stderr("error: ...\n").exit(2);
//! ```

use std::ffi::OsStr;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use tempfile::TempDir;

/// One run of the program, being set up.
pub struct Nest {
    folder: TempDir,
    args: Vec<String>,
    stdin: Option<Vec<u8>>,
    stdout: Expected,
    stderr: Expected,
    env: Vec<(&'static str, &'static str)>,
}

/// What a stream should say.
enum Expected {
    Exactly(String),
    Containing(Vec<String>),
    Anything,
}

/// What a run left behind.
pub struct Ran {
    folder: TempDir,
    /// Standard output.
    pub stdout: String,
    /// Standard error.
    pub stderr: String,
}

impl Nest {
    /// A run without arguments that says nothing.
    pub fn new() -> Self {
        Self {
            folder: TempDir::new().unwrap(),
            args: Vec::new(),
            stdin: None,
            stdout: Expected::Exactly(String::new()),
            stderr: Expected::Exactly(String::new()),
            env: Vec::new(),
        }
    }

    /// Puts a file into the folder.
    pub fn file(self, name: &str, content: impl AsRef<[u8]>) -> Self {
        let path = self.folder.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, content).unwrap();
        self
    }

    /// Puts a file of so many zeros into the folder, which takes no room.
    pub fn hole(self, name: &str, bytes: u64) -> Self {
        fs::File::create(self.folder.path().join(name)).unwrap().set_len(bytes).unwrap();
        self
    }

    /// Puts a folder into the folder.
    pub fn folder(self, name: &str) -> Self {
        fs::create_dir_all(self.folder.path().join(name)).unwrap();
        self
    }

    /// Adds arguments, separated by spaces.
    pub fn args(mut self, args: &str) -> Self {
        self.args.extend(args.split(' ').filter(|arg| !arg.is_empty()).map(String::from));
        self
    }

    /// Adds one argument as it stands.
    pub fn arg(mut self, arg: &str) -> Self {
        self.args.push(arg.into());
        self
    }

    /// Sets a variable of the environment.
    pub fn env(mut self, name: &'static str, value: &'static str) -> Self {
        self.env.push((name, value));
        self
    }

    /// What the program reads from standard input.
    pub fn stdin(mut self, text: impl AsRef<[u8]>) -> Self {
        self.stdin = Some(text.as_ref().to_vec());
        self
    }

    /// What it must say on standard output.
    pub fn stdout(mut self, text: &str) -> Self {
        self.stdout = Expected::Exactly(text.into());
        self
    }

    /// What it must say on standard error.
    pub fn stderr(mut self, text: &str) -> Self {
        self.stderr = Expected::Exactly(text.into());
        self
    }

    /// Something that standard output must hold; several calls add up.
    pub fn says(mut self, text: &str) -> Self {
        self.stdout = self.stdout.and(text);
        self
    }

    /// Something that standard error must hold; several calls add up.
    pub fn complains(mut self, text: &str) -> Self {
        self.stderr = self.stderr.and(text);
        self
    }

    /// Whatever standard output says is fine.
    pub fn any_stdout(mut self) -> Self {
        self.stdout = Expected::Anything;
        self
    }

    /// Whatever standard error says is fine.
    pub fn any_stderr(mut self) -> Self {
        self.stderr = Expected::Anything;
        self
    }

    /// Runs the program and compares.
    pub fn exit(self, code: i32) -> Ran {
        let mut command = Command::new(env!("CARGO_BIN_EXE_nest"));
        for name in ["NO_COLOR", "CLICOLOR_FORCE", "FORCE_COLOR", "TERM", "COLUMNS"] {
            command.env_remove(name);
        }
        command.envs(self.env.iter().copied()).args(&self.args).current_dir(self.folder.path());
        command.stdin(if self.stdin.is_some() { Stdio::piped() } else { Stdio::null() });
        let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        if let (Some(text), Some(mut pipe)) = (&self.stdin, child.stdin.take()) {
            // A program that refuses early does not read all of it.
            let _ = pipe.write_all(text);
        }
        let output = child.wait_with_output().unwrap();
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
        let (stdout, stderr) = (text(output.stdout), text(output.stderr));
        let whole = format!("nest {}\n-- stdout\n{stdout}-- stderr\n{stderr}", self.args.join(" "));
        assert_eq!(output.status.code(), Some(code), "exit code of {whole}");
        self.stdout.compare("stdout", &stdout, &whole);
        self.stderr.compare("stderr", &stderr, &whole);
        Ran { folder: self.folder, stdout, stderr }
    }
}

impl Expected {
    fn and(self, text: &str) -> Self {
        let mut all = match self {
            Self::Containing(all) => all,
            Self::Exactly(_) | Self::Anything => Vec::new(),
        };
        all.push(text.into());
        Self::Containing(all)
    }

    fn compare(&self, what: &str, found: &str, whole: &str) {
        match self {
            Self::Anything => {}
            Self::Exactly(expected) => assert_eq!(found, expected, "{what} of {whole}"),
            Self::Containing(all) => {
                for text in all {
                    assert!(found.contains(text), "{what} lacks {text:?}: {whole}");
                }
            }
        }
    }
}

impl Ran {
    /// A file that the run left.
    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// The text of a file that the run left.
    pub fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap()
    }

    /// Names in the folder, sorted.
    pub fn names(&self) -> Vec<String> {
        names(self.folder.path())
    }

    /// Another run in the same folder.
    pub fn then(self) -> Nest {
        Nest { folder: self.folder, ..Nest::new() }
    }
}

/// Tells that a test looks at nothing for want of a tool, or fails where NEST_TOOLS names that tool as one that is there:
/// cargo hides what a test says.
pub fn skipped(tool: &str, why: &str) {
    let there = std::env::var("NEST_TOOLS").unwrap_or_default();
    assert!(!there.split(' ').any(|name| name == tool), "{why}, but NEST_TOOLS names {tool}");
    println!("skipped: {why}");
}

/// Names in a folder, sorted.
pub fn names(folder: &Path) -> Vec<String> {
    let name = |entry: std::io::Result<fs::DirEntry>| {
        OsStr::to_string_lossy(&entry.unwrap().file_name()).into_owned()
    };
    let mut names: Vec<String> = fs::read_dir(folder).unwrap().map(name).collect();
    names.sort();
    names
}
