//! Every test says what can hurt in it: a running engine its exhaust gas, air
//! under pressure the crank that it turns, a cooling system its heat and
//! pressure, open plug and injector holes what comes out of them, an aircraft
//! its propeller.

use sootsayer::rules::file::Test;
use sootsayer::rules::load;

/// What a test has, and the words of which its cautions must use one.
fn wanted(test: &Test) -> Vec<(&'static str, &'static [&'static str])> {
    let set_up = |id: &str| test.set_up.iter().any(|s| s == id);
    let with = |id: &str| test.equipment.iter().any(|e| e == id);
    let mut wanted: Vec<(&str, &[&str])> = Vec::new();
    if set_up("engine-running-warm") {
        let gas: &[&str] = &[
            "carbon monoxide",
            "exhaust gas",
            "in the open",
            "outdoors",
            "road",
            "drive",
            "into wind",
        ];
        wanted.push(("runs", gas));
    }
    if with("compressed-air") {
        wanted.push(("air under pressure", &["crank", "eye protection"]));
    }
    if set_up("coolant-cap-off") || with("cooling-pressure-tester") {
        let hot: &[&str] = &["cold", "cap's pressure", "test pressure", "psi"];
        wanted.push(("coolant under heat or pressure", hot));
    }
    if set_up("plugs-out") {
        wanted.push((
            "open plug holes",
            &["ignition", "earth", "disabled", "volts"],
        ));
    }
    if set_up("injectors-out") {
        wanted.push(("open injector holes", &["fuel", "spray"]));
    }
    if test.on.iter().any(|on| on == "aircraft") {
        wanted.push(("aircraft", &["propeller", "licensed engineer", "magneto"]));
    }
    wanted
}

#[test]
fn every_test_names_what_can_hurt_in_it() {
    let (rules, _) = load(None);
    let (mut silent, mut asked) = (Vec::new(), 0);
    for (id, test) in &rules.tests {
        let said = test.cautions.join(" ").to_lowercase();
        for (what, words) in wanted(test) {
            asked += 1;
            if !words.iter().any(|word| said.contains(word)) {
                silent.push(format!("{id} ({what}): {said}"));
            }
        }
    }
    assert!(asked > 70, "{asked}");
    assert!(silent.is_empty(), "{}", silent.join("\n"));
}

/// What is said above the ranking is said as a danger: kept for what ruins the
/// engine or hurts someone, not for a weep.
#[test]
fn a_leak_outside_is_no_danger_by_itself() {
    let (rules, _) = load(None);
    assert_eq!(rules.causes["oil-leak-external"].danger, None);
    let said = rules.tests["walk-round-oil"].cautions.join(" ");
    assert!(said.contains("fire"), "{said}");
}

#[test]
fn a_danger_is_said_of_the_engines_that_it_concerns() {
    let (rules, _) = load(None);
    let of = |cause: &str, family: &str| {
        let traits = rules.families[family].traits.iter().cloned().collect();
        rules
            .danger(cause, &rules.with_groups(&traits))
            .map(str::to_string)
    };
    // a choked breather weeps on a pump and loses the oil of an aircraft engine
    assert_eq!(of("breather-blocked", "industrial-petrol"), None);
    let flown: Vec<&String> = (rules.families.iter())
        .filter(|(_, family)| family.traits.iter().any(|t| t == "aircraft"))
        .map(|(id, _)| id)
        .collect();
    assert!(!flown.is_empty());
    for family in flown {
        let said = of("breather-blocked", family).expect("a danger in the air");
        assert!(said.contains("licensed engineer"), "{family}: {said}");
    }
    // only a diesel runs away on oil
    for (id, family) in &rules.families {
        let diesel = family.traits.iter().any(|t| t == "diesel");
        assert_eq!(of("turbo-seal-compressor", id).is_some(), diesel, "{id}");
    }
}

/// The pump of the demo has a choked breather, which on a pump is no danger.
#[test]
fn the_ranking_says_no_danger_of_another_kind_of_engine() {
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_sootsayer"))
        .args(["rank", "demo/irrigation-pump.yaml", "--json"])
        .output()
        .expect("the program runs");
    let said: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(said["kinds"][0]["id"], "breather-blocked");
    assert_eq!(said["dangers"], serde_json::json!([]));
}

/// What is told of an engine that flies leaves the decision to the licensed
/// engineer, where it is said for aircraft alone.
#[test]
fn on_aircraft_a_licensed_engineer_decides() {
    let (rules, _) = load(None);
    let mut told = 0;
    for (id, cause) in &rules.causes {
        for danger in cause.danger.iter().flat_map(|dangers| dangers.all()) {
            if danger.on.iter().any(|word| word == "aircraft") {
                told += 1;
                assert!(
                    danger.says.contains("licensed engineer"),
                    "{id}: {}",
                    danger.says
                );
            }
        }
    }
    assert!(told >= 8, "{told}");
}
