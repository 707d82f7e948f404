//! Every call to the disk fails once: afterwards the old papers or the new ones are there, whole.

use super::disk::{Disk, Lies, RealDisk};
use super::files::Folder;
use std::ffi::OsString;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// A disk whose n-th call fails; with `dead` all later ones fail too.
pub(crate) struct Faulty {
    pub calls: AtomicUsize,
    pub fails: usize,
    pub dead: bool,
    /// The folder that it did not remove: nobody can do more than ask for that.
    pub stuck: Mutex<Option<PathBuf>>,
}

impl Faulty {
    fn call(&self) -> io::Result<()> {
        let call = self.calls.fetch_add(1, Ordering::Relaxed);
        let fails = if self.dead { call >= self.fails } else { call == self.fails };
        if fails { Err(io::Error::from(io::ErrorKind::StorageFull)) } else { Ok(()) }
    }
}

impl Disk for Faulty {
    fn look(&self, path: &Path) -> io::Result<Lies> {
        self.call().and_then(|()| RealDisk.look(path))
    }
    fn list(&self, folder: &Path) -> io::Result<Vec<OsString>> {
        self.call().and_then(|()| RealDisk.list(folder))
    }
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.call().and_then(|()| RealDisk.read(path))
    }
    fn make_folder(&self, path: &Path) -> io::Result<()> {
        self.call().and_then(|()| RealDisk.make_folder(path))
    }
    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        // A full disk leaves a short file behind.
        if self.call().is_err() {
            RealDisk.write(path, &bytes[..bytes.len() / 2])?;
            return Err(io::Error::from(io::ErrorKind::StorageFull));
        }
        RealDisk.write(path, bytes)
    }
    fn sync_folder(&self, path: &Path) -> io::Result<()> {
        self.call().and_then(|()| RealDisk.sync_folder(path))
    }
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.call().and_then(|()| RealDisk.rename(from, to))
    }
    fn remove_file(&self, path: &Path) -> io::Result<()> {
        self.call().and_then(|()| RealDisk.remove_file(path))
    }
    fn remove_folder(&self, path: &Path) -> io::Result<()> {
        self.call().inspect_err(|_| *self.stuck.lock().unwrap() = Some(path.to_path_buf()))?;
        RealDisk.remove_folder(path)
    }
}

fn papers(version: &str) -> Vec<(String, Vec<u8>)> {
    let plan = format!(r#"{{"version": "{version}", "groups": [{{"material": "oak"}}], "layouts": [1, 2]}}"#);
    let others = ["buy.csv", "diagrams/layout-1-oak.svg", "diagrams/layout-2-oak.svg"]
        .map(|name| (name.to_string(), format!("{version} {name}").into_bytes()));
    [("plan.json".to_string(), plan.into_bytes())].into_iter().chain(others).collect()
}

/// What a folder holds, where files have their content.
const FOLDER: &str = "a folder";

/// Everything below a folder: files with their content, and folders by name, so that an empty one is seen as well.
fn tree(root: &Path) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut todo = vec![root.to_path_buf()];
    while let Some(folder) = todo.pop() {
        for name in RealDisk.list(&folder).unwrap() {
            let path = folder.join(name);
            let name = path.strip_prefix(root).unwrap().to_str().unwrap().replace('\\', "/");
            if path.is_dir() {
                found.push((name, FOLDER.into()));
                todo.push(path);
            } else {
                found.push((name, std::fs::read_to_string(&path).unwrap()));
            }
        }
    }
    found.sort();
    found
}

fn expected(version: &str, foreign: bool) -> Vec<(String, String)> {
    let mut all: Vec<(String, String)> = papers(version)
        .into_iter()
        .map(|(name, bytes)| (format!("out/{name}"), String::from_utf8(bytes).unwrap()))
        .chain(["out", "out/diagrams"].map(|name| (name.into(), FOLDER.into())))
        .collect();
    if foreign {
        all.push(("out/notes.txt".into(), "mine".into()));
        all.push(("out/diagrams/sketch.png".into(), "mine".into()));
    }
    all.sort();
    all
}

/// Writes papers, and tells what was put aside for them.
fn write(disk: &dyn Disk, root: &Path, version: &str) -> Result<Vec<PathBuf>, String> {
    let folder = Folder::reserve(disk, &root.join("out"), true).map_err(|e| e.to_string())?;
    folder.write(papers(version)).map(|stayed| stayed.aside).map_err(|e| e.to_string())
}

/// Lets the n-th call fail, for all n until nothing fails any more.
fn each_call(dead: bool, replace: bool) {
    for fails in 0.. {
        assert!(fails < 200, "the disk is asked without end");
        let dir = tempfile::tempdir().unwrap();
        let root = dir.path();
        if replace {
            write(&RealDisk, root, "old").unwrap();
            std::fs::write(root.join("out/notes.txt"), "mine").unwrap();
            std::fs::write(root.join("out/diagrams/sketch.png"), "mine").unwrap();
        }
        let before = tree(root);
        let disk = Faulty { calls: AtomicUsize::new(0), fails, dead, stuck: Mutex::default() };
        let result = write(&disk, root, "new");
        let done = disk.calls.into_inner() <= fails;
        let after = tree(root);
        let visible: Vec<_> = after.iter().filter(|(name, _)| !name.starts_with('.')).cloned().collect();
        let ours = |files: &[(String, String)]| -> Vec<(String, String)> {
            files.iter().filter(|(_, text)| text != "mine").cloned().collect()
        };
        let new = expected("new", false);
        match &result {
            Ok(aside) => {
                assert_eq!(ours(&visible), new, "call {fails}");
                let hidden = after.iter().filter(|(name, text)| name.starts_with('.') && text == "mine");
                for (name, _) in hidden {
                    let told = aside.iter().any(|path| root.join(name).starts_with(path));
                    assert!(told, "call {fails} hid {name} without a word");
                }
            }
            // With a dead disk the old folder may be left under the name that the error tells.
            Err(error) if dead && error.contains("what was there is now in") => assert_eq!(visible, []),
            Err(_) => assert_eq!(visible, before, "call {fails}"),
        }
        let mine = |files: &[(String, String)]| files.iter().filter(|(_, text)| text == "mine").count();
        assert_eq!(mine(&after), mine(&before), "something of somebody else was lost at call {fails}");
        if !dead && result.is_err() {
            let stuck = disk.stuck.into_inner().unwrap();
            let left = |name: &str| name.starts_with('.') && stuck.as_ref() != Some(&root.join(name));
            let hidden: Vec<_> = after.iter().filter(|(name, _)| left(name)).collect();
            assert!(hidden.is_empty(), "call {fails} left {hidden:?}");
        }
        if done {
            assert_eq!(result, Ok(vec![]));
            assert_eq!(after, expected("new", replace));
            return;
        }
    }
}

#[test]
fn a_failing_call_leaves_nothing_or_the_whole() {
    each_call(false, false);
    each_call(true, false);
}

#[test]
fn a_failing_call_leaves_the_old_folder_or_the_new_one() {
    each_call(false, true);
    each_call(true, true);
}

#[test]
fn what_is_in_the_way_is_refused_before_the_long_run() {
    let dir = tempfile::tempdir().unwrap();
    let root = dir.path();
    let refusal = |name: &str, force| match Folder::reserve(&RealDisk, &root.join(name), force) {
        Ok(_) => panic!("{name} was taken"),
        Err(error) => error.message.replace(root.to_str().unwrap(), "ROOT"),
    };
    std::fs::write(root.join("file"), "").unwrap();
    assert_eq!(refusal("file", true), "expected the name of a folder, but `ROOT/file` is a file");
    assert_eq!(refusal("none/out", false), "there is no folder `ROOT/none`");
    assert!(refusal("file/out", false).starts_with("cannot "), "a file is no place for a folder");
    assert!(refusal("..", false).starts_with("expected the name of a folder to make"));
    std::fs::create_dir(root.join("full")).unwrap();
    std::fs::write(root.join("full/letter.txt"), "").unwrap();
    for force in [false, true] {
        assert_eq!(refusal("full", force), "the folder `ROOT/full` holds other things and no plan");
    }
    std::fs::create_dir(root.join("empty")).unwrap();
    assert!(Folder::reserve(&RealDisk, &root.join("empty"), false).is_ok(), "an empty folder is free");
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(root.join("full"), root.join("link")).unwrap();
        assert_eq!(refusal("link", true), "expected the name of a folder, but `ROOT/link` is a link");
    }
    assert_eq!(
        RealDisk.list(root).unwrap().iter().filter(|n| n.to_str().unwrap().starts_with('.')).count(),
        0
    );
}

#[test]
fn a_drawing_that_the_old_plan_did_not_have_is_kept_and_its_place_told() {
    let dir = tempfile::tempdir().unwrap();
    let root = dir.path();
    write(&RealDisk, root, "old").unwrap();
    let plan = r#"{"groups": [{"material": "oak"}], "layouts": [1]}"#;
    std::fs::write(root.join("out/plan.json"), plan).unwrap();
    std::fs::write(root.join("out/diagrams/layout-2-oak.svg"), "mine").unwrap();
    let aside = write(&RealDisk, root, "new").unwrap();
    let [kept] = &*aside else { panic!("{aside:?}") };
    assert!(kept.ends_with("diagrams/layout-2-oak.svg"), "{kept:?}");
    assert_eq!(std::fs::read_to_string(kept).unwrap(), "mine");
    let visible: Vec<_> = tree(root).into_iter().filter(|(name, _)| !name.starts_with('.')).collect();
    assert_eq!(visible, expected("new", false));
}

/// Reading a pipe that nobody writes to would never end.
#[cfg(unix)]
#[test]
fn a_pipe_is_no_earlier_plan() {
    let dir = tempfile::tempdir().unwrap();
    let plan = dir.path().join("out/plan.json");
    std::fs::create_dir(dir.path().join("out")).unwrap();
    assert!(std::process::Command::new("mkfifo").arg(&plan).status().unwrap().success());
    assert_eq!(write(&RealDisk, dir.path(), "new"), Ok(vec![]));
    assert_eq!(tree(dir.path()), expected("new", false));
}

#[test]
fn an_empty_folder_is_filled() {
    let dir = tempfile::tempdir().unwrap();
    std::fs::create_dir(dir.path().join("out")).unwrap();
    write(&RealDisk, dir.path(), "new").unwrap();
    assert_eq!(tree(dir.path()), expected("new", false));
}
