//! One line of figures as typed: `80.05/80.02 80.03/80.01 80.00/80.00`.
//!
//! Blanks (or commas) part the places along it, top first; a stroke parts the
//! two axes; `;` parts journals in a row; `-` is a place that was not reached.
//! Each figure may carry its own unit; a bare one is in the job's.

use crate::measure::units::Unit;
use crate::measure::{Figure, Kind, UnitSet};
use crate::problem::Problem;
use crate::rules::file::{Form, Measure};

/// Sizes of one thing: places along it, each on one or two axes, in SI; `None` was not reached.
pub type Sizes = Vec<Vec<Option<f64>>>;

/// A line of figures, read.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// As typed.
    pub text: String,
    /// The things in a row, each with its sizes; all but journals have one.
    pub things: Vec<Sizes>,
    /// Scatter of one reading, in SI.
    pub scatter: f64,
    /// Error of the setting, in SI.
    pub setting: f64,
}

impl Line {
    /// Reads a line of a measurement; `scatter` replaces the rules' error, in SI.
    ///
    /// # Errors
    /// No figure, a unit of another kind, a figure outside the physical range
    /// (with the unit that may have been meant), more depths or axes than there are.
    pub fn read(
        measure: &Measure,
        text: &str,
        units: UnitSet,
        scatter: Option<f64>,
    ) -> Result<Line, Problem> {
        let kind: Kind = measure.quantity.parse().map_err(Problem::new)?;
        let unit = Unit::named_of(&measure.unit, kind.dimensions())
            .ok_or_else(|| Problem::new(format!("`{}` is no unit", measure.unit)))?;
        let own = |value: f64| unit.error_to_si(1.0, value);
        let mut things = vec![];
        for thing in text.split(';') {
            let points = joined(thing);
            let mut sizes = vec![];
            for point in &points {
                let axes: Result<Vec<Option<f64>>, Problem> = point
                    .split('/')
                    .map(|word| figure(measure, kind, unit, word.trim(), units))
                    .collect();
                sizes.push(axes?);
            }
            shape(measure, text, &sizes)?;
            things.push(sizes);
        }
        if things.len() > 1 && measure.form != Form::Journal {
            return Err(wrong(measure, text, "`;` parts journals only"));
        }
        Ok(Line {
            text: text.to_string(),
            things,
            scatter: scatter.unwrap_or(own(measure.error)),
            setting: own(measure.setting_error),
        })
    }

    /// Every figure that was reached, in SI.
    pub fn all(&self) -> impl Iterator<Item = f64> + '_ {
        self.things.iter().flatten().flatten().filter_map(|v| *v)
    }
}

/// The places of a thing; a unit apart from its figure belongs to it.
fn joined(text: &str) -> Vec<String> {
    let mut out: Vec<String> = vec![];
    for word in text.split([' ', ',']).filter(|w| !w.is_empty()) {
        let bare = word.chars().all(|c| c.is_alphabetic() || c == '"');
        match (out.last_mut(), bare && Unit::named(word).is_some()) {
            (Some(last), true) => last.push_str(&format!(" {word}")),
            _ => out.push(word.to_string()),
        }
    }
    out
}

fn figure(
    measure: &Measure,
    kind: Kind,
    unit: Unit,
    word: &str,
    units: UnitSet,
) -> Result<Option<f64>, Problem> {
    if word == "-" || word == "−" {
        return Ok(None);
    }
    let figure = Figure::parse(word, kind, units)?;
    if let Err(problem) = figure.within(&measure.title, measure.between, unit) {
        let other = [UnitSet::Metric, UnitSet::Us]
            .into_iter()
            .map(|set| kind.usual(set))
            .find(|other| {
                let meant = Figure::new(figure.value, *other);
                *other != figure.unit && meant.within("", measure.between, unit).is_ok()
            });
        return Err(match other {
            Some(other) => problem.hint(format!("if it was in {other}, write `{word} {other}`")),
            None => problem,
        });
    }
    Ok(figure.value_in(unit).map(|v| unit.to_si(v)))
}

fn wrong(measure: &Measure, text: &str, why: &str) -> Problem {
    Problem::new(format!("{} `{text}`: {why}", measure.title)).hint(match measure.form {
        Form::Bore => "write three depths from the top, each across/along the pin: `80.05/80.02 80.03/80.01 80.00/80.00`; `-` for one not reached",
        Form::Journal => "write both ends, each on two axes: `47.98/47.97 47.98/47.98`; journals apart by `;`",
        Form::Single => "write one figure",
        Form::Each => "write one figure, or several in a row",
    })
}

fn shape(measure: &Measure, text: &str, sizes: &Sizes) -> Result<(), Problem> {
    let reached = sizes.iter().flatten().flatten().count();
    let axes = sizes.iter().map(Vec::len).max().unwrap_or(0);
    let why = match measure.form {
        _ if reached == 0 => "there is no figure in it",
        Form::Bore if sizes.len() > 3 => "a bore has three depths",
        Form::Bore | Form::Journal if axes > 2 => "a depth has two axes",
        Form::Bore | Form::Journal if reached < 2 => "one figure alone says nothing of its shape",
        Form::Single if sizes.len() > 1 || axes > 1 => "it is one figure",
        Form::Each if axes > 1 => "a stroke parts the axes of a bore or journal",
        _ => return Ok(()),
    };
    Err(wrong(measure, text, why))
}
