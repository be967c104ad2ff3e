//! An engine for the plug chart, and what looks come to on it.

// Each test binary uses a part of it.
#![allow(dead_code)]

use sootsayer::engine::Engine;
use sootsayer::plug::{Chart, Looks, Matched};
use sootsayer::rules::{self, Rules, file::Dimensions};

pub fn rules() -> Rules {
    let (rules, problems) = rules::load(None);
    assert!(problems.is_empty(), "{problems:?}");
    rules
}

pub fn engine(rules: &Rules, name: &str, traits: &[&str]) -> Engine {
    Engine {
        name: name.into(),
        family: "any".into(),
        traits: rules.with_groups(&traits.iter().map(|t| t.to_string()).collect()),
        banks: Engine::deal(4, 1),
        dimensions: Dimensions::default(),
    }
}

/// A four-cylinder petrol engine with one plug a cylinder, `cycle` its strokes.
pub fn petrol(rules: &Rules, cycle: &str) -> Engine {
    let traits = [cycle, "petrol", "spark", "single-plug", "plugged"];
    engine(rules, "petrol", &traits)
}

pub fn matched<'c, 'r>(rules: &Rules, chart: &'c Chart<'r>, typed: &str) -> Matched<'c, 'r> {
    let looks = Looks::read(chart, typed).unwrap_or_else(|p| panic!("{typed}: {}", p[0].what));
    Matched::of(rules, chart, looks)
}

/// The probability of a condition.
pub fn chance(rules: &Rules, chart: &Chart, typed: &str, condition: &str) -> f64 {
    let index = chart.condition(condition).unwrap();
    matched(rules, chart, typed).probabilities().0[index]
}

pub fn called(rules: &Rules, chart: &Chart, typed: &str) -> Vec<String> {
    let matched = matched(rules, chart, typed);
    (matched.called().into_iter())
        .map(|c| chart.conditions[c].it.condition.clone())
        .collect()
}

/// The most probable: a condition, or `normal`.
pub fn first(rules: &Rules, chart: &Chart, typed: &str) -> String {
    let matched = matched(rules, chart, typed);
    let (each, none) = matched.probabilities();
    match matched.ranked().first() {
        Some(&c) if each[c] > none => chart.conditions[c].it.condition.clone(),
        _ => "normal".into(),
    }
}
