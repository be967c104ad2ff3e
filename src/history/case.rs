//! One closed job held against what it turned out to be.

use crate::diagnose::Diagnosis;
use crate::diagnose::rank::{self, Ranking};
use crate::engine::Engine;
use crate::gauge::shop::Workbench;
use crate::job::{self, Holds, Job, Observation, layout};
use crate::problem::Problem;
use crate::rules::Rules;
use crate::rules::file::CauseSort;
use crate::unroll::{Tailored, Unrolled};
use std::collections::{BTreeMap, BTreeSet};

/// The topic of the findings that need the engine open: no evidence of the ranking before it.
const BENCH: &str = "bench";

/// A probability given before, and what came of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Forecast {
    /// Probability.
    pub p: f64,
    /// Whether it was so.
    pub was: bool,
}

/// What one test told of what was there.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// Test id.
    pub test: String,
    /// Bits by which what it turned out to be became more (or less) expected.
    pub bits: f64,
    /// Minutes that it takes by the rules.
    pub minutes: f64,
}

/// How many there should have been of a kind of cause, and how many were found.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Count {
    /// By the rules before any reading, roots and history counted in.
    pub expected: f64,
    /// The part of that which is the kind's own base rate, not brought about by a root.
    pub own: f64,
    /// Found.
    pub found: f64,
    /// Jobs on engines that can have it.
    pub jobs: usize,
}

/// One closed job.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// The file that it is in.
    pub name: String,
    /// Faults found, by kind.
    pub found: BTreeSet<String>,
    /// The best place in the ranking that a found fault had, from 1; none where no fault was found.
    pub placed: Option<usize>,
    /// For every kind of fault: its probability, and whether it was there.
    pub forecasts: BTreeMap<String, Forecast>,
    /// What each test told, in the order done.
    pub tests: Vec<Told>,
    /// What the estimate gave (10 %, middle, 90 %) and what it came to.
    pub cost: Option<([f64; 3], f64)>,
    /// Kinds of causes: expected and found.
    pub counts: BTreeMap<String, Count>,
    /// Times that it came back.
    pub comebacks: usize,
}

/// Ranks a closed job again and holds it against what was found.
///
/// # Errors
/// An engine, a cause or readings that the rules do not allow.
pub fn case(rules: &Rules, shop: &Workbench, name: &str, job: &Job) -> Result<Case, Problem> {
    let closure = job
        .closed
        .as_ref()
        .ok_or_else(|| Problem::new("the job is not closed"))?;
    let engine = layout::engine(rules, &job.file.engine).map_err(|wrong| {
        wrong
            .into_iter()
            .next()
            .map_or(Problem::new("no such engine"), |m| m.problem)
    })?;
    let facts: BTreeSet<String> = (job.facts.iter())
        .filter(|(_, holds)| **holds == Holds::Yes)
        .map(|(fact, _)| fact.clone())
        .collect();
    let unrolled = Unrolled::of(Tailored::of(rules, &engine, &facts), &engine)?;
    let found = kinds_found(rules, &unrolled, &closure.it.found)?;
    let (all, _) = job::evidence(rules, &engine, job, shop);
    let before: Vec<Observation> = (all.into_iter())
        .filter(|o| {
            rules
                .findings
                .get(&o.finding)
                .is_none_or(|f| f.system != BENCH)
        })
        .collect();
    let d = Diagnosis::of(rules, &engine, &unrolled, &before)?;
    let ranking = rank::rank(&d)?;
    let faults: BTreeSet<String> = (found.keys())
        .filter(|kind| {
            rules
                .causes
                .get(*kind)
                .is_some_and(|c| c.sort != CauseSort::Root)
        })
        .cloned()
        .collect();
    let forecasts = (ranking.kinds.iter())
        .map(|k| {
            let was = faults.contains(&k.id);
            (
                k.id.clone(),
                Forecast {
                    p: k.probability,
                    was,
                },
            )
        })
        .collect();
    Ok(Case {
        name: name.to_string(),
        placed: ranking
            .kinds
            .iter()
            .position(|k| faults.contains(&k.id))
            .map(|i| i + 1),
        tests: told(rules, &engine, &unrolled, job, &before, &faults)?,
        counts: counts(&unrolled, &ranking, &found),
        cost: closure
            .it
            .estimate
            .zip(closure.it.cost.or(closure.it.hours)),
        comebacks: closure.comebacks.len(),
        found: faults,
        forecasts,
    })
}

/// The kinds found, with how many places each.
fn kinds_found(
    rules: &Rules,
    unrolled: &Unrolled,
    found: &[String],
) -> Result<BTreeMap<String, usize>, Problem> {
    let mut kinds: BTreeMap<String, usize> = BTreeMap::new();
    for id in found {
        let kind = id.split('@').next().unwrap_or(id);
        if !rules.causes.contains_key(kind) {
            return Err(Problem::new(format!(
                "it was closed as `{id}`, which the rules do not know"
            )));
        }
        if !unrolled.kinds.causes.iter().any(|k| k.id == kind) {
            return Err(Problem::new(format!(
                "it was closed as `{id}`, which this kind of engine cannot have"
            )));
        }
        *kinds.entry(kind.to_string()).or_default() += 1;
    }
    Ok(kinds)
}

fn counts(
    unrolled: &Unrolled,
    ranking: &Ranking,
    found: &BTreeMap<String, usize>,
) -> BTreeMap<String, Count> {
    let mut counts: BTreeMap<String, Count> = BTreeMap::new();
    for cause in ranking.causes.iter().chain(&ranking.roots) {
        counts.entry(cause.kind.clone()).or_default().expected += cause.prior;
    }
    for instance in &unrolled.causes {
        let kind = unrolled.cause_kind(instance);
        counts.entry(kind.id.clone()).or_default().own += kind.prior.p;
    }
    for (kind, count) in &mut counts {
        count.jobs = 1;
        count.found = found.get(kind).copied().unwrap_or(0) as f64;
    }
    counts
}

/// The tests in the order recorded: how much each moved what was found.
fn told(
    rules: &Rules,
    engine: &Engine,
    unrolled: &Unrolled,
    job: &Job,
    observations: &[Observation],
    faults: &BTreeSet<String>,
) -> Result<Vec<Told>, Problem> {
    if faults.is_empty() {
        return Ok(vec![]);
    }
    let mut steps: Vec<(String, Vec<Observation>)> = vec![];
    for observation in observations {
        let reading = observation
            .readings
            .first()
            .and_then(|i| job.readings.get(*i));
        let named = reading.and_then(|r| r.test.clone());
        let yielded = rules.yielded_by(&observation.finding);
        let Some(test) = named.or(yielded.first().map(|t| t.to_string())) else {
            continue;
        };
        match steps.iter_mut().find(|(t, _)| *t == test) {
            Some((_, list)) => list.push(observation.clone()),
            None => steps.push((test, vec![observation.clone()])),
        }
    }
    let mut so_far: Vec<Observation> = vec![];
    let mut was = surprise(rules, engine, unrolled, &so_far, faults)?;
    let mut told = vec![];
    for (test, list) in steps {
        so_far.extend(list);
        let now = surprise(rules, engine, unrolled, &so_far, faults)?;
        let minutes = rules.tests.get(&test).map_or(0.0, |t| {
            t.minutes.fixed + t.minutes.each * engine.cylinders() as f64
        });
        told.push(Told {
            test,
            bits: was - now,
            minutes,
        });
        was = now;
    }
    Ok(told)
}

/// How surprising what was found is, in bits over its kinds.
fn surprise(
    rules: &Rules,
    engine: &Engine,
    unrolled: &Unrolled,
    observations: &[Observation],
    faults: &BTreeSet<String>,
) -> Result<f64, Problem> {
    let d = Diagnosis::of(rules, engine, unrolled, observations)?;
    let mut bits = 0.0;
    for kind in faults {
        let vars: Vec<_> = d.instances(kind).map(|i| i.var).collect();
        bits -= d.any(&vars)?.max(1e-12).log2();
    }
    Ok(bits)
}
