//! The log of the oil: what was typed, the trend in it, and whether it jumped.

use proptest::prelude::*;
use sootsayer::gauge::oil_log::OilCheck;
use sootsayer::gauge::oil_trend::{Caught, Check, Sump, trend};
use sootsayer::gauge::{UnitSet, Volume, units};

fn litre(value: f64) -> Volume {
    Volume::of(value, units::LITRE)
}

fn checks(words: &str) -> Vec<Check> {
    let read =
        |word| OilCheck::parse(word, UnitSet::Metric, false).unwrap_or_else(|p| panic!("{p}"));
    words.split(' ').map(|word| read(word).check()).collect()
}

fn sump() -> Sump {
    Sump::of(litre(8.0))
}

// F. J. Anscombe, Graphs in Statistical Analysis, The American Statistician 27
// (1973), table of four data sets: of the first the regression is y = 3 + 0.5 x,
// the standard error of the slope 0.118 (0.1179 with more figures, as statistics
// packages print it).
#[test]
fn the_slope_and_its_error_are_those_of_a_published_example() {
    let mut points: [(f64, f64); 11] = [
        (10.0, 8.04),
        (8.0, 6.95),
        (13.0, 7.58),
        (9.0, 8.81),
        (11.0, 8.33),
        (14.0, 9.96),
        (6.0, 7.24),
        (4.0, 4.26),
        (12.0, 10.84),
        (7.0, 4.82),
        (5.0, 5.68),
    ];
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    // A steady use of 5 L an hour on top, so that the level never rises.
    let checks: Vec<Check> = (points.iter())
        .map(|(x, y)| Check {
            at: *x,
            level: Some(litre(-(y + 5.0 * x))),
            added: litre(0.0),
            changed: false,
            fuel: None,
        })
        .collect();
    let sump = Sump {
        full: litre(500.0),
        error: litre(1e-6),
    };
    let rate = trend(&checks, sump).unwrap().rate.unwrap();
    assert!((rate.each.get(units::LITRE) - 5.5001).abs() < 1e-4);
    assert!((rate.deviation.get(units::LITRE) - 0.1179).abs() < 1e-4);
}

// By hand: 0.5 L in 10 h and 1.5 L in 30 h are 0.05 L an hour.
#[test]
fn a_change_ends_a_piece_and_what_was_not_read_is_not_counted() {
    let found = trend(
        &checks("0h:0 10h:0.5L 30h:changed 40h:0.5L 70h:1.5L"),
        sump(),
    )
    .unwrap();
    assert_eq!(found.intervals[1].caught, Some(Caught::Unread));
    assert!((found.rate.unwrap().each.get(units::LITRE) - 0.05).abs() < 1e-9);
    // Read before it was drained, it counts.
    let found = trend(
        &checks("0h:0 10h:0.5L 30h:changed:-1L 40h:0.5L 70h:1.5L"),
        sump(),
    )
    .unwrap();
    assert_eq!(found.intervals[1].caught, None);
    assert!((found.rate.unwrap().each.get(units::LITRE) - 0.05).abs() < 1e-9);
}

#[test]
fn overfilled_at_a_change_is_caught() {
    let found = trend(&checks("0h:changed+1L 10h:0:0.2L 30h:0:-0.8L"), sump()).unwrap();
    assert!(matches!(
        found.intervals[0].caught,
        Some(Caught::Overfilled(_))
    ));
    assert_eq!(found.intervals[1].caught, None);
    assert!((found.rate.unwrap().each.get(units::LITRE) - 0.05).abs() < 1e-9);
}

#[test]
fn fuel_in_the_oil_is_counted_as_oil_used() {
    // 2 % of 8 L came in as fuel while the level stood: 0.16 L of oil went.
    let found = trend(&checks("0h:0:0:fuel1% 10h:0:0:fuel3%"), sump()).unwrap();
    assert!((found.intervals[0].used.get(units::LITRE) - 0.16).abs() < 1e-9);
}

#[test]
fn a_level_outside_the_sump_is_refused() {
    let error = trend(&checks("0h:0 10h:0:-9L"), sump()).unwrap_err();
    assert_eq!(
        error.what,
        "a level 9 L (9.51 qt) below the mark at 10, in a sump of 8 L (8.45 qt)"
    );
}

#[test]
fn what_is_no_check_is_said() {
    for (text, what) in [
        ("1215h", "it does not say what was added"),
        ("1215h:", "what was added is left out"),
        (
            "1215psi:1L",
            "`1215psi`: `psi` is a unit of a pressure, not of a time",
        ),
        ("-5h:1L", "the meter cannot stand at -5 h"),
        ("5h:-1L", "oil topped up -1 L is outside 0 to 500 L"),
        (
            "5h:1L:2bar",
            "`2bar`: `bar` is a unit of a pressure, not of a volume",
        ),
        ("5h:1L:0:3", "`3` has no place in it"),
        (
            "5h:1L::fuel 80%",
            "fuel in the oil 80% is outside 0 to 60 %",
        ),
    ] {
        let error = OilCheck::parse(text, UnitSet::Metric, false).unwrap_err();
        assert!(error.what.contains(what), "{text}: {}", error.what);
        assert!(error.hint.is_some(), "{text}");
    }
}

/// A log with one rate until `turn` checks, another from there.
fn log(step: f64, before: f64, after: f64, turn: usize, count: usize) -> Vec<Check> {
    (0..=count)
        .map(|i| Check {
            at: i as f64 * step,
            level: None,
            added: litre(match i {
                0 => 0.0,
                i if i <= turn => before * step,
                _ => after * step,
            }),
            changed: false,
            fuel: None,
        })
        .collect()
}

proptest! {
    #[test]
    fn a_check_is_written_as_it_is_read(
        meter in 0u32..100_000, added in 0u32..400, level in -300i32..300, changed: bool, us: bool,
    ) {
        let set = if us { UnitSet::Us } else { UnitSet::Metric };
        let level = f64::from(level) / 100.0;
        let done = match changed {
            true => "changed".to_string(),
            false => (f64::from(added) / 100.0).to_string(),
        };
        let read = OilCheck::parse(&format!("{meter}:{done}:{level}"), set, us).unwrap();
        let again = OilCheck::parse(&read.to_string(), UnitSet::Metric, false).unwrap();
        prop_assert_eq!(read, again);
    }

    #[test]
    fn units_do_not_change_the_rate(litres in 0.1..3.0f64, hours in 1.0..60.0f64) {
        let quarts = Volume::of(litres, units::LITRE).get(units::US_QT);
        let rate = |words: String| {
            let found = trend(&checks(&words), sump()).unwrap();
            found.rate.unwrap().each.get(units::LITRE)
        };
        let metric = rate(format!("0h:0 {hours}h:{litres}L"));
        let us = rate(format!("0h:0 {hours}h:{quarts}qt"));
        prop_assert!((metric / us - 1.0).abs() < 1e-9);
    }

    #[test]
    fn miles_and_kilometres_are_one_road(litres in 0.1..3.0f64, km in 100.0..5000.0f64) {
        let miles = km / 1.609_344;
        let rate = |words: String| {
            trend(&checks(&words), sump()).unwrap().rate.unwrap().each.get(units::LITRE)
        };
        let (a, b) = (rate(format!("0km:0 {km}km:{litres}L")), rate(format!("0mi:0 {miles}mi:{litres}L")));
        prop_assert!((a / b - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_steady_rate_does_not_jump_and_a_trebled_one_does(
        step in 4.0..20.0f64, rate in 0.08..0.2f64, turn in 2usize..5,
    ) {
        let share = |after: f64| {
            let found = trend(&log(step, rate, after, turn, 7), sump()).unwrap();
            found.jump.unwrap()
        };
        let (steady, trebled) = (share(rate), share(3.0 * rate));
        prop_assert!((steady.share - 0.5).abs() < 0.05, "{steady:?}");
        prop_assert!(trebled.share > 0.67, "{trebled:?}");
        prop_assert!((trebled.at - turn as f64 * step).abs() < 1e-9, "{trebled:?}");
    }

    #[test]
    fn a_larger_rise_is_a_larger_jump(step in 5.0..20.0f64, rate in 0.05..0.2f64, turn in 2usize..5) {
        let share = |times: f64| {
            trend(&log(step, rate, times * rate, turn, 7), sump()).unwrap().jump.unwrap().share
        };
        prop_assert!(share(1.0) < share(2.0) && share(2.0) < share(4.0));
    }

    // The rate grows a little from check to check: 4 times over the whole log, no jump.
    #[test]
    fn what_creeps_up_does_not_jump(step in 8.0..20.0f64, rate in 0.05..0.12f64) {
        let mut checks = log(step, 0.0, 0.0, 0, 8);
        for (i, check) in checks.iter_mut().enumerate().skip(1) {
            check.added = litre(rate * step * (1.0 + 0.4 * (i - 1) as f64));
        }
        let jump = trend(&checks, sump()).unwrap().jump.unwrap();
        prop_assert!(jump.share < 0.64, "{jump:?}");
    }
}
