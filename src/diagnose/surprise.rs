//! What does not fit: readings that all the others speak against.

use super::{Diagnosis, evidence};
use crate::engine::Place;
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

/// The probability of each observation given all the others, in the order recorded.
///
/// # Errors
/// When the network refuses.
pub fn fits(d: &Diagnosis) -> Result<Vec<Surprise>, Error> {
    let network = &d.unrolled.network;
    let nothing = Solved::ln_probability(network, &evidence(d.unrolled, []))?;
    let all = d.solved.ln_evidence();
    d.observations
        .par_iter()
        .enumerate()
        .filter(|(_, o)| d.unrolled.finding(&o.finding, o.place).is_some())
        .map(|(i, o)| {
            let others = d.observations.iter().enumerate().filter(|(j, _)| *j != i);
            let others = evidence(d.unrolled, others.map(|(_, o)| o));
            let without = Solved::ln_probability(network, &others)?;
            let alone = Solved::ln_probability(network, &evidence(d.unrolled, [o]))?;
            Ok(Surprise {
                finding: o.finding.clone(),
                place: o.place,
                said: o.said.clone(),
                probability: (all - without).exp().min(1.0),
                prior: (alone - nothing).exp().min(1.0),
            })
        })
        .collect()
}

/// The surprising ones, most surprising first.
///
/// # Errors
/// When the network refuses.
pub fn surprises(d: &Diagnosis) -> Result<Vec<Surprise>, Error> {
    let mut odd: Vec<Surprise> = fits(d)?
        .into_iter()
        .filter(|s| s.probability < SURPRISE_BELOW && s.probability < 0.7 * s.prior)
        .collect();
    odd.sort_by(|a, b| a.probability.total_cmp(&b.probability));
    Ok(odd)
}
