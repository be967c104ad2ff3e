//! The calculators and the figures of a job, as typed.

mod common;

use common::gauge::{gauge, json, near};

#[test]
fn leakdown_tells_area_and_the_other_tester() {
    let sheet = json("leakdown 60/80psi --restrictor 0.040in --bore 100mm --to-restrictor 0.060in");
    let row = &sheet["rows"][0];
    // The worked 60/80: 1.059 of the restrictor, 0.00133 in2.
    near(&row["ratio"], 1.0586, 2e-4);
    near(&row["area"], 0.00133 * 645.16, 2e-3);
    // And back: what the other tester shows is this leak again.
    let back = json(&format!(
        "leakdown {}% --restrictor 0.060in --to-restrictor 0.040in",
        row["lost_on_other"]["value"]
    ));
    near(&back["rows"][0]["lost_on_other"], 25.0, 1e-6);
}

#[test]
fn every_calculator_says_formula_and_source() {
    for words in [
        "leakdown 38%",
        "compression --ratio 9",
        "oil-use 0.4qt/h --for aircraft --power 160hp",
        "vacuum 18inHg --altitude 3000ft",
        "blow-by 38L/min --power 75kW",
        "oil-pressure 40psi --for outboard",
        "coolant --cap 15psi",
        "balance 100 300",
        "oil-sample iron=60 --life 100h --sump 4L",
        "convert 95psi bar",
    ] {
        let out = gauge(&format!("{words} --why"));
        assert_eq!(out.status, 0, "{words}: {}", out.wrong);
        assert!(
            out.said.contains("\nFormula\n") && out.said.contains("\nSources\n"),
            "{words}: {}",
            out.said
        );
        assert!(
            out.said.lines().all(|line| line.chars().count() <= 80),
            "{words}: {}",
            out.said
        );
        assert!(!out.said.contains('\u{1b}'), "{words}");
        let sheet = json(words);
        assert!(sheet["formula"].as_str().unwrap().len() > 10);
        assert!(!sheet["sources"].as_array().unwrap().is_empty());
    }
}

#[test]
fn a_unit_may_stand_apart_and_one_at_the_end_is_for_all() {
    for (apart, together) in [
        (
            "compression 150 9 160 psi",
            "compression 150psi 9psi 160psi",
        ),
        ("compression 150 psi 9 bar", "compression 150psi 9bar"),
        ("leakdown 60psi/80psi", "leakdown 60/80psi"),
        ("balance 50 60 rpm", "balance 50rpm 60rpm"),
        ("convert 95 psi bar", "convert 95psi bar"),
    ] {
        assert_eq!(json(apart), json(together), "{apart}");
    }
}

#[test]
fn what_cannot_be_is_refused_with_value_range_and_unit() {
    for (words, says) in [
        (
            "leakdown -- -5psi",
            "write both gauges, cylinder over supply",
        ),
        ("leakdown 60psi", "write both gauges, cylinder over supply"),
        (
            "leakdown 85/80psi",
            "cylinder 1: the cylinder's gauge shows 85 psi, above the supply's 80 psi",
        ),
        (
            "leakdown -5/80psi",
            "cylinder 1: cylinder pressure -5 psi is outside 0 to 152 psi",
        ),
        ("leakdown 94psia/80psi", "is an absolute pressure"),
        ("leakdown 60psi/5bar", "has its two gauges in two units"),
        ("leakdown 60/0psi", "supply 0 psi is outside"),
        ("leakdown 120%", "leakage 120% is outside 0 to 100%"),
        (
            "leakdown 38% --restrictor 0mm",
            "restrictor 0 mm is outside 0.2 to 5 mm",
        ),
        (
            "leakdown 38% --supply -80psi",
            "supply -80 psi is outside 5.08 to 152 psi",
        ),
        ("leakdown 38% --supply 94.7psia", "is an absolute pressure"),
        (
            "leakdown 38% --bore 1mm",
            "bore 1 mm is outside 15 to 400 mm",
        ),
        (
            "leakdown 38% --barometer 0kPa",
            "barometer 0 kPa abs is outside 45 to 110 kPa abs",
        ),
        (
            "leakdown 38% --altitude 40000ft",
            "altitude 40000 ft is outside",
        ),
        ("leakdown", "there is no reading"),
        (
            "compression --ratio 100",
            "compression ratio 100 is outside 3 to 30",
        ),
        ("compression 94psia", "is an absolute pressure"),
        ("compression -94psi", "compression -94 psi is outside"),
        (
            "compression --stroke 80mm --rod 40mm",
            "rod to stroke 0.5 is outside 1.05 to 4",
        ),
        (
            "oil-use --used 1qt --over 0h",
            "hours 0 h is outside 0.1 to 10000 h",
        ),
        ("oil-use 0h/qt", "oil use 0 h/qt cannot be"),
        ("oil-use -1qt/h", "oil use -1 qt/h is below 0"),
        (
            "oil-use --checks 10h:0 10h:1qt --sump 8qt",
            "the interval from 10 to 10 is 0",
        ),
        (
            "oil-use --checks 10h:0 5h:1qt --sump 8qt",
            "the meter runs back from 10 to 5",
        ),
        (
            "oil-use --checks 10h:0 -15h:1qt --sump 8qt",
            "the meter cannot stand at -15 h",
        ),
        (
            "oil-use --checks 10h:0 15h:1qt:-9qt --sump 8qt",
            "a level 8.52 L (9 qt) below the mark at 15, in a sump of 7.57 L (8 qt)",
        ),
        (
            "oil-use --checks 10h:0 15h:90qt --sump 8qt",
            "more than three sumps",
        ),
        ("vacuum 40inHg", "vacuum 40 inHg is outside 0 to 29.8 inHg"),
        ("vacuum 28inHg --altitude 15000ft", "is deeper than"),
        (
            "blow-by 38L/min",
            "there is nothing to tell the flow against",
        ),
        (
            "coolant --from 90kPa --to 100kPa --minutes 2min",
            "the pressure rises",
        ),
        ("oil-pressure 30psi --for tractr", "did you mean `tractor`?"),
        ("balance 100", "one cylinder cannot be balanced"),
        (
            "oil-sample irn=60 --life 100h --sump 4L",
            "did you mean `iron`?",
        ),
        (
            "oil-sample iron=-60 --life 100h --sump 4L",
            "iron: concentration -60 ppm is outside 0 to 50000 ppm",
        ),
        (
            "oil-sample iron=60 --life 0h --sump 4L",
            "hours on the oil 0 h is outside 0.1 to 5000 h",
        ),
        (
            "convert 95psi mm",
            "95 psi is a pressure; `mm` is a unit of a length",
        ),
        ("convert 95", "`95` has no unit"),
    ] {
        let out = gauge(words);
        assert_eq!(out.status, 2, "{words}: {}", out.said);
        assert!(out.wrong.contains(says), "{words}: {}", out.wrong);
    }
}

#[test]
fn oil_trend_catches_overfill_and_dilution() {
    let out =
        gauge("oil-use --checks 1200h:2L 1215h:1L 1240h:1.6L 1250h:0:0.5L 1260h:1L --sump 8L");
    assert_eq!(out.status, 0, "{}", out.wrong);
    assert!(out.said.contains("the level rose by 0.5 L"), "{}", out.said);
    let out = gauge("oil-use --checks 1200h:1L:0.2L 1215h:1L 1240h:1.6L 1265h:1.6L --sump 8L");
    assert!(
        out.said.contains("stood 1.2 L above the mark"),
        "{}",
        out.said
    );
}
