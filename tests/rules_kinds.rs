//! What differs by kind of engine: links of several strengths, each on its own
//! kind, and what is said of them.

use sootsayer::engine::Engine;
use sootsayer::job::file::EngineFile;
use sootsayer::job::layout;
use sootsayer::rules::file::Dimensions;
use sootsayer::rules::{Kind, Rules, folder, load_files};
use sootsayer::show::{rule_json, rule_page};
use sootsayer::unroll::Tailored;
use std::collections::BTreeSet;

/// The built-in rules with a user's file over them, which has no fault.
fn over(text: &str) -> Rules {
    let mine = [("mine.yaml".to_string(), text.as_bytes().to_vec())];
    let loaded = load_files(folder::built_in(), mine);
    let problems = loaded.all_problems();
    let own: Vec<String> = (problems.iter())
        .filter(|p| p.at.as_ref().is_some_and(|at| at.file == "mine.yaml"))
        .map(ToString::to_string)
        .collect();
    assert!(own.is_empty(), "{}", own.join("\n"));
    loaded.rules
}

/// The engine of a family as it mostly is.
fn engine(rules: &Rules, family: &str) -> Engine {
    let it = &rules.families[family];
    Engine {
        name: "test".into(),
        family: family.into(),
        traits: rules.family_traits(it),
        banks: Engine::deal(it.cylinders, it.banks),
        dimensions: Dimensions::default(),
    }
}

/// How often a cause alone shows a finding on a family's engine, if it can.
fn strength(rules: &Rules, family: &str, cause: &str, finding: &str) -> Option<f64> {
    let kinds = Tailored::of(rules, &engine(rules, family), &BTreeSet::new());
    let shown = kinds.findings.iter().find(|kind| kind.id == finding)?;
    let link = |(at, _): &&(usize, _)| kinds.causes[*at].id == cause;
    shown
        .links
        .iter()
        .find(link)
        .map(|(_, spread)| spread.chance.p)
}

const SEVERAL: &str = "causes:
  - cause: rings-stuck
    shows:
      no-start:
        - {chance: 0.11, on: [aircraft], basis: practice}
        - {chance: 0.22, on: [diesel], not_on: [aircraft, turbocharged], basis: judgement}
";

#[test]
fn the_link_that_holds_for_the_engine_is_used() {
    let rules = over(SEVERAL);
    for (family, strong) in [
        ("aircraft-opposed", Some(0.11)),
        ("utility-diesel-single", Some(0.22)),
        ("utility-single", None),
    ] {
        let found = strength(&rules, family, "rings-stuck", "no-start");
        assert_eq!(found, strong, "{family}");
    }
}

#[test]
fn the_page_says_which_link_holds_on_which_engines() {
    let rules = over(SEVERAL);
    let page = |kind, id| {
        let text = rule_page::page(&rules, &rules.entry(kind, id).unwrap(), 200);
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    for text in [
        page(Kind::Cause, "rings-stuck"),
        page(Kind::Finding, "no-start"),
    ] {
        let words = text.replace('\u{a0}', " ");
        assert!(words.contains("(only aircraft)"), "{words}");
        let other = "(only diesel; never aircraft or turbocharged)";
        assert!(words.contains(other), "{words}");
    }
    let json = rule_json::entry(&rules, &rules.entry(Kind::Cause, "rings-stuck").unwrap());
    let links = &json["entry"]["shows"]["no-start"];
    assert_eq!(links[1]["not_on"][1], "turbocharged", "{links}");
    assert_eq!(links[0]["chance"], 0.11, "{links}");
}

#[test]
fn more_common_can_leave_engines_out() {
    let prior = |rules: &Rules, family| {
        let kinds = Tailored::of(rules, &engine(rules, family), &BTreeSet::new());
        let kind = kinds
            .causes
            .into_iter()
            .find(|kind| kind.id == "rings-stuck");
        kind.unwrap().prior.p
    };
    let rules = |times| {
        over(&format!(
            "causes:
  - cause: rings-stuck
    more_common: [{{not_on: [diesel], times: {times}, basis: judgement}}]
"
        ))
    };
    let (one, three) = (rules(1), rules(3));
    let diesel = "utility-diesel-single";
    assert_eq!(prior(&one, diesel), prior(&three, diesel));
    assert!(prior(&three, "utility-single") > 2.0 * prior(&one, "utility-single"));
}

#[test]
fn the_number_of_cylinders_gives_a_trait() {
    let rules = over(
        "causes:
  - cause: rings-stuck
    shows:
      no-start:
        - {chance: 0.11, on: [one-cylinder], basis: practice}
        - {chance: 0.22, not_on: [one-cylinder], basis: practice}
",
    );
    let strong = |family| strength(&rules, family, "rings-stuck", "no-start");
    assert_eq!(strong("utility-single"), Some(0.11));
    assert_eq!(strong("motorcycle-air-cooled"), Some(0.11));
    assert_eq!(strong("utility-vee-twin"), Some(0.22));
    // one cylinder is not compared with the others
    let compared = |family| {
        let kinds = Tailored::of(&rules, &engine(&rules, family), &BTreeSet::new());
        (kinds.findings.iter()).any(|kind| kind.id == "cylinder-balance-weak")
    };
    assert!(!compared("utility-single") && compared("utility-vee-twin"));
    // the job's own number counts, not the family's usual one
    let job = |cylinders, with: &[&str]| EngineFile {
        name: "test".into(),
        family: "industrial-petrol".into(),
        with: with.iter().map(|w| w.to_string()).collect(),
        without: vec![],
        cylinders,
        banks: String::new(),
        dimensions: Dimensions::default(),
    };
    let of = |cylinders| layout::engine(&rules, &job(cylinders, &[])).unwrap().traits;
    assert!(of(1).contains("one-cylinder"));
    assert!(!of(2).contains("one-cylinder"));
    let wrong = layout::engine(&rules, &job(2, &["one-cylinder"])).unwrap_err();
    let said: Vec<String> = layout::problems(wrong)
        .iter()
        .map(|p| p.to_string())
        .collect();
    assert!(
        said[0].contains("`one-cylinder` follows from the number of cylinders"),
        "{said:?}"
    );
}
