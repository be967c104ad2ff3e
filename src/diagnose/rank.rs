//! The ranking: how probable each cause is, each kind across its places, and
//! what is dangerous enough to be said first.

use super::{Diagnosis, any, evidence, solved};
use crate::engine::Place;
use crate::network::{Error, Solved, Var};
use crate::rules::file::CauseSort;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// A danger is said above the ranking from this probability on.
pub const DANGER_FROM: f64 = 0.3;

/// A cause at its place.
#[derive(Debug, Clone, PartialEq)]
pub struct RankedCause {
    /// Id of the kind, for example `rings-stuck`.
    pub kind: String,
    /// Where.
    pub place: Place,
    /// Title with its place.
    pub title: String,
    /// System id.
    pub system: String,
    /// Fault, root or measurement.
    pub sort: CauseSort,
    /// Its variable.
    pub var: Var,
    /// Probability with everything observed.
    pub probability: f64,
    /// Probability that it is present and behind what was seen.
    pub behind: f64,
    /// Probability before any reading, history included.
    pub prior: f64,
    /// Between what its probability lies as proved, where that is not exact.
    pub between: Option<(f64, f64)>,
}

impl RankedCause {
    /// `rings-stuck@3`, or the kind alone for the engine.
    pub fn id(&self) -> String {
        match self.place {
            Place::Engine => self.kind.clone(),
            place => format!("{}@{place}", self.kind),
        }
    }
}

/// A kind of cause, wherever it is.
#[derive(Debug, Clone, PartialEq)]
pub struct RankedKind {
    /// Id.
    pub id: String,
    /// Title.
    pub title: String,
    /// System id.
    pub system: String,
    /// Fault, root or measurement.
    pub sort: CauseSort,
    /// Probability that at least one is present.
    pub probability: f64,
    /// Probability that at least one is present and behind what was seen.
    pub behind: f64,
    /// The same before any reading.
    pub prior: f64,
    /// Its most probable place, when that is more than half of it.
    pub place: Option<Place>,
}

/// A reason not to run the engine.
#[derive(Debug, Clone, PartialEq)]
pub struct Danger {
    /// Title of the kind of cause.
    pub title: String,
    /// What it does, and what not to do.
    pub text: String,
    /// Probability that it is present.
    pub probability: f64,
}

/// What is probable, most probable first.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ranking {
    /// Faults and measurement faults at their places.
    pub causes: Vec<RankedCause>,
    /// The same by kind.
    pub kinds: Vec<RankedKind>,
    /// What would have brought them about and will again: roots.
    pub roots: Vec<RankedCause>,
    /// Reasons not to run the engine.
    pub dangers: Vec<Danger>,
    /// What was seen that a bound stands for, since an exact answer would take
    /// too long; mostly nothing.
    pub relaxed: Vec<String>,
}

/// Ranks every cause of the engine by blame; ties by presence, then by id.
///
/// # Errors
/// When the network refuses (never once a [`Diagnosis`] stands).
pub fn rank(d: &Diagnosis) -> Result<Ranking, Error> {
    let prior = solved(d.unrolled, &evidence(d.unrolled, []))?;
    let vars: Vec<Var> = d.unrolled.causes.iter().map(|c| c.var).collect();
    let (now, was) = (d.solved.present(&vars)?, prior.present(&vars)?);
    let behind = d.behind()?;
    let mut all: Vec<RankedCause> = (d.unrolled.causes.iter().zip(now).zip(was).zip(behind))
        .map(|(((instance, probability), prior), behind)| {
            let kind = d.unrolled.cause_kind(instance);
            let rule = d.rules.causes.get(&kind.id);
            RankedCause {
                kind: kind.id.clone(),
                place: instance.place,
                title: d.title(&kind.id, instance.place),
                system: rule.map_or(String::new(), |c| c.system.clone()),
                sort: kind.sort,
                var: instance.var,
                probability,
                behind: *behind,
                prior,
                between: None,
            }
        })
        .collect();
    all.sort_by(|a, b| {
        (b.behind.total_cmp(&a.behind))
            .then_with(|| b.probability.total_cmp(&a.probability))
            .then_with(|| a.kind.cmp(&b.kind))
            .then_with(|| a.place.cmp(&b.place))
    });
    let relaxed = relaxed(d);
    if !relaxed.is_empty() {
        for cause in all.iter_mut().take(BOUNDED) {
            cause.between = Some(d.solved.interval(cause.var)?);
        }
    }
    let mut kinds = kinds(d, &prior, &all)?;
    let dangers = dangers(d, &kinds);
    kinds.retain(|k| k.sort != CauseSort::Root);
    let (roots, causes): (Vec<_>, Vec<_>) =
        all.into_iter().partition(|c| c.sort == CauseSort::Root);
    Ok(Ranking {
        causes,
        kinds,
        roots,
        dangers,
        relaxed,
    })
}

/// So many causes are given the interval that is proved, where there is one.
const BOUNDED: usize = 12;

/// What was seen that a bound stands for, as said.
fn relaxed(d: &Diagnosis) -> Vec<String> {
    let relaxed = d.solved.relaxed();
    let of = |o: &&crate::job::Observation| {
        let instance = d.unrolled.finding(&o.finding, o.place);
        instance.is_some_and(|i| relaxed.contains(&i.var))
    };
    d.observations
        .iter()
        .filter(of)
        .map(|o| o.said.clone())
        .collect()
}

/// Of a kind at several places, less than this all together: the sum over the
/// places stands for "at least one", which it exceeds by less than its square.
const HARDLY_ANY: f64 = 0.03;

fn kinds(d: &Diagnosis, prior: &Solved, all: &[RankedCause]) -> Result<Vec<RankedKind>, Error> {
    let mut by_kind: BTreeMap<&str, Vec<&RankedCause>> = BTreeMap::new();
    for cause in all {
        by_kind.entry(&cause.kind).or_default().push(cause);
    }
    let by_kind: Vec<_> = by_kind.into_iter().collect();
    let mut kinds: Vec<RankedKind> = by_kind
        .into_par_iter()
        .map(|(id, at)| {
            let vars: Vec<Var> = at.iter().map(|c| c.var).collect();
            let together = |of: fn(&RankedCause) -> f64,
                            exact: &dyn Fn() -> Result<f64, Error>|
             -> Result<f64, Error> {
                let sum: f64 = at.iter().map(|c| of(c)).sum();
                match at.len() == 1 || sum < HARDLY_ANY {
                    true => Ok(sum),
                    false => exact(),
                }
            };
            let probability = together(|c| c.probability, &|| any(&d.solved, &vars))?;
            let behind = together(|c| c.behind, &|| d.any_behind(&vars))?;
            let was = together(|c| c.prior, &|| any(prior, &vars))?;
            Ok(RankedKind {
                id: id.to_string(),
                title: d.title(id, Place::Engine),
                system: at[0].system.clone(),
                sort: at[0].sort,
                probability,
                behind: behind.min(probability),
                prior: was,
                place: (at.len() > 1 && at[0].behind > behind / 2.0).then_some(at[0].place),
            })
        })
        .collect::<Result<_, Error>>()?;
    kinds.sort_by(|a, b| {
        (b.behind.total_cmp(&a.behind))
            .then_with(|| b.probability.total_cmp(&a.probability))
            .then_with(|| a.id.cmp(&b.id))
    });
    Ok(kinds)
}

/// A system: id, title, probability that something in it is at fault.
pub type System = (String, String, f64);

/// The systems by the probability that something in them is at fault.
///
/// # Errors
/// When the network refuses.
pub fn systems(d: &Diagnosis, causes: &[RankedCause]) -> Result<Vec<System>, Error> {
    let mut vars: BTreeMap<&str, Vec<Var>> = BTreeMap::new();
    for cause in causes {
        vars.entry(&cause.system).or_default().push(cause.var);
    }
    let vars: Vec<_> = vars.into_iter().collect();
    let mut systems: Vec<System> = vars
        .into_par_iter()
        .map(|(id, vars)| {
            let title = d
                .rules
                .systems
                .get(id)
                .cloned()
                .unwrap_or_else(|| id.to_string());
            Ok((id.to_string(), title, d.any(&vars)?))
        })
        .collect::<Result<_, Error>>()?;
    systems.sort_by(|a, b| b.2.total_cmp(&a.2).then_with(|| a.0.cmp(&b.0)));
    Ok(systems)
}

/// Dangers by what they say: causes that share one are added up (no more than
/// certain; each is exact by itself, their sum an upper bound of any of them).
fn dangers(d: &Diagnosis, kinds: &[RankedKind]) -> Vec<Danger> {
    let mut by_text: BTreeMap<&str, Vec<&RankedKind>> = BTreeMap::new();
    for kind in kinds {
        if let Some(text) = d.rules.danger(&kind.id, &d.engine.traits) {
            by_text.entry(text).or_default().push(kind);
        }
    }
    let mut dangers: Vec<Danger> = (by_text.into_iter())
        .filter_map(|(text, mut of)| {
            of.sort_by(|a, b| b.probability.total_cmp(&a.probability));
            let none: f64 = of.iter().map(|k| 1.0 - k.probability).product();
            let titles: Vec<&str> = of.iter().map(|k| k.title.as_str()).take(2).collect();
            (1.0 - none >= DANGER_FROM).then(|| Danger {
                title: match of[0].probability >= DANGER_FROM {
                    true => of[0].title.clone(),
                    false => titles.join(", or "),
                },
                text: text.to_string(),
                probability: of[0].probability.max(1.0 - none),
            })
        })
        .collect();
    dangers.sort_by(|a, b| {
        (b.probability.total_cmp(&a.probability)).then_with(|| a.title.cmp(&b.title))
    });
    dangers
}
