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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::Engine;
    use crate::plug::{Chart, Looks};
    use crate::rules::{self, Rules, file::Dimensions};

    fn engine(rules: &Rules) -> Engine {
        let traits = ["four-stroke", "petrol", "spark", "single-plug", "plugged"];
        Engine {
            name: String::new(),
            family: String::new(),
            traits: rules.with_groups(&traits.map(String::from).into()),
            banks: Engine::deal(4, 1),
            dimensions: Dimensions::default(),
        }
    }

    /// What plugs so looking, from cylinder 1 on, say together on four cylinders.
    fn said(looks: &[&str]) -> String {
        let rules = rules::load_whole(None).rules;
        let engine = engine(&rules);
        let chart = Chart::of(&rules, &engine).unwrap();
        let plugs = (1..).zip(looks).map(|(n, typed)| {
            let looks = Looks::read(&chart, typed).unwrap();
            (Place::Cylinder(n), Matched::of(&rules, &chart, looks))
        });
        says(&plugs.collect(), 4).join("\n")
    }

    #[test]
    fn one_odd_plug_is_its_cylinder_and_all_alike_is_the_engine() {
        let (tan, soot) = ("tan dry powder", "black dry soot");
        assert_eq!(
            said(&[tan, tan, soot, tan]),
            "The plug at 3 stands alone, dry carbon: look to that cylinder."
        );
        let all = said(&[soot, soot, soot, soot]);
        assert!(all.starts_with("All 4 plugs are alike, dry carbon") && all.contains("the engine"));
        let some = said(&[soot, soot, tan, tan]);
        assert!(
            some.starts_with("2 of 4 plugs, at 1 and 2, are dry carbon"),
            "{some}"
        );
        assert_eq!(
            said(&[tan, tan, tan, tan]),
            "On 4 plugs read: nothing of the chart is called."
        );
    }

    #[test]
    fn what_was_not_read_is_not_taken_to_be_alike() {
        let soot = "black dry soot";
        assert!(
            said(&[soot]).contains("read its neighbours"),
            "{}",
            said(&[soot])
        );
        let three = said(&[soot, soot, soot]);
        assert!(
            three.contains("All 3 plugs read so far") && three.contains("other 1"),
            "{three}"
        );
    }

    #[test]
    fn two_conditions_are_each_said_for_themselves() {
        let both = said(&[
            "black wet oily",
            "black wet oily rounded wide-gap",
            "tan dry",
            "tan dry",
        ]);
        assert!(
            both.contains("2 of 4 plugs, at 1 and 2, are wet with oil"),
            "{both}"
        );
        assert!(
            both.contains("The plug at 2 stands alone, worn out"),
            "{both}"
        );
    }
}
