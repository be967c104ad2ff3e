//! The bench's figures of a job: the lines that stand, read and judged, and
//! what they tell the network.

use super::{Job, Warning};
use crate::bench::told::Told;
use crate::bench::{Bench, Judged, Line, Measured, check, told, worked};
use crate::engine::{Engine, Place};
use crate::gauge::shop::Workbench;
use crate::problem::{Problem, Problems};
use crate::rules::Rules;
use crate::rules::file::Measure;
use crate::words::nearest;

/// The bench of a job's engine.
pub fn bench_of<'a>(rules: &'a Rules, engine: &'a Engine, job: &Job) -> Bench<'a> {
    Bench {
        rules,
        engine,
        units: job.file.units,
        bore_new: (job.file.engine.dimensions.bore_mm).map(|mm| mm / 1000.0),
    }
}

/// The figures of the opened engine that stand, with everything that is wrong with them.
pub fn measured(
    rules: &Rules,
    engine: &Engine,
    job: &Job,
    shop: &Workbench,
) -> (Measured, Problems) {
    let (mut measured, mut problems) = (Measured::default(), Problems::new());
    for said in &job.limits {
        if let Err(problem) = measured
            .own
            .read(rules, &said.of, &said.value, job.file.units)
        {
            problems.push(problem);
        }
    }
    for line in &job.bench {
        let scatter = line.instrument.as_deref().and_then(|name| {
            let figure = shop.instruments.get(name)?.repeatability?;
            Some(figure.unit.error_to_si(figure.value, figure.value))
        });
        let said = &line.said;
        let read = measure(rules, engine, &said.of).and_then(|measure| {
            let places = super::place::places(engine, measure.scope, said.at.as_deref(), &said.of)?;
            let read = Line::read(measure, &said.value, job.file.units, scatter)?;
            Ok((places, read))
        });
        match read {
            Ok((places, read)) => measured.lines.extend(
                places
                    .into_iter()
                    .map(|place| ((said.of.clone(), place), read.clone())),
            ),
            Err(problem) => problems.push(Problem {
                what: format!("`{said}`: {}", problem.what),
                ..problem
            }),
        }
    }
    (measured, problems)
}

/// A measurement that this engine can have.
///
/// # Errors
/// No such measurement, or one for other kinds of engines.
pub fn measure<'r>(rules: &'r Rules, engine: &Engine, id: &str) -> Result<&'r Measure, Problem> {
    match rules.measures.get(id) {
        Some(it) if rules.applies(&engine.traits, &it.on, &it.not_on) => Ok(&it.it),
        Some(_) => Err(Problem::new(format!(
            "`{id}` is not measured on this engine"
        ))),
        None => {
            let problem = Problem::new(format!("nothing is measured under `{id}`"));
            Err(
                match nearest(id, rules.measures.keys().map(String::as_str)) {
                    Some(near) => problem.hint(format!("did you mean `{near}`?")),
                    None => problem.hint("`bench --template` lists what is measured"),
                },
            )
        }
    }
}

/// What the network is told, with title and value in words, and what is wrong.
pub(super) fn told(
    rules: &Rules,
    engine: &Engine,
    job: &Job,
    shop: &Workbench,
) -> (Vec<(Told, String, String)>, Vec<Warning>) {
    if job.bench.is_empty() {
        return (vec![], vec![]);
    }
    let bench = bench_of(rules, engine, job);
    let (measured, mut problems) = measured(rules, engine, job, shop);
    problems.extend(check::impossible(&measured));
    let judged = worked::judged(&bench, &measured);
    let told = (told::told(&judged).into_iter())
        .map(|it| {
            let by = &judged[it.by];
            (it.clone(), by.value.title.clone(), said(by))
        })
        .collect();
    let warning = |problem: Problem| Warning {
        says: match problem.hint {
            Some(hint) => format!("{}: {hint}", problem.what),
            None => problem.what,
        },
        readings: vec![],
        passed_over: false,
    };
    (told, problems.into_iter().map(warning).collect())
}

/// `0.062 mm, over the limit`.
fn said(it: &Judged) -> String {
    use crate::bench::Standing;
    let amount = match it.measure.quantity.as_str() {
        "length" => format!(
            "{} mm",
            crate::words::three_figures(it.found.value * 1000.0)
        ),
        _ => format!("{} N", crate::words::three_figures(it.found.value)),
    };
    let stands = match it.standing {
        Some(Standing::Inside) => ", inside its limit",
        Some(Standing::Near) => ", near its limit",
        Some(Standing::Out) => ", over its limit",
        None => "",
    };
    format!("{amount}{stands}")
}

/// Where a line belongs, as the diary keeps it: each place on its own.
///
/// # Errors
/// As [`measure`] and the reading of places and figures.
pub fn understood(
    rules: &Rules,
    engine: &Engine,
    job: &Job,
    said: &super::Said,
) -> Result<Vec<(Place, super::Said)>, Problem> {
    let measure = measure(rules, engine, &said.of)?;
    let places = super::place::places(engine, measure.scope, said.at.as_deref(), &said.of)?;
    Line::read(measure, &said.value, job.file.units, None)?;
    Ok(places
        .into_iter()
        .map(|place| {
            let at = (place != Place::Engine).then(|| place.to_string());
            (place, super::Said { at, ..said.clone() })
        })
        .collect())
}
