//! What does not fit: readings that all the others speak against.

use super::{Diagnosis, evidence};
use crate::engine::Place;
use crate::job::Observation;
use crate::network::{Error, Solved};
use rayon::prelude::*;

/// Below this probability a reading is a surprise, if the others made it less likely.
pub const SURPRISE_BELOW: f64 = 0.05;

/// A reading worth taking again.
#[derive(Debug, Clone, PartialEq)]
pub struct Surprise {
    /// Finding id.
    pub finding: String,
    /// Where.
    pub place: Place,
    /// As recorded.
    pub said: String,
    /// Its probability given every other reading.
    pub probability: f64,
    /// Its probability before any reading.
    pub prior: f64,
}

/// Only readings to which the others, roughly, leave less than this are looked at exactly.
const LOOKED_AT_BELOW: f64 = 0.2;

/// So many are looked at.
const MOST: usize = 8;

/// The surprising readings, most surprising first: those whose probability given
/// all the others is small. A rough figure picks the few that are worked out exactly.
///
/// # Errors
/// When the network refuses.
pub fn surprises(d: &Diagnosis) -> Result<Vec<Surprise>, Error> {
    let vars: Vec<_> = d.unrolled.causes.iter().map(|c| c.var).collect();
    let present = d.solved.present(&vars)?;
    let mut rough: Vec<(f64, usize)> = (d.observations.iter().enumerate())
        .filter_map(|(i, o)| Some((roughly(d, o, &present)?, i)))
        .filter(|(p, _)| *p < LOOKED_AT_BELOW)
        .collect();
    rough.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    rough.truncate(MOST);
    let network = &d.unrolled.network;
    let nothing = Solved::ln_probability(network, &evidence(d.unrolled, []))?;
    let mut odd: Vec<Surprise> = (rough.par_iter())
        .filter_map(|(_, i)| {
            let o = &d.observations[*i];
            Some((o, d.unrolled.finding(&o.finding, o.place)?.var))
        })
        .map(|(o, var)| {
            let alone = Solved::ln_probability(network, &evidence(d.unrolled, [o]))?;
            Ok(Surprise {
                finding: o.finding.clone(),
                place: o.place,
                said: o.said.clone(),
                probability: d.solved.fit(var)?,
                prior: (alone - nothing).exp().min(1.0),
            })
        })
        .collect::<Result<_, Error>>()?;
    odd.retain(|s| s.probability < SURPRISE_BELOW && s.probability < 0.7 * s.prior);
    odd.sort_by(|a, b| a.probability.total_cmp(&b.probability));
    Ok(odd)
}

/// The probability of an observation, its causes taken as independent and as
/// likely as they would be without it.
fn roughly(d: &Diagnosis, o: &Observation, present: &[f64]) -> Option<f64> {
    let instance = d.unrolled.finding(&o.finding, o.place)?;
    let kind = d.unrolled.finding_kind(instance);
    let mut cumulative: Vec<f64> = cumulated(&kind.sound.grades());
    for (cause, spread) in &kind.links {
        let row = cumulated(&spread.grades());
        let at = d.unrolled.causes.iter().zip(present);
        for (_, p) in at.filter(|(c, _)| c.kind == *cause && c.place.touches(o.place)) {
            // What the observation itself did to the odds is taken back.
            let likelihood = |shown: &dyn Fn(usize) -> f64| -> f64 {
                let grades = 0..o.likelihood.len();
                let here = |k: usize| shown(k) - if k > 0 { shown(k - 1) } else { 0.0 };
                grades
                    .map(|k| o.likelihood[k] * here(k))
                    .sum::<f64>()
                    .max(1e-9)
            };
            let (with, without) = (
                likelihood(&|k| cumulative[k] * row[k]),
                likelihood(&|k| cumulative[k]),
            );
            let odds = p / (1.0 - p).max(1e-12) * without / with;
            let p = odds / (1.0 + odds);
            cumulative
                .iter_mut()
                .zip(&row)
                .for_each(|(c, r)| *c *= 1.0 - p + p * r);
        }
    }
    let here = |k: usize| cumulative[k] - if k > 0 { cumulative[k - 1] } else { 0.0 };
    Some(
        (0..o.likelihood.len())
            .map(|k| o.likelihood[k] * here(k))
            .sum(),
    )
}

fn cumulated(grades: &[f64]) -> Vec<f64> {
    let mut sum = 0.0;
    let add = |p: &f64| {
        sum += p;
        sum
    };
    grades.iter().map(add).collect()
}
