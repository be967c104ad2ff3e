//! The slow, plain way: sum over every combination of states.

use sootsayer::network::{Evidence, Gate, Network, Var};

/// Probability of one variable's state given the states of all.
pub fn conditional(net: &Network, var: Var, states: &[usize]) -> f64 {
    let own = states[var.index()];
    match net.gate(var) {
        Gate::Table { parents, table } => {
            let row = parents
                .iter()
                .fold(0, |row, p| row * net.states(*p) + states[p.index()]);
            table[row * net.states(var) + own]
        }
        Gate::Max {
            leak,
            parents,
            grades,
        } => {
            let up_to = |k: usize| -> f64 {
                let mut p: f64 = leak[..=k].iter().sum();
                for (parent, row) in parents.iter().zip(grades.chunks(leak.len())) {
                    if states[parent.index()] == 1 {
                        p *= row[..=k].iter().sum::<f64>();
                    }
                }
                p
            };
            if own == 0 {
                up_to(0)
            } else {
                up_to(own) - up_to(own - 1)
            }
        }
    }
}

/// Every combination of states with its probability times the evidence's likelihood.
pub struct Joint {
    pub rows: Vec<(Vec<usize>, f64)>,
}

impl Joint {
    pub fn of(net: &Network, evidence: &Evidence) -> Self {
        let mut rows = vec![(vec![], 1.0)];
        for var in net.vars() {
            let mut next = Vec::new();
            for (states, p) in rows {
                for state in 0..net.states(var) {
                    let mut states: Vec<usize> = states.clone();
                    states.push(state);
                    let likelihood = evidence.get(var).map_or(1.0, |l| l[state]);
                    let p = p * conditional(net, var, &states) * likelihood;
                    if p > 0.0 {
                        next.push((states, p));
                    }
                }
            }
            rows = next;
        }
        if let Some((members, most)) = net.counted() {
            rows.retain(|(states, _)| {
                // Those that another present member may have brought about do not count.
                let present = |v: &&Var| states[v.index()] == 1;
                let unprovoked = |v: &&Var| {
                    let parents = net.gate(**v).parents();
                    !members.iter().filter(present).any(|m| parents.contains(m))
                };
                let unprovoked = members.iter().filter(present).filter(unprovoked);
                unprovoked.count() <= most
            });
        }
        Joint { rows }
    }

    pub fn total(&self) -> f64 {
        self.rows.iter().map(|(_, p)| p).sum()
    }

    pub fn marginal(&self, net: &Network, var: Var) -> Vec<f64> {
        let mut out = vec![0.0; net.states(var)];
        for (states, p) in &self.rows {
            out[states[var.index()]] += p;
        }
        let total = self.total();
        out.iter().map(|p| p / total).collect()
    }

    pub fn all_absent(&self, vars: &[Var]) -> f64 {
        let absent = |states: &[usize]| vars.iter().all(|v| states[v.index()] == 0);
        let sum: f64 = self
            .rows
            .iter()
            .filter(|(states, _)| absent(states))
            .map(|(_, p)| p)
            .sum();
        sum / self.total()
    }
}
