//! What is left of a network once the evidence is in.
//!
//! Variables that the evidence does not reach vanish. A finding seen at its
//! lowest grade multiplies into the weights of its causes. A finding seen at a
//! higher grade, or softly, becomes a *max dimension*: neighbouring grades of
//! equal likelihood form one band, and grades above the highest possible one
//! are left out of every contribution, so nothing is ever subtracted.

mod gate;

use super::build::{Gate, Network, Var, WHOLE};
use super::evidence::{Evidence, Relaxed};
use super::reduced::{Dense, NONE, Plain, Reduced};
use super::scaled::Scaled;

/// Largest table into which an unobserved gate is written out; larger ones stay factored.
const DENSE_ENTRIES: usize = 64;

/// The evidence contradicts itself in a single gate.
pub(super) struct Contradiction;

/// A cause taken to be present and idle: its own signs show nothing of it, and
/// so does all that it brings about.
#[derive(Debug, Clone, Copy)]
pub(super) struct Idle<'a> {
    pub cause: Var,
    /// For each variable, the likelihood that it is present and shows nothing,
    /// relative to its being absent.
    pub quiet: &'a [f64],
}

impl Reduced {
    /// Reduces the network; `wanted` variables stay in it even if nothing
    /// observed depends on them. One cause may be taken to be present and idle.
    pub fn with_idle(
        net: &Network,
        evidence: &Evidence,
        wanted: &[Var],
        idle: Option<Idle>,
    ) -> Result<Self, Contradiction> {
        let n = net.len();
        let mut reduction = Reduction {
            net,
            live: vec![false; n],
            asked: vec![false; n],
            out: Reduced {
                scale: Scaled::ONE,
                plains: Vec::new(),
                weights: Vec::new(),
                node: vec![NONE; n],
                fixed: vec![NONE; n],
                opens: Vec::new(),
                links: Vec::new(),
                dense: Vec::new(),
                numbers: Vec::new(),
            },
            row: Vec::new(),
            part: WHOLE,
            idle,
        };
        reduction.mark(evidence, wanted);
        for i in 0..n as u32 {
            if reduction.live[i as usize] {
                reduction.place(Var(i), evidence)?;
            }
        }
        if reduction.out.scale.is_zero() {
            return Err(Contradiction);
        }
        Ok(reduction.out)
    }
}

struct Reduction<'a> {
    net: &'a Network,
    live: Vec<bool>,
    asked: Vec<bool>,
    out: Reduced,
    row: Vec<f64>,
    /// The part of the variable being placed.
    part: u32,
    idle: Option<Idle<'a>>,
}

impl Reduction<'_> {
    fn mark(&mut self, evidence: &Evidence, wanted: &[Var]) {
        let mut stack: Vec<Var> = wanted.to_vec();
        for var in wanted {
            self.asked[var.index()] = true;
        }
        for (var, likelihood) in evidence.iter() {
            if likelihood.iter().all(|l| *l == likelihood[0]) {
                self.out.scale.times(likelihood[0]);
                continue;
            }
            let mut possible = (0..likelihood.len()).filter(|s| likelihood[*s] > 0.0);
            if let (Some(state), None) = (possible.next(), possible.next()) {
                self.out.fixed[var.index()] = state as u32;
                self.out.scale.times(likelihood[state]);
            }
            stack.push(var);
        }
        for var in stack {
            self.live_with_causes(var);
        }
    }

    fn live_with_causes(&mut self, var: Var) {
        let mut stack = vec![var];
        while let Some(var) = stack.pop() {
            if !std::mem::replace(&mut self.live[var.index()], true) {
                stack.extend(self.net.gate(var).parents());
            }
        }
    }

    fn place(&mut self, var: Var, evidence: &Evidence) -> Result<(), Contradiction> {
        self.part = self.net.nodes[var.index()].part;
        if let Some(relaxed) = evidence.relaxed(var) {
            self.product(var, relaxed);
            return Ok(());
        }
        let fixed = self.out.fixed[var.index()];
        let likelihood = evidence.get(var).filter(|l| l.iter().any(|x| *x != l[0]));
        match self.net.gate(var) {
            Gate::Table { parents, table } => {
                if fixed == NONE {
                    self.plain(var, likelihood);
                }
                self.slice(var, parents, table);
            }
            Gate::Max {
                leak,
                parents,
                grades,
            } => {
                let inner = self.asked[var.index()]
                    || self.net.children(var).iter().any(|c| self.live[c.index()]);
                match likelihood {
                    _ if fixed != NONE => {
                        let hard: Vec<f64> = (0..leak.len())
                            .map(|s| f64::from(s == fixed as usize))
                            .collect();
                        self.observe(var, leak, parents, grades, &hard)?;
                    }
                    Some(likelihood) if !inner => {
                        self.observe(var, leak, parents, grades, likelihood)?;
                    }
                    _ => self.hidden(var, leak, parents, grades, likelihood),
                }
            }
        }
        Ok(())
    }

    /// An observation that stands as a product over its causes.
    fn product(&mut self, var: Var, relaxed: &Relaxed) {
        self.out.scale.times(relaxed.constant);
        let Gate::Max {
            leak,
            parents,
            grades,
        } = self.net.gate(var)
        else {
            return;
        };
        let rows = grades.chunks_exact(leak.len());
        for ((parent, factor), row) in parents.iter().zip(&relaxed.factors).zip(rows) {
            let idle = self.is_idle(*parent);
            self.times_present(*parent, if idle { row[0] } else { *factor });
        }
    }

    /// Multiplies by what counts when a parent is present.
    fn times_present(&mut self, parent: Var, factor: f64) {
        let out = &mut self.out;
        match (out.node[parent.index()], out.fixed[parent.index()]) {
            (NONE, 1) => out.scale.times(factor),
            (NONE, _) => {}
            _ => {
                let mut weights = std::mem::take(&mut out.weights);
                out.weigh(parent, &mut weights, factor);
                out.weights = weights;
            }
        }
    }

    fn is_idle(&self, var: Var) -> bool {
        self.idle.is_some_and(|idle| idle.cause == var)
    }

    fn plain(&mut self, var: Var, likelihood: Option<&[f64]>) -> u32 {
        let states = self.net.states(var);
        let index = self.out.plains.len() as u32;
        let at = self.out.weights.len();
        self.out.plains.push(Plain {
            states,
            at,
            part: self.part,
        });
        match likelihood {
            Some(likelihood) => self.out.weights.extend_from_slice(likelihood),
            None => self.out.weights.resize(at + states, 1.0),
        }
        if self.is_idle(var) {
            self.out.weights[at] = 0.0;
        }
        self.out.node[var.index()] = index;
        index
    }

    /// The part of a table that the known states leave.
    fn slice(&mut self, var: Var, parents: &[Var], table: &[f64]) {
        let mut stride = 1;
        let mut base = 0;
        let mut free: Vec<(u32, usize, usize)> = Vec::new();
        for v in std::iter::once(&var).chain(parents.iter().rev()) {
            let states = self.net.states(*v);
            match self.out.fixed[v.index()] {
                NONE => free.push((self.out.node[v.index()], states, stride)),
                state => base += state as usize * stride,
            }
            stride *= states;
        }
        let at = self.out.numbers.len();
        self.out.numbers.push(table[base]);
        let mut offsets = vec![base];
        for (_, states, stride) in &free {
            let have = offsets.len();
            for s in 1..*states {
                for i in 0..have {
                    let from = offsets[i] + s * stride;
                    offsets.push(from);
                    self.out.numbers.push(table[from]);
                }
            }
        }
        let scope = free.iter().map(|(node, ..)| *node).collect();
        self.dense(scope, at);
    }

    /// Keeps a table, or multiplies it into weights if it has but one variable.
    fn dense(&mut self, scope: Vec<u32>, at: usize) {
        let out = &mut self.out;
        match scope.as_slice() {
            [] => out.scale.times(out.numbers[at]),
            [one] => {
                let plain = out.plains[*one as usize];
                for s in 0..plain.states {
                    out.weights[plain.at + s] *= out.numbers[at + s];
                }
            }
            _ => {
                let len = out.numbers.len() - at;
                out.dense.push(Dense { scope, at, len });
                return;
            }
        }
        out.numbers.truncate(at);
    }
}
