//! The log of the oil and used-oil samples in a job: what was typed flows into the ranking.

mod common;

use common::ranking::{answer, bare, chance, done, plain};

#[test]
fn top_ups_become_a_rate_and_flow_into_the_ranking() {
    let heavy = bare();
    let said = done(
        &heavy,
        &[
            "oil",
            "pump.yaml",
            "100h:0",
            "110h:1L",
            "118h:0.8L",
            "140h:2.2L",
        ],
    );
    assert!(
        plain(&said).contains("Over all that counts: 0.1 L/h within"),
        "{said}"
    );
    let light = bare();
    done(
        &light,
        &[
            "oil",
            "pump.yaml",
            "100h:0",
            "150h:0.1L",
            "190h:0.1L",
            "300h:0.2L",
        ],
    );
    let untold = bare();
    for kind in ["oil-rings-worn", "guides-worn"] {
        let [a, b, c] = [&heavy, &untold, &light].map(|shop| chance(shop, kind));
        assert!(a > 1.3 * b && b > 1.1 * c, "{kind}: {a} {b} {c}");
    }
    // The rate typed by hand says the same, but for its error.
    let typed = bare();
    done(&typed, &["record", "pump.yaml", "oil-use-rate=0.1 L/h"]);
    let (a, b) = (chance(&heavy, "guides-worn"), chance(&typed, "guides-worn"));
    assert!((a / b - 1.0).abs() < 0.25, "{a} {b}");
}

#[test]
fn a_log_is_the_same_by_line_by_csv_and_in_other_units() {
    let line = bare();
    done(
        &line,
        &[
            "oil",
            "pump.yaml",
            "100h:0",
            "110h:0.5L:-0.7L",
            "130h:changed:-1L",
            "150h:1L",
        ],
    );
    let csv = bare();
    csv.write(
        "log.csv",
        "\u{feff}date;meter h;added L;level L;changed;note\n;100;0;;;\n;110;0,5;-0,7;;topped up\n;;;;;page two\n;130;;-1;yes;\n;150;1;;;\n",
    );
    done(&csv, &["oil", "pump.yaml", "--csv", "log.csv"]);
    assert_eq!(
        answer(&line, &["oil", "pump.yaml", "--json"]),
        answer(&csv, &["oil", "pump.yaml", "--json"])
    );
    // Written out and read in, in another job.
    let again = bare();
    let written = done(&csv, &["oil", "pump.yaml", "--as-csv"]);
    again.write("log.csv", written.trim_end_matches("status 0\n"));
    done(&again, &["oil", "pump.yaml", "--csv", "log.csv"]);
    let us = bare();
    let quarts = [
        "100h:0",
        "110h:0.528344qt:-0.739682qt",
        "130h:changed:-1.056688qt",
        "150h:1.056688qt",
    ];
    done(&us, &[&["oil", "pump.yaml"], quarts.as_slice()].concat());
    for kind in ["guides-worn", "rings-stuck"] {
        let of_line = chance(&line, kind);
        for other in [&csv, &again, &us] {
            assert!((chance(other, kind) / of_line - 1.0).abs() < 1e-4, "{kind}");
        }
    }
}

#[test]
fn a_jump_in_the_log_tells_what_breaks_from_what_wears() {
    let jumped = bare();
    done(
        &jumped,
        &[
            "oil",
            "pump.yaml",
            "0h:0",
            "10h:0.3L",
            "20h:0.3L",
            "30h:0.3L",
            "40h:1.6L",
            "50h:1.6L",
            "60h:1.6L",
        ],
    );
    let steady = bare();
    done(
        &steady,
        &[
            "oil",
            "pump.yaml",
            "0h:0",
            "10h:1.6L",
            "20h:1.6L",
            "30h:1.6L",
            "40h:1.6L",
            "50h:1.6L",
            "60h:1.6L",
        ],
    );
    let (a, b) = (
        chance(&jumped, "rings-broken"),
        chance(&steady, "rings-broken"),
    );
    assert!(a > 1.8 * b, "{a} {b}");
    // The figures of the job show it too.
    let figures = plain(&done(&jumped, &["figures", "pump.yaml"]));
    assert!(
        figures.contains("Log of the oil") && figures.contains("The rate changed at 30 h"),
        "{figures}"
    );
    let said = plain(&done(&jumped, &["oil", "pump.yaml"]));
    assert!(said.contains("The rate changed at 30 h"), "{said}");
    assert!(said.contains("It jumped to about"), "{said}");
}

#[test]
fn what_hides_the_use_is_said_and_the_level_speaks_for_itself() {
    let shop = bare();
    done(
        &shop,
        &[
            "oil",
            "pump.yaml",
            "0h:changed+1L",
            "10h:0:0.1L",
            "20h:0:0.9L",
        ],
    );
    let said = plain(&shop.run(&["rank", "pump.yaml"]));
    for expected in [
        "checks of the oil, 0 h to 10 h: the sump stood 1 L above the mark",
        "checks of the oil, 10 h to 20 h: the level rose by 0.8 L with none added",
        "the checks of the oil give no rate",
    ] {
        assert!(said.contains(expected), "{expected}\nin\n{said}");
    }
    assert!(chance(&shop, "sump-overfilled") > 2.0 * chance(&bare(), "sump-overfilled"));
}

#[test]
fn a_faulty_log_names_its_cells_and_records_nothing() {
    let shop = bare();
    let before = shop.read("pump.yaml");
    shop.write("log.csv", "meter h,added L,levle L\n100,0,\n");
    let said = shop.run(&["oil", "pump.yaml", "--csv", "log.csv"]);
    assert!(said.contains("row 1, column 3 (`levle L`): the log of the oil has no column `levle`\n   = did you mean `level`?"), "{said}");
    shop.write("log.csv", "meter h,added L,level L,changed\n100,0,,\nlate,1,,\n120,x,,\n130,1,3 psi,\n140,1,,perhaps\n150,1,,,9\n");
    let said = shop.run(&["oil", "pump.yaml", "--csv", "log.csv"]);
    for cell in [
        "row 3, column 1 (`meter h`)",
        "row 4, column 2 (`added L`)",
        "row 5, column 3 (`level L`)",
        "row 6, column 4 (`changed`): `perhaps` is neither `yes` nor `no`",
        "row 7, column 5 (``): `9` stands beyond the last heading",
    ] {
        assert!(said.contains(cell), "{cell}\nin\n{said}");
    }
    assert_eq!(shop.read("pump.yaml"), before);
}

#[test]
fn two_oil_samples_are_told_apart_and_their_trend_flows_into_the_ranking() {
    let first = [
        "oil-sample-hours=250h",
        "oil-sample-iron=40",
        "oil-sample-silicon=8",
    ];
    let later = |iron: &str, silicon: &str| {
        let shop = bare();
        done(
            &shop,
            &[&["record", "pump.yaml"], first.as_slice()].concat(),
        );
        let (iron, silicon) = (
            format!("oil-sample-iron={iron}"),
            format!("oil-sample-silicon={silicon}"),
        );
        done(
            &shop,
            &[
                "record",
                "pump.yaml",
                &iron,
                &silicon,
                "oil-sample-hours=125h",
            ],
        );
        shop
    };
    // The same wear in half the hours, and three times that.
    let (steady, rising) = (later("20", "4"), later("60", "12"));
    for (shop, word) in [(&steady, "no change"), (&rising, "rising")] {
        let said = plain(&done(shop, &["figures", "pump.yaml", "oil-sample-iron"]));
        assert!(
            said.contains(&format!("ppm of the sump an hour: {word}")),
            "{said}"
        );
        // Two samples are not two readings of one thing.
        assert!(!shop.run(&["rank", "pump.yaml"]).contains("contradict"));
    }
    let dirt = "dirt-ingested";
    let (a, b, c) = (
        chance(&rising, dirt),
        chance(&bare(), dirt),
        chance(&steady, dirt),
    );
    assert!(a > 5.0 * b && c < b, "{a} {b} {c}");
}

#[test]
fn a_figure_recorded_again_without_hours_belongs_to_the_same_sample() {
    let once = bare();
    done(
        &once,
        &[
            "record",
            "pump.yaml",
            "oil-sample-hours=50h",
            "oil-sample-iron=60",
        ],
    );
    let again = bare();
    done(
        &again,
        &[
            "record",
            "pump.yaml",
            "oil-sample-hours=50h",
            "oil-sample-iron=16",
        ],
    );
    done(&again, &["record", "pump.yaml", "oil-sample-iron=60"]);
    let kind = "cam-lobe-worn";
    assert!((chance(&once, kind) - chance(&again, kind)).abs() < 1e-9);
}

#[test]
fn samples_that_cannot_be_compared_say_why() {
    let shop = bare();
    done(&shop, &["record", "pump.yaml", "oil-sample-iron=40"]);
    done(
        &shop,
        &[
            "record",
            "pump.yaml",
            "oil-sample-hours=125h",
            "oil-sample-iron=60",
        ],
    );
    let said = plain(&shop.run(&["rank", "pump.yaml"]));
    assert!(
        said.contains("the life of the oil is not known of both: record `oil-sample-hours`"),
        "{said}"
    );
}

#[test]
fn a_report_of_used_oil_comes_in_by_csv() {
    let by_csv = bare();
    by_csv.write(
        "oil.csv",
        "\u{feff}where;oil-sample-hours h;oil-sample-iron ppm;oil-sample-topped-up L;oil-sample-fuel %\nengine;250;140,5;2;0,4\n",
    );
    done(&by_csv, &["record", "pump.yaml", "--csv", "oil.csv"]);
    let by_hand = bare();
    done(
        &by_hand,
        &[
            "record",
            "pump.yaml",
            "oil-sample-iron=140.5",
            "oil-sample-hours=250h",
            "oil-sample-fuel=0.4%",
            "oil-sample-topped-up=2L",
        ],
    );
    for kind in ["bearings-worn", "rings-worn"] {
        assert!(
            (chance(&by_csv, kind) - chance(&by_hand, kind)).abs() < 1e-9,
            "{kind}"
        );
    }
    assert!(chance(&by_csv, "cam-lobe-worn") > 1.5 * chance(&bare(), "cam-lobe-worn"));
}

#[test]
fn the_log_speaks_in_the_units_of_its_checks_and_takes_the_shops_dipstick() {
    let shop = bare();
    let log = [
        "0h:changed+1qt",
        "10h:0:0.1qt",
        "20h:0:-0.4qt",
        "30h:0:-0.9qt",
    ];
    let said = plain(&done(
        &shop,
        &[&["oil", "pump.yaml"], log.as_slice()].concat(),
    ));
    assert!(
        said.contains("the sump stood 1 qt above the mark"),
        "{said}"
    );
    assert!(said.contains("0.05 qt/h within"), "{said}");
    let within = |said: &str| -> f64 {
        let after = said.split("qt/h within ").nth(1).unwrap();
        after.split(' ').next().unwrap().parse().unwrap()
    };
    shop.write(
        "shop.yaml",
        "shop: 1\ninstruments:\n- instrument: sight glass\n  takes: [oil-check]\n  repeatability: 0.4 L\n",
    );
    let coarse = plain(&done(&shop, &["oil", "pump.yaml"]));
    assert!(within(&coarse) > 2.0 * within(&said), "{said}\n{coarse}");
}
