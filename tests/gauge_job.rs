//! Gauges' figures in a job: what was typed flows into the ranking.

mod common;

use common::ranking::{bare, chance, done, plain};

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
