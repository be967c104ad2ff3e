//! Loading: every file alone, a user's folder over the built-in rules, folders
//! and files that cannot be read.

use pretty_assertions::assert_eq;
use sootsayer::problem::{Problem, Problems, Severity};
use sootsayer::rules::file::Chance;
use sootsayer::rules::{Loaded, folder, load, load_files, load_whole};
use std::collections::BTreeSet;
use std::fs;
use tempfile::TempDir;

fn bytes(text: &str) -> Vec<u8> {
    text.as_bytes().to_vec()
}

fn over(text: &str) -> Loaded {
    load_files(folder::built_in(), [("mine.yaml".to_string(), bytes(text))])
}

/// What is wrong with a user's files, whatever the built-in ones hold.
fn of_user(problems: &Problems) -> Vec<String> {
    let own = |p: &&Problem| {
        !p.at
            .as_ref()
            .is_some_and(|at| at.file.starts_with("rules/"))
    };
    problems
        .iter()
        .filter(own)
        .map(Problem::to_string)
        .collect()
}

fn whats(problems: &Problems) -> Vec<String> {
    problems.iter().map(|p| p.to_string()).collect()
}

#[test]
fn every_file_loads_alone() {
    let files = folder::built_in();
    assert!(files.len() >= 20);
    for (name, bytes) in files {
        let loaded = load_files([(name.clone(), bytes)], []);
        assert_eq!(whats(&loaded.problems), Vec::<String>::new(), "{name}");
        assert_eq!(loaded.rules.systems.len(), 1, "{name}");
    }
}

#[test]
fn a_users_folder_changes_single_values() {
    let (plain, _) = load(None);
    let before = &plain.findings["leak-down"];
    let loaded = over(
        "findings:
  - finding: leak-down
    sound: {chance: 0.07}
    words: [leaks]
words: {often: 0.61}
",
    );
    assert_eq!(of_user(&loaded.problems), Vec::<String>::new());
    let after = &loaded.rules.findings["leak-down"];
    // the one value, a whole list, and nothing else
    assert_eq!(after.sound.chance, Chance::Number(0.07));
    assert_eq!(after.sound.grades, before.sound.grades);
    assert_eq!(after.words, ["leaks"]);
    assert_eq!(after.ask, before.ask);
    assert_eq!(after.system, before.system);
    assert_eq!(loaded.rules.words["often"], 0.61);
    assert_eq!(loaded.rules.words["usually"], plain.words["usually"]);
    // and it is told what it changes, and where
    assert_eq!(after.overrides.as_ref(), Some(&before.at));
    assert_eq!(after.at.to_string(), "mine.yaml:2:14");
    let touched = |id: &&String| *id != "leak-down";
    let others: Vec<_> = plain.findings.keys().filter(touched).collect();
    for id in others {
        assert_eq!(loaded.rules.findings[id], plain.findings[id]);
    }
}

#[test]
fn a_users_folder_adds_entries_in_any_subfolder() {
    let dir = TempDir::new().unwrap();
    let deep = dir.path().join("a/b");
    fs::create_dir_all(&deep).unwrap();
    fs::write(
        deep.join("whatever.yml"),
        "\u{FEFF}parts:\r\n  - {part: brass-plug, title: Brass plug}\r\n",
    )
    .unwrap();
    fs::write(dir.path().join("notes.txt"), "not: [rules").unwrap();
    let loaded = load_whole(Some(dir.path()));
    assert_eq!(of_user(&loaded.problems), Vec::<String>::new());
    let part = &loaded.rules.parts["brass-plug"];
    assert_eq!((part.system.as_str(), part.at.line), ("own", 2));
    assert!(part.at.file.ends_with("whatever.yml"));
    assert_eq!(part.overrides, None);
}

#[test]
fn an_entry_with_a_fault_is_not_used() {
    let dir = TempDir::new().unwrap();
    fs::write(
        dir.path().join("mine.yaml"),
        "findings:\n  - finding: leak-down\n    sound: {chance: [x]}\n",
    )
    .unwrap();
    let (rules, problems) = load(Some(dir.path()));
    let errors = problems.iter().filter(|p| p.severity == Severity::Error);
    assert!(errors.count() > 0);
    assert!(!rules.findings.contains_key("leak-down"));
    assert!(rules.findings.contains_key("air-at-breather"));
}

#[test]
fn other_encodings_are_named() {
    let utf16: Vec<u8> = [0xFF, 0xFE]
        .into_iter()
        .chain("parts:".encode_utf16().flat_map(u16::to_le_bytes))
        .collect();
    let latin1 = b"parts:\n  - {part: cap, title: Cap \xB0C}\n".to_vec();
    let zero = b"parts:\n  - {part: cap, title: Ca\0p}\n".to_vec();
    for (bytes, what, at) in [
        (utf16, "the file is UTF-16, not UTF-8", "f.yaml:1:1"),
        (
            latin1,
            "the file is not UTF-8: byte 0xB0 stands here",
            "f.yaml:2:28",
        ),
        (
            zero,
            "the control character U+0000 stands here",
            "f.yaml:2:26",
        ),
    ] {
        let loaded = load_files([], [("f.yaml".to_string(), bytes)]);
        let first = &loaded.problems[0];
        assert_eq!(first.what, what);
        assert_eq!(first.at.as_ref().unwrap().to_string(), at);
        assert_eq!(first.hint.as_deref(), Some("save the file as UTF-8"));
    }
}

#[test]
fn a_folder_that_is_not_there_or_holds_nothing_is_told() {
    let dir = TempDir::new().unwrap();
    let missing = dir.path().join("missing");
    let (rules, problems) = load(Some(&missing));
    assert!(problems[0].what.starts_with("the folder cannot be read"));
    assert_eq!(
        problems[0].at.as_ref().unwrap().file,
        missing.display().to_string()
    );
    assert!(
        rules.findings.contains_key("leak-down"),
        "the rest is read all the same"
    );
    assert!(folder::unusable(&missing).is_some());
    let (_, problems) = load(Some(dir.path()));
    assert!(
        problems
            .iter()
            .any(|p| p.what == "the folder holds no rule files")
    );
}

#[test]
fn an_engine_is_met_by_any_word_within_an_axis_and_all_across() {
    let (rules, _) = load(None);
    let set = |words: &[&str]| words.iter().map(|w| w.to_string()).collect::<BTreeSet<_>>();
    let list = |words: &[&str]| words.iter().map(|w| w.to_string()).collect::<Vec<_>>();
    let boat = set(&["four-stroke", "petrol", "raw-water", "supercharged"]);
    for (on, not_on, meets) in [
        (&[][..], &[][..], true),
        (&["four-stroke", "two-stroke"], &[], true),
        (&["four-stroke", "diesel"], &[], false),
        (&["sea-water", "boosted"], &[], true),
        (&["spark"], &["raw-water"], false),
        (&["air-cooled"], &[], false),
        (&[], &["boosted"], false),
        (&["no-such-word"], &[], false),
    ] {
        let met = rules.applies(&boat, &list(on), &list(not_on));
        assert_eq!(met, meets, "{on:?} {not_on:?}");
    }
    let all = rules.with_groups(&boat);
    for group in ["spark", "sea-water", "water-jacketed", "boosted"] {
        assert!(all.contains(group), "{group}");
    }
    assert!(!all.contains("marine"));
}

#[test]
fn chances_are_words_numbers_or_percentages() {
    let (rules, _) = load(None);
    let word = |text: &str| rules.known_chance(&Chance::Word(text.into()));
    assert_eq!(word("35%"), Some(0.35));
    assert_eq!(word("often"), Some(0.60));
    assert_eq!(word("101%"), None);
    assert_eq!(word("oftentimes"), None);
    assert_eq!(rules.known_chance(&Chance::Number(f64::NAN)), None);
}

#[test]
fn a_users_folder_takes_entries_and_keys_away() {
    let (plain, _) = load(None);
    assert!(plain.causes["breather-blocked"].danger.is_some());
    assert!(plain.causes["rings-stuck"].shows.contains_key("leak-down"));
    let loaded = over(
        "causes:
  - {cause: breather-blocked, danger: null}
  - cause: rings-stuck
    shows: {leak-down: null}
equipment:
  - {equipment: borescope, remove: true}
",
    );
    assert_eq!(of_user(&loaded.problems), Vec::<String>::new());
    let rules = &loaded.rules;
    assert_eq!(rules.causes["breather-blocked"].danger, None);
    let mut shows = plain.causes["rings-stuck"].shows.clone();
    shows.remove("leak-down");
    assert_eq!(rules.causes["rings-stuck"].shows, shows);
    assert!(!rules.equipment.contains_key("borescope"));
    let said: Vec<(&str, Option<&str>, String)> = (rules.removed.iter())
        .map(|r| (r.id.as_str(), r.key.as_deref(), r.at.to_string()))
        .collect();
    let wanted = [
        ("breather-blocked", Some("danger"), "mine.yaml:2:31"),
        ("rings-stuck", Some("shows.leak-down"), "mine.yaml:4:13"),
        ("borescope", None, "mine.yaml:6:17"),
    ];
    assert_eq!(said, wanted.map(|(id, key, at)| (id, key, at.to_string())));
    assert_eq!(rules.removed[2].under, plain.equipment["borescope"].at);
    // what still names it is told, and where it went
    let problems = loaded.all_problems();
    let hanging = |p: &&Problem| p.what == "no equipment is called `borescope`";
    let hanging = problems.iter().find(hanging).expect("a test names it");
    let hint = hanging.hint.as_deref().unwrap_or("");
    assert!(hint.contains("removed at mine.yaml:6:17"), "{hint}");
}

#[test]
fn a_change_leaves_an_entry_in_its_system() {
    let change = |system: &str| {
        let text = format!(
            "{system}causes:\n  - {{cause: rings-stuck, base_rate: {{per_1000: 30}}}}\nparts: []\n"
        );
        over(&text)
    };
    for system in [
        "",
        "system: compression-rings\n",
        "system: our-shop\ntitle: Our shop\n",
    ] {
        let loaded = change(system);
        assert_eq!(of_user(&loaded.problems), Vec::<String>::new(), "{system}");
        let cause = &loaded.rules.causes["rings-stuck"];
        assert_eq!(cause.system, "compression-rings");
        assert_eq!(cause.base_rate.per_1000, 30.0);
    }
    let said = of_user(&change("system: cooling\n").problems);
    assert_eq!(said.len(), 1, "{said:?}");
    let what = "mine.yaml:3:13: the cause `rings-stuck` is of `compression-rings`, this file says `cooling`";
    assert!(said[0].contains(what), "{said:?}");
    assert!(
        said[0].contains("rules/causes/compression-rings.yaml:"),
        "{said:?}"
    );
}
