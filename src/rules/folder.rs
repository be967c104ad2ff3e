//! Where rule files come from: the binary, or a folder on disk.

use crate::disk;
use crate::problem::{Problem, Problems, Spot};
use include_dir::{Dir, include_dir};
use std::fs;
use std::path::Path;

static BUILT_IN: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/rules");

/// How deep subfolders may lie: also stops at links that lead round in a circle.
const DEEPEST: usize = 8;

/// The files of the binary, by name, as `rules/...`.
pub fn built_in() -> Vec<(String, Vec<u8>)> {
    let mut files = Vec::new();
    let mut folders = vec![&BUILT_IN];
    while let Some(folder) = folders.pop() {
        folders.extend(folder.dirs());
        for file in folder.files().filter(|f| is_rules(f.path())) {
            let name = format!("rules/{}", file.path().to_string_lossy().replace('\\', "/"));
            files.push((name, file.contents().to_vec()));
        }
    }
    files.sort();
    files
}

/// The rule files of a folder and its subfolders, by name.
pub fn on_disk(path: &Path) -> (Vec<(String, Vec<u8>)>, Problems) {
    let mut files = Vec::new();
    let mut problems = Vec::new();
    gather(path, 0, &mut files, &mut problems);
    files.sort();
    if files.is_empty() && problems.is_empty() {
        let hint = "rule files end in `.yaml` or `.yml`";
        problems.push(at(path, "the folder holds no rule files").hint(hint));
    }
    (files, problems)
}

/// Why a folder cannot be used as a rules folder, if so.
pub fn unusable(path: &Path) -> Option<Problem> {
    match fs::read_dir(path) {
        Ok(_) => None,
        Err(error) => Some(at(path, cannot("folder", &error))),
    }
}

fn is_rules(path: &Path) -> bool {
    path.extension().is_some_and(|e| e == "yaml" || e == "yml")
}

fn at(path: &Path, what: impl Into<String>) -> Problem {
    Problem::new(what).at(Spot {
        file: path.display().to_string(),
        ..Spot::default()
    })
}

fn cannot(thing: &str, error: &std::io::Error) -> String {
    format!("the {thing} cannot be read: {}", disk::plain(error))
}

fn gather(path: &Path, depth: usize, files: &mut Vec<(String, Vec<u8>)>, problems: &mut Problems) {
    let items = match fs::read_dir(path) {
        Ok(items) => items,
        Err(error) => {
            problems.push(at(path, cannot("folder", &error)));
            return;
        }
    };
    if depth > DEEPEST {
        problems.push(at(path, "folders lie too deep here"));
        return;
    }
    for item in items.flatten() {
        let path = item.path();
        if path.is_dir() {
            gather(&path, depth + 1, files, problems);
        } else if is_rules(&path) {
            match disk::read(&path, disk::MOST_TEXT) {
                Ok(bytes) => files.push((path.display().to_string(), bytes)),
                Err(error) => problems.push(at(&path, cannot("file", &error))),
            }
        }
    }
}
