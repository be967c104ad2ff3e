//! Gates reduced: a weight where the lowest grade was seen, a small table, or a
//! max dimension with its links.

use super::super::build::{Gate, Var};
use super::super::reduced::{Link, NONE, Open, raise};
use super::{Contradiction, DENSE_ENTRIES, Idle, Reduction};

impl Reduction<'_> {
    /// A gate whose grade was observed and on which nothing else hangs.
    pub(super) fn observe(
        &mut self,
        var: Var,
        leak: &[f64],
        parents: &[Var],
        grades: &[f64],
        likelihood: &[f64],
    ) -> Result<(), Contradiction> {
        let top = likelihood
            .iter()
            .rposition(|l| *l > 0.0)
            .ok_or(Contradiction)?;
        let starts: Vec<usize> = (0..=top)
            .filter(|g| *g == 0 || likelihood[*g] != likelihood[*g - 1])
            .collect();
        if starts.len() == 1 {
            self.out.scale.times(likelihood[0]);
            self.out.scale.times(leak[..=top].iter().sum());
            for (parent, row) in parents.iter().zip(grades.chunks_exact(leak.len())) {
                let highest = if self.is_idle(*parent) { 0 } else { top };
                self.times_present(*parent, row[..=highest].iter().sum());
            }
            return Ok(());
        }
        let likelihoods: Vec<f64> = starts.iter().map(|g| likelihood[*g]).collect();
        let bands = |row: &[f64], into: &mut Vec<f64>| {
            for (i, start) in starts.iter().enumerate() {
                let end = starts.get(i + 1).map_or(top + 1, |e| *e);
                into.push(row[*start..end].iter().sum());
            }
        };
        self.open(var, &likelihoods, NONE, bands);
        Ok(())
    }

    /// A gate in the middle of the network: a small table, or a max dimension
    /// that turns into the plain variable.
    pub(super) fn hidden(
        &mut self,
        var: Var,
        leak: &[f64],
        parents: &[Var],
        grades: &[f64],
        likelihood: Option<&[f64]>,
    ) {
        let node = self.plain(var, likelihood);
        let free: Vec<usize> = (0..parents.len())
            .filter(|p| self.out.node[parents[*p].index()] != NONE)
            .collect();
        let states = leak.len();
        if free.len() >= 12 || states << free.len() > DENSE_ENTRIES {
            let ones = vec![1.0; states];
            self.open(var, &ones, node, |row, into| {
                into.extend_from_slice(row);
            });
            return;
        }
        let row_of = |p: usize| &grades[p * states..(p + 1) * states];
        let mut sound = leak.to_vec();
        let mut always_idle = None;
        for (p, parent) in parents.iter().enumerate() {
            if self.out.fixed[parent.index()] == 1 {
                match self.is_idle(*parent) {
                    true => always_idle = Some(row_of(p)),
                    false => raise(&mut sound, row_of(p)),
                }
            }
        }
        let at = self.out.numbers.len();
        for present in 0..1usize << free.len() {
            self.row.clear();
            self.row.extend_from_slice(&sound);
            let mut idle = always_idle;
            for (bit, p) in free.iter().enumerate() {
                if present >> bit & 1 == 0 {
                    continue;
                }
                match self.is_idle(parents[*p]) {
                    true => idle = Some(row_of(*p)),
                    false => raise(&mut self.row, row_of(*p)),
                }
            }
            if let (Some(by), Some(Idle { quiet, .. })) = (idle, self.idle) {
                idly(&mut self.row, by, quiet[var.index()]);
            }
            self.out.numbers.extend_from_slice(&self.row);
        }
        let mut scope = vec![node];
        scope.extend(free.iter().map(|p| self.out.node[parents[*p].index()]));
        self.dense(scope, at);
    }

    /// Opens a max dimension; `bands` writes a row of grades as bands.
    pub(super) fn open(
        &mut self,
        var: Var,
        likelihoods: &[f64],
        into: u32,
        bands: impl Fn(&[f64], &mut Vec<f64>),
    ) {
        let net = self.net;
        let Gate::Max {
            leak,
            parents,
            grades,
        } = net.gate(var)
        else {
            return;
        };
        let out = &mut self.out;
        let states = likelihoods.len();
        let open = out.opens.len() as u32;
        let likelihood = out.numbers.len();
        out.numbers.extend_from_slice(likelihoods);
        let mut sound = Vec::with_capacity(states);
        bands(leak, &mut sound);
        for (parent, row) in parents.iter().zip(grades.chunks_exact(leak.len())) {
            let node = out.node[parent.index()];
            // An idle cause adds nothing here, by itself or through this gate.
            let idle = self.idle.filter(|idle| idle.cause == *parent);
            let shown = idle.map(|idle| {
                let through = if into == NONE {
                    0.0
                } else {
                    idle.quiet[var.index()]
                };
                let mut quiet = vec![0.0; row.len()];
                quiet[0] = row[0] + through * (1.0 - row[0]);
                quiet
            });
            let shown = shown.as_deref().unwrap_or(row);
            if node == NONE {
                if out.fixed[parent.index()] == 1 {
                    self.row.clear();
                    bands(shown, &mut self.row);
                    raise(&mut sound, &self.row);
                }
                continue;
            }
            let at = out.numbers.len();
            bands(row, &mut out.numbers);
            if out.numbers[at + 1..].iter().any(|p| *p > 0.0) {
                if idle.is_some() {
                    out.numbers.truncate(at);
                    bands(shown, &mut out.numbers);
                }
                out.links.push(Link {
                    plain: node,
                    open,
                    at,
                });
            } else {
                out.weights[out.plains[node as usize].at + 1] *= out.numbers[at];
                out.numbers.truncate(at);
            }
        }
        let leak = out.numbers.len();
        out.numbers.extend_from_slice(&sound);
        out.opens.push(Open {
            states,
            leak,
            likelihood,
            into,
            part: self.part,
            var,
        });
    }
}

/// What a gate is when an idle cause acts on it: with the chance that the cause
/// brings it about it shows nothing, whatever the others do.
fn idly(dist: &mut [f64], by: &[f64], quiet: f64) {
    let through = quiet * (1.0 - by[0]);
    dist.iter_mut().for_each(|p| *p *= by[0]);
    dist[0] += through;
}
