//! What is a job called whose list does not say? As the file of the list; where several files are called the same, as the
//! folders that tell them apart.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Component, Path, PathBuf};

use nest_core::model::fold;

/// The jobs of several lists, in their order: no two are the same where folders tell lists apart.
pub fn jobs(lists: &[&Path]) -> Vec<String> {
    let stems: Vec<String> = lists.iter().map(|path| stem(path)).collect();
    let mut count = BTreeMap::new();
    stems.iter().for_each(|stem| *count.entry(fold(stem)).or_insert(0) += 1);
    let repeated: Vec<bool> = stems.iter().map(|stem| count.get(&fold(stem)) > Some(&1)).collect();
    let mut folders: Vec<Vec<String>> = lists.iter().map(|path| folders(path)).collect();
    // What is above all of them tells none apart.
    let shared =
        shared(folders.iter().zip(&repeated).filter_map(|(above, repeated)| repeated.then_some(above)));
    folders.iter_mut().for_each(|above| above.truncate(above.len().saturating_sub(shared).max(1)));
    let deepest = folders.iter().map(Vec::len).max().unwrap_or(0);
    // One folder if that does, then several, then the name of the file as well.
    let ways = [Way::Folder, Way::Folders, Way::Whole].into_iter();
    let mut ways = ways.flat_map(|way| (0..deepest).map(move |depth| (way, depth)));
    let named = |(way, depth): (Way, usize)| -> Option<Vec<String>> {
        let lists = stems.iter().zip(&folders).zip(&repeated);
        let names = lists.map(|((stem, folders), repeated)| match repeated {
            true => way.name(stem, folders, depth),
            false => Some(stem.clone()),
        });
        names.collect::<Option<Vec<_>>>().filter(|names| differ(names))
    };
    let told_apart = if differ(&stems) { None } else { ways.find_map(named) };
    told_apart.unwrap_or(stems)
}

/// What a list is called by.
#[derive(Clone, Copy)]
enum Way {
    /// The folder so many above it.
    Folder,
    /// All folders up to that one.
    Folders,
    /// These and its own name.
    Whole,
}

impl Way {
    fn name(self, stem: &str, folders: &[String], depth: usize) -> Option<String> {
        // A list with few folders above it is called by all of them.
        let below = folders.iter().take(depth + 1).rev().map(String::as_str);
        match self {
            Self::Folder => folders.get(depth).cloned(),
            Self::Folders => (!folders.is_empty()).then(|| below.collect::<Vec<_>>().join("/")),
            Self::Whole => Some(below.chain([stem]).collect::<Vec<_>>().join("/")),
        }
    }
}

/// How many folders, from the root on, all of some lists share.
fn shared<'f>(mut lists: impl Iterator<Item = &'f Vec<String>>) -> usize {
    let Some(first) = lists.next() else { return 0 };
    let alike =
        |other: &Vec<String>| first.iter().rev().zip(other.iter().rev()).take_while(|(a, b)| a == b).count();
    lists.map(alike).min().unwrap_or(0)
}

fn differ(names: &[String]) -> bool {
    names.iter().map(|name| fold(name)).collect::<BTreeSet<_>>().len() == names.len()
}

/// The name of a file without its folder and ending.
fn stem(path: &Path) -> String {
    match path.file_stem() {
        _ if path == Path::new("-") => "standard input".into(),
        Some(stem) => stem.to_string_lossy().into_owned(),
        None => String::new(),
    }
}

/// The names of the folders above a file, the nearest first. A `..` takes back the folder before it.
fn folders(path: &Path) -> Vec<String> {
    let path = std::path::absolute(path).unwrap_or_else(|_| PathBuf::from(path));
    let mut names = Vec::new();
    for component in path.parent().into_iter().flat_map(Path::components) {
        match component {
            Component::Normal(name) => names.push(name.to_string_lossy().into_owned()),
            Component::ParentDir => {
                names.pop();
            }
            Component::Prefix(_) | Component::RootDir | Component::CurDir => {}
        }
    }
    names.reverse();
    names
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named<const N: usize>(lists: [&str; N]) -> Vec<String> {
        jobs(&lists.map(Path::new))
    }

    #[test]
    fn lists_are_called_as_their_files() {
        assert_eq!(named(["kitchen.csv", "a/hall.csv", "-"]), ["kitchen", "hall", "standard input"]);
    }

    #[test]
    fn files_of_one_name_are_called_as_the_folders_that_tell_them_apart() {
        assert_eq!(named(["kitchen/parts.csv", "bath/parts.csv", "hall.csv"]), ["kitchen", "bath", "hall"]);
        assert_eq!(named(["kitchen/lists/parts.csv", "bath/lists/Parts.csv"]), ["kitchen", "bath"]);
        assert_eq!(named(["/a/x/p.csv", "/a/y/p.csv", "/b/x/p.csv"]), ["a/x", "a/y", "b/x"]);
        assert_eq!(named(["a/p.csv", "a/b/p.csv", "c/b/p.csv"]), ["a", "a/b", "c/b"]);
        assert_eq!(
            named(["kitchen/parts.csv", "bath/parts.csv", "bath/doors.csv", "kitchen/doors.csv"]),
            ["kitchen/parts", "bath/parts", "bath/doors", "kitchen/doors"]
        );
        assert_eq!(
            named(["kitchen/parts.csv", "bath/parts.csv", "kitchen.csv"]),
            ["kitchen/parts", "bath/parts", "kitchen"]
        );
    }

    #[test]
    fn a_list_in_the_folder_where_one_stands_has_that_folder() {
        let here = std::env::current_dir().unwrap();
        let here = here.file_name().unwrap().to_string_lossy().into_owned();
        assert_eq!(named(["parts.csv", "bath/parts.csv"]), [&*here, "bath"]);
    }

    #[test]
    fn a_folder_that_a_path_leaves_again_names_no_list() {
        let here = std::env::current_dir().unwrap();
        let folders: Vec<_> = here.iter().rev().map(|name| name.to_string_lossy().into_owned()).collect();
        let [here, above, ..] = &*folders else { panic!("{folders:?}") };
        assert_eq!(named(["../parts.csv", "bath/parts.csv"]), [&**above, "bath"]);
        assert_eq!(named(["parts.csv", "../parts.csv"]), [&**here, above]);
        assert_eq!(named(["bath/../parts.csv", "bath/parts.csv"]), [&**here, "bath"]);
        assert_eq!(named(["/../a/p.csv", "/x/../../b/./p.csv"]), ["a", "b"]);
    }

    #[test]
    fn what_nothing_tells_apart_keeps_its_name() {
        assert_eq!(named(["a/parts.csv", "a/parts.csv"]), ["parts", "parts"]);
        assert_eq!(named(["a/parts.csv", "a/parts.tsv"]), ["parts", "parts"]);
        assert_eq!(named(["/parts.csv", "/a/parts.csv"]), ["parts", "a/parts"]);
    }
}
