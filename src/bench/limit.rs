//! Limits: the maker's own first, else the general ones of the rules.

use super::worked::NEAR;
use super::{Bench, Measured};
use crate::engine::Place;
use crate::measure::units::Unit;
use crate::measure::{Figure, Kind, UnitSet};
use crate::problem::Problem;
use crate::rules::Rules;
use crate::rules::file::{Basis, Measure, Value, WearLimit};
use crate::words::nearest;
use std::collections::BTreeMap;

/// The maker's figures as the job gives them, in SI, by id: `bore-taper`, `bore-new`.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Own(pub BTreeMap<String, f64>);

impl Own {
    /// Reads one figure: a worked-out value's limit, or the size when new of a measurement (`bore-new`).
    ///
    /// # Errors
    /// An id that is neither, or a figure that cannot be read.
    pub fn read(
        &mut self,
        rules: &Rules,
        id: &str,
        text: &str,
        units: UnitSet,
    ) -> Result<(), Problem> {
        let measures = || rules.measures.values().map(|m| &m.it);
        let sized = id
            .strip_suffix("-new")
            .and_then(|m| rules.measures.get(m))
            .map(|m| &m.it);
        let valued = measures().find(|m| m.gives.iter().any(|v| v.value == id));
        let Some(measure) = sized.or(valued) else {
            let values = measures().flat_map(|m| m.gives.iter().map(|v| v.value.as_str()));
            let problem = Problem::new(format!("no limit is called `{id}`"));
            return Err(match nearest(id, values) {
                Some(near) => problem.hint(format!("did you mean `{near}`?")),
                None => problem.hint("`bench --template` lists what is measured; sizes when new are written `bore-new`"),
            });
        };
        let kind: Kind = measure.quantity.parse().map_err(Problem::new)?;
        let figure = Figure::parse(text, kind, units)?;
        let si = figure.unit.to_si(figure.value);
        if si <= 0.0 {
            return Err(Problem::new(format!("the limit `{id}` must be above 0")));
        }
        if sized.is_some() {
            within(measure, figure)?;
        }
        self.0.insert(id.to_string(), si);
        Ok(())
    }

    /// The size when new of a measurement.
    pub fn new_size(&self, measure: &str) -> Option<f64> {
        self.0.get(&format!("{measure}-new")).copied()
    }
}

fn within(measure: &Measure, figure: Figure) -> Result<(), Problem> {
    match Unit::named(&measure.unit) {
        Some(unit) => figure.within(
            &format!("{} when new", measure.title),
            measure.between,
            unit,
        ),
        None => Ok(()),
    }
}

/// A limit as it stands on this engine, in SI.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit<'r> {
    /// The limit.
    pub at: f64,
    /// What a new one has at most.
    pub new: Option<f64>,
    /// Whether less is worse.
    pub falls: bool,
    /// What it says and rests on; `None` where it is the maker's own.
    pub from: Option<(&'r str, &'r Basis)>,
}

impl Limit<'_> {
    /// From here on a value is near the limit.
    pub fn near(&self) -> f64 {
        let new = self
            .new
            .unwrap_or(if self.falls { self.at / NEAR } else { 0.0 });
        new + NEAR * (self.at - new)
    }
}

/// The limit of a value at a place.
pub(super) fn limit<'r>(
    bench: &Bench<'r>,
    measured: &Measured,
    value: &'r Value,
    place: Place,
) -> Option<Limit<'r>> {
    let traits = &bench.engine.traits;
    let met = value
        .limits
        .iter()
        .filter(|l| bench.rules.applies(traits, &l.on, &l.not_on));
    let general = met.max_by_key(|l| l.on.len());
    if let Some(own) = measured.own.0.get(&value.value) {
        return Some(Limit {
            at: *own,
            new: None,
            falls: general.is_some_and(|l| l.least.is_some()),
            from: None,
        });
    }
    let general = general?;
    let scale = scale(bench, measured, general, place)?;
    let figure = general.most.or(general.least)?;
    Some(Limit {
        at: figure * scale,
        new: general.new.map(|new| new * scale),
        falls: general.least.is_some(),
        from: Some((&general.says, &general.basis)),
    })
}

/// What a figure of the limit is worth in SI: its unit, or the size that it is a share of.
fn scale(bench: &Bench, measured: &Measured, limit: &WearLimit, place: Place) -> Option<f64> {
    let Some(per) = &limit.per else {
        return Unit::named(&limit.unit).map(|unit| unit.error_to_si(1.0, 1.0));
    };
    let own = measured.own.new_size(per);
    let here = measured.lines.get(&(per.clone(), place));
    let any = measured
        .lines
        .iter()
        .find(|((id, _), _)| id == per)
        .map(|(_, line)| line);
    let measured = here.or(any).map(|line| {
        let (sum, count) = line.all().fold((0.0, 0), |(s, n), v| (s + v, n + 1));
        sum / f64::from(count.max(1))
    });
    let usual = (per == "bore")
        .then_some(bench.engine.dimensions.bore_mm)
        .flatten();
    own.or(measured).or(usual.map(|mm| mm / 1000.0))
}
