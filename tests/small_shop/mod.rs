//! A small engine of two cylinders with its rules, readings and prices.
#![allow(dead_code)]

use sootsayer::decide::package::Package;
use sootsayer::engine::{Engine, Place};
use sootsayer::job::Observation;
use sootsayer::job::pricing::Pricing;
use sootsayer::money::Currency;
use sootsayer::rules::file::Dimensions;
use sootsayer::rules::{self, Rules};
use sootsayer::unroll::{Tailored, Unrolled};
use std::collections::{BTreeMap, BTreeSet};

const RULES: &str = r#"
system: small
title: A small engine
causes:
  - {cause: wear, title: General wear, says: Worn., sort: root, base_rate: {per_1000: 100, basis: judgement}, look_for: Wear.}
  - cause: rings
    title: Rings worn
    says: Worn rings.
    scope: cylinder
    base_rate: {per_1000: 60, basis: judgement}
    brought_on_by: {wear: {chance: 0.5, basis: judgement}}
    shows:
      low: {chance: 0.7, basis: judgement}
      oil: {chance: 0.6, basis: judgement}
    look_for: Wear.
  - cause: valve
    title: Valve burnt
    says: A burnt valve.
    scope: cylinder
    base_rate: {per_1000: 80, basis: judgement}
    shows: {low: {chance: 0.9, basis: judgement}}
    look_for: Burns.
    danger: Do not run it.
  - cause: gasket
    title: Gasket leaking
    says: A leaking gasket.
    base_rate: {per_1000: 120, basis: judgement}
    shows:
      water: {chance: 0.8, basis: judgement}
      low: {chance: 0.2, basis: judgement}
    look_for: Tracks.
findings:
  - {finding: low, title: Compression low, ask: Is it low?, scope: cylinder, sound: {chance: 0.03, basis: judgement}}
  - {finding: oil, title: Oil used, ask: Is oil used?, sound: {chance: 0.05, basis: judgement}}
  - {finding: water, title: Water lost, ask: Is water lost?, sound: {chance: 0.02, basis: judgement}}
tests:
  - {test: gauge, title: Gauge it, says: Gauged., scope: cylinder, minutes: {fixed: 10, each: 5}, cautions: [Mind.], steps: [Do.], yields: [low], basis: judgement}
  - {test: ask, title: Ask, says: Asked., minutes: {fixed: 2}, cautions: [Mind.], steps: [Ask.], yields: [oil], basis: judgement}
parts:
  - {part: head-set, title: Head set}
  - {part: ring-set, title: Ring set}
  - {part: ground, title: Ground}
accesses:
  - {access: cover-off, title: Cover off, hours: {low: 0.5, likely: 1, high: 1.5}, basis: judgement}
  - {access: head-off, title: Head off, hours: {low: 2, likely: 3, high: 4}, per_bank: true, needs: [cover-off], renews: [{part: head-set}], basis: judgement}
repairs:
  - repair: hone
    title: Rings and hone
    says: New rings.
    scope: cylinder
    hours: {low: 1, likely: 2, high: 3}
    needs: [head-off]
    parts: [{part: ring-set, per_cylinder: true}, {part: head-set}]
    mends: {rings: {chance: 0.9, basis: practice}}
    basis: practice
  - repair: grind
    title: Grind valves
    says: Ground.
    scope: cylinder
    hours: {low: 1, likely: 1, high: 2}
    needs: [head-off, cover-off]
    machine_work: [{part: ground, per_cylinder: true}]
    mends: {valve: {chance: 0.8, basis: practice}}
    basis: practice
  - repair: seal
    title: New gasket
    says: Sealed.
    hours: {low: 0.5, likely: 1, high: 1.5}
    needs: [head-off]
    mends: {gasket: {chance: 0.95, basis: practice}}
    basis: practice
  - repair: overhaul
    title: Overhaul
    says: All of it.
    hours: {low: 8, likely: 10, high: 15}
    needs: [head-off]
    mends: {wear: {chance: 0.9, basis: practice}, rings: {chance: 0.5, basis: practice}}
    basis: practice
"#;

pub struct Small {
    pub rules: Rules,
    pub engine: Engine,
    pub unrolled: Unrolled,
}

pub fn small() -> Small {
    on_banks(vec![vec![1, 2]])
}

pub fn on_banks(banks: Vec<Vec<usize>>) -> Small {
    let files = [("small.yaml".to_string(), RULES.as_bytes().to_vec())];
    let loaded = rules::load_files(files, []);
    assert!(loaded.problems.is_empty(), "{:?}", loaded.problems);
    let engine = Engine {
        name: "small".into(),
        family: "small".into(),
        traits: BTreeSet::new(),
        banks,
        dimensions: Dimensions::default(),
    };
    let kinds = Tailored::of(&loaded.rules, &engine, &BTreeSet::new());
    let unrolled = Unrolled::of(kinds, &engine).unwrap();
    Small {
        rules: loaded.rules,
        engine,
        unrolled,
    }
}

pub fn seen(finding: &str, place: Place, yes: f64) -> Observation {
    Observation {
        finding: finding.into(),
        place,
        likelihood: vec![1.0 - yes, yes],
        complaint: false,
        readings: vec![],
        said: format!("{finding} {yes}"),
        joint: None,
    }
}

pub fn pricing(labour: i64) -> Pricing {
    Pricing {
        currency: Currency::named("EUR").unwrap(),
        labour,
        parts: BTreeMap::from([
            ("head-set".into(), [4000, 6000, 8000]),
            ("ring-set".into(), [3000, 3000, 3000]),
            ("ground".into(), [2000, 2500, 5000]),
        ]),
        tax: 2000,
        ..Pricing::default()
    }
}

pub fn packages(small: &Small) -> Vec<Package> {
    let words = ["hone@1", "hone@2", "grind@1", "grind@2", "seal", "overhaul"];
    (0..1u32 << words.len())
        .map(|bits| {
            let chosen: Vec<&str> = (0..words.len())
                .filter(|i| bits >> i & 1 == 1)
                .map(|i| words[i])
                .collect();
            Package::read(&chosen.join(","), &small.rules, &small.engine).unwrap()
        })
        .collect()
}

pub fn cases() -> Vec<Vec<Observation>> {
    let c = Place::Cylinder;
    vec![
        vec![seen("low", c(1), 1.0), seen("oil", Place::Engine, 1.0)],
        vec![
            seen("low", c(1), 1.0),
            seen("low", c(2), 1.0),
            seen("water", Place::Engine, 1.0),
            seen("oil", Place::Engine, 0.0),
        ],
        vec![
            seen("low", c(2), 0.9),
            seen("low", c(1), 0.05),
            seen("water", Place::Engine, 0.6),
            seen("oil", Place::Engine, 0.8),
        ],
        vec![seen("low", c(1), 0.0), seen("low", c(2), 0.0)],
    ]
}
