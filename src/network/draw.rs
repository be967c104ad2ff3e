//! Values of tests with too many joint outcomes to go through: outcomes are
//! drawn, finding by finding, from their exact distribution.

use super::build::Var;
use super::error::Error;
use super::solved::Solved;
use std::collections::BTreeMap;

/// Joint outcomes drawn for one value.
pub const DRAWS: usize = 64;

/// Seed of the draws.
pub const SEED: u64 = 0x50_07;

/// Pseudo-random numbers (splitmix64), the same on every machine.
pub(super) struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Dice(seed)
    }

    /// The next number in `0..1`.
    pub fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A state from a distribution.
    pub fn state(&mut self, p: &[f64]) -> usize {
        let mut left = self.unit() * p.iter().sum::<f64>();
        for (state, p) in p.iter().enumerate() {
            left -= p;
            if left < 0.0 {
                return state;
            }
        }
        p.iter().rposition(|p| *p > 0.0).unwrap_or(0)
    }
}

/// Draws joint outcomes of findings; those that begin alike share their solutions.
pub(super) fn outcomes(
    solved: &Solved,
    findings: &[Var],
    draws: usize,
    dice: &mut Dice,
) -> Result<Vec<Vec<usize>>, Error> {
    let mut known: BTreeMap<Vec<usize>, Vec<f64>> = BTreeMap::new();
    let mut out = Vec::with_capacity(draws);
    for _ in 0..draws {
        let mut outcome: Vec<usize> = Vec::with_capacity(findings.len());
        for (i, finding) in findings.iter().enumerate() {
            if !known.contains_key(&outcome) {
                let seen = hard(solved, &findings[..i], &outcome);
                let p = solved.with(&seen)?.marginal(*finding)?;
                known.insert(outcome.clone(), p);
            }
            let state = dice.state(&known[&outcome]);
            outcome.push(state);
        }
        out.push(outcome);
    }
    Ok(out)
}

/// An outcome as evidence.
pub(super) fn hard(solved: &Solved, findings: &[Var], outcome: &[usize]) -> Vec<(Var, Vec<f64>)> {
    let likelihood = |var: Var, state: usize| {
        let states = solved.net.states(var);
        (0..states).map(|s| f64::from(s == state)).collect()
    };
    findings
        .iter()
        .zip(outcome)
        .map(|(var, state)| (*var, likelihood(*var, *state)))
        .collect()
}

/// Mean and its standard error.
pub(super) fn mean(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let spread: f64 = values.iter().map(|x| (x - mean).powi(2)).sum();
    (mean, (spread / (n - 1.0) / n).sqrt())
}
