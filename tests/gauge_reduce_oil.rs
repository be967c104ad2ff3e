//! From raw readings of oil and vacuum to graded figures.

mod common;

use common::scene::Scene;
use pretty_assertions::assert_eq;
use sootsayer::gauge::reduce::{evidence, reduce};
use sootsayer::gauge::{Length, air, units};
use sootsayer::rules::file::By;

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
