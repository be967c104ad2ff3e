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
use super::reduced::{NONE, raise};
use super::solved::Solved;
use super::value::{Loss, Method, Value};
use std::collections::BTreeMap;
use std::ops::Range;

/// Draws from the posterior.
pub const DRAWS: usize = 6144;

/// Joint outcomes up to this many are gone through.
const OUTCOMES: usize = 128;

/// Else so many are drawn.
const OUTCOMES_DRAWN: usize = 192;

/// The draws are parted into so many to tell the standard error.
const BATCHES: usize = 8;

/// What of a target the worth is about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Counts {
    /// That it is present.
    Present,
    /// That it is present and behind what was seen.
    Behind,
}

/// Draws from the posterior, and what they say of the targets.
pub(super) struct Sample<'s> {
    solved: &'s Solved<'s>,
    /// By slice, with the numbers of its draws.
    draws: Vec<(usize, Range<usize>, Draws)>,
    /// Draw by draw, the variables that are not in state 0.
    present: Vec<Vec<u32>>,
    /// Draw by draw, the targets of those, by their place among the targets,
    /// each with the chance that it counts.
    targeted: Vec<Vec<(u32, f64)>>,
    targets: usize,
}

/// Weights below this share of the largest are taken for none.
const NEGLIGIBLE: f64 = 1e-9;

/// Chances of one finding: for each state, draw by draw.
type Chances = Vec<Vec<f64>>;

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
        solved: &'s Solved<'s>,
        draws: Vec<(usize, usize, Draws)>,
        wanted: &[Var],
        targets: &[Var],
        counts: Counts,
    ) -> Self {
        let mut first = 0;
        let mut placed = Vec::new();
        for (slice, count, draws) in draws {
            placed.push((slice, first..first + count, draws));
            first += count;
        }
        let mut sample = Sample {
            solved,
            draws: placed,
            present: vec![Vec::new(); DRAWS],
            targeted: Vec::new(),
            targets: targets.len(),
        };
        let mut target = vec![NONE; solved.net.len()];
        for (i, var) in targets.iter().enumerate() {
            target[var.index()] = i as u32;
        }
        for var in wanted {
            let states = sample.states(*var);
            for (list, state) in sample.present.iter_mut().zip(states) {
                if state > 0 {
                    list.push(var.0);
                }
            }
        }
        let of = |var: &u32| Some((target[*var as usize], 1.0)).filter(|(t, _)| *t != NONE);
        sample.targeted = match counts {
            Counts::Present => (sample.present.iter())
                .map(|list| list.iter().filter_map(of).collect())
                .collect(),
            Counts::Behind => sample.blamed(&target),
        };
        sample
    }

    /// Of the targets of each draw the chance that they are behind what was
    /// seen: given all that is present it is a product over the observations.
    fn blamed(&self, target: &[u32]) -> Vec<Vec<(u32, f64)>> {
        let seen: Vec<Seen> = (self.solved.evidence.iter())
            .filter(|(var, _)| self.solved.evidence.relaxed(*var).is_none())
            .filter_map(|(var, likelihood)| Seen::of(self.solved.net, var, likelihood))
            .collect();
        let mut idle = vec![1.0; self.solved.net.len()];
        (self.present.iter())
            .map(|present| {
                present.iter().for_each(|var| idle[*var as usize] = 1.0);
                for seen in &seen {
                    seen.idle(present, &mut idle);
                }
                let of = |var: &u32| {
                    let behind: f64 = 1.0 - idle[*var as usize];
                    Some((target[*var as usize], behind.clamp(0.0, 1.0)))
                };
                (present.iter().filter_map(of))
                    .filter(|(target, _)| *target != NONE)
                    .collect()
            })
            .collect()
    }

    /// The state of a variable in every draw; 0 where the evidence does not reach it.
    fn states(&self, var: Var) -> Vec<u16> {
        let mut out = vec![0; DRAWS];
        for (slice, range, draws) in &self.draws {
            let reduced = &self.solved.ready.slices[*slice].reduced;
            let out = &mut out[range.clone()];
            match (reduced.node[var.index()], reduced.fixed[var.index()]) {
                (_, state) if state != NONE => out.fill(state as u16),
                (NONE, _) => {}
                (node, _) => out.copy_from_slice(&draws[node as usize]),
            }
        }
        out
    }

    /// The worth of findings: in bits, or by a loss.
    pub fn value(&self, findings: &[Var], loss: Option<Loss>) -> Value {
        let chances: Vec<Chances> = findings.iter().map(|f| self.chances(*f)).collect();
        let outcomes = (chances.iter()).try_fold(1usize, |n, c| {
            n.checked_mul(c.len()).filter(|n| *n <= OUTCOMES)
        });
        let (bits, error) = match outcomes {
            Some(outcomes) => {
                let by_batch: Vec<f64> = (0..BATCHES)
                    .map(|b| self.over_all(&chances, outcomes, (b, BATCHES), loss))
                    .collect();
                let (_, error) = dice::mean(&by_batch);
                (self.over_all(&chances, outcomes, (0, 1), loss), error)
            }
            None => dice::mean(&self.over_drawn(&chances, loss)),
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
        let net = self.solved.net;
        let states = net.states(finding);
        let mut chances = vec![vec![0.0; DRAWS]; states];
        if self.solved.ready.is_summed(finding) {
            for (draw, state) in self.states(finding).into_iter().enumerate() {
                chances[state as usize][draw] = 1.0;
            }
            return chances;
        }
        let Gate::Max {
            leak,
            parents,
            grades,
        } = net.gate(finding)
        else {
            return vec![vec![1.0; DRAWS]];
        };
        let mut place = vec![NONE; net.len()];
        for (i, parent) in parents.iter().enumerate() {
            place[parent.index()] = i as u32;
        }
        let mut row = leak.clone();
        for (draw, present) in self.present.iter().enumerate() {
            row.copy_from_slice(leak);
            for var in present {
                let at = place[*var as usize] as usize;
                if let Some(by) = grades.chunks_exact(states).nth(at) {
                    raise(&mut row, by);
                }
            }
            if let Some(seen) = self.solved.evidence.get(finding) {
                row.iter_mut().zip(seen).for_each(|(p, l)| *p *= l);
                let sum: f64 = row.iter().sum();
                row.iter_mut().for_each(|p| *p /= sum);
            }
            for (state, p) in row.iter().enumerate() {
                chances[state][draw] = *p;
            }
        }
        chances
    }

    /// Expected fall over every joint outcome, from every `step`th draw.
    fn over_all(
        &self,
        chances: &[Chances],
        outcomes: usize,
        (first, step): (usize, usize),
        loss: Option<Loss>,
    ) -> f64 {
        let mut weights = vec![1.0; DRAWS];
        let now = self.sums(&weights, (first, step));
        (0..outcomes)
            .map(|outcome| {
                weights.fill(1.0);
                let mut rest = outcome;
                for finding in chances {
                    weigh(&mut weights, &finding[rest % finding.len()]);
                    rest /= finding.len();
                }
                let sums = self.sums(&weights, (first, step));
                match sums.all[0] > 0.0 {
                    true => sums.all[0] / sums.n * fall(&now, &sums, loss),
                    false => 0.0,
                }
            })
            .sum()
    }

    /// The fall after each of some outcomes, drawn.
    fn over_drawn(&self, chances: &[Chances], loss: Option<Loss>) -> Vec<f64> {
        let mut dice = Dice::new(SEED);
        let mut weights = vec![1.0; DRAWS];
        let now = self.sums(&weights, (0, 1));
        (0..OUTCOMES_DRAWN)
            .map(|_| {
                let from = dice.below(DRAWS);
                weights.fill(1.0);
                for finding in chances {
                    let row: Vec<f64> = finding.iter().map(|state| state[from]).collect();
                    weigh(&mut weights, &finding[dice.state(&row)]);
                }
                // What it was drawn from would speak for itself.
                weights[from] = 0.0;
                let sums = self.sums(&weights, (0, 1));
                match sums.all[0] > 0.0 {
                    true => fall(&now, &sums, loss),
                    false => 0.0,
                }
            })
            .collect()
    }

    fn sums(&self, weights: &[f64], (first, step): (usize, usize)) -> Sums {
        let least = NEGLIGIBLE * weights.iter().fold(0.0, |most: f64, w| most.max(*w));
        let mut sums = Sums {
            n: weights.len().div_ceil(step) as f64,
            all: [0.0; 2],
            with: vec![[0.0; 2]; self.targets],
        };
        for draw in (first..weights.len()).step_by(step) {
            let w = weights[draw];
            if w <= least {
                continue;
            }
            let squares = [w, w * w];
            add(&mut sums.all, squares);
            for (target, counts) in &self.targeted[draw] {
                let squares = [w * counts, w * w * counts];
                add(&mut sums.with[*target as usize], squares);
            }
        }
        sums
    }
}

/// An observation by which causes may be behind what was seen.
struct Seen<'s> {
    likelihood: &'s [f64],
    leak: &'s [f64],
    /// By parent.
    rows: BTreeMap<u32, &'s [f64]>,
}

impl<'s> Seen<'s> {
    /// None where it only says that nothing was seen.
    fn of(net: &'s Network, var: Var, likelihood: &'s [f64]) -> Option<Self> {
        let Gate::Max {
            leak,
            parents,
            grades,
        } = net.gate(var)
        else {
            return None;
        };
        let more = likelihood.iter().skip(1).any(|l| *l > 0.0);
        more.then(|| Seen {
            likelihood,
            leak,
            rows: (parents.iter().map(|p| p.0))
                .zip(grades.chunks_exact(leak.len()))
                .collect(),
        })
    }

    /// Multiplies by the chance that each present cause adds nothing to it.
    fn idle(&self, present: &[u32], idle: &mut [f64]) {
        let here: Vec<(u32, &[f64])> = (present.iter())
            .filter_map(|var| Some((*var, *self.rows.get(var)?)))
            .collect();
        if here.is_empty() {
            return;
        }
        let chance = |without: Option<u32>| -> f64 {
            let mut row = self.leak.to_vec();
            for (_, by) in here.iter().filter(|(var, _)| Some(*var) != without) {
                raise(&mut row, by);
            }
            row.iter().zip(self.likelihood).map(|(p, l)| p * l).sum()
        };
        let all = chance(None).max(1e-300);
        for (var, row) in &here {
            idle[*var as usize] *= (row[0] * chance(Some(*var)) / all).min(1.0);
        }
    }
}

fn weigh(weights: &mut [f64], by: &[f64]) {
    weights.iter_mut().zip(by).for_each(|(w, p)| *w *= p);
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
