//! From raw readings to graded figures: what `measured.by` of a finding names.
//!
//! A job hands in its standing raw readings; out come, for each finding that is
//! measured and each place, the figure with its standard deviation and the
//! likelihood of every grade. A raw reading feeds a finding once. Where one
//! figure is looked at from two sides (compression too low, too high), the
//! side on which it does not lie is told nothing: two views of one reading are
//! not two readings.

mod compression;
pub use compression::{Sound, cranking, sound, with_last_strokes};
mod leak;
mod log;
pub use log::{Log, Logged};
mod oil;
pub use oil::running;
mod samples;
pub use samples::is_sample;
mod siblings;

use super::shop::{Instrument, Workbench};
use super::{Figure, Kind, UnitSet, normal, units::Unit};
use crate::engine::{Engine, Place};
use crate::problem::Problem;
use crate::rules::file::{By, Dimensions, Finding, Limit, Reading};
use crate::words::three_figures;

/// Above this every grade is as likely as the likeliest, to within a hundredth of a deciban.
const UNTOLD: f64 = 0.998;

/// One raw reading that stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Raw<'a> {
    /// Its index in the job's list of readings.
    pub index: usize,
    /// What is read, as the rules describe it.
    pub reading: &'a Reading,
    /// Where.
    pub place: Place,
    /// What was read.
    pub figure: Figure,
    /// The instrument's name in the shop file, if one was named.
    pub instrument: Option<&'a str>,
    /// The act of the job that it was recorded in: figures of one act belong together.
    pub act: usize,
    /// The engine was at running heat (`true`) or cold through when it was taken, where that is known.
    pub warm: Option<bool>,
}

/// What the reductions need to know beside the readings.
#[derive(Debug, Clone)]
pub struct Bench<'a> {
    /// The engine, with its family's usual dimensions where the job has none.
    pub engine: &'a Engine,
    /// Dimensions that the job itself gives: only these are the maker's.
    pub own: &'a Dimensions,
    /// The shop's air and instruments.
    pub shop: &'a Workbench,
    /// Published limits that apply to this engine.
    pub limits: Vec<&'a Limit>,
    /// The checks of the oil that stand, in the order recorded.
    pub log: Vec<Logged<'a>>,
}

/// A figure brought to what a finding grades, with its standard deviation.
#[derive(Debug, Clone, PartialEq)]
pub struct Reduced {
    /// Where.
    pub place: Place,
    /// The figure.
    pub value: f64,
    /// One standard deviation.
    pub deviation: f64,
    /// Indices of the raw readings that it rests on.
    pub from: Vec<usize>,
    /// How it was got, in words; empty when it is the raw figure.
    pub how: String,
}

/// What a measured finding was found to be.
#[derive(Debug, Clone, PartialEq)]
pub struct Graded {
    /// The finding.
    pub finding: String,
    /// The raw reading that it is measured by.
    pub reading: String,
    /// The figure that it was graded by.
    pub figure: Reduced,
    /// Likelihood of each grade, greatest 1.
    pub likelihood: Vec<f64>,
}

/// The unit that a bare number of a reading means in a set of units.
pub fn usual(reading: &Reading, set: UnitSet) -> Option<Unit> {
    let kind: Kind = reading.quantity.parse().ok()?;
    let named = match set {
        UnitSet::Metric => reading.metric.as_deref(),
        UnitSet::Us => reading.us.as_deref(),
    };
    Some(
        named
            .and_then(|name| Unit::named_of(name, kind.dimensions()))
            .unwrap_or(kind.usual(set)),
    )
}

/// Reads a figure as typed for a raw reading and refuses what cannot be.
///
/// # Errors
/// As [`Figure::parse`]; a figure outside the reading's physical range.
pub fn read(reading: &Reading, text: &str, set: UnitSet) -> Result<Figure, Problem> {
    let kind: Kind = reading.quantity.parse().map_err(Problem::new)?;
    let figure = Figure::parse_as(text, kind, usual(reading, set).unwrap_or(kind.usual(set)))?;
    let title = &reading.title;
    if figure.over.is_some() {
        super::leakdown::check_typed(&figure)?;
    } else if let Some(unit) = Unit::named_of(&reading.unit, kind.dimensions()) {
        figure.within(title, reading.between, unit)?;
    }
    if kind == Kind::OilRate {
        super::oil_use::OilUse::of(figure)?;
    }
    Ok(figure)
}

/// Grades every measured finding that the raw readings speak of, in the order
/// of findings, then places. What could not be brought to a graded figure is
/// told among the problems and left out.
pub fn evidence<'f>(
    findings: impl IntoIterator<Item = &'f Finding>,
    raws: &[Raw],
    bench: &Bench,
) -> (Vec<Graded>, Vec<Problem>) {
    let measured: Vec<&Finding> = findings
        .into_iter()
        .filter(|f| f.measured.is_some())
        .collect();
    let mut graded = Vec::new();
    let mut problems: Vec<Problem> = Vec::new();
    for finding in &measured {
        let Some(how) = &finding.measured else {
            continue;
        };
        let read = raws.iter().any(|raw| raw.reading.reading == how.reading);
        if !read && !oil::speaks_of(&how.reading, bench) {
            continue;
        }
        let (figures, wrong) = reduce(how.by, &how.reading, raws, bench);
        for problem in wrong {
            if !problems.contains(&problem) {
                problems.push(problem);
            }
        }
        for figure in figures {
            let own =
                normal::likelihood(&how.bounds, how.falling(), figure.value, figure.deviation);
            let likelihood = other_side(finding, &measured, &figure)
                .map_or(own.clone(), |hidden| {
                    own.iter().map(|l| hidden + (1.0 - hidden) * l).collect()
                });
            // A figure that tells no grade from another is no evidence.
            if likelihood.iter().all(|l: &f64| *l > UNTOLD) {
                continue;
            }
            graded.push(Graded {
                finding: finding.finding.clone(),
                reading: how.reading.clone(),
                likelihood,
                figure,
            });
        }
    }
    (graded, problems)
}

/// How likely the figure lies on the other side of a two-sided reading: beyond
/// the first bound of a finding that grades the same figure the other way.
fn other_side(finding: &Finding, measured: &[&Finding], figure: &Reduced) -> Option<f64> {
    let own = finding.measured.as_ref()?;
    let other = measured
        .iter()
        .filter_map(|f| f.measured.as_ref())
        .find(|m| m.reading == own.reading && m.by == own.by && m.falling() != own.falling())?;
    let beyond = normal::between(
        figure.value,
        figure.deviation,
        if other.falling() {
            f64::NEG_INFINITY
        } else {
            *other.bounds.first()?
        },
        if other.falling() {
            *other.bounds.first()?
        } else {
            f64::INFINITY
        },
    );
    Some(beyond)
}

/// Brings the raw readings of one kind to graded figures, place by place.
pub fn reduce(by: By, reading: &str, raws: &[Raw], bench: &Bench) -> (Vec<Reduced>, Vec<Problem>) {
    let mut problems = Vec::new();
    let wrong = &mut problems;
    // Of used oil the last sample that has the figure speaks of the oil as it is.
    let last = samples::samples(raws);
    let last = last.iter().rev().find_map(|sample| sample.get(reading));
    let only: Vec<Raw> = last.cloned().into_iter().collect();
    let raws = match by {
        By::Raw if !only.is_empty() => &only,
        _ => raws,
    };
    let figures = match by {
        By::Raw => settled(reading, raws, bench, wrong),
        By::AsReferenceTester => leak::as_reference_tester(reading, raws, bench, wrong),
        By::ShareOfReference => compression::share_of_reference(reading, raws, bench, wrong),
        By::ShareOfFinal => compression::share_of_final(reading, raws, bench, wrong),
        By::ShareOfFinalWhenLow => compression::share_when_low(reading, raws, bench, wrong),
        By::RiseOverDry => compression::rise_over_dry(reading, raws, bench, wrong),
        By::ShareOfLimit => oil::share_of_limit(reading, raws, bench, wrong),
        By::ShareOfSiblings => siblings::share(reading, raws, bench, wrong),
        By::AboveSiblings => siblings::above(reading, raws, bench, wrong),
        By::BelowSiblings => siblings::below(reading, raws, bench, wrong),
        By::AtSeaLevel => oil::at_sea_level(reading, raws, bench, wrong),
        By::RateAgainstEarlier => samples::against_earlier(reading, raws, bench, wrong),
        By::JumpOfRate | By::LevelAboveMark | By::RiseOfLevel => log::reduced(by, bench, wrong),
        By::AtUsualInterval => oil::at_usual_interval(reading, raws, bench, wrong),
    };
    (figures, problems)
}

/// The raw figures in the reading's own unit, repeats at one place averaged:
/// mean, and the deviation of one reading over the root of their number.
fn settled(
    reading: &str,
    raws: &[Raw],
    bench: &Bench,
    problems: &mut Vec<Problem>,
) -> Vec<Reduced> {
    let mut places: Vec<Place> = raws
        .iter()
        .filter(|raw| raw.reading.reading == reading)
        .map(|raw| raw.place)
        .collect();
    places.sort();
    places.dedup();
    let mut found = Vec::new();
    for place in places {
        let mut each = Vec::new();
        for raw in raws
            .iter()
            .filter(|r| r.reading.reading == reading && r.place == place)
        {
            match one(raw, bench) {
                Ok(estimate) => each.push((estimate, raw.index)),
                Err(problem) => problems.push(problem),
            }
        }
        if !each.is_empty() {
            found.push(pooled(place, &each));
        }
    }
    found
}

/// The mean of repeats, each weighed by its own error. A repeat that contradicts
/// what was read before (by more than three deviations of both) stands in its
/// place: the engine was warmed, soaked or mended since, or the first was a slip.
fn pooled(place: Place, each: &[((f64, f64), usize)]) -> Reduced {
    let agrees = |a: &((f64, f64), usize), b: &((f64, f64), usize)| {
        (a.0.0 - b.0.0).abs() <= 3.0 * a.0.1.hypot(b.0.1)
    };
    let last = each.len().saturating_sub(1);
    let from = (0..each.len())
        .rev()
        .take_while(|i| each[*i..].iter().all(|later| agrees(&each[*i], later)))
        .last()
        .unwrap_or(last);
    let standing = &each[from..];
    let weight = |deviation: f64| deviation.max(1e-9).powi(-2);
    let total: f64 = standing.iter().map(|((_, d), _)| weight(*d)).sum();
    let value = standing
        .iter()
        .map(|((v, d), _)| v * weight(*d))
        .sum::<f64>()
        / total;
    Reduced {
        place,
        value,
        deviation: total.powf(-0.5),
        from: standing.iter().map(|(_, index)| *index).collect(),
        how: match (from, standing.len()) {
            (0, 1) => String::new(),
            (0, n) => format!("mean of {n} readings"),
            (_, 1) => "the last reading; what was read before contradicts it".into(),
            (_, n) => {
                format!("mean of the last {n} readings; what was read before contradicts them")
            }
        },
    }
}

/// One raw reading in the unit of its kind, with its standard deviation.
fn one(raw: &Raw, bench: &Bench) -> Result<(f64, f64), Problem> {
    let reading = raw.reading;
    let instrument = bench.shop.instrument(raw.instrument, &reading.reading);
    if raw.figure.over.is_some() {
        return Ok(leak::percent_of_gauges(raw, instrument));
    }
    let kind: Kind = reading.quantity.parse().map_err(Problem::new)?;
    let unit = Unit::named_of(&reading.unit, kind.dimensions()).ok_or_else(|| {
        Problem::new(format!(
            "reading `{}`: `{}` is no unit of {kind}",
            reading.reading, reading.unit
        ))
    })?;
    let value = raw.figure.value_in(unit).ok_or_else(|| {
        Problem::new(format!(
            "{} {} cannot be told in {unit}",
            reading.title, raw.figure
        ))
    })?;
    Ok((value, error_of(value, reading, instrument, unit)))
}

/// The instrument's own repeatability where the shop gives one, else the kind's.
fn error_of(value: f64, reading: &Reading, instrument: Option<&Instrument>, unit: Unit) -> f64 {
    let own = instrument
        .and_then(|it| it.repeatability)
        .and_then(|figure| {
            (figure.unit.dimension() == unit.dimension()).then(|| {
                (figure.unit.error_to_si(1.0, figure.value) / unit.error_to_si(1.0, 1.0)).abs()
            })
        });
    own.unwrap_or(reading.error)
        .hypot(reading.error_share * value)
}

/// `151 of 150 kPa`-like figures in words.
fn said(value: f64) -> String {
    three_figures(value)
}
