//! Why there is no answer, in terms of the observations: which of them
//! contradict each other.

use super::build::{Network, Var};
use super::compile::MOST_ENTRIES;
use super::error::Error;
use super::evidence::Evidence;
use super::ready::{Ready, Refusal};
use super::solved::AS_IT_IS;

/// Pairs are tried for a smallest conflict up to this many observations.
const PAIRS_UP_TO: usize = 40;

/// Turns a refusal into an error that names observations.
pub(super) fn explained(net: &Network, evidence: &Evidence, refusal: Refusal) -> Error {
    let names = |vars: &[Var]| vars.iter().map(|v| net.name(*v).to_string()).collect();
    match refusal {
        Refusal::Imprecise(by) => Error::Imprecise(by),
        Refusal::Impossible => {
            let conflict = smallest(net, evidence);
            let names = names(&conflict);
            Error::Impossible { conflict, names }
        }
        Refusal::TooLarge(entries, _) => Error::TooLarge {
            entries,
            limit: MOST_ENTRIES,
        },
    }
}

fn impossible(net: &Network, evidence: &Evidence) -> bool {
    match Ready::of(net, evidence, &[]) {
        Ok(ready) => ready.probability(AS_IT_IS).is_zero(),
        Err(Refusal::Impossible) => true,
        Err(_) => false,
    }
}

fn only(evidence: &Evidence, vars: &[Var]) -> Evidence {
    let mut part = Evidence::new();
    for var in vars {
        if let Some(likelihood) = evidence.get(*var) {
            part.set(*var, likelihood);
        }
    }
    part
}

/// A smallest set of observations that cannot all be true: singles and pairs
/// are tried first; beyond that observations are dropped one by one while the
/// rest stays impossible.
fn smallest(net: &Network, evidence: &Evidence) -> Vec<Var> {
    let all: Vec<Var> = evidence.iter().map(|(var, _)| var).collect();
    let fails = |vars: &[Var]| impossible(net, &only(evidence, vars));
    if let Some(one) = all.iter().find(|var| fails(&[**var])) {
        return vec![*one];
    }
    if all.len() <= PAIRS_UP_TO {
        for (i, a) in all.iter().enumerate() {
            if let Some(b) = all[i + 1..].iter().find(|b| fails(&[*a, **b])) {
                return vec![*a, *b];
            }
        }
    }
    let mut kept = all.clone();
    for var in all {
        let rest: Vec<Var> = kept.iter().copied().filter(|v| *v != var).collect();
        if fails(&rest) {
            kept = rest;
        }
    }
    kept
}
