//! The plugs of an engine side by side: which stands out, or all alike.

use super::matched::Matched;
use crate::engine::Place;
use crate::words::{capital, count, listed, lower};
use std::collections::BTreeMap;

/// What the plugs say together of one condition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Together {
    /// Every plug that was read shows it: the engine.
    All,
    /// Some of them do: those cylinders.
    Some(Vec<Place>),
}

/// For each condition called on any plug, by index in the chart, where it is.
///
/// A single plug compared with nothing says nothing of odd or alike.
pub fn together(plugs: &BTreeMap<Place, Matched>) -> BTreeMap<usize, Together> {
    let mut at: BTreeMap<usize, Vec<Place>> = BTreeMap::new();
    for (place, matched) in plugs {
        for condition in matched.called() {
            at.entry(condition).or_default().push(*place);
        }
    }
    (at.into_iter())
        .map(
            |(condition, places)| match places.len() == plugs.len() && plugs.len() > 1 {
                true => (condition, Together::All),
                false => (condition, Together::Some(places)),
            },
        )
        .collect()
}

/// That, in sentences.
pub fn says(plugs: &BTreeMap<Place, Matched>, everywhere: usize) -> Vec<String> {
    let Some(chart) = plugs.values().next().map(|m| m.chart) else {
        return vec![];
    };
    let read = plugs.len();
    let together = together(plugs);
    let mut lines: Vec<String> = (together.iter())
        .map(|(&condition, at)| {
            let title = lower(&chart.conditions[condition].it.title);
            match at {
                Together::All if read == everywhere => format!(
                    "All {read} plugs are alike, {title}: look to what they share - the engine, its mixture, its oil or its plugs."
                ),
                Together::All => format!(
                    "All {read} plugs read so far are alike, {title}; read the other {} before blaming the engine.",
                    everywhere - read
                ),
                Together::Some(places) if read == 1 => format!(
                    "The plug at {} is {title}. One plug alone does not say whether it is the cylinder or the engine: read its neighbours.",
                    listed(&names(places), "and")
                ),
                Together::Some(places) if places.len() == 1 => format!(
                    "The plug at {} stands alone, {title}: look to that cylinder.",
                    places[0]
                ),
                Together::Some(places) => format!(
                    "{} of {read} plugs, at {}, are {title}: look to those cylinders and to what only they share.",
                    places.len(),
                    listed(&names(places), "and")
                ),
            }
        })
        .collect();
    if lines.is_empty() {
        lines.push(format!(
            "{}: nothing of the chart is called.",
            capital(&format!("on {} read", count(read, "plug")))
        ));
    }
    lines
}

fn names(places: &[Place]) -> Vec<String> {
    places.iter().map(Place::to_string).collect()
}
