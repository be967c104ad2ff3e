//! The chart for one engine, in numbers.

use crate::engine::Engine;
use crate::rules::Rules;
use crate::rules::chart::{Condition, Look, Shows};
use crate::rules::file::Scope;

/// The chart as it holds on one engine.
#[derive(Debug, Clone)]
pub struct Chart<'r> {
    /// Looks, in the order of the chart.
    pub looks: Vec<&'r Look>,
    /// Conditions that a plug of this engine can have, in the order of the chart; the sound plug is not among them.
    pub conditions: Vec<Known<'r>>,
    /// The sound plug.
    pub sound: Known<'r>,
}

/// A condition with its chances.
#[derive(Debug, Clone)]
pub struct Known<'r> {
    /// As the rules have it.
    pub it: &'r Condition,
    /// What the rules say of it on this engine beside `says`.
    pub here: Option<&'r str>,
    /// How often a plug read in a shop has it.
    pub prior: f64,
    /// For each look of the chart the chance of each of its values; none where the condition says nothing of it.
    pub shows: Vec<Option<Vec<f64>>>,
    /// The conditions of the chart that it hides, by index.
    pub hides: Vec<usize>,
}

impl<'r> Chart<'r> {
    /// The chart for an engine; `None` when it has no spark plugs or the rules have no chart.
    pub fn of(rules: &'r Rules, engine: &Engine) -> Option<Self> {
        let mut looks: Vec<_> = rules.looks.values().collect();
        looks.sort_by_key(|l| l.overrides.as_ref().unwrap_or(&l.at));
        let looks: Vec<&Look> = looks.into_iter().map(|l| &l.it).collect();
        let mut entries: Vec<_> = rules.conditions.values().collect();
        entries.sort_by_key(|c| c.overrides.as_ref().unwrap_or(&c.at));
        let sound = &entries.iter().find(|c| c.finding.is_none())?.it;
        let sound = known(rules, engine, &looks, sound, None);
        let mut conditions: Vec<Known> = (entries.into_iter())
            .filter(|c| is_here(rules, engine, c))
            .map(|c| known(rules, engine, &looks, &c.it, Some(&sound)))
            .collect();
        if conditions.is_empty() {
            return None;
        }
        let findings: Vec<_> = conditions.iter().map(|c| c.it.finding.clone()).collect();
        for condition in &mut conditions {
            let finding = condition.it.finding.as_ref();
            let hidden = finding
                .and_then(|f| rules.findings.get(f))
                .map(|f| &f.hides);
            condition.hides = (0..findings.len())
                .filter(|&i| match (&findings[i], hidden) {
                    (Some(finding), Some(hidden)) => hidden.contains(finding),
                    _ => false,
                })
                .collect();
        }
        Some(Chart {
            looks,
            conditions,
            sound,
        })
    }

    /// Index of a look.
    pub fn look(&self, id: &str) -> Option<usize> {
        self.looks.iter().position(|l| l.look == id)
    }

    /// Index of a condition.
    pub fn condition(&self, id: &str) -> Option<usize> {
        self.conditions.iter().position(|c| c.it.condition == id)
    }

    /// Chances of a look's values: those spelt out, the rest shared as `usual` has it.
    pub(super) fn spread(
        rules: &Rules,
        look: &Look,
        shows: &Shows,
        usual: &[f64],
    ) -> Option<Vec<f64>> {
        let spelt = shows.get(&look.look)?;
        let given: Vec<Option<f64>> = (look.values.iter())
            .map(|v| spelt.get(&v.value).map(|c| rules.chance(c)))
            .collect();
        let sum: f64 = given.iter().flatten().sum();
        let open: f64 = (given.iter().zip(usual))
            .filter(|(g, _)| g.is_none())
            .map(|(_, u)| u)
            .sum();
        let left = (1.0 - sum).max(0.0);
        let chances: Vec<f64> = (given.iter().zip(usual))
            .map(|(g, u)| match g {
                Some(p) => *p,
                None if open > 0.0 => left * u / open,
                None => 0.0,
            })
            .collect();
        let whole: f64 = chances.iter().sum();
        (whole > 0.0).then(|| chances.iter().map(|p| p / whole).collect())
    }
}

/// Whether a condition is one that a plug of this engine can have.
fn is_here(rules: &Rules, engine: &Engine, condition: &Condition) -> bool {
    let finding = condition.finding.as_ref();
    finding
        .and_then(|f| rules.findings.get(f))
        .is_some_and(|f| f.scope == Scope::Plug && rules.applies(&engine.traits, &f.on, &f.not_on))
}

fn known<'r>(
    rules: &'r Rules,
    engine: &Engine,
    looks: &[&'r Look],
    it: &'r Condition,
    sound: Option<&Known>,
) -> Known<'r> {
    let here = it
        .other_engines
        .iter()
        .find(|o| rules.applies(&engine.traits, &o.on, &[]));
    let shows = (looks.iter().enumerate())
        .map(|(i, look)| {
            let even = vec![1.0 / look.values.len().max(1) as f64; look.values.len()];
            let usual = sound.and_then(|s| s.shows[i].clone()).unwrap_or(even);
            here.and_then(|o| Chart::spread(rules, look, &o.shows, &usual))
                .or_else(|| Chart::spread(rules, look, &it.shows, &usual))
        })
        .collect();
    let seen = it.seen.as_ref().map_or(0.0, |s| rules.chance(&s.chance));
    let times: f64 = (it.more_common.iter())
        .filter(|o| rules.applies(&engine.traits, &o.on, &o.not_on))
        .map(|o| o.times)
        .product();
    Known {
        it,
        here: here.map(|o| o.says.as_str()),
        prior: with_odds(seen, times),
        shows,
        hides: vec![],
    }
}

/// A probability with its odds multiplied.
pub(super) fn with_odds(p: f64, times: f64) -> f64 {
    let odds = p / (1.0 - p) * times;
    match odds.is_finite() {
        true => odds / (1.0 + odds),
        false => p,
    }
}
