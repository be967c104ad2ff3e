//! What is drawn of a plug: one value for each look and three colours, taken
//! from a condition of the chart or from what was seen of a plug.

use crate::plug::{Chart, Known, Looks};
use crate::rules::chart::Colours;
use std::collections::BTreeMap;

/// A plug as it is drawn, on a page or on a terminal.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// Look id to value id.
    values: BTreeMap<String, String>,
    /// Colours of what lies on it, of the insulator nose and of the metal.
    pub colours: Colours,
}

impl Drawn {
    /// A condition: the likeliest value of each look; what a sound plug shows where
    /// the condition says nothing.
    pub fn of_condition(chart: &Chart, known: &Known) -> Self {
        let likeliest = |(i, look): (usize, &&crate::rules::chart::Look)| {
            let shown = known.shows[i].as_ref().or(chart.sound.shows[i].as_ref())?;
            let mut best = 0;
            for (k, p) in shown.iter().enumerate() {
                if *p > shown[best] {
                    best = k;
                }
            }
            Some((look.look.clone(), look.values.get(best)?.value.clone()))
        };
        Drawn {
            values: chart
                .looks
                .iter()
                .enumerate()
                .filter_map(likeliest)
                .collect(),
            colours: known.it.colours.clone(),
        }
    }

    /// A plug as it was seen: the looks said, the first where several are possible;
    /// what was not said is drawn as on a sound plug.
    pub fn of_looks(chart: &Chart, looks: &Looks) -> Self {
        let mut drawn = Drawn::of_condition(chart, &chart.sound);
        for (&i, values) in &looks.seen {
            let look = chart.looks[i];
            let met = (look.values.iter().zip(values)).filter(|(_, met)| **met);
            let usual = drawn.values.get(&look.look);
            let first = match met.clone().find(|(v, _)| Some(&v.value) == usual) {
                Some(as_usual) => Some(as_usual),
                None => met.clone().next(),
            };
            let Some((value, _)) = first else { continue };
            drawn.values.insert(look.look.clone(), value.value.clone());
            if let Some(colour) = &value.colour {
                drawn.colours = Colours {
                    deposit: colour.clone(),
                    nose: mixed(colour, "#ffffff", 0.15),
                    metal: mixed(colour, "#8a8378", 0.45),
                };
            }
        }
        drawn
    }

    /// Whether a look has a value.
    pub fn is(&self, look: &str, value: &str) -> bool {
        self.values.get(look).is_some_and(|v| v == value)
    }

    /// The value of a look.
    pub fn value(&self, look: &str) -> &str {
        self.values.get(look).map_or("", String::as_str)
    }
}

/// Red, green and blue of `#rrggbb`, 0 to 255; grey when it is no colour.
pub fn rgb(colour: &str) -> (u8, u8, u8) {
    let part = |from: usize| {
        let digits = colour.get(from..from + 2)?;
        u8::from_str_radix(digits, 16).ok()
    };
    match (part(1), part(3), part(5)) {
        (Some(r), Some(g), Some(b)) => (r, g, b),
        _ => (128, 128, 128),
    }
}

/// A colour with a share of another in it.
pub fn mixed(colour: &str, other: &str, share: f64) -> String {
    let (a, b) = (rgb(colour), rgb(other));
    let mix = |x: u8, y: u8| (f64::from(x) * (1.0 - share) + f64::from(y) * share).round() as u8;
    format!(
        "#{:02x}{:02x}{:02x}",
        mix(a.0, b.0),
        mix(a.1, b.1),
        mix(a.2, b.2)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_are_mixed_by_shares() {
        assert_eq!(mixed("#000000", "#ffffff", 0.5), "#808080");
        assert_eq!(mixed("#102030", "#ffffff", 0.0), "#102030");
        assert_eq!(rgb("no colour"), (128, 128, 128));
        assert_eq!(rgb("#é00000"), (128, 128, 128));
    }
}
