//! Questions put to the network, plain data out.
//!
//! A [`Diagnosis`] joins the unrolled rules with what was observed and answers:
//! what is probable ([`rank`]), why ([`explain`]), what to test next ([`next`]),
//! what if, what does not fit ([`surprise`]), and how sure one can be
//! ([`doubt`]). Nothing here knows a terminal or a file.

pub mod doubt;
pub mod explain;
pub mod next;
pub mod rank;
mod screen;
pub mod surprise;
pub mod together;

use crate::engine::{Engine, Place};
use crate::job::Observation;
use crate::network::{Error, Evidence, Solved, Var};
use crate::problem::Problem;
use crate::rules::Rules;
use crate::rules::file::CauseSort;
use crate::unroll::{Instance, Unrolled};
use std::sync::OnceLock;

/// One engine with what was observed on it, solved.
pub struct Diagnosis<'a> {
    /// The knowledge.
    pub rules: &'a Rules,
    /// The engine on the bench.
    pub engine: &'a Engine,
    /// Its network.
    pub unrolled: &'a Unrolled,
    /// What was observed, in the order recorded.
    pub observations: &'a [Observation],
    /// The network with the observations as evidence.
    pub solved: Solved<'a>,
    behind: OnceLock<Result<Vec<f64>, Error>>,
}

impl<'a> Diagnosis<'a> {
    /// Solves the network for the observations.
    ///
    /// # Errors
    /// A [`Problem`] when the observations cannot all be true under the rules
    /// (naming a smallest set that conflicts), or when an exact answer is out of reach.
    pub fn of(
        rules: &'a Rules,
        engine: &'a Engine,
        unrolled: &'a Unrolled,
        observations: &'a [Observation],
    ) -> Result<Self, Problem> {
        let evidence = evidence(unrolled, observations);
        let solved =
            solved(unrolled, &evidence).map_err(|e| refusal(rules, unrolled, observations, &e))?;
        Ok(Diagnosis {
            rules,
            engine,
            unrolled,
            observations,
            solved,
            behind: OnceLock::new(),
        })
    }

    /// Every instance of a kind of cause.
    pub fn instances(&self, cause: &str) -> impl Iterator<Item = &Instance> {
        let unrolled = self.unrolled;
        let kind = unrolled.kinds.causes.iter().position(|k| k.id == cause);
        unrolled.causes.iter().filter(move |c| Some(c.kind) == kind)
    }

    /// Probability that each cause is present *and behind what was seen* (its
    /// blame), in the order of the unrolled causes; worked out when first asked for.
    ///
    /// # Errors
    /// When an answer is out of reach.
    pub fn behind(&self) -> Result<&[f64], Error> {
        let vars = || -> Vec<Var> { self.unrolled.causes.iter().map(|c| c.var).collect() };
        let behind = self.behind.get_or_init(|| self.solved.behind(&vars()));
        behind.as_deref().map_err(Clone::clone)
    }

    /// Probability that nothing behind what was seen is left unmended, every
    /// fault counting: those named are mended with their chance, all others are
    /// left. Roots are asked about only by what they brought about.
    ///
    /// # Errors
    /// When an answer is out of reach.
    pub fn cured(&self, mended: &[(Var, f64)]) -> Result<f64, Error> {
        let share = |var: Var| mended.iter().find(|(v, _)| *v == var).map_or(0.0, |m| m.1);
        let faults = (self.unrolled.causes.iter())
            .filter(|c| self.unrolled.cause_kind(c).sort != CauseSort::Root);
        let all: Vec<(Var, f64)> = faults.map(|c| (c.var, share(c.var))).collect();
        self.solved.cured(&all)
    }

    /// Probability that at least one of these causes is behind what was seen.
    ///
    /// # Errors
    /// When an answer is out of reach.
    pub fn any_behind(&self, vars: &[Var]) -> Result<f64, Error> {
        let left: Vec<(Var, f64)> = vars.iter().map(|var| (*var, 0.0)).collect();
        Ok(1.0 - self.solved.cured(&left)?)
    }

    /// Probability that at least one of these causes is present.
    ///
    /// # Errors
    /// When an exact answer is out of reach.
    pub fn any(&self, vars: &[Var]) -> Result<f64, Error> {
        any(&self.solved, vars)
    }

    /// Title of a cause at a place, as a mechanic would say it.
    pub fn title(&self, cause: &str, place: Place) -> String {
        let title = self
            .rules
            .causes
            .get(cause)
            .map_or(cause, |c| c.title.as_str());
        at_place(title, place)
    }
}

/// The network solved with every cause in it, whether the evidence reaches it or not.
fn solved<'n>(unrolled: &'n Unrolled, evidence: &Evidence) -> Result<Solved<'n>, Error> {
    let causes: Vec<Var> = unrolled.causes.iter().map(|c| c.var).collect();
    Solved::keeping(&unrolled.network, evidence, &causes)
}

/// Probability that at least one of these causes is present.
fn any(solved: &Solved, vars: &[Var]) -> Result<f64, Error> {
    match vars {
        [one] => Ok(solved.present(&[*one])?.first().copied().unwrap_or(0.0)),
        _ => Ok(1.0 - solved.all_absent(vars)?),
    }
}

impl From<Error> for Problem {
    fn from(error: Error) -> Self {
        Problem::new(format!("no exact answer: {error}"))
    }
}

/// A title with its place: "Exhaust valve burnt, cylinder 3".
pub fn at_place(title: &str, place: Place) -> String {
    match place {
        Place::Engine => title.to_string(),
        Place::Cylinder(n) => format!("{title}, cylinder {n}"),
        Place::Upper(n) => format!("{title}, cylinder {n} upper"),
        Place::Lower(n) => format!("{title}, cylinder {n} lower"),
        Place::Pair(a, b) => format!("{title}, cylinders {a} and {b}"),
    }
}

/// Observations as evidence of a network; those that the engine cannot show are left out.
pub fn evidence<'o>(
    unrolled: &Unrolled,
    observations: impl IntoIterator<Item = &'o Observation>,
) -> Evidence {
    let mut evidence = Evidence::new();
    for observation in observations {
        if let Some(instance) = unrolled.finding(&observation.finding, observation.place) {
            evidence.set(instance.var, &observation.likelihood);
        }
    }
    evidence
}

/// What the network refused, in the words of the readings.
pub fn refusal(
    rules: &Rules,
    unrolled: &Unrolled,
    observations: &[Observation],
    error: &Error,
) -> Problem {
    let said = |vars: &[Var]| -> Vec<String> {
        let name = |var: &Var| {
            let instance = unrolled.findings.iter().find(|f| f.var == *var)?;
            let kind = unrolled.finding_kind(instance);
            let seen = observations
                .iter()
                .find(|o| o.finding == kind.id && o.place == instance.place)
                .map(|o| o.said.clone());
            let title = rules
                .findings
                .get(&kind.id)
                .map(|f| at_place(&f.title, instance.place));
            seen.or(title)
        };
        vars.iter()
            .filter_map(name)
            .map(|s| format!("`{s}`"))
            .collect()
    };
    match error {
        Error::Impossible { conflict, .. } => Problem::new(format!(
            "these readings cannot all be true under the rules: {}",
            said(conflict).join(", ")
        ))
        .hint("take them again, and retract the one that was wrong"),
        other => Problem::new(other.to_string()),
    }
}
