//! What tests with many joint outcomes are worth, from draws of the posterior.
//!
//! Given all variables of a draw the chance of every outcome is a product.
//! So the draws, weighted by that chance, stand for the posterior after the
//! outcome: nothing is solved again. What a test tells of a target is the
//! divergence of the two, less what chance alone makes of it with so many draws
//! (half its curvature times the variances of both, the delta method), averaged
//! over the outcomes.

use super::build::{Gate, Network, Var};
use super::dice::{self, Dice, SEED};
use super::draw::Draws;
use super::evidence::Evidence;
use super::reduced::{NONE, Reduced, raise};
use super::value::{Loss, Method, Value};

/// Draws from the posterior.
pub const DRAWS: usize = 4096;

/// Joint outcomes up to this many are gone through.
const OUTCOMES: usize = 128;

/// Else so many are drawn.
const OUTCOMES_DRAWN: usize = 512;

/// The draws are parted into so many to tell the standard error.
const BATCHES: usize = 8;

/// Draws from the posterior, and what they say of the targets.
pub(super) struct Sample<'s> {
    net: &'s Network,
    reduced: &'s Reduced,
    evidence: &'s Evidence,
    draws: Draws,
    /// Draw by draw, the variables that are not in state 0.
    present: Vec<Vec<u32>>,
    /// Variable -> its index among the targets, or [`NONE`].
    target: Vec<u32>,
    targets: usize,
}

/// Chances of the states of one finding, draw by draw.
struct Chances {
    states: usize,
    p: Vec<f64>,
}

/// Sums of weights over some draws: all, and those in which each target is present.
struct Sums {
    n: f64,
    all: [f64; 2],
    with: Vec<[f64; 2]>,
}

impl<'s> Sample<'s> {
    /// Of draws from a network reduced with its evidence; `wanted` are the
    /// targets and the causes of all findings to be asked about.
    pub fn of(
        (net, evidence): (&'s Network, &'s Evidence),
        reduced: &'s Reduced,
        draws: Draws,
        wanted: &[Var],
        targets: &[Var],
    ) -> Self {
        let mut present = vec![Vec::new(); DRAWS];
        for var in wanted {
            let node = reduced.node[var.index()];
            for (draw, list) in present.iter_mut().enumerate() {
                let state = match (node, reduced.fixed[var.index()]) {
                    (NONE, NONE) => 0,
                    (NONE, state) => state as usize,
                    _ => reduced.state_of(*var, draws[node as usize][draw] as usize),
                };
                if state > 0 {
                    list.push(var.0);
                }
            }
        }
        let mut target = vec![NONE; net.len()];
        for (i, var) in targets.iter().enumerate() {
            target[var.index()] = i as u32;
        }
        Sample {
            net,
            reduced,
            evidence,
            draws,
            present,
            target,
            targets: targets.len(),
        }
    }

    /// The worth of findings: in bits, or by a loss.
    pub fn value(&self, findings: &[Var], loss: Option<Loss>) -> Value {
        let chances: Vec<Chances> = findings.iter().map(|f| self.chances(*f)).collect();
        let outcomes = (chances.iter()).try_fold(1usize, |n, c| {
            n.checked_mul(c.states).filter(|n| *n <= OUTCOMES)
        });
        let all: Vec<usize> = (0..DRAWS).collect();
        let (bits, error) = match outcomes {
            Some(outcomes) => {
                let batch = |b: usize| -> Vec<usize> { (b..DRAWS).step_by(BATCHES).collect() };
                let by_batch: Vec<f64> = (0..BATCHES)
                    .map(|b| self.over_all(&chances, outcomes, &batch(b), loss))
                    .collect();
                let (_, error) = dice::mean(&by_batch);
                (self.over_all(&chances, outcomes, &all, loss), error)
            }
            None => dice::mean(&self.over_drawn(&chances, &all, loss)),
        };
        Value {
            bits: bits.max(0.0),
            error,
            method: Method::Sampled {
                draws: DRAWS,
                seed: SEED,
            },
        }
    }

    fn chances(&self, finding: Var) -> Chances {
        let states = self.net.states(finding);
        let node = self.reduced.node[finding.index()];
        let mut p = vec![0.0; DRAWS * states];
        let rows = p.chunks_exact_mut(states);
        if node != NONE {
            for (row, state) in rows.zip(&self.draws[node as usize]) {
                row[self.reduced.state_of(finding, *state as usize)] = 1.0;
            }
            return Chances { states, p };
        }
        let Gate::Max {
            leak,
            parents,
            grades,
        } = self.net.gate(finding)
        else {
            return Chances { states: 1, p };
        };
        let mut place = vec![NONE; self.net.len()];
        for (i, parent) in parents.iter().enumerate() {
            place[parent.index()] = i as u32;
        }
        for (row, present) in rows.zip(&self.present) {
            row.copy_from_slice(leak);
            for var in present {
                let at = place[*var as usize] as usize;
                if let Some(by) = grades.chunks_exact(states).nth(at) {
                    raise(row, by);
                }
            }
            if let Some(seen) = self.evidence.get(finding) {
                row.iter_mut().zip(seen).for_each(|(p, l)| *p *= l);
                let sum: f64 = row.iter().sum();
                row.iter_mut().for_each(|p| *p /= sum);
            }
        }
        Chances { states, p }
    }

    /// Expected fall over every joint outcome.
    fn over_all(
        &self,
        chances: &[Chances],
        outcomes: usize,
        draws: &[usize],
        loss: Option<Loss>,
    ) -> f64 {
        let now = self.sums(draws, |_| 1.0);
        (0..outcomes)
            .map(|outcome| {
                let sums = self.sums(draws, |draw| {
                    let mut rest = outcome;
                    let each = chances.iter().map(|c| {
                        let state = rest % c.states;
                        rest /= c.states;
                        c.p[draw * c.states + state]
                    });
                    each.product()
                });
                match sums.all[0] > 0.0 {
                    true => sums.all[0] / sums.n * fall(&now, &sums, loss),
                    false => 0.0,
                }
            })
            .sum()
    }

    /// The fall after each of some outcomes, drawn.
    fn over_drawn(&self, chances: &[Chances], draws: &[usize], loss: Option<Loss>) -> Vec<f64> {
        let mut dice = Dice::new(SEED);
        let now = self.sums(draws, |_| 1.0);
        (0..OUTCOMES_DRAWN)
            .map(|_| {
                let from = draws[dice.below(draws.len())];
                let outcome: Vec<usize> = (chances.iter())
                    .map(|c| dice.state(&c.p[from * c.states..][..c.states]))
                    .collect();
                let sums = self.sums(draws, |draw| match draw == from {
                    // What it was drawn from would speak for itself.
                    true => 0.0,
                    false => (chances.iter().zip(&outcome))
                        .map(|(c, state)| c.p[draw * c.states + state])
                        .product(),
                });
                match sums.all[0] > 0.0 {
                    true => fall(&now, &sums, loss),
                    false => 0.0,
                }
            })
            .collect()
    }

    fn sums(&self, draws: &[usize], weight: impl Fn(usize) -> f64) -> Sums {
        let mut sums = Sums {
            n: draws.len() as f64,
            all: [0.0; 2],
            with: vec![[0.0; 2]; self.targets],
        };
        for draw in draws {
            let w = weight(*draw);
            if w == 0.0 {
                continue;
            }
            let squares = [w, w * w];
            add(&mut sums.all, squares);
            for var in &self.present[*draw] {
                if let Some(with) = sums.with.get_mut(self.target[*var as usize] as usize) {
                    add(with, squares);
                }
            }
        }
        sums
    }
}

fn add(to: &mut [f64; 2], by: [f64; 2]) {
    to[0] += by[0];
    to[1] += by[1];
}

/// How far an outcome moves the targets, in bits or by a loss.
fn fall(now: &Sums, after: &Sums, loss: Option<Loss>) -> f64 {
    let probability =
        |of: &Sums| -> Vec<f64> { of.with.iter().map(|with| with[0] / of.all[0]).collect() };
    let (p, g) = (probability(now), probability(after));
    if let Some(loss) = loss {
        return loss(&p) - loss(&g);
    }
    let squared = after.n / after.all[0];
    let squared = |[_, squares]: [f64; 2]| squares * squared * squared;
    let (n, all) = (after.n, squared(after.all));
    let each = p.iter().zip(&g).zip(&after.with);
    each.map(|((p, g), with)| {
        if *p <= 0.0 || *p >= 1.0 {
            return 0.0;
        }
        let term = |g: f64, p: f64| if g > 0.0 { g * (g / p).ln() } else { 0.0 };
        let divergence = term(*g, *p) + term(1.0 - g, 1.0 - p);
        let (with, spread) = (squared(*with), g * (1.0 - g));
        let of_g = match spread > 0.0 {
            true => (with * (1.0 - g).powi(2) + (all - with) * g * g) / (n * spread),
            false => 0.0,
        };
        let of_p = g * (1.0 - p) / p + (1.0 - g) * p / (1.0 - p);
        let of_both = 2.0 * spread / (p * (1.0 - p));
        let chance = (of_g + of_p - of_both) / (2.0 * n);
        (divergence - chance) / std::f64::consts::LN_2
    })
    .sum()
}
