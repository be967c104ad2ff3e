//! The spark plugs of a job: the looks recorded, matched with the chart, and
//! what they tell of the chart's findings.

mod typed;

use super::Job;
use super::evidence::Warning;
use super::meaning::{Meaning, Reader};
use crate::engine::{Engine, Place};
use crate::plug::{Chart, Looks, Matched};
use crate::rules::Rules;
use std::collections::BTreeMap;

pub use typed::{is_not_seen, names, normal, said};

/// The looks that stand, by plug.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Seen {
    /// All that was said of the plug.
    pub looks: Looks,
    /// As typed.
    pub typed: Vec<String>,
    /// Indices into the job's readings.
    pub readings: Vec<usize>,
    /// Two readings contradict each other.
    pub contradicts: bool,
}

/// What the looks of one plug tell of one finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// Finding id.
    pub finding: String,
    /// The plug.
    pub place: Place,
    /// How well each grade agrees with the looks, the best 1.
    pub likelihood: Vec<f64>,
    /// Indices into the job's readings.
    pub readings: Vec<usize>,
    /// In words: "likely by its looks (black wet oily)".
    pub value: String,
}

/// The looks that stand in a job, by plug.
pub fn seen(rules: &Rules, engine: &Engine, job: &Job, chart: &Chart) -> BTreeMap<Place, Seen> {
    let reader = Reader {
        rules,
        engine,
        units: job.file.units,
    };
    let mut seen: BTreeMap<Place, Seen> = BTreeMap::new();
    for (index, reading) in job.readings.iter().enumerate() {
        if !reading.counts() {
            continue;
        }
        // What is not understood is warned of with the other readings.
        for it in reader.understand(&reading.said).unwrap_or_default() {
            if let Meaning::Looks { typed } = it.meaning
                && let Ok(looks) = Looks::read(chart, &typed)
            {
                let at = seen.entry(it.place).or_default();
                at.contradicts |= !at.looks.and(&looks);
                at.typed.push(typed);
                at.readings.push(index);
            }
        }
    }
    seen
}

/// Every plug whose looks are known and possible, matched with the chart.
pub fn matched<'c, 'r>(
    rules: &'r Rules,
    engine: &Engine,
    job: &Job,
    chart: &'c Chart<'r>,
) -> BTreeMap<Place, Matched<'c, 'r>> {
    (seen(rules, engine, job, chart).into_iter())
        .map(|(place, seen)| (place, Matched::of(rules, chart, seen.looks)))
        .filter(|(_, matched)| matched.is_possible())
        .collect()
}

/// What the looks of every plug tell, and what is odd about them.
pub fn told(rules: &Rules, engine: &Engine, job: &Job) -> (Vec<Told>, Vec<Warning>) {
    let (mut told, mut warnings) = (vec![], vec![]);
    let Some(chart) = Chart::of(rules, engine) else {
        return (told, warnings);
    };
    for (place, seen) in self::seen(rules, engine, job, &chart) {
        let matched = Matched::of(rules, &chart, seen.looks.clone());
        let mut warn = |says: &str| {
            warnings.push(Warning {
                says: place.after(&format!("Plug: {}", seen.typed.join(", "))) + says,
                readings: seen.readings.clone(),
                passed_over: false,
            });
        };
        if seen.contradicts {
            warn(": two readings contradict each other; either is taken as possible");
        }
        if !matched.is_possible() {
            warn(": no condition of the chart looks so; it is not counted, look again");
            continue;
        }
        for look in matched.unfit() {
            let title = chart.looks[look].title.to_lowercase();
            warn(&format!(": {title} does not fit the rest; look again"));
        }
        for (condition, odds) in matched.odds() {
            let Some(finding) = &chart.conditions[condition].it.finding else {
                continue;
            };
            let grades = rules.findings.get(finding).map_or(2, |f| f.grades.len());
            // a look speaks for the finding, not for one of its grades
            let most = odds.max(1.0);
            let likelihood = (0..grades)
                .map(|k| if k == 0 { 1.0 / most } else { odds / most })
                .collect();
            let speaks = if odds > 1.0 { "likely" } else { "no" };
            told.push(Told {
                finding: finding.clone(),
                place,
                likelihood,
                readings: seen.readings.clone(),
                value: format!("{speaks} by its looks ({})", seen.typed.join(", ")),
            });
        }
    }
    (told, warnings)
}
