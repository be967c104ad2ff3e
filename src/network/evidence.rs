//! What was observed: a likelihood over the states of each observed variable.

use super::build::{Network, Var};
use super::error::Error;
use std::collections::BTreeMap;

/// Likelihood vectors by variable. Repeated observations of one variable multiply.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Evidence {
    likelihoods: BTreeMap<Var, Vec<f64>>,
    /// Observations that stand as a product over the causes instead (see [`super::relax`]).
    relaxed: BTreeMap<Var, Relaxed>,
}

/// An observed gate's likelihood as a product: a constant, and for each parent
/// in the gate's order a factor that counts when the parent is present.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Relaxed {
    /// What all causes together put in where the product touches the likelihood.
    pub at: f64,
    pub constant: f64,
    pub factors: Vec<f64>,
}

impl Evidence {
    /// Nothing observed.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a likelihood over the variable's states; multiplies what is there.
    pub fn set(&mut self, var: Var, likelihood: &[f64]) {
        self.relaxed.remove(&var);
        match self.likelihoods.get_mut(&var) {
            Some(have) if have.len() == likelihood.len() => {
                have.iter_mut().zip(likelihood).for_each(|(a, b)| *a *= b);
            }
            _ => {
                self.likelihoods.insert(var, likelihood.to_vec());
            }
        }
    }

    /// The same with the variable observed to be in one of its `states`.
    pub fn hard(mut self, var: Var, state: usize, states: usize) -> Self {
        let likelihood: Vec<f64> = (0..states).map(|s| f64::from(s == state)).collect();
        self.set(var, &likelihood);
        self
    }

    /// The same without one variable.
    pub fn without(mut self, var: Var) -> Self {
        self.likelihoods.remove(&var);
        self.relaxed.remove(&var);
        self
    }

    /// The product that stands for an observation, if it is relaxed.
    pub(super) fn relaxed(&self, var: Var) -> Option<&Relaxed> {
        self.relaxed.get(&var)
    }

    /// Lets a product stand for the observation of a gate.
    pub(super) fn relax(&mut self, var: Var, product: Relaxed) {
        self.relaxed.insert(var, product);
    }

    /// The observations that are relaxed.
    pub(super) fn all_relaxed(&self) -> impl Iterator<Item = Var> + '_ {
        self.relaxed.keys().copied()
    }

    /// The likelihood of one variable, if it was observed.
    pub fn get(&self, var: Var) -> Option<&[f64]> {
        self.likelihoods.get(&var).map(Vec::as_slice)
    }

    /// Observed variables with their likelihoods, in the order of the variables.
    pub fn iter(&self) -> impl Iterator<Item = (Var, &[f64])> {
        self.likelihoods.iter().map(|(v, l)| (*v, l.as_slice()))
    }

    /// Number of observed variables.
    pub fn len(&self) -> usize {
        self.likelihoods.len()
    }

    /// Whether nothing was observed.
    pub fn is_empty(&self) -> bool {
        self.likelihoods.is_empty()
    }

    pub(super) fn check(&self, net: &Network) -> Result<(), Error> {
        for (var, likelihood) in self.iter() {
            if var.index() >= net.len() {
                return Err(Error::Shape(format!(
                    "evidence on variable {}, which the network lacks",
                    var.0
                )));
            }
            let name = net.name(var);
            if likelihood.len() != net.states(var) {
                return Err(Error::Shape(format!(
                    "`{name}` has {} states, its evidence {} numbers",
                    net.states(var),
                    likelihood.len()
                )));
            }
            if let Some(bad) = likelihood.iter().find(|l| !(l.is_finite() && **l >= 0.0)) {
                return Err(Error::Shape(format!(
                    "{bad} is no likelihood (evidence on `{name}`)"
                )));
            }
        }
        Ok(())
    }
}
