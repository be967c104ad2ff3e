//! The shop's closed jobs: calibration on data drawn from the model, a drift
//! that was put in and found, and files that cannot be read.

mod common;
#[path = "common/drawn.rs"]
mod drawn;

use common::Shop;
use sootsayer::gauge::shop::Workbench;
use sootsayer::history::case::{Case, Forecast, case};
use sootsayer::history::score::{EDGES, bins, misfit};
use sootsayer::history::{documents, taught};
use sootsayer::rules::{self, Rules};
use std::fs;
use std::path::Path;

/// The cause that the shop of the demo meets so many times as often as the rules say.
const DRIFTED: &str = "air-filter-clogged";
const TIMES: f64 = 4.0;
const JOBS: usize = 200;
const SEED: u64 = 2025;
const DEMO: &str = "demo/history/drawn-jobs.yaml";

const HEAD: &str =
    "# 200 invented closed jobs, drawn at random (seed 2025) from the program's own network over
# six kinds of small engine: causes from their base rates, readings from the causes, and the
# causes drawn written down as what it turned out to be. No engine, shop or owner is real.
# In this shop clogged air filters were made four times as common as the rules say, so that
# the proposal has something to find. `cargo test --test history` draws it anew when
# UPDATE_EXPECTED is set.
";

/// The text of the demo: the rules with the drift, drawn.
fn demo_text() -> String {
    let (mut rules, _) = rules::load(None);
    let rate = &mut rules.causes.get_mut(DRIFTED).unwrap().it.base_rate.per_1000;
    *rate *= TIMES;
    format!("{HEAD}{}", drawn::jobs(&rules, JOBS, SEED))
}

fn cases(rules: &Rules, folder: &Path) -> Vec<Case> {
    let (jobs, problems) = documents(folder).unwrap();
    assert_eq!(problems, []);
    use rayon::prelude::*;
    let cases: Vec<Case> = (jobs.par_iter())
        .map(|d| case(rules, &Workbench::default(), &d.name, &d.job).unwrap())
        .collect();
    cases
}

/// Misfit of so many bins that chance alone exceeds once in a thousand
/// (chi-squared, Wilson and Hilferty's approximation).
fn once_in_a_thousand(bins: f64) -> f64 {
    let c = 2.0 / (9.0 * bins);
    bins * (1.0 - c + 3.0902 * c.sqrt()).powi(3)
}

/// Drawn from the model itself the probabilities must come true within chance,
/// and the same outcomes must convict probabilities that are pushed outward.
#[test]
fn drawn_from_the_model_the_reliability_is_flat() {
    let (rules, _) = rules::load(None);
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("jobs.yaml"), drawn::jobs(&rules, 100, 7)).unwrap();
    let cases = cases(&rules, folder.path());
    let forecasts: Vec<Forecast> = cases
        .iter()
        .flat_map(|c| c.forecasts.values().copied())
        .collect();
    let table = bins(&forecasts, &EDGES);
    let most = once_in_a_thousand(table.len() as f64);
    let flat = misfit(&table).0;
    println!("misfit {flat:.1}, at most {most:.1}; {table:#?}");
    assert!(flat < most, "{flat} over {most}: {table:#?}");
    let odds = |p: f64, power: f64| {
        let o = (p / (1.0 - p).max(1e-9)).powf(power);
        o / (1.0 + o)
    };
    for power in [0.7, 1.5] {
        let pushed: Vec<Forecast> = (forecasts.iter())
            .map(|f| Forecast {
                p: odds(f.p, power),
                ..*f
            })
            .collect();
        assert!(misfit(&bins(&pushed, &EDGES)).0 > most, "pushed by {power}");
    }
}

/// Set `UPDATE_EXPECTED` to draw the demo anew.
#[test]
fn the_demo_finds_the_drift_that_was_put_in() {
    if std::env::var_os("UPDATE_EXPECTED").is_some() {
        fs::create_dir_all("demo/history").unwrap();
        fs::write(DEMO, demo_text()).unwrap();
    }
    assert!(fs::metadata(DEMO).unwrap().len() < 300_000);
    let (rules, _) = rules::load(None);
    let cases = cases(&rules, Path::new("demo/history"));
    let taught = taught(&rules, &cases, 100.0);
    assert_eq!(taught.jobs, JOBS);
    let drift = taught
        .proposals
        .iter()
        .find(|p| p.cause == DRIFTED)
        .unwrap();
    println!("{drift:?}");
    assert!(drift.is_clear() && drift.times > 1.5, "{drift:?}");
    // Jobs were priced so that the cost falls inside the range 8 times in 10.
    let inside = taught.estimates.inside as f64 / taught.estimates.jobs as f64;
    assert!(
        (inside - 0.8).abs() < 3.0 * (0.16f64 / JOBS as f64).sqrt(),
        "{inside}"
    );
    // Among the other causes few look clear: no more than chance would make.
    let clear = taught.proposals.iter().filter(|p| p.is_clear()).count();
    assert!(
        clear < taught.proposals.len() / 8,
        "{clear} of {}",
        taught.proposals.len()
    );
}

/// A shop of a few jobs.
fn few(shop: &Shop) {
    let text = fs::read_to_string(DEMO).unwrap();
    let jobs: Vec<&str> = text.split("---\n").skip(1).take(3).collect();
    fs::create_dir(shop.path("jobs")).unwrap();
    for (i, job) in jobs.iter().enumerate() {
        shop.write(&format!("jobs/{i}.yaml"), job);
    }
}

#[test]
fn damaged_files_are_named_and_skipped() {
    let shop = Shop::new();
    few(&shop);
    shop.write("jobs/damaged.yaml", "sootsayer: 1\nengine: {name: x\n");
    shop.write("jobs/open.yaml", common::PUMP);
    shop.write("jobs/strange.yaml", "sootsayer: 1\nengine: {name: x, family: utility-single, cylinders: 1}\nopened: 2025-01-01T08:00:00+00:00\ndiary:\n- time: 2025-01-01T08:00:00+00:00\n  closed: {found: [no-such-cause]}\n");
    shop.write("jobs/notes.txt", "no job");
    let said = shop.run(&["history", "jobs"]);
    assert!(
        said.contains("3 closed jobs in jobs; 1 still open") || said.contains("1 still open"),
        "{said}"
    );
    assert!(said.contains("Skipped: jobs/damaged.yaml:"), "{said}");
    assert!(said.contains("no-such-cause"), "{said}");
    assert!(said.ends_with("status 0\n"), "{said}");
    let nothing = shop.run(&["history", "nowhere"]);
    assert!(nothing.contains("cannot be read"), "{nothing}");
    fs::create_dir(shop.path("empty")).unwrap();
    assert!(
        shop.run(&["history", "empty"])
            .contains("holds no closed job")
    );
}

/// The proposal is written only on request, never over a file, and is undone by deleting it.
#[test]
fn a_proposal_is_one_file_that_can_be_deleted() {
    let shop = Shop::new();
    fs::create_dir(shop.path("jobs")).unwrap();
    let one = "sootsayer: 1\nengine: {name: x, family: utility-single, cylinders: 1}\nopened: 2025-01-01T08:00:00+00:00\ndiary:\n- time: 2025-01-01T08:00:00+00:00\n  closed: {found: [air-filter-clogged]}\n---\n";
    shop.write("jobs/all.yaml", &one.repeat(12));
    fs::create_dir(shop.path("ours")).unwrap();
    shop.run(&["history", "jobs"]);
    assert_eq!(fs::read_dir(shop.path("ours")).unwrap().count(), 0);
    let said = shop.run(&["history", "jobs", "--write", "ours"]);
    assert!(said.contains("wrote ours/from-our-jobs.yaml"), "{said}");
    let again = shop.run(&["history", "jobs", "--write", "ours"]);
    assert!(again.contains("exists already"), "{again}");
    let checked = shop.run(&["rules", "check", "--rules", "ours"]);
    assert!(checked.contains("0 errors"), "{checked}");
    let rate = |words: &[&str]| shop.run(words);
    let with = rate(&["rank", "pump.yaml", "--rules", "ours", "--json"]);
    let without = rate(&["rank", "pump.yaml", "--json"]);
    let prior = |text: &str| -> f64 {
        let json: serde_json::Value =
            serde_json::from_str(text.trim_end().trim_end_matches("status 0")).unwrap();
        let kinds = json["kinds"].as_array().unwrap();
        kinds
            .iter()
            .find(|k| k["id"] == "air-filter-clogged")
            .unwrap()["prior"]
            .as_f64()
            .unwrap()
    };
    assert!(prior(&with) > 1.5 * prior(&without));
    fs::remove_file(shop.path("ours/from-our-jobs.yaml")).unwrap();
    assert_eq!(rate(&["rank", "pump.yaml", "--json"]), without);
}
