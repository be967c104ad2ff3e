//! Blame: what is behind the complaint, and the chance that a repair ends it.
//!
//! A present cause is *behind* what was seen when its own contribution to it is
//! not the lowest grade, or what it brought about is behind it. One that is
//! present and idle stands in the network as if it were absent, but for its odds
//! and its chance of showing nothing of all that was seen. So with the odds `o`
//! of a cause and that chance `q`, `P(behind) = P(present) - o q P(absent)`, and a
//! repair that mends it with `m` is further evidence of `[1 + (1 - m) o q, m]`:
//! exact for causes that nothing brings about; for the others the odds are those
//! that their roots give them as things stand.

use super::desk::{BLAMED, Desk, Stake};
use crate::diagnose::{Diagnosis, evidence};
use crate::network::{Error, Gate, Var};
use crate::rules::file::CauseSort;
use std::collections::BTreeMap;

/// Lays beside each stake how probably it is behind the complaint.
pub(super) fn lay(d: &Diagnosis, stakes: &mut [Stake]) {
    let quiet = quiet(d);
    let present: BTreeMap<Var, f64> = stakes.iter().map(|s| (s.var, s.present)).collect();
    for stake in stakes {
        let odds = odds(d, stake.var, &present);
        let idle = odds * quiet[stake.var.index()];
        stake.idle = idle;
        let behind = stake.present - (1.0 - stake.present) * idle;
        stake.behind = behind.clamp(0.0, stake.present);
    }
}

/// Odds of a cause with its roots as probable as things stand.
fn odds(d: &Diagnosis, var: Var, present: &BTreeMap<Var, f64>) -> f64 {
    let p = match d.unrolled.network.gate(var) {
        Gate::Table { table, .. } => table.get(1).copied().unwrap_or(0.0),
        Gate::Max {
            leak,
            parents,
            grades,
        } => {
            let rows = grades.chunks_exact(leak.len());
            let spared = parents.iter().zip(rows).map(|(parent, row)| {
                1.0 - present.get(parent).copied().unwrap_or(0.0) * (1.0 - row[0])
            });
            1.0 - leak[0] * spared.product::<f64>()
        }
    };
    p / (1.0 - p).max(1e-9)
}

/// For each variable the chance that, when it is there, it shows nothing of all
/// that was seen that is not sound: of its own effects and of theirs.
fn quiet(d: &Diagnosis) -> Vec<f64> {
    let net = &d.unrolled.network;
    let seen = evidence(d.unrolled, d.observations);
    let mut quiet = vec![1.0; net.len()];
    let vars: Vec<Var> = net.vars().collect();
    for var in vars.into_iter().rev() {
        let Gate::Max {
            parents,
            grades,
            leak,
        } = net.gate(var)
        else {
            continue;
        };
        let observed = (seen.get(var)).is_some_and(|l| l.iter().any(|x| *x != l[0]));
        let inner = !net.children(var).is_empty();
        for (parent, row) in parents.iter().zip(grades.chunks_exact(leak.len())) {
            quiet[parent.index()] *= match (inner, observed) {
                (true, _) => row[0] + (1.0 - row[0]) * quiet[var.index()],
                (false, true) => row[0],
                (false, false) => 1.0,
            };
        }
    }
    quiet
}

/// Exact probability that nothing behind the complaint is left unmended; of the
/// causes with blame, those that bring about others only where `roots`.
pub(super) fn cured(desk: &Desk, mended: &[f64], roots: bool) -> Result<f64, Error> {
    let counts = |s: &Stake| s.behind >= BLAMED && (roots || s.sort != CauseSort::Root);
    let left = desk.stakes.iter().zip(mended);
    let left = left.filter(|(s, m)| counts(s) && **m < 1.0);
    let left: Vec<(Var, Vec<f64>)> = left
        .map(|(s, m)| (s.var, vec![1.0 + (1.0 - m) * s.idle, *m]))
        .collect();
    Ok(desk.d.solved.probability_of(&left)?.min(1.0))
}
