//! What a test is worth: how much a loss is expected to fall once its findings
//! are known. With entropy as the loss the worth is in bits.
//!
//! For findings not yet seen, `P(finding <= grade)` only rescales the weights
//! of its causes. So the joint outcome of several findings is had from one
//! run per corner of the grid of grades, all with the same plan, and
//! differences along each finding.

use super::build::{Gate, Network, Var};
use super::conflict;
use super::draw::{self, DRAWS, Dice, SEED};
use super::error::Error;
use super::ready::{Ready, Refusal};
use super::reduced::NONE;
use super::solved::Solved;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Joint outcomes up to this many are gone through one by one.
pub const MOST_OUTCOMES: usize = 4096;

/// Work (multiplications) from which on tests are shared out to all cores.
const WORTH_SHARING: f64 = 100_000.0;

/// Outcomes less likely than this are passed over: they cannot move a value in the digits shown.
const NEGLIGIBLE: f64 = 1e-13;

/// How a value was had.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Method {
    /// Every joint outcome was gone through.
    Exact {
        /// How many there are.
        outcomes: usize,
    },
    /// Joint outcomes were drawn from their exact distribution, each solved exactly.
    Sampled {
        /// How many were drawn.
        draws: usize,
        /// Seed of the draws.
        seed: u64,
    },
}

/// Expected fall of a loss.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Value {
    /// The fall: bits if the loss is in bits. Never negative.
    pub bits: f64,
    /// Standard error of the fall; 0 if exact.
    pub error: f64,
    /// How it was had.
    pub method: Method,
}

/// A loss as a function of the probabilities that each target is present (not
/// in state 0). Concave losses, such as entropy or the least expected cost over
/// repair choices, never rise on average.
pub type Loss<'a> = &'a (dyn Fn(&[f64]) -> f64 + Sync);

/// Sum of the entropies of the targets, in bits.
///
/// ```
/// assert_eq!(sootsayer::network::entropy(&[0.5, 0.0, 1.0]), 1.0);
/// ```
pub fn entropy(present: &[f64]) -> f64 {
    present.iter().map(|p| term(*p) + term(1.0 - *p)).sum()
}

fn term(p: f64) -> f64 {
    if p > 0.0 { -p * p.log2() } else { 0.0 }
}

impl Solved<'_> {
    /// Expected fall of the summed entropies of the targets, in bits, over the
    /// joint outcome of the findings. A finding already known for certain adds nothing.
    ///
    /// # Errors
    /// [`Error::TooLarge`] if findings or targets cannot be added within the limit.
    pub fn value(&self, findings: &[Var], targets: &[Var]) -> Result<Value, Error> {
        self.value_by(findings, targets, &entropy)
    }

    /// The same for any loss.
    ///
    /// # Errors
    /// As [`Solved::value`].
    pub fn value_by(&self, findings: &[Var], targets: &[Var], loss: Loss) -> Result<Value, Error> {
        let values = self.values_by(&[findings.to_vec()], targets, loss)?;
        Ok(values[0])
    }

    /// Values of several tests, each a set of findings, in the order given.
    ///
    /// # Errors
    /// As [`Solved::value`].
    pub fn values(&self, tests: &[Vec<Var>], targets: &[Var]) -> Result<Vec<Value>, Error> {
        self.values_by(tests, targets, &entropy)
    }

    /// The same for any loss.
    ///
    /// # Errors
    /// As [`Solved::value`].
    pub fn values_by(
        &self,
        tests: &[Vec<Var>],
        targets: &[Var],
        loss: Loss,
    ) -> Result<Vec<Value>, Error> {
        let mut wanted = targets.to_vec();
        for finding in tests.iter().flatten() {
            wanted.extend(self.net.gate(*finding).parents());
        }
        wanted.sort();
        wanted.dedup();
        let question = Question::of(self, &wanted, targets, loss)?;
        let work = tests.len() as f64 * (question.ready.work() + 10.0 * wanted.len() as f64);
        if work > WORTH_SHARING {
            tests.par_iter().map(|test| question.value(test)).collect()
        } else {
            tests.iter().map(|test| question.value(test)).collect()
        }
    }
}

/// A solved network laid out for questions about given targets.
struct Question<'s> {
    solved: &'s Solved<'s>,
    ready: Ready,
    targets: &'s [Var],
    loss: Loss<'s>,
    /// The loss as things stand.
    now: f64,
}

impl<'s> Question<'s> {
    fn of(
        solved: &'s Solved<'s>,
        wanted: &[Var],
        targets: &'s [Var],
        loss: Loss<'s>,
    ) -> Result<Self, Error> {
        let (net, evidence) = (solved.net, &solved.evidence);
        let ready = Ready::of(net, evidence, wanted)
            .map_err(|refusal| conflict::explained(net, evidence, wanted, refusal))?;
        let mut question = Question {
            solved,
            ready,
            targets,
            loss,
            now: 0.0,
        };
        let mut weights = question.ready.reduced.weights.clone();
        let mut marginals = Vec::new();
        question.run(&mut weights, &mut marginals)?;
        let present: Vec<f64> = question.present(&marginals).collect();
        question.now = loss(&present);
        Ok(question)
    }

    fn run(&self, weights: &mut [f64], marginals: &mut Vec<f64>) -> Result<f64, Error> {
        match self.ready.marginals(weights, marginals) {
            Ok(scale) => Ok(scale.over(self.solved.scale)),
            Err(Refusal::Impossible) => Ok(0.0),
            Err(Refusal::Imprecise(by)) => Err(Error::Imprecise(by)),
            Err(refusal) => Err(conflict::explained(
                self.solved.net,
                &self.solved.evidence,
                &[],
                refusal,
            )),
        }
    }

    /// Probability that each target is not in state 0.
    fn present<'a>(&'a self, marginals: &'a [f64]) -> impl Iterator<Item = f64> + 'a {
        let reduced = &self.ready.reduced;
        self.targets.iter().map(move |var| {
            match (
                reduced.marginal(*var, marginals),
                reduced.fixed[var.index()],
            ) {
                (Some(p), _) => p[1..].iter().sum(),
                (None, NONE) => 0.0,
                (None, state) => f64::from(state != 0),
            }
        })
    }

    fn value(&self, test: &[Var]) -> Result<Value, Error> {
        let mut findings: Vec<Var> = test.to_vec();
        findings.sort();
        findings.dedup();
        findings.retain(|var| self.ready.reduced.fixed[var.index()] == NONE);
        let net = self.solved.net;
        let outcomes = findings
            .iter()
            .try_fold(1usize, |n, var| n.checked_mul(net.states(*var)))
            .filter(|n| *n <= MOST_OUTCOMES);
        let open = |var: &Var| self.open(net, *var);
        match outcomes {
            Some(outcomes) => {
                let after = if findings.iter().all(open) {
                    self.by_corners(&findings, outcomes)?
                } else {
                    self.by_cases(&findings, outcomes)?
                };
                Ok(Value {
                    bits: (self.now - after).max(0.0),
                    error: 0.0,
                    method: Method::Exact { outcomes },
                })
            }
            None => self.sampled(&findings),
        }
    }

    /// Whether a finding is an unseen gate on which nothing in the solution hangs.
    fn open(&self, net: &Network, var: Var) -> bool {
        matches!(net.gate(var), Gate::Max { .. })
            && self.ready.reduced.node[var.index()] == NONE
            && self.solved.evidence.get(var).is_none()
    }

    /// Expected loss after the findings: one run per corner, then differences.
    fn by_corners(&self, findings: &[Var], outcomes: usize) -> Result<f64, Error> {
        let net = self.solved.net;
        let width = 1 + self.targets.len();
        let mut grid = vec![0.0; outcomes * width];
        let mut marginals = Vec::new();
        let mut weights = Vec::new();
        for (corner, row) in grid.chunks_exact_mut(width).enumerate() {
            weights.clone_from(&self.ready.reduced.weights);
            let mut factor = 1.0;
            let mut rest = corner;
            for finding in findings {
                let states = net.states(*finding);
                let top = rest % states;
                rest /= states;
                if top + 1 < states {
                    let reduced = &self.ready.reduced;
                    factor *= reduced
                        .at_most(net, *finding, top, &mut weights)
                        .unwrap_or(0.0);
                }
            }
            row[0] = factor * self.run(&mut weights, &mut marginals)?;
            if row[0] > 0.0 {
                let joint = row[0];
                for (cell, p) in row[1..].iter_mut().zip(self.present(&marginals)) {
                    *cell = joint * p;
                }
            }
        }
        let mut stride = width;
        for finding in findings {
            let states = net.states(*finding);
            for block in grid.chunks_exact_mut(stride * states) {
                for k in (1..states).rev() {
                    let (low, high) = block.split_at_mut(k * stride);
                    let low = &low[(k - 1) * stride..];
                    high[..stride]
                        .iter_mut()
                        .zip(low)
                        .for_each(|(h, l)| *h -= l);
                }
            }
            stride *= states;
        }
        let rows = grid.chunks_exact(width);
        Ok(rows.map(|row| self.weighted(row)).sum())
    }

    /// Probability of an outcome times the loss after it.
    fn weighted(&self, row: &[f64]) -> f64 {
        let p = row[0];
        if p < NEGLIGIBLE {
            return p.max(0.0) * self.now;
        }
        let present: Vec<f64> = row[1..].iter().map(|j| (j / p).clamp(0.0, 1.0)).collect();
        p * (self.loss)(&present)
    }

    /// Expected loss after the findings: every joint outcome as evidence.
    fn by_cases(&self, findings: &[Var], outcomes: usize) -> Result<f64, Error> {
        let mut after = 0.0;
        for outcome in 0..outcomes {
            let mut rest = outcome;
            let more: Vec<(Var, Vec<f64>)> = findings
                .iter()
                .map(|finding| {
                    let states = self.solved.net.states(*finding);
                    let state = rest % states;
                    rest /= states;
                    (
                        *finding,
                        (0..states).map(|s| f64::from(s == state)).collect(),
                    )
                })
                .collect();
            let (p, loss) = self.after(&more)?;
            after += p * loss;
        }
        Ok(after)
    }

    /// Probability of further evidence, and the loss after it.
    fn after(&self, more: &[(Var, Vec<f64>)]) -> Result<(f64, f64), Error> {
        let evidence = self.solved.evidence_with(more);
        let net = self.solved.net;
        let refused = |refusal| conflict::explained(net, &evidence, self.targets, refusal);
        let ready = match Ready::of(net, &evidence, self.targets) {
            Ok(ready) => ready,
            Err(Refusal::Impossible) => return Ok((0.0, 0.0)),
            Err(refusal) => return Err(refused(refusal)),
        };
        let then = Question {
            solved: self.solved,
            ready,
            targets: self.targets,
            loss: self.loss,
            now: 0.0,
        };
        let mut weights = then.ready.reduced.weights.clone();
        let mut marginals = Vec::new();
        let p = then.run(&mut weights, &mut marginals)?;
        if p == 0.0 {
            return Ok((0.0, 0.0));
        }
        let present: Vec<f64> = then.present(&marginals).collect();
        Ok((p, (self.loss)(&present)))
    }

    /// Expected loss after outcomes drawn at random.
    fn sampled(&self, findings: &[Var]) -> Result<Value, Error> {
        let mut dice = Dice::new(SEED);
        let drawn = draw::outcomes(self.solved, findings, DRAWS, &mut dice)?;
        let mut known: BTreeMap<&[usize], f64> = BTreeMap::new();
        let mut losses = Vec::with_capacity(drawn.len());
        for outcome in &drawn {
            let loss = match known.get(outcome.as_slice()) {
                Some(loss) => *loss,
                None => self.after(&draw::hard(self.solved, findings, outcome))?.1,
            };
            known.insert(outcome, loss);
            losses.push(loss);
        }
        let (after, error) = draw::mean(&losses);
        Ok(Value {
            bits: (self.now - after).max(0.0),
            error,
            method: Method::Sampled {
                draws: DRAWS,
                seed: SEED,
            },
        })
    }
}
