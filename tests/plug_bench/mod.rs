//! An engine for the plug chart, and what looks come to on it.

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

pub fn called(rules: &Rules, chart: &Chart, typed: &str) -> Vec<String> {
    let looks = Looks::read(chart, typed).unwrap_or_else(|p| panic!("{typed}: {}", p[0].what));
    let matched = Matched::of(rules, chart, looks);
    (matched.called().into_iter())
        .map(|c| chart.conditions[c].it.condition.clone())
        .collect()
}

/// The most probable: a condition, or `normal`.
pub fn first(rules: &Rules, chart: &Chart, typed: &str) -> String {
    let looks = Looks::read(chart, typed).unwrap_or_else(|p| panic!("{typed}: {}", p[0].what));
    let matched = Matched::of(rules, chart, looks);
    let (each, none) = matched.probabilities();
    match matched.ranked().first() {
        Some(&c) if each[c] > none => chart.conditions[c].it.condition.clone(),
        _ => "normal".into(),
    }
}
