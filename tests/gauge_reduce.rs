//! From raw readings of a job to graded figures.

use pretty_assertions::assert_eq;
use sootsayer::engine::{Engine, Place};
use sootsayer::gauge::reduce::{Bench, Graded, Raw, evidence, read, reduce};
use sootsayer::gauge::shop::{Instrument, Scale, Workbench};
use sootsayer::gauge::{Length, Pressure, UnitSet, air, units};
use sootsayer::rules::file::{By, Dimensions};
use sootsayer::rules::{Rules, load};
use std::sync::LazyLock;

struct Scene {
    rules: Rules,
    engine: Engine,
    own: Dimensions,
    shop: Workbench,
}

impl Scene {
    fn of(family: &str, cylinders: usize) -> Scene {
        static RULES: LazyLock<Rules> = LazyLock::new(|| load(None).0);
        let rules = RULES.clone();
        let family = rules.families.get(family).unwrap().it.clone();
        let traits = rules.with_groups(&family.traits.iter().cloned().collect());
        Scene {
            engine: Engine {
                name: "test".into(),
                family: family.family,
                traits,
                banks: Engine::deal(cylinders, 1),
                dimensions: family.dimensions,
            },
            own: Dimensions::default(),
            shop: Workbench::default(),
            rules,
        }
    }

    fn raws<'a>(&'a self, said: &[(&str, usize, &str)]) -> Vec<Raw<'a>> {
        said.iter()
            .enumerate()
            .map(|(index, (id, cylinder, text))| {
                let reading = &self.rules.readings[*id].it;
                Raw {
                    index,
                    reading,
                    place: match cylinder {
                        0 => Place::Engine,
                        n => Place::Cylinder(*n),
                    },
                    figure: read(reading, text, UnitSet::Metric).unwrap_or_else(|p| panic!("{p}")),
                    instrument: None,
                    act: 1,
                    warm: None,
                }
            })
            .collect()
    }

    fn bench(&self) -> Bench<'_> {
        Bench {
            engine: &self.engine,
            own: &self.own,
            shop: &self.shop,
            limits: self.rules.limits_for(&self.engine.traits),
            log: vec![],
        }
    }

    fn graded(&self, said: &[(&str, usize, &str)]) -> Vec<Graded> {
        let raws = self.raws(said);
        let findings = self.rules.findings.values().map(|entry| &entry.it);
        let (graded, problems) = evidence(findings, &raws, &self.bench());
        assert_eq!(problems, vec![]);
        graded
    }

    fn figure(&self, by: By, of: &str, said: &[(&str, usize, &str)]) -> Vec<(f64, f64)> {
        let raws = self.raws(said);
        let (figures, problems) = reduce(by, of, &raws, &self.bench());
        assert_eq!(problems, vec![]);
        figures.iter().map(|it| (it.value, it.deviation)).collect()
    }
}

fn of<'a>(graded: &'a [Graded], finding: &str, cylinder: usize) -> &'a Graded {
    graded
        .iter()
        .find(|it| it.finding == finding && it.figure.place == Place::Cylinder(cylinder))
        .unwrap_or_else(|| panic!("{finding}@{cylinder}"))
}

const FOUR: [(&str, usize, &str); 4] = [
    ("compression", 1, "150 psi"),
    ("compression", 2, "148 psi"),
    ("compression", 3, "95 psi"),
    ("compression", 4, "151 psi"),
];

#[test]
fn the_low_cylinder_is_told_by_its_sisters() {
    let scene = Scene::of("car-petrol-carburettor", 4);
    let graded = scene.graded(&FOUR);
    let low = of(&graded, "compression-low", 3);
    // 95 of about 151: 0.63, between very low (0.72) and none (0.3).
    assert!((low.figure.value - 0.63).abs() < 0.03, "{low:?}");
    assert_eq!(low.likelihood[2], 1.0);
    for sound in [1, 2, 4] {
        let it = of(&graded, "compression-low", sound);
        assert_eq!(it.likelihood[0], 1.0, "{it:?}");
    }
    // A low reading tells nothing of what would raise it.
    let told = graded
        .iter()
        .any(|it| it.finding == "compression-high" && it.figure.place == Place::Cylinder(3));
    assert!(!told, "{graded:?}");
    let high = of(&graded, "compression-high", 1);
    assert!(high.likelihood[1] < 0.2, "{high:?}");
}

#[test]
fn units_do_not_change_the_answer() {
    let scene = Scene::of("car-petrol-carburettor", 4);
    let bar = [
        ("compression", 1, "10.34213594 bar"),
        ("compression", 2, "10.20424079 bar"),
        ("compression", 3, "6.550019428 bar"),
        ("compression", 4, "10.41108351 bar"),
    ];
    let (a, b) = (scene.graded(&FOUR), scene.graded(&bar));
    for (a, b) in a.iter().zip(&b) {
        for (x, y) in a.likelihood.iter().zip(&b.likelihood) {
            assert!((x - y).abs() < 1e-6, "{a:?} {b:?}");
        }
    }
}

#[test]
fn altitude_cancels_where_it_should() {
    // The same engine at 5000 ft: every gauge figure lower, the shares the same.
    let mut scene = Scene::of("car-petrol-carburettor", 4);
    let at_sea = scene.figure(By::ShareOfReference, "compression", &FOUR);
    scene.shop.around = air::pressure_at(Length::of(5000.0, units::FEET)).unwrap();
    let high: Vec<String> = FOUR
        .iter()
        .map(|(_, _, text)| {
            let figure = Pressure::of(text[..text.len() - 4].parse().unwrap(), units::PSI);
            let there =
                sootsayer::gauge::compression::carried(figure, air::SEA_LEVEL, scene.shop.around);
            format!("{} psi", there.get(units::PSI))
        })
        .collect();
    let said: Vec<(&str, usize, &str)> = FOUR
        .iter()
        .zip(&high)
        .map(|((id, n, _), text)| (*id, *n, text.as_str()))
        .collect();
    let up_there = scene.figure(By::ShareOfReference, "compression", &said);
    for (a, b) in at_sea.iter().zip(&up_there) {
        assert!((a.0 - b.0).abs() < 0.002, "{a:?} {b:?}");
    }
}

#[test]
fn all_alike_low_do_not_vouch_for_each_other() {
    let scene = Scene::of("car-petrol-carburettor", 4);
    let low = [
        ("compression", 1, "82 psi"),
        ("compression", 2, "80 psi"),
        ("compression", 3, "81 psi"),
        ("compression", 4, "83 psi"),
    ];
    for (share, deviation) in scene.figure(By::ShareOfReference, "compression", &low) {
        assert!(share < 0.75, "{share} {deviation}");
        assert!(deviation > 0.03, "{share} {deviation}");
    }
}

#[test]
fn a_reading_at_the_edge_moves_belief_smoothly() {
    let scene = Scene::of("car-petrol", 4);
    let mut last: Option<f64> = None;
    for percent in 8..20 {
        let text = format!("{percent}%");
        let graded = scene.graded(&[("leak-down", 3, &text)]);
        let it = of(&graded, "leak-down", 3);
        let odds = (it.likelihood[1] / it.likelihood[0]).ln();
        if let Some(before) = last {
            assert!(
                odds > before && odds - before < 2.5,
                "{percent}: {before} to {odds}"
            );
        }
        last = Some(odds);
    }
}

#[test]
fn a_wide_restrictor_is_brought_to_the_reference() {
    let mut scene = Scene::of("car-petrol", 4);
    let said = [("leak-down", 3, "60/80 psi")];
    let plain = scene.figure(By::AsReferenceTester, "leak-down", &said)[0].0;
    scene.shop.instruments.insert(
        "big".into(),
        Instrument {
            takes: vec!["leak-down".into()],
            restrictor: Some(Length::of(0.060, units::INCHES)),
            supply: Some(Pressure::of(80.0, units::PSI)),
            scale: Some(Scale::TwoGauge),
            repeatability: None,
        },
    );
    let wide = scene.figure(By::AsReferenceTester, "leak-down", &said)[0].0;
    // A leak that drops a 0.060 in tester by a quarter is 1.0586 x 2.25 restrictors of 0.040 in;
    // both holes are then choked, so the cylinder holds 94.696 / 2.382 psi absolute.
    let held = 94.696 / (1.0586 * 2.25) - 14.696;
    assert!((plain - 25.0).abs() < 0.1, "{plain}");
    assert!((wide - 100.0 * (1.0 - held / 80.0)).abs() < 0.1, "{wide}");
}

#[test]
fn wet_and_first_stroke_are_told_against_the_dry_figure() {
    let scene = Scene::of("car-petrol", 4);
    let said = [
        ("compression", 3, "900"),
        ("compression-wet", 3, "1125"),
        ("compression-first-stroke", 3, "300"),
    ];
    let (rise, _) = scene.figure(By::RiseOverDry, "compression-wet", &said)[0];
    assert!((rise - 0.25).abs() < 1e-9);
    let (share, _) = scene.figure(By::ShareOfFinal, "compression-first-stroke", &said)[0];
    assert!((share - 1.0 / 3.0).abs() < 1e-9);
    let raws = scene.raws(&[("compression-wet", 3, "1125")]);
    let (figures, problems) = reduce(By::RiseOverDry, "compression-wet", &raws, &scene.bench());
    assert!(figures.is_empty());
    assert_eq!(
        problems[0].to_string(),
        "error: Cranking compression, wet on 3: there is no dry reading to tell it against\n   = record `compression@3` as well"
    );
}

#[test]
fn the_weak_cylinder_of_a_twin() {
    // Twin-cylinder generator manual: losses of 100 and 300 rpm, cylinder 1 is weak.
    let scene = Scene::of("car-petrol", 2);
    let said = [
        ("cylinder-balance-drop", 1, "100"),
        ("cylinder-balance-drop", 2, "300"),
    ];
    let graded = scene.graded(&said);
    assert_eq!(of(&graded, "cylinder-balance-weak", 1).likelihood[1], 1.0);
    assert_eq!(of(&graded, "cylinder-balance-weak", 2).likelihood[0], 1.0);
}

#[test]
fn the_worked_four_cylinder_example() {
    // TM 5-3895-359-14&P, table 2: 445, 440, 405, 435 psi; cylinder 3 is singled out though
    // it is above the floor: a mild local loss, not a low engine.
    let mut scene = Scene::of("inboard-diesel-turbo", 4);
    scene.own.compression_normal_kpa = Some(440.0 * 6.894757);
    let said = [
        ("compression", 1, "445 psi"),
        ("compression", 2, "440 psi"),
        ("compression", 3, "405 psi"),
        ("compression", 4, "435 psi"),
    ];
    let shares = scene.figure(By::ShareOfReference, "compression", &said);
    let least = shares.iter().map(|s| s.0).fold(f64::MAX, f64::min);
    assert_eq!(least, shares[2].0);
    assert!(shares[2].0 < 0.94 && shares[0].0 > 0.98, "{shares:?}");
}

#[test]
fn oil_use_goes_against_the_limit_of_the_kind_of_engine() {
    let car = Scene::of("car-petrol", 4);
    // One quart in 750 miles is the printed limit itself, however it is written.
    for text in ["750 mi/qt", "1.3333333 qt/1000mi", "0.784 L/1000km"] {
        let (share, _) = car.figure(
            By::ShareOfLimit,
            "oil-use-rate",
            &[("oil-use-rate", 0, text)],
        )[0];
        assert!((share - 1.0).abs() < 0.01, "{text}: {share}");
    }
    let mut aircraft = Scene::of("aircraft-opposed", 4);
    aircraft.engine.dimensions.power_kw = Some(160.0 * 0.745_699_87);
    let (share, _) = aircraft.figure(
        By::ShareOfLimit,
        "oil-use-rate",
        &[("oil-use-rate", 0, "0.519 qt/h")],
    )[0];
    assert!((share - 1.0).abs() < 0.01, "{share}");
}

#[test]
fn vacuum_is_brought_to_sea_level() {
    let mut scene = Scene::of("car-petrol", 4);
    scene.shop.around = air::pressure_at(Length::of(5000.0, units::FEET)).unwrap();
    scene.shop.air_known = true;
    let graded = scene.graded(&[("vacuum", 0, "13 inHg")]);
    let it = &graded[0];
    assert_eq!(it.finding, "vacuum-low");
    // 13 inHg at 5000 ft is 18 inHg at sea level: normal.
    assert_eq!(it.likelihood[0], 1.0, "{it:?}");
}

#[test]
fn metal_is_told_over_a_usual_oil_life() {
    let scene = Scene::of("car-petrol", 4);
    let said = [
        ("oil-sample-iron", 0, "60"),
        ("oil-sample-hours", 0, "50"),
        ("oil-sample-topped-up", 0, "0"),
    ];
    let (iron, deviation) = scene.figure(By::AtUsualInterval, "oil-sample-iron", &said)[0];
    assert!((iron - 300.0).abs() < 1.0, "{iron}");
    assert!(deviation > 60.0, "{deviation}");
}

/// Figures of two samples of a car's oil, without top-ups: w = C V / t of each.
fn two_samples(earlier: (f64, f64), later: (f64, f64)) -> Vec<(f64, f64)> {
    let scene = Scene::of("car-petrol", 4);
    let text = |v: f64| v.to_string();
    let (a, b, c, d) = (
        text(earlier.0),
        text(earlier.1),
        text(later.0),
        text(later.1),
    );
    let said = [
        ("oil-sample-iron", 0, a.as_str()),
        ("oil-sample-hours", 0, b.as_str()),
        ("oil-sample-iron", 0, c.as_str()),
        ("oil-sample-hours", 0, d.as_str()),
    ];
    let mut raws = scene.raws(&said);
    raws[2].act = 2;
    raws[3].act = 2;
    let by = By::RateAgainstEarlier;
    let (figures, problems) = reduce(by, "oil-sample-iron", &raws, &scene.bench());
    assert_eq!(problems, vec![]);
    figures.iter().map(|it| (it.value, it.deviation)).collect()
}

#[test]
fn the_rate_of_a_metal_is_told_against_the_sample_before() {
    // By hand: 40 ppm in 250 h is 0.16, 95 ppm in 200 h 0.475 ppm an hour; 0.475 / 0.635 = 0.748.
    let (share, deviation) = two_samples((40.0, 250.0), (95.0, 200.0))[0];
    assert!((share - 0.748).abs() < 0.001, "{share}");
    assert!(deviation > 0.02 && deviation < 0.05, "{deviation}");
    // The same wear over any life is no change, and unlike lives are told less surely.
    let (same, near) = two_samples((40.0, 200.0), (40.0, 200.0))[0];
    let (long, far) = two_samples((20.0, 100.0), (200.0, 1000.0))[0];
    assert!((same - 0.5).abs() < 1e-9 && (long - 0.5).abs() < 1e-9);
    assert!(far > 1.5 * near, "{far} {near}");
    // More metal is more rise.
    let share = |ppm: f64| two_samples((40.0, 200.0), (ppm, 200.0))[0].0;
    assert!(share(30.0) < share(40.0) && share(40.0) < share(80.0));
    // Nothing in either is nothing told.
    assert_eq!(two_samples((0.0, 200.0), (0.0, 200.0)), vec![]);
}

#[test]
fn readings_outside_what_can_be_are_refused() {
    let scene = Scene::of("car-petrol", 4);
    let wrong = |id: &str, text: &str| {
        read(&scene.rules.readings[id].it, text, UnitSet::Us)
            .unwrap_err()
            .to_string()
    };
    assert!(
        wrong("compression", "-20 psi")
            .contains("Cranking compression, dry -20 psi is outside 0 to")
    );
    assert!(wrong("compression", "94 psia").contains("absolute"));
    assert!(wrong("leak-down", "85/80 psi").contains("above the supply's 80 psi"));
    assert!(wrong("leak-down", "101%").contains("outside 0 to 100"));
    assert!(wrong("leak-down", "-3%").contains("positive"));
    assert!(wrong("leak-down", "0/0 psi").contains("supply 0 psi is outside"));
    assert!(wrong("leak-down", "60/80 bar").contains("supply 80 bar is outside"));
    assert!(wrong("vacuum", "40 inHg").contains("outside"));
    assert!(wrong("oil-use-rate", "-1 qt/1000mi").contains("below 0"));
    assert!(wrong("oil-sample-iron", "1,200").contains("comma"));
}

/// The same reading is low on one kind of engine and well on another: 55 kPa
/// (8 psi) hot at idle is above a forklift's 7 psi (TM 10-3930-623-12) and far
/// under a lorry's 14 to 15 psi; 700 kPa at speed is too much for a small twin
/// (15 to 50 psi) and within an aircraft engine's 115 psi.
#[test]
fn oil_pressure_goes_against_the_bounds_of_the_kind_of_engine() {
    let likeliest = |family: &str, reading: &str, said: &str, finding: &str| {
        let scene = Scene::of(family, 4);
        let raws = scene.raws(&[(reading, 0, said)]);
        let findings = scene.rules.findings_for(&scene.engine.traits);
        let (graded, problems) =
            evidence(findings.iter().map(AsRef::as_ref), &raws, &scene.bench());
        assert_eq!(problems, vec![]);
        let it = graded.into_iter().find(|it| it.finding == finding)?;
        (0..it.likelihood.len()).max_by(|a, b| it.likelihood[*a].total_cmp(&it.likelihood[*b]))
    };
    let idle = |family, said| {
        likeliest(
            family,
            "oil-pressure-hot-idle",
            said,
            "oil-pressure-low-hot",
        )
    };
    assert_eq!(idle("industrial-petrol", "55 kPa"), Some(0));
    assert_eq!(idle("car-petrol", "55 kPa"), Some(1));
    assert_eq!(idle("truck-diesel-turbo", "55 kPa"), Some(1));
    assert_eq!(idle("aircraft-opposed", "55 kPa"), Some(2));
    let fast = |family, said| likeliest(family, "oil-pressure-hot-fast", said, "oil-pressure-high");
    assert_eq!(fast("utility-vee-twin", "700 kPa"), Some(1));
    assert_eq!(fast("aircraft-opposed", "700 kPa"), Some(0));
    // An outboard's switch acts below 27.6 kPa, another's between 29.4 and 58.8 kPa (service manuals).
    assert_eq!(idle("outboard-four-stroke", "20 kPa"), Some(2));
    assert_eq!(idle("outboard-four-stroke", "45 kPa"), Some(1));
    assert_eq!(idle("outboard-four-stroke", "90 kPa"), Some(0));
    // A tractor diesel: at least 103 kPa after the start; 345 kPa, 103 either way, at rated
    // speed, and 586 kPa does no harm (operator's manual).
    assert_eq!(idle("tractor-diesel", "85 kPa"), Some(1));
    assert_eq!(fast("tractor-diesel", "560 kPa"), Some(0));
    let flat = |family, said| {
        let finding = "oil-pressure-falls-at-speed";
        likeliest(family, "oil-pressure-hot-fast", said, finding)
    };
    assert_eq!(flat("tractor-diesel", "345 kPa"), Some(0));
    assert_eq!(flat("tractor-diesel", "200 kPa"), Some(1));
    // Inboard: 10 psi for each 1000 rpm, 172 kPa at 2500 rpm.
    assert_eq!(flat("inboard-petrol-closed", "241 kPa"), Some(0));
    assert_eq!(flat("inboard-petrol-closed", "120 kPa"), Some(1));
}
