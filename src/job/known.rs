//! What is known beside the readings: facts that report a cause, and repairs
//! that were tried.

use super::evidence::{Observation, Warning};
use super::{Holds, Job, Said};
use crate::engine::{Engine, Place};
use crate::problem::Problem;
use crate::rules::Rules;
use crate::rules::file::Scope;
use crate::unroll;
use crate::words::{listed, nearest};

/// How well "no" agrees with a fact that perhaps holds, "yes" being 1 (judgement).
const PERHAPS: f64 = 0.3;

/// The facts that report a cause, as observations.
pub(super) fn facts(rules: &Rules, engine: &Engine, job: &Job) -> Vec<Observation> {
    let known = (job.facts.iter()).filter_map(|(id, holds)| Some((rules.facts.get(id)?, *holds)));
    known
        .filter(|(fact, _)| !fact.reports.is_empty())
        .filter(|(fact, _)| rules.applies(&engine.traits, &fact.on, &[]))
        .map(|(fact, holds)| Observation {
            finding: fact.fact.clone(),
            place: Place::Engine,
            likelihood: match holds {
                Holds::Yes => vec![0.0, 1.0],
                Holds::No => vec![1.0, 0.0],
                Holds::Perhaps => vec![PERHAPS, 1.0],
            },
            complaint: false,
            readings: vec![],
            said: format!("{}: {}", fact.title, holds.word()),
            joint: None,
        })
        .collect()
}

/// What came of a repair that was tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Came {
    /// It was no better.
    NoBetter,
    /// It was better and came back.
    BetterForATime,
    /// It was cured, by what is seen.
    Cured,
}

/// The words for it.
const CAME: [(&str, Came); 3] = [
    ("no-better", Came::NoBetter),
    ("better-for-a-time", Came::BetterForATime),
    ("cured", Came::Cured),
];

/// What a line such as `renew-spark-plugs@3=no-better` means: the repair, the
/// places, and what came of it; nothing came of `unknown`, which takes a line back.
///
/// # Errors
/// A repair that is unknown, not of this engine or mends nothing that it can
/// have; a place where it is not done; another result.
pub fn tried(
    rules: &Rules,
    engine: &Engine,
    said: &Said,
) -> Result<(String, Vec<Place>, Option<Came>), Problem> {
    let id = said.of.to_lowercase();
    let Some(repair) = rules.repairs.get(&id) else {
        let problem = Problem::new(format!("no repair is called `{id}`"));
        let near = nearest(&id, rules.repairs.keys().map(String::as_str));
        return Err(problem.hint(match near {
            Some(near) => format!("did you mean `{near}`?"),
            None => "`sootsayer rules list repairs` lists them".into(),
        }));
    };
    let has = |cause: &String| {
        let cause = rules.causes.get(cause);
        cause.is_some_and(|c| rules.applies(&engine.traits, &c.on, &c.not_on))
    };
    if !rules.applies(&engine.traits, &repair.on, &repair.not_on) || !repair.mends.keys().any(has) {
        return Err(Problem::new(format!("`{id}` is no repair of this engine"))
            .hint("it cannot have what this mends"));
    }
    let places = match (&said.at, repair.scope) {
        (None, _) => vec![Place::Engine],
        (Some(all), _) if all == "all" => vec![Place::Engine],
        (Some(_), Scope::Engine) => {
            return Err(Problem::new(format!("`{id}` is done on the whole engine"))
                .hint(format!("write `{id}=...`")));
        }
        (at, _) => super::meaning::places(engine, Scope::Cylinder, at.as_deref(), &id)?,
    };
    let word = said.value.to_lowercase().replace([' ', '_'], "-");
    let came = CAME.iter().find(|(known, _)| *known == word);
    match (came, word.as_str()) {
        (Some((_, came)), _) => Ok((id, places, Some(*came))),
        (None, "unknown") => Ok((id, places, None)),
        (None, _) => {
            let words: Vec<String> = CAME.iter().map(|(w, _)| format!("`{w}`")).collect();
            Err(
                Problem::new(format!("`{id}` cannot have come out `{word}`"))
                    .hint(format!("it can be {}, or `unknown`", listed(&words, "or"))),
            )
        }
    }
}

/// The repairs tried, as observations of whether each helped, and those that
/// are not understood.
pub(super) fn repairs(
    rules: &Rules,
    engine: &Engine,
    job: &Job,
) -> (Vec<Observation>, Vec<Warning>) {
    let (mut seen, mut warnings) = (vec![], vec![]);
    for said in &job.tried {
        let (id, places, came) = match tried(rules, engine, said) {
            Ok(it) => it,
            Err(problem) => {
                warnings.push(Warning {
                    says: format!("`{said}` was tried and is not used: {}", problem.what),
                    readings: vec![],
                    passed_over: true,
                });
                continue;
            }
        };
        let title = rules.repairs.get(&id).map_or("", |r| r.title.as_str());
        let (Some(came), word) = (came, said.value.replace('-', " ")) else {
            continue;
        };
        seen.extend(places.into_iter().map(|place| Observation {
            finding: unroll::tried(&id),
            place,
            likelihood: match came {
                Came::NoBetter => vec![1.0, 0.0],
                Came::BetterForATime | Came::Cured => vec![0.0, 1.0],
            },
            complaint: false,
            readings: vec![],
            said: place.after(&format!("Tried, {title}: {word}")),
            joint: None,
        }));
    }
    (seen, warnings)
}
