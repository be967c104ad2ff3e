//! The direction of flow holds: every `use crate::` in `src/` goes down, never up.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// Folder (or file) of `src/` and what it may use.
const ALLOWED: &[(&str, &[&str])] = &[
    ("visible", &[]),
    ("problem", &["visible"]),
    ("disk", &["problem"]),
    ("words", &[]),
    ("answer", &["network", "problem", "visible"]),
    ("network", &[]),
    ("money", &["words"]),
    ("measure", &["problem", "words"]),
    // the build script: reads the rules as YAML, nothing else
    ("pack", &[]),
    ("rules", &["disk", "measure", "problem", "words"]),
    ("engine", &["rules", "problem", "words"]),
    ("graph", &["rules", "problem", "words"]),
    ("gauge", &["measure", "engine", "rules", "problem", "words"]),
    (
        "bench",
        &["gauge", "measure", "engine", "rules", "problem", "words"],
    ),
    (
        "unroll",
        &["engine", "rules", "network", "graph", "problem"],
    ),
    ("plug", &["engine", "rules", "problem", "words"]),
    (
        "job",
        &[
            "bench", "unroll", "gauge", "plug", "measure", "engine", "rules", "money", "disk",
            "problem", "visible", "words",
        ],
    ),
    (
        "diagnose",
        &[
            "job", "unroll", "network", "engine", "rules", "problem", "words",
        ],
    ),
    (
        "teardown",
        &[
            "bench", "diagnose", "job", "unroll", "network", "engine", "rules", "problem", "words",
        ],
    ),
    (
        "history",
        &[
            "diagnose", "job", "gauge", "unroll", "network", "engine", "rules", "problem", "words",
        ],
    ),
    (
        "decide",
        &[
            "diagnose", "job", "unroll", "network", "engine", "rules", "money", "problem", "words",
        ],
    ),
];

/// Modules that may use everything below them.
const TOP: &[&str] = &["show", "session", "shell", "cli", "lib", "main"];

#[test]
fn nothing_uses_what_lies_above_it() {
    let allowed: BTreeMap<&str, &[&str]> = ALLOWED.iter().copied().collect();
    let mut wrong = Vec::new();
    let mut seen = 0;
    visit(Path::new("src"), &mut |path, text| {
        let own = path.strip_prefix("src").unwrap_or(path);
        let own = own
            .iter()
            .next()
            .and_then(|p| p.to_str())
            .unwrap_or_default();
        let own = own.trim_end_matches(".rs");
        if TOP.contains(&own) {
            return;
        }
        let Some(may) = allowed.get(own) else {
            wrong.push(format!(
                "{}: no row in the table of allowed uses",
                path.display()
            ));
            return;
        };
        seen += 1;
        for line in text.lines().map(str::trim).filter(|l| !l.starts_with("//")) {
            for used in line.split("crate::").skip(1) {
                let used: String = used
                    .chars()
                    .take_while(|c| c.is_alphanumeric() || *c == '_')
                    .collect();
                if used != own && !used.is_empty() && !may.contains(&used.as_str()) {
                    wrong.push(format!("{}: uses crate::{used}", path.display()));
                }
            }
        }
    });
    assert!(seen > 10, "only {seen} files read");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn show_does_not_use_the_doors() {
    visit(Path::new("src/show"), &mut |path, text| {
        for door in ["crate::cli", "crate::shell"] {
            assert!(!text.contains(door), "{} uses {door}", path.display());
        }
    });
}

fn visit(folder: &Path, each: &mut dyn FnMut(&Path, &str)) {
    let mut paths: Vec<_> = fs::read_dir(folder)
        .expect("src is there")
        .map(|entry| entry.expect("a readable folder").path())
        .collect();
    paths.sort();
    for path in paths {
        if path.is_dir() {
            visit(&path, each);
        } else if path.extension().is_some_and(|e| e == "rs") {
            each(&path, &fs::read_to_string(&path).expect("a readable file"));
        }
    }
}
