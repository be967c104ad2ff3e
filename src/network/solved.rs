//! A network with evidence, solved: the questions that can be put to it.

use super::build::{Gate, Network, Var};
use super::conflict;
use super::error::Error;
use super::evidence::Evidence;
use super::ready::{Change, Posterior, Ready, Refusal, is_gate};
use super::reduced::{NONE, Reduced};
use super::relax::{self, Bounds};
use std::sync::OnceLock;

/// A network with its evidence, solved. Immutable; may be shared between threads.
#[derive(Debug, Clone)]
pub struct Solved<'n> {
    pub(super) net: &'n Network,
    pub(super) evidence: Evidence,
    pub(super) wanted: Vec<Var>,
    pub(super) ready: Ready,
    pub(super) posterior: Posterior,
    /// The two sides of the answer where observations had to be relaxed.
    pub(super) bounds: OnceLock<Option<Bounds>>,
}

/// No change of the weights.
pub(super) const AS_IT_IS: Change = &|_, _| 1.0;

impl<'n> Solved<'n> {
    /// Solves the network: exactly, or, where that would be too large, with an
    /// [`interval`](Solved::interval) that is proved to hold the answer.
    ///
    /// # Errors
    /// [`Error::Shape`] if the evidence does not fit the network,
    /// [`Error::Impossible`] with a smallest conflicting set,
    /// [`Error::TooLarge`] where the network without evidence is too large,
    /// [`Error::Imprecise`] if the arithmetic failed its own check.
    pub fn new(net: &'n Network, evidence: &Evidence) -> Result<Self, Error> {
        Self::keeping(net, evidence, &[])
    }

    /// Solves with some variables kept that the evidence does not reach, so that
    /// later questions about them need no solution of their own.
    ///
    /// # Errors
    /// As [`Solved::new`].
    pub fn keeping(net: &'n Network, evidence: &Evidence, wanted: &[Var]) -> Result<Self, Error> {
        evidence.check(net)?;
        let explain = |refusal| conflict::explained(net, evidence, refusal);
        let mut given = evidence.clone();
        let ready = relax::until_it_fits(net, &mut given, wanted).map_err(explain)?;
        let mut solved = Self::of(net, given, wanted, ready).map_err(explain)?;
        solved.settle().map_err(explain)?;
        Ok(solved)
    }

    pub(super) fn of(
        net: &'n Network,
        evidence: Evidence,
        wanted: &[Var],
        ready: Ready,
    ) -> Result<Self, Refusal> {
        let mut posterior = ready.posterior(AS_IT_IS)?;
        let ready = ready.with_shares(&mut posterior);
        Ok(Solved {
            net,
            evidence,
            wanted: wanted.to_vec(),
            ready,
            posterior,
            bounds: OnceLock::new(),
        })
    }

    /// Natural logarithm of the probability of evidence alone, as
    /// [`Solved::ln_evidence`] gives it: a third of the work of a solution.
    ///
    /// # Errors
    /// As [`Solved::new`]; evidence that is impossible has minus infinity.
    pub fn ln_probability(net: &Network, evidence: &Evidence) -> Result<f64, Error> {
        evidence.check(net)?;
        match relax::until_it_fits(net, &mut evidence.clone(), &[]) {
            Ok(ready) => Ok(ready.probability(AS_IT_IS).ln()),
            Err(Refusal::Impossible) => Ok(f64::NEG_INFINITY),
            Err(refusal) => Err(conflict::explained(net, evidence, refusal)),
        }
    }

    /// Solves with these observations relaxed, whether or not it would fit
    /// without: what is not observed or no gate is passed over.
    ///
    /// # Errors
    /// As [`Solved::new`].
    pub fn relaxing(net: &'n Network, evidence: &Evidence, these: &[Var]) -> Result<Self, Error> {
        evidence.check(net)?;
        let explain = |refusal| conflict::explained(net, evidence, refusal);
        let mut given = evidence.clone();
        relax::relax(net, &mut given, these);
        let ready = relax::until_it_fits(net, &mut given, &[]).map_err(explain)?;
        let mut solved = Self::of(net, given, &[], ready).map_err(explain)?;
        solved.settle().map_err(explain)?;
        Ok(solved)
    }

    /// Probability of what was observed of a variable given all the rest.
    ///
    /// # Errors
    /// As [`Solved::marginal`].
    pub fn fit(&self, var: Var) -> Result<f64, Error> {
        let without = self.evidence.clone().without(var);
        let ln = Self::ln_probability(self.net, &without)?;
        Ok((self.ln_evidence() - ln).exp().min(1.0))
    }

    /// The network solved.
    pub fn network(&self) -> &'n Network {
        self.net
    }

    /// The evidence it was solved with.
    pub fn evidence(&self) -> &Evidence {
        &self.evidence
    }

    /// Multiplications that one probability of evidence takes, about.
    pub fn work(&self) -> f64 {
        self.ready.work()
    }

    /// Natural logarithm of the probability of the evidence, together with the
    /// restriction of [`Network::at_most`] if there is one.
    pub fn ln_evidence(&self) -> f64 {
        self.posterior.scale.ln()
    }

    /// Solves again with further evidence.
    ///
    /// # Errors
    /// As [`Solved::new`].
    pub fn with(&self, more: &[(Var, Vec<f64>)]) -> Result<Solved<'n>, Error> {
        Self::new(self.net, &self.evidence_with(more))
    }

    /// Solves again without what was observed of one variable.
    ///
    /// # Errors
    /// As [`Solved::new`].
    pub fn without(&self, var: Var) -> Result<Solved<'n>, Error> {
        Self::new(self.net, &self.evidence.clone().without(var))
    }

    pub(super) fn evidence_with(&self, more: &[(Var, Vec<f64>)]) -> Evidence {
        let mut evidence = self.evidence.clone();
        for (var, likelihood) in more {
            evidence.set(*var, likelihood);
        }
        evidence
    }

    /// Probability of each state of a variable, observed or not, given the evidence.
    ///
    /// # Errors
    /// [`Error::TooLarge`] if a variable that the evidence does not reach
    /// cannot be added within the limit.
    pub fn marginal(&self, var: Var) -> Result<Vec<f64>, Error> {
        if let Some(known) = self.known(var) {
            return Ok(known);
        }
        let softly = self
            .evidence
            .get(var)
            .is_some_and(|l| l.iter().any(|x| *x != l[0]));
        match self.net.gate(var) {
            Gate::Max { .. } if softly => self.observed(var),
            Gate::Max { .. } => self.prediction(var),
            Gate::Table { parents, table } if parents.is_empty() => Ok(table.clone()),
            Gate::Table { .. } => {
                let solved = Self::keeping(self.net, &self.evidence, &[var])?;
                Ok(solved.known(var).unwrap_or_default())
            }
        }
    }

    /// The marginal of a variable that took part in the solution.
    pub(super) fn known(&self, var: Var) -> Option<Vec<f64>> {
        self.posterior.marginal(&self.ready, self.net, var)
    }

    /// Probability that each variable is present (not in state 0); those that
    /// the evidence does not reach are had together in one solution if that fits.
    ///
    /// # Errors
    /// As [`Solved::marginal`].
    pub fn present(&self, vars: &[Var]) -> Result<Vec<f64>, Error> {
        let unknown = |var: &Var| {
            !self.ready.holds(*var)
                && self.evidence.get(*var).is_none()
                && !self.net.gate(*var).parents().is_empty()
        };
        let wanted: Vec<Var> = vars.iter().copied().filter(unknown).collect();
        let all = match wanted.len() > 1 {
            true => Self::keeping(self.net, &self.evidence, &wanted).ok(),
            false => None,
        };
        let from = all.as_ref().unwrap_or(self);
        vars.iter()
            .map(|var| Ok(from.marginal(*var)?[1..].iter().sum()))
            .collect()
    }

    /// Probability that all of these variables are in state 0.
    ///
    /// # Errors
    /// As [`Solved::marginal`].
    pub fn all_absent(&self, vars: &[Var]) -> Result<f64, Error> {
        if vars.iter().all(|v| self.ready.holds(*v)) {
            return Ok(self.joint(&|reduced, weights| {
                for var in vars {
                    match (reduced.node[var.index()], reduced.fixed[var.index()]) {
                        (NONE, NONE | 0) => {}
                        (NONE, _) => return 0.0,
                        _ => reduced.weigh(*var, weights, 0.0),
                    }
                }
                1.0
            }));
        }
        let absent: Vec<(Var, Vec<f64>)> = vars
            .iter()
            .map(|var| {
                let states = self.net.states(*var);
                (*var, (0..states).map(|s| f64::from(s == 0)).collect())
            })
            .collect();
        self.probability_of(&absent)
    }

    /// Probability, given the evidence, of what a change of the weights stands for.
    pub(super) fn joint(&self, change: Change) -> f64 {
        let joint = self.ready.probability(change);
        match joint.is_zero() {
            true => 0.0,
            false => joint.over(self.posterior.scale),
        }
    }

    /// Probability of further evidence given what was observed; 0 if impossible.
    ///
    /// # Errors
    /// As [`Solved::marginal`].
    pub fn probability_of(&self, more: &[(Var, Vec<f64>)]) -> Result<f64, Error> {
        let mut evidence = self.evidence_with(more);
        evidence.check(self.net)?;
        match relax::until_it_fits(self.net, &mut evidence, &[]) {
            Ok(ready) => {
                let joint = ready.probability(AS_IT_IS);
                match joint.is_zero() {
                    true => Ok(0.0),
                    false => Ok(joint.over(self.posterior.scale)),
                }
            }
            Err(Refusal::Impossible) => Ok(0.0),
            Err(refusal) => Err(conflict::explained(self.net, &evidence, refusal)),
        }
    }

    /// A softly observed gate without children: grade by grade.
    fn observed(&self, var: Var) -> Result<Vec<f64>, Error> {
        let states = self.net.states(var);
        let mut out = Vec::with_capacity(states);
        for state in 0..states {
            let only: Vec<f64> = (0..states).map(|s| f64::from(s == state)).collect();
            out.push(self.probability_of(&[(var, only)])?);
        }
        Ok(unit(out))
    }

    /// A gate not observed: `P(<= k)` only rescales the weights of its causes.
    fn prediction(&self, var: Var) -> Result<Vec<f64>, Error> {
        let states = self.net.states(var);
        let mut out = Vec::with_capacity(states);
        let mut below = 0.0;
        for top in 0..states {
            let up_to = if top + 1 == states {
                1.0
            } else {
                self.at_most(var, top)?
            };
            out.push((up_to - below).max(0.0));
            below = up_to.max(below);
        }
        Ok(unit(out))
    }

    /// Probability that a gate is at grade `top` or below.
    fn at_most(&self, var: Var, top: usize) -> Result<f64, Error> {
        let parents = self.net.gate(var).parents();
        if is_gate(self.net, var) && parents.iter().all(|p| self.ready.holds(*p)) {
            let change = |reduced: &Reduced, weights: &mut [f64]| {
                reduced.at_most(self.net, var, top, weights).unwrap_or(0.0)
            };
            return Ok(self.joint(&change));
        }
        let states = self.net.states(var);
        let likelihood = (0..states).map(|s| f64::from(s <= top)).collect();
        self.probability_of(&[(var, likelihood)])
    }
}

fn unit(mut p: Vec<f64>) -> Vec<f64> {
    let sum: f64 = p.iter().sum();
    if sum > 0.0 {
        p.iter_mut().for_each(|x| *x /= sum);
    }
    p
}
