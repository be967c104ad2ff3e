//! Packages on a small engine: joint chance of a cure against enumeration, the
//! search against every package, shared work counted once.

#[path = "network/enumerate.rs"]
#[allow(dead_code)]
mod enumerate;

use enumerate::Joint;
use sootsayer::decide::cost::LineKind;
use sootsayer::decide::desk::Desk;
use sootsayer::decide::estimate::{Asked, estimate};
use sootsayer::decide::package::Package;
use sootsayer::decide::search;
use sootsayer::diagnose::next::AtHand;
use sootsayer::diagnose::{Diagnosis, evidence};
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
  - {access: head-off, title: Head off, hours: {low: 2, likely: 3, high: 4}, needs: [cover-off], renews: [{part: head-set}], basis: judgement}
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

struct Small {
    rules: Rules,
    engine: Engine,
    unrolled: Unrolled,
}

fn small() -> Small {
    let files = [("small.yaml".to_string(), RULES.as_bytes().to_vec())];
    let loaded = rules::load_files(files, []);
    assert!(loaded.problems.is_empty(), "{:?}", loaded.problems);
    let engine = Engine {
        name: "small".into(),
        family: "small".into(),
        traits: BTreeSet::new(),
        banks: vec![vec![1, 2]],
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

fn seen(finding: &str, place: Place, yes: f64) -> Observation {
    Observation {
        finding: finding.into(),
        place,
        likelihood: vec![1.0 - yes, yes],
        readings: vec![],
        said: format!("{finding} {yes}"),
    }
}

fn pricing(labour: i64) -> Pricing {
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

fn packages(small: &Small) -> Vec<Package> {
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

fn cases() -> Vec<Vec<Observation>> {
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

#[test]
fn the_joint_chance_of_a_cure_is_that_of_enumeration() {
    let small = small();
    let pricing = pricing(8000);
    for observations in cases() {
        let d = Diagnosis::of(&small.rules, &small.engine, &small.unrolled, &observations).unwrap();
        let desk = Desk::of(&d, &pricing).unwrap();
        let joint = Joint::of(
            &small.unrolled.network,
            &evidence(&small.unrolled, &observations),
        );
        for package in packages(&small) {
            let mended = desk.mended(&package);
            for roots in [false, true] {
                let all_cured = |states: &[usize]| -> f64 {
                    let stakes = desk.stakes.iter().zip(&mended);
                    let counted = stakes.filter(|(s, _)| roots || s.kind != "wear");
                    counted
                        .map(|(s, m)| if states[s.var.index()] == 1 { *m } else { 1.0 })
                        .product()
                };
                let expected: f64 = joint
                    .rows
                    .iter()
                    .map(|(states, p)| p * all_cured(states))
                    .sum::<f64>()
                    / joint.total();
                let had = desk.cures(&mended, roots).unwrap();
                assert!(
                    (had - expected).abs() < 1e-12,
                    "{package:?}: {had} for {expected}"
                );
            }
        }
    }
}

#[test]
fn it_is_no_product_of_marginals() {
    let small = small();
    let observations = &cases()[0];
    let d = Diagnosis::of(&small.rules, &small.engine, &small.unrolled, observations).unwrap();
    let pricing = pricing(8000);
    let desk = Desk::of(&d, &pricing).unwrap();
    let nothing = vec![0.0; desk.stakes.len()];
    let product: f64 = desk
        .stakes
        .iter()
        .filter(|s| s.kind != "wear")
        .map(|s| 1.0 - s.present)
        .product();
    assert!((desk.cures(&nothing, false).unwrap() - product).abs() > 0.02);
}

#[test]
fn the_search_finds_the_best_of_all_packages() {
    let small = small();
    let mut chosen = BTreeSet::new();
    for observations in cases() {
        let d = Diagnosis::of(&small.rules, &small.engine, &small.unrolled, &observations).unwrap();
        for labour in [500, 3000, 8000, 20_000, 60_000] {
            let pricing = pricing(labour);
            let desk = Desk::of(&d, &pricing).unwrap();
            let found = search::best(&desk, &[Package::default()], &|_| true);
            let supported = |p: &Package| p.work.iter().all(|(id, at)| desk.supported(id, at));
            let best = packages(&small)
                .into_iter()
                .filter(supported)
                .min_by(|a, b| desk.expected(a).total_cmp(&desk.expected(b)))
                .unwrap();
            let (had, least) = (desk.expected(&found), desk.expected(&best));
            assert!(
                had <= least + 1.0,
                "labour {labour}: {found:?} {had} for {best:?} {least}"
            );
            chosen.insert(found);
        }
    }
    assert!(chosen.len() >= 3, "{chosen:?}");
}

#[test]
fn shared_work_and_parts_are_counted_once() {
    let small = small();
    let d = Diagnosis::of(&small.rules, &small.engine, &small.unrolled, &[]).unwrap();
    let pricing = pricing(8000);
    let desk = Desk::of(&d, &pricing).unwrap();
    let package = Package::read("hone,grind@2,seal", &small.rules, &small.engine).unwrap();
    let cost = desk.pricer.cost(&package);
    let line = |kind, id: &str| {
        cost.lines
            .iter()
            .filter(|l| l.kind == kind && l.id == id)
            .collect::<Vec<_>>()
    };
    assert_eq!(line(LineKind::Access, "head-off").len(), 1);
    assert_eq!(
        line(LineKind::Access, "cover-off")[0].price,
        [4000, 8000, 12_000]
    );
    assert_eq!(line(LineKind::Part, "head-set")[0].count, 1.0);
    assert_eq!(line(LineKind::Part, "ring-set")[0].count, 2.0);
    assert_eq!(
        line(LineKind::Machine, "ground")[0].price,
        [2000, 2500, 5000]
    );
    // head 3 + cover 1 + hone 2 x 2 + grind 1 + gasket 1 = 10 h at 80; parts 60 + 60 + 25; tax 20 %
    assert_eq!(cost.hours[1], 10.0);
    assert_eq!((cost.likely, cost.tax), (113_400, 18_900));
    assert!(cost.points[0] < cost.points[1] && cost.points[1] < cost.points[2]);
}

#[test]
fn without_evidence_nothing_is_recommended() {
    let small = small();
    let (facts, at_hand, pricing) = (BTreeSet::new(), AtHand::default(), pricing(8000));
    let asked = Asked {
        facts: &facts,
        at_hand: &at_hand,
        own: None,
        doubt: None,
    };
    let d = Diagnosis::of(&small.rules, &small.engine, &small.unrolled, &[]).unwrap();
    let none = estimate(&Desk::of(&d, &pricing).unwrap(), asked).unwrap();
    assert_eq!(none.best, None);
    assert_eq!(none.begin_with.map(|t| t.test), Some("ask".into()));
    let observations = &cases()[1];
    let d = Diagnosis::of(&small.rules, &small.engine, &small.unrolled, observations).unwrap();
    let some = estimate(&Desk::of(&d, &pricing).unwrap(), asked).unwrap();
    let best = &some.choices[some.best.unwrap()];
    assert!(some.choices.iter().all(|c| c.expected >= best.expected));
    assert!(some.case.iter().all(|c| c.supported), "{:?}", some.case);
}

#[test]
fn a_repair_that_nothing_needs_is_said() {
    let small = small();
    let (facts, at_hand, pricing) = (BTreeSet::new(), AtHand::default(), pricing(8000));
    let own = Package::read("seal,grind@1", &small.rules, &small.engine).unwrap();
    let asked = Asked {
        facts: &facts,
        at_hand: &at_hand,
        own: Some(&own),
        doubt: None,
    };
    let observations = vec![
        seen("low", Place::Cylinder(1), 1.0),
        seen("water", Place::Engine, 0.0),
    ];
    let d = Diagnosis::of(&small.rules, &small.engine, &small.unrolled, &observations).unwrap();
    let e = estimate(&Desk::of(&d, &pricing).unwrap(), asked).unwrap();
    let asked_for = e.choices.iter().find(|c| c.id == "own").unwrap();
    assert_eq!(asked_for.unsupported, ["seal"]);
}

#[test]
fn hours_alone_and_missing_prices_still_answer() {
    let small = small();
    let observations = &cases()[0];
    let d = Diagnosis::of(&small.rules, &small.engine, &small.unrolled, observations).unwrap();
    let package = Package::read("hone@1", &small.rules, &small.engine).unwrap();
    let bare = Pricing::default();
    let desk = Desk::of(&d, &bare).unwrap();
    let cost = desk.pricer.cost(&package);
    assert_eq!(
        cost.unpriced().collect::<Vec<_>>(),
        ["head-set", "ring-set"]
    );
    let labour: i64 = cost
        .lines
        .iter()
        .filter(|l| l.is_labour())
        .map(|l| l.price[1])
        .sum();
    assert_eq!(labour, 600, "six hours, in hundredths");
    let mut half = pricing(8000);
    half.parts.remove("ring-set");
    let (full_pricing, known) = (pricing(8000), Desk::of(&d, &half).unwrap());
    let full = Desk::of(&d, &full_pricing).unwrap();
    let wide = |desk: &Desk| {
        let p = desk.pricer.cost(&package).points;
        p[2] - p[0]
    };
    assert!(wide(&known) > wide(&full));
}

#[test]
fn unknown_repairs_and_places_are_refused() {
    let small = small();
    let refused = |text: &str| {
        Package::read(text, &small.rules, &small.engine)
            .unwrap_err()
            .what
    };
    assert_eq!(refused("hown"), "no repair is called `hown`");
    assert_eq!(refused("hone@3"), "there is no cylinder 3 on this engine");
    assert_eq!(refused("seal@1"), "`seal` is done on the whole engine");
}

#[test]
fn to_run_on_with_a_danger_is_never_advised() {
    let small = small();
    let (facts, at_hand, dear) = (BTreeSet::new(), AtHand::default(), pricing(400_000));
    let asked = Asked {
        facts: &facts,
        at_hand: &at_hand,
        own: None,
        doubt: None,
    };
    // a valve is probable: cheap to leave or not, the engine must not be run with it
    let observations = vec![
        seen("low", Place::Cylinder(1), 1.0),
        seen("oil", Place::Engine, 0.0),
        seen("water", Place::Engine, 0.0),
    ];
    let d = Diagnosis::of(&small.rules, &small.engine, &small.unrolled, &observations).unwrap();
    let e = estimate(&Desk::of(&d, &dear).unwrap(), asked).unwrap();
    let watch = e.choices.iter().find(|c| c.id == "watch").unwrap();
    assert_eq!(watch.danger.as_deref(), Some("Valve burnt, cylinder 1"));
    let best = &e.choices[e.best.unwrap()];
    assert!(
        !best.package.is_empty() && best.danger.is_none(),
        "{best:?}"
    );
}
