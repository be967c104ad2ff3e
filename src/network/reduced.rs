//! A reduced network: plain variables, max dimensions, the links between them
//! and tables, all numbers in one place.

use super::build::{Gate, Network, Var};
use super::scaled::Scaled;

/// No such index.
pub(super) const NONE: u32 = u32::MAX;

/// A variable summed over: its weights start at `at`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plain {
    pub states: usize,
    pub at: usize,
    /// The part of the network that it belongs to.
    pub part: u32,
}

/// A max dimension: bands of grades of one gate.
#[derive(Debug, Clone, Copy)]
pub(super) struct Open {
    pub states: usize,
    /// Where the leak's bands start in the numbers.
    pub leak: usize,
    /// Where the likelihood of each band starts in the numbers.
    pub likelihood: usize,
    /// The plain variable (index) that the bands are the states of, when the
    /// gate itself is unobserved and has children; else [`NONE`].
    pub into: u32,
    /// The part of the network that the gate belongs to.
    pub part: u32,
    /// The gate.
    pub var: Var,
}

/// What a plain variable adds to a max dimension in each state but the first.
#[derive(Debug, Clone, Copy)]
pub(super) struct Link {
    pub plain: u32,
    pub open: u32,
    /// Where the bands of state 1 start in the numbers; those of the next states follow.
    pub at: usize,
}

/// A table over plain variables, the first of the scope fastest.
#[derive(Debug, Clone)]
pub(super) struct Dense {
    pub scope: Vec<u32>,
    pub at: usize,
    pub len: usize,
}

#[derive(Debug, Clone)]
pub(super) struct Reduced {
    pub scale: Scaled,
    pub plains: Vec<Plain>,
    pub weights: Vec<f64>,
    /// Variable -> index in `plains`, or [`NONE`].
    pub node: Vec<u32>,
    /// Variable -> the state it is known to be in, or [`NONE`].
    pub fixed: Vec<u32>,
    pub opens: Vec<Open>,
    pub links: Vec<Link>,
    pub dense: Vec<Dense>,
    pub numbers: Vec<f64>,
}

impl Reduced {
    /// Multiplies the weights of a gate's causes so that the gate is at most at
    /// grade `top`; returns the constant factor. Every unfixed parent must be in `plains`.
    pub fn at_most(&self, net: &Network, var: Var, top: usize, weights: &mut [f64]) -> Option<f64> {
        let Gate::Max {
            leak,
            parents,
            grades,
        } = net.gate(var)
        else {
            return None;
        };
        let mut factor: f64 = leak[..=top].iter().sum();
        for (parent, row) in parents.iter().zip(grades.chunks_exact(leak.len())) {
            let below: f64 = row[..=top].iter().sum();
            match (self.node[parent.index()], self.fixed[parent.index()]) {
                (_, 1) => factor *= below,
                (_, 0) => {}
                (NONE, _) => return None,
                _ => self.weigh(*parent, weights, below),
            }
        }
        Some(factor)
    }

    /// Takes a binary variable to be present and to show nothing: what it adds to
    /// max dimensions is nothing, and with the chance that it brings a variable
    /// about that one counts as absent with the likelihood `quiet`. `own` is the
    /// likelihood of showing nothing where its weights tell of more.
    pub fn idle(&mut self, net: &Network, var: Var, own: f64, quiet: &[f64]) {
        let node = self.node[var.index()];
        let at = self.plains[node as usize].at;
        self.weights[at] = 0.0;
        self.weights[at + 1] *= own;
        for link in self.links.iter().filter(|link| link.plain == node) {
            let open = self.opens[link.open as usize];
            let bands = &mut self.numbers[link.at..link.at + open.states];
            bands[1..].fill(0.0);
            if open.into != NONE {
                bands[0] += (1.0 - bands[0]) * quiet[open.var.index()];
            }
        }
        let name: Vec<(u32, Var)> = (net.children(var).iter())
            .map(|child| (self.node[child.index()], *child))
            .filter(|(child, _)| *child != NONE)
            .collect();
        for (child, child_var) in name {
            let Some(dense) = self.dense.iter().find(|d| d.scope[0] == child) else {
                continue;
            };
            let Some(place) = dense.scope.iter().position(|p| *p == node) else {
                continue;
            };
            let states = |p: &u32| self.plains[*p as usize].states;
            let stride: usize = dense.scope[..place].iter().map(states).product();
            let m = states(&child);
            let Gate::Max {
                leak,
                parents,
                grades,
            } = net.gate(child_var)
            else {
                continue;
            };
            let rows = grades.chunks_exact(leak.len());
            let Some((_, by)) = parents.iter().zip(rows).find(|(p, _)| **p == var) else {
                continue;
            };
            let through = quiet[child_var.index()] * (1.0 - by[0]);
            let table = &mut self.numbers[dense.at..dense.at + dense.len];
            for start in (0..table.len()).step_by(m) {
                if start / stride % 2 == 1 {
                    for k in 0..m {
                        table[start + k] = by[0] * table[start + k - stride];
                    }
                    table[start] += through;
                }
            }
        }
    }

    /// Lets a binary variable be present only with this share, and for the rest
    /// of its presence count as absent with the likelihood `quiet`.
    pub fn leave(&mut self, var: Var, share: f64, quiet: f64) {
        let node = self.node[var.index()];
        let at = self.plains[node as usize].at;
        let [absent, present] = [self.weights[at], self.weights[at + 1]];
        let idle = (1.0 - share) * present * quiet;
        // Its own chances are a table of its own, or in its weights, or come
        // from a gate that is too large for a table.
        if let Some(own) = self.dense.iter().find(|dense| dense.scope[0] == node) {
            for pair in self.numbers[own.at..own.at + own.len].chunks_exact_mut(2) {
                if absent > 0.0 {
                    pair[0] += idle / absent * pair[1];
                }
                pair[1] *= share;
            }
        } else if self.opens.iter().any(|open| open.into == node) {
            self.weights[at + 1] *= share + (1.0 - share) * quiet;
        } else {
            self.weights[at] += idle;
            self.weights[at + 1] *= share;
        }
    }

    /// Multiplies the weights of every state but "absent" of a variable that is in the solution.
    pub fn weigh(&self, var: Var, weights: &mut [f64], factor: f64) {
        let plain = self.plains[self.node[var.index()] as usize];
        let weights = &mut weights[plain.at + 1..plain.at + plain.states];
        weights.iter_mut().for_each(|w| *w *= factor);
    }

    /// Probability of each state of a variable, from the marginals of the plain
    /// variables; none if it is not in the solution.
    pub fn marginal(&self, var: Var, marginals: &[f64], states: usize) -> Option<Vec<f64>> {
        match (self.node[var.index()], self.fixed[var.index()]) {
            (_, state) if state != NONE => Some(
                (0..states)
                    .map(|s| f64::from(s == state as usize))
                    .collect(),
            ),
            (NONE, _) => None,
            (node, _) => {
                let plain = self.plains[node as usize];
                Some(marginals[plain.at..plain.at + plain.states].to_vec())
            }
        }
    }
}

/// The distribution of the higher of two independent grades, in place.
pub(super) fn raise(dist: &mut [f64], by: &[f64]) {
    let (mut below, mut up_to) = (0.0, 0.0);
    for (d, p) in dist.iter_mut().zip(by) {
        up_to += p;
        let here = *d;
        *d = up_to * here + p * below;
        below += here;
    }
}
