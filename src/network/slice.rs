//! Too much for one run: a few variables are set to every combination of their
//! states (a cutset), each slice is solved by the same plan, and the slices are
//! added up. The answer is as exact as in one run; memory falls by half for
//! each variable cut, and the slices are shared out to all cores.

use super::core::Core;
use super::dice::Dice;
use super::draw::{Draws, draws};
use super::order::Graph;
use super::plans::{Plan, Plans};
use super::reduced::{Dense, Link, NONE, Plain, Reduced, raise};
use super::run::{Numbers, normalise, with_work};
use super::scaled::Scaled;
use rayon::prelude::*;
use std::sync::Arc;

/// Most variables cut.
const MOST_CUT: usize = 8;

/// Declared limit: multiplications of all slices together. Evidence that needs more is refused.
pub const MOST_WORK: f64 = 1e9;

/// A reduced network in slices.
#[derive(Debug, Clone)]
pub(super) struct Slices {
    /// The variables cut, as indices of the whole's plain variables.
    cut: Vec<u32>,
    /// The slices' plain variables as indices of the whole's.
    from: Vec<u32>,
    slices: Vec<Slice>,
    plan: Arc<Plan>,
}

#[derive(Debug, Clone)]
struct Slice {
    /// States of the variables cut.
    states: Vec<usize>,
    reduced: Reduced,
    core: Core,
}

impl Slices {
    /// Cuts the variables that weigh most until a slice fits; else the entries
    /// that would be needed.
    pub fn of(reduced: &Reduced, core: &Core, plans: &Plans) -> Result<Self, f64> {
        let folded = core.folded(reduced);
        let mut graph = core.graph(reduced, &folded);
        let mut cut: Vec<u32> = Vec::new();
        let mut entries = f64::INFINITY;
        while cut.len() < MOST_CUT {
            let Some(element) = heaviest(&graph, reduced, core) else {
                break;
            };
            graph = graph.cut(element);
            cut.push(core.plains[element]);
            let first = Slice::of(reduced, &cut, vec![0; cut.len()]);
            let count = (1u64 << cut.len()) as f64;
            match plans.plan(&first.reduced, &first.core) {
                Ok(plan) if plan.work * count > MOST_WORK => {
                    entries = entries.min(plan.arena as f64 * count);
                }
                Ok(plan) => return Ok(Slices::with(reduced, cut, plan)),
                Err(over) => entries = entries.min(over * count),
            }
        }
        Err(entries)
    }

    fn with(reduced: &Reduced, cut: Vec<u32>, plan: Arc<Plan>) -> Self {
        let all = 0..1usize << cut.len();
        Slices {
            from: kept(reduced, &cut),
            slices: all
                .map(|bits| {
                    let states = (0..cut.len()).map(|i| bits >> i & 1).collect();
                    Slice::of(reduced, &cut, states)
                })
                .collect(),
            cut,
            plan,
        }
    }

    /// Multiplications of all slices together.
    pub fn work(&self) -> f64 {
        self.plan.work * self.slices.len() as f64
    }

    /// The weights of a slice, and what its variables cut are worth.
    fn weights(&self, whole: &Reduced, slice: &Slice, weights: &[f64]) -> (Vec<f64>, f64) {
        let mut own = vec![0.0; slice.reduced.weights.len()];
        for (plain, from) in slice.reduced.plains.iter().zip(&self.from) {
            let from = whole.plains[*from as usize];
            own[plain.at..plain.at + plain.states]
                .copy_from_slice(&weights[from.at..from.at + from.states]);
        }
        let fixed = self.cut.iter().zip(&slice.states);
        let worth = fixed
            .map(|(cut, state)| weights[whole.plains[*cut as usize].at + state])
            .product();
        (own, worth)
    }

    /// Probability of the evidence under weights that add up to one for each variable.
    pub fn probability(&self, whole: &Reduced, weights: &[f64]) -> Scaled {
        let parts: Vec<Scaled> = (self.slices.par_iter())
            .map(|slice| self.slice_probability(whole, slice, weights))
            .collect();
        Scaled::sum(&parts)
    }

    fn slice_probability(&self, whole: &Reduced, slice: &Slice, weights: &[f64]) -> Scaled {
        let (mut own, worth) = self.weights(whole, slice, weights);
        let mut scale = normalise(&slice.reduced, &mut own);
        scale.times(worth);
        if !scale.is_zero() {
            let numbers = slice.numbers(&own);
            scale.multiply(with_work(|work| work.forward(&self.plan, &numbers)));
        }
        scale
    }

    /// Draws from the joint posterior, shared out to the slices by their
    /// probabilities; laid out as the whole's plain variables.
    pub fn draws(&self, whole: &Reduced, weights: &[f64], count: usize, dice: &mut Dice) -> Draws {
        let parts: Vec<Scaled> = (self.slices.par_iter())
            .map(|slice| self.slice_probability(whole, slice, weights))
            .collect();
        let total = Scaled::sum(&parts);
        let shares: Vec<f64> = parts.iter().map(|part| part.over(total)).collect();
        let mut counts = vec![0; shares.len()];
        (0..count).for_each(|_| counts[dice.state(&shares)] += 1);
        let mut out: Draws = vec![Vec::with_capacity(count); whole.plains.len()];
        for (slice, count) in self.slices.iter().zip(counts) {
            if count == 0 {
                continue;
            }
            let (mut own, _) = self.weights(whole, slice, weights);
            normalise(&slice.reduced, &mut own);
            let numbers = slice.numbers(&own);
            let drawn = with_work(|work| {
                work.forward(&self.plan, &numbers);
                draws(work, &self.plan, &numbers, count, dice)
            });
            for (from, states) in self.from.iter().zip(drawn) {
                out[*from as usize].extend(states);
            }
            for (cut, state) in self.cut.iter().zip(&slice.states) {
                out[*cut as usize].extend(std::iter::repeat_n(*state as u16, count));
            }
        }
        out
    }

    /// The same, the marginals of all variables into `out`, and by how much the
    /// worst slice was off.
    pub fn marginals(&self, whole: &Reduced, weights: &[f64], out: &mut [f64]) -> (Scaled, f64) {
        let parts: Vec<(Scaled, Vec<f64>, f64)> = (self.slices.par_iter())
            .map(|slice| {
                let (mut own, worth) = self.weights(whole, slice, weights);
                let mut scale = normalise(&slice.reduced, &mut own);
                scale.times(worth);
                if scale.is_zero() {
                    return (scale, own, 0.0);
                }
                let numbers = slice.numbers(&own);
                let mut marginals = own.clone();
                let worst = with_work(|work| {
                    scale.multiply(work.forward(&self.plan, &numbers));
                    match scale.is_zero() {
                        true => 0.0,
                        false => work.reverse(&self.plan, &numbers, &mut marginals),
                    }
                });
                (scale, marginals, worst)
            })
            .collect();
        let scales: Vec<Scaled> = parts.iter().map(|(scale, ..)| *scale).collect();
        let total = Scaled::sum(&scales);
        out.fill(0.0);
        let mut worst = 0.0f64;
        for (slice, (scale, marginals, off)) in self.slices.iter().zip(&parts) {
            if scale.is_zero() {
                continue;
            }
            worst = worst.max(*off);
            let share = scale.over(total);
            for (plain, from) in slice.reduced.plains.iter().zip(&self.from) {
                let at = whole.plains[*from as usize].at;
                for s in 0..plain.states {
                    out[at + s] += share * marginals[plain.at + s];
                }
            }
            for (cut, state) in self.cut.iter().zip(&slice.states) {
                out[whole.plains[*cut as usize].at + state] += share;
            }
        }
        (total, worst)
    }
}

/// The binary variable, free to be cut, that takes part in most of the work.
fn heaviest(graph: &Graph, reduced: &Reduced, core: &Core) -> Option<usize> {
    let burdens = graph.burdens();
    let settles = |plain: u32| reduced.opens.iter().any(|open| open.into == plain);
    (0..core.plains.len())
        .filter(|e| core.states[*e] == 2 && burdens[*e] > 0.0 && !settles(core.plains[*e]))
        .max_by(|a, b| burdens[*a].total_cmp(&burdens[*b]))
}

/// Plain variables that are not cut.
fn kept(reduced: &Reduced, cut: &[u32]) -> Vec<u32> {
    (0..reduced.plains.len() as u32)
        .filter(|plain| !cut.contains(plain))
        .collect()
}

impl Slice {
    fn numbers<'a>(&'a self, weights: &'a [f64]) -> Numbers<'a> {
        Numbers {
            reduced: &self.reduced,
            core: &self.core,
            weights,
        }
    }

    fn of(whole: &Reduced, cut: &[u32], states: Vec<usize>) -> Slice {
        let mut place = vec![NONE; whole.plains.len()];
        let mut out = Reduced {
            scale: Scaled::ONE,
            plains: Vec::new(),
            weights: Vec::new(),
            links: Vec::new(),
            dense: Vec::new(),
            ..whole.clone()
        };
        for from in kept(whole, cut) {
            let plain = whole.plains[from as usize];
            place[from as usize] = out.plains.len() as u32;
            let at = out.weights.len();
            out.weights.resize(at + plain.states, 1.0);
            out.plains.push(Plain { at, ..plain });
        }
        let fixed = |plain: u32| {
            let at = cut.iter().position(|c| *c == plain);
            at.map(|at| states[at])
        };
        for link in &whole.links {
            match fixed(link.plain) {
                None => out.links.push(Link {
                    plain: place[link.plain as usize],
                    ..*link
                }),
                Some(0) => {}
                Some(_) => {
                    let open = out.opens[link.open as usize];
                    let by = whole.numbers[link.at..link.at + open.states].to_vec();
                    raise(&mut out.numbers[open.leak..open.leak + open.states], &by);
                }
            }
        }
        for node in &mut out.node {
            if *node != NONE {
                *node = place[*node as usize];
            }
        }
        for open in &mut out.opens {
            if open.into != NONE {
                open.into = place[open.into as usize];
            }
        }
        for dense in &whole.dense {
            out.take(whole, dense, &place, &fixed);
        }
        let core = Core::of(&out);
        Slice {
            states,
            reduced: out,
            core,
        }
    }
}

impl Reduced {
    /// The part of a table that the states of the variables cut leave.
    fn take(
        &mut self,
        whole: &Reduced,
        dense: &Dense,
        place: &[u32],
        fixed: &dyn Fn(u32) -> Option<usize>,
    ) {
        let (mut base, mut stride) = (dense.at, 1);
        let mut free: Vec<(u32, usize, usize)> = Vec::new();
        for plain in &dense.scope {
            let states = whole.plains[*plain as usize].states;
            match fixed(*plain) {
                Some(state) => base += state * stride,
                None => free.push((place[*plain as usize], states, stride)),
            }
            stride *= states;
        }
        let mut offsets = vec![base];
        for (_, states, stride) in &free {
            let have = offsets.len();
            for s in 1..*states {
                for i in 0..have {
                    offsets.push(offsets[i] + s * stride);
                }
            }
        }
        if free.is_empty() {
            self.scale.times(whole.numbers[base]);
            return;
        }
        let at = self.numbers.len();
        self.numbers
            .extend(offsets.iter().map(|o| whole.numbers[*o]));
        self.dense.push(Dense {
            scope: free.iter().map(|(plain, ..)| *plain).collect(),
            at,
            len: offsets.len(),
        });
    }
}
