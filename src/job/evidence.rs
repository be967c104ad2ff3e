//! From readings that stand to what the network is told: for each finding and
//! place, how well each grade agrees with what was seen and measured.
//!
//! A stated grade is certain, "could not tell" says nothing, a figure is spread
//! over the grades by the gauge's repeatability. Repeats multiply. Nothing here
//! depends on the order in which readings were taken.

use super::doubtful::{contradictions, strange_instruments};
use super::joint::{self, Heard};
use super::meaning::{Meaning, Reader, Understood};
use super::together::together;
use super::{Job, Reading};
use super::{answered, known, oil, plugs};
use crate::engine::{Engine, Place};
use crate::gauge::oil_log::OIL_CHECK;
use crate::gauge::reduce::{self, Bench, Raw};
use crate::gauge::shop::Workbench;
use crate::problem::Problem;
use crate::rules::Rules;
use crate::unroll::Joint;
use crate::words::listed;
use std::collections::{BTreeMap, BTreeSet};

/// What was observed of one finding at one place.
#[derive(Debug, Clone, PartialEq)]
pub struct Observation {
    /// Finding id.
    pub finding: String,
    /// Where.
    pub place: Place,
    /// How well each grade agrees with it, the best 1.
    pub likelihood: Vec<f64>,
    /// It is the complaint: what the engine was brought in with.
    pub complaint: bool,
    /// Indices into the job's readings.
    pub readings: Vec<usize>,
    /// In words: "Leak-down: 38%, cylinder 3".
    pub said: String,
    /// The findings that it speaks of, where those are several; `finding` is then
    /// the sign, or the finding at one of its places.
    pub joint: Option<Joint>,
}

/// Something about the readings that their owner should know.
#[derive(Debug, Clone, PartialEq)]
pub struct Warning {
    /// In a sentence.
    pub says: String,
    /// Indices into the job's readings.
    pub readings: Vec<usize>,
    /// A reading that was not understood and is not counted.
    pub passed_over: bool,
}

/// What was seen, or the figures of one gauge: a part in an observation.
struct Part {
    readings: Vec<usize>,
    likelihood: Vec<f64>,
    value: String,
    title: String,
}

/// What the network is told, in the order first recorded, and what is wrong with the readings.
pub fn evidence(
    rules: &Rules,
    engine: &Engine,
    job: &Job,
    shop: &Workbench,
) -> (Vec<Observation>, Vec<Warning>) {
    let reader = Reader {
        rules,
        engine,
        units: job.file.units,
    };
    let mut warnings = vec![];
    let mut parts: BTreeMap<(String, Place), Vec<Part>> = BTreeMap::new();
    let mut raws: Vec<Raw> = vec![];
    let mut heard: Vec<Heard> = vec![];
    for (index, reading) in job.readings.iter().enumerate() {
        if !reading.counts() {
            continue;
        }
        match reader.understand(&reading.said) {
            Ok(understood) => {
                for it in understood {
                    heard.extend(said_of_several(index, &it));
                    add(rules, index, reading, &it, &mut parts, &mut raws);
                }
            }
            Err(problem) => warnings.push(Warning {
                says: format!(
                    "reading {} (`{}`) is not used: {}",
                    reading.number,
                    reading.said,
                    said_with_hint(problem)
                ),
                readings: vec![index],
                passed_over: true,
            }),
        }
    }
    let bench = Bench {
        engine,
        own: &job.file.engine.dimensions,
        shop,
        limits: rules.limits_for(&engine.traits),
        log: oil::logged(rules, engine, job),
    };
    contradictions(&raws, job, &mut warnings);
    warnings.extend(strange_instruments(job, shop));
    let raws = reduce::with_last_strokes(rules, &raws);
    measured(rules, &raws, &bench, job, &mut parts, &mut warnings);
    by_looks(rules, engine, job, &mut parts, &mut warnings);
    on_the_bench((rules, engine, job, shop), &mut parts, &mut warnings);
    let mut seen: Vec<Observation> = (parts.into_iter())
        .map(|((finding, place), parts)| joined(finding, place, &parts, &mut warnings))
        .collect();
    for it in &mut seen {
        it.complaint = it.readings.iter().any(|&i| job.readings[i].complaint);
    }
    answered::unmask(rules, &mut seen, &mut warnings);
    answered::exclude(rules, &mut seen, &mut warnings);
    let stands = joint::standing(&seen);
    answered::imply(rules, &mut seen);
    joint::settle(rules, engine, job, heard, &stands, &mut seen, &mut warnings);
    seen.extend(known::facts(rules, engine, job));
    let (tried, strange) = known::repairs(rules, engine, job);
    seen.extend(tried);
    warnings.extend(strange);
    seen.sort_by(|a, b| {
        (&a.readings, &a.finding, a.place).cmp(&(&b.readings, &b.finding, b.place))
    });
    warnings.sort_by(|a, b| (&a.readings, &a.says).cmp(&(&b.readings, &b.says)));
    (seen, warnings)
}

/// What a reading says of several findings at once, if it does.
fn said_of_several(index: usize, it: &Understood) -> Option<Heard> {
    let Meaning::Vague { of, says, .. } = &it.meaning else {
        return None;
    };
    Some(Heard {
        reading: index,
        of: of.clone(),
        place: it.place,
        says: says.clone(),
    })
}

/// Files a stated grade under its finding, and a figure among the raw readings.
fn add<'a>(
    rules: &'a Rules,
    index: usize,
    reading: &'a Reading,
    it: &Understood,
    parts: &mut BTreeMap<(String, Place), Vec<Part>>,
    raws: &mut Vec<Raw<'a>>,
) {
    match &it.meaning {
        Meaning::Unknown { .. }
        | Meaning::Vague { .. }
        | Meaning::Looks { .. }
        | Meaning::OilCheck { .. } => {}
        Meaning::Graded { finding, grades } => {
            let title = rules
                .findings
                .get(finding)
                .map_or(finding.as_str(), |f| &f.title);
            parts
                .entry((finding.clone(), it.place))
                .or_default()
                .push(Part {
                    readings: vec![index],
                    likelihood: grades.iter().map(|&g| f64::from(u8::from(g))).collect(),
                    value: reading.said.value.clone(),
                    title: title.into(),
                });
        }
        Meaning::Figure {
            reading: id,
            figure,
        } => raws.extend(rules.readings.get(id).map(|described| Raw {
            index,
            reading: &described.it,
            place: it.place,
            figure: *figure,
            instrument: reading.instrument.as_deref(),
            act: reading.act,
            warm: reading.warm,
        })),
    }
}

/// Brings the raw readings to graded figures and files them under their findings.
fn measured(
    rules: &Rules,
    raws: &[Raw],
    bench: &Bench,
    job: &Job,
    parts: &mut BTreeMap<(String, Place), Vec<Part>>,
    warnings: &mut Vec<Warning>,
) {
    let findings = rules.findings_for(&bench.engine.traits);
    let (graded, problems) = reduce::evidence(findings.iter().map(AsRef::as_ref), raws, bench);
    for it in graded {
        let of = |index: &&usize| raws.iter().find(|raw| raw.index == **index);
        let own: Vec<&Raw> = (it.figure.from.iter())
            .filter_map(|index| of(&index))
            .filter(|raw| raw.place == it.figure.place && raw.reading.reading == it.reading)
            .collect();
        let said: Vec<&str> = (own.iter())
            .map(|raw| job.readings[raw.index].said.value.as_str())
            .collect();
        let value = match (listed(&said, "and"), it.figure.how) {
            (said, how) if said.is_empty() => how,
            (said, how) if how.is_empty() => said,
            (said, how) => format!("{said} ({how})"),
        };
        parts
            .entry((it.finding, it.figure.place))
            .or_default()
            .push(Part {
                title: own
                    .first()
                    .map_or(title_of(rules, OIL_CHECK), |raw| raw.reading.title.clone()),
                readings: it.figure.from,
                likelihood: it.likelihood,
                value,
            });
    }
    warnings.extend(problems.into_iter().map(|problem| Warning {
        says: said_with_hint(problem),
        readings: vec![],
        passed_over: false,
    }));
}

fn title_of(rules: &Rules, reading: &str) -> String {
    let described = rules.readings.get(reading);
    described.map_or(String::new(), |it| it.title.clone())
}

/// What is wrong, and the way out where there is one.
fn said_with_hint(problem: Problem) -> String {
    match problem.hint {
        Some(hint) => format!("{}: {hint}", problem.what),
        None => problem.what,
    }
}

/// What the looks of the plugs say of each finding of the chart.
fn by_looks(
    rules: &Rules,
    engine: &Engine,
    job: &Job,
    parts: &mut BTreeMap<(String, Place), Vec<Part>>,
    warnings: &mut Vec<Warning>,
) {
    let (told, wrong) = plugs::told(rules, engine, job);
    for it in told {
        let title = rules.findings.get(&it.finding).map(|f| f.title.clone());
        parts.entry((it.finding, it.place)).or_default().push(Part {
            readings: it.readings,
            likelihood: it.likelihood,
            value: it.value,
            title: title.unwrap_or_default(),
        });
    }
    warnings.extend(wrong);
}

/// What the figures of the opened engine say of the bench's findings.
fn on_the_bench(
    (rules, engine, job, shop): (&Rules, &Engine, &Job, &Workbench),
    parts: &mut BTreeMap<(String, Place), Vec<Part>>,
    warnings: &mut Vec<Warning>,
) {
    let (told, wrong) = super::opened::told(rules, engine, job, shop);
    for (it, title, value) in told {
        parts.entry((it.finding, it.place)).or_default().push(Part {
            readings: vec![],
            likelihood: it.likelihood,
            value,
            title,
        });
    }
    warnings.extend(wrong);
}

/// The parts of one finding at one place as a single observation.
fn joined(
    finding: String,
    place: Place,
    parts: &[Part],
    warnings: &mut Vec<Warning>,
) -> Observation {
    let readings: BTreeSet<usize> = parts.iter().flat_map(|p| p.readings.clone()).collect();
    let mut values: Vec<&str> = parts.iter().map(|p| p.value.as_str()).collect();
    values.dedup();
    let title = parts.first().map_or("", |p| p.title.as_str());
    let said = place.after(&format!("{title}: {}", listed(&values, "and")));
    let likelihoods: Vec<&[f64]> = parts.iter().map(|p| p.likelihood.as_slice()).collect();
    let (likelihood, agree) = together(&likelihoods);
    if !agree {
        warnings.push(Warning {
            says: format!(
                "{said}: these contradict each other; either is taken as possible, so retract the one that is wrong"
            ),
            readings: readings.iter().copied().collect(),
            passed_over: false,
        });
    }
    Observation {
        finding,
        place,
        likelihood,
        complaint: false,
        readings: readings.into_iter().collect(),
        said,
        joint: None,
    }
}
