//! Gates reduced: a weight where the lowest grade was seen, a small table, or a
//! max dimension with its links.

use super::super::build::Var;
use super::super::reduced::{Link, NONE, Open, raise};
use super::{Contradiction, DENSE_ENTRIES, Reduction};

impl Reduction<'_> {
    /// A gate whose grade was observed and on which nothing else hangs.
    pub(super) fn observe(
        &mut self,
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
            let out = &mut self.out;
            out.scale.times(likelihood[0]);
            out.scale.times(leak[..=top].iter().sum());
            for (parent, row) in parents.iter().zip(grades.chunks_exact(leak.len())) {
                let below: f64 = row[..=top].iter().sum();
                match (out.node[parent.index()], out.fixed[parent.index()]) {
                    (NONE, 1) => out.scale.times(below),
                    (NONE, _) => {}
                    _ => {
                        let mut weights = std::mem::take(&mut out.weights);
                        out.weigh(*parent, &mut weights, below);
                        out.weights = weights;
                    }
                }
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
        self.open(leak, parents, grades, &likelihoods, NONE, bands);
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
        let is_member = |p: &usize| self.out.bit[parents[*p].index()] != NONE;
        let (members, free): (Vec<usize>, Vec<usize>) = (0..parents.len())
            .filter(|p| self.out.node[parents[*p].index()] != NONE)
            .partition(is_member);
        let sets = match members.is_empty() {
            true => vec![0],
            false => self.out.sets.clone(),
        };
        let states = leak.len();
        if free.len() >= 12 || states << free.len() > DENSE_ENTRIES {
            let ones = vec![1.0; states];
            self.open(leak, parents, grades, &ones, node, |row, into| {
                into.extend_from_slice(row);
            });
            return;
        }
        let mut sound = leak.to_vec();
        for (parent, row) in parents.iter().zip(grades.chunks_exact(states)) {
            if self.out.fixed[parent.index()] == 1 {
                raise(&mut sound, row);
            }
        }
        let at = self.out.numbers.len();
        for set in &sets {
            let mut with_members = sound.clone();
            for p in &members {
                if set >> self.out.bit[parents[*p].index()] & 1 == 1 {
                    raise(&mut with_members, &grades[p * states..(p + 1) * states]);
                }
            }
            for present in 0..1usize << free.len() {
                self.row.clear();
                self.row.extend_from_slice(&with_members);
                for (bit, p) in free.iter().enumerate() {
                    if present >> bit & 1 == 1 {
                        raise(&mut self.row, &grades[p * states..(p + 1) * states]);
                    }
                }
                self.out.numbers.extend_from_slice(&self.row);
            }
        }
        let mut scope = vec![node];
        scope.extend(free.iter().map(|p| self.out.node[parents[*p].index()]));
        if let Some(one) = members.first() {
            scope.push(self.out.node[parents[*one].index()]);
        }
        self.dense(scope, at);
    }

    /// Opens a max dimension; `bands` writes a row of grades as bands.
    pub(super) fn open(
        &mut self,
        leak: &[f64],
        parents: &[Var],
        grades: &[f64],
        likelihoods: &[f64],
        into: u32,
        bands: impl Fn(&[f64], &mut Vec<f64>),
    ) {
        let out = &mut self.out;
        let states = likelihoods.len();
        let open = out.opens.len() as u32;
        let likelihood = out.numbers.len();
        out.numbers.extend_from_slice(likelihoods);
        let mut sound = Vec::with_capacity(states);
        bands(leak, &mut sound);
        let mut of_sets: Vec<f64> = Vec::new();
        for (parent, row) in parents.iter().zip(grades.chunks_exact(leak.len())) {
            let node = out.node[parent.index()];
            if out.bit[parent.index()] != NONE {
                self.row.clear();
                bands(row, &mut self.row);
                if of_sets.is_empty() {
                    of_sets = [&[1.0][..], &vec![0.0; states - 1]]
                        .concat()
                        .repeat(out.sets.len());
                }
                for (state, row) in of_sets.chunks_exact_mut(states).enumerate() {
                    if out.state_of(*parent, state) > 0 {
                        raise(row, &self.row);
                    }
                }
                continue;
            }
            if node == NONE {
                if out.fixed[parent.index()] == 1 {
                    self.row.clear();
                    bands(row, &mut self.row);
                    raise(&mut sound, &self.row);
                }
                continue;
            }
            let at = out.numbers.len();
            bands(row, &mut out.numbers);
            if out.numbers[at + 1..].iter().any(|p| *p > 0.0) {
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
        if !of_sets.is_empty() {
            out.links.push(Link {
                plain: 0,
                open,
                at: out.numbers.len(),
            });
            out.numbers.extend_from_slice(&of_sets[states..]);
        }
        let leak = out.numbers.len();
        out.numbers.extend_from_slice(&sound);
        out.opens.push(Open {
            states,
            leak,
            likelihood,
            into,
            bit: NONE,
            part: self.part,
        });
    }
}
