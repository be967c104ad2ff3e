//! Why: the weight of each reading for and against one cause, in decibans.
//!
//! A deciban is ten times the common logarithm of an odds ratio; 10 make the
//! odds ten times as good, about 1 is the least change a person can sense
//! (I. J. Good). Given two ways: in the order recorded, where the weights add
//! up exactly from base rate to posterior, and with that one reading left out.

use super::{Diagnosis, any, evidence, refusal};
use crate::engine::Place;
use crate::network::{Error, Evidence, Solved, Var};
use crate::problem::Problem;
use crate::unroll::{Tailored, Unrolled};
use rayon::prelude::*;
use std::collections::BTreeSet;

/// Weight of evidence of odds going from one probability to another, in decibans.
///
/// ```
/// use sootsayer::diagnose::explain::decibans;
/// // Twenty heads, prior odds 1 in 10 000 of a two-headed coin (General Report
/// // on Tunny, 21(g)): 60.2 decibans up, to odds of about 105 to 1.
/// let prior = 1.0 / 10_001.0;
/// let odds = 1e-4 * 2f64.powi(20);
/// let up = decibans(prior, odds / (1.0 + odds));
/// assert!((up - 60.206).abs() < 1e-3);
/// ```
pub fn decibans(from: f64, to: f64) -> f64 {
    10.0 * (log_odds(to) - log_odds(from))
}

/// Common logarithm of the odds, finite for 0 and 1.
fn log_odds(p: f64) -> f64 {
    const LEAST: f64 = 1e-300;
    p.max(LEAST).log10() - (1.0 - p).max(LEAST).log10()
}

/// One step of an explanation.
#[derive(Debug, Clone, PartialEq)]
pub struct Weight {
    /// The reading or history fact, as recorded.
    pub said: String,
    /// Decibans in the order recorded.
    pub in_order: f64,
    /// Decibans that would be missing were it left out; none for history facts.
    pub left_out: Option<f64>,
    /// Probability of the cause after it.
    pub after: f64,
}

/// What speaks for and against a cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// Kind of cause.
    pub cause: String,
    /// Where; none for "anywhere on the engine".
    pub place: Option<Place>,
    /// Title with place.
    pub title: String,
    /// Probability before history and readings.
    pub base: f64,
    /// Probability with history, before readings.
    pub prior: f64,
    /// History facts that shift it.
    pub history: Vec<Weight>,
    /// Readings in the order recorded.
    pub readings: Vec<Weight>,
    /// Probability with everything.
    pub posterior: f64,
}

/// Explains a cause at a place, or anywhere when no place is given.
///
/// # Errors
/// A [`Problem`] when the engine cannot have the cause there, or the network refuses.
pub fn explain(
    d: &Diagnosis,
    facts: &BTreeSet<String>,
    cause: &str,
    place: Option<Place>,
) -> Result<Explanation, Problem> {
    let vars: Vec<Var> = d
        .instances(cause)
        .filter(|c| place.is_none_or(|p| p == c.place))
        .map(|c| c.var)
        .collect();
    if vars.is_empty() {
        return Err(absent(d, cause, place));
    }
    let refuse = |e: Error| refusal(d.rules, d.unrolled, d.observations, &e);
    let with = |evidence: &Evidence| {
        Solved::new(&d.unrolled.network, evidence)
            .and_then(|s| any(&s, &vars))
            .map_err(refuse)
    };
    let prior = with(&evidence(d.unrolled, []))?;
    let (base, history) = history(d, facts, &vars)?;
    let posterior = d.any(&vars).map_err(refuse)?;
    let count = d.observations.len();
    let pairs: Vec<(f64, f64)> = (0..count)
        .into_par_iter()
        .map(|i| {
            let after = match i + 1 == count {
                true => posterior,
                false => with(&evidence(d.unrolled, &d.observations[..=i]))?,
            };
            let others = d.observations.iter().enumerate();
            let others = others.filter(|(j, _)| *j != i).map(|(_, o)| o);
            Ok((after, with(&evidence(d.unrolled, others))?))
        })
        .collect::<Result<_, Problem>>()?;
    let mut before = prior;
    let mut readings = Vec::new();
    for (o, (after, without)) in d.observations.iter().zip(pairs) {
        readings.push(Weight {
            said: o.said.clone(),
            in_order: decibans(before, after),
            left_out: Some(decibans(without, posterior)),
            after,
        });
        before = after;
    }
    let title = d.title(cause, place.unwrap_or(Place::Engine));
    Ok(Explanation {
        cause: cause.into(),
        place,
        title,
        base,
        prior,
        history,
        readings,
        posterior,
    })
}

/// The base rate and what each history fact adds to it, one after the other.
///
/// # Errors
/// When the network refuses.
pub fn history(
    d: &Diagnosis,
    facts: &BTreeSet<String>,
    vars: &[Var],
) -> Result<(f64, Vec<Weight>), Problem> {
    let with = |known: &BTreeSet<String>| -> Result<f64, Problem> {
        let kinds = Tailored::of(d.rules, d.engine, known);
        let refuse = |e: Error| refusal(d.rules, d.unrolled, &[], &e);
        let unrolled = Unrolled::of(kinds, d.engine).map_err(refuse)?;
        let solved = Solved::new(&unrolled.network, &evidence(&unrolled, []));
        solved.and_then(|s| any(&s, vars)).map_err(refuse)
    };
    let mut known = BTreeSet::new();
    let base = with(&known)?;
    let (mut before, mut weights) = (base, Vec::new());
    for fact in facts {
        known.insert(fact.clone());
        let after = with(&known)?;
        if (after - before).abs() > 1e-12 {
            let said = d
                .rules
                .facts
                .get(fact)
                .map_or(fact.clone(), |f| f.title.clone());
            weights.push(Weight {
                said,
                in_order: decibans(before, after),
                left_out: None,
                after,
            });
        }
        before = after;
    }
    Ok((base, weights))
}

fn absent(d: &Diagnosis, cause: &str, place: Option<Place>) -> Problem {
    let here = place.map_or(String::new(), |p| format!(" at {p}"));
    match d.rules.causes.get(cause) {
        None => Problem::new(format!("no cause is called `{cause}`"))
            .hint("list them with `rules list causes`"),
        Some(c) if d.instances(cause).next().is_none() => Problem::new(format!(
            "`{cause}` ({}) does not occur on this kind of engine",
            c.title
        )),
        Some(_) => {
            let places: Vec<String> = d.instances(cause).map(|c| c.place.to_string()).collect();
            Problem::new(format!("`{cause}` has no place{here}"))
                .hint(format!("it can be at: {}", places.join(", ")))
        }
    }
}
