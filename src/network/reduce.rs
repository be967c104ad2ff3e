//! What is left of a network once the evidence is in.
//!
//! Variables that the evidence does not reach vanish. A finding seen at its
//! lowest grade multiplies into the weights of its causes. A finding seen at a
//! higher grade, or softly, becomes a *max dimension*: neighbouring grades of
//! equal likelihood form one band, and grades above the highest possible one
//! are left out of every contribution, so nothing is ever subtracted.

mod gate;

use super::build::{Few, Gate, Network, Var, WHOLE};
use super::evidence::Evidence;
use super::reduced::{Dense, NONE, Plain, Reduced};
use super::scaled::Scaled;

/// Largest table into which an unobserved gate is written out; larger ones stay factored.
const DENSE_ENTRIES: usize = 64;

/// The evidence contradicts itself in a single gate.
pub(super) struct Contradiction;

impl Reduced {
    /// Reduces the network; `wanted` variables stay in it even if nothing observed depends on them.
    pub fn of(net: &Network, evidence: &Evidence, wanted: &[Var]) -> Result<Self, Contradiction> {
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
                bit: vec![NONE; n],
                sets: Vec::new(),
                fixed: vec![NONE; n],
                opens: Vec::new(),
                links: Vec::new(),
                dense: Vec::new(),
                numbers: Vec::new(),
            },
            row: Vec::new(),
            part: WHOLE,
        };
        if let Some(few) = &net.few {
            reduction.members(few);
        }
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
            if self.out.bit[var.index()] != NONE {
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

    /// The plain variable that says which members are present.
    fn members(&mut self, few: &Few) {
        let members = few.members.len();
        self.out.sets = (0..1u32 << members)
            .filter(|set| set.count_ones() as usize <= few.most)
            .collect();
        let states = self.out.sets.len();
        self.out.plains.push(Plain {
            states,
            at: 0,
            part: WHOLE,
        });
        self.out.weights = vec![1.0; states];
        for (bit, var) in few.members.iter().enumerate() {
            self.out.node[var.index()] = 0;
            self.out.bit[var.index()] = bit as u32;
            self.live_with_causes(*var);
        }
    }

    fn place(&mut self, var: Var, evidence: &Evidence) -> Result<(), Contradiction> {
        self.part = self.net.nodes[var.index()].part;
        let fixed = self.out.fixed[var.index()];
        let likelihood = evidence.get(var).filter(|l| l.iter().any(|x| *x != l[0]));
        if self.out.bit[var.index()] != NONE {
            self.member(var, likelihood);
            return Ok(());
        }
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
                        self.observe(leak, parents, grades, &hard)?;
                    }
                    Some(likelihood) if !inner => {
                        self.observe(leak, parents, grades, likelihood)?;
                    }
                    _ => self.hidden(var, leak, parents, grades, likelihood),
                }
            }
        }
        Ok(())
    }

    /// A member: what its gate says goes into the weights of the sets, or
    /// becomes a max dimension that turns into its bit.
    fn member(&mut self, var: Var, likelihood: Option<&[f64]>) {
        if let Some(likelihood) = likelihood {
            self.weigh_member(var, |present| likelihood[present]);
        }
        match self.net.gate(var) {
            Gate::Table { table, .. } => self.weigh_member(var, |present| table[present]),
            Gate::Max {
                leak,
                parents,
                grades,
            } => {
                let at = self.out.opens.len();
                self.open(leak, parents, grades, &[1.0, 1.0], 0, |row, into| {
                    into.extend_from_slice(row);
                });
                self.out.opens[at].bit = self.out.bit[var.index()];
            }
        }
    }

    fn weigh_member(&mut self, var: Var, by: impl Fn(usize) -> f64) {
        for state in 0..self.out.sets.len() {
            self.out.weights[state] *= by(self.out.state_of(var, state));
        }
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
