//! The gauges' figures of a job, gauge by gauge and cylinder by cylinder: what
//! was read, what it comes to, how it grades, which cylinder stands out, and
//! what changed when it was taken again.

mod says;

use super::meaning::{Meaning, Reader};
use super::{Job, Reading as Taken};
use crate::engine::{Engine, Place};
use crate::gauge::leakdown::LeakDown;
use crate::gauge::reduce::{Bench, Raw, evidence, reduce, usual, with_last_strokes};
use crate::gauge::shop::Workbench;
use crate::measure::units::Unit;
use crate::measure::{Area, Pressure, Share};
use crate::rules::Rules;
use crate::rules::file::By;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

/// One time that a figure was taken.
#[derive(Debug, Clone, PartialEq)]
pub struct Take {
    /// Number of the reading in the record.
    pub number: usize,
    /// As it was said.
    pub said: String,
    /// The number in the gauge's unit, for a comparison; percent for a leak-down.
    pub value: f64,
    /// What was remarked, or the test that it was part of.
    pub remark: String,
}

/// A figure that a finding grades.
#[derive(Debug, Clone, PartialEq)]
pub struct Grading {
    /// The figure that is graded.
    pub value: f64,
    /// Its standard deviation.
    pub deviation: f64,
    /// Bounds between the grades.
    pub bounds: Vec<f64>,
    /// The likeliest grade.
    pub grade: String,
    /// Whether that is grade 0.
    pub sound: bool,
    /// How the figure was got, in words.
    pub how: String,
}

/// One place's figures on a gauge.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Where.
    pub place: Place,
    /// Every time it was taken, in order.
    pub takes: Vec<Take>,
    /// How it grades; none where no finding is measured by it.
    pub grading: Option<Grading>,
    /// Effective leak area of a leak-down, where the tester's restrictor is known.
    pub leak: Option<Area>,
}

/// A gauge's figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Gauge {
    /// Id of the reading.
    pub reading: String,
    /// Its title.
    pub title: String,
    /// The unit that figures are compared in.
    pub unit: Unit,
    /// Place by place.
    pub rows: Vec<Row>,
    /// Lowest over highest, of two cylinders and more.
    pub spread: Option<f64>,
    /// The cylinder that stands out, if one does.
    pub odd: Option<Place>,
    /// What it comes to, in sentences.
    pub says: Vec<String>,
    /// What the expected figure rests on, where it was worked out.
    pub assumed: Vec<String>,
}

/// Every gauge of a job that has standing figures, in the order of the readings' ids.
pub fn figures(rules: &Rules, engine: &Engine, job: &Job, shop: &Workbench) -> Vec<Gauge> {
    let reader = Reader {
        rules,
        engine,
        units: job.file.units,
    };
    let mut raws: Vec<Raw> = Vec::new();
    let mut takes: BTreeMap<usize, &Taken> = BTreeMap::new();
    for (index, reading) in job.readings.iter().enumerate() {
        if !reading.counts() {
            continue;
        }
        for it in reader.understand(&reading.said).unwrap_or_default() {
            let Meaning::Figure {
                reading: id,
                figure,
            } = &it.meaning
            else {
                continue;
            };
            let Some(described) = rules.readings.get(id) else {
                continue;
            };
            takes.insert(index, reading);
            raws.push(Raw {
                index,
                reading: &described.it,
                place: it.place,
                figure: *figure,
                instrument: reading.instrument.as_deref(),
                act: reading.act,
                warm: reading.warm,
            });
        }
    }
    let bench = Bench {
        engine,
        own: &job.file.engine.dimensions,
        shop,
        limits: rules.limits_for(&engine.traits),
        log: vec![],
    };
    let gradings = gradings(rules, &with_last_strokes(rules, &raws), &bench);
    let mut ids: Vec<&str> = raws
        .iter()
        .map(|raw| raw.reading.reading.as_str())
        .collect();
    ids.sort_unstable();
    ids.dedup();
    ids.into_iter()
        .filter_map(|id| gauge(id, &raws, &takes, &gradings, &bench, job))
        .collect()
}

/// How each reading grades at each place, every finding measured by it looked at.
fn gradings(rules: &Rules, raws: &[Raw], bench: &Bench) -> BTreeMap<(String, Place), Grading> {
    let findings = rules.findings_for(&bench.engine.traits);
    let mut found: BTreeMap<(String, Place), Grading> = BTreeMap::new();
    // What could not be brought to a figure is told with the ranking; here it stays raw.
    let (graded, _) = evidence(findings.iter().map(AsRef::as_ref), raws, bench);
    for it in graded {
        let Some(finding) = findings.iter().find(|f| f.finding == it.finding) else {
            continue;
        };
        // A trend has a scale of its own and is said in words.
        if finding
            .measured
            .as_ref()
            .is_some_and(|m| m.by == By::RateAgainstEarlier)
        {
            continue;
        }
        let likeliest = (0..it.likelihood.len())
            .max_by(|a, b| {
                it.likelihood[*a]
                    .total_cmp(&it.likelihood[*b])
                    .then(b.cmp(a))
            })
            .unwrap_or(0);
        let grading = Grading {
            value: it.figure.value,
            deviation: it.figure.deviation,
            bounds: finding
                .measured
                .as_ref()
                .map(|m| m.bounds.clone())
                .unwrap_or_default(),
            grade: finding.grades.get(likeliest).cloned().unwrap_or_default(),
            sound: likeliest == 0,
            how: it.figure.how,
        };
        match found.entry((it.reading, it.figure.place)) {
            Entry::Vacant(place) => {
                place.insert(grading);
            }
            Entry::Occupied(mut place) => place.get_mut().beside(grading),
        }
    }
    found
}

impl Grading {
    /// Two views of one figure (too low, too high): the bounds of both, and the
    /// grade of the one that is not sound.
    fn beside(&mut self, other: Grading) {
        self.bounds.extend(other.bounds);
        self.bounds.sort_by(f64::total_cmp);
        if self.sound && !other.sound {
            self.grade = other.grade;
            self.sound = false;
        }
    }
}

fn gauge(
    id: &str,
    raws: &[Raw],
    takes: &BTreeMap<usize, &Taken>,
    gradings: &BTreeMap<(String, Place), Grading>,
    bench: &Bench,
    job: &Job,
) -> Option<Gauge> {
    let own: Vec<&Raw> = raws
        .iter()
        .filter(|raw| raw.reading.reading == id)
        .collect();
    let reading = own.first()?.reading;
    let unit = usual(reading, job.file.units)?;
    let mut places: Vec<Place> = own.iter().map(|raw| raw.place).collect();
    places.sort();
    places.dedup();
    let rows: Vec<Row> = places
        .into_iter()
        .map(|place| {
            let here: Vec<&&Raw> = own.iter().filter(|raw| raw.place == place).collect();
            Row {
                place,
                leak: here.last().and_then(|raw| leak(raw, bench)),
                takes: here.iter().map(|raw| take(raw, takes, unit)).collect(),
                grading: gradings.get(&(id.to_string(), place)).cloned(),
            }
        })
        .collect();
    let last: Vec<(Place, f64)> = rows
        .iter()
        .filter(|row| row.place != Place::Engine)
        .filter_map(|row| Some((row.place, row.takes.last()?.value)))
        .collect();
    let spread = spread(id, &last);
    let odd = odd_one(&last, reading.error_share);
    let mut gauge = Gauge {
        reading: id.to_string(),
        title: reading.title.clone(),
        unit,
        rows,
        spread,
        odd,
        says: vec![],
        assumed: vec![],
    };
    if id == "compression" {
        let (band, assumed) = says::band(unit, bench, raws).unzip();
        gauge.says.extend(band);
        gauge.assumed = assumed.unwrap_or_default();
    }
    let says = says::says(&gauge, reading);
    gauge.says.extend(says);
    if reading.quantity == "ppm" {
        let (trend, _) = reduce(By::RateAgainstEarlier, id, raws, bench);
        gauge.says.extend(trend.iter().map(says::trend));
    }
    Some(gauge)
}

fn take(raw: &Raw, takes: &BTreeMap<usize, &Taken>, unit: Unit) -> Take {
    let taken = takes.get(&raw.index);
    let value = match raw.figure.over {
        Some(over) => 100.0 * (1.0 - raw.figure.value / over),
        None => raw.figure.value_in(unit).unwrap_or(raw.figure.value),
    };
    let remark = taken.and_then(|t| t.note.clone().or_else(|| t.test.clone()));
    Take {
        number: taken.map_or(0, |t| t.number),
        said: raw.figure.to_string(),
        value,
        remark: remark.unwrap_or_default(),
    }
}

/// Effective leak area of a leak-down reading.
fn leak(raw: &Raw, bench: &Bench) -> Option<Area> {
    if raw.reading.quantity != "leakage" {
        return None;
    }
    let instrument = bench.shop.instrument(raw.instrument, &raw.reading.reading);
    let gauge = |value| Pressure::from_si(raw.figure.unit.to_si(value));
    let tester = bench.shop.tester(instrument, raw.figure.over.map(gauge));
    let found = match raw.figure.over {
        Some(_) => LeakDown::of_gauges(&tester, gauge(raw.figure.value)),
        None => LeakDown::of_percent(
            &tester,
            Share::from_si(raw.figure.unit.to_si(raw.figure.value)),
        ),
    };
    found.ok()?.area
}

/// Lowest over highest; told of compression, where manuals have a limit for it.
fn spread(id: &str, last: &[(Place, f64)]) -> Option<f64> {
    let high = last.iter().map(|(_, v)| *v).fold(0.0, f64::max);
    let low = last.iter().map(|(_, v)| *v).fold(f64::INFINITY, f64::min);
    (id.starts_with("compression") && last.len() > 1 && high > 0.0).then(|| low / high)
}

/// The one whose figure lies apart from all the others: further from the middle
/// of them than three times their own scatter, and than a tenth (judgement).
fn odd_one(last: &[(Place, f64)], error_share: f64) -> Option<Place> {
    if last.len() < 3 {
        return None;
    }
    let apart = |at: usize| -> f64 {
        let mut others: Vec<f64> = last
            .iter()
            .enumerate()
            .filter(|(i, _)| *i != at)
            .map(|(_, (_, v))| *v)
            .collect();
        others.sort_by(f64::total_cmp);
        let middle = others[others.len() / 2];
        let mut away: Vec<f64> = others.iter().map(|v| (v - middle).abs()).collect();
        away.sort_by(f64::total_cmp);
        let scatter = 1.5 * away[away.len() / 2];
        let least = scatter
            .max(error_share * middle.abs())
            .max(0.033 * middle.abs())
            .max(1e-9);
        (last[at].1 - middle).abs() / least
    };
    let far: Vec<usize> = (0..last.len()).filter(|i| apart(*i) > 3.0).collect();
    match far.as_slice() {
        [one] => Some(last[*one].0),
        _ => None,
    }
}
