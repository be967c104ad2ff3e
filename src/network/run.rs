//! Running a plan: once forward for the probability of the evidence, once in
//! reverse for every marginal. Tables are rescaled by powers of two on the way.

use super::core::Core;
use super::gather::Gather;
use super::hits::{back_hits, fold, fold_back, forward_hits};
use super::kernel;
use super::plans::{Hit, Plan, Step, Table};
use super::reduced::{Link, Reduced};
use super::scaled::{Scaled, exponent, power};
use std::cell::RefCell;

/// Tables whose largest entry is within `2^-MARGIN ..= 2^MARGIN` are left alone.
const MARGIN: i64 = 64;

/// The numbers that a plan is run on.
pub(super) struct Numbers<'a> {
    pub reduced: &'a Reduced,
    pub core: &'a Core,
    /// Weights of the plain variables, each variable's adding up to one.
    pub weights: &'a [f64],
}

impl Numbers<'_> {
    pub fn weight(&self, element: u32) -> &[f64] {
        let plain = self.reduced.plains[self.core.plains[element as usize] as usize];
        &self.weights[plain.at..plain.at + plain.states]
    }

    pub fn link(&self, link: u32, states: usize) -> (Link, &[f64]) {
        (
            self.reduced.links[link as usize],
            self.bands(link, states, 1),
        )
    }

    /// What a variable in `state` (not the first) adds to a max dimension with so many bands.
    pub fn bands(&self, link: u32, states: usize, state: usize) -> &[f64] {
        let at = self.reduced.links[link as usize].at + (state - 1) * states;
        &self.reduced.numbers[at..at + states]
    }

    /// The weighted chances of a binary variable, absent and present, for a
    /// combination of the states of the others in its small table.
    pub fn chances(&self, plain: u32, dense: u32, mut others: usize) -> [f64; 2] {
        let w = self.weight(plain);
        let table = &self.reduced.dense[dense as usize];
        let (mut at, mut own, mut stride) = (table.at, 0, 1);
        for p in &table.scope {
            let element = self.core.element[*p as usize];
            let states = self.states(element);
            if element == plain {
                own = stride;
            } else {
                at += others % states * stride;
                others /= states;
            }
            stride *= states;
        }
        let t = &self.reduced.numbers;
        [w[0] * t[at], w[1] * t[at + own]]
    }

    /// The chance that a present variable adds nothing by any of these links.
    pub fn quiet(&self, hits: &[Hit]) -> f64 {
        let nothing = |hit: &Hit| self.bands(hit.link, hit.states, 1)[0];
        hits.iter().map(nothing).product()
    }

    /// States of a plain variable.
    pub fn states(&self, element: u32) -> usize {
        self.core.states[element as usize]
    }

    /// What an element's dimension is summed out with; whether it is a max dimension.
    pub fn closing(&self, element: u32) -> (&[f64], bool) {
        let plains = self.core.plains.len() as u32;
        if element < plains {
            return (self.weight(element), false);
        }
        let open = self.reduced.opens[(element - plains) as usize];
        let likelihood = &self.reduced.numbers[open.likelihood..open.likelihood + open.states];
        (likelihood, true)
    }
}

/// What a reverse pass yields, given the evidence.
#[derive(Debug, Clone)]
pub(super) struct Marginals {
    /// Probability of each state of the plain variables, laid out as the weights.
    pub states: Vec<f64>,
    /// For each plain variable the probability that it is present (in state 1)
    /// and adds nothing to any max dimension; NaN where the pass does not tell.
    pub quiet: Vec<f64>,
    /// How far the worst marginal was from adding up to the probability of the evidence.
    pub worst: f64,
}

impl Marginals {
    /// Those of variables that nothing ties: their normalised weights.
    pub fn of(reduced: &Reduced, weights: &[f64]) -> Self {
        Marginals {
            states: weights.to_vec(),
            quiet: vec![f64::NAN; reduced.plains.len()],
            worst: 0.0,
        }
    }

    /// Takes in the probabilities of a variable's states together with the evidence.
    pub fn read(&mut self, numbers: &Numbers, element: u32, p: &mut dyn Iterator<Item = f64>) {
        let plain = numbers.reduced.plains[numbers.core.plains[element as usize] as usize];
        let out = &mut self.states[plain.at..plain.at + plain.states];
        out.iter_mut().zip(p).for_each(|(o, p)| *o = p);
        let sum: f64 = out.iter().sum();
        out.iter_mut().for_each(|o| *o /= sum);
        let off = (sum - 1.0).abs();
        self.worst = if off.is_nan() {
            f64::INFINITY
        } else {
            self.worst.max(off)
        };
    }

    /// Takes in the probability that a variable is present and adds nothing.
    pub fn quietly(&mut self, numbers: &Numbers, element: u32, p: f64) {
        self.quiet[numbers.core.plains[element as usize] as usize] = p;
    }
}

/// Memory for one run, reused from run to run.
#[derive(Debug, Default, Clone)]
pub(super) struct Work {
    /// All tables. The reverse pass puts in the place of each, once it has been
    /// read for the last time, the derivatives by its entries.
    arena: Vec<f64>,
    scratch: Vec<f64>,
    /// Power of two that each step's table was multiplied by.
    scales: Vec<i64>,
}

thread_local! {
    static WORK: RefCell<Work> = RefCell::new(Work::default());
}

/// Runs something with this thread's memory for tables.
pub(super) fn with_work<T>(f: impl FnOnce(&mut Work) -> T) -> T {
    WORK.with(|work| match work.try_borrow_mut() {
        Ok(mut work) => f(&mut work),
        Err(_) => f(&mut Work::default()),
    })
}

/// Makes every plain variable's weights add up to one; returns the factor
/// taken out, zero if a variable is left without a state.
pub(super) fn normalise(reduced: &Reduced, weights: &mut [f64]) -> Scaled {
    let mut scale = reduced.scale;
    for plain in &reduced.plains {
        let w = &mut weights[plain.at..plain.at + plain.states];
        let sum: f64 = w.iter().sum();
        scale.times(sum);
        if sum > 0.0 {
            w.iter_mut().for_each(|w| *w /= sum);
        }
    }
    scale
}

impl Work {
    /// All tables, as the last run left them.
    pub fn tables(&self) -> &[f64] {
        &self.arena
    }

    /// Probability that the plan's part of the network explains the evidence.
    pub fn forward(&mut self, plan: &Plan, numbers: &Numbers) -> Scaled {
        if self.arena.len() < plan.arena {
            self.arena.resize(plan.arena, 0.0);
        }
        if self.scratch.len() < plan.scratch {
            self.scratch.resize(plan.scratch, 0.0);
        }
        self.scales.clear();
        let mut scale = Scaled::ONE;
        for step in &plan.steps {
            self.step(step, numbers);
            let by = self.rescale(step);
            self.scales.push(by);
            scale.shift(-by);
        }
        for root in &plan.roots {
            scale.times(self.arena[root.at]);
        }
        scale
    }

    fn rescale(&mut self, step: &Step) -> i64 {
        if !matches!(
            step,
            Step::Join(_) | Step::Close { .. } | Step::Settle { .. }
        ) {
            return 0;
        }
        let to = step.to();
        let table = &mut self.arena[to.at..to.at + to.len];
        let most = table.iter().fold(0.0, |m: f64, x| m.max(*x));
        let by = -exponent(most);
        if by.abs() <= MARGIN {
            return 0;
        }
        let factor = power(by);
        table.iter_mut().for_each(|x| *x *= factor);
        by
    }

    fn step(&mut self, step: &Step, numbers: &Numbers) {
        let arena = &mut self.arena;
        match step {
            Step::Fold {
                open,
                links,
                at,
                states,
            } => fold(arena, numbers, *open, links, *at, *states),
            Step::Unit { to } => arena[to.at] = 1.0,
            Step::Load { dense, to } => {
                let dense = &numbers.reduced.dense[*dense as usize];
                let from = &numbers.reduced.numbers[dense.at..dense.at + dense.len];
                arena[to.at..to.at + to.len].copy_from_slice(from);
            }
            Step::Absorb {
                plain,
                hits,
                old,
                from,
                to,
            } => {
                let w = numbers.weight(*plain);
                let (from, to) = two(arena, *from, *to);
                let base = &mut to[..from.len()];
                base.iter_mut().zip(from).for_each(|(t, f)| *t = w[1] * f);
                forward_hits(to, from.len(), hits, *old, numbers, 1);
                kernel::add(&mut to[..from.len()], w[0], from);
            }
            Step::AbsorbBy {
                plain,
                dense,
                at,
                pack,
                hits,
                old,
                from,
                to,
            } => {
                let (from, to) = two(arena, *from, *to);
                let from = packed(from, pack, &mut self.scratch);
                let part = part(from.len(), at);
                let whole = to.len() / at.len();
                for (s, to) in to.chunks_exact_mut(whole).enumerate() {
                    let from = &from[at[s] as usize * part..][..part];
                    let w = numbers.chances(*plain, *dense, s);
                    let base = &mut to[..part];
                    base.iter_mut().zip(from).for_each(|(t, f)| *t = w[1] * f);
                    forward_hits(to, part, hits, *old, numbers, 1);
                    kernel::add(&mut to[..part], w[0], from);
                }
            }
            Step::Gate {
                plain,
                own,
                pack,
                hits,
                old,
                from,
                to,
            } => {
                let (from, to) = two(arena, *from, *to);
                let from = match pack {
                    Some(gather) => {
                        gather.pick(from, &mut self.scratch[..from.len()]);
                        &self.scratch[..from.len()]
                    }
                    None => from,
                };
                let states = numbers.states(*plain);
                let part = if *own {
                    from.len() / states
                } else {
                    from.len()
                };
                let whole = to.len() / states;
                for (state, to) in to.chunks_exact_mut(whole).enumerate() {
                    let at = if *own { state * part } else { 0 };
                    to[..part].copy_from_slice(&from[at..at + part]);
                    match state {
                        0 => to[part..].fill(0.0),
                        _ => forward_hits(to, part, hits, *old, numbers, state),
                    }
                }
            }
            Step::Join(join) => join.forward(numbers, arena, &mut self.scratch),
            Step::Close {
                element,
                stride,
                from,
                to,
                ..
            } => {
                let (from, to) = two(arena, *from, *to);
                kernel::close(from, to, *stride, numbers.closing(*element).0);
            }
            Step::Settle { pick, from, to } => {
                let (from, to) = two(arena, *from, *to);
                pick.pick(from, to);
            }
        }
    }

    /// After [`Work::forward`]: the marginals of every plain variable of the plan.
    pub fn reverse(&mut self, plan: &Plan, numbers: &Numbers, out: &mut Marginals) {
        for root in &plan.roots {
            self.arena[root.at] = 1.0 / self.arena[root.at];
        }
        for (i, step) in plan.steps.iter().enumerate().rev() {
            if self.scales[i] != 0 {
                let to = step.to();
                let factor = power(self.scales[i]);
                self.arena[to.at..to.at + to.len]
                    .iter_mut()
                    .for_each(|x| *x *= factor);
            }
            self.step_back(step, numbers, out);
        }
    }

    fn step_back(&mut self, step: &Step, numbers: &Numbers, marginals: &mut Marginals) {
        let arena = &mut self.arena;
        match step {
            Step::Fold {
                links, at, states, ..
            } => {
                fold_back(arena, numbers, links, *at, *states, marginals);
            }
            Step::Unit { .. } | Step::Load { .. } => {}
            Step::Absorb {
                plain,
                hits,
                old,
                from,
                to,
            } => {
                let w = numbers.weight(*plain);
                let (above, value) = two(arena, *to, *from);
                let scratch = &mut self.scratch[..above.len()];
                scratch.copy_from_slice(above);
                back_hits(scratch, value.len(), hits, *old, numbers, 1);
                let as_it_was = kernel::dot(value, &above[..value.len()]);
                let quiet = w[1] * numbers.quiet(hits) * as_it_was;
                let absent = w[0] * as_it_was;
                let present = w[1] * kernel::dot(value, &scratch[..value.len()]);
                for ((b, a), s) in value.iter_mut().zip(above.iter()).zip(scratch.iter()) {
                    *b = w[0] * a + w[1] * s;
                }
                marginals.read(numbers, *plain, &mut [absent, present].into_iter());
                marginals.quietly(numbers, *plain, quiet);
            }
            Step::AbsorbBy {
                plain,
                dense,
                at,
                pack,
                hits,
                old,
                from,
                to,
            } => {
                let (above, back) = two(arena, *to, *from);
                let (value, scratch) = self.scratch.split_at_mut(from.len);
                let (out, scratch) = scratch.split_at_mut(from.len);
                match pack {
                    Some(gather) => gather.pick(back, value),
                    None => value.copy_from_slice(back),
                }
                out.fill(0.0);
                let part = part(from.len, at);
                let scratch = &mut scratch[..above.len() / at.len()];
                let (mut absent, mut present, mut quiet) = (0.0, 0.0, 0.0);
                for (s, above) in above.chunks_exact(scratch.len()).enumerate() {
                    let w = numbers.chances(*plain, *dense, s);
                    scratch.copy_from_slice(above);
                    back_hits(scratch, part, hits, *old, numbers, 1);
                    let place = at[s] as usize * part;
                    let value = &value[place..place + part];
                    let as_it_was = kernel::dot(value, &above[..part]);
                    absent += w[0] * as_it_was;
                    present += w[1] * kernel::dot(value, &scratch[..part]);
                    quiet += w[1] * as_it_was;
                    let out = out[place..place + part].iter_mut();
                    for ((o, a), h) in out.zip(&above[..part]).zip(scratch.iter()) {
                        *o += w[0] * a + w[1] * h;
                    }
                }
                match pack {
                    Some(gather) => gather.unpick(out, back),
                    None => back.copy_from_slice(out),
                }
                marginals.read(numbers, *plain, &mut [absent, present].into_iter());
                marginals.quietly(numbers, *plain, quiet * numbers.quiet(hits));
            }
            Step::Gate {
                plain,
                own,
                pack,
                hits,
                old,
                from,
                to,
            } => {
                let (above, back) = two(arena, *to, *from);
                let (packed, scratch) = self.scratch.split_at_mut(from.len);
                let states = numbers.states(*plain);
                let part = if *own { from.len / states } else { from.len };
                let scratch = &mut scratch[..above.len() / states];
                let out = if pack.is_some() {
                    &mut *packed
                } else {
                    &mut *back
                };
                out.fill(0.0);
                for (state, above) in above.chunks_exact(scratch.len()).enumerate() {
                    scratch.copy_from_slice(above);
                    if state > 0 {
                        back_hits(scratch, part, hits, *old, numbers, state);
                    }
                    let at = if *own { state * part } else { 0 };
                    kernel::add(&mut out[at..at + part], 1.0, &scratch[..part]);
                }
                if let Some(gather) = pack {
                    gather.unpick(packed, back);
                }
            }
            Step::Join(join) => join.back(numbers, arena, &mut self.scratch, marginals),
            Step::Close {
                element,
                stride,
                from,
                to,
                states,
            } => {
                let (v, max) = numbers.closing(*element);
                let (above, value) = two(arena, *to, *from);
                if !max {
                    let row = |s: usize| value.chunks_exact(*stride).skip(s).step_by(*states);
                    let part = |s| -> f64 {
                        let met = row(s).zip(above.chunks_exact(*stride));
                        met.map(|(value, above)| kernel::dot(value, above)).sum()
                    };
                    marginals.read(numbers, *element, &mut (0..*states).map(|s| v[s] * part(s)));
                }
                kernel::close_back(value, above, *stride, v);
            }
            Step::Settle { pick, from, to } => {
                let (above, back) = two(arena, *to, *from);
                pick.unpick(above, back);
            }
        }
    }
}

/// A table brought into order.
fn packed<'t>(from: &'t [f64], pack: &Option<Gather>, scratch: &'t mut [f64]) -> &'t [f64] {
    match pack {
        Some(gather) => {
            gather.pick(from, &mut scratch[..from.len()]);
            &scratch[..from.len()]
        }
        None => from,
    }
}

/// Entries of the part of a table that belongs to one combination.
fn part(len: usize, at: &[u32]) -> usize {
    len / (at.iter().max().map_or(0, |m| *m as usize) + 1)
}

/// Two tables of one memory: the first to read, the second to write.
fn two(memory: &mut [f64], read: Table, write: Table) -> (&[f64], &mut [f64]) {
    if read.at < write.at {
        let (low, high) = memory.split_at_mut(write.at);
        (&low[read.at..read.at + read.len], &mut high[..write.len])
    } else {
        let (low, high) = memory.split_at_mut(read.at);
        (&high[..read.len], &mut low[write.at..write.at + write.len])
    }
}

/// For each state of one dimension, the sum of `a b` over the rest.
pub(super) fn slices<'a>(
    a: &'a [f64],
    b: &'a [f64],
    stride: usize,
    states: usize,
) -> impl Iterator<Item = f64> + 'a {
    (0..states).map(move |s| {
        let part = |x: &'a [f64]| x.chunks_exact(stride).skip(s).step_by(states);
        part(a).zip(part(b)).map(|(a, b)| kernel::dot(a, b)).sum()
    })
}
