//! A network with evidence, solved: the questions that can be put to it.

use super::build::{Gate, Network, Var};
use super::conflict;
use super::error::Error;
use super::evidence::Evidence;
use super::ready::{Ready, Refusal};
use super::reduced::NONE;
use super::scaled::Scaled;

/// A network with its evidence, solved. Immutable; may be shared between threads.
#[derive(Debug, Clone)]
pub struct Solved<'n> {
    pub(super) net: &'n Network,
    pub(super) evidence: Evidence,
    pub(super) ready: Ready,
    pub(super) scale: Scaled,
    /// Laid out as the weights.
    pub(super) marginals: Vec<f64>,
}

impl<'n> Solved<'n> {
    /// Solves the network exactly.
    ///
    /// # Errors
    /// [`Error::Shape`] if the evidence does not fit the network,
    /// [`Error::Impossible`] with a smallest conflicting set,
    /// [`Error::TooLarge`] with what to leave out, [`Error::Imprecise`] if the
    /// arithmetic failed its own check.
    pub fn new(net: &'n Network, evidence: &Evidence) -> Result<Self, Error> {
        evidence.check(net)?;
        Self::wanting(net, evidence, &[])
    }

    /// Solves with some variables kept that the evidence does not reach, so that
    /// later questions about them need no solution of their own.
    ///
    /// # Errors
    /// As [`Solved::new`].
    pub fn keeping(net: &'n Network, evidence: &Evidence, wanted: &[Var]) -> Result<Self, Error> {
        evidence.check(net)?;
        Self::wanting(net, evidence, wanted)
    }

    /// Natural logarithm of the probability of evidence alone, as
    /// [`Solved::ln_evidence`] gives it: a third of the work of a solution.
    ///
    /// # Errors
    /// As [`Solved::new`]; evidence that is impossible has minus infinity.
    pub fn ln_probability(net: &Network, evidence: &Evidence) -> Result<f64, Error> {
        evidence.check(net)?;
        match Ready::of(net, evidence, &[]) {
            Ok(ready) => {
                let mut weights = ready.reduced.weights.clone();
                Ok(ready.probability(&mut weights).ln())
            }
            Err(Refusal::Impossible) => Ok(f64::NEG_INFINITY),
            Err(refusal) => Err(conflict::explained(net, evidence, &[], refusal)),
        }
    }

    fn wanting(net: &'n Network, evidence: &Evidence, wanted: &[Var]) -> Result<Self, Error> {
        let explain = |refusal| conflict::explained(net, evidence, wanted, refusal);
        let ready = Ready::of(net, evidence, wanted).map_err(explain)?;
        let mut weights = ready.reduced.weights.clone();
        let mut marginals = Vec::new();
        let scale = ready
            .marginals(&mut weights, &mut marginals)
            .map_err(explain)?;
        Ok(Solved {
            net,
            evidence: evidence.clone(),
            ready,
            scale,
            marginals,
        })
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
        self.scale.ln()
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
        let states = self.net.states(var);
        let reduced = &self.ready.reduced;
        if reduced.fixed[var.index()] != NONE {
            let state = reduced.fixed[var.index()] as usize;
            return Ok((0..states).map(|s| f64::from(s == state)).collect());
        }
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
                let solved = Self::wanting(self.net, &self.evidence, &[var])?;
                Ok(solved.known(var).unwrap_or_default())
            }
        }
    }

    /// The marginal of a variable that took part in the solution.
    fn known(&self, var: Var) -> Option<Vec<f64>> {
        self.ready.reduced.marginal(var, &self.marginals)
    }

    /// Probability that each variable is present (not in state 0); those that
    /// the evidence does not reach are had together in one solution if that fits.
    ///
    /// # Errors
    /// As [`Solved::marginal`].
    pub fn present(&self, vars: &[Var]) -> Result<Vec<f64>, Error> {
        let unknown = |var: &Var| {
            let reduced = &self.ready.reduced;
            reduced.node[var.index()] == NONE
                && reduced.fixed[var.index()] == NONE
                && self.evidence.get(*var).is_none()
                && !self.net.gate(*var).parents().is_empty()
        };
        let wanted: Vec<Var> = vars.iter().copied().filter(unknown).collect();
        let all = match Ready::of(self.net, &self.evidence, &wanted) {
            Ok(ready) if wanted.len() > 1 => {
                let mut weights = ready.reduced.weights.clone();
                let mut marginals = Vec::new();
                let solved = ready.marginals(&mut weights, &mut marginals);
                solved.ok().map(|scale| Solved {
                    ready,
                    scale,
                    marginals,
                    ..self.clone()
                })
            }
            _ => None,
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
        let reduced = &self.ready.reduced;
        if vars
            .iter()
            .any(|v| reduced.fixed[v.index()] != NONE && reduced.fixed[v.index()] != 0)
        {
            return Ok(0.0);
        }
        if vars
            .iter()
            .all(|v| reduced.node[v.index()] != NONE || reduced.fixed[v.index()] == 0)
        {
            return Ok(self.without_states_above_0(vars));
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

    /// The same for variables that took part: one forward run, with their other weights at zero.
    fn without_states_above_0(&self, vars: &[Var]) -> f64 {
        let reduced = &self.ready.reduced;
        let mut weights = reduced.weights.clone();
        for var in vars.iter().filter(|v| reduced.node[v.index()] != NONE) {
            reduced.weigh(*var, &mut weights, 0.0);
        }
        let joint = self.ready.probability(&mut weights);
        if joint.is_zero() {
            0.0
        } else {
            joint.over(self.scale)
        }
    }

    /// Probability of further evidence given what was observed; 0 if impossible.
    ///
    /// # Errors
    /// As [`Solved::marginal`].
    pub fn probability_of(&self, more: &[(Var, Vec<f64>)]) -> Result<f64, Error> {
        let evidence = self.evidence_with(more);
        evidence.check(self.net)?;
        match Ready::of(self.net, &evidence, &[]) {
            Ok(ready) => {
                let mut weights = ready.reduced.weights.clone();
                let joint = ready.probability(&mut weights);
                if joint.is_zero() {
                    return Ok(0.0);
                }
                Ok(joint.over(self.scale))
            }
            Err(Refusal::Impossible) => Ok(0.0),
            Err(refusal) => Err(conflict::explained(self.net, &evidence, &[], refusal)),
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
        let ready = &self.ready;
        let mut weights = ready.reduced.weights.clone();
        if let Some(factor) = ready.reduced.at_most(self.net, var, top, &mut weights) {
            let mut joint = ready.probability(&mut weights);
            joint.times(factor);
            return Ok(joint.over(self.scale));
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
