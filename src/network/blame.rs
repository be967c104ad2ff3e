//! Blame: which causes are *behind* what was seen, and whether all that are
//! behind it would be mended.
//!
//! A present cause is behind the observations when its own contribution to one
//! of them is not the lowest grade, or when something that it brought about is
//! behind them. So it is present less present and *idle*; what is idle has the
//! likelihood of what is absent times its own chance of showing nothing, and
//! the reverse pass that gives the marginals gives that too. Causes that bring
//! about others take a forward run each. (Our own; the derivative view of a
//! network is A. Darwiche, A differential approach to inference in Bayesian
//! networks, JACM 50(3), 2003.)

use super::build::{Gate, Var};
use super::error::Error;
use super::ready::Ready;
use super::reduce::Idle;
use super::reduced::{NONE, Reduced};
use super::scaled::Scaled;
use super::solved::{AS_IT_IS, Solved};
use rayon::prelude::*;

/// A cause that needs a run of its own and is less likely than this is taken
/// to be behind whenever it is present: an upper bound.
pub const WORTH_A_RUN: f64 = 0.03;

/// Slices that together hold less than this of the posterior are left out of
/// the blame of one cause; it is too high by no more than that.
const LITTLE: f64 = 1e-3;

impl Solved<'_> {
    /// Probability that each of these causes (binary) is present and behind
    /// something observed, in the order given.
    ///
    /// ```
    /// use sootsayer::network::{Evidence, Network, Solved};
    /// let mut net = Network::new();
    /// let rings = net.add_table("rings", 2, &[], vec![0.9, 0.1])?;
    /// let seals = net.add_table("seals", 2, &[], vec![0.8, 0.2])?;
    /// let links = vec![(rings, vec![0.0, 1.0]), (seals, vec![0.7, 0.3])];
    /// let smoke = net.add_max("smoke", vec![1.0, 0.0], links)?;
    /// let seen = Solved::new(&net, &Evidence::new().hard(smoke, 1, 2))?;
    /// let behind = seen.behind(&[rings, seals])?;
    /// // Seals may be bad and have nothing to do with it: 0.1 0.2 0.7 of 0.1 + 0.9 0.2 0.3.
    /// assert!((seen.marginal(seals)?[1] - behind[1] - 0.014 / 0.154).abs() < 1e-12);
    /// # Ok::<(), sootsayer::network::Error>(())
    /// ```
    ///
    /// # Errors
    /// As [`Solved::marginal`].
    pub fn behind(&self, causes: &[Var]) -> Result<Vec<f64>, Error> {
        let (quiet, own) = (self.quiet(), self.quiet_of_own());
        let counted = self.counted();
        let present = self.present(causes)?;
        (causes.par_iter().zip(present))
            .map(|(cause, present)| {
                let idle = match self.idle_at_once(*cause, present) {
                    Some(idle) => idle,
                    None if present < WORTH_A_RUN => 0.0,
                    None if self.ready.is_summed(*cause) => {
                        self.idle_by_a_run(*cause, &quiet, &own, &counted)
                    }
                    None => self.idle_where_known(*cause, &quiet),
                };
                Ok((present - idle).clamp(0.0, present))
            })
            .collect()
    }

    /// Probability that nothing behind the observations is left unmended. Each
    /// cause named is mended with a chance of its own (0 leaves it); the others
    /// are not asked about. One forward run: with the chance that it is left a
    /// cause counts as present only while idle, which is as good as absent.
    ///
    /// ```
    /// use sootsayer::network::{Evidence, Network, Solved};
    /// let mut net = Network::new();
    /// let rings = net.add_table("rings", 2, &[], vec![0.9, 0.1])?;
    /// let seals = net.add_table("seals", 2, &[], vec![0.8, 0.2])?;
    /// let links = vec![(rings, vec![0.0, 1.0]), (seals, vec![0.7, 0.3])];
    /// let smoke = net.add_max("smoke", vec![1.0, 0.0], links)?;
    /// let seen = Solved::new(&net, &Evidence::new().hard(smoke, 1, 2))?;
    /// // Rings renewed, seals left: cured unless seals are behind it too.
    /// let cured = seen.cured(&[(rings, 1.0), (seals, 0.0)])?;
    /// assert!((cured - (1.0 - seen.behind(&[seals])?[0])).abs() < 1e-12);
    /// # Ok::<(), sootsayer::network::Error>(())
    /// ```
    ///
    /// # Errors
    /// As [`Solved::marginal`].
    pub fn cured(&self, mended: &[(Var, f64)]) -> Result<f64, Error> {
        let own = self.quiet_of_own();
        let mut known = Vec::new();
        for (cause, share) in mended {
            if *share < 1.0 && !self.ready.is_summed(*cause) && self.shows(*cause) {
                // Known in each slice: how much of its presence is idle.
                let present: f64 = self.marginal(*cause)?[1..].iter().sum();
                if present > 0.0 {
                    let idle = present - self.behind(&[*cause])?[0];
                    known.push((*cause, share + (1.0 - share) * idle / present));
                }
            }
        }
        let alter = |_: usize, reduced: &mut Reduced| {
            for (cause, factor) in &known {
                if reduced.fixed[cause.index()] == 1 {
                    reduced.scale.times(*factor);
                }
            }
            for (cause, share) in mended {
                if *share < 1.0 && reduced.node[cause.index()] != NONE {
                    reduced.leave(*cause, *share, own[cause.index()]);
                }
            }
            true
        };
        let joint = self.ready.altered(&alter);
        Ok(match joint.is_zero() {
            true => 0.0,
            false => joint.over(self.posterior.scale).clamp(0.0, 1.0),
        })
    }

    /// For each variable the likelihood, when it is present and shows nothing,
    /// of all that was observed of its own effects, relative to its being absent.
    fn quiet(&self) -> Vec<f64> {
        let net = self.net;
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
            let observed = self
                .evidence
                .get(var)
                .is_some_and(|l| l.iter().any(|x| *x != l[0]));
            let inner = !net.children(var).is_empty();
            for (parent, row) in parents.iter().zip(grades.chunks_exact(leak.len())) {
                let factor = match (inner, observed) {
                    (true, _) => row[0] + (1.0 - row[0]) * quiet[var.index()],
                    (false, true) => row[0],
                    (false, false) => 1.0,
                };
                quiet[parent.index()] *= factor;
            }
        }
        quiet
    }

    /// The same relative to its being present with all else that it would show:
    /// what its weights already tell of findings seen sound counts once.
    fn quiet_of_own(&self) -> Vec<f64> {
        let net = self.net;
        let quiet = self.quiet();
        let mut own = vec![1.0; net.len()];
        for var in net.vars() {
            let Gate::Max {
                parents,
                grades,
                leak,
            } = net.gate(var)
            else {
                continue;
            };
            let inner = !net.children(var).is_empty();
            let seen = self
                .evidence
                .get(var)
                .filter(|l| l.iter().any(|x| *x != l[0]));
            let relaxed = self.evidence.relaxed(var);
            for (i, (parent, row)) in
                (parents.iter().zip(grades.chunks_exact(leak.len()))).enumerate()
            {
                own[parent.index()] *= match (inner, seen, relaxed) {
                    (true, ..) => row[0] + (1.0 - row[0]) * quiet[var.index()],
                    (false, None, _) => 1.0,
                    (false, Some(_), Some(relaxed)) => row[0] / relaxed.factors[i].max(1e-300),
                    (false, Some(seen), None) => match in_one_band(seen) {
                        Some(top) => row[0] / row[..=top].iter().sum::<f64>().max(1e-300),
                        None => row[0],
                    },
                };
            }
        }
        own
    }

    /// What the reverse pass told of a cause, if it did.
    fn idle_at_once(&self, cause: Var, present: f64) -> Option<f64> {
        if self.ready.fixed(cause) == Some(1) {
            return Some(0.0);
        }
        if !self.shows(cause) {
            return Some(present);
        }
        if !self.ready.is_summed(cause) || self.brings_about(cause) {
            return None;
        }
        let slices = self.ready.slices.iter().zip(&self.posterior.slices);
        let told = slices.map(|(slice, (share, marginals))| {
            let node = slice.reduced.node[cause.index()];
            let quiet = marginals.as_ref()?.quiet.get(node as usize)?;
            (!quiet.is_nan()).then_some(share * quiet)
        });
        told.sum()
    }

    /// Whether anything of it may be seen in an open observation.
    fn shows(&self, cause: Var) -> bool {
        let net = self.net;
        net.children(cause).iter().any(|child| {
            let seen = self.evidence.get(*child).is_some_and(|l| {
                l.iter().skip(1).any(|x| *x > 0.0) && l.iter().any(|x| *x != l[0])
            });
            seen || (!net.children(*child).is_empty() && self.shows(*child))
        })
    }

    /// Whether it acts on anything that acts on something else.
    fn brings_about(&self, cause: Var) -> bool {
        let children = self.net.children(cause);
        children
            .iter()
            .any(|child| !self.net.children(*child).is_empty())
    }

    /// The slices that hold all but [`LITTLE`] of the posterior.
    fn counted(&self) -> Vec<bool> {
        let shares: Vec<f64> = self
            .posterior
            .slices
            .iter()
            .map(|(share, _)| *share)
            .collect();
        let mut order: Vec<usize> = (0..shares.len()).collect();
        order.sort_by(|a, b| shares[*b].total_cmp(&shares[*a]).then(a.cmp(b)));
        let mut counted = vec![false; shares.len()];
        let mut left: f64 = shares.iter().sum();
        for i in order {
            if left < LITTLE {
                break;
            }
            counted[i] = true;
            left -= shares[i];
        }
        counted
    }

    fn idle_by_a_run(&self, cause: Var, quiet: &[f64], own: &[f64], counted: &[bool]) -> f64 {
        let seen: f64 = own[cause.index()];
        let open = self.quiet_by_links(cause, quiet);
        let alter = |i: usize, reduced: &mut Reduced| {
            if counted[i] {
                reduced.idle(self.net, cause, seen / open.max(1e-300), quiet);
            }
            counted[i]
        };
        self.share(self.ready.altered(&alter))
    }

    /// What the links and tables of a cause take care of when it is idle.
    fn quiet_by_links(&self, cause: Var, quiet: &[f64]) -> f64 {
        let net = self.net;
        let of = |child: &Var| -> f64 {
            let Gate::Max {
                parents,
                grades,
                leak,
            } = net.gate(*child)
            else {
                return 1.0;
            };
            let rows = grades.chunks_exact(leak.len());
            let row = parents.iter().zip(rows).find(|(p, _)| **p == cause);
            let Some((_, row)) = row else { return 1.0 };
            let inner = !net.children(*child).is_empty();
            let seen = self
                .evidence
                .get(*child)
                .filter(|l| l.iter().any(|x| *x != l[0]));
            match (inner, seen, self.evidence.relaxed(*child)) {
                (true, ..) => row[0] + (1.0 - row[0]) * quiet[child.index()],
                (false, Some(seen), None) if in_one_band(seen).is_none() => row[0],
                _ => 1.0,
            }
        };
        net.children(cause).iter().map(of).product()
    }

    /// A cause that is known in each slice.
    fn idle_where_known(&self, cause: Var, quiet: &[f64]) -> f64 {
        let idle = Idle { cause, quiet };
        let ready = Ready::with_idle(self.net, &self.evidence, &self.wanted, Some(idle));
        ready.map_or(0.0, |ready| self.share(ready.probability(AS_IT_IS)))
    }

    fn share(&self, joint: Scaled) -> f64 {
        match joint.is_zero() {
            true => 0.0,
            false => joint.over(self.posterior.scale),
        }
    }
}

/// The highest grade of a likelihood that only says "no higher than this".
fn in_one_band(likelihood: &[f64]) -> Option<usize> {
    let top = likelihood.iter().rposition(|l| *l > 0.0)?;
    let alike = likelihood[..=top].iter().all(|l| *l == likelihood[0]);
    alike.then_some(top)
}
