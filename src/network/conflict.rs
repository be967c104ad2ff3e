//! Why there is no answer, in terms of the observations: which of them
//! contradict each other, or which to leave out so that the rest fits.

use super::build::{Network, Var};
use super::cheapest::rough_size;
use super::compile::MOST_ENTRIES;
use super::core::Core;
use super::error::Error;
use super::evidence::Evidence;
use super::ready::{Ready, Refusal};
use super::reduced::Reduced;

/// Pairs are tried for a smallest conflict up to this many observations.
const PAIRS_UP_TO: usize = 40;

/// Turns a refusal into an error that names observations.
pub(super) fn explained(
    net: &Network,
    evidence: &Evidence,
    wanted: &[Var],
    refusal: Refusal,
) -> Error {
    let names = |vars: &[Var]| vars.iter().map(|v| net.name(*v).to_string()).collect();
    match refusal {
        Refusal::Imprecise(by) => Error::Imprecise(by),
        Refusal::Impossible => {
            let conflict = smallest(net, evidence);
            let names = names(&conflict);
            Error::Impossible { conflict, names }
        }
        Refusal::TooLarge(entries) => {
            let leave_out = to_leave_out(net, evidence, wanted);
            Error::TooLarge {
                entries,
                limit: MOST_ENTRIES,
                names: names(&leave_out),
                leave_out,
            }
        }
    }
}

fn impossible(net: &Network, evidence: &Evidence) -> bool {
    match Ready::of(net, evidence, &[]) {
        Ok(ready) => {
            let mut weights = ready.reduced.weights.clone();
            ready.probability(&mut weights).is_zero()
        }
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

/// Observations to leave out, one after the other the one that helps most by a rough measure.
fn to_leave_out(net: &Network, evidence: &Evidence, wanted: &[Var]) -> Vec<Var> {
    let mut evidence = evidence.clone();
    let mut left_out = Vec::new();
    let size = |rest: &Evidence| match Reduced::of(net, rest, wanted) {
        Ok(reduced) => rough_size(&reduced, &Core::of(&reduced)),
        Err(_) => 0.0,
    };
    while !evidence.is_empty() {
        let least = evidence
            .iter()
            .map(|(var, _)| (size(&evidence.clone().without(var)), var))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let Some((size, var)) = least else { break };
        evidence = evidence.without(var);
        left_out.push(var);
        let worth_planning = size < MOST_ENTRIES;
        if worth_planning && !matches!(Ready::of(net, &evidence, wanted), Err(Refusal::TooLarge(_)))
        {
            break;
        }
    }
    left_out.sort();
    left_out
}
