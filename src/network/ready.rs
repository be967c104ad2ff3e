//! A reduced network made ready: its plan, and how it is run with any weights.

use super::build::{Network, Var};
use super::core::Core;
use super::dice::Dice;
use super::draw::{Draws, draws};
use super::evidence::Evidence;
use super::plans::Plan;
use super::reduced::Reduced;
use super::run::{Numbers, normalise, with_work};
use super::scaled::Scaled;
use super::slice::Slices;
use std::sync::Arc;

/// Largest relative disagreement between two ways to the same probability that is let pass.
pub const PRECISION: f64 = 1e-6;

/// A reduced network with its plan: ready to be run with any weights.
#[derive(Debug, Clone)]
pub(super) struct Ready {
    pub reduced: Reduced,
    way: Way,
}

/// How it is solved: in one run, or slice by slice if that would be too large.
#[derive(Debug, Clone)]
enum Way {
    Whole(Core, Arc<Plan>),
    Sliced(Slices),
}

/// Why a network with evidence could not be made ready or run.
pub(super) enum Refusal {
    Impossible,
    TooLarge(f64),
    Imprecise(f64),
}

impl Ready {
    pub fn of(net: &Network, evidence: &Evidence, wanted: &[Var]) -> Result<Self, Refusal> {
        let reduced = Reduced::of(net, evidence, wanted).map_err(|_| Refusal::Impossible)?;
        let core = Core::of(&reduced);
        let way = match net.plans.plan(&reduced, &core) {
            Ok(plan) => Way::Whole(core, plan),
            Err(entries) => Slices::of(&reduced, &core, &net.plans)
                .map(Way::Sliced)
                .map_err(|sliced| Refusal::TooLarge(entries.min(sliced)))?,
        };
        Ok(Ready { reduced, way })
    }

    /// Multiplications of one run.
    pub fn work(&self) -> f64 {
        match &self.way {
            Way::Whole(_, plan) => plan.work,
            Way::Sliced(slices) => slices.work(),
        }
    }

    /// Probability of the evidence under these weights (spoiled: normalised).
    pub fn probability(&self, weights: &mut [f64]) -> Scaled {
        let mut scale = normalise(&self.reduced, weights);
        let (core, plan) = match &self.way {
            Way::Whole(core, plan) => (core, plan),
            Way::Sliced(slices) => {
                scale.multiply(slices.probability(&self.reduced, weights));
                return scale;
            }
        };
        let numbers = Numbers {
            reduced: &self.reduced,
            core,
            weights,
        };
        scale.multiply(with_work(|work| work.forward(plan, &numbers)));
        scale
    }

    /// Draws from the joint posterior under these weights (spoiled), by plain
    /// variable; none if the evidence is impossible.
    pub fn draws(&self, weights: &mut [f64], count: usize, dice: &mut Dice) -> Draws {
        normalise(&self.reduced, weights);
        let (core, plan) = match &self.way {
            Way::Whole(core, plan) => (core, plan),
            Way::Sliced(slices) => return slices.draws(&self.reduced, weights, count, dice),
        };
        let numbers = Numbers {
            reduced: &self.reduced,
            core,
            weights,
        };
        with_work(|work| {
            work.forward(plan, &numbers);
            draws(work, plan, &numbers, count, dice)
        })
    }

    /// [`Ready::probability`], and the marginals of all plain variables, laid out as the weights.
    pub fn marginals(&self, weights: &mut [f64], out: &mut Vec<f64>) -> Result<Scaled, Refusal> {
        let mut scale = normalise(&self.reduced, weights);
        out.clear();
        out.extend_from_slice(weights);
        let worst = match &self.way {
            Way::Whole(core, plan) => {
                let numbers = Numbers {
                    reduced: &self.reduced,
                    core,
                    weights,
                };
                with_work(|work| {
                    scale.multiply(work.forward(plan, &numbers));
                    match scale.is_zero() {
                        true => 0.0,
                        false => work.reverse(plan, &numbers, out),
                    }
                })
            }
            Way::Sliced(slices) => {
                let (part, worst) = slices.marginals(&self.reduced, weights, out);
                scale.multiply(part);
                worst
            }
        };
        match scale.is_zero() {
            true => Err(Refusal::Impossible),
            false if worst > PRECISION => Err(Refusal::Imprecise(worst)),
            false => Ok(scale),
        }
    }
}
