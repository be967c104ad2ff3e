//! `gauge convert`.

use super::Common;
use crate::answer::Ending;
use crate::gauge::sheet::{Line, Sheet};
use crate::measure::units::Unit;
use crate::measure::{Figure, Kind};
use crate::problem::Problem;
use clap::Args;

/// Arguments of `gauge convert`.
#[derive(Debug, Args)]
pub struct Convert {
    /// A figure with its unit, such as `95psi` or `2000mi/qt`, then the units to tell it in; every one that fits when left out
    #[arg(
        required = true,
        value_name = "FIGURE [UNIT]",
        allow_negative_numbers = true
    )]
    words: Vec<String>,
}

impl Convert {
    /// Works it out.
    ///
    /// # Errors
    /// A figure or unit that is not known, or units that do not go together.
    pub fn sheet(&self, common: &Common) -> Result<Sheet, Ending> {
        // `95 psi bar`: the unit may stand apart from its number.
        let words: Vec<&str> = self
            .words
            .iter()
            .flat_map(|w| w.split_whitespace())
            .collect();
        let bare = |word: &str| {
            word.chars()
                .all(|c| c.is_ascii_digit() || "+-−.".contains(c))
        };
        let (text, to) = match words.as_slice() {
            [number, unit, to @ ..] if bare(number) => (format!("{number} {unit}"), to),
            [figure, to @ ..] => (figure.to_string(), to),
            [] => (String::new(), [].as_slice()),
        };
        let kinds = Kind::ALL.iter();
        let read = kinds
            .filter_map(|kind| Figure::parse(&text, *kind, common.units).ok())
            .find(|figure| {
                !figure.unit.spec().symbol.is_empty() && figure.over.is_none() && !bare(&text)
            });
        let Some(figure) = read else {
            // Tell what is wrong with the number or the unit.
            let text = &text;
            return Err(match Figure::stored(text) {
                Ok(_) => Problem::new(format!("`{text}` has no unit"))
                    .hint("write the unit too, as in `95psi`"),
                Err(what) => Problem::new(what)
                    .hint(format!("write a number and a unit; units are {}", all())),
            }
            .into());
        };
        let units: Vec<Unit> = match to.is_empty() {
            true => Unit::all_of(figure.unit.dimension())
                .filter(|unit| *unit != figure.unit)
                .collect(),
            false => named(to, &figure)?,
        };
        let found = units
            .into_iter()
            .filter_map(|unit| {
                let value = figure.value_in(unit)?;
                Some(Line {
                    id: unit.spec().symbol,
                    title: unit.spec().symbol,
                    cell: crate::gauge::sheet::Cell::Figure(Figure::new(value, unit)),
                    range: None,
                })
            })
            .collect();
        Ok(Sheet {
            gauge: "convert",
            given: vec![Line {
                id: "figure",
                title: "figure",
                cell: crate::gauge::sheet::Cell::Figure(figure),
                range: None,
            }],
            found,
            formula: "through SI by the exact definitions: inch 25.4 mm, pound 0.45359237 kg, standard gravity 9.80665 m/s2, US gallon 231 cubic inches; conventional columns of mercury and water",
            sources: vec!["NIST Special Publication 811 (2008), appendix B".into()],
            ..Sheet::default()
        })
    }
}

fn named(to: &[&str], figure: &Figure) -> Result<Vec<Unit>, Problem> {
    let own = figure.unit.dimension();
    to.iter()
        .map(|name| {
            Unit::named_of(name, &[own]).ok_or_else(|| match Unit::named(name) {
                Some(unit) => Problem::new(format!(
                    "{figure} is {}; `{unit}` is a unit of {}",
                    own.words(),
                    unit.dimension().words()
                )),
                None => Problem::new(format!("`{name}` is no unit"))
                    .hint(format!("units are {}", all())),
            })
        })
        .collect()
}

fn all() -> String {
    let names: Vec<&str> = Unit::all()
        .iter()
        .map(|u| u.spec().symbol)
        .filter(|s| !s.is_empty())
        .collect();
    names.join(", ")
}
