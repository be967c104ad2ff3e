//! Broken rules: every fault of every file is told, with its place and a way out.
//!
//! Each folder of `tests/broken/` is laid over the sound rules in `base/`; what
//! is said stands in `expected.txt` beside it. Set `UPDATE_EXPECTED` to write
//! the files anew, and read what changed.

use pretty_assertions::assert_eq;
use sootsayer::graph;
use sootsayer::rules::{folder, load_files};
use std::fs;
use std::path::Path;

/// The files of a folder, by their name within `tests/broken/`.
fn files(folder: &str) -> Vec<(String, Vec<u8>)> {
    let root = Path::new("tests/broken");
    let (files, problems) = folder::on_disk(&root.join(folder));
    assert_eq!(problems, []);
    let short = |name: String| name.replace('\\', "/").replace("tests/broken/", "");
    files
        .into_iter()
        .map(|(name, bytes)| (short(name), bytes))
        .collect()
}

/// What is said of a folder laid over the sound rules.
fn said(folder: &str) -> (String, usize) {
    let loaded = load_files(files("base"), files(folder));
    let problems = graph::all_problems(&loaded);
    let text = problems.iter().map(|p| format!("{p}\n\n")).collect();
    (text, problems.len())
}

#[test]
fn the_base_is_sound() {
    let loaded = load_files(files("base"), []);
    assert_eq!(graph::all_problems(&loaded), []);
}

#[test]
fn every_folder_is_told_as_expected() {
    let mut folders: Vec<String> = fs::read_dir("tests/broken")
        .unwrap()
        .map(|item| item.unwrap().file_name().into_string().unwrap())
        .filter(|name| name != "base")
        .collect();
    folders.sort();
    assert!(folders.len() >= 9, "{folders:?}");
    for folder in folders {
        let (text, _) = said(&folder);
        let expected = Path::new("tests/broken").join(&folder).join("expected.txt");
        if std::env::var_os("UPDATE_EXPECTED").is_some() {
            fs::write(&expected, &text).unwrap();
        }
        let expected = fs::read_to_string(&expected).unwrap_or_default();
        assert_eq!(expected, text, "in tests/broken/{folder}");
    }
}

#[test]
fn all_ten_faults_of_one_folder_are_told() {
    let (text, number) = said("ten-faults");
    assert!(number >= 10, "{text}");
    for what in [
        "a base rate of 1500 per thousand is out of range",
        "no finding is called `leakdown`",
        "`oftn` is no chance word",
        "`colour` is no key that belongs here",
        "`leak-down` has no grade `gone`",
        "`times` is -3",
        "a test without a caution",
        "`yields` is given twice",
        "the title does not begin with a capital letter",
        "no source is called `handbok`",
        "the YAML cannot be read here",
    ] {
        assert!(text.contains(what), "{what} is not told in:\n{text}");
    }
}
