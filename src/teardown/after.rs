//! After the engine was opened: what the bench confirmed, what it refuted, and
//! what was seen that nothing found explains.

use crate::diagnose::Diagnosis;
use crate::diagnose::rank::{RankedCause, Ranking};
use crate::job::Observation;
use crate::rules::Rules;

/// The topic of the findings that need the engine open.
pub const BENCH: &str = "bench";

/// Confirmed from this probability on.
pub const CONFIRMED: f64 = 0.85;
/// Refuted at most at this probability,
pub const REFUTED: f64 = 0.05;
/// having been suspected at least this much.
pub const SUSPECTED: f64 = 0.15;

/// One cause before and after.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    /// `rings-stuck@3`.
    pub id: String,
    /// Title with its place.
    pub title: String,
    /// Probability with the engine closed.
    pub was: f64,
    /// Probability now.
    pub now: f64,
}

/// The ranking after the engine was opened.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct After {
    /// Almost certain now.
    pub confirmed: Vec<Moved>,
    /// Suspected, and not there.
    pub refuted: Vec<Moved>,
    /// Neither.
    pub open: Vec<Moved>,
    /// What was observed that no cause confirmed or probable shows.
    pub unexplained: Vec<String>,
}

/// Whether an observation needs the engine open.
pub fn is_of_the_bench(rules: &Rules, observation: &Observation) -> bool {
    (rules.findings.get(&observation.finding)).is_some_and(|f| f.system == BENCH)
}

/// Compares the rankings of the closed and the opened engine.
pub fn after(open: &Diagnosis, was: &Ranking, now: &Ranking) -> After {
    let before = |cause: &RankedCause| {
        let mut all = was.causes.iter().chain(&was.roots);
        all.find(|c| c.kind == cause.kind && c.place == cause.place)
            .map_or(cause.prior, |c| c.probability)
    };
    let mut after = After::default();
    let mut causes: Vec<&RankedCause> = now.causes.iter().chain(&now.roots).collect();
    causes.sort_by(|a, b| {
        b.probability
            .total_cmp(&a.probability)
            .then_with(|| a.id().cmp(&b.id()))
    });
    for cause in &causes {
        let moved = Moved {
            id: cause.id(),
            title: cause.title.clone(),
            was: before(cause),
            now: cause.probability,
        };
        match (moved.was, moved.now) {
            (_, now) if now >= CONFIRMED => after.confirmed.push(moved),
            (was, now) if now <= REFUTED && was >= SUSPECTED => after.refuted.push(moved),
            (was, now) if now > SUSPECTED || was > SUSPECTED => after.open.push(moved),
            _ => {}
        }
    }
    after
        .refuted
        .sort_by(|a, b| b.was.total_cmp(&a.was).then_with(|| a.id.cmp(&b.id)));
    let present: Vec<&&RankedCause> = causes.iter().filter(|c| c.probability >= 0.5).collect();
    let explained = |o: &Observation| {
        present.iter().any(|c| {
            let shows = open.rules.causes.get(&c.kind).map(|cause| &cause.shows);
            c.place.touches(o.place) && shows.is_some_and(|s| s.contains_key(&o.finding))
        })
    };
    let seen = |o: &&Observation| o.likelihood.first().is_some_and(|first| *first <= 0.1);
    after.unexplained = (open.observations.iter())
        .filter(seen)
        .filter(|o| !explained(o))
        .map(|o| o.said.clone())
        .collect();
    after
}
