//! What a test is worth: how much a loss is expected to fall once its findings
//! are known. With entropy as the loss the worth is in bits.
//!
//! For findings not yet seen, `P(finding <= grade)` only rescales the weights
//! of its causes. So the joint outcome of several findings is had from one
//! run per corner of the grid of grades, all with the same plan, and
//! differences along each finding.

use super::build::{Gate, Network, Var};
use super::conflict;
use super::dice::{Dice, SEED};
use super::error::Error;
use super::ready::{Change, Posterior, Ready, Refusal};
use super::reduced::Reduced;
use super::sampled::{Counts, DRAWS, Sample};
use super::solved::Solved;
use rayon::prelude::*;

/// Joint outcomes up to this many are solved for one by one.
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
    /// From draws of all variables from their exact joint posterior.
    Sampled {
        /// How many.
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
        let values = self.values(&[findings.to_vec()], targets)?;
        Ok(values[0])
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
        self.bits(tests, targets, MOST_OUTCOMES)
    }

    /// The same, exact for tests with so many joint outcomes at most; the others
    /// from [`DRAWS`] draws, with a standard error.
    ///
    /// # Errors
    /// As [`Solved::value`].
    pub fn bits(
        &self,
        tests: &[Vec<Var>],
        targets: &[Var],
        most_outcomes: usize,
    ) -> Result<Vec<Value>, Error> {
        self.worth(tests, targets, None, most_outcomes)
    }

    /// Values by any loss.
    ///
    /// # Errors
    /// As [`Solved::value`].
    pub fn values_by(
        &self,
        tests: &[Vec<Var>],
        targets: &[Var],
        loss: Loss,
    ) -> Result<Vec<Value>, Error> {
        self.worth(tests, targets, Some(loss), MOST_OUTCOMES)
    }

    /// Expected fall of the summed entropies of whether each target is *behind*
    /// what was seen, in bits, from [`DRAWS`] draws.
    ///
    /// # Errors
    /// As [`Solved::value`].
    pub fn bits_of_blame(&self, tests: &[Vec<Var>], targets: &[Var]) -> Result<Vec<Value>, Error> {
        self.worth_of((Counts::Behind, None, 0), tests, targets)
    }

    fn worth(
        &self,
        tests: &[Vec<Var>],
        targets: &[Var],
        loss: Option<Loss>,
        most_outcomes: usize,
    ) -> Result<Vec<Value>, Error> {
        self.worth_of((Counts::Present, loss, most_outcomes), tests, targets)
    }

    fn worth_of(
        &self,
        (counts, loss, most_outcomes): (Counts, Option<Loss>, usize),
        tests: &[Vec<Var>],
        targets: &[Var],
    ) -> Result<Vec<Value>, Error> {
        let mut wanted = targets.to_vec();
        for finding in tests.iter().flatten() {
            match self.net.gate(*finding) {
                Gate::Table { .. } => wanted.push(*finding),
                gate => wanted.extend(gate.parents()),
            }
        }
        wanted.sort();
        wanted.dedup();
        let mut question = Question::of(self, &wanted, targets, loss.unwrap_or(&entropy))?;
        question.counts = counts;
        let tests: Vec<Test> = (tests.iter())
            .map(|test| question.test(test, most_outcomes))
            .collect();
        let sample =
            (tests.iter().any(|test| test.outcomes.is_none())).then(|| question.sample(&wanted));
        let value = |test: &Test| match (test.outcomes, &sample) {
            (None, Some(sample)) => Ok(sample.value(&test.findings, loss)),
            (outcomes, _) => question.value(&test.findings, outcomes.unwrap_or(1)),
        };
        let work = tests.len() as f64 * (question.solved.work() + 10.0 * wanted.len() as f64);
        if sample.is_some() || work > WORTH_SHARING {
            tests.par_iter().map(value).collect()
        } else {
            tests.iter().map(value).collect()
        }
    }
}

/// The findings of a test not yet known, with the number of their joint
/// outcomes if that is not too large to solve for each.
struct Test {
    findings: Vec<Var>,
    outcomes: Option<usize>,
}

/// A solved network laid out for questions about given targets.
struct Question<'s> {
    /// Solved with all that the findings depend on.
    solved: Solved<'s>,
    targets: &'s [Var],
    loss: Loss<'s>,
    /// The loss as things stand.
    now: f64,
    counts: Counts,
}

impl<'s> Question<'s> {
    fn of(
        solved: &'s Solved<'s>,
        wanted: &[Var],
        targets: &'s [Var],
        loss: Loss<'s>,
    ) -> Result<Self, Error> {
        let solved = match wanted.iter().all(|var| solved.ready.holds(*var)) {
            true => solved.clone(),
            false => Solved::keeping(solved.net, &solved.evidence, wanted)?,
        };
        let present = present(&solved.ready, &solved.posterior, &solved, targets);
        let now = loss(&present);
        Ok(Question {
            solved,
            targets,
            loss,
            now,
            counts: Counts::Present,
        })
    }

    /// Probability of what a change of the weights stands for, and of the targets then.
    fn run(&self, change: Change) -> Result<(f64, Vec<f64>), Error> {
        let ready = &self.solved.ready;
        match ready.posterior(change) {
            Ok(posterior) => Ok((
                posterior.scale.over(self.solved.posterior.scale),
                present(ready, &posterior, &self.solved, self.targets),
            )),
            Err(Refusal::Impossible) => Ok((0.0, vec![0.0; self.targets.len()])),
            Err(Refusal::Imprecise(by)) => Err(Error::Imprecise(by)),
            Err(refusal) => Err(conflict::explained(
                self.solved.net,
                &self.solved.evidence,
                refusal,
            )),
        }
    }

    fn test(&self, findings: &[Var], most_outcomes: usize) -> Test {
        let mut findings: Vec<Var> = findings.to_vec();
        findings.sort();
        findings.dedup();
        findings.retain(|var| self.solved.ready.fixed(*var).is_none());
        let states = findings.iter().map(|var| self.solved.net.states(*var));
        Test {
            outcomes: { states }
                .try_fold(1usize, |n, states| n.checked_mul(states))
                .filter(|n| *n <= most_outcomes.min(MOST_OUTCOMES)),
            findings,
        }
    }

    fn sample(&self, wanted: &[Var]) -> Sample<'_> {
        let solved = &self.solved;
        let mut dice = Dice::new(SEED);
        let draws = solved.ready.draws(&solved.posterior, DRAWS, &mut dice);
        Sample::of(solved, draws, wanted, self.targets, self.counts)
    }

    /// The exact value over every joint outcome.
    fn value(&self, findings: &[Var], outcomes: usize) -> Result<Value, Error> {
        let net = self.solved.net;
        let after = match findings.iter().all(|var| self.open(net, *var)) {
            true => self.by_corners(findings, outcomes)?,
            false => self.by_cases(findings, outcomes)?,
        };
        Ok(Value {
            bits: (self.now - after).max(0.0),
            error: 0.0,
            method: Method::Exact { outcomes },
        })
    }

    /// Whether a finding is an unseen gate on which nothing in the solution hangs.
    fn open(&self, net: &Network, var: Var) -> bool {
        matches!(net.gate(var), Gate::Max { .. })
            && !self.solved.ready.is_summed(var)
            && net
                .gate(var)
                .parents()
                .iter()
                .all(|p| self.solved.ready.holds(*p))
            && self.solved.evidence.get(var).is_none()
    }

    /// Expected loss after the findings: one run per corner, then differences.
    fn by_corners(&self, findings: &[Var], outcomes: usize) -> Result<f64, Error> {
        let net = self.solved.net;
        let width = 1 + self.targets.len();
        let mut grid = vec![0.0; outcomes * width];
        for (corner, row) in grid.chunks_exact_mut(width).enumerate() {
            let change = |reduced: &Reduced, weights: &mut [f64]| {
                let mut factor = 1.0;
                let mut rest = corner;
                for finding in findings {
                    let states = net.states(*finding);
                    let top = rest % states;
                    rest /= states;
                    if top + 1 < states {
                        let at_most = reduced.at_most(net, *finding, top, weights);
                        factor *= at_most.unwrap_or(0.0);
                    }
                }
                factor
            };
            let (joint, present) = self.run(&change)?;
            row[0] = joint;
            if joint > 0.0 {
                for (cell, p) in row[1..].iter_mut().zip(present) {
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
        match Solved::keeping(self.solved.net, &evidence, self.targets) {
            Ok(then) => {
                let p = then.posterior.scale.over(self.solved.posterior.scale);
                let present = present(&then.ready, &then.posterior, &then, self.targets);
                Ok((p, (self.loss)(&present)))
            }
            Err(Error::Impossible { .. }) => Ok((0.0, 0.0)),
            Err(refused) => Err(refused),
        }
    }
}

/// Probability that each target is not in state 0.
fn present(ready: &Ready, posterior: &Posterior, solved: &Solved, targets: &[Var]) -> Vec<f64> {
    let of = |var: &Var| posterior.marginal(ready, solved.net, *var);
    let present = |p: Vec<f64>| p[1..].iter().sum();
    targets
        .iter()
        .map(|var| of(var).map_or(0.0, present))
        .collect()
}
