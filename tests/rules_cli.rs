//! `rules` on the command line: exit status, pages and JSON.

use serde_json::Value;
use sootsayer::rules::{Kind, load};
use sootsayer::show::rule_page;
use std::process::{Command, Output};

fn rules(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_sootsayer"))
        .args(args)
        .env("COLUMNS", "80")
        .output()
        .expect("the program runs")
}

fn text(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("UTF-8")
}

fn told(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("UTF-8")
}

fn json(args: &[&str]) -> Value {
    let output = rules(args);
    serde_json::from_str(&text(&output)).unwrap_or_else(|e| panic!("{args:?}: {e}"))
}

#[test]
fn the_built_in_rules_have_no_error() {
    let output = rules(&["rules", "check"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output));
    let check = json(&["rules", "check", "--json"]);
    assert_eq!(check["errors"], 0);
    // no source uncited, no finding that cannot be seen: `rules check` is quiet
    assert_eq!(check["warnings"], 0, "{}", text(&output));
    // every cause that an engine of a family can have shows in some test on it
    for family in check["families"].as_array().expect("families") {
        assert_eq!(family["blind"], serde_json::json!([]), "{}", family["id"]);
        // and none explains everything: at most a quarter of what it can show
        let shown = family["broadest"]["findings"].as_u64().expect("findings");
        let all = family["findings"].as_u64().expect("findings");
        assert!(4 * shown <= all, "{}: {}", family["id"], family["broadest"]);
    }
}

#[test]
fn ten_faults_are_all_told_and_fail_the_check() {
    let output = rules(&["--rules", "tests/broken/ten-faults", "rules", "check"]);
    assert_eq!(output.status.code(), Some(1));
    let said = text(&output);
    for what in [
        "tests/broken/ten-faults/causes.yaml:6:27: a base rate of 1500 per thousand",
        "tests/broken/ten-faults/causes.yaml:8:7: no finding is called `leakdown`",
        "= did you mean `leak-down` (rules/findings/pressure.yaml:",
        "tests/broken/ten-faults/sub/tests.yaml:14:13: no source is called `handbok`",
    ] {
        assert!(said.contains(what), "{what} is not in:\n{said}");
    }
    let count = said.lines().filter(|l| l.starts_with("error: ")).count();
    assert!(count >= 10, "{said}");
    assert!(said.trim_end().ends_with("warnings") || said.contains(&format!("{count} errors")));
}

#[test]
fn what_a_folder_changes_is_named() {
    let dir = tempfile::TempDir::new().expect("a folder");
    let file = dir.path().join("mine.yaml");
    std::fs::write(
        &file,
        "causes:\n  - {cause: rings-stuck, base_rate: {per_1000: 30}}\n",
    )
    .expect("written");
    let folder = dir.path().display().to_string();
    let output = rules(&["--rules", &folder, "rules", "check"]);
    let said = text(&output);
    assert_eq!(output.status.code(), Some(0), "{said}");
    let changed = format!(
        "cause rings-stuck ({}:2:13) over rules/causes/",
        file.display()
    );
    assert!(said.contains(&changed), "{said}");
    let page = text(&rules(&[
        "--rules",
        &folder,
        "rules",
        "show",
        "rings-stuck",
    ]));
    assert!(page.contains("30 of 1000 cylinders"), "{page}");
}

#[test]
fn what_a_folder_takes_away_is_named() {
    let dir = tempfile::TempDir::new().expect("a folder");
    let file = dir.path().join("mine.yaml");
    let own = "causes:\n  - {cause: breather-blocked, danger: null}\n";
    std::fs::write(&file, own).expect("written");
    let folder = dir.path().display().to_string();
    let said =
        |words: &[&str]| self::text(&rules(&[&["--rules", &folder, "rules"], words].concat()));
    let page = said(&["check"]);
    let line = format!(
        "danger of cause breather-blocked ({}:2:31), was rules/causes/breathing.yaml:",
        file.display()
    );
    assert!(page.contains("Taken away by your rules"), "{page}");
    assert!(page.contains(&line), "{page}");
    let page = said(&["show", "breather-blocked"]);
    assert!(page.contains("without `danger`"), "{page}");
    let (plain, _) = load(None);
    assert!(plain.causes["breather-blocked"].danger.is_some());
    let whole = self::text(&rules(&["rules", "show", "breather-blocked"]));
    assert!(whole.contains("Danger"), "{whole}");
    assert!(!page.contains("Danger"), "{page}");
    let check: Value = serde_json::from_str(&said(&["check", "--json"])).expect("JSON");
    assert_eq!(check["removed"][0]["id"], "breather-blocked");
    assert_eq!(check["removed"][0]["key"], "danger");
}

#[test]
fn an_unusable_folder_ends_with_status_2() {
    for word in [
        &["rules", "check"][..],
        &["rules", "list"],
        &["rules", "show", "leak-down"],
    ] {
        let output = rules(&[&["--rules", "no/such/folder"], word].concat());
        assert_eq!(output.status.code(), Some(2), "{word:?}");
        assert!(
            told(&output).contains("no/such/folder"),
            "{}",
            told(&output)
        );
    }
}

#[test]
fn broken_rules_are_not_listed_from() {
    let output = rules(&[
        "--rules",
        "tests/broken/ten-faults",
        "rules",
        "list",
        "causes",
    ]);
    assert_eq!(output.status.code(), Some(2));
    assert!(told(&output).contains("is out of range"));
}

#[test]
fn lists_search_and_count() {
    let all = json(&["rules", "list", "causes", "--json"]);
    assert!(all.as_array().expect("a list").len() >= 100);
    let found = text(&rules(&[
        "rules",
        "list",
        "findings",
        "--search",
        "Blue smoke",
        "idle",
    ]));
    assert!(found.contains("blue-smoke-at-idle"), "{found}");
    assert!(!found.contains("leak-down"), "{found}");
    let kinds = text(&rules(&["rules", "list"]));
    for kind in ["causes", "findings", "tests", "axes", "chance words"] {
        assert!(kinds.contains(kind), "{kinds}");
    }
    let words = text(&rules(&["rules", "list", "words"]));
    assert!(words.contains("always"), "{words}");
    let wrong = rules(&["rules", "list", "casues"]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(told(&wrong).contains("did you mean `causes`?"));
}

#[test]
fn every_entry_has_a_page_within_80_columns() {
    let (rules, _) = load(None);
    let entries: Vec<_> = Kind::ALL
        .into_iter()
        .flat_map(|kind| rules.entries(kind))
        .collect();
    assert!(entries.len() > 700);
    for entry in &entries {
        let page = rule_page::page(&rules, entry, 80);
        let page = anstream::adapter::strip_str(&page).to_string();
        assert!(page.contains("Written in rules/"), "{page}");
        for line in page.lines() {
            // an address is not broken
            let fits = line.chars().count() <= 80 || line.contains("://");
            assert!(fits, "{} {}: {line}", entry.kind, entry.id);
        }
    }
    assert!(!text(&self::rules(&["rules", "show", "leak-down"])).contains('\u{1b}'));
}

#[test]
fn a_page_is_found_by_id_trait_or_words() {
    let cause = text(&rules(&["rules", "show", "rings-stuck"]));
    for head in [
        "How common",
        "Brought on by",
        "Shows",
        "Told apart from",
        "Looked for",
        "Mended by",
    ] {
        assert!(cause.contains(head), "{head} is not in:\n{cause}");
    }
    let sheet = text(&rules(&["rules", "show", "leak-down-test"]));
    let cautions = sheet.find("Cautions").expect("cautions");
    assert!(
        cautions < sheet.find("Steps").expect("steps"),
        "cautions come before the steps"
    );
    assert!(text(&rules(&["rules", "show", "two-stroke"])).contains("Working cycle"));
    assert!(text(&rules(&["rules", "show", "blue", "smoke"])).contains("Blue smoke when idling"));
    let wrong = rules(&["rules", "show", "rings-stck"]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(
        told(&wrong).contains("did you mean `rings-stuck`?"),
        "{}",
        told(&wrong)
    );
    let value = json(&["rules", "show", "rings-stuck", "--json"]);
    assert_eq!(value[0]["entry"]["scope"], "cylinder");
    assert!(
        value[0]["mended_by"]
            .as_array()
            .is_some_and(|m| !m.is_empty())
    );
}
