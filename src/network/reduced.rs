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
    /// The member that the bands are the states of, if `into` is the set of members.
    pub bit: u32,
    /// The part of the network that the gate belongs to.
    pub part: u32,
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
    /// Variable -> index in `plains`, or [`NONE`]. All members of [`Few`] have
    /// one plain variable between them: which of them are present.
    pub node: Vec<u32>,
    /// Variable -> its bit in the set of members, or [`NONE`].
    pub bit: Vec<u32>,
    /// The sets of members, state by state of their plain variable: none first.
    pub sets: Vec<u32>,
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

    /// Multiplies the weights of every state but "absent" of a variable that is in the solution.
    pub fn weigh(&self, var: Var, weights: &mut [f64], factor: f64) {
        let plain = self.plains[self.node[var.index()] as usize];
        let weights = &mut weights[plain.at..plain.at + plain.states];
        for (state, weight) in weights.iter_mut().enumerate() {
            if self.state_of(var, state) > 0 {
                *weight *= factor;
            }
        }
    }

    /// The state of a variable when its plain variable is in `state`.
    pub fn state_of(&self, var: Var, state: usize) -> usize {
        match self.bit[var.index()] {
            NONE => state,
            bit => (self.sets[state] >> bit & 1) as usize,
        }
    }

    /// The band that an inner gate is in when its plain variable is in `state`.
    pub fn band_of(&self, open: &Open, state: usize) -> usize {
        match open.bit {
            NONE => state,
            bit => (self.sets[state] >> bit & 1) as usize,
        }
    }

    /// Probability of each state of a variable, from the marginals of the plain
    /// variables; none if it is not in the solution.
    pub fn marginal(&self, var: Var, marginals: &[f64]) -> Option<Vec<f64>> {
        let node = self.node[var.index()];
        if node == NONE {
            return None;
        }
        let plain = self.plains[node as usize];
        let of_plain = &marginals[plain.at..plain.at + plain.states];
        if self.bit[var.index()] == NONE {
            return Some(of_plain.to_vec());
        }
        let mut out = vec![0.0; 2];
        for (state, p) in of_plain.iter().enumerate() {
            out[self.state_of(var, state)] += p;
        }
        Some(out)
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
