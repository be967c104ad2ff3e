//! Gauges' figures in a job: what was typed flows into the ranking.

mod common;

use common::Shop;
use serde_json::Value;

/// What `rank --json` gives a kind of cause.
fn chance(shop: &Shop, kind: &str) -> f64 {
    let ranking = answer(shop, &["rank", "pump.yaml", "--json"]);
    let all = [&ranking["kinds"], &ranking["roots"]].map(|list| list.as_array().unwrap());
    let of_kind = all.into_iter().flatten().find(|k| k["id"] == kind);
    of_kind.unwrap_or_else(|| panic!("no {kind}"))["probability"]
        .as_f64()
        .unwrap()
}

fn answer(shop: &Shop, words: &[&str]) -> Value {
    let said = shop.run(words);
    let text = said.trim_end().trim_end_matches("status 0");
    serde_json::from_str(text).unwrap_or_else(|e| panic!("{e}\n{said}"))
}

/// An engine of which nothing is recorded yet.
fn bare() -> Shop {
    let shop = Shop::new();
    let head = common::PUMP.split("# a remark").next().unwrap().to_string();
    shop.write("pump.yaml", &head);
    shop
}

/// Runs a word that must succeed.
fn done(shop: &Shop, words: &[&str]) -> String {
    let said = shop.run(words);
    assert!(said.ends_with("status 0\n"), "{words:?}: {said}");
    said
}

// Service manual, compression check in four puffs: leaking rings are low on the
// first stroke, build up on the following ones and do not reach normal; leaking
// valves are low on the first and do not build (rules/sources, `four-puffs`).
#[test]
fn the_first_and_fourth_stroke_tell_rings_from_valves() {
    let pattern = |first: &str| {
        let shop = bare();
        let fourth = [
            "compression",
            "pump.yaml",
            "165",
            "162",
            "115",
            "166",
            "psi",
            "--fourth-stroke",
        ];
        done(&shop, &fourth);
        done(
            &shop,
            &[
                "compression",
                "pump.yaml",
                "88",
                "86",
                first,
                "88",
                "psi",
                "--first-stroke",
            ],
        );
        (
            chance(&shop, "rings-worn"),
            chance(&shop, "exhaust-valve-burnt"),
        )
    };
    let (rings_building, valve_building) = pattern("32");
    let (rings_flat, valve_flat) = pattern("104");
    assert!(
        rings_building > 1.5 * rings_flat,
        "{rings_building} {rings_flat}"
    );
    assert!(
        valve_flat > 1.5 * valve_building,
        "{valve_flat} {valve_building}"
    );
}

#[test]
fn the_fourth_stroke_is_judged_where_no_last_figure_was_taken() {
    let fourth = bare();
    done(
        &fourth,
        &[
            "compression",
            "pump.yaml",
            "165",
            "162",
            "95",
            "166",
            "psi",
            "--fourth-stroke",
        ],
    );
    let last = bare();
    done(
        &last,
        &["compression", "pump.yaml", "165", "162", "95", "166", "psi"],
    );
    let burnt = "exhaust-valve-burnt";
    assert!((chance(&fourth, burnt) - chance(&last, burnt)).abs() < 1e-9);
    // Once the last figure is there, it alone counts.
    done(
        &fourth,
        &[
            "compression",
            "pump.yaml",
            "165",
            "162",
            "163",
            "166",
            "psi",
        ],
    );
    assert!(chance(&fourth, burnt) < 0.3 * chance(&last, burnt));
}

#[test]
fn a_first_stroke_alone_says_what_is_wanting() {
    let shop = bare();
    done(
        &shop,
        &[
            "compression",
            "pump.yaml",
            "88",
            "-",
            "-",
            "-",
            "psi",
            "--first-stroke",
        ],
    );
    let said = shop.run(&["rank", "pump.yaml"]);
    let plain = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        plain.contains("record `compression@1`, or `compression-fourth-stroke@1`, as well"),
        "{said}"
    );
}

/// Words in one line, whatever the width.
fn plain(said: &str) -> String {
    said.split_whitespace().collect::<Vec<_>>().join(" ")
}

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
fn a_table_may_begin_with_the_separator_that_a_spreadsheet_writes() {
    let shop = bare();
    shop.write(
        "t.csv",
        "sep=;\r\nwhere;compression psi\r\n1;165\r\n2;160,5\r\n3;95\r\n4;166\r\n",
    );
    let said = done(&shop, &["record", "pump.yaml", "--csv", "t.csv"]);
    assert!(said.contains("160.5 psi, cylinder 2"), "{said}");
    shop.write("t.csv", "sep=;\nwhere;compression psi\n1;x\n2;\n3;\n4;\n");
    let said = shop.run(&["record", "pump.yaml", "--csv", "t.csv"]);
    assert!(said.contains("row 3, column 2"), "{said}");
}

#[test]
fn the_expected_band_shows_what_it_rests_on_and_takes_what_is_known() {
    let band = |before: &[&[&str]]| {
        let shop = bare();
        for words in before {
            done(&shop, words);
        }
        plain(&done(
            &shop,
            &["compression", "pump.yaml", "900", "910", "905", "900"],
        ))
    };
    let nothing = band(&[]);
    assert!(
        nothing.contains("A sound cylinder should read"),
        "{nothing}"
    );
    for assumed in [
        "(speed not given)",
        "engine warm (not said)",
        "usual for the family",
    ] {
        assert!(nothing.contains(assumed), "{assumed}\n{nothing}");
    }
    let told = band(&[
        &["set-up", "pump.yaml", "engine-cold"],
        &["record", "pump.yaml", "cranking-speed=110 rpm"],
    ]);
    assert!(
        !told.contains("not given") && !told.contains("not said"),
        "{told}"
    );
    let figure = |said: &str| -> f64 {
        let after = said.split("should read ").nth(1).unwrap();
        after.split(' ').next().unwrap().parse().unwrap()
    };
    // Cranked slowly and cold, a sound cylinder reads less.
    assert!(figure(&told) < figure(&nothing), "{told}\n{nothing}");
}

#[test]
fn an_instrument_that_the_shop_does_not_describe_is_said() {
    let shop = bare();
    shop.write(
        "shop.yaml",
        "shop: 1\ninstruments:\n- instrument: blue gauge\n  takes: [compression]\n  repeatability: 3 psi\n",
    );
    let figures = ["compression", "pump.yaml", "160", "158", "95", "161", "psi"];
    let said = done(
        &shop,
        &[figures.as_slice(), &["--instrument", "blu gauge"]].concat(),
    );
    assert!(
        said.contains("no instrument `blu gauge`") && said.contains("did you mean `blue gauge`?"),
        "{said}"
    );
    let said = done(&shop, &["rank", "pump.yaml"]);
    assert!(plain(&said).contains("no instrument `blu gauge`"), "{said}");
    // One that it does describe is not spoken of.
    let known = bare();
    known.write("shop.yaml", &shop.read("shop.yaml"));
    done(
        &known,
        &[figures.as_slice(), &["--instrument", "blue gauge"]].concat(),
    );
    assert!(!done(&known, &["rank", "pump.yaml"]).contains("no instrument"));
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
