//! Reads the inputs of a calculator, noting every one that cannot be.

use super::{Air, Common};
use crate::gauge::sheet::Line;
use crate::gauge::{Absolute, Figure, Kind, Number, Of, Quantity, Range, UnitSet, air, of};
use crate::problem::{Problem, Problems};
use crate::rules::Rules;
use std::collections::BTreeSet;

/// The inputs read so far, and what was wrong with others.
pub struct Inputs {
    /// What bare numbers mean.
    pub set: UnitSet,
    /// Inputs as written.
    pub given: Vec<Line>,
    problems: Problems,
}

impl Inputs {
    /// Nothing read yet.
    pub fn new(common: &Common) -> Self {
        Inputs {
            set: common.units,
            given: vec![],
            problems: vec![],
        }
    }

    /// A quantity, if it was given; refused outside its range.
    pub fn take<D: Of>(
        &mut self,
        id: &'static str,
        text: Option<&String>,
        kind: Kind,
        range: &Range<D>,
    ) -> Option<Quantity<D>> {
        let text = text?;
        let read = Figure::parse(text, kind, self.set)
            .map_err(|problem| Problem {
                what: format!("{}: {}", range.what, problem.what),
                ..problem
            })
            .and_then(|figure| {
                let unit = figure.unit.typed::<D>().ok_or_else(|| {
                    Problem::new(format!("{}: `{text}` is not {}", range.what, kind.words()))
                })?;
                let quantity = range.check_in(Quantity::of(figure.value, unit), figure.unit)?;
                Ok((quantity, figure))
            });
        match read {
            Ok((quantity, figure)) => {
                self.given.push(Line::given(id, figure, range));
                Some(quantity)
            }
            Err(problem) => {
                self.problems.push(problem);
                None
            }
        }
    }

    /// A bare number, if it was given.
    pub fn number(
        &mut self,
        id: &'static str,
        text: Option<&String>,
        range: &Range<of::Number>,
    ) -> Option<f64> {
        self.take(id, text, Kind::Number, range).map(Number::si)
    }

    /// A kind of engine by its traits or its family, with the groups that they belong to.
    pub fn traits(&mut self, words: &[String], rules: &Rules) -> BTreeSet<String> {
        let mut traits = BTreeSet::new();
        for word in words {
            if rules.axis_of(word).is_some() {
                traits.insert(word.clone());
                continue;
            }
            if let Some(family) = rules.families.get(word) {
                traits.extend(rules.family_traits(family));
                continue;
            }
            let axes = rules.axes.values();
            let known = axes.flat_map(|axis| axis.traits.iter().chain(axis.groups.keys()));
            let known = known.chain(rules.families.keys());
            let problem = Problem::new(format!("no trait or family is called `{word}`"));
            self.refuse(
                match crate::words::nearest(word, known.map(String::as_str)) {
                    Some(near) => problem.hint(format!("did you mean `{near}`?")),
                    None => problem.hint("`sootsayer rules list families` lists the families"),
                },
            );
        }
        rules.with_groups(&traits)
    }

    /// Notes a problem.
    pub fn refuse(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    /// Keeps a result, or notes its problem.
    pub fn kept<T>(&mut self, it: Result<T, Problem>) -> Option<T> {
        it.map_err(|problem| self.problems.push(problem)).ok()
    }

    /// The air around.
    pub fn air(&mut self, given: &Air) -> Absolute {
        let altitude = self.take(
            "altitude",
            given.altitude.as_ref(),
            Kind::Altitude,
            &air::ALTITUDE,
        );
        let barometer = self.take(
            "barometer",
            given.barometer.as_ref(),
            Kind::Barometer,
            &air::BAROMETER,
        );
        let around = air::surroundings(barometer, altitude);
        self.kept(around).unwrap_or(air::SEA_LEVEL)
    }

    /// The inputs, if all could be read.
    ///
    /// # Errors
    /// Every problem noted.
    pub fn done(&mut self) -> Result<Vec<Line>, Problems> {
        match self.problems.is_empty() {
            true => Ok(std::mem::take(&mut self.given)),
            false => Err(std::mem::take(&mut self.problems)),
        }
    }
}
