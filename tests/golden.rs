//! Invented engines with what a good independent workshop would propose for
//! them (tests/golden/scenes.yaml, written before the program was asked): the
//! best choice is the workshop's or its sister, and the hours overlap.
//!
//! `cargo test --test golden -- --nocapture` prints the table.

use serde::Deserialize;
use sootsayer::decide::desk::Desk;
use sootsayer::decide::estimate::{Asked, Estimate, estimate};
use sootsayer::diagnose::Diagnosis;
use sootsayer::session::Session;
use std::time::Instant;

#[derive(Deserialize)]
struct Scene {
    scene: String,
    engine: Engine,
    complaint: String,
    #[serde(default)]
    facts: Vec<String>,
    readings: Vec<String>,
    proposes: Vec<String>,
    or: Vec<String>,
    hours: [f64; 2],
    basis: String,
    #[serde(default)]
    not_meanwhile: Option<String>,
}

#[derive(Deserialize)]
struct Engine {
    family: String,
    cylinders: usize,
    #[serde(default)]
    with: Vec<String>,
    #[serde(default)]
    banks: String,
}

/// Of sixteen scenes so many at least are right.
const RIGHT: usize = 14;

fn job(scene: &Scene) -> String {
    let list = |lines: &[String], end: &str| -> String {
        lines.iter().map(|l| format!("  - {l}{end}\n")).collect()
    };
    let engine = &scene.engine;
    let with: String = match engine.with.is_empty() {
        true => String::new(),
        false => format!("  with: [{}]\n", engine.with.join(", ")),
    };
    let banks = match engine.banks.is_empty() {
        true => String::new(),
        false => format!("  banks: {}\n", engine.banks),
    };
    let time = "2026-01-05T09:00:00+00:00";
    format!(
        "sootsayer: 1\nengine:\n  name: {:?}\n  family: {}\n  cylinders: {}\n{with}{banks}complaint: {:?}\nopened: {time}\nunits: metric\ndiary:\n- time: {time}\n  facts:\n{}  readings:\n{}",
        scene.scene,
        engine.family,
        engine.cylinders,
        scene.complaint,
        list(&scene.facts, "=yes"),
        list(&scene.readings, "")
    )
}

fn with_estimate(scene: &Scene, look: impl FnOnce(&Estimate, &Desk)) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("scene.yaml");
    std::fs::write(&path, job(scene)).unwrap();
    let session = Session::open(&path, None, false).unwrap_or_else(|p| panic!("{p:?}"));
    let (observations, warnings) = session.evidence();
    assert!(
        warnings.iter().all(|w| !w.says.contains("not used")),
        "{}: {warnings:?}",
        scene.scene
    );
    let unrolled = session.unrolled().unwrap();
    let d = Diagnosis::of(&session.rules, &session.engine, &unrolled, &observations)
        .unwrap_or_else(|p| panic!("{}: {p:?}", scene.scene));
    let desk = Desk::of(&d, &session.shop.pricing).unwrap();
    let asked = Asked {
        at_hand: &session.at_hand(),
        own: None,
        doubt: None,
    };
    look(&estimate(&desk, asked).unwrap(), &desk);
}

#[test]
fn the_best_choice_is_what_a_good_workshop_proposes() {
    let text = std::fs::read_to_string("tests/golden/scenes.yaml").unwrap();
    let scenes: Vec<Scene> = serde_yaml::from_str(&text).unwrap();
    assert_eq!(scenes.len(), 16);
    let (mut right, mut overlap, mut wrong) = (0, 0, Vec::new());
    for scene in &scenes {
        assert!(!scene.basis.is_empty());
        let began = Instant::now();
        with_estimate(scene, |e, desk| {
            let best = &e.choices[e.best.unwrap()];
            let first = match &best.then {
                None => best.package.clone(),
                Some(then) => {
                    let mut first = best.package.clone();
                    first
                        .work
                        .retain(|id, _| !then.package.work.contains_key(id));
                    first
                }
            };
            let wanted = || scene.proposes.iter().chain(&scene.or);
            let done = desk.pricer.done(&first);
            let is_right = wanted().any(|id| first.work.contains_key(id));
            let [low, _, high] = best.cost.hours;
            let overlaps = low <= scene.hours[1] && high >= scene.hours[0];
            right += usize::from(is_right);
            overlap += usize::from(overlaps);
            println!(
                "{} {} {:>5.2} s  {}: {} ({:.1}-{:.1} h for {:.1}-{:.1}), cures {:.2}",
                if is_right { "right" } else { "WRONG" },
                if overlaps { "hours" } else { "HOURS" },
                began.elapsed().as_secs_f64(),
                scene.scene,
                best.title,
                low,
                high,
                scene.hours[0],
                scene.hours[1],
                best.cures
            );
            for b in e.behind.iter().take(4) {
                println!("        {:.2} {}", b.behind, b.title);
            }
            if !is_right {
                wrong.push(format!("{}: {:?}", scene.scene, done.work.keys()));
            }
            if let Some(word) = &scene.not_meanwhile {
                let said = e.meanwhile.as_ref().map_or("", |m| m.says.as_str());
                assert!(said.contains(word.as_str()), "{}: {said}", scene.scene);
            }
        });
    }
    println!("right {right}, hours {overlap} of {}", scenes.len());
    assert!(right >= RIGHT, "right {right}: {wrong:#?}");
    assert!(overlap >= RIGHT, "hours overlap in {overlap}");
}
