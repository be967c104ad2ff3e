//! Gauges' figures in a job: what was typed flows into the ranking.

mod common;

use common::Shop;
use serde_json::Value;

/// What `rank --json` gives a kind of cause.
fn chance(shop: &Shop, kind: &str) -> f64 {
    let kinds = &answer(shop, &["rank", "pump.yaml", "--json"])["kinds"];
    let kinds = kinds.as_array().unwrap();
    let of_kind = kinds.iter().find(|k| k["id"] == kind);
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
