//! The plug drawings, on the page and in a terminal's cells.

#[path = "plug_bench/mod.rs"]
mod bench;

use bench::{matched, petrol, rules};
use pretty_assertions::assert_eq;
use sootsayer::engine::Place;
use sootsayer::plug::{Chart, Known, Looks};
use sootsayer::show::plug_cells::{self, cells};
use sootsayer::show::plug_drawn::Drawn;
use sootsayer::show::{plug, plug_page, plug_svg};
use std::collections::BTreeMap;

/// Every condition with its drawing, which must differ from all others.
fn all_differ(chart: &Chart, alike: &[&str], draw: impl Fn(&Drawn) -> String) {
    let mut seen: BTreeMap<String, &str> = BTreeMap::new();
    for known in std::iter::once(&chart.sound).chain(&chart.conditions) {
        let id = known.it.condition.as_str();
        if let Some(other) = seen.insert(draw(&Drawn::of_condition(chart, known)), id) {
            assert!(
                alike.contains(&id) && alike.contains(&other),
                "{id} as {other}"
            );
        }
    }
}

/// A drawing without its colours.
fn colourless(svg: &str) -> String {
    let mut parts = svg.split('#');
    let first = parts.next().unwrap_or_default().to_string();
    parts.fold(first, |text, part| text + part.get(6..).unwrap_or(part))
}

#[test]
fn without_colour_every_condition_is_still_drawn_unlike_the_others() {
    let rules = rules();
    let car = petrol(&rules, "four-stroke");
    let chart = Chart::of(&rules, &car).unwrap();
    all_differ(&chart, &[], |d| colourless(&plug_svg::svg(d, "x")));
    // the outside of a plug is not in a terminal's drawing of its firing end
    let outside = ["normal", "insulator-cracked", "wrong-type"];
    all_differ(&chart, &outside, |d| cells(d, false).join("\n"));
}

#[test]
fn a_plug_is_drawn_from_what_was_said_of_it() {
    let rules = rules();
    let car = petrol(&rules, "four-stroke");
    let chart = Chart::of(&rules, &car).unwrap();
    let drawn = |typed: &str| Drawn::of_looks(&chart, &Looks::read(&chart, typed).unwrap());
    let sound = Drawn::of_condition(&chart, &chart.sound);
    assert!(sound.is("wetness", "dry") && drawn("wet oily").is("wetness", "oil"));
    assert!(
        drawn("wet oily").is("texture", "powder"),
        "not said: as a sound plug"
    );
    // of several possible values the usual one is drawn
    assert!(drawn("tan or black").is("colour", "tan"));
    assert!(drawn("not dry").is("wetness", "oil"));
    assert_eq!(drawn("black").colours.deposit, "#1d1b1a");
}

#[test]
fn a_terminal_drawing_keeps_its_size_and_loses_nothing_without_colour() {
    let rules = rules();
    let car = petrol(&rules, "four-stroke");
    let chart = Chart::of(&rules, &car).unwrap();
    for known in std::iter::once(&chart.sound).chain(&chart.conditions) {
        let drawn = Drawn::of_condition(&chart, known);
        let (plain, painted) = (cells(&drawn, false), cells(&drawn, true));
        assert_eq!(plain.len(), plug_cells::LINES);
        let wide = |line: &String| line.chars().count();
        assert!(
            plain.iter().all(|l| wide(l) == plug_cells::COLUMNS),
            "{plain:?}"
        );
        let stripped: Vec<String> = (painted.iter())
            .map(|l| anstream::adapter::strip_str(l).to_string())
            .collect();
        assert_eq!(stripped, plain, "{}", known.it.condition);
        assert_ne!(painted, plain);
    }
}

#[test]
fn all_plugs_of_a_twelve_cylinder_engine_fit_80_columns() {
    let rules = rules();
    let car = petrol(&rules, "four-stroke");
    let chart = Chart::of(&rules, &car).unwrap();
    let plugs: BTreeMap<Place, _> = (1..=12)
        .map(|n| {
            (
                Place::Cylinder(n),
                matched(&rules, &chart, "black wet oily"),
            )
        })
        .collect();
    let places: Vec<Place> = plugs.keys().copied().collect();
    for text in [
        plug::drawn(&plugs, 80, false),
        plug::side(&places, &plugs, 80),
    ] {
        let widest = text.lines().map(|l| l.chars().count()).max();
        assert!(widest <= Some(80), "{widest:?}\n{text}");
        assert!(text.contains("12"));
    }
}

fn whole<'a, 'r>(chart: &'a Chart<'r>) -> impl Iterator<Item = &'a Known<'r>> {
    std::iter::once(&chart.sound).chain(&chart.conditions)
}

#[test]
fn the_page_holds_every_condition_the_jobs_own_plugs_and_no_script() {
    let rules = rules();
    let car = petrol(&rules, "four-stroke");
    let chart = Chart::of(&rules, &car).unwrap();
    let own = [(
        Place::Cylinder(3),
        matched(&rules, &chart, "black wet oily"),
    )];
    let page = plug_page::page(&rules, "A <b> & c", &chart, &own.into());
    for known in whole(&chart) {
        assert!(page.contains(&known.it.title), "{}", known.it.title);
    }
    // each condition, and the job's plug as seen and as matched
    assert_eq!(page.matches("<svg").count(), whole(&chart).count() + 2);
    let mut ids: Vec<&str> = page.split(" id=\"").skip(1).collect();
    ids.iter_mut()
        .for_each(|id| *id = id.split('"').next().unwrap());
    let all = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), all, "an id is used twice");
    assert!(page.contains("A &lt;b&gt; &amp; c"));
    assert!(!page.contains("<script") && !page.contains("src=") && !page.contains("href="));
}
