//! A network with evidence made ready: reduced and planned, and run with any weights.
//!
//! Where only so many of some variables may be present together
//! ([`Network::at_most`]), every such set is a slice of its own (cutset
//! conditioning, J. Pearl 1988): given the set the rest falls apart, so the
//! slices are small, and they are added up.

use super::build::{Gate, Network, Var};
use super::cheapest::MOST_WORK;
use super::core::Core;
use super::dice::Dice;
use super::draw::{Draws, draws};
use super::evidence::Evidence;
use super::plans::Plan;
use super::reduce::Idle;
use super::reduced::{NONE, Reduced};
use super::run::{Marginals, Numbers, normalise, with_work};
use super::scaled::Scaled;
use rayon::prelude::*;
use std::sync::Arc;

/// Largest relative disagreement between two ways to the same probability that is let pass.
pub const PRECISION: f64 = 1e-6;

/// A slice with less than this share of the whole is left out of later questions.
const NO_SHARE: f64 = 1e-14;

/// Work (multiplications) from which slices are shared out to all cores.
const WORTH_SHARING: f64 = 2e5;

/// A network reduced with its evidence and planned, slice by slice.
#[derive(Debug, Clone)]
pub(super) struct Ready {
    pub slices: Vec<Slice>,
    work: f64,
}

/// What is left when the variables counted are known.
#[derive(Debug, Clone)]
pub(super) struct Slice {
    pub reduced: Reduced,
    core: Core,
    plan: Arc<Plan>,
}

/// Why a network with evidence could not be made ready or run.
#[derive(Debug)]
pub(super) enum Refusal {
    Impossible,
    /// Entries that it would take, and the observation that weighs most.
    TooLarge(f64, Option<Var>),
    Imprecise(f64),
}

/// A change of a slice's weights before a run; returns a factor.
pub(super) type Change<'c> = &'c (dyn Fn(&Reduced, &mut [f64]) -> f64 + Sync);

/// The posterior of a network made ready.
#[derive(Debug, Clone)]
pub(super) struct Posterior {
    /// Probability of the evidence.
    pub scale: Scaled,
    /// Share of each slice, with its marginals; none for one without a share.
    pub slices: Vec<(f64, Option<Marginals>)>,
}

impl Ready {
    pub fn of(net: &Network, evidence: &Evidence, wanted: &[Var]) -> Result<Self, Refusal> {
        Self::with_idle(net, evidence, wanted, None)
    }

    /// The same with one cause present and idle.
    pub fn with_idle(
        net: &Network,
        evidence: &Evidence,
        wanted: &[Var],
        idle: Option<Idle>,
    ) -> Result<Self, Refusal> {
        let mut slices = Vec::new();
        let mut work = 0.0;
        for set in sets(net) {
            let members = net.few.as_ref().map_or(&[][..], |few| &few.members);
            let mut given = evidence.clone();
            for (bit, member) in members.iter().enumerate() {
                given = given.hard(*member, usize::from(set >> bit & 1 == 1), 2);
            }
            if idle.is_some_and(|idle| {
                let bit = members.iter().position(|m| *m == idle.cause);
                bit.is_some_and(|bit| set >> bit & 1 == 0)
            }) {
                continue;
            }
            let Ok(reduced) = Reduced::with_idle(net, &given, wanted, idle) else {
                continue;
            };
            let core = Core::of(&reduced);
            let slice = match net.plans.plan(&reduced, &core) {
                Ok(plan) => Slice {
                    reduced,
                    core,
                    plan,
                },
                Err(entries) => {
                    return Err(Refusal::TooLarge(entries, heaviest(&reduced, &core)));
                }
            };
            work += slice.plan.work;
            if work > MOST_WORK {
                let weighs = heaviest(&slice.reduced, &slice.core);
                return Err(Refusal::TooLarge(slice.plan.arena as f64, weighs));
            }
            slices.push(slice);
        }
        if slices.is_empty() {
            return Err(Refusal::Impossible);
        }
        Ok(Ready { slices, work })
    }

    /// Multiplications of one run of all slices.
    pub fn work(&self) -> f64 {
        self.work
    }

    fn each<T: Send>(&self, run: impl Fn(&Slice) -> T + Sync + Send) -> Vec<T> {
        match self.work > WORTH_SHARING && self.slices.len() > 1 {
            true => self.slices.par_iter().map(run).collect(),
            false => self.slices.iter().map(run).collect(),
        }
    }

    /// Probability of the evidence after a change of the weights.
    pub fn probability(&self, change: Change) -> Scaled {
        Scaled::sum(&self.each(|slice| slice.probability(change)))
    }

    /// Probability of the evidence with each slice altered, or left out.
    pub fn altered(&self, alter: &(dyn Fn(usize, &mut Reduced) -> bool + Sync)) -> Scaled {
        let all: Vec<usize> = (0..self.slices.len()).collect();
        let one = |i: &usize| {
            let mut slice = self.slices[*i].clone();
            match alter(*i, &mut slice.reduced) {
                true => slice.probability(&|_, _| 1.0),
                false => Scaled::ZERO,
            }
        };
        let parts: Vec<Scaled> = match self.work > WORTH_SHARING {
            true => all.par_iter().map(one).collect(),
            false => all.iter().map(one).collect(),
        };
        Scaled::sum(&parts)
    }

    /// The posterior after a change of the weights.
    pub fn posterior(&self, change: Change) -> Result<Posterior, Refusal> {
        let all: Vec<(Scaled, Option<Marginals>)> = self.each(|slice| slice.marginals(change));
        let scales: Vec<Scaled> = all.iter().map(|(scale, _)| *scale).collect();
        let scale = Scaled::sum(&scales);
        if scale.is_zero() {
            return Err(Refusal::Impossible);
        }
        let worst = all.iter().filter_map(|(_, m)| m.as_ref());
        let worst = worst.map(|m| m.worst).fold(0.0, f64::max);
        if worst > PRECISION {
            return Err(Refusal::Imprecise(worst));
        }
        let share = |of: Scaled| if of.is_zero() { 0.0 } else { of.over(scale) };
        Ok(Posterior {
            scale,
            slices: (all.into_iter())
                .map(|(of, marginals)| (share(of), marginals))
                .collect(),
        })
    }

    /// Draws from the joint posterior: the slice that they lie in, how many, and
    /// the states.
    pub fn draws(
        &self,
        posterior: &Posterior,
        count: usize,
        dice: &mut Dice,
    ) -> Vec<(usize, usize, Draws)> {
        let mut left = count;
        let mut rest: f64 = posterior.slices.iter().map(|(share, _)| share).sum();
        let mut out = Vec::new();
        for (i, (share, _)) in posterior.slices.iter().enumerate() {
            // Systematic shares: as many draws as the slice's part of what is left.
            let n = match rest > 0.0 {
                true => (left as f64 * (share / rest) + dice.unit()).floor() as usize,
                false => 0,
            };
            let n = n.min(left);
            rest -= share;
            left -= n;
            if n > 0 {
                out.push((i, n, self.slices[i].draws(n, dice)));
            }
        }
        if left > 0
            && let Some((i, _)) =
                (posterior.slices.iter().enumerate()).max_by(|a, b| a.1.0.total_cmp(&b.1.0))
        {
            out.push((i, left, self.slices[i].draws(left, dice)));
        }
        out
    }

    /// The state that a variable is known to be in, slice by slice the same.
    pub fn fixed(&self, var: Var) -> Option<usize> {
        let mut all = self.slices.iter().map(|s| s.reduced.fixed[var.index()]);
        let first = all.next().filter(|state| *state != NONE)?;
        all.all(|state| state == first).then_some(first as usize)
    }

    /// Whether a variable is part of every slice, as a variable or as known.
    pub fn holds(&self, var: Var) -> bool {
        let here = |r: &Reduced| r.node[var.index()] != NONE || r.fixed[var.index()] != NONE;
        self.slices.iter().all(|slice| here(&slice.reduced))
    }

    /// Whether it is a variable of some slice.
    pub fn is_summed(&self, var: Var) -> bool {
        (self.slices.iter()).any(|slice| slice.reduced.node[var.index()] != NONE)
    }

    /// The same slices without those that have no share.
    pub fn with_shares(mut self, posterior: &mut Posterior) -> Self {
        let mut keep = posterior.slices.iter().map(|(share, _)| *share > NO_SHARE);
        self.slices.retain(|_| keep.next().unwrap_or(true));
        posterior.slices.retain(|(share, _)| *share > NO_SHARE);
        self.work = self.slices.iter().map(|slice| slice.plan.work).sum();
        self
    }
}

impl Posterior {
    /// Probability of each state of a variable; none if a slice lacks it.
    pub fn marginal(&self, ready: &Ready, net: &Network, var: Var) -> Option<Vec<f64>> {
        let states = net.states(var);
        let mut out = vec![0.0; states];
        for (slice, (share, marginals)) in ready.slices.iter().zip(&self.slices) {
            let Some(marginals) = marginals else { continue };
            let here = slice.reduced.marginal(var, &marginals.states, states)?;
            out.iter_mut().zip(here).for_each(|(o, p)| *o += share * p);
        }
        Some(out)
    }
}

impl Slice {
    fn numbers<'a>(&'a self, weights: &'a [f64]) -> Numbers<'a> {
        Numbers {
            reduced: &self.reduced,
            core: &self.core,
            weights,
        }
    }

    fn changed(&self, change: Change) -> (Vec<f64>, Scaled) {
        let mut weights = self.reduced.weights.clone();
        let factor = change(&self.reduced, &mut weights);
        let mut scale = normalise(&self.reduced, &mut weights);
        scale.times(factor);
        (weights, scale)
    }

    fn probability(&self, change: Change) -> Scaled {
        let (weights, mut scale) = self.changed(change);
        if !scale.is_zero() {
            let numbers = self.numbers(&weights);
            scale.multiply(with_work(|work| work.forward(&self.plan, &numbers)));
        }
        scale
    }

    fn marginals(&self, change: Change) -> (Scaled, Option<Marginals>) {
        let (weights, mut scale) = self.changed(change);
        if scale.is_zero() {
            return (scale, None);
        }
        let mut out = Marginals::of(&self.reduced, &weights);
        let numbers = self.numbers(&weights);
        with_work(|work| {
            scale.multiply(work.forward(&self.plan, &numbers));
            if !scale.is_zero() {
                work.reverse(&self.plan, &numbers, &mut out);
            }
        });
        match scale.is_zero() {
            true => (scale, None),
            false => (scale, Some(out)),
        }
    }

    fn draws(&self, count: usize, dice: &mut Dice) -> Draws {
        let (weights, _) = self.changed(&|_, _| 1.0);
        let numbers = self.numbers(&weights);
        with_work(|work| {
            work.forward(&self.plan, &numbers);
            draws(work, &self.plan, &numbers, count, dice)
        })
    }
}

/// The sets of counted variables that may be present, as bits; the empty one
/// first. Those that another of the set brings about are not counted.
fn sets(net: &Network) -> Vec<u32> {
    let Some(few) = &net.few else { return vec![0] };
    let parents: Vec<u32> = (few.members.iter())
        .map(|member| {
            let of = net.gate(*member).parents();
            let bits = few.members.iter().enumerate();
            bits.filter(|(_, m)| of.contains(m))
                .fold(0, |set, (bit, _)| set | 1 << bit)
        })
        .collect();
    let unprovoked = |set: u32| {
        let own = |bit: &usize| set >> bit & 1 == 1 && parents[*bit] & set == 0;
        (0..parents.len()).filter(own).count()
    };
    (0..1u32 << parents.len())
        .filter(|set| unprovoked(*set) <= few.most)
        .collect()
}

/// The observation whose max dimension takes part in the largest tables.
fn heaviest(reduced: &Reduced, core: &Core) -> Option<Var> {
    let burdens = core.graph(reduced, &core.folded(reduced)).burdens();
    let observed = reduced.opens.iter().enumerate();
    let observed = observed.filter(|(_, open)| open.into == NONE);
    let burden = |i: usize| burdens[core.open(i as u32) as usize];
    let most = observed.max_by(|(i, _), (j, _)| burden(*i).total_cmp(&burden(*j)));
    most.map(|(_, open)| open.var)
}

/// Whether a variable is a gate.
pub(super) fn is_gate(net: &Network, var: Var) -> bool {
    matches!(net.gate(var), Gate::Max { .. })
}
